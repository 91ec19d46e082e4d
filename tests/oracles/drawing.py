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

LABEL_BESIDE = 0.5
"""How far a label may reach past its lane, mm of paper."""


def check(made, sheets, report):
    """The block's sheet and the side views of one job."""
    lanes = guide.lanes(made)
    blocks = {f"{block.part['name']}.svg": block for block in made.each()}
    # The drawing goes on where one sheet does not take table and notes.
    continued = {name: [s for s in sheets if s.name.startswith(f"{name.removesuffix('.svg')}-sheet-")] for name in blocks}
    for sheet in sheets:
        unit = dimensions.unit_of(made)
        dimensions.check(sheet, report, unit)
        stated = sheet.by_id["title-block"].words()
        is_stated = f" unit {unit.name} " in stated
        report.expect("drawing values", is_stated, f"{sheet.name}: the unit is not {unit.name}: {stated!r}")
        if sheet.name in blocks:
            block_sheet(blocks[sheet.name], lanes, sheet, continued[sheet.name], report)
        elif sheet.name == "plate.svg":
            report.about = made.name
            figures.on_plate(made, lanes, sheet, report)
        elif sheet.name.startswith("side-"):
            report.about = made.name
            figures.at_block(made, lanes, sheet, report)


def block_sheet(made, lanes, sheet, more, report):
    """The sheet of one block, and those that go on with it."""
    rest = Together([sheet, *more])
    lanes = {place["id"]: lanes[place["id"]] for place in made.places}
    report.about = made.title
    cut, below = cut_parts(made, rest)
    outlines(made, sheet, report.of("drawing outlines"))
    section(made, sheet, rest, cut, report.of("drawing outlines"))
    hanging(made, rest, cut, below, report.of("drawing outlines"))
    arrangement(made, sheet, rest, report.of("drawing views"))
    lane_by_lane(made, lanes, sheet, rest, report)
    table(made, lanes, rest, report)
    figures.in_section(made, rest, cut, report)
    notes(made, rest, report.of("drawing values"))


def cut_parts(made, rest):
    """What is cut: the block, and the cleat below it where there is one and it is cut."""
    runs = rest.by_id["section-cut"].runs
    low = max(y for run in runs for _, y in run)
    foot = plan.CLEAT["height"] * rest.scale
    below = [run for run in runs if made.has_cleat() and min(y for _, y in run) > low - foot - DRAWN]
    return even_odd([run for run in runs if run not in below]), below


def hanging(made, rest, cut, below, expected):
    """The cleat as cut over the scale."""
    if not below:
        return
    ys = [y for _, y in made.block["screw_holes"]]
    around, k = plan.CLEAT["around"], 1 / rest.scale
    west, _, _, south = cut.bounds
    wanted = box(min(ys) - around, -plan.CLEAT["height"], max(ys) + around, 0.0)
    drawn = affinity.affine_transform(even_odd(below), [k, 0, 0, -k, -west * k, south * k])
    expected.near(drawn.hausdorff_distance(wanted), 0.0, 2 * written(rest.scale), "the cleat in the section")


class Together:
    """Several sheets of one drawing as one, for what may stand on any of them."""

    def __init__(self, sheets):
        # The section may have a smaller scale of its own.
        self.name, self.scale = sheets[0].name, next(s.scale for s in sheets if "section-cut" in s.by_id)
        self.by_id = {id: group for one in reversed(sheets) for id, group in one.by_id.items()}
        self.sheets = sheets

    def of_kind(self, kind):
        """The groups of a class."""
        return [group for one in self.sheets for group in one.of_kind(kind)]


def board_of(sheet):
    """Bounds of the board in the plan."""
    return Polygon(sheet.by_id["plan-board"].runs[0]).bounds


