"""The wooden jig as cutsheet.json states it: strips and holes, movement over the year, cutting plans, template.dxf."""

import itertools
import math

from shapely import unary_union
from shapely.geometry import LineString, Point, box

import asked
import dxf
import guide
import layout
import quantities

GROUPS = {
    "wood strips": "shapely: every fence is at its lane's distance, covers the blade, keeps clear of lanes and strips",
    "wood holes": "shapely: 3 mm of wood around all holes, slots as long as the movement (common practice, no source)",
    "wood movement": "EMC and D·C·ΔM of the Wood Handbook (FPL-GTR-190, eq. 4-5 and 13-2, table 13-5 from memory)",
    "wood drift angles": "the angle that a drifted fence sets, by numeric turning (1e-6 degrees)",
    "wood stock": "shapely: pieces lie in the stock, a kerf apart, edge-to-edge cuts free them, all parts are there",
    "wood dxf": "ezdxf: board, fences, holes, cleat and marks, broken at words, are those of cutsheet.json (1e-6 mm)",
}

WITHIN = 1e-6
"""How far a coordinate may be off, mm."""

SAME_FENCE = 0.01
"""Lanes whose fences differ by less may share a strip, mm (the program's own rule)."""

AROUND = 3.0
"""Wood to be left around a hole, mm (common practice, no source)."""

WASHER = 1.0
"""Thickness of a washer, mm (the program's own)."""

SAFE = {False: 300.0, True: 304.8}
"""Nothing shorter goes to a plane or a saw, mm, in shops that read mm and in those that read inches alone (the program's
own rule: common practice, no source)."""

PLANED = 1.0
"""What is planed off an edge that is made true, mm (the program's own rule)."""

NO_BLANK, SHORT_BATTEN = "no room for a blank", "Too short to keep"
"""What the sheets say of the job's own stock where there is no room for what is safe (the program's own words)."""

PARTS = 64
"""Straight runs that stand for a quarter of a circle."""

INCH = float(quantities.INCH)


def inches(made):
    """Whether the jig is for a shop that reads inches alone, which gets other stock and holes."""
    return not made.shown[0]


def board(data):
    """The board's outline."""
    return box(0.0, 0.0, data["board"]["length"], data["board"]["depth"])


def rectangle(part):
    """The outline of a strip or the cleat."""
    return box(part["x"][0], part["y"][0], part["x"][1], part["y"][1])


def hole(screw, diameter, parts=PARTS):
    """A round hole or a slot along the edges; `parts` straight runs stand for a quarter of a circle."""
    (x, y), half = screw["at"], screw["slot"] / 2
    middle = LineString([(x - half, y), (x + half, y)]) if half else Point(x, y)
    return middle.buffer(diameter / 2, quad_segs=parts)


def from_edge(data, place, reach, half):
    """What lies within `reach` of a lane's own edge and `half` of its centre line."""
    depth = data["board"]["depth"]
    low, high = (0.0, reach) if place["edge"] == "near" else (depth - reach, depth)
    return box(place["centre"] - half, low, place["centre"] + half, high)


def places(data):
    """The lanes' places by id."""
    return {place["id"]: place for place in data["places"]}


