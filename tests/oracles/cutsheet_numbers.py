"""Every number on the wooden jig's sheets: dimensions and table values say what their values round to."""

import re

import asked
import dimensions
import guide
import quantities

GROUPS = {
    "wood numbers": "fences and limits on all sheets and in cutsheet.json are those of the lanes, each lane everywhere",
    "wood words": "mm to 0.01 or 0.1, inches to the nearest fraction, reduced (international inch, 25.4 mm)",
    "wood limits": "turned numerically, fence ± limits as printed keep the job's tolerance, and could be no wider",
    "wood angles": "the angle that a rounded inch fraction gives, by numeric turning (1e-9 degrees)",
}

INCH = asked.INCH

OTHERS = {True: (3.5, 10.0, 3.0), False: (3.505, 9.525, 3.175)}
"""Shank, washer and pin or pilot of the cleat, mm, of shops that read mm and that read inches (the program's own)."""

DIAMETER = re.compile(r"Ø (?:(\d+(?:\.\d+)?)(?![\d/]|\.\d)(?: ?mm)?)?(?: ?\[?(\d+/\d+))?")
"""A diameter in words: mm, a fraction of an inch, or mm [inches]."""


class Words:
    """How a jig's lengths must be written."""

    def __init__(self, made):
        self.mm, self.inches, self.finest = made.shown

    def says(self, text, mm, decimals, fraction=None):
        """Whether a text is a length as the shop reads it: mm, inches, or mm [inches]; in inches it is the nearest
        fraction, where it need be none of its own."""
        fraction = fraction or asked.in_words(asked.nearest(mm, self.finest))
        if not self.mm:
            return text == fraction
        if self.inches:
            found = re.fullmatch(r"(\S+) \[(.*)\]", text)
            return bool(found) and found[2] == fraction and same(found[1], mm, decimals)
        return same(text, mm, decimals)

    def limit(self, mm):
        """A tolerance: hundredths of a mm, or thousandths of an inch."""
        return f"±{mm:.2f}" if self.mm else f"±{mm / INCH:.3f}"

    def change(self, mm):
        """A change of a length, without its sign where that is +."""
        return f"{mm:.2f}" if self.mm else f"{mm / INCH:.3f}"

    def step(self):
        """The step of tolerances, mm."""
        return 0.01 if self.mm else INCH / 1000


def same(text, mm, decimals):
    """Whether a text is a number rounded to so many decimals, with or without zeros at its end."""
    return bool(re.fullmatch(r"-?\d+(\.\d+)?", text)) and float(text) == float(f"{mm:.{decimals}f}")


def check(made, report):
    """All sheets of a jig."""
    words, lanes = Words(made), guide.lanes(made)
    groups = {g.id: g for sheet in made.drawn for g in sheet.groups if g.kind in ("dimension", "table-value")}
    for place in made.data["places"]:
        situation, _, angle = lanes[place["id"]]
        lane(made, place, situation, angle, words, groups, report)
    coarse(made, lanes, words, report)
    for sheet in made.drawn:
        sizes(sheet, words, report)
        diameters(made, sheet, words, report)
    outer_sizes(made, groups, report)
    cut_list(made, words, groups, report)
    drifts(made, groups, words, report)


