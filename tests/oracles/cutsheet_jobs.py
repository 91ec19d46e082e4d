"""The wooden jigs that are made: the demo, and seeded jobs over all options of a job's `wood` section."""

import json
import random
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import asked
import guide
import jobs
import sheet
from program import ROOT, Made, profile

GROUPS = {
    "wood jobs": "the demo and all jobs of the list are made; a job is refused only with exit code 2 and a message",
    "wood again": "two runs give the same bytes of every file",
    "wood coverage": "among them are slots, facings, staves, shared strips, turned and scaled tiles, both papers",
}

SEED = 20_26

TRIES = 12
"""How many jobs are tried for one of the list: settings are random, and some are refused."""

AIR = {"dry": {"temperature": 17, "humidity": 40}, "damp": {"temperature": 24, "humidity": 60}}
MADE_IN_SUMMER = {**AIR, "made": {"temperature": 25, "humidity": 58}}
DRY_AND_DAMP = {"dry": {"temperature": 20, "humidity": 20}, "damp": {"temperature": 20, "humidity": 80}}


def timber(species, **more):
    """A board of timber."""
    return {"material": "timber", "species": species, **more}


TWO_ALIKE = [
    {"tool": "bench-chisel", "id": id, "angles": [25, 30], "thickness": 3, "land": 2, "width": width, "edge": "near"}
    for id, width in (("wide", 32), ("narrow", 10))
]
"""Blades whose fence distances are the same, so that they can share strips."""

DEEP = [
    {"tool": "plane-iron", "id": edge, "angles": [25, 25.5, 26, 26.5], "width": 46, "edge": edge}
    for edge in ("near", "far")
]
"""Lanes so many and fences so far from their edges that the board goes on one sheet only when it is turned."""

LIST = [
    ("one-mm", 1, "narrow-side-clamp", {}, {"board": {"material": "mdf"}}, ["--paper", "A4"]),
    ("one-in", 1, "wide-side-clamp", {"units": "in"}, {"fraction": 16, "lengths": "in"}, ["--paper", "Letter"]),
    ("two-both", 2, "top-clamp", {}, {"lengths": "both", "fraction": 32, "board": timber("sugar-maple")}, []),
    ("two-across", 2, "wide-side-clamp", {"units": "in"}, {"board": timber("white-oak", grain="across")}, []),
    ("two-low", 2, "bench-roller", {"roller_level": "-12 mm"}, {"cleat": False, "lengths": "mm"}, ["--paper", "A4"]),
    ("six-in", 6, "twin-roller", {"units": "in", "tolerance": 0.4}, {"fraction": 32, "fences": {"species": "white-ash"}}, []),
    (
        "six-quarter",
        6,
        "narrow-side-clamp",
        {"tolerance": 1},
        {
            "board": timber("american-beech", cut="quarter", grain="across", thickness=9),
            "season": AIR,
            "fences": {"species": "black-cherry", "cut": "quarter", "width": 26, "height": 14},
        },
        ["--paper", "A4"],
    ),
    (
        "six-soft",
        6,
        "narrow-side-clamp",
        {},
        {"fences": {"species": "sitka-spruce"}, "lengths": "both", "cleat": False, "fence_within": 0.15},
        ["--lengths", "both", "--fraction", "16"],
    ),
    ("six-scaled", 6, "wide-side-clamp", {}, {"printed_bar": [99.5, 100.4]}, ["--paper", "A4"]),
    ("six-cut", 6, "narrow-side-clamp", {}, {"stock": {"board": [400, 110], "batten": 240, "kerf": 3}}, []),
    ("twelve-mm", 12, "wide-side-clamp", {}, {"season": MADE_IN_SUMMER, "board": {"material": "mdf"}}, []),
    (
        "twelve-in",
        12,
        "narrow-side-clamp",
        {"units": "in"},
        {"lengths": "both", "board": timber("douglas-fir"), "season": DRY_AND_DAMP},
        ["--paper", "Letter"],
    ),
    (
        "twelve-soft",
        12,
        "narrow-side-clamp",
        {"units": "in", "tolerance": 0.2},
        {
            "fences": {"species": "yellow-poplar", "facing": "1/8 in"},
            "lengths": "in",
            "printed_bar": ["100.6 mm", "99.2 mm"],
        },
        ["--paper", "Letter", "--lengths", "in"],
    ),
    (
        "twelve-across",
        12,
        "twin-roller",
        {"block": {"clearance": 3}, "sheet": {"size": "A3", "projection": "first"}},
        {"board": timber("sugar-maple", grain="across"), "stock": {"batten": 1200}, "season": AIR},
        [],
    ),
    ("eight-deep", 8, "narrow-side-clamp", {"settings": DEEP}, {}, ["--paper", "A4"]),
    ("four-shared", 4, "narrow-side-clamp", {"settings": TWO_ALIKE}, {"fences": {"facing": 2}}, []),
    ("seven-coarse", 7, "narrow-side-clamp", {"units": "in", "tolerance": 0.3}, {"fraction": 16}, []),
    ("six-coarse", 6, "twin-roller", {"tolerance": 0.25}, {"lengths": "both", "fraction": 32}, ["--paper", "A4"]),
    (
        "six-close",
        6,
        "wide-side-clamp",
        {"units": "in", "tolerance": 0.25},
        {"fraction": 16, "fence_within": "0.7 mm"},
        [],
    ),
]
"""Name, lanes, guide, fields of the job, its `wood` section, arguments of the command."""

