"""Folders that are replaced by a link while runs go on, at random moments and in the midst of their writing."""

import os
import shutil
import time

from calls import LINKS, REMOVALS, RENAMES, traced
from program import KIT, LOG, Outcome, entry, lay
from sets import log_faults, look, read

# What is in the other folder and nobody may touch.
THEIRS = {"block.stl": b"mine", "notes.txt": b"mine too"}
# Calls before which a run is held while its folder is replaced: the lock, the look at what a killed run left, which
# comes after the look at what stands in the way, and the steps of the exchange.
HELD = [(names, n) for names in ("flock", "write", "fsync,fdatasync", LINKS, RENAMES) for n in (1, 2, 7, 13)] + [
    ("getdents64", 1), ("getdents64", 2), (REMOVALS, 1), (REMOVALS, 9)]
# How long it is held, in microseconds, and when in that time the folder is replaced, in seconds.
HOLD, MIDWAY = 600_000, 0.3


def replaced(folder, target):
    """Moves a folder aside and puts a link in its place; where it is now."""
    aside = folder.with_name(f"{folder.name} aside")
    folder.rename(aside)
    folder.symlink_to(target)
    return aside


def targets(at, version):
    """Where a link may lead: what it is called, and its target."""
    theirs = at / "theirs"
    theirs.mkdir()
    for name, data in THEIRS.items():
        (theirs / name).write_bytes(data)
    lay(version, at / "ours")
    (at / "loop").symlink_to("loop")
    return [("a folder of others", theirs), ("a set of ours", at / "ours"), ("a loop", at / "loop"),
            ("nothing", at / "nothing"), ("a full device", "/dev/full"), ("a file", theirs / "notes.txt")]


def after_a_replacement(outcome, ended, aside, at, program, what):
    """Holds both folders of a replacement against whole sets, and looks after what belongs to others."""
    old, new = program.plain
    kinds = {}
    theirs = read(at / "theirs")
    outcome.expect({name: theirs.get(name) for name in THEIRS} == THEIRS, f"{what}: a file of others was replaced")
    for place in (aside, at / "ours", at / "theirs", at / "nothing"):
        there_before = old.files if place.name in (aside.name, "ours") else {}
        seen = look(place, there_before, new.files, THEIRS if place.name == "theirs" else ())
        outcome.found += [f"{what}: in {place.name}: {fault}" for fault in seen.faults]
        kinds[place.name] = seen.kind
        outcome.expect(seen.kind != "mixed", f"{what}: the set in {place.name} is half old, half new ({ended})")
    outcome.expect(ended.code >= 0 and ended.code != 70, f"{what}: {ended}")
    outcome.expect(ended.code != 0 or "new" in kinds.values(), f"{what}: success is told and nothing is new")
    return "made" if ended.code == 0 else "refused"


def folder_becomes_a_link(program):
    """A folder of a set is replaced by a link: nothing is half-written, and others' files stay as they are."""
    outcome, counts = Outcome(), {"made": 0, "refused": 0}
    old, new = program.plain
    moments = [(None, program.random.uniform(0, new.seconds)) for _ in range(60)]
    moments += [held for held in HELD for _ in range(2)]
    for i, (names, number) in enumerate(moments):
        at = program.folder()
        folder, ways = at / "set", targets(at, old)
        lay(old, folder)
        # Where a run is held at an exact place, the link leads where it can do most.
        kind, target = ways[i % len(ways)] if names is None else ways[i % 2]
        hold = [] if names is None else traced(
            os.devnull, "-e", f"trace={names}", "-e", f"inject={names}:delay_enter={HOLD}:when={number}")
        child = program.start(new.into(folder), at, before=hold)
        time.sleep(number if names is None else new.seconds + MIDWAY)
        aside = replaced(folder, target)
        where = f"after {number * 1000:.0f} ms" if names is None else f"before {names.split(',')[-1]} {number}"
        counts[after_a_replacement(outcome, program.ended(child), aside, at, program, f"{kind} {where}")] += 1
        shutil.rmtree(at)
    outcome.done = f"{len(moments)} times, {counts['made']} made, {counts['refused']} refused"
    return outcome


def log_becomes_anothers(program):
    """The folder of a log is replaced by a link to that of another: neither loses a line."""
    outcome, counts = Outcome(), {"written": 0, "refused": 0}
    for names, number in [("openat", n) for n in range(1, 20)] + [
            ("write", 1), ("write", 2), ("fsync,fdatasync", 1), (LINKS, 1), (RENAMES, 1), ("fsync,fdatasync", 2)]:
        at = program.folder()
        program.kits(at)
        for folder in ("logs", "others"):
            (at / folder).mkdir()
            program.run(entry(KIT, f"first of {folder}", log=f"{folder}/{LOG}"), at)
        hold = traced(os.devnull, "-e", f"trace={names}", "-e", f"inject={names}:delay_enter={HOLD}:when={number}")
        child = program.start(entry(KIT, "the line", log=f"logs/{LOG}"), at, before=hold)
        time.sleep(MIDWAY)
        aside = replaced(at / "logs", "others")
        ended, what = program.ended(child), f"before {names.split(',')[-1]} {number}"
        for place, first in [(aside, "first of logs"), (at / "others", "first of others")]:
            told = f"{what}, the log in {place.name} ({ended})"
            outcome.found += log_faults(place / LOG, [first], ["the line"], told)
        lines = sum((place / LOG).read_text().count('"the line"') for place in (aside, at / "others"))
        outcome.expect(lines == (ended.code == 0), f"{what}: the line stands {lines} times ({ended})")
        counts["written" if ended.code == 0 else "refused"] += 1
    outcome.done = f"{counts['written']} written, {counts['refused']} refused"
    return outcome
