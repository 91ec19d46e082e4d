"""The jobs that are made: the demo, and seeded random ones over all built-in guides and tools."""

import itertools
import json
import random
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction

from program import REFUSED, ROOT
from report import Report

GROUPS = {
    "jobs made": "the demo, the list and 200 random jobs are made; one is refused only with exit code 2 and a message",
    "jobs coverage": "every guide, tool, lane count, unit, sheet, projection and option was among the jobs made",
}

SEED = 20_25
LEAST = 200
"""How many random jobs must be made."""

LANE_COUNTS = [(1, 2, 3, 4, 6, 7, 12, 24), *[(1, 1, 2, 2, 3, 3, 4, 5)] * 4]
"""Lanes of the jobs of each guide, in rounds: few, which keeps the checks short."""

LISTED_COUNTS = (1, 2, 6, 12, 30, 60)
"""Lanes that some job of the list has on one block."""

MANY = 7
"""Jobs with more lanes than this are seldom lettered, which keeps the checks short."""

BED = [2000, 2000]
"""A bed that takes any block in one, mm."""

TRIES = 16
"""How often a refused job is replaced by another."""

OPTIONS = ("foot_relief", "front_relief", "marks", "screw_holes")

NOZZLES, LAYERS = (0.25, 0.4, 0.6), (0.1, 0.2, 0.28, 0.3)
"""Printers' nozzles and layers, mm."""


def lanes_of(*counts):
    """Settings of plane irons and chisels with so many lanes."""
    return [
        {"tool": tool, "id": f"{tool}-{i}", "angles": [24 + step * 0.5 for step in range(count)], "width": width}
        for i, (tool, count, width) in enumerate(counts)
    ]


IRON, CHISEL = "plane-iron", "bench-chisel"

LIST = [
    ("lanes-1", lanes_of((CHISEL, 1, 20)), {}, {}),
    ("lanes-2", lanes_of((CHISEL, 2, 25)), {"cleat": True}, {"scale": {"x": 0.9972, "y": 1.0031}}),
    ("lanes-6", lanes_of((IRON, 3, 51), (CHISEL, 3, 32)), {"labels": "raised"}, {"seam_notch": False}),
    ("lanes-12", lanes_of((IRON, 6, 44), (CHISEL, 6, 20)), {"cleat": True}, {"scale": {"x": 0.9983, "y": 1.0007}}),
    ("lanes-30", lanes_of((IRON, 10, 40), (CHISEL, 20, 16)), {}, {}),
    ("lanes-60", lanes_of((IRON, 20, 40), (CHISEL, 20, 26), (CHISEL, 20, 12)), {}, {}),
    ("set", lanes_of((IRON, 4, 51), (CHISEL, 8, 25)), {"labels": "sunk"}, {"bed": [150, 140]}),
    ("set-turned", lanes_of((CHISEL, 9, 25)), {"labels": "raised"}, {"bed": [130, 180], "scale": {"x": 1.004, "y": 0.9985}}),
]
"""Jobs whose blocks hold many lanes, or are several: name, settings, `block` and `print` sections."""


def names(kind):
    """The built-in profiles of a kind."""
    return sorted(path.stem for path in (ROOT / "profiles" / kind).glob("*.json"))


def make_all(program, folder, report):
    """Writes and makes all jobs; returns what was made, the demo first."""
    demo = ROOT / "examples" / "tool-chest.json"
    made, done = program.make(demo, folder / "demo")
    report.expect("jobs made", made, f"the demo: exit code {done.returncode}: {done.stderr}")
    all_made = [made] if made else []
    wanted = [
        (f"{turn}-{guide}-{place}", guide, count)
        for turn, counts in enumerate(LANE_COUNTS)
        for guide, (place, count) in itertools.product(names("guides"), enumerate(counts))
    ]
    with ThreadPoolExecutor() as workers:
        listed = list(workers.map(lambda entry: make_listed(program, folder, *entry), LIST))
        found = list(workers.map(lambda which: make_random(program, folder, *which), wanted))
    for _, own in listed + found:
        report.add(own)
    all_made += [made for made, _ in listed if made]
    random_made = [made for made, _ in found if made]
    report.expect("jobs made", len(random_made) >= LEAST, f"only {len(random_made)} random jobs were made")
    coverage(random_made, all_made, report)
    return all_made + random_made


def make_random(program, folder, id, guide, count):
    """A job with random settings, the first that is not refused, and what was found."""
    report, rng = Report(), random.Random(f"{SEED} {id}")
    for attempt in range(TRIES):
        name = f"job-{id}-{attempt}"
        made = make_one(program, folder, name, random_job(rng, guide, count, folder, name), report)
        if made:
            return made, report
    return None, report


