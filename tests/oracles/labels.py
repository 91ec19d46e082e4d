"""The lettering of a block: what it says, where it stands, its shapes against the font, and what a nozzle makes of it."""

import math
from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
import shapely
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont
from shapely import affinity

import drawing
import plan
import sheet
import stl

GROUPS = {
    "labels words": "every lane says angle, tool and projection, the block its title and guide, or a warning says why not",
    "labels place": "labels stand by their own fence, in their lane, clear of each other, of walls, holes and screw heads",
    "labels drawn": "the drawing's outlines = the mesh's within the drawing's rounding, either way; data-area = its area",
    "labels font": "fontTools: every sign's outline = matplotlib's DejaVu Sans Bold x 0.9 (condensed, from memory) in 0.04 mm",
    "labels strokes": "shapely: a disc as wide as the nozzle passes through every stroke and every gap (opening, closing)",
}

CONDENSED = 0.9
"""Width of the condensed font over the plain one's (from memory)."""

CAPITAL = 1493
"""Height of capitals, font units (DejaVu Sans, from memory)."""

SHAPE = 0.04
"""How far outlines may be from the font's, mm: runs for curves (0.03 mm, the program's own rule), and the grid."""

DEGREE = "°"
"""A sign that the program draws itself: a ring whose stroke a nozzle prints."""

HEAD = 5.0
"""Radius free for a screw's head, mm (the program's own rule)."""

LEAST_HEIGHT = 3.0
"""Least height of capitals, mm (the program's own rule)."""

LEFT_OFF = "title and guide are left off the block"
"""What a warning says where they are (the program's own words)."""

PLACED = 0.005
"""Rounding of places to the grid, mm."""

EXACT = 0.999
"""The disc is this much smaller, so that a stroke of just the nozzle's width passes."""

CORNER = 1.5
"""What the disc may leave in a corner, squares of the nozzle's width: (cot(a/2) - (pi - a)/2) / 4 of one of 15 degrees."""


def check(made, report):
    """All checks of one block's lettering."""
    slab = plan.slabs(made)[-1]
    page = sheet.Sheet("", made.own("svg"))
    letters = shapely.MultiPolygon()
    if plan.is_lettered(made):
        letters = stl.letters_of([slab], [stl.section(stl.nominal(made), (slab.bottom + slab.top) / 2)])
    outlines(made, letters, page, report.of("labels drawn"))
    words(made, report.of("labels words"))
    if letters.is_empty:
        return
    signs = place(made, letters, report.of("labels place"))
    for label, pieces in signs:
        shapes(made, label, pieces, report.of("labels font"))
    strokes(made, letters, report.of("labels strokes"))


def outlines(made, letters, page, expected):
    """The lettering as drawn and as made."""
    group, k = page.by_id["plan-labels"], 1 / page.scale
    expected.near(group.number("area"), letters.area, 1e-6, "data-area")
    rings = [ring for p in letters.geoms for ring in (p.exterior, *p.interiors)]
    expected.equal(len(group.runs), len(rings), "outlines drawn")
    if not rings or not group.runs:
        return
    ours = [drawing.in_block(page, shapely.LinearRing(run)) for run in group.runs]
    # Two coordinates and the board's corner that they are counted from, four decimals of paper each.
    within = 3 * 5e-5 * k * math.sqrt(2)
    for one, other, what in ((ours, rings, "drawn"), (rings, ours, "made")):
        off = farthest(one, other)
        expected.expect(off <= within, f"a corner {what} is {off} mm off, {within} mm allowed")


def farthest(rings, others):
    """How far the corners of rings are from other rings at most."""
    corners = shapely.points(np.concatenate([shapely.get_coordinates(ring) for ring in rings]))
    ends = [shapely.get_coordinates(ring) for ring in others]
    tree = shapely.STRtree(np.concatenate([shapely.linestrings(np.stack([e[:-1], e[1:]], axis=1)) for e in ends]))
    return float(tree.query_nearest(corners, all_matches=False, return_distance=True)[1].max())


def words(made, expected):
    """What is written."""
    warnings = " ".join(made.part["warnings"])
    labels = {label["lane"]: label for label in made.part["labels"]}
    if made.labels == "none":
        expected.equal(len(labels), 0, "labels that were not asked for")
        return
    inches = made.job.get("units", "mm") == "in"
    for setting in made.job["settings"]:
        name = setting.get("id") or made.tools[setting["tool"]]["name"]
        for degrees in setting["angles"]:
            id = f"{name}-{degrees:.10g}"
            if id not in [p["id"] for p in made.places]:
                continue
            projection = made.offsets[id]["projection"]
            far = f'{projection / 25.4:.3f}"' if inches else f"{projection:.1f}"
            angle = f"{degrees:.10g}{DEGREE}"
            said = plain(text_of(labels[id])) if id in labels else ""
            # The head first, then name and projection as they find room.
            wholes = {angle + plain(name) + far, angle + far + plain(name)}
            expected.expect(said in wholes | {angle + far, angle, ""} or id in warnings, f"{id} says {said!r}, not {wholes}")
            expected.expect(said in wholes or id in warnings, f"{id} says {said!r} only, and no warning says so")
    mark = text_of(labels[None]) if None in labels else ""
    blocks = len(made.summary["blocks"])
    number = f"{made.which + 1}/{blocks}" if blocks > 1 else ""
    wanted = plain(made.job["title"] + number + made.guide["name"])
    # The fingerprint joins where it still goes.
    is_whole = plain(mark) in (wanted, wanted + made.summary["fingerprint"])
    expected.expect(is_whole or not mark, f"the block says {mark!r}, not {wanted!r}")
    expected.equal(LEFT_OFF in warnings, not mark, f"the block says {mark!r}, and a warning says that it lacks its words")


