"""What holds on every page, whatever it shows: nothing clashes, nothing is shortened, nothing is small, lost or empty.

What is allowed, and why:
* A line that a later field covers is not seen, and so meets nothing; lettering that one covers is a fault.
* The watermark of a side view that is refused (`refused-stamp`) is pale, and meant to lie behind all else.
* Lettering may lie on a tint (raised wood, cut wood): black on pale is read well. It may not cross the tint's edge.
* A line that runs on a letter's box without running through its letters (an accent's or a hook's room) counts as a
  clash all the same: whoever reads the sheet sees them touch.
* A template that goes on one tile is printed at true size, and however small the jig is, there is nothing else for it.
* Frame and title block are drawn by the paper's edge: centring marks, and the strip of a card, may leave the frame.
"""

import re

import numpy as np
import shapely

from sheets_page import WHITE

GROUPS = {
    "sheets clashes": "shapely: no lettering meets lettering, a line, an edge, an arrow or hatching, nor is it hidden",
    "sheets frame": "nothing but centring marks leaves the frame, nothing but its own words is in the title block",
    "sheets lettering": "capitals 2.5 mm or higher (ISO 3098, from memory)",
    "sheets lines": "widths of the 0.5 mm group, wide to narrow 2:1 (ISO 128-2, from memory)",
    "sheets whole words": "no word ends in dots, and letters say what the text over them says",
    "sheets reading order": "of a paragraph or a cell, each line comes after the one over it, as it is copied and read aloud",
    "sheets filled": "a third of the page is used: squares of 5 mm that a mark's bounds touch",
}

TOUCH = 0.02
"""Ink nearer to lettering than this touches it, mm: less than a printer at 1200 dots an inch can show."""

OVERLAP = 1e-3
"""Boxes of lettering that share less than this only touch, mm²."""

LEAST = 2.5
"""Least height of capitals, mm."""

WIDTHS = {0.25, 0.5}

SQUARE = 5.0
"""Side of the squares by which a page's use is told, mm."""

LEAST_USED = 1 / 3
"""Least use of a page."""

TILE = "row,column"
"""What the strip of a template's tile says, without spaces: at true size a tile is as full as the jig is large."""

WATERMARK = "refused-stamp"

LEADING = 2.0
"""Lines nearer than this many heights of capitals are of one paragraph."""

DOTS = re.compile(r"(…|\.\.\.)(\s|$)")
"""What a shortened word ends in."""


def check(page, report, frame=None, title=None):
    """All rules; `frame` and `title` are the frame and the title block of a page that does not name its own."""
    found = clashes(page)
    report.expect("sheets clashes", not found, f"{page.name}: " + "; ".join(found[:4]) + f" ({len(found)} in all)")
    frame, title = frame or page.frame(), title or page.bounds("title-block")
    lost = outside(page, frame, title)
    report.expect("sheets frame", not lost, f"{page.name}: " + "; ".join(lost[:4]))
    small = [f"{w.words!r} {w.height:.2f} mm" for w in page.words if w.height < LEAST - 5e-3]
    report.expect("sheets lettering", not small, f"{page.name}: {small[:4]}")
    odd = {round(w, 3) for w in np.unique(page.runs[:, 4])} - WIDTHS - {0.0}
    report.expect("sheets lines", not odd, f"{page.name}: line widths {odd}")
    cut = [repr(word.words) for word in page.words if DOTS.search(word.words)] + page.faults
    report.expect("sheets whole words", not cut, f"{page.name}: {cut[:4]}")
    turned = upside_down(page)
    report.expect("sheets reading order", not turned, f"{page.name}: {turned[:4]}")
    share = used(page, frame, title)
    is_tile = any("".join(word.words.split()) == TILE for word in page.words)
    report.expect("sheets filled", share >= LEAST_USED or is_tile, f"{page.name}: {share:.0%} of the page is used")


def clashes(page):
    """Every lettering that something meets."""
    if not page.words:
        return []
    tree = shapely.STRtree(page.quads)
    return [*between_words(page, tree), *with_lines(page, tree), *with_fills(page, tree)]


def between_words(page, tree):
    """Lettering on lettering."""
    first, second = tree.query(page.quads, predicate="intersects")
    pairs = [(i, j) for i, j in zip(first, second) if i < j]
    areas = shapely.area(shapely.intersection(page.quads[[i for i, _ in pairs]], page.quads[[j for _, j in pairs]]))
    return [f"{named(page, i)} on {named(page, j)}" for (i, j), area in zip(pairs, areas) if area > OVERLAP]