def make_listed(program, folder, name, own, block, printer):
    """A job of the list, and what was found."""
    report = Report()
    job = {"format": 1, "title": f"Trial {name}", "guide": "narrow-side-clamp", "settings": own}
    made = make_one(program, folder, name, {**job, "block": block, "print": {"bed": BED, **printer}}, report)
    report.expect("jobs made", made, f"{name} was refused")
    return made, report


def make_one(program, folder, name, job, report):
    """Makes one job; what the program refuses it must refuse properly."""
    path = folder / f"{name}.json"
    path.write_text(json.dumps(job, indent=1), encoding="utf-8")
    made, done = program.make(path, folder / name)
    if made:
        return made
    judge_refusal(f"{name}: {json.dumps(job)}", done, (folder / name).exists(), report)
    return None


def judge_refusal(what, done, has_written, report, group="jobs made"):
    """A job is refused with exit code 2 and a message, and nothing is written."""
    message = done.stderr.strip()
    proper = done.returncode == REFUSED and message and "panic" not in message and "fault of the program" not in message
    report.expect(group, proper, f"{what}: exit code {done.returncode}: {message!r}")
    report.expect(group, not has_written, f"{what}: refused, and yet files were written")


def random_job(rng, guide, count, folder, name):
    """A job that is likely to be valid."""
    inches = rng.random() < 0.4
    job = {"format": 1, "title": f"Trial {name}"[:60], "guide": guide}
    if inches:
        job["units"] = "in"
    if rng.random() < 0.25:
        job["guide"] = out_of_square(rng, guide, folder, name)
    if guide == "bench-roller":
        job["roller_level"] = length(rng, -16.0, -8.0, inches)
    elif rng.random() < 0.2:
        job["roller_level"] = length(rng, -0.6, 0.6, inches)
    job["settings"] = settings(rng, count, inches)
    if rng.random() < 0.4:
        job["tolerance"] = rng.choice([0.25, 0.5, 1, 1.5])
    block = {option: False for option in OPTIONS if rng.random() < 0.35}
    if rng.random() < 0.2:
        block = dict.fromkeys(OPTIONS, False)
    if rng.random() < 0.3:
        block["thickness"] = length(rng, 7.0, 16.0, inches)
    if rng.random() < 0.3:
        block["middle"] = length(rng, 6.0, 25.0, inches)
    if rng.random() < 0.3:
        block["clearance"] = length(rng, 0.5, 5.0, inches)
    if rng.random() < 0.2:
        block["fence_within"] = length(rng, 0.05, 0.3, inches)
    block["labels"] = "none" if count > MANY and rng.random() < 0.8 else rng.choice(["sunk", "sunk", "raised", "none"])
    if rng.random() < 0.25:
        block["cleat"] = True
    job["block"] = block
    job["print"] = printer(rng, inches)
    sheet = {}
    if rng.random() < 0.6:
        sheet["size"] = rng.choice(["A4", "A3", "Letter"])
    if rng.random() < 0.6:
        sheet["projection"] = rng.choice(["third", "first"])
    if sheet:
        job["sheet"] = sheet
    return job


def printer(rng, inches):
    """A printer; its bed mostly takes the whole block."""
    bed = BED if rng.random() < 0.9 else [rng.randint(160, 260), rng.randint(160, 260)]
    found = {"bed": [f"{side} mm" for side in bed] if inches else bed}
    if rng.random() < 0.5:
        found["nozzle"] = f"{rng.choice(NOZZLES)} mm"
    if rng.random() < 0.5:
        found["layer"] = f"{rng.choice(LAYERS)} mm"
    if rng.random() < 0.2:
        found["seam_notch"] = False
    if rng.random() < 0.3:
        found["scale"] = {"x": round(rng.uniform(0.99, 1.01), 4), "y": round(rng.uniform(0.99, 1.01), 4)}
    return found


