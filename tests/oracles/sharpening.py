"""The arithmetic of sharpening, worked out by other means: `bevel`, `camber` and `grits` of the program are asked, and

* shapely clips the blade's section with half-planes, and with the arc of a wheel;
* scipy solves the non-negative least squares, on pressures found by balancing a clipped linear pressure numerically
  (a stiff edge) or by a truncated normal distribution (pressure near the finger);
* the grain sizes are held against the standards' tables, typed in again.

    python sharpening.py PATH_OF_BINARY
"""

import copy
import json
import math
import random
import subprocess
import sys

import numpy as np
from scipy.optimize import brentq, nnls
from scipy.stats import truncnorm
from shapely import affinity
from shapely.geometry import Polygon, box

from program import Program
from report import Report

GROUPS = {
    "bevel": "shapely: clipping the blade's section leaves the same widths, and takes the same steel",
    "camber": "scipy: the same non-negative least squares on pressures found numerically",
    "grits": "grain sizes as in the standards' tables",
    "sharpening self-test": "each of these objects to an answer that was tampered with",
}

CASES = 25
FAR = 40.0
NEAR = 1e-6
"""mm and mm²: what is left of rounding in clipping."""


def ask(binary, *arguments):
    """The answer of a command as JSON."""
    done = subprocess.run([binary, *map(str, arguments), "--json"], capture_output=True, text=True, timeout=60)
    if done.returncode != 0:
        raise RuntimeError(f"{arguments}: exit code {done.returncode}: {done.stderr}")
    return json.loads(done.stdout)


def differing(pairs, within):
    """Those of (name, found, wanted) that differ by more."""
    return [f"{name} {found} against {wanted}" for name, found, wanted in pairs if not abs(found - wanted) <= within]


# Bevel


def slab(thickness, taper):
    """The blade before it was ground: back along x, `thickness` square to the underside at the origin."""
    level = box(-FAR, -2 * FAR, FAR, thickness)
    level = affinity.rotate(level, -taper, origin=(0, 0))
    return level.intersection(box(-FAR, 0, FAR, 3 * FAR))


def ground(steel, at, angle):
    """What is left when all beyond the line from `at` on the back under `angle` is gone."""
    wheel = affinity.rotate(box(-10 * FAR, 0, 10 * FAR, 10 * FAR), angle, origin=(0, 0))
    left = steel.difference(affinity.translate(wheel, at, 0))
    return max(left.geoms, key=lambda part: part.area) if hasattr(left, "geoms") else left


def side(steel, at, angle):
    """Length of the side that lies on that line."""
    radians = math.radians(angle)
    sine, cosine = math.sin(radians), math.cos(radians)
    corners = [(x - at, y) for x, y in steel.exterior.coords]
    along = [x * cosine + y * sine for x, y in corners if abs(y * cosine - x * sine) < 1e-7]
    return max(along) - min(along)


def bevel_case(seed):
    """A blade and what is asked of it."""
    draw = random.Random(seed)
    primary = draw.uniform(17, 38)
    return {
        "thickness": draw.uniform(1.5, 4.0),
        "taper": draw.choice([0.0, draw.uniform(-1.5, 1.5)]),
        "primary": primary,
        "micro": primary + draw.uniform(3, 12),
        "recession": draw.uniform(0.02, 0.1),
        "change-to": max(15.0, primary + draw.choice([-1, 1]) * draw.uniform(1, 10)),
        "wheel": draw.uniform(90, 250),
        "rule": draw.uniform(0.3, 2.0),
        "rule-at": draw.uniform(20, 90),
    }


def hollowed(steel, chord, wheel, angle):
    """The steel with an arc of a wheel ground into its bevel, from edge to heel; and the arc."""
    radius, radians = wheel / 2, math.radians(angle)
    off = math.sqrt(radius**2 - chord**2 / 4)
    centre = np.array([math.cos(radians), math.sin(radians)]) * chord / 2
    centre = centre + np.array([-math.sin(radians), math.cos(radians)]) * off
    half = math.asin(chord / 2 / radius)
    # Edge first: seen from the wheel's centre the chord's ends lie to both sides of the way to its middle.
    middle = math.atan2(-math.cos(radians), math.sin(radians))
    turns = np.linspace(middle - half, middle + half, 20001)
    arc = centre + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    # Out beyond the chord, so that no sliver of it stays.
    out = np.array([-math.sin(radians), math.cos(radians)])
    return steel.difference(Polygon([*arc, arc[-1] + out, arc[0] + out])), arc


