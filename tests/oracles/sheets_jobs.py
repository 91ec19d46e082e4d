"""The jobs whose sheets are judged: seeded, of every kind of sheet, in all papers, units and languages of names."""

import json
import random
import re
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

import jobs
import sheets_names
from program import ROOT, profile

GROUPS = {
    "sheets jobs": "random jobs are made; one is refused only with exit code 2 and a message, and never for its drawing",
    "sheets coverage": "among them is every kind of sheet, paper, unit, guide and name",
}

SEED = 20_28

KINDS = {"block": 30, "jig": 60, "kit": 12, "card": 56, "gauges": 40, "test piece": 30, "measure": 2, "show": 70}
"""How many jobs of each kind are made where all are, 300."""

PART = 3
"""Where not all are made, one of so many is."""

TRIES = 12
"""How often a refused job is replaced by another."""

PAPERS = {"card": ["A4", "A5", "Letter", "half-letter", "index"], "block": [None, "A4", "A3", "Letter"]}
HOME = ["A4", "Letter"]
"""Papers of a printer at home."""

UNITS = ["mm", "in", "both"]

LONGEST = 60
"""How long one job may take, s."""

CROWDED = re.compile(r"fits on no sheet|overlap|has room for|too crowded")
"""What is said where a job is refused for its drawing."""

ACCEPTED = (0, 3)
"""Exit codes of a job that was made: 3 where the guide cannot set a blade of a kit."""


@dataclass
class Asked:
    """A job: how it is called, and what must be read on its sheets."""

    name: str
    kind: str
    arguments: list
    title: str = ""
    guide: str = ""
    lanes: list = field(default_factory=list)
    """Name and angle of each lane."""
    blades: list = field(default_factory=list)
    paper: str | None = None
    units: str = "mm"
    files: dict = field(default_factory=dict)