def outlines(made, sheet, expected):
    """The plan over the scale."""
    length, depth, *_ = plan.size(made)
    within, k = written(sheet.scale), 1 / sheet.scale
    west, north, east, south = board_of(sheet)
    expected.near((east - west) * k, length, within, "length of the board")
    expected.near((south - north) * k, depth, within, "depth of the board")

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
    # The plan lies with the near edge at the bottom: y of the block runs up the sheet.
    west, _, _, south = board_of(sheet)
    k = 1 / sheet.scale
    return affinity.affine_transform(shape, [k, 0, 0, -k, -west * k, south * k])


def middle_of(mark):
    """The line along the middle of a mark."""
    west, south, east, north = mark.bounds
    return LineString([((west + east) / 2, south), ((west + east) / 2, north)])


BESIDE_MARKS = 0.125
"""How far beside a lane's middle it is cut, by the width of its widest blade: between the marks (the program's own
rule)."""


def plane(lane):
    """Where a lane is cut, mm along the edge."""
    return lane.centre + BESIDE_MARKS * lane.blade_width


def section(made, sheet, rest, cut, expected):
    """The cut material over its scale."""
    depth, id = plan.size(made)[1], rest.by_id["section-cut"].data["lane"]
    within, k = written(rest.scale), 1 / rest.scale
    west, _, east, south = cut.bounds
    expected.near((east - west) * k, depth, within, "depth of the section")
    lane = next(lane for lane in plan.lanes(made) if lane.id == id)
    crossed = [mark for mark in plan.marks(made)[lane.id] if mark.bounds[0] <= plane(lane) <= mark.bounds[2]] if plan.marks(made) else []
    expected.equal(crossed, [], "marks that the section runs along")
    ours = affinity.affine_transform(cut, [k, 0, 0, -k, -west * k, south * k])
    # Beside the plane itself, for a wall may lie in it.
    letters = in_block(sheet, even_odd(sheet.by_id["plan-labels"].runs))
    cuts = [sliced(made, letters, plane(lane) + aside) for aside in (5e-4, -5e-4)]
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


def arrangement(made, sheet, rest, expected):
    """The symbol, the cutting plane, and that the section is turned and says so."""
    wanted = (made.job.get("sheet") or {}).get("projection") or "third"
    symbol, cutting = sheet.by_id["projection-symbol"], sheet.by_id["cutting-plane"]
    expected.equal(symbol.data["projection"], wanted, "projection stated")
    # The symbol shows the cone's small end, which points left, in full: seen from the left.
    cone, rings = Polygon(symbol.runs[0]).centroid.x, symbol.circles[0][0][0]
    expected.equal("third" if rings < cone else "first", wanted, "projection of the symbol")
    # Seen from the right, near to far goes up beside the plan; the section has it going right: turned clockwise.
    expected.expect(all(a.toward[0] < -0.99 for a in cutting.arrows), "the cutting plane's arrows do not look left")
    title = rest.by_id["section-title"]
    expected.equal(title.words(), "A–A 90°", "title of the section")
    expected.equal([turn > 0 for _, _, turn in title.arcs], [True], "arcs that turn clockwise")
    (arrow,) = title.arrows
    expected.expect(arrow.toward[1] > 0.99, "the arc's arrow does not point down at its right end")
    lane = next(lane for lane in plan.lanes(made) if lane.id == cutting.data["lane"])
    expected.equal(rest.by_id["section-cut"].data["lane"], lane.id, "lane that is cut")
    west = board_of(sheet)[0]
    for at in {s.line.bounds[0] for s in cutting.strokes if s.width == 0.5}:
        expected.near((at - west) / sheet.scale, plane(lane), written(sheet.scale), "cutting plane along the edge")


def is_tabular(sheet):
    """Whether fences are given by lane number, in the table (ISO 129-1, tabular dimensioning)."""
    return not [g for g in sheet.of_kind("dimension") if g.data["kind"] == "fence_distance"]


def label(group):
    """What a lane is called."""
    return f"{group.data['tool']} {float(group.data['angle']):.10g}°"