def hollow_pairs(case, answer, first):
    """What a wheel leaves, by the points of its arc."""
    chord = side(first, 0, case["primary"])
    steel, arc = hollowed(first, chord, case["wheel"], case["primary"])
    radians = math.radians(case["primary"])
    below = arc @ np.array([math.sin(radians), -math.cos(radians)])
    # The arc's direction at its ends, from three points, as good as the step squared.
    slope = lambda a, b, c: math.degrees(math.atan2(*(-1.5 * a + 2 * b - 0.5 * c)[::-1]))
    at_edge, at_heel = slope(*arc[:3]), slope(*arc[-1:-4:-1]) - 180
    honed = ground(steel, case["recession"], case["micro"])
    found = answer["hollow"]
    return [
        ("depth of the hollow", found["depth"], below.max()),
        ("edge of the hollow", found["at_edge"], at_edge % 360),
        ("heel of the hollow", found["at_heel"], at_heel % 360),
        ("micro-bevel on the hollow", found["micro_width"], side(honed, case["recession"], case["micro"])),
    ]


def back_pair(case, answer):
    """The angle at which a point of the back, so far from the edge, is as high as the rule."""
    rises = lambda degrees: case["rule-at"] * math.sin(math.radians(degrees)) - case["rule"]
    return ("back bevel", answer["back_bevel"]["angle"], brentq(rises, 0.0, 60.0, xtol=1e-12))


def bevel_faults(case, answer):
    """What clipping finds otherwise."""
    first = ground(slab(case["thickness"], case["taper"]), 0, case["primary"])
    honed = ground(first, case["recession"], case["micro"])
    micro, change = answer["micro"], answer["change"]
    due = micro["regrind"]
    worn = ground(first, due["recession"], case["micro"])
    reground = ground(worn, due["recession"], case["primary"])
    changed = ground(first, change["recession"], change["to"])
    pairs = [
        ("length", answer["length"], side(first, 0, case["primary"])),
        ("width", micro["now"]["width"], side(honed, case["recession"], case["micro"])),
        ("steel", micro["now"]["steel"], first.area - honed.area),
        ("primary left", micro["now"]["primary_left"], side(honed, 0, case["primary"])),
        ("width when due", due["width"], side(worn, due["recession"], case["micro"])),
        ("honed", due["honed"], first.area - worn.area),
        ("reground", due["ground"], worn.area - reground.area),
        ("steel of the change", change["steel"], first.area - changed.area),
        ("new bevel", change["progress"][-1]["new_length"], side(changed, change["recession"], change["to"])),
    ]
    pairs += [*hollow_pairs(case, answer, first), back_pair(case, answer)]
    if change["begins"] == "edge":
        for part in change["progress"][1:-1]:
            half = ground(first, part["recession"], change["to"])
            pairs.append(("removed", part["removed"], first.area - half.area))
            pairs.append(("untouched", part["untouched"], side(half, 0, case["primary"])))
            pairs.append(("new part", part["new_length"], side(half, part["recession"], change["to"])))
    return differing(pairs, NEAR)


def bevel(binary, seed):
    """Case, answer and the function that judges it."""
    case = bevel_case(seed)
    options = [text for name, value in case.items() for text in (f"--{name}", repr(value))]
    return case, ask(binary, "bevel", *options), bevel_faults


# Camber

FINE = 4001


