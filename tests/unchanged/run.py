"""Whether the program still makes the same bytes: every artifact and every report, hashed.

    python3 tests/unchanged/run.py target/release/stopwright            compares with hashes.txt
    python3 tests/unchanged/run.py target/release/stopwright --renew    writes hashes.txt
    ... --keep DIR                                                      keeps what was made, to be compared by eye

A case is a folder in which some commands run: the examples with every command, and 200 random jobs (seeded, with random
guides, kits, papers and options). Its line holds one hash over the names and bytes of all files and over what each
command printed and its exit code. Standard library only.
"""

import argparse
import hashlib
import json
import random
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
HASHES = HERE / "hashes.txt"
RANDOM_JOBS = 200
SEED = 20261126

COMMANDS = (
    "make block cutsheet kit offsets angle show card log picture verify fit measure bevel camber grits testpiece gauges "
    "profiles completions"
).split()
GUIDES = ["narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller"]
TOOLS = {
    "plane-iron": 51, "thick-plane-iron": 50, "block-plane-iron": 40, "spokeshave-iron": 50, "bench-chisel": 32,
    "paring-chisel": 25, "mortise-chisel": 12,
}
BEVEL = ["bevel", "--thickness", "3", "--primary", "25"]
CAMBER = ["camber", "--width", "51"]
MEASURE = ["measure", "--name", "mine", "--set", "roller.diameter=19.0 mm +- 0.05 mm", "--set",
           "face.over_roller=25.31; 25.28; 25.30", "--set", "seats.iron.locates=underside", "--set",
           "seats.iron.gauge=6.00", "--set", "seats.iron.over_roller=33.90"]