def strips(made, report):
    """Strips against board, lanes and each other."""
    expected, data = report.of("wood strips"), made.data
    outline, fences, own = board(data), data["fences"], places(data)
    shapes = [rectangle(fence) for fence in fences]
    expected.equal(sorted(i for f in fences for i in f["lanes"]), sorted(own), "lanes that have a strip")
    for (a, first), (b, second) in itertools.combinations(enumerate(shapes), 2):
        expected.near(first.intersection(second).area, 0.0, WITHIN, f"strips {a} and {b} overlap")
    clearance = layout.option(made, "clearance", layout.CLEARANCE)
    for number, (fence, shape) in enumerate(zip(fences, shapes)):
        expected.expect(outline.buffer(WITHIN).contains(shape), f"strip {number} leaves the board")
        near = fence["edge"] == "near"
        distance = fence["y"][0] if near else data["board"]["depth"] - fence["y"][1]
        expected.near(fence["y"][1] - fence["y"][0], data["fence"]["width"], WITHIN, f"strip {number}: width")
        for id in fence["lanes"]:
            place, reach = own[id], made.offsets[id]["fence_distance"]
            expected.equal(place["edge"], fence["edge"], f"{id}: edge of its strip")
            within = SAME_FENCE if len(fence["lanes"]) > 1 else WITHIN
            expected.near(distance, reach, within, f"{id}: distance of its strip")
            half = place["blade_width"] / 2
            covers = fence["x"][0] <= place["centre"] - half and place["centre"] + half <= fence["x"][1]
            expected.expect(covers, f"{id}: strip {fence['x']} is narrower than the blade at {place['centre']}")
            front = from_edge(data, place, distance, half + clearance)
            expected.expect(outline.buffer(WITHIN).contains(front), f"{id}: the lane leaves the board")
            in_lane = sum(front.intersection(other).area for other in shapes)
            expected.near(in_lane, 0.0, WITHIN, f"{id}: strips in front of its fence")
    for first, second in itertools.combinations(data["places"], 2):
        if first["edge"] == second["edge"]:
            apart = abs(first["centre"] - second["centre"])
            least = (first["blade_width"] + second["blade_width"]) / 2 + 2 * clearance
            expected.expect(apart >= least - WITHIN, f"lanes {first['id']} and {second['id']} overlap")
    face = quantities.length(made.guide["face"]["width"], made.guide.get("units", "mm"))[0]
    for place in data["places"]:
        bears = face / 2 - WITHIN <= place["centre"] <= data["board"]["length"] - face / 2 + WITHIN
        expected.expect(bears, f"{place['id']}: the face, {face} wide, at {place['centre']} leaves the edge")


def holes(made, report):
    """Screws, pins and the cleat's screws in their wood."""
    expected, data = report.of("wood holes"), made.data
    size, cleat = data["fence"], data["cleat"]
    pin = INCH / 8 if inches(made) else 3.0
    in_board = []
    held = size["screw"] - size["height"] - WASHER
    expected.expect(0 < held < data["board"]["thickness"], f"screws {size['screw']} long: {held} in the board")
    for number, fence in enumerate(data["fences"]):
        strip, about = rectangle(fence), f"strip {number}"
        # A facing in front of the strip is no wood that holds.
        back = -size["facing"] if fence["edge"] == "far" else size["facing"]
        wood = strip.intersection(shifted(strip, back))
        bored = [hole(s, size["clearance"]) for s in fence["screws"]]
        bored += [Point(p).buffer(pin / 2, quad_segs=PARTS) for p in fence["pins"]]
        expected.expect(len(fence["screws"]) >= 2, f"{about}: {len(fence['screws'])} screws")
        for one in bored:
            expected.expect(
                wood.buffer(WITHIN).contains(one.buffer(AROUND, quad_segs=PARTS)), f"{about}: a hole at {one.centroid}"
            )
        for first, second in itertools.combinations(bored, 2):
            expected.expect(
                first.distance(second) >= AROUND - WITHIN,
                f"{about}: {first.distance(second):.3f} mm between holes at {first.centroid} and {second.centroid}",
            )
        in_board += [hole({"at": s["at"], "slot": 0.0}, size["pilot"]) for s in fence["screws"]]
        slots(made, fence["screws"], about, expected)
    expected.equal(cleat is not None, made.wood.get("cleat", True), "there is a cleat")
    if not cleat:
        return
    outline = rectangle(cleat)
    expected.expect(board(data).contains(outline), "the cleat leaves the board")
    slots(made, cleat["screws"], "cleat", expected)
    for screw in cleat["screws"]:
        through = hole(screw, cleat["clearance"])
        expected.expect(outline.contains(through.buffer(AROUND)), f"cleat: the screw at {screw['at']}")
        nearest = min(through.distance(other) for other in in_board)
        expected.expect(
            nearest >= AROUND - WITHIN,
            f"cleat: {nearest:.3f} mm of board between the screw at {screw['at']} and one of a strip",
        )


