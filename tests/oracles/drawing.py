"""The block's sheet, held against the numbers: outlines, lanes, table, notes, arrangement of the views."""

import re

from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

import asked
import dimensions
import figures
import guide
import plan
from dimensions import written
from sheet import even_odd

GROUPS = {
    "drawing outlines": "shapely: board, middle, holes and section as drawn, over the scale = the block (1e-3 mm)",
    "drawing lanes": "each lane has its label and one fence dimension from edge to fence, or its number and row",
    "drawing tables": "every cell's text = its value = offsets.json or numeric turning; in: nearest fraction, reduced",
    "drawing views": "the section stands as the projection symbol says (ISO 5456-2, third or first angle)",
    **dimensions.GROUPS,
    **figures.GROUPS,
}

DRAWN = 2e-3
"""How far from each other things that touch may be drawn, mm of paper."""

LABEL_BESIDE = 3.5
"""How far the middle of a label may be from the middle of its lane, mm of paper: a line of lettering."""


def check(made, sheets, report):
    """The block's sheet and the side views of one job."""
    lanes = guide.lanes(made)
    blocks = {f"{block.part['name']}.svg": block for block in made.each()}
    for sheet in sheets:
        unit = dimensions.unit_of(made)
        dimensions.check(sheet, report, unit)
        stated = sheet.by_id["title-block"].words()
        is_stated = f" unit {unit.name} " in stated
        report.expect("drawing values", is_stated, f"{sheet.name}: the unit is not {unit.name}: {stated!r}")
        if sheet.name in blocks:
            block_sheet(blocks[sheet.name], lanes, sheet, report)
        else:
            report.about = made.name
            figures.at_block(made, lanes, sheet, report)


def block_sheet(made, lanes, sheet, report):
    """The sheet of one block."""
    lanes = {place["id"]: lanes[place["id"]] for place in made.places}
    report.about = made.title
    cut = even_odd(sheet.by_id["section-cut"].runs)
    outlines(made, sheet, report.of("drawing outlines"))
    section(made, sheet, cut, report.of("drawing outlines"))
    arrangement(made, sheet, cut, report.of("drawing views"))
    lane_by_lane(made, lanes, sheet, report)
    table(made, lanes, sheet, report)
    figures.in_section(made, sheet, cut, report)
    notes(made, sheet, report.of("drawing values"))


def board_of(sheet):
    """Bounds of the board in the plan."""
    return Polygon(sheet.by_id["plan-board"].runs[0]).bounds


def outlines(made, sheet, expected):
    """The plan over the scale."""
    length, depth, *_ = plan.size(made)
    within, k = written(sheet.scale), 1 / sheet.scale
    west, north, east, south = board_of(sheet)
    expected.near((east - west) * k, depth, within, "depth of the board")
    expected.near((south - north) * k, length, within, "length of the board")

    def to_block(shape):
        return in_block(sheet, shape)

    middle, holes = plan.middle(made), sheet.by_id["plan-screw-holes"]
    for centre, radius in holes.circles:
        expected.near(2 * radius * k, holes.number("diameter"), within, "diameter of a screw hole")
        inside = middle.contains(to_block(Point(centre).buffer(radius)))
        expected.expect(inside, f"the screw hole at {centre} is not in the raised middle")
    missing = len(holes.circles) * plan.hole_area()
    for name, wanted in (("board", plan.board(made)), ("middle", middle)):
        group = sheet.by_id[f"plan-{name}"]
        odd = to_block(Polygon(group.runs[0])).symmetric_difference(wanted).area
        expected.near(odd, 0.0, within * wanted.length, f"area off the {name}'s outline")
        expected.near(group.number("area"), wanted.area - missing, 1e-3 * wanted.length, f"data-area of the {name}")
    named = {slab.name: (slab.area.area, stated["area"]) for slab, stated in zip(plan.slabs(made), made.block["slabs"])}
    drawn = sheet.by_id["plan-middle"].number("area")
    expected.near(drawn, named["middle"][1], 1e-6, "data-area of the raised middle's slab")
    pieces = {
        "grooves": list(plan.grooves(made).values()),
        "marks": [mark for own in plan.marks(made).values() for mark in own],
    }
    drawn = [to_block(Polygon(run)) for run in sheet.by_id["plan-grooves"].runs]
    odd = unary_union(drawn).symmetric_difference(unary_union(pieces["grooves"]))
    expected.near(odd.area, 0.0, within * odd.length, "area off the grooves")
    lines = [to_block(stroke.line) for stroke in sheet.by_id["plan-marks"].strokes]
    expected.equal(len(lines), len(pieces["marks"]), "marks")
    for line in lines:
        apart = min((line.hausdorff_distance(middle_of(mark)) for mark in pieces["marks"]), default=float("nan"))
        expected.near(apart, 0.0, 2 * within, f"middle of the mark at {line.bounds}")