def wanted(whole):
    """Kind and number of every job, of all or of a part."""
    return [(kind, number) for kind, count in KINDS.items() for number in range(count if whole else -(-count // PART))]


def make(binary, folder, kind, number, report):
    """Makes a job, the first of its tries that is not refused."""
    rng = random.Random(f"{SEED} {kind} {number}")
    for attempt in range(TRIES):
        name = f"{kind.replace(' ', '-')}-{number}-{attempt}"
        asked = MAKERS[kind](rng, folder, name, number)
        out = folder / name
        command = [binary, *map(str, asked.arguments), "--out", out, "--quiet"]
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=LONGEST)
        except subprocess.TimeoutExpired:
            report.expect("sheets jobs", False, f"{name}: {asked.arguments}: not made in {LONGEST} s")
            return None
        if done.returncode in ACCEPTED:
            asked.files = {path.name: path.read_bytes() for path in out.iterdir() if path.suffix in (".svg", ".pdf", ".json")}
            report.expect("sheets jobs", True, name)
            return asked
        if CROWDED.search(done.stderr):
            # Names and lanes that go in a job go on its sheets.
            report.expect("sheets jobs", False, f"{name}: {asked.arguments}: {done.stderr.strip()}")
            return None
        jobs.judge_refusal(f"{name}: {asked.arguments}", done, out.exists(), report, "sheets jobs")
    report.expect("sheets jobs", False, f"{kind} {number}: all tries were refused, the last: {done.stderr}")
    return None


def written(folder, name, content):
    """Writes a file beside the others, and gives its path."""
    path = folder / f"{name}.json"
    path.write_text(json.dumps(content, indent=1), encoding="utf-8")
    return path


def own_guide(rng, folder, name):
    """A built-in guide, or a copy of one under a name in some language; and its name."""
    built_in = rng.choice(jobs.names("guides"))
    if rng.random() < 0.4:
        return built_in, built_in, built_in
    content = profile("guides", built_in, ROOT)
    content["name"] = rng.choice(sheets_names.GUIDES)
    return written(folder, f"{name}-guide", content).name, content["name"], built_in


def settings_job(rng, folder, name, number, most):
    """A job with settings, and what must be read on its sheets."""
    inches = rng.random() < 0.4
    guide, called, built_in = own_guide(rng, folder, name)
    title = sheets_names.TITLES[number % len(sheets_names.TITLES)]
    settings = jobs.settings(rng, rng.choice([1, 2, 3, 4, 6, 8, most]), inches)
    for i, setting in enumerate(settings):
        # Some classes' own thickest blades are more than a seat holds.
        setting.setdefault("thickness", jobs.toleranced(rng, 2.4, 3.8, inches))
        # An id is only a name when two settings of a tool have one each.
        if rng.random() < 0.7:
            setting["id"] = f"{rng.choice(sheets_names.TOOLS)} {i + 1}"
    job = {"format": 1, "title": title, "guide": guide, "settings": settings, "units": "in" if inches else "mm"}
    if built_in == "bench-roller":
        job["roller_level"] = jobs.length(rng, -16.0, -8.0, inches)
    # Lettering of the block takes the program longest, and is seen on few sheets.
    labels = "sunk" if rng.random() < 0.15 else "none"
    job["block"] = {"labels": labels, "cleat": rng.random() < 0.3}
    job["print"] = jobs.printer(rng, inches)
    if rng.random() < 0.4:
        job["tolerance"] = rng.choice([0.25, 0.5, 1])
    lanes = [(setting["id"], angle) for setting in settings for angle in setting["angles"]]
    return job, called, lanes


def block(rng, folder, name, number):
    """The drawings of a block, with its side views."""
    job, called, lanes = settings_job(rng, folder, name, number, 14)
    paper = PAPERS["block"][number % 4]
    if paper:
        job["sheet"] = {"size": paper}
    if rng.random() < 0.4:
        job.setdefault("sheet", {})["projection"] = rng.choice(["first", "third"])
    units = UNITS[number % 3]
    path = written(folder, name, job)
    arguments = ["make", path, "--only", "drawing,sides", "--units", units]
    return Asked(name, "block", arguments, job["title"], called, lanes, paper=paper, units=units)


def jig(rng, folder, name, number):
    """The sheets of a wooden jig, some without a cleat."""
    job, called, lanes = settings_job(rng, folder, name, number, 12)
    job["wood"] = {"cleat": number % 3 != 0}
    if rng.random() < 0.4:
        job["wood"]["board"] = {"material": rng.choice(["mdf", "plywood"])}
    if rng.random() < 0.2:
        job["wood"]["printed_bar"] = ["99.5 mm", "100.4 mm"]
    units, paper = UNITS[number % 3], HOME[number // 3 % 2]
    path = written(folder, name, job)
    arguments = ["cutsheet", path, "--paper", paper, "--units", units, "--fraction", rng.choice([64, 32, 16])]
    return Asked(name, "jig", arguments, job["title"], called, lanes, paper=paper, units=units)


def kit_job(rng, folder, name, number):
    """A job of a kit, and what must be read on its cards."""
    inches = rng.random() < 0.4
    blades = []
    for i in range(rng.randint(1, 9)):
        tool = rng.choice([tool for tool in jobs.names("tools") if tool != "mortise-chisel"])
        primary = rng.randrange(44, 56) / 2
        blade = {"name": f"{rng.choice(sheets_names.TOOLS)} {i + 1}", "tool": tool, "primary": primary}
        blade["thickness"] = jobs.toleranced(rng, 2.4, 3.6, inches)
        blade["micro"] = primary + rng.randrange(4, 14) / 2
        if "iron" in tool and "spokeshave" not in tool and rng.random() < 0.5:
            blade["camber"] = {"depth": f"{rng.uniform(0.1, 0.6):.2f} mm"}
        if rng.random() < 0.5:
            blade["use"] = rng.sample(["softwood", "hardwood", "end-grain", "reversing-grain"], rng.randint(1, 3))
        if rng.random() < 0.4:
            blade["current"] = primary + 1
        blades.append(blade)
    title = sheets_names.TITLES[number % len(sheets_names.TITLES)]
    kit = {"format": 1, "title": title, "units": "in" if inches else "mm", "blades": blades}
    if rng.random() < 0.7:
        kit["grits"] = [["P220", "P400", "P800"], ["1000 water-stone", "3000 water-stone", "8000 water-stone"]][number % 2]
    built_in = rng.choice([g for g in jobs.names("guides") if g != "bench-roller"])
    path = written(folder, f"{name}-kit", kit)
    job = {"format": 1, "title": title, "guide": built_in, "kit": path.name, "units": kit["units"]}
    job["block"] = {"labels": "sunk" if number == 1 else "none"}
    return job, built_in, [blade["name"] for blade in blades]


def kit(rng, folder, name, number):
    """The block of a kit, with its cards."""
    job, called, blades = kit_job(rng, folder, name, number)
    units = UNITS[number % 3]
    arguments = ["make", written(folder, name, job), "--only", "drawing,sides,cards", "--units", units]
    return Asked(name, "kit", arguments, job["title"], called, blades=blades, units=units)


def card(rng, folder, name, number):
    """The cards of a kit on a paper of their own."""
    job, called, blades = kit_job(rng, folder, name, number)
    paper, units = PAPERS["card"][number % 5], UNITS[number % 3]
    arguments = ["card", written(folder, name, job), "--paper", paper, "--units", units]
    return Asked(name, "card", arguments, job["title"], called, blades=blades, paper=paper, units=units)


def gauges(rng, folder, name, number):
    """Gauges for bevels, cambers and square edges."""
    units, paper = UNITS[number % 3], HOME[number // 3 % 2]
    angles = sorted(rng.sample(range(36, 90), rng.randint(1, 10)))
    arguments = ["gauges", "--angles", ",".join(f"{a / 2:g}" for a in angles), "--paper", paper, "--units", units]
    if rng.random() < 0.5:
        arguments += ["--camber", f"{rng.randint(30, 66)} mm,{rng.uniform(0.15, 2.5):.2f} mm"]
    if rng.random() < 0.5:
        arguments += [f"--square={rng.randint(25, 80)} mm"]
    if rng.random() < 0.3:
        arguments += ["--metal"]
    return Asked(name, "gauges", arguments, paper=paper, units=units)


def test_piece(rng, folder, name, number):
    """The check sheet of a test piece."""
    units, paper = UNITS[number % 3], HOME[number // 3 % 2]
    bed = f"{rng.randint(110, 350)} mm,{rng.randint(110, 350)} mm"
    return Asked(name, "test piece", ["testpiece", "--bed", bed, "--paper", paper, "--units", units], paper=paper, units=units)


def measure(rng, folder, name, number):
    """The sheet for measuring a guide."""
    paper = HOME[number % 2]
    return Asked(name, "measure", ["measure", "--sheet", "--paper", paper], paper=paper)


def show(rng, folder, name, number):
    """A side view, on the stone or at the block."""
    guide, called, built_in = own_guide(rng, folder, name)
    units = UNITS[number % 3]
    where = guide if guide == built_in else folder / guide
    angle = rng.randrange(36, 76) / 2
    arguments = ["show", where, "--tool", rng.choice(jobs.names("tools")), "--angle", f"{angle:g}", "--units", units]
    if built_in == "bench-roller":
        arguments += ["--roller-level", "-12 mm"]
    if number % 2:
        arguments += ["--block"]
    return Asked(name, "show", arguments, guide=called, units=units)


MAKERS = {
    "block": block,
    "jig": jig,
    "kit": kit,
    "card": card,
    "gauges": gauges,
    "test piece": test_piece,
    "measure": measure,
    "show": show,
}