def lane_by_lane(made, lanes, sheet, rest, report):
    """Labels, fence dimensions, and the sizes of the block."""
    expected, values = report.of("drawing lanes"), report.of("drawing values")
    tabular = is_tabular(sheet)
    fences = [g for g in sheet.of_kind("dimension") if g.data["kind"] == "fence_distance"]
    expected.equal(len(fences), 0 if tabular else len(lanes), "fence dimensions")
    rim = Polygon(sheet.by_id["plan-middle"].runs[0]).exterior
    west, north, _, south = board_of(sheet)
    for number, lane in enumerate(plan.lanes(made), 1):
        situation, _, angle = lanes[lane.id]
        name = sheet.by_id[f"label-{lane.id}"]
        expected.equal(float(name.data["angle"]), angle, f"{lane.id}: angle of the label")
        expected.equal(name.words(), str(number) if tabular else label(name), f"{lane.id}: label")
        left, right = (west + x * sheet.scale for x in lane.x)
        for text in name.texts:
            low, top, high, bottom = text.shape.bounds
            in_lane = left - LABEL_BESIDE <= low and high <= right + LABEL_BESIDE
            expected.expect(in_lane, f"{lane.id}: label from {low} to {high}, its lane from {left} to {right}")
            beside = top > south if lane.edge == "near" else bottom < north
            expected.expect(beside, f"{lane.id}: label not beside the {lane.edge} edge")
        own = [g for g in fences if g.data["lane"] == lane.id]
        expected.equal(len(own), 0 if tabular else 1, f"{lane.id}: fence dimensions")
        for group in own:
            values.equal(group.number("value"), lane.fence, f"{lane.id}: fence distance")
            edge, wall = Point(group.point("from")), Point(group.point("to"))
            expected.near(edge.y, south if lane.edge == "near" else north, DRAWN, f"{lane.id}: from the {lane.edge} edge")
            expected.near(
                wall.distance(rim), 0.0, DRAWN, f"{lane.id}: mm of paper from the arrow to the fence drawn"
            )
            dimensions.fence_limits(made, group, situation, angle, report)
    wanted = {kind: made.block[kind] for kind in ("depth", "length", "thickness")}
    wanted["height"] = plan.size(made)[3]
    wanted["roller-below-table"] = made.offsets[rest.by_id["section-cut"].data["lane"]]["roller_below_table"]
    for kind, value in wanted.items():
        values.equal(rest.by_id[f"dim-{kind}"].number("value"), value, kind)
    if tabular:
        letter = sheet.by_id["dim-fence-letter"]
        lane = next(lane for lane in plan.lanes(made) if lane.id == letter.data["lane"])
        values.near(letter.number("value"), lane.fence, 1e-9, "the fence that the letter spans")
        wall = Point(letter.point("to"))
        expected.near(wall.distance(rim), 0.0, DRAWN, "mm of paper from the letter's arrow to the fence drawn")
    ends = {0.0, plan.size(made)[0], *(x for lane in plan.lanes(made) for x in lane.x)}
    for group in sheet.of_kind("dimension"):
        if group.data["kind"] == "lane-width":
            for end in ("from", "to"):
                at = (group.point(end)[0] - west) / sheet.scale
                off = min(abs(at - x) for x in ends)
                expected.near(off, 0.0, written(sheet.scale), f"{group.id}: mm from the end of a lane")


def table(made, lanes, sheet, report):
    """The table of offsets."""
    names = [g for g in sheet.of_kind("table-cell") if g.id.endswith("-0")]
    # On the same sheet: a long table goes on, and its rows have the same heights there.
    beside = {id(name): one for one in sheet.sheets for name in one.of_kind("table-cell")}
    tabular = is_tabular(sheet)
    report.equal("drawing tables", len(names), len(lanes), "rows of the table")
    for group in sheet.of_kind("table"):
        report.equal("drawing tables", group.words(), heads(made, tabular), f"{group.id}: heads")
    for number, lane in enumerate(plan.lanes(made), 1):
        start = f"table-{lane.id}-"
        row = {g.id.removeprefix(start): g for g in sheet.of_kind("table-value") if g.id.startswith(start)}
        name = label(sheet.by_id[f"label-{lane.id}"])
        first, own = row["fence_distance"].texts[0].at, next(one for one in sheet.sheets if row["fence_distance"].id in one.by_id)
        level = [g for g in names if beside[id(g)] is own and abs(g.texts[0].at[1] - first[1]) < 1e-3 and g.texts[0].at[0] < first[0]]
        wanted = f"{number} {name}" if tabular else name
        report.equal("drawing tables", [g.words() for g in level][-1:], [wanted], f"{lane.id}: name of its row")
        row_of(made, lane, lanes[lane.id][0], row, None if tabular else sheet.by_id[f"dim-fence-{lane.id}"], report)