def in_block(sheet, shape):
    """A shape of the plan in the block's own frame and size."""
    # The plan lies with the near edge at the left: x of the block runs down the sheet.
    west, north, _, _ = board_of(sheet)
    k = 1 / sheet.scale
    return affinity.affine_transform(shape, [0, k, k, 0, -north * k, -west * k])


def middle_of(mark):
    """The line along the middle of a mark."""
    west, south, east, north = mark.bounds
    return LineString([((west + east) / 2, south), ((west + east) / 2, north)])


def section(made, sheet, cut, expected):
    """The cut material over the scale."""
    depth = plan.size(made)[1]
    within, k = written(sheet.scale), 1 / sheet.scale
    west, _, east, south = cut.bounds
    expected.near((east - west) * k, depth, within, "depth of the section")
    expected.near(west, board_of(sheet)[0], DRAWN, "section in line with the plan, mm of paper")
    lane = next(lane for lane in plan.lanes(made) if lane.id == sheet.by_id["section-cut"].data["lane"])
    ours = affinity.affine_transform(cut, [k, 0, 0, -k, -west * k, south * k])
    # Beside the plane itself, for a wall may lie in it.
    letters = in_block(sheet, even_odd(sheet.by_id["plan-labels"].runs))
    cuts = [sliced(made, letters, lane.centre + aside) for aside in (5e-4, -5e-4)]
    # The height is among what the areas tell.
    off = [ours.symmetric_difference(whole).area - within * whole.length for whole in cuts]
    expected.expect(min(off) <= 0.0, f"area off the section: {min(off)} mm2 too much")


def sliced(made, letters, x):
    """The block cut at `x`, rebuilt from its slabs, and from its letters as the plan shows them."""
    _, depth, *_ = plan.size(made)
    plane = LineString([(x, -1), (x, depth + 1)])
    boxes = []
    for slab in plan.slabs(made):
        area = {"sunk": slab.area.difference(letters), "raised": letters}.get(slab.name, slab.area)
        for run in getattr(area.intersection(plane), "geoms", [area.intersection(plane)]):
            if not run.is_empty:
                boxes.append(box(run.bounds[1], slab.bottom, run.bounds[3], slab.top))
    return unary_union(boxes)


def arrangement(made, sheet, cut, expected):
    """Third or first angle."""
    wanted = (made.job.get("sheet") or {}).get("projection") or "third"
    symbol, plane = sheet.by_id["projection-symbol"], sheet.by_id["cutting-plane"]
    expected.equal(symbol.data["projection"], wanted, "projection stated")
    # The symbol shows the cone's small end, which points left, in full: seen from the left.
    cone, rings = Polygon(symbol.runs[0]).centroid.x, symbol.circles[0][0][0]
    expected.equal("third" if rings < cone else "first", wanted, "projection of the symbol")
    # The section looks up the sheet, so it is a view from below the plan.
    _, north, _, south = board_of(sheet)
    expected.equal("third" if cut.bounds[1] > south else "first", wanted, "where the section stands")
    expected.expect(all(a.toward[1] < -0.99 for a in plane.arrows), "the cutting plane's arrows do not look up")
    lane = next(lane for lane in plan.lanes(made) if lane.id == plane.data["lane"])
    for level in {s.line.bounds[1] for s in plane.strokes if s.width == 0.5}:
        expected.near((level - north) / sheet.scale, lane.centre, written(sheet.scale), "cutting plane along the edge")


