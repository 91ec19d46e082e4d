"""Calls of the system, watched, failed one by one, and used as moments to kill at: by way of `strace`."""

import os
import re
from pathlib import Path

from program import KIT, LOG, Outcome, entry, judged, lay, need
from sets import PART, RECORD, log_faults, look, read, whole

RENAMES, LINKS, REMOVALS = "rename,renameat,renameat2", "link,linkat", "unlink,unlinkat"
WATCHED = f"open,openat,creat,write,writev,pwrite64,ftruncate,fsync,fdatasync,mkdir,mkdirat,{RENAMES},{LINKS}"
# What fails, and as what.
FAILURES = [
    ("open,openat", "EMFILE"), ("write", "ENOSPC"), ("fsync,fdatasync", "EIO"), (LINKS, "EPERM"), (LINKS, "EMLINK"),
    (RENAMES, "EIO"), (REMOVALS, "EACCES"), ("flock", "ENOLCK"), ("fchmod", "EPERM"), ("mkdir,mkdirat", "ENOSPC"),
]
# The names and contents that change; between them nothing can be seen from outside.
MOMENTS = ["write", "fsync,fdatasync", LINKS, RENAMES, REMOVALS]
CALL = re.compile(r"(\d+) +(\w+)\((.*)\) += (-?\d+)")
# A path, behind the folder that it is in where the call has that.
PATH = re.compile(r'(?:\w+<([^>]*)>, )?"((?:[^"\\]|\\.)*)"')
DESCRIPTOR = re.compile(r"^(\d+)<(.*?)>")


def traced(trace, *more):
    """What starts the program under watch."""
    return [need("strace"), "-f", "-y", "-qq", "-o", str(trace), *more]


def without_links():
    """What starts the program as if its disk had no links."""
    return traced(os.devnull, "-e", f"trace={LINKS}", "-e", f"inject={LINKS}:error=EPERM")


def calls(trace):
    """The calls that succeeded: name, arguments as text. One that another thread broke into stands where it ended."""
    begun = {}
    for line in trace.read_text(errors="replace").splitlines():
        thread = line.split(" ", 1)[0]
        if line.endswith("<unfinished ...>"):
            begun[thread] = line.removesuffix("<unfinished ...>").rstrip()
            continue
        resumed = re.match(r"\d+ +<\.\.\. \w+ resumed>(.*)", line)
        found = CALL.match(begun.pop(thread, "") + resumed[1] if resumed else line)
        if found and int(found[4]) >= 0:
            yield found[2], found[3]


def order_faults(trace, at):
    """What is out of order in a run: a file that is renamed before it is forced to the disk, a success that is told
    before the names are, a set whose record is not first, a file that is written in its place. And how many were
    renamed."""
    faults, unforced, unsettled, renamed, of_folder = [], set(), set(), 0, {}
    # Files without a name that were given one, by the number they are open as.
    named = {}

    for name, arguments in calls(trace):
        descriptor = DESCRIPTOR.match(arguments)
        paths = [Path(os.path.normpath(at / folder / path)) for folder, path in PATH.findall(arguments)]
        if name in ("open", "openat", "creat"):
            place = paths[0]
            may = PART.fullmatch(place.name) or place.name.endswith(".lock") or "O_TMPFILE" in arguments
            if re.search(r"O_WRONLY|O_RDWR|O_TRUNC", arguments) and place.is_relative_to(at) and not may:
                faults.append(f"{place.name} is opened to be written in its place")
            if "O_CREAT" in arguments and not place.name.endswith(".lock"):
                unforced.add(place)
        elif name in LINKS.split(","):
            # A second name of what is there already needs no forcing.
            if own := re.search(r'"/proc/self/fd/(\d+)"', arguments):
                named[own[1]] = paths[-1]
                unforced.add(paths[-1])
        elif name.startswith("mkdir"):
            unsettled.add(paths[0].parent)
        elif name.startswith("rename"):
            source, target = paths
            if source in unforced:
                faults.append(f"{target.name} is renamed before it is forced to the disk")
            before = of_folder.setdefault(target.parent, [])
            if before == [RECORD] and target.parent in unsettled:
                faults.append(f"{target.name} is renamed before the record's name is forced to the disk")
            before.append(target.name)
            unsettled.add(target.parent)
            renamed += 1
        elif name in ("fsync", "fdatasync"):
            unforced.discard(Path(descriptor[2]))
            unforced.discard(named.pop(descriptor[1], None))
            unsettled.discard(Path(descriptor[2]))
        elif descriptor and descriptor[1] == "1":
            faults += [f"success is told before the names in {folder.name} are forced" for folder in unsettled]
        elif descriptor and Path(descriptor[2]).is_relative_to(at) and not descriptor[2].endswith(".lock"):
            unforced.add(Path(descriptor[2]))
    faults += [f"the names in {folder.name} are never forced" for folder in unsettled]
    for folder, names in of_folder.items():
        if RECORD in names and names[0] != RECORD:
            faults.append(f"in {folder.name} the record is not renamed first")
    return faults, renamed


