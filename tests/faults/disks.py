"""Disks that are full or may not be written to: each a small file system of its own, so that nothing else fills."""

import os
import shutil
import subprocess
from contextlib import contextmanager, suppress

from calls import without_links
from program import KIT, LOG, NOBODY, Outcome, entry, judged, lay, need, need_root
from sets import log_faults, read

# What a tmpfs gives space in; ext4 may give it in less.
PAGE = 4096


def system(*command):
    """A command of the system, which must succeed."""
    subprocess.run(list(map(str, command)), check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


@contextmanager
def disk(program, kind, mebibytes):
    """A small disk, `tmpfs` or `ext4`; gone afterwards."""
    need_root()
    at = program.folder()
    if kind == "tmpfs":
        system("mount", "-t", "tmpfs", "-o", f"size={mebibytes}m,mode=755", "faults", at)
    else:
        image = at.with_suffix(".image")
        with image.open("wb") as file:
            file.truncate(mebibytes << 20)
        # All of it for everybody: root is to find it full too.
        system(need("mkfs.ext4"), "-q", "-m", "0", image)
        system("mount", "-o", "loop", image, at)
    try:
        yield at
    finally:
        system("umount", "-l", at)


@contextmanager
def only(at, free):
    """A disk with no more than so many bytes free."""
    filler = at / "filler"
    stat = os.statvfs(at)
    with filler.open("wb") as file:
        with suppress(OSError):
            os.posix_fallocate(file.fileno(), 0, max(stat.f_bavail * stat.f_frsize - free, 1))
        # What a file system keeps back for its own tables is filled page by page.
        while (stat := os.statvfs(at)).f_bavail * stat.f_frsize > free:
            try:
                file.seek(0, os.SEEK_END)
                file.write(bytes(PAGE))
                file.flush()
            except OSError:
                break
    try:
        yield
    finally:
        filler.unlink()


@contextmanager
def few_inodes(at, spare):
    """A tmpfs that takes no more than so many further files."""
    stat = os.statvfs(at)
    system("mount", "-o", f"remount,nr_inodes={stat.f_files - stat.f_ffree + spare}", at)
    try:
        yield
    finally:
        system("mount", "-o", "remount,nr_inodes=100000", at)


def steps(most, count):
    """Numbers of bytes from none to more than enough, closest together at both ends."""
    ends = [0, 1, 2, 3, 4]
    return sorted({PAGE * n for n in ends} | {most - PAGE * n for n in ends} | {most * i // count for i in range(count)}
                  | {most * 2})


def told(outcome, ended, names, cause, what):
    """Whether a run that was refused says which file and why."""
    place = ended.err.split(": cannot write", 1)[0]
    right = ": cannot write" in ended.err and cause in ended.err and any(place.endswith(name) for name in names)
    outcome.expect(right, f"{what}: it does not say which file and why ({ended})")


def full_disk(program):
    """A full disk: at many sizes it fills at every stage of `make`, in space and in files."""
    outcome, old, new = Outcome(), *program.plain
    ways = [("tmpfs", only, []), ("ext4", only, []), ("tmpfs", few_inodes, []), ("tmpfs", only, without_links())]
    told_of, counts = [*old.files, *new.files, ".stopwright", "set"], {}
    for kind, limit, before in ways:
        way = f"{kind}{', few files' if limit is few_inodes else ''}{', no links' if before else ''}"
        counted = counts.setdefault(way, {"made": 0, "refused": 0})
        need_now = sum(-len(data) // PAGE * -PAGE for data in new.files.values()) * (2 if before else 1)
        sizes = range(2 * len(new.files) + 6) if limit is few_inodes else steps(need_now + 2 * PAGE, 30)
        with disk(program, kind, 24) as at:
            for size in sizes:
                for version in (old, None):
                    folder = at / "set"
                    shutil.rmtree(folder, ignore_errors=True)
                    if version:
                        lay(version, folder)
                    what = f"{way}, {size} free, {'over an old set' if version else 'into a new folder'}"
                    with limit(at, size):
                        ended = program.run(new.into(folder), at, before=before)
                    end = judged(outcome, ended, folder, version.files if version else {}, new.files, what)
                    counted[end] += 1
                    if end == "refused":
                        told(outcome, ended, told_of, "No space left on device", what)
        outcome.expect(all(counted.values()), f"{way}: never full, or always: {counted}")
    outcome.done = "; ".join(f"{way}: {n['made']} made, {n['refused']} refused" for way, n in counts.items())
    return outcome


def full_disk_log(program):
    """A full disk under `log`: the log is as it was, or has the line that was acknowledged."""
    outcome, counts = Outcome(), {"written": 0, "refused": 0}
    for kind, limit in [("tmpfs", only), ("ext4", only), ("tmpfs", few_inodes)]:
        with disk(program, kind, 8) as at:
            program.kits(at)
            written = []
            for i in range(40):
                written.append(f"{i} {'so long ' * 20}".strip())
                program.run(entry(KIT, written[-1]), at)
            small = range(5) if limit is few_inodes else [PAGE * i for i in range(12)]
            for size in [size for size in small for _ in range(4)]:
                note, before = f"{kind} {limit.__name__} {size} {len(written)}", read(at)
                with limit(at, size):
                    ended = program.run(entry(KIT, note), at)
                what = f"{note} ({ended})"
                if ended.code == 0:
                    written.append(note)
                    counts["written"] += 1
                else:
                    counts["refused"] += 1
                    outcome.expect(read(at) == before, f"{what}: the folder is not as it was")
                    told(outcome, ended, [LOG], "No space left on device", what)
                outcome.found += log_faults(at / LOG, written, [], what)
            outcome.expect(set(read(at)) <= {KIT, LOG, "lost+found"}, f"{kind}: {sorted(read(at))} were left")
    outcome.expect(all(counts.values()), f"never full, or always: {counts}")
    outcome.done = f"{counts['written']} lines written, {counts['refused']} refused"
    return outcome


def refused(program, outcome, at, cause, what, **how):
    """Runs of `make` and `log` in a folder where nothing may be written: all stays as it is."""
    old, new = program.plain
    for folder, there in [(at / "set", old.files), (at / "other", {})]:
        ended = program.run(new.into(folder), at, **how)
        outcome.expect(ended.code == 2 and cause in ended.err, f"{what}, {folder.name}: {ended}")
        judged(outcome, ended, folder, there, new.files, f"{what}, {folder.name}")
    before = read(at)
    ended = program.run(entry(KIT, "more"), at, **how)
    outcome.expect(ended.code == 2 and cause in ended.err and LOG in ended.err, f"{what}, log: {ended}")
    outcome.expect(read(at) == before, f"{what}, log: the folder is not as it was")


def laid(program, at):
    """A folder with an old set, a kit, and a log with a line."""
    lay(program.plain[0], at / "set")
    program.kits(at)
    program.run(entry(KIT, "first"), at)


def read_only(program):
    """A read-only disk, folders of modes that take no file, and folders that may not be changed."""
    outcome = Outcome()
    with disk(program, "tmpfs", 24) as at:
        laid(program, at)
        system("mount", "-o", "remount,ro", at)
        refused(program, outcome, at, "Read-only file system", "a read-only disk")
    with disk(program, "ext4", 24) as at:
        laid(program, at)
        for path in [*at.rglob("*"), at]:
            path.chmod(0o555 if path.is_dir() else 0o444)
        refused(program, outcome, at, "Permission denied", "folders without the right to write", nobody=True)
        system(need("chattr"), "+i", at / "set", at)
        refused(program, outcome, at, "Operation not permitted", "folders that may not be changed")
        system("chattr", "-i", at, at / "set")
    outcome.done = "3 kinds, each with make over an old set, make into a new folder, and log"
    return outcome


def fixed_files(program):
    """Each file of an old set in turn that may not be replaced: the others are put back."""
    outcome, (old, new), tried = Outcome(), program.plain, 0
    chattr, denied = need("chattr"), "Operation not permitted"
    with disk(program, "ext4", 48) as at:
        folder = at / "set"
        for name in [*old.files, ".stopwright"]:
            lay(old, folder)
            before = read(folder)
            system(chattr, "+i", folder / name)
            ended = program.run(new.into(folder), at)
            outcome.expect(ended.code == 2 and name in ended.err and denied in ended.err, f"{name} fixed: {ended}")
            outcome.expect(read(folder) == before, f"{name} fixed: the set is not as it was ({ended})")
            system(chattr, "-i", folder / name)
            outcome.expect(program.run(new.into(folder), at).code == 0, f"{name} was fixed: the next run fails")
            tried += 1
        # Files may come into this folder, and neither change their names nor go: what was begun stays.
        lay(old, folder)
        system(chattr, "+a", folder)
        ended = program.run(new.into(folder), at)
        system(chattr, "-a", folder)
        outcome.expect(ended.code == 2 and denied in ended.err, f"a folder that only grows: {ended}")
        laid(program, at)
        before = read(at)
        for path in (at / LOG, at):
            system(chattr, "+i", path)
            ended = program.run(entry(KIT, "more"), at)
            system(chattr, "-i", path)
            outcome.expect(ended.code == 2 and LOG in ended.err and denied in ended.err, f"a fixed log: {ended}")
            outcome.expect(read(at) == before, f"a fixed log: the folder is not as it was ({ended})")
    outcome.done = f"{tried} files fixed in turn, a folder that only grows, a fixed log"
    return outcome


def sticky_folder(program):
    """A sticky folder in which one file, or all, are somebody else's."""
    outcome, (old, new), tried = Outcome(), program.plain, 0
    need_root()
    for others in [[name] for name in [*old.files, ".stopwright"]] + [[*old.files, ".stopwright"]]:
        at = program.folder()
        at.chmod(0o777)
        folder = at / "set"
        lay(old, folder)
        for path in folder.iterdir():
            if path.name not in others:
                shutil.chown(path, NOBODY, NOBODY)
        folder.chmod(0o1777)
        before = read(folder)
        ended = program.run(new.into(folder), at, nobody=True)
        what = f"{', '.join(others)} of somebody else's"
        outcome.expect(ended.code == 2 and any(name in ended.err for name in others), f"{what}: {ended}")
        outcome.expect(read(folder) == before, f"{what}: the set is not as it was ({ended})")
        tried += 1
        shutil.rmtree(at)
    outcome.done = f"{tried} sets with files of somebody else's"
    return outcome
