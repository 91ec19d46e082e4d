"""What drawings are lettered and marked with on every sheet: title block, centring marks, arrows, signs and units."""

import re

import numpy as np

GROUPS = {
    "sheets title block": "every title block names sheet n of N, paper, scale and date (ISO 7200, from memory)",
    "sheets numbering": "the sheets of a PDF are numbered without gaps, from 1 of N to N of N",
    "sheets centring": "centring marks at the ends of both axes of the sheet, over the frame (ISO 5457, from memory)",
    "sheets arrows": "filled arrows of 15 degrees or more, all of a sheet alike (ISO 129-1, from memory)",
    "sheets typography": "minus signs before numbers, and no line ends between a number and its unit",
}

NEEDED = {"sheet", "paper", "scale", "date"}
"""Captions that every title block has."""

TILE = {"row, column", "sheet", "scale"}
"""Captions of a template's strip: it is cut up and glued, and never filed, so it has no date and no centring marks."""

PAGE = re.compile(r"(?:^|, )(\d+) of (\d+)$")

ARROW_ANGLE = (14.9, 90.0)
"""Opening of arrowheads, degrees, from memory of ISO 129-1: 15 for slender ones."""

MINUS = re.compile(r"(?<![\w\-=.])-(?=\d)")
"""A hyphen that stands for a minus."""

NUMBER = re.compile(r"(?:^|[\s(±−×≥≤])\d+(?:[.,]\d+)?$")
"""A line that ends in a number."""

UNIT = re.compile(r"(?:mm|µm|in|°C|%|g)(?=$|[\s.,;:)])")
"""A line that begins with a unit; `in` is one only where the sheet is in inches."""

BESIDE, UNDER = 1.5, 12.5
"""How far a field's words may stand from where its caption begins, mm."""

CENTRED = 0.01
"""How far a centring mark may be off the middle, mm."""


def check(page, report):
    """All of one sheet that is an SVG, whose groups have names."""
    if "title-block" in page.by_group:
        captions = {word.words for word in page.by_group["title-block"]}
        is_tile = TILE <= captions
        # A form that is drawn to no scale has no field for it.
        unscaled = {"scale"} if page.root["data-scale"] == "none" else set()
        missing = (TILE if is_tile else NEEDED - unscaled) - captions
        report.expect("sheets title block", not missing, f"{page.name}: no field for {sorted(missing)}")
        report.expect("sheets title block", numbered(page), f"{page.name}: is not numbered: {page.said('title-block')}")
        if not is_tile:
            off = centring(page)
            report.expect("sheets centring", not off, f"{page.name}: {off}")
    odd = arrows(page)
    report.expect("sheets arrows", not odd, f"{page.name}: {odd}")
    wrong = typography(page)
    report.expect("sheets typography", not wrong, f"{page.name}: {wrong[:4]}")


def numbered(page):
    """Number of a sheet and of how many: what stands under the caption `sheet`."""
    for caption in (word for word in page.words if word.words == "sheet"):
        left, down = caption.quad[:, 0].min(), caption.at[0]
        for word in page.words:
            match = PAGE.search(word.words)
            if match and abs(word.quad[:, 0].min() - left) < BESIDE and 0 < word.at[0] - down < UNDER:
                return tuple(map(int, match.groups()))
    return None


def numbering(pages, about, report):
    """The sheets of a document, or of a job's several blocks, in their order."""
    numbers = [number for number in map(numbered, pages) if number]
    rest, whole = list(numbers), True
    while rest and whole:
        count = rest[0][1]
        whole = rest[:count] == [(i, count) for i in range(1, count + 1)]
        rest = rest[count:]
    report.expect("sheets numbering", whole, f"{about}: sheets numbered {numbers}")


def centring(page):
    """What is wrong with the centring marks."""
    number = next((i for i, (id, _) in enumerate(page.groups) if id == "centring-marks"), None)
    runs = page.runs[page.runs[:, 6] == number] if number is not None else page.runs[:0]
    middles = runs[:, :4].reshape(-1, 2, 2).mean(axis=1)
    wide, high = page.size
    # A sheet with a filing margin is centred as a sheet, not as a frame.
    level = abs(middles[:, 0] - wide / 2) < CENTRED
    upright = abs(middles[:, 1] - high / 2) < CENTRED
    sides = [level & (middles[:, 1] < high / 2), level & (middles[:, 1] > high / 2)]
    sides += [upright & (middles[:, 0] < wide / 2), upright & (middles[:, 0] > wide / 2)]
    counts = [int(side.sum()) for side in sides]
    return "" if counts == [1, 1, 1, 1] else f"centring marks at top, bottom, left and right: {counts}"


def arrows(page):
    """What is wrong with the arrowheads: black triangles with two sides alike."""
    found = set()
    for fill in page.fills:
        if fill.colour == "#000000" and len(fill.rings) == 1 and len(fill.rings[0]) == 3:
            tip, a, b = map(np.array, fill.rings[0])
            one, other = np.linalg.norm(a - tip), np.linalg.norm(b - tip)
            opening = 2 * np.degrees(np.arcsin(np.linalg.norm(a - b) / 2 / max(one, 1e-9)))
            if abs(one - other) < 1e-2:
                found.add((round(float(one), 1), round(float(opening), 0)))
    sizes = sorted(found)
    if len(sizes) > 1:
        return f"arrows of several kinds: length and opening {sizes}"
    return f"arrows of {sizes[0]}" if sizes and not ARROW_ANGLE[0] <= sizes[0][1] <= ARROW_ANGLE[1] else ""


def typography(page):
    """Signs and units that are not set as they should be."""
    found = [f"a hyphen for a minus: {word.words!r}" for word in page.words if MINUS.search(word.words)]
    # The head of a table has a column's unit under its name.
    heads = {id for id, kind in page.groups if kind == "table"}
    for words in (words for id, words in page.by_group.items() if id not in heads):
        for a, b in zip(words, words[1:]):
            follows = a.start[0] == b.start[0] and a.height == b.height and 0 < b.start[1] - a.start[1] < 2 * a.height
            if follows and NUMBER.search(a.words) and UNIT.match(b.words):
                found.append(f"{a.words!r} is parted from {b.words!r}")
    return found
