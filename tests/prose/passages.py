"""Texts as people meet them, cut into passages that a checker of prose can read.

A passage is a paragraph, a heading, a list's item or a table's cell, in Markdown, with names of files, flags, fields
and the like marked as code, so that they stand for a noun and are not spelt.
"""

import json
import re
from dataclasses import dataclass
from html.parser import HTMLParser
from xml.etree import ElementTree


@dataclass(frozen=True)
class Passage:
    """Some words that are read in one go."""

    source: str
    """A file's path, or the command that printed them."""
    line: int
    """The line they begin on, from 1; of a drawing, which of its texts."""
    text: str


CODE = re.compile(
    r"""
    `[^`]*`                                             # marked by whoever wrote it
    | (?<!\w)-{1,2}[A-Za-z][\w-]*(=[^\s,;)]*)?          # --flag=value
    | <[A-Za-z][\w|=,.…-]*>(\.\.\.)?                    # <VALUE>
    | \[[A-Z]+\](\.\.\.)?                               # [OPTIONS]
    | \$?[~\w.-]*/[\w./*-]*[\w*]/?                      # a path, a fraction
    | (?<!\w)[\w*-]+(\.[\w*-]+)*\.(json|svg|png|pdf|stl|3mf|step|dxf|html|md|txt|rs|py|sh)(?!\w)
    | (?<!\w)[a-z]+(\[\d+\])?(\.[a-z_]+(\[\d+\])?)+(?!\w)   # a.field[3].of_a_file
    | (?<!\w)\w+_\w+                                    # a_field
    | "[^"\s]*"                                         # a value
    | \[possible\ values:\ [^\]]*\]
    | \(os\ error\ \d+\)
    | \bstopwright(?=[\s.,:;)])(\ (?:testpiece|measure|verify|profiles)\b)?      # a command
    | (?<![\w'-])(?=[A-Z0-9]*\d)(?=\d*[A-Z])[A-Z0-9]{2,}(?![\w'])  # P400, A4, 3MF
    | (?<![\w'-])[A-Z0-9]{4}(?![\w'])                   # a fingerprint
    | \b[A-Z]–[A-Z]\b                                  # a section
    | \bREADME\b('s)?
    | µm\b                                         # which the checker takes apart
    | \d+ths\b
    | (?<![\w'])(?![aAI](\ |$))[A-Za-zØ](?![\w'])           # one letter that is no word
    | (?<=\s)[;°+−×÷=±%-](?=\s|$)                       # a sign by itself
    """,
    re.VERBOSE,
)
"""What is typed or named by its letters, and is no prose."""

WRAPPED = 60
"""A shorter line than this ends a paragraph."""


def prose(text, rest=lambda text: re.sub(r"([\\*_\[\]<>#|])", r"\\\1", text)):
    """A text in Markdown, with what is no prose in it marked as code; the rest means nothing to Markdown."""
    marked, at = "", 0
    for code in CODE.finditer(text):
        marked += rest(text[at : code.start()]) + "`" + code.group().replace("`", "") + "`"
        at = code.end()
    return (marked + rest(text[at:])).strip()


def of_lines(source, text, is_wrapped=False):
    """The passages of a report, whose lines are paragraphs or rows, or of a text that is wrapped already."""
    found, last = [], None
    for number, line in enumerate(text.splitlines(), 1):
        if re.match(r" *\d+\. .+ · ", line):
            # What was answered of one thing in a list, in the words of the file.
            last = None
            continue
        # What is typed at a prompt ends no line where the answers come through a pipe.
        line = re.sub(r"^(\w*> )*(\d+\. )?", "", line)
        stripped, indent = line.strip(), len(line) - len(line.lstrip())
        if not stripped or is_command(stripped):
            last = None
            continue
        # What stands two or more spaces apart stands in columns of its own.
        cells = re.split(r"\s{2,}", stripped)
        goes_on = is_wrapped and last == indent and len(cells) == 1 and re.match(r"[a-z(±0-9]", stripped)
        if goes_on and not found[-1].text.endswith((".", ":", ";")):
            found[-1] = Passage(source, found[-1].line, found[-1].text + " " + prose(stripped))
            continue
        found.extend(Passage(source, number, prose(cell)) for cell in cells)
        last = line.rindex(cells[-1]) if len(line) >= WRAPPED else None
    return found


