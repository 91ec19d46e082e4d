"""The paper template, put together again from its tiles and laid on the jig of cutsheet.json."""

import math
from collections import defaultdict

from shapely import affinity
from shapely.geometry import LineString, MultiLineString, box
from shapely.ops import unary_union

import cutsheet_wood as wood
import plan
import quantities

GROUPS = {
    "tiles put together": "shapely: board, fences, holes and marks of all tiles together = cutsheet.json to 0.01 mm",
    "tiles windows": "the windows cover the template; scales and check bars are 100 / the printed bars (1e-4 mm)",
    "tiles lettering": "each lane's name and distance stand on one tile, whole, at its own fence",
}

OFF = 0.01
"""How far a line may be from its place, mm."""

ARM = 2.5
"""How far a cross may reach beyond its hole, mm."""

SLOT_PARTS = 6
"""Straight runs for a quarter of a slot's end as it is drawn; they leave it by up to 0.02 mm."""

LETTERED = 13.0
"""Marks may end this far before the fence, where a lane's name stands on a line with its distance below, mm."""

LINE = 5.5
"""How much further for each line more, where the name is wrapped to its lane, mm."""


def check(made, report):
    """All tiles of a jig."""
    tiles = [sheet for sheet in made.drawn if "tile-window" in sheet.by_id]
    if not report.expect("tiles windows", tiles, "no tiles"):
        return
    sizes(made, tiles, report.of("tiles windows"))
    lines, texts = together(tiles)
    offset = board(made.data, lines["template-board"], report.of("tiles put together"))
    depth = made.data["board"]["depth"]

    def on_board(shape):
        """From the template, y down, to the plan, y from the near edge."""
        return affinity.affine_transform(shape, [1, 0, 0, -1, -offset[0], depth + offset[1]])

    lines = {id: on_board(shape) for id, shape in lines.items()}
    drawn(made, lines, report.of("tiles put together"))
    named(made, {id: [(w, on_board(s)) for w, s in own] for id, own in texts.items()}, report.of("tiles lettering"))


def unfolded(window, shape):
    """A shape of a sheet in the template's own frame, as the window's data say."""
    turn = math.radians(-window.number("turn"))
    # From the sheet: less the origin, over the scales, then turned back.
    kx, ky = (1 / window.number(f"scale-{axis}") for axis in "xy")
    flat = affinity.affine_transform(
        shape, [kx, 0, 0, ky, -kx * window.number("origin-x"), -ky * window.number("origin-y")]
    )
    return affinity.rotate(flat, turn, origin=(0, 0), use_radians=True)


def together(tiles):
    """Lines and lettering of the template by group, of all tiles."""
    lines, texts = defaultdict(list), defaultdict(list)
    for tile in tiles:
        window = tile.by_id["tile-window"]
        for group in tile.groups:
            if group.id.startswith("template-"):
                lines[group.id] += [unfolded(window, stroke.line) for stroke in group.strokes]
                texts[group.id] += [(text.words, unfolded(window, text.shape)) for text in group.texts]
    return {id: unary_union(own) for id, own in lines.items()}, texts


def sizes(made, tiles, expected):
    """Windows, scales and check bars."""
    bars = made.wood.get("printed_bar", ["100 mm"] * 2)
    printed = [quantities.plain(bar, made.job.get("units", "mm")) for bar in bars]
    factors = [100 / bar for bar in printed]
    windows = []
    for tile in tiles:
        window, about = tile.by_id["tile-window"], tile.name
        x0, y0, x1, y1 = (window.number(k) for k in ("x0", "y0", "x1", "y1"))
        windows.append(box(x0, y0, x1, y1))
        width, height = (float(tile.root[side].removesuffix("mm")) for side in ("width", "height"))
        # The first bar was measured along the long side of the paper.
        along = factors if width > height else factors[::-1]
        for axis, factor in zip("xy", along):
            expected.near(window.number(f"scale-{axis}"), factor, 1e-12, f"{about}: scale-{axis}")
        for suffix, factor in (("", along[0]), ("-upright", along[1])):
            for unit, length in (("mm", 100.0), ("in", 4 * float(quantities.INCH))):
                bar = tile.by_id.get(f"check-bar-{unit}{suffix}")
                if expected.expect(bar, f"{about}: no bar {unit}{suffix}"):
                    longest = max((stroke.line for stroke in bar.strokes), key=lambda line: line.length)
                    expected.near(longest.length, length * factor, 1.5e-4, f"{about}: {bar.id}")
                    west, north, east, south = longest.bounds
                    level = south - north < east - west
                    expected.equal(level, not suffix, f"{about}: {bar.id} is level")
    if expected.equal(unary_union(windows).geom_type, "Polygon", "windows in one piece"):
        outside = wood.board(made.data).area - unary_union(windows).area
        expected.expect(outside < 0, "the windows show less than the board")


