"""Classes: every bevel of every guide in its lane, the fewest blocks by HiGHS, the day of the recheck, and the sheets.

The fewest blocks are found here with another integer program than the program's own: which guide is on which block, and
at which right ends of intervals a block has its fences (scipy's `milp`, that is HiGHS).
"""

import datetime
import json
import random
from types import SimpleNamespace

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp

import guide
import jobs
import plan
import quantities
import style
from program import ROOT, profile
from sheet import Sheet

GROUPS = {
    "class angles": "every bevel of every guide is within its tolerance in its lane, by numeric turning, at both limits too",
    "class blocks": "scipy (HiGHS): no fewer blocks do, by another integer program; every block keeps to its most fences",
    "class wear": "fences off by what they may be, a roller with 2 um less wear than told keeps all bevels, 2 um more not; the day",
    "class sheets": "lesson, labels and blocks' drawings keep to the rules of all sheets; the lesson is one page",
}

SELF = {"class objects": "each group of the classes objects to an answer tampered with"}

SEED, CLASSES = 20_28, 6

WITHIN = 1e-7
"""How far an angle may be off, degrees."""

NEAR = 0.002
"""From the wear that is told to one that is less or more, mm."""

WHERE = ("narrow-side-clamp", "wide-side-clamp", "top-clamp", "twin-roller")
"""Guides that come in batches."""

FROM = datetime.date(2026, 3, 9)


def clone(rng, name, number):
    """One guide of a batch: its lengths off by what a maker lets pass."""
    own = profile("guides", name, ROOT)
    own["name"] = f"{name} {number}"

    def moved(holder, field):
        value = holder[field]
        length = value["value"] if isinstance(value, dict) else value
        anew = f"{quantities.length(length, own.get('units', 'mm'))[0] + rng.uniform(-0.25, 0.25):.2f} mm"
        holder[field] = {**value, "value": anew} if isinstance(value, dict) else anew

    for holder in [own["face"], *own["seats"].values()]:
        for field in ("axle_to_face", "over_roller", "height"):
            if field in holder:
                moved(holder, field)
    return own


def check(program, folder, report):
    """Seeded classes over batches of the built-in guides."""
    kit = json.loads((ROOT / "examples" / "alder-lane-kit.json").read_text(encoding="utf-8"))
    seen = set()
    for number in range(CLASSES):
        rng = random.Random(f"{SEED} {number}")
        home = folder / f"class-{number}"
        home.mkdir()
        (home / "kit.json").write_text(json.dumps(kit), encoding="utf-8")
        names = [rng.choice(WHERE[: 2 + number % 3]) for _ in range(rng.randrange(2, 7))]
        guides = [clone(rng, name, i) for i, name in enumerate(names)]
        for i, own in enumerate(guides):
            (home / f"guide-{i}.json").write_text(json.dumps(own), encoding="utf-8")
        job = {"format": 1, "title": f"Class {number}", "units": "mm", "guide": "guide-0.json", "kit": "kit.json"}
        (home / "job.json").write_text(json.dumps(job), encoding="utf-8")
        others = ",".join(str(home / f"guide-{i}.json") for i in range(1, len(guides)))
        wear = rng.choice([0.01, 0.02, 0.05])
        most = 8 + number % 3
        arguments = ["class", home / "job.json", "--guides", others, "--wear", f"{wear} mm", "--fences", most]
        paper = rng.choice(["A4", "Letter"])
        arguments += ["--from", FROM.isoformat(), "--paper", paper, "--out", home / "out", "--json"]
        answer = json.loads(program.text(*arguments))
        report.about = f"class {number}"
        seen |= judge(answer, guides, kit, wear, report)
        drawn(home / "out", paper, report)
        last = (answer, guides, kit, wear)
    report.about = ""
    report.equal("class blocks", {"shared", "alone", "fences"} - seen, set(), "cases that were not among the classes")
    tampered(*last, report)
    crowded(program, folder, kit, report)


