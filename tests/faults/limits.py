"""Limits that a system sets to a run: open files, the size of a file, threads, memory."""

import os
import resource
import shutil
import threading

from program import BLADES, KIT, LOG, NOBODY, NotRun, Outcome, entry, judged, lay, need_root
from sets import log_faults, look, read

MEBIBYTE = 1 << 20
OPEN_FILES = [*range(3, 14), *range(16, 60, 4), 64, 128]
THREADS = [0, 1, 2, 3, 4, 8]
MEMORY = [MEBIBYTE * n for n in (24, 28, 32, 36, 40, 48, 56, 64, 72, 80, 96, 112, 128, 160, 200, 260, 400, 1000)]


def under(program, outcome, limit, values, what, *, may_die=False, nobody=False):
    """Runs of `make` over an old set, of a batch and of `log` under each value of a limit; what became of them."""
    counts = {"made": 0, "refused": 0, "died": 0}
    (old, new), at = program.plain, program.folder()
    folder, batch = at / "set", at / "batch"
    program.kits(at)
    program.run(entry(KIT, "first"), at)
    written, tried = ["first"], []
    jobs = [version.command[1] for version in program.plain]
    for value in values:
        how = {"limits": [(limit, value)], "nobody": nobody}
        label = f"{what} {value}"
        lay(old, folder)
        shutil.rmtree(batch, ignore_errors=True)
        for path in [at, *at.rglob("*")] if nobody else []:
            path.chmod(0o777 if path.is_dir() else 0o666)
        ended = program.run(new.into(folder), at, **how)
        end = judged(outcome, ended, folder, old.files, new.files, label, may_die)
        counts[end] += 1
        if end == "died":
            ended = program.run(new.into(folder), at)
            judged(outcome, ended, folder, new.files, new.files, f"{label}, the next run")
        ended = program.run(["make", *jobs, "--out", batch], at, **how)
        for name, version in zip("ab", program.plain):
            seen, told = look(batch / name, {}, version.files), f"{label}, batch, {name} ({ended})"
            outcome.found += [f"{told}: {fault}" for fault in seen.faults]
            right = seen.kind == "new" if ended.code == 0 else seen.kind in ("none", "new") and not seen.strays
            outcome.expect(right or may_die and ended.code < 0, f"{told}: the set is {seen.kind}, with {seen.strays}")
        before, note = read(at), label
        ended = program.run(entry(KIT, note, BLADES[1]), at, **how)
        (written if ended.code == 0 else tried).append(note)
        outcome.found += log_faults(at / LOG, written, tried, f"{label} ({ended})")
        outcome.expect(ended.code <= 0 or read(at) == before, f"{label}, log: the folder is not as it was ({ended})")
    return counts


def threads_can_be_refused():
    """Whether a limit of one process keeps nobody from a thread, which some systems do not hold to."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 1
    resource.setrlimit(resource.RLIMIT_NPROC, (1, 1))
    os.setgroups([])
    os.setgid(NOBODY)
    os.setuid(NOBODY)
    try:
        threading.Thread(target=int).start()
    except RuntimeError:
        os._exit(1)
    os._exit(0)


def limits(program):
    """Few open files, small files, few threads, little memory: refused whole, or made whole."""
    need_root()
    outcome, done = Outcome(), []
    sizes = sorted(len(data) for data in program.plain[1].files.values())
    # The last size takes the largest file, and the one before it not quite.
    bytes_of_a_file = [0, 1, 500, *(size - 1 for size in sizes), sizes[-1]]
    if not threads_can_be_refused():
        raise NotRun("this system refuses nobody a thread")
    for limit, values, what, how in [
        (resource.RLIMIT_NOFILE, OPEN_FILES, "open files", {}),
        (resource.RLIMIT_FSIZE, bytes_of_a_file, "bytes of a file", {}),
        (resource.RLIMIT_NPROC, THREADS, "threads", {"nobody": True}),
        # Who gets no memory may end on the spot.
        (resource.RLIMIT_AS, MEMORY, "bytes of memory", {"may_die": True}),
    ]:
        counts = under(program, outcome, limit, values, what, **how)
        # Without threads all can be made as well.
        matters = counts["made"] and (counts["refused"] + counts["died"] or limit == resource.RLIMIT_NPROC)
        outcome.expect(matters, f"{what}: no value mattered, or all: {counts}")
        done.append(f"{what}: " + ", ".join(f"{n} {end}" for end, n in counts.items() if n))
    outcome.done = "; ".join(done)
    return outcome
