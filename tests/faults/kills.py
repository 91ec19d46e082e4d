"""Runs that are killed at random moments, and what the next run makes of what they left."""

import shutil
import time

from program import BLADES, KIT, LOG, Outcome, entry, lay
from sets import log_faults, look, read, whole

# Of all kills: in `make`, in a batch, and the rest in `log`.
IN_MAKE, IN_BATCH = 0.4, 0.2


def counted(counts):
    """Counts as words."""
    return ", ".join(f"{n} {what}" for what, n in sorted(counts.items()))


def kills_in_make(program):
    """`make` over an older set, killed anywhere between its start and its end; then run once more."""
    outcome, counts = Outcome(), {}
    folder = program.folder() / "set"
    pairs = [program.plain, program.paged]
    seconds = program.plain[0].seconds
    for i in range(round(program.kills * IN_MAKE)):
        old, new = pairs[i % 8 == 7]
        if i % 2:
            old, new = new, old
        # With a record that knows the old set alone.
        lay(old, folder)
        after = program.random.uniform(0, seconds)
        ended, was_killed = program.killed(new.into(folder), folder.parent, after)
        what = f"kill {i} after {after * 1000:.1f} ms"
        seen = look(folder, old.files, new.files)
        outcome.found += [f"{what}: {fault}" for fault in seen.faults]
        if was_killed:
            key = f"{seen.kind}{' with strays' if seen.strays else ''}"
        else:
            key = "ended before"
            outcome.expect(ended.code == 0, f"{what}: {ended}")
        counts[key] = counts.get(key, 0) + 1
        start = time.monotonic()
        ended = program.run(new.into(folder), folder.parent)
        seconds = time.monotonic() - start
        outcome.expect(ended.code == 0, f"{what}, the next run: {ended}")
        outcome.found += whole(folder, new.files, f"{what}, the next run")
    outcome.expect(any("strays" in key for key in counts), "no kill came while files were written")
    outcome.done = counted(counts)
    return outcome


def kills_in_batches(program):
    """Several jobs in one run, killed; every set by itself is looked at, and the next run makes all whole."""
    outcome, counts = Outcome(), {}
    at = program.folder()
    jobs = ["one", "two", "three"]
    sources = [version.command[1] for version in program.plain]
    command = ["make", *(f"{name}.json" for name in jobs), "--out", "sets"]
    for i in range(round(program.kills * IN_BATCH) + 1):
        versions = [program.plain[(i + n) % 2] for n in range(len(jobs))]
        for n, name in enumerate(jobs):
            shutil.copy(sources[(i + n) % 2], at / f"{name}.json")
        if i == 0:
            start = time.monotonic()
            program.run(command, at)
            seconds = time.monotonic() - start
            continue
        after = program.random.uniform(0, seconds)
        ended, was_killed = program.killed(command, at, after)
        what = f"kill {i} after {after * 1000:.1f} ms"
        outcome.expect(was_killed or ended.code == 0, f"{what}: {ended}")
        for name, new in zip(jobs, versions):
            old = program.plain[new is program.plain[0]]
            seen = look(at / "sets" / name, old.files, new.files)
            outcome.found += [f"{what}, {name}: {fault}" for fault in seen.faults]
            key = f"{seen.kind}{' with strays' if seen.strays else ''}" if was_killed else "ended before"
            counts[key] = counts.get(key, 0) + 1
        start = time.monotonic()
        ended = program.run(command, at)
        seconds = time.monotonic() - start
        outcome.expect(ended.code == 0, f"{what}, the next run: {ended}")
        for name, new in zip(jobs, versions):
            outcome.found += whole(at / "sets" / name, new.files, f"{what}, {name}, the next run")
    outcome.expect(any("strays" in key for key in counts), "no kill came while files were written")
    outcome.done = f"sets: {counted(counts)}"
    return outcome


def kills_in_log(program):
    """`log` killed: no line that was acknowledged is lost, no log is torn, and the next line sweeps what was left."""
    outcome, counts = Outcome(), {"killed": 0, "killed and written": 0, "with strays": 0, "ended before": 0}
    at = program.folder()
    program.kits(at)
    start = time.monotonic()
    program.run(entry(KIT, "the first"), at)
    seconds = time.monotonic() - start
    written, tried = ["the first"], []
    for i in range(round(program.kills * (1 - IN_MAKE - IN_BATCH))):
        note, after = f"line {i}", program.random.uniform(0, seconds)
        ended, was_killed = program.killed(entry(KIT, note, BLADES[i % 3]), at, after)
        what = f"kill {i} after {after * 1000:.2f} ms"
        (tried if was_killed else written).append(note)
        outcome.expect(was_killed or ended.code == 0, f"{what}: {ended}")
        outcome.found += log_faults(at / LOG, written, tried, what)
        counts["killed" if was_killed else "ended before"] += 1
        counts["killed and written"] += was_killed and f'"{note}"' in (at / LOG).read_text()
        counts["with strays"] += set(read(at)) > {KIT, LOG}
        written.append(f"after {i}")
        start = time.monotonic()
        ended = program.run(entry(KIT, written[-1]), at)
        seconds = time.monotonic() - start
        outcome.expect(ended.code == 0, f"{what}, the next line: {ended}")
        outcome.found += log_faults(at / LOG, written, tried, f"{what}, the next line")
        left = sorted(set(read(at)) - {KIT, LOG})
        outcome.expect(not left, f"{what}, the next line: {left} were left")
        # Each kill is judged by itself.
        for name in left:
            (at / name).unlink()
    outcome.expect(counts["with strays"], "no kill came while the log was written")
    outcome.done = counted(counts)
    return outcome
