"""A page of a PDF as an outside reader (pymupdf) sees it, in the model of `sheets_page`.

Signs are taken with their origins and quads, so that turned lettering has its own box and not the level one around it.
A sign's box is as wide as its advance and as high as the outline of that sign in matplotlib's DejaVu Sans.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import pymupdf

import sheet
import style
from pdf import AS_IT_IS, POINT, colour
from sheets_page import WHITE, Fill, Page, Word

CURVE = np.linspace(0.0, 1.0, 9)[:, None]
"""Where a Bézier curve is taken."""

ONE_TEXT = 0.3
"""Signs of a line further apart than this many font sizes are of two texts: a space is 0.286 wide."""

SPACE = 0.15
"""Signs further apart than this many font sizes have a space between them."""

OVER = 0.06
"""Signs of a line that reach over each other by more than this many font sizes lie on each other."""


def pages(data, names):
    """All pages of a document, and what names them."""
    with pymupdf.open(stream=data, filetype="pdf") as document:
        return [of_page(page, f"{names} page {i}") for i, page in enumerate(document, 1)]


def of_page(page, name):
    """One page."""
    seen = Page(name, tuple(v * POINT for v in page.mediabox[2:]), groups=[("page", "page")])
    for drawing in page.get_cdrawings():
        draw(drawing, seen)
    orders = {place(c[2]): trace["seqno"] for trace in page.get_texttrace() for c in trace["chars"]}
    for block in page.get_text("rawdict", flags=AS_IT_IS, clip=pymupdf.INFINITE_RECT())["blocks"]:
        for line in block["lines"]:
            letter(line, orders, seen)
    return seen


def place(origin):
    """Where a sign begins, so that two readings of a page can be held together."""
    return int(10 * origin[0] + 0.5), int(10 * origin[1] + 0.5)


def draw(drawing, seen):
    """A path's fill and lines."""
    runs, order = runs_of(drawing["items"]), drawing["seqno"]
    closed = drawing.get("closePath", False)
    fill = colour(drawing["fill"]) if "f" in drawing["type"] else None
    if fill:
        seen.fills.append(Fill(runs, fill, order))
    stroked = "s" in drawing["type"]
    width = drawing["width"] * POINT if stroked else 0.0
    if stroked or fill != WHITE:
        for run in runs:
            seen.stroke(run, closed or not stroked, width, order, 0)
            seen.mark(run, width / 2, 0)


def runs_of(items):
    """A path's straight runs in mm."""
    runs = []
    for kind, *values in items:
        if kind == "re":
            x0, y0, x1, y1 = values[0]
            points = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
        elif kind == "qu":
            ul, ur, ll, lr = values[0]
            points = [ul, ur, lr, ll, ul]
        elif kind == "c":
            a, b, c, d = map(np.array, values)
            t, s = CURVE, 1 - CURVE
            points = s**3 * a + 3 * s**2 * t * b + 3 * s * t**2 * c + t**3 * d
        else:
            points = values[:2]
        points = np.array(points, dtype=float) * POINT
        if kind in "lc" and runs and math.dist(runs[-1][-1], points[0]) < 1e-4:
            runs[-1] = np.vstack([runs[-1], points[1:]])
        else:
            runs.append(points)
    return runs


def letter(line, orders, seen):
    """The texts of a line: signs that follow each other. Spaces are told by the gaps, since the reader adds its own."""
    (wx, wy), own = line["dir"], []
    for span in line["spans"]:
        bold, size = span["font"].endswith("Bold"), span["size"]
        for sign in span["chars"]:
            if sign["c"].isspace():
                continue
            x, y = sign["origin"]
            start, base = x * wx + y * wy, y * wx - x * wy
            new = Sign(sign["c"], start, start + advance(sign["c"], bold) * size, base, size, bold, (x, y))
            gap = (new.start - own[-1].end) / size if own else 0.0
            if gap > ONE_TEXT or (own and (abs(new.base - own[-1].base) > 0.1 or own[-1].size != size)):
                word(own, (wx, wy), orders, seen)
                own = []
            elif gap < -OVER:
                seen.faults.append(f"{new.sign!r} lies on {''.join(s.sign for s in own)!r}")
            own.append(new)
    word(own, (wx, wy), orders, seen)


def word(signs, way, orders, seen):
    """Adds a text with the box of what is seen of it."""
    if not signs:
        return
    ink = [s.ink() for s in signs]
    (left, top), (right, bottom) = (min(i[k] for i in ink) for k in (0, 1)), (max(i[k] for i in ink) for k in (2, 3))
    along, down = np.array(way), np.array([-way[1], way[0]])
    quad = np.array([x * along + y * down for x, y in ((left, top), (right, top), (right, bottom), (left, bottom))])
    words = signs[0].sign
    for before, sign in zip(signs, signs[1:]):
        words += (" " if sign.start - before.end > SPACE * sign.size else "") + sign.sign
    order = orders.get(place(signs[0].origin), 0)
    seen.words.append(Word(words, quad * POINT, signs[0].size * sheet.CAPITAL * POINT, order, "page"))
    seen.mark(quad * POINT, 0.0, 0)


@dataclass
class Sign:
    """A sign: where it starts and ends along its line, and where its line is, in points."""

    sign: str
    start: float
    end: float
    base: float
    size: float
    bold: bool
    origin: tuple

    def ink(self):
        """What is seen of it: left, top, right, bottom."""
        x0, y0, x1, y1 = (self.size * v for v in outline(self.sign, self.bold))
        return self.start + x0, self.base - y1, self.start + x1, self.base - y0


@cache
def advance(sign, bold):
    """Width of a sign, font sizes."""
    return style.width_of(sign, bold)


@cache
def outline(sign, bold):
    """Bounds of a sign's outline, font sizes; letters are condensed as `style.width_of` has them."""
    glyphs, _, per_em = style.font(bold)
    found = style.outlines(bold)[glyphs[ord(sign)]]
    x0, y0, x1, y1 = (getattr(found, side, 0) / per_em for side in ("xMin", "yMin", "xMax", "yMax"))
    return style.CONDENSED * x0, y0, style.CONDENSED * x1, y1