def heads(made, tabular):
    """What stands over the columns: fractions and what they give are for jobs in inches alone."""
    unit = dimensions.unit_of(made)
    inches = unit is dimensions.INCHES
    fence = "f (fence)" if tabular else "fence"
    columns = ["no., lane" if tabular else "lane", f"{fence} {unit.name}", f"limits {unit.name}"]
    columns += [f"w (width) {unit.name}"] if tabular else []
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
        # A numbered table has the limits, the width and U, and spares what only helps to move a fence.
        wanted["width"] = (lane.x[1] - lane.x[0], 1e-9, unit.short)
        printed, about = unit.read(row["fence_distance"].words()), f"row of {lane.id}"
        dimensions.keeps_angle(made, situation, offset["angle"], lane.fence, printed, within, about, report)
    expected.equal(sorted(row), sorted(wanted), f"{lane.id}: cells")
    for what in row.keys() & wanted.keys():
        value, close, form = wanted[what]
        expected.near(row[what].number("value"), value, close, f"{lane.id}: {what}")
        expected.equal(row[what].words().replace("−", "-"), form(row[what].number("value")), f"{lane.id}: text of {what}")


def notes(made, sheet, expected):
    """What the notes say in numbers, to the digits they are written with, and which reliefs they speak of."""
    groups = [group for id, group in sheet.by_id.items() if id == "notes" or id.startswith("notes-")]
    said = " ".join(t.words for group in groups for t in group.texts if t.words != "–")
    unit = dimensions.unit_of(made)
    adds = r"Within the limits shown, a fence shifts its bevel by ±(\d+\.?\d*)° at most\."
    length = rf"(\d+\.\d{{{unit.decimals}}}) {unit.name}"
    numbers = {
        adds: (made.job.get("tolerance") or dimensions.TOLERANCE, 1.0),
        rf"The roller sits {length} below the table": (made.block["roller_below_table"], unit.mm),
    }
    if not made.has_cleat():
        # With a cleat the block hangs on that.
        numbers[rf"stick out at least {length} past the front"] = (made.block["overhang"], unit.mm)
    for pattern, (value, of) in numbers.items():
        found = re.search(pattern, said)
        if expected.expect(found, f"the notes do not say {pattern!r}: {said}"):
            decimals = len(found[1].partition(".")[2])
            expected.equal(float(found[1]), float(f"{value / of:.{decimals}f}"), f"number in {found[0]!r}")
    front, foot = plan.FRONT_RELIEF, plan.FOOT_RELIEF
    if unit is dimensions.INCHES:
        front, foot, hole = ([unit.short(mm) for mm in of] for of in (front, foot, (4.5,)))
    else:
        front, foot, hole = [f"{mm:g}" for mm in front], [f"{mm:g}" for mm in foot], ["4.5"]
    wanted = {
        f"Relief {front[0]} wide, {front[1]} high along": made.option("front_relief"),
        f"Groove {foot[0]} wide, {foot[1]} deep": made.option("foot_relief"),
        f"Holes Ø {hole[0]} through": bool(sheet.by_id["plan-screw-holes"].circles),
    }
    for words, says in wanted.items():
        expected.equal(words in said, says, f"the notes say {words!r}")
    for hole in made.block["screw_holes"]:
        at = ", ".join(unit.short(mm) for mm in hole)
        expected.expect(at in said, f"the notes do not say where the hole at {at} is")
