"""Plants faults in the code that everything rests on, one at a time, and sees whether the tests notice.

    python3 tests/mutants/run.py FOLDER
    ... --sample 400 --seed 18   how many, and which
    ... --only unit              nothing of tests/flow yet; or `flow`: only that

`cargo mutants --list` says which faults there can be in the rooms below; a seeded sample of them is tried: against the
unit tests, and what those let pass against `tests/flow` too. FOLDER gets a clone of the last commit and its builds, and
outcomes.json, by which a run goes on where another ended. What no test
noticed is told at the end; those that change nothing which anybody could notice are listed in explained.json, each
with its reason. The exit code is 1 where another is left.
"""

import argparse
import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

HOME = Path(__file__).resolve().parents[2]
EXPLAINED = Path(__file__).with_name("explained.json")
ROOMS = ("solve", "lane", "layout", "solid", "verify", "fit", "kit")
# Seconds for the unit tests and for those of tests/flow; without a fault they take a tenth of it.
LONGEST = {"unit": 90, "flow": 3600}
# What is built for each; the program itself is built with its runs.
STAGES = {"unit": ("--lib",), "flow": ("--test", "flow")}
# Quick to build: each fault is built anew.
PROFILE = {"CARGO_PROFILE_DEV_DEBUG": "0", "CARGO_PROFILE_TEST_DEBUG": "0", "CARGO_PROFILE_DEV_OPT_LEVEL": "0"}


def listed(clone):
    """Every fault that can be planted: where, what in its stead, and what it is called."""
    files = [word for room in ROOMS for word in ("-f", f"src/{room}/**")]
    text = subprocess.check_output(["cargo", "mutants", "--list", "--json", *files], cwd=clone, text=True)
    return json.loads(text)


def planted(text, mutant):
    """A file's text with the fault in it; places count from one, in characters."""
    lines = text.splitlines(keepends=True)
    start, end = ((mutant["span"][at]["line"] - 1, mutant["span"][at]["column"] - 1) for at in ("start", "end"))
    before = "".join(lines[:start[0]]) + lines[start[0]][:start[1]]
    return before + mutant["replacement"] + lines[end[0]][end[1]:] + "".join(lines[end[0] + 1:])


class Bench:
    """A clone in which faults are planted, and its builds."""

    def __init__(self, folder):
        self.clone, self.target = folder / "clone", folder / "target"
        if not self.clone.exists():
            subprocess.run(["git", "clone", "-q", HOME, self.clone], check=True)
        self.env = os.environ | PROFILE | {"CARGO_TARGET_DIR": str(self.target)}

    def built(self, *what):
        """The executable that a build gives; None where it cannot be built."""
        command = ["cargo", *what, "--message-format=json", "--quiet"]
        done = subprocess.run(command, cwd=self.clone, env=self.env, capture_output=True, text=True)
        if done.returncode:
            return None
        messages = [json.loads(line) for line in done.stdout.splitlines()]
        return [m["executable"] for m in messages if m.get("executable")][-1]

    def notices(self, program, seconds):
        """Whether a test fails, or none comes to an end; it is not waited for the others."""
        with subprocess.Popen([program], cwd=self.clone, env=self.env, stdout=subprocess.PIPE, text=True,
                              stderr=subprocess.STDOUT, start_new_session=True) as run:
            signal.alarm(seconds)
            try:
                for line in run.stdout:
                    if line.rstrip().endswith("... FAILED"):
                        return line.split()[1]
                return None if run.wait() == 0 else "the end of the tests"
            except TimeoutError:
                return "no end"
            finally:
                signal.alarm(0)
                try:
                    os.killpg(run.pid, signal.SIGKILL)
                except ProcessLookupError:
                    pass

    def tried(self, mutant, stage):
        """What becomes of a fault: `unviable`, `left`, or the test that notices it."""
        path = self.clone / mutant["file"]
        sound = path.read_text()
        path.write_text(planted(sound, mutant))
        try:
            program = self.built("test", "--no-run", *STAGES[stage])
            if program is None:
                return "unviable"
            return self.notices(program, LONGEST[stage]) or "left"
        finally:
            path.write_text(sound)


def unplaced(name):
    """What a fault is called without its line and column, which change."""
    file, _, _, what = name.split(":", 3)
    return f"{file}:{what}"


def ended(*_):
    """For a test that does not come to an end."""
    raise TimeoutError


def main():
    """Tries the sample, as far as it was not."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=18)
    parser.add_argument("--only", choices=tuple(STAGES))
    arguments = parser.parse_args()
    folder = arguments.folder.resolve()
    folder.mkdir(parents=True, exist_ok=True)
    bench = Bench(folder)
    outcomes = folder / "outcomes.json"
    done = json.loads(outcomes.read_text()) if outcomes.exists() else {}
    signal.signal(signal.SIGALRM, ended)
    mutants = sorted(listed(bench.clone), key=lambda mutant: mutant["name"])
    sample = random.Random(arguments.seed).sample(mutants, arguments.sample)
    for stage in STAGES:
        if arguments.only not in (None, stage):
            continue
        for mutant in sample:
            name, before = mutant["name"], done.get(mutant["name"], {})
            if stage in before or (stage == "flow" and before.get("unit") != "left"):
                continue
            done[name] = before | {stage: bench.tried(mutant, stage)}
            outcomes.write_text(json.dumps(done, indent=1))
            print(f"{stage}: {name}: {done[name][stage]}", flush=True)
    ends = [list(done[mutant["name"]].values())[-1] for mutant in sample if mutant["name"] in done]
    left = [m["name"] for m in sample if list(done.get(m["name"], {0: ""}).values())[-1] == "left"]
    explained = json.loads(EXPLAINED.read_text())
    print(f"{len(mutants)} faults, {len(ends)} tried: {ends.count('unviable')} cannot be built, {len(left)} left")
    more = [name for name in left if unplaced(name) not in explained]
    print("\n".join(more))
    sys.exit(1 if more else 0)


if __name__ == "__main__":
    main()