def order_of_writing(program):
    """Every file is forced to the disk before its renaming, and every name before success is told."""
    outcome, renamed, runs = Outcome(), 0, 0
    at, trace = program.folder().resolve(), program.folder() / "trace"
    program.kits(at)
    told = [argument for argument in entry(KIT, "a line") if argument != "--quiet"]
    (old, new), jobs = program.plain, [version.command[1] for version in program.plain]
    for command in [
        old.into("new/set"), new.into("new/set"), [*program.paged[0].command, "--out", "paged"],
        [*program.paged[1].command, "--out", "paged"], ["make", *jobs, "--out", "batch"],
        ["make", *jobs, "--out", "batch"], told, told, [*told, "--file", "other.json"], ["log", KIT, "--undo"],
        ["kit", KIT, "--guide", "narrow-side-clamp", "--job", "job.json"],
    ]:
        ended = program.run(command, at, before=traced(trace, "-e", f"trace={WATCHED}"))
        faults, count = order_faults(trace, at)
        what = " ".join(map(str, command))
        outcome.expect(ended.code == 0 and count, f"{what}: {count} files ({ended})")
        outcome.found += [f"{what}: {fault}" for fault in faults]
        renamed, runs = renamed + count, runs + 1
    outcome.done = f"{runs} runs, {renamed} files renamed"
    return outcome


def each(program, at, names, what, prepared):
    """Runs in which the first, the second, the third ... of some calls is tampered with, as long as there is one;
    `prepared` lays out what a run finds and gives its command."""
    trace, number = program.folder() / "trace", 0
    while True:
        number += 1
        command = prepared(number)
        before = traced(trace, "-e", f"trace={names}", "-e", f"inject={names}:{what}:when={number}")
        ended = program.run(command, at, before=before)
        if "INJECTED" not in trace.read_text(errors="replace") and ended.code >= 0:
            return
        yield f"{names.split(',')[-1]} {number}", ended


class Log:
    """A log of which each line is known: those that were acknowledged, and those that were tried."""

    def __init__(self, program, at):
        self.program, self.at, self.written, self.tried, self.before = program, at, [], [], {}
        program.kits(at)
        self.add("the first")

    def next(self, words):
        """The command for a line that may fail."""
        self.before = read(self.at)
        self.tried.append(f"{words} {len(self.tried)}")
        return entry(KIT, self.tried[-1])

    def add(self, note):
        """Writes a line that must not fail; how that ended."""
        self.written.append(note)
        return self.program.run(entry(KIT, note), self.at)

    def faults(self, what):
        """What is wrong with it."""
        return log_faults(self.at / LOG, self.written, self.tried, what)

    def left(self):
        """What lies beside it; removed, so that each fault is judged by itself."""
        left = sorted(set(read(self.at)) - {KIT, LOG, "set"})
        for name in left:
            (self.at / name).unlink()
        return left