def with_lines(page, tree):
    """Lettering on lines: what is seen of them."""
    runs = page.runs
    if not len(runs):
        return []
    lines = shapely.linestrings(runs[:, :4].reshape(-1, 2, 2))
    reach = runs[:, 4] / 2 + TOUCH
    which, words = tree.query(lines, predicate="dwithin", distance=reach)
    found = {}
    for line, word in zip(which, words):
        own = page.groups[int(runs[line, 6])][0]
        if own != WATERMARK and (own, word) not in found and is_seen(page, lines[line], runs[line, 5], page.quads[word], reach[line]):
            found[own, word] = f"{named(page, word)} on a line of {own}"
    return list(found.values())


def is_seen(page, line, order, box, reach):
    """Whether a line still meets a box where later fields leave it uncovered."""
    for fill in page.fills:
        if fill.order > order and touches(fill.bounds, line.bounds):
            line = line.difference(fill.shape)
    return not line.is_empty and line.distance(box) < reach


def upside_down(page):
    """Lines that stand over the line before them, closely and from the same place."""
    pairs = [(a, b) for words in page.by_group.values() for a, b in zip(words, words[1:])]
    return [
        f"{a.words!r} before {b.words!r}"
        for a, b in pairs
        if page.root and a.start[0] == b.start[0] and a.height == b.height and 0 < a.start[1] - b.start[1] < LEADING * a.height
    ]


def touches(a, b):
    """Whether two bounds meet."""
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def with_fills(page, tree):
    """Lettering on dark fields, and lettering that a field covers."""
    found = []
    for fill in page.fills:
        for word in tree.query(shapely.box(*fill.bounds)):
            hides = fill.order > page.words[word].order
            if (fill.is_dark or hides) and fill.shape.intersection(page.quads[word]).area > OVERLAP:
                found.append(f"{named(page, word)} {'under' if hides else 'on'} a field of {fill.group}")
    return found


def named(page, i):
    """A word for messages."""
    word = page.words[i]
    return f"{word.words!r}" + (f" ({word.group})" if page.root else "")


def outside(page, frame, title):
    """What leaves the frame or runs into the title block."""
    boxes = np.array([box for box, _ in page.marks])
    if not len(boxes):
        return []
    kinds = [page.groups[number] for _, number in page.marks]
    west, north, east, south = frame
    out = (boxes[:, 0] < west - 1) | (boxes[:, 1] < north - 1) | (boxes[:, 2] > east + 1) | (boxes[:, 3] > south + 1)
    found = [f"{id} leaves the frame" for (id, kind), is_out in zip(kinds, out) if is_out and kind not in ("frame", "page")]
    # In a PDF, whose lines are not told apart, the lettering must stay inside.
    words = [word.words for word in page.words if not page.root and leaves(word.quad, frame)]
    found += [f"{word!r} leaves the frame" for word in words]
    if title and page.root:
        x0, y0, x1, y1 = title
        within = (boxes[:, 0] < x1 - 1) & (boxes[:, 2] > x0 + 1) & (boxes[:, 1] < y1 - 1) & (boxes[:, 3] > y0 + 1)
        found += [f"{id} runs into the title block" for (id, kind), is_in in zip(kinds, within) if is_in and kind != "frame"]
    return sorted(set(found))


def leaves(quad, frame):
    """Whether a box is not all inside the frame."""
    (x0, y0), (x1, y1) = quad.min(axis=0), quad.max(axis=0)
    return x0 < frame[0] - 1 or y0 < frame[1] - 1 or x1 > frame[2] + 1 or y1 > frame[3] + 1


def used(page, frame, title):
    """Share of the squares inside the frame and outside the title block that the bounds of some mark touch."""
    west, north, east, south = frame
    wide, high = (int((b - a) // SQUARE) for a, b in ((west, east), (north, south)))
    taken = np.zeros((high, wide), dtype=bool)
    for (x0, y0, x1, y1), number in page.marks:
        own = is_frame(page, number, (x0, y0, x1, y1), frame)
        if not own:
            taken[squares(y0 - north, y1 - north), squares(x0 - west, x1 - west)] = True
    free = np.ones_like(taken)
    if title:
        x0, y0, x1, y1 = title
        free[squares(y0 - north, y1 - north), squares(x0 - west, x1 - west)] = False
    return (taken & free).sum() / max(free.sum(), 1)


def is_frame(page, number, box, frame):
    """Whether a mark is of the frame: by its class, and in a PDF, which has none, by its reach to the frame's sides."""
    if page.root:
        return page.groups[number][1] == "frame"
    reaches = abs(np.array(box) - np.array(frame)) < 1.0
    return reaches.sum() >= 3


def squares(low, high):
    """The squares from one place to another."""
    return slice(max(int(low // SQUARE), 0), max(int(high // SQUARE) + 1, 0))
