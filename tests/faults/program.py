"""The program under test, jobs and kits for it, and folders to work in."""

import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from sets import Version, look, version_in, whole

# Longer than any run here may take, and not for ever.
PATIENCE = 120
# Whom nothing belongs to: root is held back by no mode and no limit of processes.
NOBODY = 65534
KIT, LOG = "kit.json", "kit-log.json"
BLADES = ["jack", "smoother", "chisel"]


class DoesNotEnd(Exception):
    """A run that goes on for ever."""


class NotRun(Exception):
    """This machine does not let a fault be tried; says why."""


@dataclass
class Outcome:
    """What was done, and what was found to be wrong."""

    done: str = ""
    found: list[str] = field(default_factory=list)

    def expect(self, holds, fault):
        """Notes a fault where something does not hold."""
        if not holds:
            self.found.append(fault)


@dataclass
class Ended:
    """A run that ended: its exit code, minus the signal that ended it, and what it said."""

    code: int
    out: str
    err: str

    def __str__(self):
        return f"exit {self.code}, {(self.err.strip().splitlines() or ['nothing said'])[0][:200]}"


def job(irons, chisels, **more):
    """A job with some lanes."""
    settings = [
        {"tool": tool, "angles": [lowest + 1.5 * i for i in range(count)], "width": width}
        for tool, count, lowest, width in [("plane-iron", irons, 22.0, 51), ("bench-chisel", chisels, 24.0, 32)]
    ]
    return {"format": 1, "title": "lanes", "guide": "narrow-side-clamp", "settings": settings, **more}


class Program:
    """The program, random moments, and two jobs whose sets are known whole."""

    def __init__(self, binary, kills, seed):
        # What is mounted is to go whatever ends this.
        for ending in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(ending, lambda *_: sys.exit(1))
        self.kills, self.random = kills, random.Random(seed)
        self.home = Path(tempfile.mkdtemp(prefix="faults-"))
        # What runs as nobody must reach it; and a build in the meantime must not change it.
        self.home.chmod(0o755)
        self.binary = shutil.copy(Path(binary).resolve(), self.home / "stopwright")
        # All kinds of files; and sheets of which one job has more pages than the other.
        self.plain = self.pair("plain", [job(3, 2), job(2, 3)], [])
        self.paged = self.pair("paged", [job(4, 3, wood={}), job(2, 1, wood={})], ["--only", "stl,wood,offsets"])

    def pair(self, name, jobs, more):
        """The two jobs of a pair as commands, each with its whole set."""
        folder = self.home / name
        folder.mkdir()
        pair = []
        for letter, content in zip("ab", jobs):
            path = folder / f"{letter}.json"
            path.write_text(json.dumps(content))
            out = folder / letter / "set"
            start = time.monotonic()
            made = self.run(["make", path, "--out", out, *more], folder)
            if made.code != 0:
                raise SystemExit(f"{path}: {made}")
            pair.append(Version(out, ["make", str(path), *more], version_in(out), time.monotonic() - start))
        return pair

    def folder(self):
        """A new folder to work in."""
        return Path(tempfile.mkdtemp(dir=self.home))

    def kits(self, at, count=1):
        """Kits with the same blades, written into a folder."""
        blades = [{"name": name, "tool": "bench-chisel", "width": 20} for name in BLADES]
        names = [KIT] + [f"kit{i}.json" for i in range(1, count)]
        for name in names:
            (at / name).write_text(json.dumps({"format": 1, "title": "bench", "blades": blades}))
        return names

    def start(self, arguments, at, *, limits=(), nobody=False, before=()):
        """Starts a run in a folder, within limits of the system, as nobody, or by way of another program."""

        def limited():
            for limit, value in limits:
                resource.setrlimit(limit, (value, value))
            # What aborts at a limit is not to leave its memory on the disk.
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

        who = {"user": NOBODY, "group": NOBODY, "extra_groups": []} if nobody else {}
        return subprocess.Popen(
            [*before, self.binary, *map(str, arguments)], cwd=at, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, preexec_fn=limited if limits else None, **who,
        )

    def ended(self, child, patience=PATIENCE):
        """The end of a run, which must come."""
        try:
            out, err = child.communicate(timeout=patience)
        except subprocess.TimeoutExpired as never:
            child.kill()
            child.communicate()
            raise DoesNotEnd(f"{' '.join(map(str, child.args))} does not end") from never
        return Ended(child.returncode, out.decode(errors="replace"), err.decode(errors="replace"))

    def run(self, arguments, at, **how):
        """A whole run."""
        return self.ended(self.start(arguments, at, **how))

    def killed(self, arguments, at, after):
        """A run that is killed after some seconds, if it has not ended by then; and whether it was."""
        child = self.start(arguments, at)
        time.sleep(after)
        child.send_signal(signal.SIGKILL)
        ended = self.ended(child)
        return ended, ended.code == -signal.SIGKILL

    def remove(self):
        """Removes all that was made."""
        shutil.rmtree(self.home, ignore_errors=True)


def entry(kit, note, blade=BLADES[0], log=None):
    """The arguments that write a line into a log."""
    where = ["--file", str(log)] if log else []
    return ["log", str(kit), *where, "--honed", blade, "--note", note, "--quiet"]


def judged(outcome, ended, folder, old, new, what, may_die=False):
    """Holds a run against what it left: all of the new set, or all of the old one and a word why; tells which. Who is
    ended by a signal may leave files beside their places, but none that is torn."""
    what = f"{what} ({ended})"
    if ended.code == 0:
        outcome.found += whole(folder, new, what)
        return "made"
    seen = look(folder, old, new)
    outcome.found += [f"{what}: {fault}" for fault in seen.faults]
    if ended.code < 0:
        outcome.expect(may_die, f"{what}: it was ended by a signal")
        return "died"
    outcome.found += [f"{what}: {name} was left" for name in seen.strays]
    outcome.expect(seen.kind == ("old" if old else "none"), f"{what}: the set is {seen.kind} and not as it was")
    outcome.expect(old or not folder.exists(), f"{what}: the new folder was left")
    outcome.expect(ended.err.strip(), f"{what}: without a word")
    outcome.expect(may_die or ended.code != 70, f"{what}: as a fault of the program")
    return "refused"


def lay(version, folder):
    """Puts a whole set with its record into a folder, as the program left it."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(version.home, folder)


def need_root():
    """Some faults only root can bring about."""
    if os.geteuid() != 0:
        raise NotRun("it takes root")


def need(tool):
    """Where a tool of the system is."""
    found = shutil.which(tool, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")
    if not found:
        raise NotRun(f"there is no {tool} here")
    return found