def each_call_fails(program):
    """Every call of `make` and of `log` fails once: all is as it was, or made whole."""
    outcome, counts = Outcome(), {"made": 0, "refused": 0}
    (old, new), at = program.plain, program.folder()
    folder, log = at / "set", Log(program, at)

    def prepared(_):
        lay(old, folder)
        return new.into(folder)

    for names, error in FAILURES:
        for call, ended in each(program, at, names, f"error={error}", prepared):
            what = f"{call} fails as {error} ({ended})"
            if "standard output" in ended.err or names == REMOVALS and ended.code == 0:
                # All was made: only that could not be told, or what lies beside could not be removed.
                seen = look(folder, old.files, new.files)
                outcome.expect(seen.kind == "new" and not seen.faults, f"{what}: {seen.kind}, {seen.faults}")
                counts["made"] += 1
            else:
                counts[judged(outcome, ended, folder, old.files, new.files, what)] += 1
        for call, ended in each(program, at, names, f"error={error}", lambda _: log.next(error)):
            what = f"log, {call} fails as {error} ({ended})"
            if ended.code == 0:
                log.written.append(log.tried[-1])
            counts["made" if ended.code == 0 else "refused"] += 1
            outcome.found += log.faults(what)
            outcome.expect(names == REMOVALS or ended.code == 0 or read(at) == log.before, f"{what}: not as it was")
            left = log.left()
            outcome.expect(names == REMOVALS or not left, f"{what}: {left} were left")
    outcome.done = f"{counts['made']} made all the same, {counts['refused']} refused"
    return outcome


def no_way_back(program):
    """From some renaming on all fail, those back too: what is new and where the old files are is told, and right."""
    outcome, told = Outcome(), 0
    (old, new), at, trace = program.plain, program.folder(), program.folder() / "trace"
    folder = at / "set"
    for number in range(1, len(new.files) + 2):
        lay(old, folder)
        before = traced(trace, "-e", f"trace={RENAMES}", "-e", f"inject={RENAMES}:error=EIO:when={number}+")
        ended = program.run(new.into(folder), at, before=before)
        there, what = read(folder), f"renaming {number} and all after it fail"
        outcome.expect(ended.code == 2, f"{what}: {ended}")
        for name in old.files:
            if there.get(name) == old.files[name]:
                continue
            kept = re.search(rf"{re.escape(str(folder / name))} \(the old one is (\S+?)\)", ended.err)
            right = kept and Path(kept[1]).is_file() and Path(kept[1]).read_bytes() == old.files[name]
            outcome.expect(right and there.get(name) == new.files[name], f"{what}: {name} is lost ({ended})")
            told += 1
    outcome.done = f"{len(new.files) + 1} places to fail at, {told} files told of"
    return outcome


def kills_at_each_call(program):
    """`make` and `log` killed at every call that changes a file or a name, and run once more."""
    outcome, counts, lines = Outcome(), {}, 0
    (old, new), at = program.plain, program.folder()
    folder, log = at / "set", Log(program, at)

    def prepared(_):
        lay(old, folder)
        return new.into(folder)

    for names in MOMENTS:
        for call, _ in each(program, at, names, "signal=KILL", prepared):
            seen = look(folder, old.files, new.files)
            outcome.found += [f"killed at {call}: {fault}" for fault in seen.faults]
            counts[seen.kind] = counts.get(seen.kind, 0) + 1
            ended = program.run(new.into(folder), at)
            outcome.found += whole(folder, new.files, f"killed at {call}, the next run ({ended})")
        for call, _ in each(program, at, names, "signal=KILL", lambda _: log.next("killed")):
            what = f"log killed at {call}"
            outcome.found += log.faults(what)
            ended = log.add(f"after {what}")
            outcome.found += log.faults(f"{what}, the next line ({ended})")
            left = log.left()
            outcome.expect(not left, f"{what}: the next line leaves {left}")
            lines += 1
    outcome.done = f"sets: {', '.join(f'{n} {kind}' for kind, n in sorted(counts.items()))}; {lines} lines of a log"
    return outcome
