"""Many runs at once: in one folder, on one log, with process ids that are all alike, some of them killed."""

import os
import re
import shutil
import signal
import time

from program import BLADES, KIT, LOG, NotRun, Outcome, entry, need, need_root
from sets import log_faults, look, read, whole

EIGHT, FIFTY = 8, 50
ROUNDS = 12


def apart():
    """What starts the program as the first process of a space of its own, as in a container."""
    need_root()
    return [need("unshare"), "--pid", "--fork", "--kill-child"]


def eight_in_one_folder(program):
    """Eight runs of two jobs in one folder: all succeed, and one whole set is left; also with ids alike, and kills."""
    outcome, folder, done = Outcome(), program.folder() / "set", []
    for way, before, kill in [("as ever", [], 0), ("ids alike", apart(), 0), ("two of them killed", [], 2)]:
        left = {"a": 0, "b": 0}
        for i in range(ROUNDS):
            # Of jobs of which one has more pages, every third time.
            pair = program.paged if i % 3 == 2 else program.plain
            shutil.rmtree(folder, ignore_errors=True)
            runs = [program.start(pair[n % 2].into(folder), folder.parent, before=before) for n in range(EIGHT)]
            victims = program.random.sample(runs, kill)
            for child in victims:
                time.sleep(program.random.uniform(0, pair[0].seconds * EIGHT / (os.cpu_count() or 1) / (kill + 1)))
                child.send_signal(signal.SIGKILL)
            for n, child in enumerate(runs):
                ended = program.ended(child)
                fine = ended.code == 0 or child in victims and ended.code == -signal.SIGKILL
                outcome.expect(fine, f"{way}, round {i}, run {n}: {ended}")
            first, second = pair
            if kill:
                # What was killed in the midst may have been the last.
                seen = look(folder, first.files, second.files)
                outcome.found += [f"{way}, round {i}: {fault}" for fault in seen.faults]
                ended = program.run(second.into(folder), folder.parent)
                outcome.expect(ended.code == 0, f"{way}, round {i}, the next run: {ended}")
            is_first = look(folder, first.files, first.files).kind == "new"
            outcome.found += whole(folder, (first if is_first else second).files, f"{way}, round {i}")
            left["a" if is_first else "b"] += 1
        done.append(f"{way}: {ROUNDS} times {EIGHT}, left a {left['a']} and b {left['b']} times")
    outcome.done = "; ".join(done)
    return outcome


def saved(path):
    """Saves a file as an editor does: a copy that is renamed into its place."""
    copy = path.with_name("saved by an editor")
    shutil.copy(path, copy)
    copy.rename(path)


def fifty_lines_at_once(program):
    """Fifty lines at once, by two kits with one log, while an editor saves one; also with ids alike, and with kills."""
    outcome, done = Outcome(), []
    for way, before, kill in [("as ever", [], 0), ("ids alike", apart(), 0), ("ten of them killed", [], 10)]:
        at, written, tried, saves = program.folder(), [], [], 0
        kits = program.kits(at, 2)
        for i in range(ROUNDS // 2):
            runs = {}
            for n in range(FIFTY):
                note = f"{way}, round {i}, line {n}"
                command = entry(kits[n % 2], note, BLADES[n % 3], LOG)
                runs[note] = program.start(command, at, before=before)
                saved(at / KIT)
                saves += 1
            victims = program.random.sample(sorted(runs), kill)
            for note in victims:
                runs[note].send_signal(signal.SIGKILL)
                time.sleep(program.random.uniform(0, 0.01))
            for note, child in runs.items():
                ended = program.ended(child)
                killed = note in victims and ended.code == -signal.SIGKILL
                outcome.expect(ended.code == 0 or killed, f"{note}: {ended}")
                (written if ended.code == 0 else tried).append(note)
            outcome.found += log_faults(at / LOG, written, tried, f"{way}, round {i}")
        note = f"{way}, the last"
        outcome.expect(program.run(entry(KIT, note, log=LOG), at).code == 0, f"{note}: it is not written")
        outcome.found += log_faults(at / LOG, [*written, note], tried, note)
        left = sorted(set(read(at)) - {*kits, LOG})
        outcome.expect(not left, f"{way}: {left} were left")
        done.append(f"{way}: {len(written)} lines of {len(written) + len(tried)}, {saves} savings of a kit")
    outcome.done = "; ".join(done)
    return outcome


def stopped_at_work(program, command, at, lock):
    """A run that was stopped while it holds a lock, and neither goes on nor ends; and its number, as the lock says it,
    which is another where the program was started by a script."""
    for _ in range(500):
        child = program.start(command, at)
        while child.poll() is None:
            holder = re.match(rb"process (\d+), since \d\d:\d\d:\d\d$", lock.read_bytes() if lock.exists() else b"")
            if holder:
                number = int(holder[1])
                os.kill(number, signal.SIGSTOP)
                # It takes the stop as soon as it is back from what it asked of the system.
                time.sleep(0.05)
                if child.poll() is None and lock.exists():
                    return child, number
                os.kill(number, signal.SIGCONT)
                break
        program.ended(child)
    raise NotRun("no run could be stopped in the midst of its writing")


def who_holds_the_lock(program):
    """A run that is stopped midway is waited for with a word about it; for a minute, and then it is given up."""
    outcome, (old, new) = Outcome(), program.plain
    for patient in (True, False):
        at = program.folder()
        program.kits(at)
        program.run(entry(KIT, "the first"), at)
        folder = at / "set"
        cases = [
            (old.into(folder), new.into(folder), folder / ".stopwright.lock", folder),
            (entry(KIT, "held"), entry(KIT, "waits"), at / f".{LOG}.lock", LOG),
        ]
        started = []
        for first, second, lock, what in cases:
            holder = stopped_at_work(program, first, at, lock)
            started.append((*holder, program.start(second, at), time.monotonic(), what))
        if patient:
            time.sleep(2)
        for holder, number, waiter, since, what in started:
            if patient:
                outcome.expect(waiter.poll() is None, f"{what}: it was not waited for")
                os.kill(number, signal.SIGCONT)
            ended, seconds = program.ended(waiter), time.monotonic() - since
            named = f"another run of stopwright (process {number}, since "
            is_said = named in ended.err and str(what) in ended.err
            outcome.expect(is_said, f"{what}: it does not say who holds it ({ended})")
            if patient:
                outcome.expect(ended.code == 0, f"{what}, once it was free: {ended}")
            else:
                in_time = ended.code == 2 and 55 < seconds < 70
                outcome.expect(in_time, f"{what}: given up after {seconds:.0f} s ({ended})")
                os.kill(number, signal.SIGCONT)
            outcome.expect(program.ended(holder).code == 0, f"{what}: who held it fails")
        outcome.found += whole(folder, (new if patient else old).files, "the set")
        outcome.found += log_faults(at / LOG, ["the first", "held", *["waits"] * patient], [], "the log")
        outcome.expect(not [name for name in read(at) if name.endswith(".lock")], "a lock was left")
    outcome.done = "make and log, waited for and given up after a minute, each with who holds the lock"
    return outcome
