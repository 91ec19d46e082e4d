"""Rebuilds the block's plan in shapely from what `make --json` says of lanes and sizes.

Plan frame: x along the edges, y from the near edge (0) to the far edge, mm. The program puts corners on a 1 µm grid.
"""

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

import quantities

SETBACK = 2.0
"""How far the raised middle keeps from an edge with lanes where there is none, mm (the program's own rule)."""

FRONT_RELIEF = (0.4, 0.6)
"""Width and height of the rebate along the bottom edges, mm (the program's own rule, stated on its drawings)."""

FOOT_RELIEF = (1.0, 0.6)
"""Width and depth of the groove at a fence's foot, mm (the program's own rule, stated on its drawings)."""


SCREW_HOLE, HOLE_CORNERS = 4.5, 32
"""Diameter free for a screw, mm, and corners of the solid's polygon around it (the program's own rule)."""

NOTCH, NOTCH_ENDS = 1.0, 6.0
"""Depth of the notch for the seam in each end, which opens twice as wide, and the least middle that gets one, mm (the
program's own rule)."""

MARK = {"edge": 3.0, "fence": 2.5, "width": 0.8, "shortest": 2.0, "narrow": 12.0}
"""How far marks keep from edge and fence, how wide and long they are at least, and the blade width from which on there
are three, mm (the program's own rule)."""

GROOVE_ENDS = 1.0
"""How far a groove ends before its lane does, mm (the program's own rule)."""

BED = (220.0, 220.0)
"""The printer's bed of a job that does not say otherwise, mm (the program's own default)."""

LAYER, NOZZLE = 0.2, 0.4
"""Layer and nozzle of a job that does not say otherwise, mm (the program's own defaults)."""

LETTERS_DEEP = 0.6
"""About how deep or high letters are, mm: the nearest whole number of layers (the program's own rule)."""


def grid(value):
    """A length on the grid of 1 µm, ties up (a 64th of an inch often ends on one)."""
    return math.floor(value * 1000 + 0.5) / 1000


@dataclass(frozen=True)
class Lane:
    """A lane of the plan."""

    id: str
    edge: str
    x: tuple
    centre: float
    blade_width: float
    fence: float
    thickness: float

    @property
    def inward(self):
        """Sense of y from the reference edge to the fence."""
        return 1.0 if self.edge == "near" else -1.0

    def across(self, x, from_edge, depth):
        """A rectangle of the lane by its distances from the lane's own edge."""
        low, high = from_edge if self.edge == "near" else (depth - from_edge[1], depth - from_edge[0])
        return box(grid(x[0]), grid(low), grid(x[1]), grid(high))

    def table(self, depth):
        """From the reference edge to the fence."""
        return strip(self.edge, self.x, self.fence, depth)


def strip(edge, x, reach, depth):
    """A rectangle along an edge, `reach` wide."""
    low, high = (0.0, grid(reach)) if edge == "near" else (grid(depth - reach), depth)
    return box(grid(x[0]), low, grid(x[1]), high)


def lanes(made):
    """The lanes in their places, with the fence distances of offsets.json."""
    offsets = made.offsets
    return [
        Lane(p["id"], p["edge"], tuple(p["x"]), p["centre"], p["blade_width"], o["fence_distance"], o["thickness"])
        for p in made.places
        for o in [offsets[p["id"]]]
    ]


def size(made):
    """Length, depth, thickness, and height of the middle, of the block on the grid."""
    length, depth, thickness, fence = (grid(made.block[k]) for k in ("length", "depth", "thickness", "fence_height"))
    return length, depth, thickness, grid(thickness + fence)


def board(made, inset=0.0):
    """The board's outline, or what is within `inset` of it."""
    length, depth = made.block["length"], made.block["depth"]
    return on_grid(box(inset, inset, length - inset, depth - inset).difference(notches(made, inset)))


