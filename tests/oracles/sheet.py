"""Reads a drawing's SVG into shapes in mm of paper, as a reader would see them.

Only what the drawings use is understood, and anything else is an error: groups of line, path (M, L, A, Z), circle and
text, with rotate as the only transform.
"""

import math
import re
from dataclasses import dataclass, field

import shapely
from lxml import etree
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

NAMESPACE = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"

ASCENT = 1.05
"""Letters such as b and d stand this much above capitals (DejaVu Sans: 1556 of 1493 units, from memory)."""

DESCENT = 0.3
"""Letters such as g and p reach this much of the capitals' height below the line (426 of 1493 units, from memory)."""

DESCENDING = set("gjpqyQ,;()[]/|")

CAPITAL = 1493 / 2048
"""Height of capitals of the fonts named in the drawings, in font sizes (DejaVu Sans, from memory)."""

ARC_PARTS = 64
"""Straight runs that stand for an arc or a circle."""


@dataclass
class Lettering:
    """A line of text, the box that it fills and where its baseline starts."""

    words: str
    at: tuple
    height: float
    font_size: float
    turn: float
    bold: bool
    length: float
    shape: Polygon
    start: tuple
    group: str
    order: int


@dataclass
class Stroke:
    """A drawn line: its middle and width, and its dashes and gaps."""

    line: shapely.Geometry
    width: float
    dashes: list
    group: str
    order: int


@dataclass
class Area:
    """A filled area."""

    shape: shapely.Geometry
    colour: str
    group: str
    order: int


@dataclass
class Arrow:
    """A filled arrowhead: where its tip is and where it points."""

    tip: tuple
    toward: tuple


@dataclass
class Group:
    """What belongs together."""

    id: str
    kind: str
    data: dict
    texts: list = field(default_factory=list)
    strokes: list = field(default_factory=list)
    areas: list = field(default_factory=list)
    arrows: list = field(default_factory=list)
    runs: list = field(default_factory=list)
    circles: list = field(default_factory=list)
    arcs: list = field(default_factory=list)

    def number(self, name):
        """A value of the group; not a number where it has none."""
        return float(self.data.get(name, "nan"))

    def point(self, name):
        """A point of the group."""
        return tuple(map(float, self.data[name].split()))

    def words(self):
        """All its lettering; a minus sign as the hyphen that stands for it in numbers of files."""
        return " ".join(t.words for t in self.texts).replace("−", "-")