STAVES = {"six-cut": timber("black-walnut")}
"""Boards that are glued up of staves."""

TWICE = ("demo", "two-across", "six-soft", "twelve-soft")
"""Jobs that are made twice."""


@dataclass
class Jig(Made):
    """All that came of a job's wooden jig, seen as a block whose reference edges are the board's."""

    again: dict = None
    arguments: tuple = ()

    @property
    def data(self):
        """What cutsheet.json says."""
        return json.loads(self.files["cutsheet.json"])

    @property
    def wood(self):
        """The job's own section."""
        return self.job.get("wood") or {}

    @cached_property
    def shown(self):
        """Whether mm and inches are written, and the finest fraction."""
        flags = dict(zip(self.arguments[::2], self.arguments[1::2]))
        lengths = flags.get("--lengths") or self.wood.get("lengths") or self.job.get("units", "mm")
        return lengths != "in", lengths != "mm", int(flags.get("--fraction") or self.wood.get("fraction", 64))

    @property
    def paper(self):
        """The paper that was asked for, if any."""
        flags = dict(zip(self.arguments[::2], self.arguments[1::2]))
        return flags.get("--paper") or (self.job.get("sheet") or {}).get("size")

    @cached_property
    def drawn(self):
        """The sheets in order."""
        return [sheet.Sheet(name, data) for name, data in sorted(self.sheets())]

    def __getstate__(self):
        """All but the sheets as they were read: a copy, whose files may be tampered with, reads its own."""
        return {name: value for name, value in self.__dict__.items() if name != "drawn"}


def seen_as_block(job, data):
    """The job and summary of a block with the same edges: their bottom arrises are eased as the block's relief is."""
    wood = job.get("wood") or {}
    within = wood.get("fence_within", "0.2 mm")
    block = {**(job.get("block") or {}), "fence_within": within, "front_relief": True}
    return {**job, "block": block}, {"blocks": [{"name": "board", "block": data["board"], "places": data["places"]}]}


def make_all(program, folder, report):
    """Writes and makes all jobs; returns what was made, the demo first."""
    demo = ROOT / "examples" / "tool-chest.json"
    all_made = [made for made in [make(program, demo, folder, "demo", [], report)] if made]
    rng = random.Random(SEED)
    for name, count, held_in, fields, wood, arguments in LIST:
        for attempt in range(TRIES):
            path = folder / f"wood-{name}-{attempt}.json"
            path.write_text(json.dumps(job(rng, name, count, held_in, fields, wood), indent=1), encoding="utf-8")
            made = make(program, path, folder, name, arguments, report)
            if made:
                all_made.append(made)
                break
    wanted = ["demo"] + [entry[0] for entry in LIST]
    report.equal("wood jobs", [made.name for made in all_made], wanted, "jobs made")
    coverage(all_made, report)
    return all_made