def board(data, outline, expected):
    """Where the board's upper left corner lies in the template; its outline must be that of the board."""
    west, north, east, south = outline.bounds
    wanted = box(west, north, west + data["board"]["length"], north + data["board"]["depth"]).exterior
    match(outline, wanted, "board", expected)
    return west, north


def match(found, wanted, about, expected, rest=None):
    """Two sets of lines at the same places; `rest` is where more lines may be."""
    missing = wanted.difference(found.buffer(OFF))
    expected.near(missing.length, 0.0, OFF, f"{about}: mm that are not drawn, at {missing.bounds}")
    more = found.difference(wanted.buffer(OFF))
    if rest is not None:
        more = more.difference(rest)
    expected.near(more.length, 0.0, OFF, f"{about}: mm too many, at {more.bounds}")


def crossed(screws, diameter, round_only):
    """Outlines of holes, and where their crosses may be."""
    round_ones = [{**s, "slot": 0.0} for s in screws] if round_only else screws
    holes = [wood.hole(s, diameter, SLOT_PARTS if s["slot"] else wood.PARTS) for s in round_ones]
    rest = unary_union([hole.buffer(ARM) for hole in holes])
    arms = [cross for s in screws for cross in arms_of(s["at"], diameter / 2)]
    return MultiLineString([hole.exterior for hole in holes] + arms), rest


def arms_of(at, radius):
    """A cross over a hole."""
    return [
        LineString([(at[0] - radius, at[1]), (at[0] + radius, at[1])]),
        LineString([(at[0], at[1] - radius), (at[0], at[1] + radius)]),
    ]


def drawn(made, lines, expected):
    """Fences, holes and marks."""
    data = made.data
    for number, fence in enumerate(data["fences"], 1):
        found = lines.get(f"template-fence-{number}")
        if expected.expect(found, f"strip {number} is not drawn"):
            holes, rest = crossed(fence["screws"], data["fence"]["pilot"], True)
            match(found, unary_union([wood.rectangle(fence).exterior, holes]), f"strip {number}", expected, rest)
    for place in data["places"]:
        reach, id = made.offsets[place["id"]]["fence_distance"], f"template-marks-{place['id']}"
        wanted = unary_union(wood.marks(data, reach, place))
        found = lines.get(id, LineString())
        outside = found.difference(wanted.buffer(OFF))
        expected.near(outside.length, 0.0, OFF, f"{place['id']}: mm of marks at other places")
        # The lettering may stand back from its fence, clear of a hole; the marks end before it.
        labels = (s.by_id.get(f"template-label-{place['id']}") for s in made.drawn)
        back, count = next(((g.number("back"), len(g.texts)) for g in labels if g and g.texts), (0.0, 2))
        low = max(reach - LETTERED - LINE * max(count - 2, 0) - back, 0.0)
        short = wood.from_edge(data, place, low, place["blade_width"])
        if low - plan.MARK["edge"] <= plan.MARK["shortest"]:
            continue  # What is left before the lettering is too short for a mark.
        missing = wanted.intersection(short).difference(found.buffer(OFF))
        expected.near(missing.length, 0.0, OFF, f"{place['id']}: mm of marks that are not drawn")
    if data["cleat"]:
        holes, rest = crossed(data["cleat"]["screws"], data["cleat"]["clearance"], False)
        match(lines["template-cleat-holes"], holes, "cleat's holes", expected, rest)
    known = {f"template-fence-{n}" for n in range(1, len(data["fences"]) + 1)} | {"template-board"}
    known |= {f"template-marks-{p['id']}" for p in data["places"]}
    known |= {"template-cleat-holes"} if data["cleat"] else set()
    more = {id for id, shape in lines.items() if shape.length > 0} - known
    expected.equal(more, set(), "other lines")


def named(made, texts, expected):
    """Names of lanes and edges; lettering may be moved off a match line, but not out of its lane."""
    data = made.data
    for edge in ("near", "far"):
        expected.equal(len(texts.get(f"template-{edge}-edge", [])), 1, f"names of the {edge} edge")
    for place in data["places"]:
        own, reach = texts.get(f"template-label-{place['id']}", []), made.offsets[place["id"]]["fence_distance"]
        expected.expect(len(own) >= 2, f"{place['id']}: lines of lettering: {own}")
        name, _, angle = place["id"].rpartition("-")
        whole = "".join("".join(words.split()) for words, _ in own)
        wanted = "".join(f"{name}{angle}°".split())
        expected.expect(wanted in whole, f"{place['id']}: the lettering says {whole!r}, not {wanted!r}")
        # What makes way for a match line may stand where the lane's own strip goes.
        strip = max(part["size"][1] for part in data["parts"] if part["kind"] == "fence")
        room = wood.from_edge(data, place, reach + strip, 0.0).buffer(1e-9)
        for words, shape in own:
            middle = shape.centroid
            expected.expect(room.distance(middle) < 60.0, f"{place['id']}: {words!r} at {middle}")
            inside = room.bounds[1] <= middle.y <= room.bounds[3]
            expected.expect(inside, f"{place['id']}: {words!r} is not in front of its fence: {shape.bounds}")