def lane(made, place, situation, angle, words, groups, report):
    """One lane on plan, tables, order of work and check sheet."""
    id, reach, limit = place["id"], made.offsets[place["id"]]["fence_distance"], place["limit"]
    inches = asked.inches(made, situation, angle, reach)
    printed = asked.distance(made, situation, angle, reach)
    report.near("wood numbers", place["printed"], printed, 1e-9, f"{id}: the distance as printed")
    limits(made, id, situation, angle, reach, printed, limit, words, report)
    known = {
        f"table-{id}-fence_distance": (reach, f"{reach:.2f}"),
        f"table-{id}-limits": (limit, words.limit(limit)),
        f"table-{id}-mm_per_degree": (made.offsets[id]["mm_per_degree"], words.change(made.offsets[id]["mm_per_degree"])),
        f"check-{id}-fence": (printed, f"{reach:.2f}" if words.mm else inches.words),
        f"check-{id}-limits": (limit, words.limit(limit)),
        f"set-{id}-gauge": (reach, f"{reach:.2f}"),
        f"set-{id}-lower": (printed - limit, None),
        f"set-{id}-upper": (printed + limit, None),
    }
    uncertainty = made.offsets[id]["angle_uncertainty"]
    if uncertainty is not None:
        known[f"table-{id}-angle_uncertainty"] = (uncertainty, f"{uncertainty:.2f}")
    gives = situation.bevel_of_fence(inches.mm, guide.bearing(made))
    for what in (f"table-{id}-inches", f"set-{id}-gauge-in"):
        known[what] = (inches.mm, inches.words)
    known[f"table-{id}-inches_give"] = (gives, f"{gives:.2f}")
    starts = tuple(f"{kind}-{id}-" for kind in ("table", "check", "set"))
    # The id of a lane may begin like that of another.
    own = {i for i in groups if i.startswith(starts) and re.fullmatch(r"[a-z_-]+", i.split(f"-{id}-", 1)[1])}
    report.equal("wood numbers", own - set(known), set(), f"{id}: unknown values")
    must = [f"check-{id}-fence", f"check-{id}-limits", f"set-{id}-lower", f"set-{id}-upper", f"table-{id}-limits"]
    must += [f"table-{id}-fence_distance", f"set-{id}-gauge"] if words.mm else []
    must += [f"table-{id}-inches", f"set-{id}-gauge-in"] if words.inches else []
    must += [f"table-{id}-angle_uncertainty"] if uncertainty is not None else []
    report.equal("wood numbers", set(must) - own, set(), f"{id}: values that are nowhere")
    # A table of numbered lanes, whose fences the plan does not dimension, spares what only helps to move a fence.
    spared = {f"table-{id}-mm_per_degree"}
    there = spared if f"dim-fence-{id}" in groups else set()
    report.equal("wood numbers", spared & own, there, f"{id}: columns that a numbered table spares")
    # What a fraction gives is told in every table of those who read inches, and in no other.
    told = {f"table-{id}-inches_give"}
    report.equal("wood numbers", told & own, told if words.inches else set(), f"{id}: angle that its inches give")
    for what in own & set(known):
        value, text = known[what]
        group = "wood angles" if what.endswith("inches_give") else "wood numbers"
        report.near(group, groups[what].number("value"), value, 1e-9, what)
        if text is not None:
            report.equal("wood words", groups[what].words(), text, what)
    bounds(made, id, situation, angle, words, groups, report)
    dimension = groups.get(f"dim-fence-{id}")
    if dimension:
        report.near("wood numbers", dimension.number("value"), reach, 1e-9, f"{dimension.id}: value")
        distance, _, within = dimension.words().rpartition(" ")
        report.equal("wood words", within, words.limit(limit), f"{dimension.id}: limits")
        said = words.says(distance, reach, 2, inches.words)
        report.expect("wood words", said, f"{dimension.id}: {distance!r} for {reach} mm")


def coarse(made, lanes, words, report):
    """Where a finer fraction is asked for than the job's, the sheets say so, and only there."""
    said = " ".join(text.words for sheet in made.drawn for group in sheet.groups for text in group.texts)
    for id, (situation, _, angle) in lanes.items():
        step = asked.inches(made, situation, angle, made.offsets[id]["fence_distance"]).step
        step_words = f"1/{step} in" if step in asked.FRACTIONS else f"{1 / step:g} in"
        wanted = f"{id}: 1/{words.finest} in is too coarse to keep the angle, so this fence is given to {step_words}"
        says, is_finer = f"{id}: 1/{words.finest} in is too coarse" in said, words.inches and step != words.finest
        report.equal("wood words", says, is_finer, f"{id}: the sheets say that 1/{words.finest} in is too coarse")
        if is_finer:
            report.expect("wood words", wanted in said, f"the sheets do not say {wanted!r}")


def held(made, situation, angle, fences):
    """Whether fences keep the angle within the job's tolerance."""
    tolerance = made.job.get("tolerance") or dimensions.TOLERANCE
    angles = [situation.bevel_of_fence(fence, guide.bearing(made)) for fence in fences]
    return all(abs(found - angle) <= tolerance + dimensions.ANGLE_WITHIN for found in angles), angles


def limits(made, id, situation, angle, reach, printed, limit, words, report):
    """A lane's limits about its distance and about that which is printed."""
    for middle in (reach, printed):
        holds, angles = held(made, situation, angle, (middle - limit, middle + limit))
        report.expect("wood limits", holds, f"{id}: {middle} ±{limit} gives {angles}, not {angle}")
    wide = limit + words.step()
    wider = [held(made, situation, angle, (middle - wide, middle + wide))[0] for middle in (reach, printed)]
    report.expect("wood limits", not all(wider), f"{id}: ±{limit} could be wider by {words.step()}")


