"""Guide, blade, block and bench as the drawings show them: they touch, reach, hang and dip as the numbers say."""

import math
import re

from shapely.geometry import LineString, Point, Polygon

import dimensions
import plan
from dimensions import written

GROUPS = {
    "drawing figures": "shapely: guide, blade, block and bench as drawn touch, reach, hang and dip as they should"
}

TOUCH = 2e-3
"""How far from each other things that touch may be drawn, mm of paper."""


def on_block(sheet, prefix, edge, inward, lane, expected):
    """Guide and blade on a block whose reference edge meets its table at `edge`."""
    within, k, about = 2 * written(sheet.scale), sheet.scale, f"{sheet.name}: {lane['id']}"
    tip = sheet.by_id[f"{prefix}blade"].runs[0][0]
    out = (tip[0] - edge[0]) * inward / k
    expected.near(out, lane["fence_distance"], within, f"{about}: the blade's edge from the block's")
    expected.near((edge[1] - tip[1]) / k, lane["thickness"], within, f"{about}: its height over the table")
    ((centre, radius),) = sheet.by_id[f"{prefix}roller"].circles
    below = (centre[1] + radius - edge[1]) / k
    expected.near(below, lane["roller_below_table"], within, f"{about}: the roller below the table")


def bench(sheet, id, edge, inward, overhang, expected):
    """The bench begins where the overhang ends."""
    west, _, east, _ = LineString(sheet.by_id[id].runs[0]).bounds
    start = ((west if inward > 0 else east) - edge[0]) * inward / sheet.scale
    expected.near(start, overhang, written(sheet.scale), f"{sheet.name}: bench from the block's edge")


def in_section(made, sheet, cut, report):
    """The guide in the section of the block's sheet; `cut` is the cut material as drawn."""
    expected = report.of("drawing figures")
    west, _, east, south = cut.bounds
    id = sheet.by_id["section-cut"].data["lane"]
    lane = next(lane for lane in plan.lanes(made) if lane.id == id)
    edge = (west if lane.edge == "near" else east, south - made.block["thickness"] * sheet.scale)
    on_block(sheet, "section-", edge, lane.inward, made.offsets[id], expected)
    bench(sheet, "section-bench", edge, lane.inward, hung(made, lane), expected)


def hung(made, lane):
    """How far the bench begins behind a lane's edge: as far as the roller needs, or at the far side of the cleat."""
    if not made.has_cleat():
        return made.block["overhang"]
    ys = [y for _, y in made.block["screw_holes"]]
    low, high = min(ys) - plan.CLEAT["around"], max(ys) + plan.CLEAT["around"]
    return high if lane.edge == "near" else made.block["depth"] - low


def title_of(lane):
    """How the title of a lane's side view ends."""
    angle = f"{lane['angle']:.10g}"
    return f": {lane['id'].removesuffix('-' + angle)} {angle}°, {lane['seat']} seat"


def at_block(made, lanes, sheet, report):
    """The side view of a seat's lane with the longest projection, at the block."""
    values, expected = report.of("drawing values"), report.of("drawing figures")
    seat = re.fullmatch(r"side-(\w+)\.svg", sheet.name)[1]
    of_seat = [o for o in made.offsets.values() if o["seat"] == seat]
    longest = max(o["projection"] for o in of_seat)
    # Of lanes with one projection any may be shown.
    candidates = [o for o in of_seat if o["projection"] == longest and sheet.title.endswith(title_of(o))]
    if not values.expect(candidates, f"{sheet.name}: {sheet.title!r} is not the longest projection"):
        return
    lane = candidates[0]
    made = next(block for block in made.each() if lane["id"] in [place["id"] for place in block.places])
    wanted = {
        "fence_distance": lane["fence_distance"],
        "roller-below-table": lane["roller_below_table"],
        "thickness": made.block["thickness"],
        "fence-height": made.block["fence_height"],
        "overhang": made.block["overhang"],
    }
    shown = {g.data["kind"]: g.number("value") for g in sheet.of_kind("dimension")}
    values.equal(shown, wanted, f"{sheet.name}: dimensions")
    situation, _, angle = lanes[lane["id"]]
    dimensions.fence_limits(made, sheet.by_id["dim-fence_distance"], situation, angle, report)

    block, k = Polygon(sheet.by_id["block"].runs[0]), sheet.scale
    west, north, _, south = block.bounds
    edge = (west, south - made.block["thickness"] * k)
    height = made.block["thickness"] + made.block["fence_height"]
    expected.near((south - north) / k, height, written(k), f"{sheet.name}: height of the block")
    on_block(sheet, "guide-", edge, 1.0, lane, expected)
    bench(sheet, "bench", edge, 1.0, made.block["overhang"], expected)
    face = sheet.by_id["guide-face"].strokes[0].line
    expected.near(face.distance(block), 0.0, TOUCH, f"{sheet.name}: face from the block, mm of paper")
    sunk = face.intersection(block.buffer(-TOUCH)).length
    expected.equal(sunk, 0.0, f"{sheet.name}: length of the face within the block")
    # Half of a relief's width in and of its depth up or down: air, or material where there is no relief.
    (front, low), (foot, deep) = plan.FRONT_RELIEF, plan.FOOT_RELIEF
    spots = {
        "front_relief": (edge[0] + front / 2 * k, south - low / 2 * k),
        "foot_relief": (edge[0] + (lane["fence_distance"] - foot / 2) * k, edge[1] + deep / 2 * k),
    }
    for option, spot in spots.items():
        drawn = not block.contains(Point(spot))
        expected.equal(drawn, made.option(option), f"{sheet.name}: {option} is drawn")


