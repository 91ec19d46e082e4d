"""Rebuilds the block's plan in shapely from what `make --json` says of lanes and sizes.

Plan frame: x along the edges, y from the near edge (0) to the far edge, mm. The program puts corners on a 1 µm grid.
"""

import math
from dataclasses import dataclass

from shapely.geometry import box
from shapely.ops import unary_union

SETBACK = 2.0
"""How far the island keeps from an edge with lanes where there is none, mm (the program's own rule)."""

FRONT_RELIEF = (0.4, 0.6)
"""Width and height of the rebate along the bottom edges, mm (the program's own rule, stated on its drawings)."""

FOOT_RELIEF = (1.0, 0.6)
"""Width and depth of the groove at a fence's foot, mm (the program's own rule, stated on its drawings)."""


SCREW_HOLE, HOLE_CORNERS = 4.5, 32
"""Diameter free for a screw, mm, and corners of the solid's polygon around it (the program's own rule)."""


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
        """Sense of y from the registering edge to the fence."""
        return 1.0 if self.edge == "near" else -1.0

    def apron(self, depth):
        """From the registering edge to the fence."""
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
    """Length, depth, thickness and height of the block on the grid."""
    return tuple(grid(made.block[k]) for k in ("length", "depth", "thickness", "height"))


def board(made, inset=0.0):
    """The board's outline, or what is within `inset` of it."""
    length, depth, *_ = size(made)
    return box(inset, inset, length - inset, depth - inset)


def foot(made):
    """The outline of the board's bottom."""
    return board(made, FRONT_RELIEF[0] if made.option("front_relief") else 0.0)


def aprons(made, edge):
    """All of an edge's aprons, and the setback beside them; empty for an edge without lanes."""
    length, depth, *_ = size(made)
    own = sorted((lane for lane in lanes(made) if lane.edge == edge), key=lambda lane: lane.x)
    ends = [0.0, *(end for lane in own for end in lane.x), length]
    gaps = [gap for gap in zip(ends[::2], ends[1::2]) if own and grid(gap[1]) > grid(gap[0])]
    return unary_union([lane.apron(depth) for lane in own] + [strip(edge, gap, SETBACK, depth) for gap in gaps])


def island(made):
    """The island: the board without the aprons of both edges."""
    return board(made).difference(aprons(made, "near")).difference(aprons(made, "far"))


def prisms(made):
    """The block without grooves, marks and holes, from below: outline, bottom and top."""
    _, _, thickness, height = size(made)
    relief = FRONT_RELIEF[1] if made.option("front_relief") else 0.0
    stack = [(foot(made), 0.0, relief), (board(made), relief, thickness), (island(made), thickness, height)]
    return [(outline, bottom, top) for outline, bottom, top in stack if top > bottom]


def hole_area():
    """Area of a screw hole: of the polygon whose sides touch the circle."""
    return HOLE_CORNERS * (SCREW_HOLE / 2) ** 2 * math.tan(math.pi / HOLE_CORNERS)


def is_plain(made):
    """Whether the job asks for neither grooves, marks nor holes, so that [`prisms`] are the whole block."""
    return not any(made.option(name) for name in ("foot_relief", "marks", "screw_holes"))