def shifted(strip, by):
    """A rectangle moved across the edges."""
    west, south, east, north = strip.bounds
    return box(west, south + by, east, north + by)


def slots(made, screws, about, expected):
    """Slots only where the board moves along the part, and then long enough both ways from the middle screw."""
    data, season = made.data, made.data["movement"]["season"]
    if not slides(made):
        expected.equal([s["slot"] for s in screws], [0.0] * len(screws), f"{about}: slots")
        return
    fixed = [s["at"][0] for s in screws if s["slot"] == 0.0]
    if not expected.equal(len(fixed), 1, f"{about}: screws that are not in slots"):
        return
    most = max(abs(season[end] - season["made"]) for end in ("dry", "damp"))
    for screw in screws:
        moves = abs(screw["at"][0] - fixed[0]) * coefficients(made)["lengthwise"] * most
        expected.expect(screw["slot"] >= 2 * moves, f"{about}: a slot of {screw['slot']} for ±{moves} mm")


ACROSS = {
    "sugar-maple": (0.00165, 0.00353),
    "american-beech": (0.00190, 0.00431),
    "white-ash": (0.00169, 0.00274),
    "black-cherry": (0.00126, 0.00248),
    "black-walnut": (0.00190, 0.00274),
    "white-oak": (0.00180, 0.00365),
    "yellow-poplar": (0.00158, 0.00289),
    "douglas-fir": (0.00165, 0.00267),
    "sitka-spruce": (0.00148, 0.00263),
}
"""Radial and tangential movement per 1 % of moisture (Wood Handbook, table 13-5, from memory)."""

ALONG = 0.002 / 28
"""Movement along the grain per 1 %: 0.2 % over 28 % (Wood Handbook, chapter 4: 0.1 to 0.2 % from green to ovendry)."""

PANELS = {"plywood": 0.0002 / 1.5, "mdf": 0.0005}
"""Movement of panels per 1 % (American plywood association; European MDF industry: as the program states them)."""

USUAL = {"dry": (18.0, 35.0), "damp": (22.0, 65.0)}
"""The usual airs, °C and % (common practice, no source), whose moistures the program rounds."""


def moisture(temperature, humidity):
    """Equilibrium moisture content, %: Wood Handbook, FPL-GTR-190, eq. 4-5, °C."""
    t, h = temperature, humidity / 100
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    a, b = k1 * k * h, k1 * k2 * (k * h) ** 2
    return 1800 / w * (k * h / (1 - k * h) + (a + 2 * b) / (1 + a + b))


def coefficients(made):
    """Per 1 %: the board along its edges and from edge to edge, the strips across."""
    own, fences = made.wood.get("board") or {}, made.wood.get("fences") or {}

    def across(of, species):
        return ACROSS[of.get("species", species)][of.get("cut", "flat") == "flat"]

    material = own.get("material", "plywood")
    if material in PANELS:
        both = (PANELS[material],) * 2
    else:
        both = (ALONG, across(own, None))
        if own.get("grain") == "across":
            both = both[::-1]
    return {"lengthwise": both[0], "board": both[1], "strip": across(fences, "american-beech")}


