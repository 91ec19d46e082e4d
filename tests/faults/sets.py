"""What stands in a folder, and whether it is what a whole run leaves there."""

import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

RECORD, LOCK = ".stopwright", ".stopwright.lock"
PART = re.compile(r"\.stopwright-[0-9A-Za-z]{16}\.part")


@dataclass
class Version:
    """A job as a command, its files by name and where they are, and how long it took."""

    home: Path
    command: list[str]
    files: dict[str, bytes]
    seconds: float

    def into(self, folder):
        """The command with a folder for its files."""
        return [*self.command, "--out", str(folder)]


@dataclass
class Seen:
    """A folder as it was found: `old`, `new`, `none` or `mixed`, what is wrong with it, and what lies beside."""

    kind: str
    faults: list[str]
    strays: list[str]


def read(folder):
    """Every entry of a folder by its name; a link as where it leads, a folder as nothing."""
    there = {}
    for path in Path(folder).iterdir() if Path(folder).is_dir() else []:
        if path.is_symlink():
            there[path.name] = f"link to {path.readlink()}".encode()
        else:
            there[path.name] = b"" if path.is_dir() else path.read_bytes()
    return there


def is_stray(name):
    """Whether a name is that of a lock or of a file beside its place."""
    return name.endswith(".lock") or PART.fullmatch(name) is not None


def version_in(folder):
    """The files of a set, without the record."""
    return {name: data for name, data in read(folder).items() if name != RECORD and not is_stray(name)}


def look(folder, old, new, foreign=()):
    """Holds a folder against two sets, of which `old` may be nothing; `foreign` is not ours."""
    there = {name: data for name, data in read(folder).items() if name not in foreign}
    strays = [name for name in there if is_stray(name)]
    shown = {name: data for name, data in there.items() if name != RECORD and name not in strays}
    faults = []
    for name, data in shown.items():
        whole = [version[name] for version in (old, new) if name in version]
        if data not in whole:
            faults.append(f"{name} is neither old nor new ({len(data)} bytes)")
    faults += [f"{name} is gone" for name in old if name in new and name not in shown]
    record = there.get(RECORD, b"").decode(errors="replace")
    known = {tuple(line.split("  ", 1)) for line in record.splitlines()}
    for name, data in shown.items():
        if (hashlib.sha256(data).hexdigest(), name) not in known:
            faults.append(f"the record does not know {name}")
    kinds = [("none", {}), ("new", new), ("old", old)]
    kind = next((kind for kind, version in kinds if shown == version), "mixed")
    return Seen(kind, faults, strays)


def whole(folder, version, what, foreign=()):
    """What is wrong with a folder that must hold one whole set and nothing beside it."""
    seen = look(folder, version, version, foreign)
    faults = [f"{what}: {fault}" for fault in seen.faults + [f"{name} was left" for name in seen.strays]]
    return faults if seen.kind == "new" else faults + [f"{what}: the set is {seen.kind}"]


def log_faults(path, needed, allowed, what):
    """What is wrong with a log that must hold some notes once each, and may hold others."""
    try:
        found = [line["note"] for line in json.loads(path.read_text())["entries"]]
    except (OSError, ValueError, KeyError, TypeError) as fault:
        return [f"{what}: the log cannot be read: {fault}"]
    lost, twice = set(needed) - set(found), {note for note in found if found.count(note) > 1}
    faults = [f"{what}: lost {sorted(lost)}"] * bool(lost) + [f"{what}: twice {sorted(twice)}"] * bool(twice)
    odd = set(found) - set(needed) - set(allowed)
    return faults + [f"{what}: nobody wrote {sorted(odd)}"] * bool(odd)
