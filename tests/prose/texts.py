"""Has the program say all it says, and gathers the passages of it and of the project's own documents."""

import os
import re
import shlex
import shutil
import subprocess
from pathlib import Path

import passages

ROOT = Path(__file__).resolve().parents[2]
"""The project's folder."""

FAILED = 1
"""Exit code of `verify` where a lane fails."""

REFUSED = 2
"""Exit code for everything that the user can mend."""

TOPICS = "words units files printing wood kit camber uncertainty refusals exit-codes".split()
"""What `help` may also tell about; more are found by the lists that help prints."""


class Program:
    """The program, run in a folder that has the examples."""

    def __init__(self, binary, folder):
        self.binary, self.folder = str(Path(binary).resolve()), folder
        # Unwrapped: a line is a paragraph.
        self.around = {name: value for name, value in os.environ.items() if name != "COLUMNS"} | {"NO_COLOR": "1"}
        for sub in ("examples", "profiles"):
            shutil.copytree(ROOT / sub, folder / sub)

    def run(self, arguments, answers=""):
        """Runs a command to its end."""
        around = self.around | ({"COLUMNS": "1000"} if "help" in arguments or "--help" in arguments else {})
        given = {"cwd": self.folder, "env": around, "input": answers, "encoding": "utf-8"}
        return subprocess.run([self.binary, *arguments], capture_output=True, **given)


def gather(binary, folder):
    """All passages, and the commands that did not end as they should."""
    program = Program(binary, folder)
    found, failed = documents() + helps(program), []
    for line, wanted in commands().items():
        told, status = said(program, line)
        found += told
        if status not in wanted:
            failed.append(f"stopwright {line}: ended with {status}: " + " ".join(passage.text for passage in told[:3]))
    for line, typed in asking().items():
        done = program.run([line, "--out", line], typed)
        found += passages.of_lines(f"stopwright {line}", done.stdout + done.stderr, True)
        if done.returncode != 0:
            failed.append(f"stopwright {line}: its answers in tests/prose/answers end early: {done.stderr}")
    for path in sorted(folder.rglob("*.svg")):
        if not path.is_relative_to(folder / "examples"):
            found += passages.of_svg(path.relative_to(folder).as_posix(), path.read_text(encoding="utf-8"))
    for path in sorted(folder.rglob("*.html")):
        found += passages.of_html(path.relative_to(folder).as_posix(), path.read_text(encoding="utf-8"))
    return [passage for passage in found if re.search(r"[A-Za-z]{2}", passages.CODE.sub("", passage.text))], failed


def documents():
    """What the project says by itself: its guides, rehearsals with all questions, and what schemas say of every field."""
    found = []
    for path in guides() + [ROOT / "DEVELOPERS.md"]:
        found += passages.of_markdown(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    for path in sorted((ROOT / "tests/flow/rehearsals").glob("*.txt")):
        found += passages.of_lines(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"), True)
    for path in sorted((ROOT / "profiles/schema").glob("*.json")):
        found += passages.of_schema(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    for path in sorted((ROOT / "profiles").glob("[gt]*/*.json")) + sorted((ROOT / "examples").glob("*.json")):
        found += passages.of_json(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    return found


def guides():
    """The documents for users."""
    return [ROOT / "README.md", *sorted((ROOT / "examples").glob("*.md"))]


def helps(program):
    """The help of the program, of each command and of each topic that there is."""
    whole = program.run(["help"]).stdout
    # A list of help has its words two spaces in.
    listed = re.findall(r"^  ([a-z][a-z-]*)(?:  |$)", whole, re.MULTILINE)
    named = [word for line in re.findall(r"[Tt]opics?: (.*)", whole) for word in re.findall(r"[a-z-]+", line)]
    found = passages.of_lines("stopwright help", whole, True)
    for word in dict.fromkeys([*listed, *named, *TOPICS]):
        told = program.run(["help", word])
        if told.returncode == 0:
            found += passages.of_lines(f"stopwright help {word}", told.stdout, True)
        whole = program.run([word, "--help"])
        if whole.returncode == 0 and whole.stdout != told.stdout:
            found += passages.of_lines(f"stopwright {word} --help", whole.stdout, True)
    return found


def commands():
    """Commands to run, each with the codes that it may end with: those of the guides, and more that tell more."""
    found = {}
    for guide in guides():
        text = guide.read_text(encoding="utf-8").replace("\\\n", " ")
        # A guide shows some lines of an output by a comment that says `, from "the first of them"`.
        shown = re.findall(r'^(?:<!-- )?stopwright (.*?)(?:, from ".*")?(?: -->)?$', text, re.MULTILINE)
        # How these end, another test holds (`tests/flow/documents.rs`): some are refused, or a lane fails.
        found |= dict.fromkeys(shown, (0, FAILED, REFUSED))
    for line in (Path(__file__).parent / "commands.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            found[line.removeprefix("! ")] = (REFUSED,) if line.startswith("! ") else (0, FAILED)
    return found


def said(program, line):
    """What a command says, and the code that it ends with."""
    words = shlex.split(line)
    at = words.index(">") if ">" in words else len(words)
    done = program.run(words[:at])
    if at < len(words):
        (program.folder / words[at + 1]).write_text(done.stdout, encoding="utf-8")
    source = f"stopwright {line}"
    is_data = done.stdout.startswith(("{", "["))
    told = passages.of_json(source, done.stdout) if is_data else passages.of_lines(source, done.stdout)
    return passages.of_lines(source, done.stderr) + told, done.returncode


def asking():
    """Commands that ask, and what is typed at them: help, then the answer of the file that has the command's name."""
    files = sorted((Path(__file__).parent / "answers").glob("*.txt"))
    lines = {path.stem: path.read_text(encoding="utf-8").splitlines() for path in files}
    return {command: "".join(f"help\n{answer}\n" for answer in answers) for command, answers in lines.items()}
