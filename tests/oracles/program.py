"""Calls the program under test and gathers what it made."""

import copy
import json
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path

import quantities

ROOT = Path(__file__).resolve().parents[2]
"""The project's folder."""

REFUSED = 2
"""Exit code for everything the user can mend."""


@dataclass
class Made:
    """All that came of one job."""

    name: str
    job: dict
    guide: dict
    tools: dict
    summary: dict
    files: dict
    which: int = 0
    """Which of the job's blocks is looked at."""

    def each(self):
        """The same seen from each of its blocks."""
        return [replace(self, which=i) for i in range(len(self.summary["blocks"]))]

    @property
    def part(self):
        """What `make --json` says of the block."""
        return self.summary["blocks"][self.which]

    @property
    def title(self):
        """What the block is called in messages."""
        return self.name if len(self.summary["blocks"]) == 1 else f"{self.name} {self.part['name']}"

    def own(self, ending, part="block"):
        """Bytes of the block's, or its cleat's, file with an ending."""
        return self.files[f"{self.part['name'].replace('block', part)}.{ending}"]

    def has_cleat(self):
        """Whether there is a cleat for the block."""
        asked = (self.job.get("block") or {}).get("cleat", False)
        return asked and not any(warning.startswith("no cleat") for warning in self.part["warnings"])

    @property
    def offsets(self):
        """The lanes of the written offsets.json by id."""
        return {lane["id"]: lane for lane in json.loads(self.files["offsets.json"])["lanes"]}

    @property
    def block(self):
        """Sizes of the block, as `make --json` states them."""
        return self.part["block"]

    @property
    def places(self):
        """Where each lane is on the block."""
        return self.part["places"]

    def option(self, name):
        """An option of the block that is on unless the job says otherwise."""
        return (self.job.get("block") or {}).get(name, True)

    @property
    def labels(self):
        """How the block is lettered."""
        return (self.job.get("block") or {}).get("labels", "sunk")

    def printer(self, name, default):
        """A length of the job's printer, mm."""
        form = (self.job.get("print") or {}).get(name)
        return default if form is None else quantities.length(form, self.job.get("units", "mm"))[0]

    def sheets(self):
        """Name and bytes of every drawing."""
        drawings = [name for name in self.files if name.endswith(".svg") and not name.startswith("picture")]
        return [(name, self.files[name]) for name in drawings]

    def bytes_of(self, name):
        """A file, or as bytes what is no file: `job` or `summary`."""
        return self.files[name] if name in self.files else json.dumps(getattr(self, name)).encode("utf-8")

    def tampered(self, name, data):
        """A copy with other bytes for a file, `job` or `summary`."""
        other = copy.copy(self)
        if name in self.files:
            other.files = {**self.files, name: data}
        else:
            setattr(other, name, json.loads(data))
        return other


class Program:
    """The binary."""

    def __init__(self, binary):
        self.binary = str(Path(binary).resolve())

    def run(self, *arguments):
        """Runs it and returns the finished process, output as text."""
        return subprocess.run([self.binary, *map(str, arguments)], capture_output=True, text=True, timeout=120)

    def text(self, *arguments):
        """Runs it and returns its output; anything but success is an error."""
        done = self.run(*arguments)
        if done.returncode != 0:
            raise RuntimeError(f"{' '.join(map(str, arguments))}: exit code {done.returncode}: {done.stderr}")
        return done.stdout

    def make(self, job_path, folder):
        """Makes a job: what was made, or `None`; and the finished process."""
        done = self.run("make", job_path, "--json", "--out", folder)
        if done.returncode != 0:
            return None, done
        job = json.loads(Path(job_path).read_text(encoding="utf-8"))
        summary = json.loads(done.stdout)
        made = Made(
            name=Path(job_path).stem,
            job=job,
            guide=profile("guides", job["guide"], Path(job_path).parent),
            tools={s["tool"]: profile("tools", s["tool"], Path(job_path).parent) for s in job["settings"]},
            summary=summary,
            files={Path(path).name: Path(path).read_bytes() for path in summary["files"]},
        )
        return made, done


def profile(kind, name, beside):
    """A built-in profile by its name, or one by its path relative to the job."""
    path = beside / name if name.endswith(".json") else ROOT / "profiles" / kind / f"{name}.json"
    return json.loads(path.read_text(encoding="utf-8"))