def crowded(program, folder, kit, report):
    """Long names, many columns of guides, many guides on a block, a title that leaves no room for the block's mark."""
    blades = [{**blade, "name": f"{blade['name']}, yellow handle, upper drawer"[:40]} for blade in kit["blades"]]
    every = ["wide-side-clamp", "top-clamp", "twin-roller", "bench-roller", "narrow-side-clamp"]
    for name, title, guides, most in [
        ("columns", "Crowded", every * 3, 60),
        ("guides", "Crowded", ["wide-side-clamp", "narrow-side-clamp"] * 40, 8),
        ("title", "W" * 60, ["wide-side-clamp"], 8),
    ]:
        home = folder / f"class-{name}"
        home.mkdir()
        (home / "kit.json").write_text(json.dumps({**kit, "blades": blades}), encoding="utf-8")
        job = {"format": 1, "title": title, "units": "mm", "guide": "narrow-side-clamp", "kit": "kit.json"}
        (home / "job.json").write_text(json.dumps(job), encoding="utf-8")
        arguments = ["class", home / "job.json", "--guides", ",".join(guides), "--fences", most, "--out", home / "out"]
        program.run(*arguments, "--quiet")
        report.about = f"class {name}"
        drawn(home / "out", "A4", report)
        words = "".join(path.read_text(encoding="utf-8") for path in (home / "out").glob("class*.svg"))
        report.equal("class sheets", "bears no mark" in words, name == "title", "a block without a mark")
    report.about = ""


def judge(answer, guides, kit, wear, report):
    """All that is told of a class; returns which cases were in it."""
    seen = {answer["fewest"]["way"]}
    for block in answer["blocks"]:
        lanes(answer, block, guides, kit, report, wear)
        seen.add("shared" if len(block["guides"]) > 1 else "alone")
    fewest(answer, report.of("class blocks"))
    return seen


def tampered(answer, guides, kit, wear, report):
    """Answers tampered with: the group that watches over a value must object."""

    def apart(told):
        """Two blocks where one does: its guides parted."""
        block = next(block for block in told["blocks"] if len(block["guides"]) > 1)
        first, rest = block["guides"][:1], block["guides"][1:]
        cut = [{**b, "lanes": b["lanes"][1:]} for b in block["bevels"]]
        rollers = block["recheck"]["rollers"]
        later = {**block["recheck"], "rollers": rollers[1:]}
        told["blocks"].append({**block, "guides": rest, "bevels": cut, "recheck": later})
        block["guides"], block["recheck"]["rollers"] = first, rollers[:1]

    def worn_by(told, more):
        """A roller that may lose more than it may, or less."""
        told["blocks"][0]["recheck"]["rollers"][0]["may_lose"] += more

    cases = [
        ("class angles", lambda a: a["blocks"][0]["fences"][0].update(fence_distance=30.0)),
        ("class angles", lambda a: a["blocks"][0]["fences"][0]["limits"].__setitem__(1, 90.0)),
        ("class angles", lambda a: a["blocks"][0]["bevels"][0]["lanes"].__setitem__(0, None)),
        ("class blocks", apart),
        ("class blocks", lambda a: a.update(most_fences=len(a["blocks"][0]["fences"]) - 1)),
        ("class wear", lambda a: worn_by(a, 0.01)),
        ("class wear", lambda a: worn_by(a, -0.01)),
        ("class wear", lambda a: a["blocks"][0]["recheck"].update(by="2027-03-11")),
    ]
    for number, (group, change) in enumerate(cases):
        told, found = json.loads(json.dumps(answer)), type(report)()
        change(told)
        judge(told, guides, kit, wear, found)
        report.expect("class objects", found.failures[group], f"{group} did not object to case {number}")