def is_command(line):
    """Whether a line of help is a command, to be typed."""
    return line.startswith(("stopwright ", "Usage: ", "--set "))


def of_json(source, text):
    """The sentences among the strings of a JSON document."""
    found = []

    def walk(value):
        if isinstance(value, str) and len(value.split()) > 2:
            found.append(Passage(source, 1, prose(value)))
        for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else []:
            walk(inner)

    walk(json.loads(text))
    return found


def of_schema(source, text):
    """The descriptions of a schema, each on the line that holds it."""
    texts = [(number, re.search(r'"description": (".*"),?$', line)) for number, line in enumerate(text.splitlines(), 1)]
    return [Passage(source, number, prose(json.loads(said[1]))) for number, said in texts if said]


def of_svg(source, text):
    """The lettering of a drawing; lines that stand close below each other are one paragraph."""
    found, last = [], None
    for number, node in enumerate(ElementTree.fromstring(text).iter("{http://www.w3.org/2000/svg}text"), 1):
        words = " ".join("".join(node.itertext()).split())
        place = tuple(node.get(name) for name in ("x", "font-size", "text-anchor", "transform", "font-weight"))
        y, height = float(node.get("y", 0)), float(node.get("font-size", 0))
        if last and last[0] == place and 0 < y - last[1] < 1.15 * height:
            found[-1] = Passage(source, found[-1].line, found[-1].text + " " + prose(words))
        else:
            found.append(Passage(source, number, prose(words)))
        last = (place, y)
    return [passage for passage in found if passage.text]


class _Blocks(HTMLParser):
    """Gathers the text of a page by its blocks."""

    BLOCKS = {"p", "h1", "h2", "h3", "title", "figcaption", "li", "td", "th", "a", "dt", "dd"}
    SILENT = {"style", "script", "pre"}

    def __init__(self):
        super().__init__()
        self.texts, self.words, self.begun, self.silent = [], "", 1, False

    def end(self):
        """Closes the block that is open."""
        if self.words.strip():
            self.texts.append((self.begun, " ".join(self.words.split())))
        self.words, self.begun = "", self.getpos()[0]

    def handle_starttag(self, tag, attrs):
        self.silent = self.silent or tag in self.SILENT
        if tag in self.BLOCKS:
            self.end()
        seen = dict(attrs).get("alt")
        if seen:
            self.texts.append((self.getpos()[0], seen))

    def handle_endtag(self, tag):
        self.silent = self.silent and tag not in self.SILENT
        if tag in self.BLOCKS:
            self.end()

    def handle_data(self, data):
        if not self.silent:
            self.words += data


def of_html(source, text):
    """The blocks of a page, and what its pictures are called; what it quotes of a report is checked there."""
    blocks = _Blocks()
    blocks.feed(text)
    blocks.end()
    return [Passage(source, line, prose(words)) for line, words in blocks.texts]


def of_markdown(source, text):
    """The blocks of a Markdown file without its code and comments; what it quotes of the program is checked there."""
    found, begun, words, fenced = [], 0, [], False
    text = re.sub(r"<!--.*?-->", lambda comment: "\n" * comment.group().count("\n"), text, flags=re.DOTALL)

    def end():
        if words:
            found.append(Passage(source, begun, linked(" ".join(words))))
        words.clear()

    for number, line in enumerate(text.splitlines() + [""], 1):
        stripped = line.strip()
        if stripped.startswith("```"):
            fenced = not fenced
        if fenced or stripped.startswith("```") or not stripped or (line.startswith("    ") and not words):
            end()
            continue
        if stripped.startswith("|"):
            end()
            cells = (cell.strip() for cell in stripped.strip("|").split("|"))
            found.extend(Passage(source, number, linked(cell)) for cell in cells if re.search(r"\w", cell))
            continue
        bullet = re.match(r"([*+-]|\d+\.|#+)\s+", stripped)
        if bullet:
            end()
            stripped = stripped[bullet.end() :]
        if not words:
            begun = number
        words.append(stripped)
        if bullet and bullet[1].startswith("#"):
            end()
    return found


def linked(text):
    """Markdown whose links and pictures are their words alone, with what is no prose in it marked as code."""
    return prose(re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", text), lambda markdown: markdown)
