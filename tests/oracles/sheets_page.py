"""A sheet as its reader sees it: lettering in boxes that its own letters fill, ink of lines, filled areas.

One model for SVG (read here) and PDF (`sheets_pdf`), in mm of paper, `y` down. A letter's box is as wide as its advance
and as high as its own outline: an accent stands over it, and a `g` hangs below.
"""

import math
import re
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from lxml import etree

import sheet

ARC_STEP = math.radians(4.0)
"""Turn of the straight runs that stand for an arc."""

CAPITAL = 1493
"""Height of capitals in the units of the outlines (DejaVu Sans, 2048 an em, from memory)."""

WHITE = "#ffffff"


@dataclass
class Word:
    """A line of lettering: its corners, height of capitals, place in the order of drawing, and group."""

    words: str
    quad: np.ndarray
    height: float
    order: int
    group: str = ""

    start: tuple = (0.0, 0.0)
    """Where it is set, and so what its lines share with those above and below."""

    @property
    def at(self):
        """Middle of its box, down the sheet first."""
        x, y = self.quad.mean(axis=0)
        return (y, x)

    @property
    def left(self):
        """The place across the sheet that lines of one paragraph share."""
        return self.start[0]


@dataclass
class Fill:
    """A filled area by its outlines."""

    rings: list
    colour: str
    order: int
    group: str = "page"

    @cached_property
    def shape(self):
        """The area, even-odd."""
        return sheet.even_odd([ring for ring in self.rings if len(ring) > 2]).buffer(0)

    @cached_property
    def bounds(self):
        """Its bounds."""
        points = np.vstack(self.rings)
        return (*points.min(axis=0), *points.max(axis=0))

    @property
    def is_dark(self):
        """Whether black letters on it could not be read."""
        red, green, blue = (int(self.colour[i : i + 2], 16) for i in (1, 3, 5))
        return 0.3 * red + 0.6 * green + 0.1 * blue < 128


@dataclass
class Page:
    """All that is on a sheet."""

    name: str
    size: tuple
    words: list = field(default_factory=list)
    fills: list = field(default_factory=list)
    segments: list = field(default_factory=list)
    """Arrays of straight runs: x1, y1, x2, y2, width, order, number of the group."""
    marks: list = field(default_factory=list)
    """Bounds of every mark that has ink, and the number of its group."""
    groups: list = field(default_factory=list)
    """Id and class of each group."""
    root: dict = field(default_factory=dict)
    faults: list = field(default_factory=list)
    """What the reader itself found wrong."""

    @cached_property
    def runs(self):
        """The segments as one array."""
        return np.vstack([np.empty((0, 7)), *self.segments])

    @cached_property
    def quads(self):
        """The words' boxes."""
        return shapely.polygons(np.array([word.quad for word in self.words]).reshape(-1, 4, 2))

    def bounds(self, id):
        """The box around a group's lines, or none where it has none."""
        numbers = [i for i, (own, _) in enumerate(self.groups) if own == id]
        boxes = np.array([box for box, i in self.marks if i in numbers])
        return (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)) if len(boxes) else None

    def frame(self):
        """The frame, or the paper's edge where there is none."""
        return self.bounds("frame-line") or self.bounds("frame") or (0.0, 0.0, *self.size)

    def ruled(self):
        """The frame of a page that does not name its groups: the largest mark that is not the page, else the page."""
        wide, high = self.size
        boxes = [box for box, _ in self.marks if box[2] - box[0] < wide - 1 and box[3] - box[1] < high - 1]
        largest = max(boxes, key=lambda b: (b[2] - b[0]) * (b[3] - b[1]), default=(0.0, 0.0, wide, high))
        return largest if (largest[2] - largest[0]) * (largest[3] - largest[1]) > wide * high / 2 else (0.0, 0.0, wide, high)

    @cached_property
    def by_group(self):
        """The words of each group."""
        found = {id: [] for id, _ in self.groups}
        for word in self.words:
            found[word.group].append(word)
        return found

    def said(self, group=None):
        """All lettering, or that of a group, as it is read: a column's lines one after the other, then the next's."""
        own = self.words if group is None else self.by_group[group]
        return " ".join(word.words for word in sorted(own, key=lambda word: (round(word.left, 1), word.at[0])))

    def stroke(self, points, closed, width, order, number):
        """Adds straight runs."""
        points = np.vstack([points, points[:1]] if closed else [points])
        rows = np.empty((len(points) - 1, 7))
        rows[:, :2], rows[:, 2:4], rows[:, 4:] = points[:-1], points[1:], (width, order, number)
        self.segments.append(rows)

    def mark(self, points, grown, number):
        """Adds the bounds of something with ink."""
        points = np.asarray(points)
        low, high = points.min(axis=0) - grown, points.max(axis=0) + grown
        self.marks.append(((*low, *high), number))