def lanes(answer, block, guides, kit, report, wear):
    """Every bevel of the block's guides in its lane; and how much its rollers may wear."""
    bearing = answer["block_thickness"] - plan.FRONT_RELIEF[1]
    fences = {fence["lane"]: fence for fence in block["fences"]}
    blades = {blade["name"]: blade for blade in kit["blades"]}
    held = {(b["blade"], b["bevel"], n): b for n, g in enumerate(answer["guides"], 1) for b in g["bevels"]}
    steps = {}
    for bevel in block["bevels"]:
        steps.setdefault(bevel["blade"], []).append(bevel["angle"])
    situations = {number: [] for number in block["guides"]}
    for bevel in block["bevels"]:
        angle, blade = bevel["angle"], blades[bevel["blade"]]
        step = max(steps[bevel["blade"]]) - min(steps[bevel["blade"]])
        other = min(answer["tolerance"], step / 4) if step > 0 else answer["tolerance"]
        down, up = (answer["tolerance"], other) if bevel["bevel"] == "primary" else (other, answer["tolerance"])
        for number, lane in zip(block["guides"], bevel["lanes"]):
            about = f"guide {number}, {bevel['blade']}, {bevel['bevel']}"
            if not report.expect("class angles", lane, f"{about}: in no lane"):
                continue
            made = SimpleNamespace(
                guide=guides[number - 1], tools={blade["tool"]: profile("tools", blade["tool"], ROOT)}, job={"units": "mm"}
            )
            seat = held[(bevel["blade"], bevel["bevel"], number)]["seat"]
            one = guide.situation(made, blade, seat)
            span, fence = (angle - down - WITHIN, angle + up + WITHIN), fences[lane]
            for distance in (fence["fence_distance"], *fence["limits"]):
                sets = one.bevel_of_fence(distance, bearing)
                report.expect("class angles", span[0] <= sets <= span[1], f"{about}: {distance} sets {sets}, not {span}")
            situations[number].append((one, fence["fence_distance"], span))
    rollers, made = block["recheck"]["rollers"], answer["made_within"]
    report.equal("class wear", [roller["guide"] for roller in rollers], block["guides"], "rollers")

    def keeps(number, lost):
        ends = [(worn(one, lost), at + by, s) for one, at, s in situations[number] for by in (-made, made)]
        return all(s[0] <= one.bevel_of_fence(at, bearing) <= s[1] for one, at, s in ends)

    for roller in rollers:
        number, lost = roller["guide"], roller["may_lose"]
        report.expect("class wear", keeps(number, lost - NEAR), f"guide {number}: {lost} mm is too much already")
        report.expect("class wear", not keeps(number, lost + NEAR), f"guide {number}: {lost} mm is not all")
    days = min(*(roller["may_lose"] / 2 / wear for roller in rollers), 12) * 365.2425 / 12
    found = datetime.date.fromisoformat(block["recheck"]["by"])
    report.expect("class wear", 0 <= days - (found - FROM).days < 1, f"{found} is not {days} days after {FROM}")


def worn(one, lost):
    """The situation with a worn roller; axle, seat and face keep their places, so what is read over the roller shrinks."""
    less = one.moved("diameter", -lost)
    for name in ("seat", "axle_to_face", "bottom"):
        if one.kinds[name] == "over roller":
            less = less.moved(name, -lost / 2)
    return less


def fewest(answer, expected):
    """The fewest blocks by HiGHS, with no more than were found to choose from."""
    most, count = answer["most_fences"], len(answer["blocks"])
    needs = [[(b["seat"], *b["places"]) for b in g["bevels"] if not b["passing"]] for g in answer["guides"]]
    points = sorted({(seat, high) for own in needs for seat, _, high in own})
    guides, blocks = len(needs), range(count)
    # Variables: a block is used; a guide is on a block; a block has a fence at a point.
    size = count * (1 + guides + len(points))

    def on(g, b):
        return count + b * guides + g

    def at(p, b):
        return count * (1 + guides) + b * len(points) + p

    rows, low, high = [], [], []

    def row(terms, least, greatest):
        line = numpy.zeros(size)
        for place, factor in terms:
            line[place] += factor
        rows.append(line)
        low.append(least)
        high.append(greatest)

    for g, own in enumerate(needs):
        row([(on(g, b), 1) for b in blocks], 1, numpy.inf)
        for b in blocks:
            for seat, least, greatest in own:
                serving = [(at(p, b), 1) for p, (s, x) in enumerate(points) if s == seat and least <= x <= greatest]
                row([*serving, (on(g, b), -1)], 0, numpy.inf)
    for b in blocks:
        row([*[(at(p, b), 1) for p in range(len(points))], (b, -most)], -numpy.inf, 0)
    cost = numpy.concatenate([numpy.ones(count), numpy.zeros(size - count)])
    solved = milp(cost, constraints=LinearConstraint(numpy.array(rows), low, high), bounds=Bounds(0, 1), integrality=numpy.ones(size))
    if expected.expect(solved.success, f"HiGHS: {solved.message}"):
        expected.equal(count, round(solved.fun), "blocks")
    expected.equal(answer["fewest"]["least"], count, "what is proven")
    for block in answer["blocks"]:
        expected.expect(len(block["fences"]) <= most, f"{block['guides']}: {len(block['fences'])} fences")


def drawn(folder, paper, report):
    """Style and clashes of all sheets."""
    sheets = [Sheet(path.name, path.read_bytes()) for path in sorted(folder.glob("*.svg")) if "picture" not in path.name]
    for sheet in sheets:
        style.check(sheet, paper if sheet.name.startswith("class") else None, report)
    lessons = [s.name for s in sheets if any(g.id == "why" for g in s.groups)]
    report.equal("class sheets", lessons, ["class.svg"], "pages with the lesson")
    report.expect("class sheets", sum(s.name.startswith("class") for s in sheets) > 1, "no labels")