def movement(made, report):
    """Season, drifts and what they do to the angle."""
    expected, data = report.of("wood movement"), made.data
    season, stated = data["movement"]["season"], made.wood.get("season")
    if stated:
        for end in ("dry", "damp"):
            air = stated[end]
            expected.near(season[end], moisture(air["temperature"], air["humidity"]), 1e-9, f"moisture, {end}")
        middle = (season["dry"] + season["damp"]) / 2
        air = stated.get("made")
        wanted = moisture(air["temperature"], air["humidity"]) if air else middle
        expected.near(season["made"], wanted, 1e-9, "moisture when it is made")
    else:
        for end, air in USUAL.items():
            expected.near(season[end], moisture(*air), 0.06, f"usual moisture, {end}")
        expected.near(season["made"], (season["dry"] + season["damp"]) / 2, 0.06, "usual moisture when it is made")
    drifts, lanes = {d["id"]: d for d in data["movement"]["drifts"]}, guide.lanes(made)
    expected.equal(sorted(drifts), sorted(lanes), "lanes that drift")
    by, size = coefficients(made), data["fence"]
    half = (size["width"] - size["facing"]) / 2
    for id, drift in drifts.items():
        situation, _, lane_angle = lanes[id]
        # What drifts is the distance that the sheets ask for.
        reach = asked.distance(made, situation, lane_angle, made.offsets[id]["fence_distance"])
        to_line = reach + size["facing"] + half
        for found, angle, end in zip(drift["fence"], drift["angle"], ("dry", "damp")):
            change = season[end] - season["made"]
            wanted = (to_line * by["board"] - half * by["strip"]) * change
            expected.near(found, wanted, 1e-9, f"{id}: drift when it is {end}")
            sets = situation.bevel_of_fence(reach + found, guide.bearing(made))
            report.near("wood drift angles", angle, sets, 1e-6, f"{id}: angle when it is {end}")
        passes = all(abs(d) <= places(data)[id]["limit"] for d in drift["fence"])
        expected.equal(drift["passes"], passes, f"{id}: drift {drift['fence']} within ±{places(data)[id]['limit']}")


def stock(made, report):
    """Every cutting plan, cut again."""
    expected, data = report.of("wood stock"), made.data
    wanted, cut = {part["part"]: part for part in data["parts"]}, {}
    for kind in data["stock"]:
        saw = made.wood.get("stock") or {}
        kerf = quantities.plain(saw.get("kerf", "1/16 in" if inches(made) else "1.5 mm"), made.job.get("units", "mm"))
        freed = [0] * len(kind["pieces"])
        for number, plank in enumerate(kind["plan"]["boards"]):
            about = f"{kind['what']}, {number}"
            whole = box(0.0, 0.0, plank["length"], kind["width"])
            areas = [box(a["x"][0], a["y"][0], a["x"][1], a["y"][1]) for a in (p["area"] for p in plank["placements"])]
            for placement, area in zip(plank["placements"], areas):
                freed[placement["piece"]] += 1
                expected.expect(whole.buffer(WITHIN).contains(area), f"{about}: a piece leaves the stock")
                piece = kind["pieces"][placement["piece"]]
                sizes = (area.bounds[2] - area.bounds[0], area.bounds[3] - area.bounds[1])
                sides = (piece["length"], piece["width"])
                sides = sides[::-1] if placement["turned"] else sides
                # Cut on a grid of 1 µm.
                off = max(abs(a - b) for a, b in zip(sizes, sides))
                expected.near(off, 0.0, 2e-3, f"{about}: {piece['name']} is cut {sizes}, wanted {sides}")
            for first, second in itertools.combinations(areas, 2):
                apart = first.distance(second)
                expected.expect(apart >= kerf - 2e-3, f"{about}: {apart} mm between pieces, kerf {kerf}")
            expected.equal(sawn(whole, plank["cuts"], areas), [], f"{about}: pieces that the cuts do not free")
        for piece, count in zip(kind["pieces"], freed):
            expected.equal(count, piece["count"], f"{kind['what']}: pieces {piece['name']}")
            cut[piece["name"]] = (piece, kind)
    expected.equal(sorted(cut), sorted(wanted), "parts that are cut")
    said = " ".join(text.words for sheet in made.drawn for group in sheet.groups for text in group.texts)
    for name in cut.keys() & wanted.keys():
        finished(made, wanted[name], *cut[name], said, expected)
    safely(made, {part["part"]: part["kind"] for part in data["parts"]}, said, expected)


def sawn(whole, cuts, areas):
    """The pieces that are not there when all cuts are made; each goes from edge to edge through what it cuts."""
    parts = [whole]
    for cut in cuts:
        part = box(cut["from"]["x"][0], cut["from"]["y"][0], cut["from"]["x"][1], cut["from"]["y"][1])
        found = [p for p in parts if p.symmetric_difference(part).area < 1e-2]
        if len(found) != 1:
            return [f"no part {part.bounds} to be cut"]
        west, south, east, north = part.bounds
        low, high = cut["kerf"]
        kerf = box(low, south, high, north) if cut["saw"] == "crosscut" else box(west, low, east, high)
        rest = found[0].difference(kerf)
        parts.remove(found[0])
        parts += list(getattr(rest, "geoms", [rest]))
    return [a.bounds for a in areas if not any(p.symmetric_difference(a).area < 1e-1 for p in parts)]