def text_of(label):
    """All words of a label."""
    return "".join(line["words"] for line in label["lines"])


def plain(text):
    """Words without spaces, in capitals."""
    return text.upper().replace(" ", "")


def place(made, letters, expected):
    """Where labels are; returns every label with its pieces, in the frame of one who reads it."""
    nozzle = made.printer("nozzle", plan.NOZZLE)
    wall = max(1.0, 2.5 * nozzle)
    upper = plan.middle(made)
    expected.expect(
        upper.contains(letters) and upper.boundary.distance(letters) >= wall - PLACED,
        f"lettering nearer than {wall} mm to the raised middle's sides",
    )
    for centre in made.block["screw_holes"]:
        free = letters.distance(shapely.Point(centre))
        expected.expect(free >= HEAD - PLACED, f"lettering {free} mm from the middle of a screw hole")
    labels = made.part["labels"]
    extents = [shapely.box(*label["extent"][0], *label["extent"][1]) for label in labels]
    tree = shapely.STRtree(extents)
    clear = nozzle - PLACED
    near = tree.query(extents, predicate="dwithin", distance=clear).T
    expected.equal([(a, b) for a, b in near.tolist() if a < b], [], "labels nearer to each other than the nozzle's width")
    lanes = {lane.id: lane for lane in plan.lanes(made)}
    pieces = list(letters.geoms)
    homes = tree.query(pieces, predicate="intersects").T
    found = [(label, []) for label in labels]
    for piece, home in homes.tolist():
        found[home][1].append(pieces[piece])
    expected.equal(sorted(p for p, _ in homes.tolist()), list(range(len(pieces))), "labels that pieces belong to")
    for (label, own), extent in zip(found, extents):
        about, bounds = f"label of {label['lane']}", shapely.total_bounds(own)
        off = max(abs(a - b) for a, b in zip(bounds, extent.bounds))
        expected.expect(off <= PLACED, f"{about}: {bounds.tolist()}, {extent.bounds} stated")
        least = min(line["height"] for line in label["lines"])
        expected.expect(least >= LEAST_HEIGHT, f"{about}: capitals {least} mm high")
        lane = lanes.get(label["lane"])
        if lane is None:
            continue
        expected.near((bounds[0] + bounds[2]) / 2, lane.centre, PLACED, f"{about}: middle")
        inside = lane.x[0] + wall <= bounds[0] + PLACED and bounds[2] - PLACED <= lane.x[1] - wall
        expected.expect(inside, f"{about}: {bounds[0]} to {bounds[2]} in a lane of {lane.x}")
        depth = plan.size(made)[1]
        tables = {edge: plan.tables(made, edge) for edge in ("near", "far")}
        fence = lane.table(depth)
        other = tables["far" if lane.edge == "near" else "near"]
        nearer = extent.distance(fence) <= (extent.distance(other) if not other.is_empty else math.inf) + PLACED
        expected.expect(nearer, f"{about}: nearer to the other edge's fence")
    heights = {line["height"] for label in labels if label["lane"] is not None for line in label["lines"]}
    expected.expect(len(heights) <= 2, f"lanes lettered in heights of {heights}: one large, one small")
    far = {id for id, lane in lanes.items() if lane.edge == "far"}
    return [(label, [turned(p) if label["lane"] in far else p for p in own]) for label, own in found]


def turned(piece):
    """As one sees it who stands at the far edge."""
    return affinity.scale(piece, -1, -1, origin=(0, 0))