class Sheet:
    """A drawing."""

    def __init__(self, name, data):
        self.name = name
        root = etree.fromstring(data)
        if root.tag != f"{NAMESPACE}svg":
            raise ValueError(f"{name}: the root is {root.tag}")
        self.root = dict(root.attrib)
        self.ids = [e.get("id") for e in root.iter() if e.get("id")]
        self.widths = [float(e.get("stroke-width")) for e in root.iter() if e.get("stroke-width")]
        self.title = root.findtext(f"{NAMESPACE}title").strip()
        self.groups = []
        self._order = 0
        for element in root:
            self._top(element)
        self.by_id = {g.id: g for g in self.groups}

    def _top(self, element):
        tag = element.tag.removeprefix(NAMESPACE)
        if tag == "g":
            data = {k.removeprefix("data-"): v for k, v in element.attrib.items() if k.startswith("data-")}
            group = Group(element.get("id"), element.get("class"), data)
            for child in element:
                self._order += 1
                getattr(self, "_" + child.tag.removeprefix(NAMESPACE))(group, child)
            self.groups.append(group)
        elif tag not in ("title", "rect", "defs"):
            raise ValueError(f"{self.name}: <{tag}> is not expected here")

    def _g(self, group, e):
        """Letters as outlines, drawn under their text."""
        uses = [use.get(f"{XLINK}href", "") for use in e]
        if e.get("class") != "letters" or not all(use[1:] in self.ids for use in uses):
            raise ValueError(f"{self.name}: letters without outlines in {group.id}")

    def _line(self, group, e):
        ends = [(float(e.get(f"x{i}")), float(e.get(f"y{i}"))) for i in "12"]
        self._stroke(group, e, LineString(ends))

    def _circle(self, group, e):
        centre, radius = (float(e.get("cx")), float(e.get("cy"))), float(e.get("r"))
        group.circles.append((centre, radius))
        disk = Point(centre).buffer(radius, quad_segs=ARC_PARTS // 4)
        self._fill(group, e, disk)
        self._stroke(group, e, disk.exterior)

    def _path(self, group, e):
        runs, closed, arc = runs_of(e.get("d"))
        group.runs.extend(runs)
        if arc:
            group.arcs.append(arc)
        # Open runs are filled as if closed (W3C SVG 1.1, 11.3); two points have no area.
        area = even_odd([run for run in runs if len(run) > 2])
        if closed and e.get("stroke") == "none" and e.get("fill") == "#000000" and len(runs[0]) == 3:
            tip, a, b = runs[0]
            back = ((a[0] + b[0]) / 2 - tip[0], (a[1] + b[1]) / 2 - tip[1])
            size = math.hypot(*back)
            group.arrows.append(Arrow(tip, (-back[0] / size, -back[1] / size)))
        self._fill(group, e, area)
        self._stroke(group, e, shapely.MultiLineString([r + r[:1] if closed else r for r in runs]))

    def _text(self, group, e):
        words = " ".join((e.text or "").split())
        x, y, length = (float(e.get(k)) for k in ("x", "y", "textLength"))
        height = float(e.get("data-height"))
        left = x - {"start": 0.0, "middle": length / 2, "end": length}[e.get("text-anchor")]
        below = DESCENT * height if DESCENDING & set(words) else 0.0
        shape, turn = box(left, y - ASCENT * height, left + length, y + below), 0.0
        start = Point(left, y)
        if e.get("transform"):
            turn, *about = map(float, re.fullmatch(r"rotate\((\S+) (\S+) (\S+)\)", e.get("transform")).groups())
            shape, start = (affinity.rotate(s, turn, origin=tuple(about)) for s in (shape, start))
        font_size = float(e.get("font-size"))
        bold = e.get("font-weight") == "bold"
        group.texts.append(
            Lettering(
                words, (x, y), height, font_size, turn, bold, length, shape, start.coords[0], group.id, self._order
            )
        )

    def _stroke(self, group, e, line):
        if e.get("stroke") != "none":
            dashes = [float(d) for d in e.get("stroke-dasharray", "").split()]
            group.strokes.append(Stroke(line, float(e.get("stroke-width")), dashes, group.id, self._order))

    def _fill(self, group, e, area):
        if e.get("fill", "none") != "none":
            group.areas.append(Area(area, e.get("fill"), group.id, self._order))

    @property
    def scale(self):
        """Mm of paper for one mm of the thing."""
        paper, thing = map(float, self.root["data-scale"].split(":"))
        return paper / thing

    def of_kind(self, kind):
        """The groups of a class."""
        return [g for g in self.groups if g.kind == kind]

    def all(self, what):
        """All texts, strokes or areas."""
        return [item for g in self.groups for item in getattr(g, what)]

    def frame(self):
        """The frame as a rectangle."""
        return box(*Polygon(self.by_id["frame"].runs[0]).bounds)


def even_odd(runs):
    """The area between outlines."""
    # Of a picture's lettering, seen aslant, an outline may touch itself.
    areas = [shapely.make_valid(Polygon(run)) for run in runs]
    while len(areas) > 1:
        # In pairs, so that no area is gone through more often than it must be.
        odd = areas[-1:] if len(areas) % 2 else []
        areas = [a.symmetric_difference(b) for a, b in zip(areas[::2], areas[1::2])] + odd
    return areas[0] if areas else Polygon()


def runs_of(d):
    """The straight runs of a path, whether it is closed, and its arc, should it be one: centre, radius, angles."""
    tokens = re.findall(r"[A-Za-z]|-?\d*\.?\d+", d)
    runs, arc, closed, i = [], None, False, 0
    while i < len(tokens):
        command = tokens[i]
        if command in "ML":
            point = (float(tokens[i + 1]), float(tokens[i + 2]))
            if command == "M":
                runs.append([])
            runs[-1].append(point)
            i += 3
        elif command == "A":
            radius, _, _, large, sweep, x, y = map(float, tokens[i + 1 : i + 8])
            points, arc = arc_between(runs[-1][-1], (x, y), radius, large != 0, sweep != 0)
            runs[-1].extend(points)
            i += 8
        elif command == "Z":
            closed = True
            i += 1
        else:
            raise ValueError(f"path command {command}")
    return runs, closed, arc


def arc_between(a, b, radius, large, sweep):
    """Points on an arc from `a` (left out) to `b`, and centre, radius and turn (W3C SVG 1.1, appendix F.6.5)."""
    chord = math.hypot(b[0] - a[0], b[1] - a[1])
    height = math.sqrt(max(radius**2 - chord**2 / 4, 0.0)) * (-1 if large == sweep else 1)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    normal = (-(b[1] - a[1]) / chord, (b[0] - a[0]) / chord)
    centre = (middle[0] + normal[0] * height, middle[1] + normal[1] * height)
    start, end = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (a, b))
    turn = (end - start) % math.tau if sweep else -((start - end) % math.tau)
    angles = [start + turn * k / ARC_PARTS for k in range(1, ARC_PARTS + 1)]
    points = [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in angles]
    return points, (centre, radius, turn)