class Svg:
    """Reads an SVG; elements that drawings do not use are errors."""

    def __init__(self, name, data):
        root = etree.fromstring(data)
        _, _, wide, high = map(float, root.get("viewBox").split())
        self.page = Page(name, (wide, high), root=dict(root.attrib))
        self.glyphs = {e.get("id"): glyph_box(e.get("d")) for e in root.iter(f"{sheet.NAMESPACE}path") if e.get("id")}
        self.order = 0
        for element in root.iterchildren(f"{sheet.NAMESPACE}g"):
            number = len(self.page.groups)
            self.page.groups.append((element.get("id"), element.get("class")))
            self.letters = None
            for child in element:
                self.order += 1
                getattr(self, "_" + child.tag.removeprefix(sheet.NAMESPACE))(child, number)

    def _g(self, e, number):
        """Letters: their box, and which signs they are."""
        place = affine(e.get("transform"))
        boxes, signs = [], ""
        for use in e:
            id = use.get(f"{sheet.XLINK}href")[1:]
            (x0, y0, x1, y1), x = self.glyphs[id], float(use.get("x"))
            boxes.append((x + x0, y0, x + x1, y1))
            signs += chr(int(id.rpartition("-")[2], 16))
        if boxes:
            x0, y0 = (min(box[k] for box in boxes) for k in (0, 1))
            x1, y1 = (max(box[k] for box in boxes) for k in (2, 3))
            corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
            height = math.sqrt(abs(np.linalg.det(place[:, :2]))) * CAPITAL
            self.letters = signs, corners @ place[:, :2].T + place[:, 2], height

    def _text(self, e, number):
        """The words over the letters, which must say the same."""
        words, (signs, quad, height) = " ".join((e.text or "").split()), self.letters or ("", None, 0.0)
        group = self.page.groups[number][0]
        if "".join(words.split()) != signs:
            self.page.faults.append(f"{group}: {words!r} stands over letters that say {signs!r}")
        if quad is not None:
            start = (float(e.get("x")), float(e.get("y")))
            self.page.words.append(Word(words, quad, height, self.order, group, start))
            self.page.mark(quad, 0.0, number)
        self.letters = None

    def _line(self, e, number):
        points = np.array([(float(e.get(f"x{i}")), float(e.get(f"y{i}"))) for i in "12"])
        self.drawn(e, [points], False, number)

    def _circle(self, e, number):
        centre, radius = np.array([float(e.get("cx")), float(e.get("cy"))]), float(e.get("r"))
        turns = np.arange(0.0, math.tau, ARC_STEP)
        self.drawn(e, [centre + radius * np.column_stack([np.cos(turns), np.sin(turns)])], True, number)

    def _path(self, e, number):
        runs, closed, _ = sheet.runs_of(e.get("d"))
        self.drawn(e, [np.array(run) for run in runs], closed, number)

    def drawn(self, e, runs, closed, number):
        """Fill and lines of an element."""
        fill, stroked = e.get("fill", "none"), e.get("stroke") != "none"
        group = self.page.groups[number][0]
        if fill != "none" and runs:
            self.page.fills.append(Fill(runs, fill, self.order, group))
        width = float(e.get("stroke-width")) if stroked else 0.0
        # A coloured field without an outline still has an edge that is seen.
        if stroked or fill not in ("none", WHITE):
            for run in runs:
                self.page.stroke(run, closed, width, self.order, number)
                self.page.mark(run, width / 2, number)


def glyph_box(d):
    """Bounds of a letter's outline, units of the font: of its corners, for curves of capitals reach their handles."""
    numbers = np.array(re.findall(r"-?\d+\.?\d*", d), dtype=float).reshape(-1, 2)
    return (*numbers.min(axis=0), *numbers.max(axis=0))


def affine(text):
    """The map of a transform as rows of a matrix."""
    whole = np.eye(3)
    for name, values in re.findall(r"(\w+)\(([^)]*)\)", text):
        own, values = np.eye(3), list(map(float, values.split()))
        if name == "translate":
            own[:2, 2] = values
        elif name == "scale":
            own[0, 0] = own[1, 1] = values[0]
        elif name == "rotate":
            c, s = math.cos(math.radians(values[0])), math.sin(math.radians(values[0]))
            own[:2, :2] = [[c, -s], [s, c]]
        else:
            raise ValueError(f"transform {name}")
        whole = whole @ own
    return whole[:2]


def of_svg(name, data):
    """The page of an SVG."""
    return Svg(name, data).page