def examples():
    """Cases by name: commands on the examples, on flags alone, and on faulty input."""
    chest, kit, drawer = "tool-chest.json", "alder-lane-kit.json", "alder-lane-kit-job.json"
    yield "chest", [
        ["make", chest], ["make", chest, "--json", "--out", "json"], ["block", chest, "--out", "block"],
        ["offsets", chest], ["offsets", chest, "--budget"], ["offsets", chest, "--json", "--budget"],
        ["picture", chest, "--azimuth", "210", "--elevation", "25"],
        ["verify", chest, "tool-chest-measured.json", "--write-corrections", "corrections.json"],
        ["verify", chest, "tool-chest-measured.json", "--json"],
        ["verify", chest, "tool-chest-measured.json", "--guard-band"],
        ["verify", chest, "tool-chest-measured.json", "--wood"],
        ["verify", chest, "--guide", "worn-side-clamp.json"],
        ["verify", chest, "--guide", "worn-side-clamp.json", "--json"],
        ["make", chest, "--corrections", "corrections.json", "--out", "corrected"],
        ["gauges", chest, "--square", "--out", "gauges"],
    ]
    for lengths in ["mm", "in", "both"]:
        yield f"cutsheet-{lengths}", [
            ["cutsheet", chest, "--lengths", lengths, "--paper", paper, "--out", paper] for paper in ["A4", "Letter"]
        ] + [["cutsheet", chest, "--lengths", lengths, "--fraction", "16", "--printed-bar", "99.6,99.8", "--json"]]
    yield "drawer", [
        ["kit", kit, "--guide", "narrow-side-clamp"], ["kit", kit, "--guide", "wide-side-clamp", "--tolerance", "0.3"],
        ["kit", kit, "--guide", "narrow-side-clamp", "--json", "--job", "kit-job.json"],
        ["make", drawer], ["offsets", drawer, "--json"], ["cutsheet", drawer, "--out", "jig"],
        ["log", kit, "--honed", "jack", "--date", "2026-03-01", "--micro-width", "0.6"],
        ["log", kit, "--reground", "try plane", "--date", "2026-03-09", "--note", "nick gone"],
        ["log", kit], ["log", kit, "--json"],
    ] + [["card", drawer, "--paper", size, "--out", size] for size in ["A4", "A5", "Letter", "half-letter", "index"]] + [
        ["card", drawer, "--blade", "jack", "--paper", "A4", "--out", "jack"],
    ]
    yield "fit", [
        ["fit", "known-settings.json"], ["fit", "known-settings.json", "--json", "--angles", "22,33"],
        ["fit", "known-settings.json", "--out", "fitted.json"], ["offsets", "fitted.json", "--tool", "plane-iron"],
    ]
    yield "measure", [
        ["measure", "--sheet"], ["measure", "--sheet", "--paper", "Letter", "--out", "letter"], MEASURE,
    ]
    yield "testpiece", [
        ["testpiece"], ["testpiece", "--units", "in", "--bed", "180 mm,180 mm", "--out", "inches"],
        ["testpiece", "test-piece-measured.json"], ["testpiece", "test-piece-measured.json", "--json"],
    ]
    yield "stones", [
        [*BEVEL, "--micro", "30", "--recession", "0.2"], [*BEVEL, "--micro", "30", "--micro-width", "1.2", "--json"],
        [*BEVEL, "--change-to", "30"], [*BEVEL, "--change-to", "22", "--width", "51", "--json"],
        [*CAMBER, "--plane", "jack"], [*CAMBER, "--plane", "try", "--json"], [*CAMBER, "--plane", "smoother"],
        [*CAMBER, "--shaving", "0.1", "--bed", "12", "--angle", "30"],
        [*CAMBER, "--depth", "0.4", "--guide", "narrow-side-clamp", "--tool", "plane-iron", "--grit", "P220"],
        [*CAMBER, "--depth", "0.4", "--guide", "wide-side-clamp", "--tool", "plane-iron", "--json"],
        ["grits", "P220,P400,P600,P800,P1500,P2000"], ["grits", "CAMI 320, JIS 1000, JIS 4000, 0.5 um", "--json"],
        ["gauges", "--angles", "25,30,35"],
        ["gauges", "--camber", "51,0.25", "--camber", "2 in,0.8 mm", "--square=60", "--units", "in", "--out", "inches"],
    ]
    yield "guides", [
        command for guide in GUIDES for command in [
            ["offsets", guide, "--tool", "plane-iron"], ["offsets", guide, "--tool", "bench-chisel", "--json"],
            ["show", guide, "--tool", "plane-iron", "--angle", "30", "--out", guide],
            ["show", guide, "--tool", "bench-chisel", "--angle", "25", "--block", "--out", f"{guide}-block"],
            ["angle", guide, "--tool", "plane-iron", "--fence", "1 35/64 in"],
            ["angle", guide, "--seat", "iron", "--thickness", "2.4", "--projection", "39.2", "--json"],
            ["profiles", guide],
        ]
    ] + [["angle", "--thickness", "3.1", "--bevel-length", "6.2"]]
    schemas = ["guide", "tool", "job", "measured", "corrections", "fit", "testpiece", "kit", "log"]
    yield "words", [
        ["profiles"], ["profiles", "--json"], ["--version"], ["--help"], *[[c, "--help"] for c in COMMANDS],
        *[["profiles", "--schema", schema] for schema in schemas], ["completions", "bash"],
    ]
    yield "faults", [
        ["make", "missing.json"], ["make", kit], ["kit", chest, "--guide", "narrow-side-clamp"], ["make", "broken.json"],
        ["make", "faulty.json"], ["offsets", "nobody"], ["offsets", "narrow-side-clamp", "--angles", "4"],
        ["angle", "narrow-side-clamp"], ["verify", chest, chest], ["fit", chest], ["log", kit, "--honed", "nobody"],
        ["card", chest], ["grits", "P221"], ["camber", "--width", "51", "--depth", "9"], ["gauges"],
        ["gauges", "--angles", "2"], ["testpiece", chest], ["make", "refused.json"], ["cutsheet", "refused.json"],
        ["kit", "faulty-kit.json", "--guide", "narrow-side-clamp"],
    ]