def settings(rng, count, inches):
    """Settings with `count` lanes in all."""
    tools, left, all_settings = names("tools"), count, []
    while left:
        tool = rng.choice(tools)
        few = min(left, rng.randint(1, 4))
        low, high = (22, 40) if "iron" in tool else (18, 38)
        angles = sorted(rng.sample(range(low * 2, high * 2), few))
        setting = {"tool": tool, "angles": [a / 2 for a in angles], "id": f"{tool}-{len(all_settings) + 1}"}
        if tool == "mortise-chisel":
            setting["thickness"] = toleranced(rng, 3.0, 4.3, inches)
            setting["land"] = length(rng, 2.0, 2.9, inches)
        elif rng.random() < 0.4:
            setting["thickness"] = toleranced(rng, 2.2, 3.8, inches)
            setting["land"] = length(rng, 1.4, 2.1, inches)
        if rng.random() < 0.3:
            setting["taper"] = rng.choice([-0.8, -0.3, 0.4, {"value": 0.5, "within": 0.1}])
        elif "chisel" in tool and rng.random() < 0.3:
            setting["land_taper"] = rng.choice([0.8, -0.4, {"value": 0.6, "within": 0.2}])
        if "iron" in tool:
            setting["width"] = length(rng, 36.0, 60.0, inches)
        elif rng.random() < 0.6:
            setting["width"] = length(rng, 4.0, 36.0, inches)
        if rng.random() < 0.2:
            setting["edge"] = rng.choice(["near", "far"])
        all_settings.append(setting)
        left -= few
    return all_settings


def length(rng, low, high, inches):
    """A length between two, mm, in one of the forms that jobs may use."""
    mm = rng.uniform(low, high)
    form = rng.randrange(3)
    if form == 0:
        return f"{mm:.2f} mm"
    if not inches:
        return round(mm, 2)
    if form == 1 or abs(mm) < 1.0:
        return round(mm / 25.4, 4)
    parts = Fraction(round(abs(mm) / 25.4 * 64), 64)
    whole, rest = divmod(parts, 1)
    text = " ".join(filter(None, [str(whole) if whole else "", str(rest) if rest else ""]))
    return f"{'-' if mm < 0 else ''}{text} in"


def toleranced(rng, low, high, inches):
    """A length with a tolerance."""
    return {"value": length(rng, low, high, inches), "within": f"{rng.uniform(0.02, 0.2):.2f} mm"}


def out_of_square(rng, guide, folder, name):
    """A copy of a built-in guide whose face is not square, beside the job."""
    profile = json.loads((ROOT / "profiles" / "guides" / f"{guide}.json").read_text(encoding="utf-8"))
    profile["face"]["square_error"] = {"value": round(rng.uniform(-0.8, 0.8), 2), "within": 0.05}
    path = folder / f"{name}-guide.json"
    path.write_text(json.dumps(profile), encoding="utf-8")
    return path.name


def coverage(all_made, listed, report):
    """Whether the jobs made are as various as they are meant to be."""

    def covers(what, found, wanted):
        report.equal("jobs coverage", set(wanted) - set(found), set(), f"{what} not among the jobs made")

    blocks = [made.job.get("block") or {} for made in all_made]
    sheets = [made.job.get("sheet") or {} for made in all_made]
    covers("guides", (made.summary["guide"] for made in all_made), names("guides"))
    covers("tools", (s["tool"] for made in all_made for s in made.job["settings"]), names("tools"))
    covers("lane counts", (len(made.summary["lanes"]) for made in all_made), LANE_COUNTS[0])
    covers("lane counts of one block", (len(m.summary["lanes"]) for m in listed if len(m.each()) == 1), LISTED_COUNTS)
    covers("blocks", (len(made.each()) > 1 for made in [*all_made, *listed]), (True, False))
    covers("labels", (made.labels for made in all_made), ("sunk", "raised", "none"))
    covers("letters", (bool(made.part["labels"]) for made in all_made), (True, False))
    covers("nozzles", (made.printer("nozzle", None) for made in all_made), (None, *NOZZLES))
    covers("layers", (made.printer("layer", None) for made in all_made), (None, *LAYERS))
    covers("cleats", (made.has_cleat() for made in all_made), (True, False))
    covers("notches", (made.block["seam_notches"] is not None for made in all_made), (True, False))
    covers("scales of prints", ("scale" in (made.job.get("print") or {}) for made in all_made), (True, False))
    covers("turned blocks", (b.block["turned"] for made in [*all_made, *listed] for b in made.each()), (True, False))
    covers("units", (made.job.get("units", "mm") for made in all_made), ("mm", "in"))
    covers("sheets", (s.get("size") for s in sheets), (None, "A4", "A3", "Letter"))
    covers("projections", (s.get("projection") for s in sheets), (None, "third", "first"))
    for option in OPTIONS:
        covers(option, (b.get(option, True) for b in blocks), (True, False))
    for size in ("thickness", "middle", "clearance"):
        covers(f"own {size}", (size in b for b in blocks), (True, False))
    scales = {
        data.split(b'data-scale="')[1].split(b'"')[0]
        for made in all_made
        for data in made.files.values()
        if b"data-scale" in data
    }
    covers("scales", scales, (b"1:1", b"1:2", b"1:5"))