def is_tabular(sheet):
    """Whether fences are given by lane number, in the table (ISO 129-1, tabular dimensioning)."""
    return not [g for g in sheet.of_kind("dimension") if g.data["kind"] == "fence_distance"]


def label(group):
    """What a lane is called."""
    return f"{group.data['tool']} {float(group.data['angle']):.10g}°"


def lane_by_lane(made, lanes, sheet, report):
    """Labels, fence dimensions, and the sizes of the block."""
    expected, values = report.of("drawing lanes"), report.of("drawing values")
    tabular = is_tabular(sheet)
    fences = [g for g in sheet.of_kind("dimension") if g.data["kind"] == "fence_distance"]
    expected.equal(len(fences), 0 if tabular else len(lanes), "fence dimensions")
    rim = Polygon(sheet.by_id["plan-middle"].runs[0]).exterior
    west, north, east, _ = board_of(sheet)
    for number, lane in enumerate(plan.lanes(made), 1):
        situation, _, angle = lanes[lane.id]
        name = sheet.by_id[f"label-{lane.id}"]
        expected.equal(float(name.data["angle"]), angle, f"{lane.id}: angle of the label")
        expected.equal(name.words(), str(number) if tabular else label(name), f"{lane.id}: label")
        middle, level = name.texts[0].shape.centroid, north + lane.centre * sheet.scale
        expected.near(middle.y, level, LABEL_BESIDE, f"{lane.id}: label beside the lane, mm of paper")
        beside = middle.x < west if lane.edge == "near" else middle.x > east
        expected.expect(beside, f"{lane.id}: label not beside the {lane.edge} edge")
        own = [g for g in fences if g.data["lane"] == lane.id]
        expected.equal(len(own), 0 if tabular else 1, f"{lane.id}: fence dimensions")
        for group in own:
            values.equal(group.number("value"), lane.fence, f"{lane.id}: fence distance")
            edge, wall = Point(group.point("from")), Point(group.point("to"))
            expected.near(edge.x, west if lane.edge == "near" else east, DRAWN, f"{lane.id}: from the {lane.edge} edge")
            expected.near(
                wall.distance(rim), 0.0, DRAWN, f"{lane.id}: mm of paper from the arrow to the fence drawn"
            )
            dimensions.fence_limits(made, group, situation, angle, report)
    wanted = {kind: made.block[kind] for kind in ("depth", "length", "thickness")}
    wanted["height"] = plan.size(made)[3]
    wanted["roller-below-table"] = made.offsets[sheet.by_id["section-cut"].data["lane"]]["roller_below_table"]
    for kind, value in wanted.items():
        values.equal(sheet.by_id[f"dim-{kind}"].number("value"), value, kind)


def table(made, lanes, sheet, report):
    """The table of offsets."""
    names = [g for g in sheet.of_kind("table-cell") if g.id.endswith("-0")]
    tabular = is_tabular(sheet)
    report.equal("drawing tables", len(names), len(lanes), "rows of the table")
    for group in sheet.of_kind("table"):
        report.equal("drawing tables", group.words(), heads(made, tabular), f"{group.id}: heads")
    for number, lane in enumerate(plan.lanes(made), 1):
        start = f"table-{lane.id}-"
        row = {g.id.removeprefix(start): g for g in sheet.of_kind("table-value") if g.id.startswith(start)}
        name = label(sheet.by_id[f"label-{lane.id}"])
        first = row["fence_distance"].texts[0].at
        level = [g for g in names if abs(g.texts[0].at[1] - first[1]) < 1e-3 and g.texts[0].at[0] < first[0]]
        wanted = f"{number} {name}" if tabular else name
        report.equal("drawing tables", [g.words() for g in level][-1:], [wanted], f"{lane.id}: name of its row")
        row_of(made, lane, lanes[lane.id][0], row, None if tabular else sheet.by_id[f"dim-fence-{lane.id}"], report)


def heads(made, tabular):
    """What stands over the columns: fractions and what they give are for jobs in inches alone."""
    unit = dimensions.unit_of(made)
    inches = unit is dimensions.INCHES
    columns = ["no., lane" if tabular else "lane", f"fence {unit.name}", f"limits {unit.name}"]
    columns += [f"fence in, 1/{finest(made)}"] if inches else []
    columns += [] if tabular else [f"{unit.name} per degree"]
    columns += ["fraction gives, °"] if inches and not tabular else []
    return " ".join([*columns, "± angle °"])