FAULTY = {
    "broken.json": '{ "format": 1, "title": "x" ',
    "faulty.json": json.dumps({
        "format": 1, "title": "", "units": "feet", "guide": "narow-side-clamp", "settings": [
            {"tool": "plane-irn", "angles": [2, 30], "thickness": "2.4 cm", "widht": 3},
            {"tool": "bench-chisel", "angles": [30, 30], "land": -2}], "tolerance": 9, "block": {"cleat": True}}),
    "refused.json": json.dumps({
        "format": 1, "title": "refused", "guide": "narrow-side-clamp",
        "settings": [{"tool": "plane-iron", "angles": [15, 50], "thickness": 6, "width": 70}]}),
    "faulty-kit.json": json.dumps({
        "format": 1, "title": "k", "blades": [{"name": "a", "tool": "bench-chisel", "width": 99, "use": ["sky"]}]}),
}


def random_guide(dice, name):
    """A guide of random build; most can serve some lanes."""
    diameter = round(dice.uniform(14, 34), 2)
    locates = dice.choice(["underside", "underside", "back", "sides"])
    seat = {"height": {"value": round(diameter / 2 + dice.uniform(3, 11), 2), "within": 0.1}, "locates": locates,
            "blade_width": [3, 70], "blade_thickness": [1.5, 9]}
    seats = {"iron": seat}
    if dice.random() < 0.5:
        seats["chisel"] = {**seat, "height": round(diameter / 2 + dice.uniform(2, 8), 2), "locates": "sides"}
    face = {"axle_to_face": {"value": round(dice.uniform(diameter / 2, 26), 2), "within": 0.1},
            "bottom": round(dice.uniform(0.5, 6), 2), "width": dice.randint(40, 70)}
    if dice.random() < 0.3:
        face["square_error"] = {"value": round(dice.uniform(-1, 1), 2), "within": 0.1}
    return {"format": 1, "name": name, "units": "mm", "instrument": 0.02, "face": face, "seats": seats,
            "roller": {"diameter": {"value": diameter, "within": 0.05}, "width": 20, "arrangement": "centre"}}


def random_kit(dice):
    """A drawer of 2 to 8 blades."""
    blades = []
    for index in range(dice.randint(2, 8)):
        tool = dice.choice(list(TOOLS))
        blade = {"name": f"blade {index}", "tool": tool, "width": TOOLS[tool] - dice.randint(0, 4),
                 "length": dice.randint(60, 190), "use": [dice.choice(["softwood", "hardwood"])]}
        if "chisel" in tool:
            blade["land"] = {"value": round(dice.uniform(1, 3), 1), "within": 0.2}
        else:
            blade["bed"] = 45
            if dice.random() < 0.5:
                blade["camber"] = {"plane": dice.choice(["jack", "try", "smoother"])}
        if dice.random() < 0.4:
            blade["current"] = dice.choice([20, 25, 27, 30])
        blades.append(blade)
    return {"format": 1, "title": "Random drawer", "tolerance": dice.choice([0.3, 0.5, 1.0]),
            "grits": ["P220", "P400", "P800", "P2000"], "blades": blades}