def blank(made, part):
    """Length and width in its stock of what a part is cut as: a board leaves 1 mm to plane off each reference edge, and
    what is planed is no shorter than is safe."""
    length, width, _ = part["size"]
    if part["kind"] != "board":
        return length, width
    safe = SAFE[inches(made)]
    along, across = max(length, safe), width + 2 * PLANED
    # Where its reference edges are end grain, it is its staves that are jointed along the other way.
    return (max(across, safe), along) if slides(made) else (along, across)


def slides(made):
    """Whether the board's grain runs from edge to edge."""
    return made.data["board"]["grain"] == "from edge to edge"


def finished(made, part, piece, kind, said, expected):
    """A part's sizes and count against what is cut for it; a wide board is glued up of staves."""
    about, (length, width) = f"part {part['part']}", blank(made, part)
    own = (made.wood.get("stock") or {}).get("board")
    if part["kind"] == "board" and own and NO_BLANK in said:
        length, width = part["size"][1::-1] if slides(made) else part["size"][:2]
    expected.near(piece["length"], length, WITHIN, f"{about}: length")
    expected.near(kind["thickness"], part["size"][2], WITHIN, f"{about}: thickness")
    if part["kind"] == "board" and piece["count"] > 1:
        glued = piece["count"] * piece["width"] - 2 * PLANED * (piece["count"] - 1)
        expected.expect(glued >= width - WITHIN, f"{about}: staves come to {glued}, wanted {width}")
        return
    expected.near(piece["width"], width, WITHIN, f"{about}: width")
    expected.equal(piece["count"], part["count"], f"{about}: count")


def safely(made, kinds, said, expected):
    """Whether what lies on the saw is long enough to be held at every cut; too short stock of the job's own is told."""
    own, safe, short = made.wood.get("stock") or {}, SAFE[inches(made)], {True: [], False: []}
    for kind in made.data["stock"]:
        is_board = kinds[kind["pieces"][0]["name"]] == "board"
        cuts = [cut["from"]["x"] for plank in kind["plan"]["boards"] for cut in plank["cuts"]]
        short[is_board] += [f"{kind['what']}: {high - low}" for low, high in cuts if high - low < safe - 2e-3]
    for is_board, words, field in ((True, NO_BLANK, "board"), (False, SHORT_BATTEN, "batten")):
        told = words in said
        expected.expect(not told or field in own, f"{field}: the sheets say {words!r} of usual stock")
        expected.expect(told or not short[is_board], f"{field}: on the saw is less than {safe} mm: {short[is_board][:3]}")
    expected.expect(SHORT_BATTEN not in said or short[False], f"the sheets say {SHORT_BATTEN!r}, and no cut is short")


def parts(made, report):
    """The cut list against the jig itself."""
    expected, data = report.of("wood stock"), made.data
    size, outline = data["fence"], data["board"]
    listed = {part["part"]: part for part in data["parts"]}
    expected.equal(len(listed), len(data["parts"]), "parts of one number")
    sizes = {(p["kind"]): p["size"] for p in data["parts"] if p["kind"] in ("board", "cleat")}
    expected.equal(sizes["board"], [outline[k] for k in ("length", "depth", "thickness")], "size of the board")
    for fence in data["fences"]:
        part = listed[fence["part"]]
        wanted = [fence["x"][1] - fence["x"][0], size["width"] - size["facing"], size["height"]]
        off = max(abs(a - b) for a, b in zip(part["size"], wanted))
        expected.near(off, 0.0, WITHIN, f"strip {fence['part']} of {wanted}: listed as {part['size']}")
    expected.equal([p["part"] for p in data["parts"]], [str(n + 1) for n in range(len(data["parts"]))], "numbers of parts")
    for number in {fence["part"] for fence in data["fences"]}:
        count = sum(fence["part"] == number for fence in data["fences"])
        expected.equal(listed[number]["count"], count, f"strips {number}")
    screws, pins = (sum(len(fence[k]) for fence in data["fences"]) for k in ("screws", "pins"))
    # Screws and their washers, pins, screws of the cleat.
    wanted = [screws, screws, pins, len(data["cleat"]["screws"]) if data["cleat"] else 0]
    bought = [hardware["count"] for hardware in data["hardware"]]
    expected.equal([n for n in bought if n], [n for n in wanted if n], "counts of hardware")
    facings = sum(p["count"] for p in data["parts"] if p["kind"] == "facing")
    expected.equal(facings, len(data["fences"]) if size["facing"] else 0, "facings")
    if data["cleat"]:
        cleat = data["cleat"]
        wanted = [cleat["x"][1] - cleat["x"][0], cleat["height"], cleat["y"][1] - cleat["y"][0]]
        off = max(abs(a - b) for a, b in zip(sizes["cleat"], wanted))
        expected.near(off, 0.0, WITHIN, f"the cleat of {wanted}: listed as {sizes['cleat']}")