def bounds(made, id, situation, angle, words, groups, report):
    """The two bounds as they are printed in the order of work."""
    texts = [groups[f"set-{id}-{end}"].words() for end in ("lower", "upper") if f"set-{id}-{end}" in groups]
    decimals = 2 if words.mm else 3
    read = [float(t) * (1.0 if words.mm else INCH) for t in texts if re.fullmatch(rf"\d+\.\d{{{decimals}}}", t)]
    if report.equal("wood words", len(read), 2, f"{id}: bounds {texts}"):
        holds, angles = held(made, situation, angle, read)
        report.expect("wood limits", holds, f"{id}: bounds {texts} give {angles}, not {angle}")
        for end, value in zip(("lower", "upper"), read):
            stated = groups[f"set-{id}-{end}"].number("value")
            report.near("wood words", value, stated, words.step(), f"{id}: bound {end}")


def sizes(sheet, words, report):
    """All other dimensions, and that those of a sheet with a scale are drawn so."""
    for group in sheet.of_kind("dimension"):
        if "value" not in group.data:
            # A detail whose dimensions are words.
            continue
        about, value = f"{sheet.name}: {group.id}", group.number("value")
        if not group.id.startswith("dim-fence-"):
            text = re.sub(r"^(Ø |≥ )", "", dimensions.inner(group.data["kind"], group.words(), report.of("wood words"), about))
            report.expect("wood words", words.says(text, value, 1), f"{about}: {group.words()!r} for {value} mm")
        if ":" in sheet.root["data-scale"]:
            dimensions.linear(group, value, sheet.scale, about, report.of("drawing dimensions"))


def outer_sizes(made, groups, report):
    """Outer sizes of jig and parts, wherever they are dimensioned."""
    outline, height = made.data["board"], made.data["fence"]["height"]
    wanted = {
        "dim-length": outline["length"],
        "dim-depth": outline["depth"],
        "dim-thickness": outline["thickness"],
        "dim-height": outline["thickness"] + height,
    }
    names = {"cleat": ("length", "height", "thickness"), "fence": ("length", "width", "height")}
    for part in made.data["parts"]:
        for name, size in zip(names.get(part["kind"], ("length", "width", "thickness")), part["size"]):
            wanted[f"dim-part-{part['part']}-{name}"] = size
    own = {id: groups[id] for id in wanted if id in groups}
    report.expect("wood numbers", {"dim-length", "dim-depth"} <= set(own), "the board's sizes are nowhere")
    for id, dimension in own.items():
        report.near("wood numbers", dimension.number("value"), wanted[id], 1e-9, f"{id}: value")


def diameters(made, sheet, words, report):
    """Every diameter that words on a sheet state is one of the jig's, to a 64th, by which inch drills go (common
    practice, no source)."""
    size, cleat = made.data["fence"], made.data["cleat"] or {}
    known = [size["clearance"], size["pilot"], *OTHERS[words.mm], cleat.get("clearance", 0.0)]
    for text in (t for g in sheet.groups if g.kind != "dimension" or "value" not in g.data for t in g.texts):
        for metric, fraction in DIAMETER.findall(text.words):
            stated = [(float(metric), 0.051)] if metric else []
            stated += [(float(quantities.fraction(fraction)) * INCH, INCH / 64)] if fraction else []
            for value, within in stated:
                near = min(abs(value - diameter) for diameter in known)
                about = f"{sheet.name}: {text.words!r}: no hole is {value:.3f} mm wide"
                report.expect("wood words", near <= within, about)
            right = bool(metric) == words.mm or f"Ø {metric} mm" in text.words
            report.expect("wood words", right, f"{sheet.name}: {text.words!r}: the unit of the sheet is not mm")


def cut_list(made, words, groups, report):
    """The cut list."""
    for part in made.data["parts"]:
        for what, value in zip(("length", "width", "thickness"), part["size"]):
            cell = groups.get(f"cut-{part['part']}-{what}")
            if report.expect("wood numbers", cell, f"part {part['part']}: no {what} in the cut list"):
                report.near("wood numbers", cell.number("value"), value, 1e-9, cell.id)
                said = words.says(cell.words(), value, 1)
                report.expect("wood words", said, f"{cell.id}: {cell.words()!r} for {value}")


def drifts(made, groups, words, report):
    """The table of drifts."""
    for drift in made.data["movement"]["drifts"]:
        for fence, angle, end in zip(drift["fence"], drift["angle"], ("dry", "damp")):
            for what, value in ((end, fence), (f"{end}-sets", angle)):
                cell = groups.get(f"drift-{drift['id']}-{what}")
                if report.expect("wood numbers", cell, f"{drift['id']}: no drift {what}"):
                    report.near("wood numbers", cell.number("value"), value, 1e-9, cell.id)
                    found = cell.words().replace("+", "", 1)
                    inches = what == end and not words.mm
                    wanted, decimals = (value / INCH, 3) if inches else (value, 2)
                    report.expect("wood words", same(found, wanted, decimals), f"{cell.id}: {cell.words()!r} for {value}")