def random_job(dice, number):
    """Files and commands of one random job."""
    files = {}
    guide = dice.choice(GUIDES)
    if dice.random() < 0.4:
        files["own.json"] = random_guide(dice, f"own-{number}")
        guide = "own.json"
    job = {"format": 1, "title": f"Random job {number}", "units": dice.choice(["mm", "mm", "in"]), "guide": guide}
    if guide == "bench-roller":
        job["roller_level"] = "-12 mm"
    if dice.random() < 0.15:
        files["kit.json"] = random_kit(dice)
        job["kit"] = "kit.json"
    else:
        job["settings"] = []
        for index in range(dice.randint(1, 3)):
            tool = dice.choice(list(TOOLS))
            angles = sorted({dice.randint(40, 76) / 2 for _ in range(dice.randint(1, 5))})
            setting = {"id": f"set{index}", "tool": tool, "angles": angles, "width": f"{TOOLS[tool]} mm"}
            if dice.random() < 0.4:
                setting["thickness"] = f"{round(dice.uniform(2, 4), 2)} mm +- 0.1 mm"
            if dice.random() < 0.3:
                setting["taper"] = {"value": round(dice.uniform(-0.4, 0.4), 2), "within": 0.1}
            if dice.random() < 0.2:
                setting["edge"] = dice.choice(["near", "far"])
            job["settings"].append(setting)
    if dice.random() < 0.6:
        job["block"] = {"foot_relief": dice.random() < 0.7, "front_relief": dice.random() < 0.7,
                        "marks": dice.random() < 0.7, "screw_holes": True, "cleat": dice.random() < 0.4,
                        "labels": dice.choice(["sunk", "raised", "none"])}
    if dice.random() < 0.4:
        bed = dice.choice([120, 180, 256])
        job["print"] = {"bed": [f"{bed} mm", f"{bed} mm"], "nozzle": f"{dice.choice([0.25, 0.4, 0.6])} mm"}
    if dice.random() < 0.25:
        job["wood"] = {"lengths": dice.choice(["mm", "in", "both"])}
    if dice.random() < 0.3:
        job["sheet"] = {"size": dice.choice(["A4", "A3", "Letter"]), "projection": dice.choice(["first", "third"])}
    files["job.json"] = job
    return files, [["make", "job.json"], ["offsets", "job.json", "--json", "--budget"], ["cutsheet", "job.json", "--out", "jig"]]


def cases():
    """Name, files and commands of every case."""
    shipped = {p.name: p.read_text(encoding="utf-8") for p in sorted((ROOT / "examples").glob("*.json"))}
    for name, commands in examples():
        yield name, {**shipped, **FAULTY}, commands
    dice = random.Random(SEED)
    for number in range(RANDOM_JOBS):
        files, commands = random_job(dice, number)
        yield f"random-{number:03}", {name: json.dumps(value, indent=2) for name, value in files.items()}, commands


def hash_of(program, case, keep):
    """The line of a case: name, hash, files, and how the commands ended."""
    name, files, commands = case
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8")
        whole, codes = hashlib.sha256(), []
        said = folder / "said"
        said.mkdir()
        for number, command in enumerate(commands):
            ran = subprocess.run([program, *command], cwd=folder, capture_output=True, stdin=subprocess.DEVNULL)
            codes.append(str(ran.returncode))
            (said / f"{number:02}-{command[0]}.out").write_bytes(ran.stdout)
            (said / f"{number:02}-{command[0]}.err").write_bytes(ran.stderr)
        made = sorted(p for p in folder.rglob("*") if p.is_file())
        for path in made:
            whole.update(str(path.relative_to(folder)).encode() + b"\0")
            whole.update(hashlib.sha256(path.read_bytes()).digest())
        whole.update(" ".join(codes).encode())
        if keep:
            shutil.copytree(folder, Path(keep) / name, dirs_exist_ok=True)
    return f"{name} {whole.hexdigest()[:32]} {len(made)} files, exit codes {''.join(sorted(set(codes)))}"


def main():
    """Compares or renews; exit code 1 where anything differs."""
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("program")
    arguments.add_argument("--renew", action="store_true")
    arguments.add_argument("--keep", metavar="DIR")
    given = arguments.parse_args()
    program = str(Path(given.program).resolve())
    with ThreadPoolExecutor(2) as workers:
        lines = list(workers.map(lambda case: hash_of(program, case, given.keep), cases()))
    if given.renew:
        HASHES.write_text("\n".join(lines) + "\n", encoding="utf-8")
        print(f"{len(lines)} cases written")
        return
    kept = HASHES.read_text(encoding="utf-8").splitlines()
    before = {line.split()[0]: line for line in kept}
    changed = [line for line in lines if before.get(line.split()[0]) != line]
    for line in changed:
        print(f"was {before.get(line.split()[0], 'nothing')}\nis  {line}")
    print(f"{len(lines) - len(changed)} cases as they were, {len(changed)} changed")
    sys.exit(1 if changed or len(kept) != len(lines) else 0)


if __name__ == "__main__":
    main()
