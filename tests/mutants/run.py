"""Plants faults in the code that everything rests on, and sees whether the tests notice.

    pip install tree-sitter tree-sitter-rust && cargo install cargo-mutants
    python3 tests/mutants/run.py FOLDER
    ... --sample 400 --seed 18   how many, and which
    ... --again                  also those once more that no test noticed

`cargo mutants --list` says which faults there can be in the rooms below, and a seeded sample of them is tried. All are
built at once, each behind a switch (switches.py); those that cannot be switched are built alone. Each goes to the unit
tests, and what those let pass to the tests of tests/flow that reach its place, the quickest first. FOLDER gets a clone
of the last commit, its builds, and outcomes.json, by which a run goes on where another ended; a new FOLDER begins with
the one that is kept here, of places that have not changed since. What no test noticed is told at the end; those that
change nothing which anybody could notice are listed in explained.json, each with its reason. The exit code is 1 where
another is left.
"""

import argparse
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Timer

from switches import SWITCH, switched

HOME = Path(__file__).resolve().parents[2]
EXPLAINED, KEPT = (Path(__file__).with_name(name) for name in ("explained.json", "outcomes.json"))
ROOMS = ("solve", "lane", "layout", "ground/solid", "verify", "fit", "kit")
# A folder that holds rooms and is none: faults are drawn in the same order without it.
NOT_A_ROOM = "ground/"
# The libraries of the workspace: a fault in one is noticed by the unit tests of those above it too.
LIBRARIES = ("stopwright_ground", "stopwright", "stopwright_program")
# A test has no end when it takes so many times what it takes without a fault, and so many seconds more.
PATIENCE = (10, 20)
# Bytes that a test may reach: a loop without an end is not to take the machine with it.
ROOM = 6 << 30
HANDS = os.cpu_count() or 1
# Where the switch is put, and how each library gives it by one name.
PLANTED = "src/ground/planted.rs"
SWITCHED = {"src/ground/lib.rs": "pub mod planted;", "src/lib.rs": "pub use stopwright_ground::planted;"}
# What a fault that is built alone is tried on, one after the other, and how each is built soonest.
ALONE = {"unit": ("--lib",), "flow": ("--release", "--test", "flow")}