def finest(made):
    """The fraction of an inch that the shop's rules are divided to (the program's own default)."""
    return (made.job.get("wood") or {}).get("fraction", 64)


def row_of(made, lane, situation, row, dimension, report):
    """A lane's row; without a fence dimension the lane's limits stand here alone."""
    expected = report.of("drawing tables")
    offset, bearing, unit = made.offsets[lane.id], guide.bearing(made), dimensions.unit_of(made)
    within, printed = row["limits"].number("value"), unit.read(row["limits"].words().removeprefix("±"))
    expected.near(printed, within, 1e-9, f"{lane.id}: limits as printed")
    wanted = {
        "fence_distance": (lane.fence, 0.0, unit.text),
        "limits": (within, 0.0, lambda value: f"±{unit.text(value)}"),
        "angle_uncertainty": (offset["angle_uncertainty"], 0.0, "{:.2f}".format),
    }
    if unit is dimensions.INCHES:
        inches = asked.to(lane.fence, finest(made))
        wanted["inches"] = (inches.mm, 1e-9, lambda _: inches.words)
    if dimension:
        expected.near(dimension.number("upper") - lane.fence, within, 1e-9, f"{lane.id}: limits of table and plan")
        wanted["mm_per_degree"] = (offset["mm_per_degree"], 0.0, unit.text)
        if unit is dimensions.INCHES:
            wanted["inches_give"] = (situation.bevel_of_fence(inches.mm, bearing), 1e-9, "{:.2f}".format)
    else:
        # A numbered table has the limits and U, and spares what only helps to move a fence.
        printed, about = unit.read(row["fence_distance"].words()), f"row of {lane.id}"
        dimensions.keeps_angle(made, situation, offset["angle"], lane.fence, printed, within, about, report)
    expected.equal(sorted(row), sorted(wanted), f"{lane.id}: cells")
    for what in row.keys() & wanted.keys():
        value, close, form = wanted[what]
        expected.near(row[what].number("value"), value, close, f"{lane.id}: {what}")
        expected.equal(row[what].words(), form(row[what].number("value")), f"{lane.id}: text of {what}")


def notes(made, sheet, expected):
    """What the notes say in numbers, to the digits they are written with, and which reliefs they speak of."""
    said = " ".join(t.words for t in sheet.by_id["notes"].texts if t.words != "–")
    unit = dimensions.unit_of(made)
    adds = r"Within the limits shown, a fence shifts its bevel by ±(\d+\.?\d*)° at most\."
    length = rf"(\d+\.\d{{{unit.decimals}}}) {unit.name}"
    numbers = {
        adds: (made.job.get("tolerance") or dimensions.TOLERANCE, 1.0),
        rf"The roller sits {length} below the table": (made.block["roller_below_table"], unit.mm),
        rf"stick out at least {length} past the front": (made.block["overhang"], unit.mm),
    }
    for pattern, (value, of) in numbers.items():
        found = re.search(pattern, said)
        if expected.expect(found, f"the notes do not say {pattern!r}: {said}"):
            decimals = len(found[1].partition(".")[2])
            expected.equal(float(found[1]), float(f"{value / of:.{decimals}f}"), f"number in {found[0]!r}")
    front, foot = plan.FRONT_RELIEF, plan.FOOT_RELIEF
    if unit is dimensions.INCHES:
        front, foot, hole = ([f"{mm / unit.mm:.3f}" for mm in of] for of in (front, foot, (4.5,)))
    else:
        front, foot, hole = [f"{mm:.2f}" for mm in front], [f"{mm:g}" for mm in foot], ["4.5"]
    wanted = {
        f"Relief {front[0]} × {front[1]} {unit.name}": made.option("front_relief"),
        f"Groove {foot[0]} wide, {foot[1]} deep": made.option("foot_relief"),
        f"Holes Ø {hole[0]} through": bool(sheet.by_id["plan-screw-holes"].circles),
    }
    for words, says in wanted.items():
        expected.equal(words in said, says, f"the notes say {words!r}")