MARKS_CLEAR = (3.0, 2.5)
"""How far marks keep from edge and fence, mm (the program's own rule)."""

NARROW_BLADE = 12.0
"""A narrower blade has its centre line alone, mm (the program's own rule)."""


def marks(data, reach, place):
    """Centre and square lines of a lane."""
    low, high = MARKS_CLEAR[0], reach - MARKS_CLEAR[1]
    if high - low < 2.0:
        return []
    quarter = place["blade_width"] / 4
    depth, offsets = data["board"]["depth"], [0.0] if place["blade_width"] < NARROW_BLADE else [-quarter, 0.0, quarter]
    ends = (low, high) if place["edge"] == "near" else (depth - low, depth - high)
    return [LineString([(place["centre"] + x, y) for y in ends]) for x in offsets]


LAYERS = {"BOARD", "PILOTS", "FENCES", "FENCE-HOLES", "MARKS", "LETTERING"}
CLEAT_LAYERS = {"CLEAT-HOLES", "CLEAT-BELOW"}


def layers(data):
    """The layers that the template must have."""
    return LAYERS | (CLEAT_LAYERS if data["cleat"] else set())


def template(made, report):
    """template.dxf against cutsheet.json."""
    expected, data = report.of("wood dxf"), made.data
    dxf.check(made.files["template.dxf"], layers(data), report)
    drawn, outline, size = dxf.shapes(made.files["template.dxf"]), board(data), data["fence"]
    screws = [screw for fence in data["fences"] for screw in fence["screws"]]
    same(areas(drawn["BOARD"]), [outline], "board", expected)
    same(areas(drawn["FENCES"]), [rectangle(f) for f in data["fences"]], "fences", expected)
    bored(drawn["PILOTS"], [{**s, "slot": 0.0} for s in screws], size["pilot"], "pilot", expected)
    bored(drawn["FENCE-HOLES"], screws, size["clearance"], "hole of a strip", expected)
    wanted = [line for p in data["places"] for line in marks(data, made.offsets[p["id"]]["fence_distance"], p)]
    broken([LineString(line) for line in drawn["MARKS"].lines], wanted, drawn["LETTERING"].texts, expected)
    if data["cleat"]:
        same(areas(drawn["CLEAT-BELOW"]), [rectangle(data["cleat"])], "cleat", expected)
        bored(drawn["CLEAT-HOLES"], data["cleat"]["screws"], data["cleat"]["clearance"], "hole of the cleat", expected)
    lettering(made, drawn["LETTERING"].texts, expected)
    for name, layer in drawn.items():
        all_shapes = areas(layer) + [LineString(ends) for ends in layer.lines]
        all_shapes += [Point(centre).buffer(radius) for centre, radius in layer.circles]
        outside = [shape.bounds for shape in all_shapes if not outline.buffer(WITHIN).contains(shape)]
        expected.equal(outside, [], f"{name}: outside the board")