def coverage(all_made, report):
    """Whether the jigs made are as various as they are meant to be."""
    tiles = [s.by_id["tile-window"] for made in all_made for s in made.drawn if "tile-window" in s.by_id]
    fences = [fence for made in all_made for fence in made.data["fences"]]
    kinds = [part["kind"] for made in all_made for part in made.data["parts"]]
    pieces = [(kind["pieces"], made) for made in all_made for kind in made.data["stock"]]
    found = {
        "slots": any(screw["slot"] for fence in fences for screw in fence["screws"]),
        "strips that lanes share": any(len(fence["lanes"]) > 1 for fence in fences),
        "strips of both edges": {fence["edge"] for fence in fences} == {"near", "far"},
        "facings": "facing" in kinds,
        "jigs without a cleat": any(made.data["cleat"] is None for made in all_made),
        "staves": any(made.name in STAVES and piece[0]["count"] > 1 for piece, made in pieces),
        "lane counts": {len(made.places) for made in all_made} >= {1, 2, 6, 12},
        "several tiles": any(tile.data["tile"] != "1A" for tile in tiles),
        "turned tiles": any(tile.number("turn") for tile in tiles),
        "scaled tiles": any(tile.number("scale-x") != tile.number("scale-y") for tile in tiles),
        "papers": {s.root["data-paper"] for made in all_made for s in made.drawn} >= {"A4", "Letter"},
        "mm, inches and both": {made.shown[:2] for made in all_made} == {(True, False), (False, True), (True, True)},
        "fractions": {made.shown[2] for made in all_made if made.shown[1]} == {16, 32, 64},
    }
    steps = {step for made in all_made for step in finer(made)}
    found["finer fractions than the job's"] = steps >= {(16, 32), (16, 64), (16, 1000), (32, 64), (64, 1000)}
    for what, is_there in found.items():
        report.expect("wood coverage", is_there, f"no {what} among the jigs made")


def finer(made):
    """The job's fraction beside each finer one that a fence is asked for in."""
    lanes, own = guide.lanes(made).items(), made.shown[2]
    reaches = [(situation, angle, made.offsets[id]["fence_distance"]) for id, (situation, _, angle) in lanes]
    return {(own, asked.inches(made, *reach).step) for reach in reaches} if made.shown[1] else set()


def job(rng, name, count, held_in, fields, wood):
    """A job of the list with random settings."""
    settings = jobs.settings(rng, count, fields.get("units") == "in")
    if name in STAVES:
        wood = {**wood, "board": STAVES[name]}
    return {"format": 1, "title": f"Jig {name}", "guide": held_in, "settings": settings, **fields, "wood": wood}


def make(program, path, folder, name, arguments, report):
    """Makes one job, or judges the refusal."""
    out = folder / f"wood-{path.stem}"
    done = program.run("cutsheet", path, "--json", "--out", out, *arguments)
    if done.returncode != 0:
        about = f"{name}: {path.read_text(encoding='utf-8')}"
        jobs.judge_refusal(about, done, out.exists(), report, "wood jobs")
        return None
    files = written(done)
    again = None
    if name in TWICE:
        other = folder / f"wood-{path.stem}-again"
        again = written(program.run("cutsheet", path, "--json", "--out", other, *arguments))
        compare(name, files, again, report)
    stated = json.loads(path.read_text(encoding="utf-8"))
    job, summary = seen_as_block(stated, json.loads(files["cutsheet.json"]))
    # offsets.json is what the checks of lanes read.
    return Jig(
        name=name,
        job=job,
        guide=profile("guides", job["guide"], path.parent),
        tools={s["tool"]: profile("tools", s["tool"], path.parent) for s in job["settings"]},
        summary=summary,
        files={**files, "offsets.json": files["cutsheet.json"]},
        again=again,
        arguments=tuple(arguments),
    )


def compare(name, files, again, report):
    """Two runs of a job."""
    odd = {file for file in files.keys() | again.keys() if files.get(file) != again.get(file)}
    report.equal("wood again", odd, set(), f"{name}: files that differ")


def written(done):
    """The files that a run wrote, by name."""
    return {Path(file).name: Path(file).read_bytes() for file in json.loads(done.stdout)["files"]}