def stiff(width, at):
    """Pressure over the width of a stiff edge pressed at `at`, mean 1: linear, nowhere below 0, balanced numerically."""
    x = np.linspace(-width / 2, width / 2, FINE)

    def pressure(slope):
        def total(level):
            return np.trapezoid(np.maximum(level + slope * x, 0), x) - width

        top = 1 + abs(slope) * width
        level = brentq(total, -abs(slope) * width, top, xtol=1e-14)
        return np.maximum(level + slope * x, 0)

    def moment(slope):
        return np.trapezoid(pressure(slope) * x, x) / width - abs(at)

    slope = 0.0 if at == 0 else brentq(moment, 0, 1e4 / width, xtol=1e-13)
    values = pressure(slope)
    return x, values if at >= 0 else values[::-1]


def local(width, at, finger, spread):
    """Pressure near a finger at `at`, mean 1."""
    x = np.linspace(-width / 2, width / 2, FINE)
    sigma = math.sqrt(finger**2 / 12 + spread**2)
    ends = [(-width / 2 - at) / sigma, (width / 2 - at) / sigma]
    return x, width * truncnorm.pdf(x, *ends, loc=at, scale=sigma)


def camber_case(seed):
    """What is asked."""
    draw = random.Random(1000 + seed)
    case = {
        "width": draw.uniform(38, 66),
        "depth": draw.uniform(0.03, 1.8),
        "angle": draw.uniform(22, 38),
        "finger": draw.uniform(13, 19),
        "per-stroke": draw.uniform(0.0004, 0.003),
    }
    if draw.random() < 0.4:
        case["spread"] = draw.uniform(2, 8)
    return case


def camber_faults(case, answer):
    """What scipy finds otherwise."""
    width, depth, plan = case["width"], case["depth"], answer["plan"]
    radius = (width**2 / 4 + depth**2) / (2 * depth)
    points = (np.arange(64) + 0.5) / 64 * width / 2
    wanted = radius - np.sqrt(radius**2 - points**2)
    columns = []
    for place in plan["places"]:
        column = np.zeros(64)
        for at in {place["at"], -place["at"]}:
            if "spread" in case:
                x, pressure = local(width, at, case["finger"], case["spread"])
            else:
                x, pressure = stiff(width, at)
            column += np.interp(points, x, pressure)
        columns.append(column * case["per-stroke"] / math.sin(math.radians(case["angle"])))
    table = np.column_stack(columns)
    _, least = nnls(np.column_stack([table, -np.ones(64)]), wanted)

    def rms(strokes):
        over = table @ np.array(strokes) - wanted
        left = over - max(over.mean(), 0)
        return math.sqrt((left**2).mean())

    within = 2e-4 * depth
    rounded = [count * plan["rounds"]["rounds"] for count in plan["rounds"]["counts"]]
    pairs = [
        ("radius", answer["radius"] / radius, 1.0),
        ("least", plan["best"]["rms"], least / 8),
        ("best strokes", plan["best"]["rms"], rms(plan["best"]["strokes"])),
        ("rounds", plan["rounded"]["rms"], rms(rounded)),
        ("rule", plan["rule"]["rms"], rms([count * plan["rule_rounds"] for count in (15, 10, 5, 0)])),
    ]
    return differing(pairs, within)


def camber(binary, seed):
    """Case, answer and the function that judges it."""
    case = camber_case(seed)
    options = [text for name, value in case.items() for text in (f"--{name}", repr(value))]
    return case, ask(binary, "camber", *options), camber_faults


# Grits

P_MICRO = {
    240: 58.5, 280: 52.2, 320: 46.2, 360: 40.5, 400: 35.0, 500: 30.2, 600: 25.8, 800: 21.8, 1000: 18.3, 1200: 15.3,
    1500: 12.6, 2000: 10.3, 2500: 8.4,
}  # fmt: skip
"""ISO 6344-3: medians, µm, as public tables give them."""

P_MACRO = {
    12: 1815, 16: 1324, 20: 1000, 24: 764, 30: 642, 36: 538, 40: 425, 50: 336, 60: 269, 80: 201, 100: 162, 120: 125,
    150: 100, 180: 82, 220: 68,
}  # fmt: skip
"""ISO 6344-2: mean diameters, µm, as public tables give them."""