class Contours(BasePen):
    """The outlines of a glyph as straight runs."""

    RUNS = 24

    def __init__(self, glyphs):
        super().__init__(glyphs)
        self.contours = []

    def _moveTo(self, point):
        self.contours.append([point])

    def _lineTo(self, point):
        self.contours[-1].append(point)

    def _qCurveToOne(self, control, end):
        a, b, c = map(np.array, (self.contours[-1][-1], control, end))
        for t in np.arange(1, self.RUNS + 1) / self.RUNS:
            self.contours[-1].append(tuple((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c))

    def _closePath(self):
        pass


@cache
def glyph(sign):
    """A sign's area, its capitals 1 high, its baseline beginning at zero, and its advance."""
    face = TTFont(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans-Bold.ttf")
    glyphs, name = face.getGlyphSet(), face.getBestCmap()[ord(sign)]
    pen = Contours(glyphs)
    glyphs[name].draw(pen)
    rings = [shapely.LinearRing(contour) for contour in pen.contours]
    # Outlines of TrueType run clockwise around ink.
    inked = shapely.union_all([shapely.Polygon(r) for r in rings if not r.is_ccw])
    area = inked.difference(shapely.union_all([shapely.Polygon(r) for r in rings if r.is_ccw]))
    scale = 1 / CAPITAL
    return affinity.scale(area, CONDENSED * scale, scale, origin=(0, 0)), CONDENSED * glyphs[name].width * scale


def shapes(made, label, pieces, expected):
    """Every sign of a label, in order, and how the signs follow each other."""
    about = f"label of {label['lane']}"
    if label["frame"]:
        # The frame is one of the pieces: the one around all others.
        pieces = [p for p in pieces if p.bounds != tuple(shapely.total_bounds(pieces))]
    lines = by_lines(pieces, label["lines"])
    if not expected.expect(lines, f"{about}: pieces that stand on no line"):
        return
    for line, own in zip(label["lines"], lines):
        text, height = line["words"], line["height"]
        own = sorted(own, key=lambda p: p.bounds[0])
        signs = [(c, *sign(c, height, made)) for c in text if c != " "]
        counts = [len(stl.parts(area)) for _, area, _ in signs]
        if not expected.equal(len(own), sum(counts), f"{about}: pieces of {text!r}"):
            continue
        starts = np.cumsum([0, *counts])
        baselines = []
        for (c, area, _), start, count in zip(signs, starts, counts):
            mine = shapely.union_all(own[start : start + count])
            across, up = (mine.bounds[i] - area.bounds[i] for i in (0, 1))
            meant = affinity.translate(area, across, up)
            off = max(farthest(rings_of(mine), rings_of(meant)), farthest(rings_of(meant), rings_of(mine)))
            expected.expect(off <= SHAPE, f"{about}: {c!r} of {text!r} is {off:.4f} mm off the font")
            baselines.append((across, up))
        ups = [up for _, up in baselines]
        expected.expect(max(ups) - min(ups) <= SHAPE, f"{about}: baseline of {text!r} from {min(ups)} to {max(ups)}")
        runs = list(zip(text.replace(" ", ""), baselines, baselines[1:]))
        advances = advances_of(text, height, made)
        for (c, (a, _), (b, _)), advance in zip(runs, advances):
            expected.expect(b - a >= advance - SHAPE, f"{about}: {c!r} of {text!r} takes {b - a}, not {advance} mm")


def advances_of(text, height, made):
    """How far each sign but the last is from the next at least, spaces included."""
    found, waiting = [], None
    for c in text:
        advance = sign(c, height, made)[1] if c != " " else glyph(" ")[1] * height
        if c != " ":
            if waiting is not None:
                found.append(waiting)
            waiting = 0.0
        if waiting is not None:
            waiting += advance
    return found


def sign(c, height, made):
    """Area and advance of a sign."""
    if c == DEGREE:
        radius = max(0.2 * height, 1.6 * made.printer("nozzle", plan.NOZZLE))
        middle = shapely.Point(radius, height - radius)
        ring = middle.buffer(radius).difference(middle.buffer(0.35 * radius))
        return ring, 2 * radius
    area, advance = glyph(c)
    return affinity.scale(area, height, height, origin=(0, 0)), advance * height


def rings_of(area):
    """All outlines."""
    return [ring for part in stl.parts(area) for ring in (part.exterior, *part.interiors)]


def by_lines(pieces, lines):
    """The pieces of each line, as it says where it begins and how high it is; none where one stands on no line."""
    found = [[] for _ in lines]
    for piece in pieces:
        middle = (piece.bounds[1] + piece.bounds[3]) / 2
        homes = []
        for i, line in enumerate(lines):
            # As one reads it, who stands at its edge.
            x, y = (-a if line["turned"] else a for a in line["at"])
            if -0.35 * line["height"] <= middle - y <= 1.35 * line["height"] and x - PLACED <= piece.bounds[2]:
                homes.append((x, -abs(middle - y - line["height"] / 2), i))
        if not homes:
            return []
        found[max(homes)[2]].append(piece)
    return found


def strokes(made, letters, expected):
    """Opening and closing with a disc as wide as the nozzle."""
    nozzle = made.printer("nozzle", plan.NOZZLE)
    radius = EXACT * nozzle / 2
    thin, thick = letters.buffer(-radius), letters.buffer(radius)
    expected.equal(count(thin), count(letters), "pieces and holes where the disc's middle can go")
    expected.equal(count(thick), count(letters), "pieces and holes around which the disc's middle can go")
    ink, gaps = letters.difference(thin.buffer(radius)), thick.buffer(-radius).difference(letters)
    for missed, what in ((ink, "strokes"), (gaps, "gaps")):
        left = max(p.area for p in stl.parts(missed)) / nozzle**2
        expected.expect(left <= CORNER, f"{what} leave {left} squares of the nozzle out")


def count(area):
    """Pieces and holes."""
    pieces = [p for p in stl.parts(area) if not p.is_empty]
    return len(pieces), sum(len(p.interiors) for p in pieces)