class Bench:
    """A clone in which faults are planted, its builds, and what became of the faults."""

    def __init__(self, folder):
        folder.mkdir(parents=True, exist_ok=True)
        self.folder, self.clone, self.told = folder, folder / "clone", folder / "told"
        self.told.mkdir(exist_ok=True)
        if not self.clone.exists():
            subprocess.run(["git", "clone", "-q", HOME, self.clone], check=True)
        self.git("fetch", "-q", "origin", "HEAD")
        self.git("reset", "-q", "--hard", "FETCH_HEAD")
        self.git("clean", "-qfd", "src")
        self.env = os.environ | {
            "CARGO_TARGET_DIR": str(folder / "target"),
            "PROPTEST_RNG_SEED": "1",
            "RUST_TEST_THREADS": "1",
            "RAYON_NUM_THREADS": "1",
        }
        self.path = folder / "outcomes.json"
        self.done = json.loads((self.path if self.path.exists() else KEPT).read_text())

    def git(self, *words):
        """Runs git in the clone."""
        subprocess.run(["git", *words], cwd=self.clone, check=True)

    def say(self, mutant, outcome):
        """Keeps what became of a fault."""
        self.done[mutant["name"]] = outcome
        part = self.path.with_suffix(".part")
        part.write_text(json.dumps(self.done, indent=1))
        part.replace(self.path)
        print(f"{mutant['name']}: {outcome}", flush=True)

    def listed(self):
        """Every fault that can be planted: where, what in its stead, and what it is called."""
        files = [word for room in ROOMS for word in ("-f", f"src/{room}/**")]
        listing = ["cargo", "mutants", "--workspace", "--list", "--json", *files]
        text = subprocess.check_output(listing, cwd=self.clone, text=True)
        return sorted(json.loads(text), key=lambda mutant: mutant["name"].replace(NOT_A_ROOM, "", 1))

    def cargo(self, *words):
        """What cargo says, line by line."""
        command = ["cargo", *words, "--message-format=json", "--quiet"]
        done = subprocess.run(command, cwd=self.clone, env=self.env, capture_output=True, text=True, check=False)
        return done.returncode, [json.loads(line) for line in done.stdout.splitlines()]

    def switch_all(self, faults):
        """Puts the faults into the texts, by their numbers, and gives those that can be built with a switch."""
        files = {mutant["file"] for mutant in faults.values()}
        sound = {file: (self.clone / file).read_text() for file in files}
        for root, gives in SWITCHED.items():
            lib = self.clone / root
            lib.write_text(lib.read_text() + f"\n#[allow(missing_docs, clippy::all)]\n{gives}\n")
        (self.clone / PLANTED).write_text(SWITCH.replace("COUNT", str(max(faults) + 1)))
        left = dict(faults)
        while True:
            ranges = {}
            for file in files:
                here = [(n, mutant) for n, mutant in left.items() if mutant["file"] == file]
                text, ranges[file] = switched(sound[file], here)
                (self.clone / file).write_text(text)
            switchable = {number for made in ranges.values() for number in made}
            left = {number: mutant for number, mutant in left.items() if number in switchable}
            code, messages = self.cargo("check", "--lib", "--bins")
            if code == 0:
                return left
            culprits = {number for message in messages for number in blamed(message, ranges)}
            print(f"{len(culprits)} cannot be switched", flush=True)
            if not culprits:
                raise SystemExit("the switched text cannot be built: " + "".join(rendered(messages)))
            left = {number: mutant for number, mutant in left.items() if number not in culprits}

    def built(self, *words):
        """The programs of the unit tests and of tests/flow that are asked for, with the texts as they are now; none if they
        cannot be."""
        code, messages = self.cargo("test", "--no-run", *words)
        if code:
            return None
        made = {m["target"]["name"]: m["executable"] for m in messages if m.get("executable") and m["profile"]["test"]}
        units = [made[name] for name in LIBRARIES if name in made]
        return {"unit": units, "flow": [made[name] for name in ("flow",) if name in made]}

    def run(self, programs, words=(), seconds=None, **env):
        """The first test of these programs that fails, or `no end`, or None."""
        return next(filter(None, (self.run_one(program, words, seconds, **env) for program in programs)), None)

    def run_one(self, program, words, seconds, **env):
        """The test of a program that fails, or `no end`, or None; it is not waited for the others."""
        limit = partial(resource.setrlimit, resource.RLIMIT_AS, (ROOM, ROOM))
        with subprocess.Popen([program, *words], cwd=self.clone, env=self.env | env, stdout=subprocess.PIPE,
                              stderr=subprocess.DEVNULL, text=True, start_new_session=True, preexec_fn=limit) as run:
            over = []
            clock = Timer(seconds or 0, lambda: (over.append(True), end(run)))
            if seconds:
                clock.start()
            try:
                for line in run.stdout:
                    if line.rstrip().endswith("... FAILED"):
                        return line.split()[1]
                code = run.wait()
                if over:
                    return "no end"
                return None if code == 0 else "the end of the tests"
            finally:
                clock.cancel()
                end(run)

    def reached(self, programs, name, words, faults):
        """The faults whose places a run reaches, and how long it takes; a test that fails without a fault is no use."""
        told = self.told / name.replace("::", ".")
        told.unlink(missing_ok=True)
        start = time.monotonic()
        failed = self.run(programs, words, PLANTED_TOLD=str(told))
        seconds = time.monotonic() - start
        if failed:
            print(f"fails without a fault: {name}", flush=True)
            return set(), seconds
        numbers = {int(line) for line in told.read_text().split()} if told.exists() else set()
        return numbers & set(faults), seconds

    def restored(self):
        """Puts the sound texts back: tests read them too."""
        self.git("checkout", "-q", "--", "src")
        (self.clone / PLANTED).unlink(missing_ok=True)

    def switched_tried(self, faults, longest):
        """Tries every fault that can be switched, and gives the others."""
        switchable = self.switch_all(faults)
        programs = self.built("--release", "--lib", "--test", "flow")
        self.restored()
        if programs is None:
            raise SystemExit("the tests of the switched text cannot be built")
        unit, unit_seconds = self.reached(programs["unit"], "unit", (), switchable)
        print(f"unit tests: {len(unit)} of {len(switchable)} reached, {unit_seconds:.0f} s", flush=True)

        def unit_tried(number):
            failed = self.run(programs["unit"], (), patience(unit_seconds), PLANTED=str(number)) \
                if number in unit else None
            if failed:
                self.say(switchable[number], f"unit: {failed}")
            return number, failed

        with ThreadPoolExecutor(HANDS) as hands:
            passed = [number for number, failed in hands.map(unit_tried, sorted(switchable)) if not failed]
        listed = subprocess.check_output([*programs["flow"], "--list"], text=True, cwd=self.clone, env=self.env)
        names = [line.removesuffix(": test") for line in listed.splitlines() if line.endswith(": test")]
        with ThreadPoolExecutor(HANDS) as hands:
            seen = list(hands.map(lambda name: self.reached(programs["flow"], name, ("--exact", name), passed), names))
        flow = sorted((seconds, name, numbers) for name, (numbers, seconds) in zip(names, seen))
        print(f"tests of flow: {len(flow)}, {sum(seconds for seconds, *_ in flow):.0f} s", flush=True)

        def flow_tried(number):
            asked = [(seconds, name) for seconds, name, numbers in flow if number in numbers]
            spent = 0.0
            for seconds, name in asked:
                if spent + seconds > longest:
                    break
                spent += seconds
                failed = self.run(programs["flow"], ("--exact", name), patience(seconds), PLANTED=str(number))
                if failed:
                    return self.say(switchable[number], f"flow: {name if failed != 'no end' else failed}")
            return self.say(switchable[number], "left" if asked or number in unit else "left: no test goes there")

        with ThreadPoolExecutor(HANDS) as hands:
            list(hands.map(flow_tried, passed))
        return {number: mutant for number, mutant in faults.items() if number not in switchable}

    def alone_tried(self, mutant):
        """Tries a fault in builds of its own."""
        path = self.clone / mutant["file"]
        sound = path.read_text()
        for stage, words in ALONE.items():
            path.write_text(planted(sound, mutant))
            try:
                programs = self.built(*words)
            finally:
                path.write_text(sound)
            if programs is None:
                return self.say(mutant, "unviable")
            failed = self.run(programs[stage], (), 3600, RUST_TEST_THREADS=str(HANDS))
            if failed:
                return self.say(mutant, f"{stage}: {failed}")
        return self.say(mutant, "left")