def on_grid(area):
    """An area with its corners on the grid of 1 µm."""
    return shapely.transform(area, lambda corners: (corners * 1000 + 0.5) // 1 / 1000)


def has_notches(made):
    """Whether the job asks for notches for the seam and the middle's ends have room for them."""
    wanted = ((made.job.get("print") or {}).get("seam_notch")) is not False
    return wanted and all(high - low >= NOTCH_ENDS for low, high in ends(made))


def ends(made):
    """From where to where the middle reaches everywhere along the first and the last millimetre of the block."""
    length, depth = made.block["length"], made.block["depth"]

    def reach(edge, start):
        """How far an edge's tables reach at most, to the last digit: the middle is rounded once only."""
        own = [(lane.x, lane.fence) for lane in lanes(made) if lane.edge == edge]
        own += [(gap, SETBACK) for gap in gaps(made, edge)]
        return max((fence for x, fence in own if x[0] < start + NOTCH and x[1] > start), default=0.0)

    return [(reach("near", start), depth - reach("far", start)) for start in (0.0, length - NOTCH)]


def notches(made, inset=0.0):
    """What the notches for the seam take of the two ends, off the grid; or of what is within `inset` of all sides."""
    if not has_notches(made):
        return Polygon()
    length = made.block["length"]
    middles = [(low + high) / 2 for low, high in ends(made)]
    # Its sides lean by 45 degrees: moved square to themselves, they meet the square root of 2 times as far in.
    deep = NOTCH + math.sqrt(2) * inset - inset
    wedges = [
        Polygon([(x, y - deep), (x + inward, y), (x, y + deep)])
        for x, y, inward in ((inset, middles[0], deep), (length - inset, middles[1], -deep))
    ]
    return shapely.MultiPolygon(wedges)


def foot(made):
    """The outline of the board's bottom."""
    return board(made, FRONT_RELIEF[0] if made.option("front_relief") else 0.0)


def gaps(made, edge):
    """Parts of an edge with lanes where there is none."""
    own = sorted((lane for lane in lanes(made) if lane.edge == edge), key=lambda lane: lane.x)
    ends = [0.0, *(end for lane in own for end in lane.x), size(made)[0]]
    return [gap for gap in zip(ends[::2], ends[1::2]) if own and grid(gap[1]) > grid(gap[0])]


def tables(made, edge):
    """All of an edge's tables, and the setback beside them; empty for an edge without lanes."""
    depth = size(made)[1]
    own = [lane.table(depth) for lane in lanes(made) if lane.edge == edge]
    return unary_union(own + [strip(edge, gap, SETBACK, depth) for gap in gaps(made, edge)])


def middle(made):
    """The middle: the board without the tables of both edges."""
    return board(made).difference(tables(made, "near")).difference(tables(made, "far"))


def grooves(made):
    """The grooves at the fences' feet, by lane; a lane too small for one has none."""
    _, depth, *_ = size(made)
    width = FOOT_RELIEF[0]
    found = {}
    for lane in lanes(made) if made.option("foot_relief") else []:
        x = lane.x[0] + GROOVE_ENDS, lane.x[1] - GROOVE_ENDS
        if x[1] - x[0] >= width and lane.fence >= width + MARK["edge"]:
            found[lane.id] = lane.across(x, (lane.fence - width, lane.fence), depth)
    return found


def marks(made):
    """Centre and square lines, by lane."""
    _, depth, *_ = size(made)
    found = {}
    for lane in lanes(made) if made.option("marks") else []:
        span = MARK["edge"], lane.fence - MARK["fence"]
        quarter = lane.blade_width / 4
        beside = [0.0] if lane.blade_width < MARK["narrow"] else [-quarter, 0.0, quarter]
        middles = [lane.centre + d for d in beside] if span[1] - span[0] >= MARK["shortest"] else []
        half = MARK["width"] / 2
        found[lane.id] = [lane.across((m - half, m + half), span, depth) for m in middles]
    return found


def hole(centre, wider=0.0, radius=SCREW_HOLE / 2):
    """The polygon around a screw hole, whose sides touch the circle."""
    half = math.pi / HOLE_CORNERS
    radius = (radius + wider) / math.cos(half)
    turns = [(2 * i + 1) * half for i in range(HOLE_CORNERS)]
    return on_grid(Polygon([(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns]))


@dataclass(frozen=True)
class Slab:
    """A level part of the block: what it is called, where it is and its area; letters are not known here."""

    name: str
    bottom: float
    top: float
    area: Polygon


def bed(made):
    """Width and depth of the printer's bed, mm."""
    form = (made.job.get("print") or {}).get("bed")
    return BED if form is None else tuple(quantities.length(side, made.job.get("units", "mm"))[0] for side in form)


def slabs(made):
    """The block from below: foot, board, the board's grooved top, middle, letters; areas without letters."""
    _, _, thickness, fences = size(made)
    centres = made.block["screw_holes"]
    relief, inset = (FRONT_RELIEF[1], FRONT_RELIEF[0]) if made.option("front_relief") else (0.0, 0.0)
    whole, foot_holes = (shapely.union_all([hole(c, w) for c in centres]) for w in (0.0, inset))
    cut = shapely.union_all([*grooves(made).values(), *(m for own in marks(made).values() for m in own)])
    floor = thickness if cut.is_empty else grid(thickness - FOOT_RELIEF[1])
    sunk, raised = (letters_deep(made) if is_lettered(made) and made.labels == how else 0 for how in ("sunk", "raised"))
    low, high = grid(fences - sunk), grid(fences + raised)
    upper = middle(made).difference(whole)
    stack = [
        Slab("foot", 0.0, relief, foot(made).difference(foot_holes)),
        Slab("board", relief, floor, board(made).difference(whole)),
        Slab("grooved", floor, thickness, board(made).difference(whole).difference(cut)),
        Slab("middle", thickness, low, upper),
        Slab("sunk", low, fences, upper),
        Slab("raised", fences, high, upper),
    ]
    return [slab for slab in stack if slab.top > slab.bottom]


def is_lettered(made):
    """Whether anything is written on the middle."""
    return made.labels != "none" and bool(made.part["labels"])


def letters_deep(made):
    """How deep or high letters are, mm."""
    layer = made.printer("layer", LAYER)
    return grid(max(1, math.floor(LETTERS_DEEP / layer + 0.5)) * layer)


CLEAT = {"height": 18.0, "around": 8.0, "pilot": 3.2}
"""Height of the cleat, its material around a hole, and diameter of its pilot holes, mm (the program's own rule)."""


def cleat(made):
    """The cleat as it is printed, bottom up: the block's plan mirrored, its corner at the origin."""
    holes = made.block["screw_holes"]
    (west, south), (east, north) = ([f(h[i] for h in holes) for i in (0, 1)] for f in (min, max))
    around, radius = CLEAT["around"], CLEAT["pilot"] / 2
    across, deep = east - west + 2 * around, north - south + 2 * around
    inset, relief = FRONT_RELIEF if made.option("front_relief") else (0.0, 0.0)
    centres = [(x - west + around, north + around - y) for x, y in holes]

    def area(by):
        outline = on_grid(box(by, by, across - by, deep - by))
        return outline.difference(shapely.union_all([hole(c, by, radius) for c in centres]))

    levels = [(0.0, relief, area(inset)), (relief, CLEAT["height"], area(0.0))]
    return [Slab("cleat", low, high, own) for low, high, own in levels if high > low]


def prisms(made):
    """The block without grooves, marks, holes and letters, from below: outline, bottom and top."""
    _, _, thickness, height = size(made)
    relief = FRONT_RELIEF[1] if made.option("front_relief") else 0.0
    stack = [(foot(made), 0.0, relief), (board(made), relief, thickness), (middle(made), thickness, height)]
    return [(outline, bottom, top) for outline, bottom, top in stack if top > bottom]


def hole_area():
    """Area of a screw hole: of the polygon whose sides touch the circle."""
    return HOLE_CORNERS * (SCREW_HOLE / 2) ** 2 * math.tan(math.pi / HOLE_CORNERS)


def is_plain(made):
    """Whether the job asks for no grooves, marks, holes and letters, so that [`prisms`] are the whole block."""
    return made.labels == "none" and not any(made.option(name) for name in ("foot_relief", "marks", "screw_holes"))