JIS = {
    240: 57.0, 280: 48.0, 320: 40.0, 360: 35.0, 400: 30.0, 500: 25.0, 600: 20.0, 700: 17.0, 800: 14.0, 1000: 11.5,
    1200: 9.5, 1500: 8.0, 2000: 6.7, 2500: 5.5, 3000: 4.0, 4000: 3.0, 6000: 2.0, 8000: 1.2,
}  # fmt: skip
"""JIS R 6001:1987: 50 % point by electrical resistance, µm, from a public copy of its table."""

CAMI = {
    24: (708, 715), 30: (632, 638), 36: (530, 535), 40: (425, 428), 50: (348, 351), 60: (265, 268), 80: (190, 192),
    100: (140, 141), 120: (115, 116), 150: (92, 93), 180: (82, 82), 220: (68, 68), 240: (52, 53), 280: (42, 44),
    320: (35, 36), 360: (28, 28), 400: (22, 23), 500: (18, 20), 600: (15, 16), 800: (12.2, 12.6), 1000: (9.2, 10.3),
}  # fmt: skip
"""ANSI B74.18: least and greatest mean diameter, µm, that public tables give."""


def grits_faults(_, answer):
    """Grain sizes that are not those of the tables, and steps that do not follow from them."""
    limits = {f"P{n}": (size, size) for n, size in (P_MACRO | P_MICRO).items()}
    limits |= {f"JIS {n}": (size, size) for n, size in JIS.items()}
    limits |= {f"CAMI {n}": sizes for n, sizes in CAMI.items()}
    faults, last = [], None
    for grade in answer["grades"]:
        least, greatest = limits[grade["grade"]]
        if not least <= grade["grain"] <= greatest:
            faults.append(f"{grade['grade']}: {grade['grain']} µm, not {least} to {greatest}")
        if last and not abs(grade["ratio"] - last / grade["grain"]) < 1e-12:
            faults.append(f"{grade['grade']}: ratio {grade['ratio']}")
        if last and grade["strokes"] != math.ceil(10 * last / grade["grain"] - 1e-9):
            faults.append(f"{grade['grade']}: {grade['strokes']} strokes")
        last = grade["grain"]
    return faults


def grits(binary, names):
    """The answer for a whole standard."""
    return names, ask(binary, "grits", ",".join(names)), grits_faults


# All


def tampered(answer, *path):
    """The same answer with one number a hundredth larger."""
    changed = copy.deepcopy(answer)
    at = changed
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] *= 1.01
    return changed


def check(program, report):
    """Seeded cases, the standards' grades, and answers that are tampered with."""
    binary = program.binary
    standards = [
        [f"P{n}" for n in [*P_MACRO, *P_MICRO]],
        [f"JIS {n}" for n in JIS],
        [f"CAMI {n}" for n in CAMI],
    ]
    asked = [("bevel", seed, bevel(binary, seed)) for seed in range(CASES)]
    asked += [("camber", seed, camber(binary, seed)) for seed in range(CASES)]
    asked += [("grits", names[0], grits(binary, names)) for names in standards]
    for group, name, (case, answer, judge) in asked:
        faults = judge(case, answer)
        report.expect(group, not faults, f"{group} {name}: {'; '.join(faults)}")
    places = {
        "bevel": [("hollow", "depth"), ("hollow", "micro_width"), ("back_bevel", "angle"), ("length",), ("micro", "now", "width"), ("micro", "regrind", "ground"), ("change", "steel")],
        "camber": [("plan", "best", "rms"), ("plan", "rounded", "rms"), ("plan", "rule", "rms"), ("radius",)],
        "grits": [("grades", 3, "grain"), ("grades", 3, "ratio")],
    }
    for group, paths in places.items():
        case, answer, judge = next(found for of, _, found in asked if of == group)
        for path in paths:
            objects = bool(judge(case, tampered(answer, *path)))
            report.expect("sharpening self-test", objects, f"{group} {path}: was not noticed")


if __name__ == "__main__":
    found = Report()
    check(Program(sys.argv[1]), found)
    sys.exit(0 if found.print(GROUPS) else 1)