def areas(layer):
    """What closed polylines enclose; open ones are an error."""
    assert all(line.closed for line in layer.polylines), "an open polyline"
    return [line.area() for line in layer.polylines]


def same(found, wanted, about, expected):
    """Shapes at the same places, in whatever order."""
    expected.equal(len(found), len(wanted), f"{about}: count")
    for shape in wanted:
        off = min((shape.hausdorff_distance(other) for other in found), default=math.inf)
        expected.near(off, 0.0, WITHIN, f"{about} at {shape.bounds}")


NARROWEST_LETTERS = 0.5
"""Width of a line of lettering by its letters and their height, at the least (common practice, no source)."""

LETTERS_ROOM = (1.2, (10.0, 6.0))
"""Width of what is kept free for lettering by its letters and their height, and how far from it a mark may end, mm."""


def lettered(text, width, around):
    """The rectangle that a line of lettering takes, by the width of its letters, with space beside and over it."""
    words, (x, y), high, turn = text
    sign = 1.0 if turn == 0.0 else -1.0
    (west, east), (south, north) = sorted((x, x + sign * width * high * len(words))), sorted((y, y + sign * high))
    return box(west - around[0], south - around[1], east + around[0], north + around[1])


def broken(found, wanted, texts, expected):
    """Marks at their places, broken where there is lettering and nowhere else."""
    through = [t[0] for t in texts for line in found if lettered(t, NARROWEST_LETTERS, (0.0, 0.0)).intersects(line)]
    expected.equal(through, [], "marks: names that one runs through")
    whole, drawn = unary_union(wanted), unary_union(found)
    room = unary_union([lettered(t, *LETTERS_ROOM) for t in texts])
    expected.near(drawn.difference(whole.buffer(WITHIN)).length, 0.0, WITHIN, "marks: drawn where there is none")
    missing = whole.difference(drawn.buffer(WITHIN)).difference(room)
    expected.near(missing.length, 0.0, 4 * WITHIN * max(len(found), 1), "marks: not drawn beside lettering")


def bored(layer, screws, diameter, about, expected):
    """Round holes as circles, slots as polylines of half circles."""
    expected.equal(len(layer.circles) + len(layer.polylines), len(screws), f"{about}: count")
    for screw in screws:
        (x, y), half = screw["at"], screw["slot"] / 2
        if half:
            wanted = {(x + i * half, y + j * diameter / 2) for i in (-1, 1) for j in (-1, 1)}
            corners = [[(cx, cy) for cx, cy, _ in line.corners] for line in layer.polylines]
            off = min((max(min(math.dist(c, w) for w in wanted) for c in four) for four in corners), default=math.inf)
            bulges = {round(abs(bulge), 6) for line in layer.polylines for *_, bulge in line.corners}
            expected.equal(bulges, {0.0, 1.0}, f"{about}: ends of slots are half circles")
        else:
            sizes = [math.dist(centre, (x, y)) + abs(2 * r - diameter) for centre, r in layer.circles]
            off = min(sizes, default=math.inf)
        expected.near(off, 0.0, WITHIN, f"{about} at {screw['at']}")


def lettering(made, texts, expected):
    """A name a lane, in front of its fence, to be read from its edge."""
    data, lanes = made.data, guide.lanes(made)
    expected.equal(len(texts), len(data["places"]), "names of lanes")
    for place in data["places"]:
        reach, (_, _, angle) = made.offsets[place["id"]]["fence_distance"], lanes[place["id"]]
        area = from_edge(data, place, reach, place["blade_width"] / 2 + 30.0)
        turn = 0.0 if place["edge"] == "near" else 180.0
        own = [t for t in texts if area.contains(Point(t[1])) and t[3] == turn and t[0].endswith(f"{angle:g}°")]
        expected.expect(own, f"{place['id']}: no name in front of its fence: {texts}")
        expected.expect(all(t[2] >= 3.5 for t in own), f"{place['id']}: lettering lower than 3.5 mm")


def check(made, report):
    """All that cutsheet.json and template.dxf say of a jig."""
    strips(made, report)
    holes(made, report)
    movement(made, report)
    stock(made, report)
    parts(made, report)
    template(made, report)