def patience(seconds):
    """How long a test may take with a fault, by what it takes without."""
    return PATIENCE[0] * seconds + PATIENCE[1]


def end(run):
    """Ends a program and all that it started."""
    try:
        os.killpg(run.pid, signal.SIGKILL)
    except ProcessLookupError:
        pass


def rendered(messages):
    """The errors of a build, as they are shown."""
    return (m["message"]["rendered"] for m in messages if m.get("message", {}).get("level") == "error")


def blamed(message, ranges):
    """The faults whose switch an error of a build is about: the narrowest about its place."""
    said = message.get("message", {})
    if said.get("level") != "error":
        return set()
    spans = [span for span in said["spans"] if span["is_primary"]] or said["spans"]
    for span in spans:
        while span.get("expansion"):
            span = span["expansion"]["span"]
        made = ranges.get(span["file_name"], {})
        about = [(b - a, n) for n, (a, b) in made.items() if a <= span["byte_start"] and span["byte_end"] <= b]
        if not about:
            about = [(b - a, n) for n, (a, b) in made.items() if a < span["byte_end"] and span["byte_start"] < b]
        if about:
            return {min(about)[1]}
    return set()


def planted(text, mutant):
    """A file's text with one fault in it; places count from one, in characters."""
    lines = text.splitlines(keepends=True)
    start, end_ = ((mutant["span"][at]["line"] - 1, mutant["span"][at]["column"] - 1) for at in ("start", "end"))
    before = "".join(lines[:start[0]]) + lines[start[0]][:start[1]]
    return before + mutant["replacement"] + lines[end_[0]][end_[1]:] + "".join(lines[end_[0] + 1:])


def unplaced(name):
    """What a fault is called without its line and column, which change."""
    file, _, _, what = name.split(":", 3)
    return f"{file}:{what}"


def main():
    """Tries the sample, as far as it was not."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=18)
    parser.add_argument("--longest", type=float, default=120, help="seconds of tests/flow for each fault")
    parser.add_argument("--again", action="store_true")
    arguments = parser.parse_args()
    if not shutil.which("cargo-mutants"):
        parser.error("cargo-mutants is not installed")
    bench = Bench(arguments.folder.resolve())
    mutants = bench.listed()
    sample = dict(enumerate(random.Random(arguments.seed).sample(mutants, arguments.sample), 1))
    if arguments.again:
        bench.done = {name: outcome for name, outcome in bench.done.items() if not outcome.startswith("left")}
    waiting = {number: mutant for number, mutant in sample.items() if mutant["name"] not in bench.done}
    if waiting:
        for mutant in bench.switched_tried(waiting, arguments.longest).values():
            bench.alone_tried(mutant)
    ends = [bench.done[mutant["name"]] for mutant in sample.values()]
    left = [m["name"] for m in sample.values() if bench.done[m["name"]].startswith("left")]
    counted = {kind: sum(end.startswith(kind) for end in ends) for kind in ("unit", "flow", "unviable", "left")}
    print(f"{len(mutants)} faults, {len(ends)} tried: {counted}")
    explained = json.loads(EXPLAINED.read_text())
    more = [name for name in left if unplaced(name) not in explained]
    print("\n".join(more))
    sys.exit(1 if more else 0)


if __name__ == "__main__":
    main()