FIRST_LINE = {"mm": 10.0, "in": 9.525}
"""How far from the edge the first line on a blade's back lies, mm, by a job's units."""


def on_plate(made, lanes, sheet, report):
    """The guide on the plate: of the lane with the longest projection, as high at its lines as its angle says."""
    values, expected = report.of("drawing values"), report.of("drawing figures")
    longest = max(o["projection"] for o in made.offsets.values())
    lane = next(o for o in made.offsets.values() if o["projection"] == longest)
    angle, level = lane["angle"], lane.get("roller_level", 0.0)
    shown = {g.data["kind"]: g.number("value") for g in sheet.of_kind("dimension")}
    sine = math.sin(math.radians(angle))
    first, plate = FIRST_LINE[made.job.get("units", "mm")], min(level, 0.0)
    for kind, along in (("height-p", first), ("height-q", first + shown["apart"])):
        values.near(shown[kind], along * sine - plate, 1e-9, f"{sheet.name}: {kind}")

    k, within = sheet.scale, 2 * written(sheet.scale)
    flat = sheet.by_id["plate"].strokes[0].line.bounds[1]
    outline = sheet.by_id["guide-blade"].runs[0]
    edge, end = outline[0], outline[-1]
    ((centre, radius),) = sheet.by_id["guide-roller"].circles
    expected.near((flat - edge[1]) / k, -plate, within, f"{sheet.name}: the edge over the plate")
    expected.near((flat - centre[1] - radius) / k, max(level, 0.0), within, f"{sheet.name}: the roller over the plate")
    expected.equal("packing" in sheet.by_id, level != 0.0, f"{sheet.name}: a packing is drawn")
    dip = math.degrees(math.atan2(edge[1] - end[1], edge[0] - end[0]))
    expected.near(dip, angle, 5e-3, f"{sheet.name}: the drawn back against the plate, degrees")
    # The table: a row a lane, as the job asks for them.
    if "settings" in made.job:
        tolerance = made.job.get("tolerance") or dimensions.TOLERANCE
        for row, asked in enumerate(lanes.values()):
            for name, degrees in (("difference", 0.0), ("least", -tolerance), ("most", tolerance)):
                cell = sheet.by_id.get(f"plate-{row}-{name}")
                wanted = shown["apart"] * math.sin(math.radians(asked[2] + degrees))
                if cell is not None:
                    values.near(cell.number("value"), wanted, 1e-9, f"{sheet.name}: {name} in row {row + 1}")


def on_stone(situation, angle, sheet, report):
    """The side view of a guide on the stone, as `show` draws it."""
    values, expected = report.of("drawing values"), report.of("drawing figures")
    projection = situation.projection(angle)
    wanted = {
        "axle-to-face": situation.values["axle_to_face"],
        "projection": projection,
        "seat-height": situation.values["seat"],
        "face-bottom": situation.values["bottom"],
        "roller-diameter": situation.values["diameter"],
        "bevel-angle": angle,
        "roller-level": abs(situation.values["level"]),
    }
    for group in sheet.of_kind("dimension"):
        kind = group.data["kind"]
        values.near(group.number("value"), wanted[kind], 1e-9, f"{sheet.name}: {kind}")

    k, within = sheet.scale, 2 * written(sheet.scale)
    stone = sheet.by_id["stone"].strokes[0].line.bounds[1]
    outline = sheet.by_id["guide-blade"].runs[0]
    edge, end = outline[0], outline[-1]
    ((centre, radius),) = sheet.by_id["guide-roller"].circles
    expected.near((stone - edge[1]) / k, 0.0, within, f"{sheet.name}: the edge over the stone")
    level = (stone - centre[1] - radius) / k
    expected.near(level, situation.values["level"], within, f"{sheet.name}: the roller over the stone")
    # The edge is as far from the axle in any turn of the guide.
    apart = math.hypot(situation.axle_to_face + projection, situation.edge)
    along = math.sqrt(apart**2 - situation.axle**2)
    expected.near((edge[0] - centre[0]) / k, along, within, f"{sheet.name}: the edge from below the axle")
    dip = math.degrees(math.atan2(edge[1] - end[1], edge[0] - end[0]))
    expected.near(dip, angle, 5e-3, f"{sheet.name}: the drawn back against the stone, degrees")
