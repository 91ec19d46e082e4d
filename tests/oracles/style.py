"""Paper, scale, lines and lettering of a drawing, and that nothing on it collides."""

from functools import cache
from pathlib import Path

import matplotlib
import shapely
from fontTools.ttLib import TTFont

import sheet as drawn

GROUPS = {
    "sheet paper": "size and viewBox in mm: A4, A3 (ISO 216), Letter 8.5 x 11 in; frame 20 and 10 mm (ISO 5457)",
    "sheet scale": "a scale of ISO 5455 (list from memory), the same in attributes and title block",
    "sheet lines": "line widths 0.5 and 0.25 mm only (ISO 128-2, 2:1)",
    "sheet lettering": "heights of ISO 3098-1 (from memory), values 3.5 or more, read from bottom or right (ISO 129-1)",
    "sheet text widths": "textLength = widths of matplotlib's DejaVu Sans x 0.9 (condensed, from memory) within 2 %",
    "sheet check bars": "bars of 100 mm and 4 in (101.6 mm) on full-size sheets and on no others, on tiles both ways",
    "sheet ids": "every group has an id, and no id is there twice",
    "sheet clashes": "shapely: no text meets a text, line, circle or arrow, nothing hides a text, all is in the frame",
}

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}

ISO_5455 = {"50:1", "20:1", "10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100"}

ISO_128_WIDTHS = {0.5, 0.25}

ISO_3098_HEIGHTS = {2.5, 3.5, 5.0, 7.0, 10.0}

VALUE_HEIGHT = 3.5
"""Least lettering of values, mm (the design's rule)."""

TITLE_WIDTH = 180.0
"""Width of the title block, mm (the most that ISO 7200 allows)."""

FIELD = 14.0
"""How far the words of a field stand below its name at most, mm."""

TILE_TITLE = {False: 17.0, True: 13.0}
"""Height of the title strip of a template's sheet, which is as wide as its frame, by whether the sheet is level, mm (the
design's rule)."""

CONDENSED = 0.9
"""Width of condensed lettering by that of the plain one (DejaVu Sans, from memory)."""

NO_SCALE = "–"
"""What a sheet says on which nothing is drawn to its scale."""

TOUCH = 1e-3
"""Coordinates have four decimals: nearer than this things touch, mm."""


def check(sheet, wanted_size, report):
    """All checks of one sheet; `wanted_size` is the paper that was asked for, if any."""
    paper(sheet, wanted_size, report)
    scale(sheet, report)
    lettering(sheet, report)
    check_bars(sheet, report)
    clashes(sheet, report)
    odd = set(sheet.widths) - ISO_128_WIDTHS
    report.expect("sheet lines", not odd, f"line widths {odd}")
    report.equal("sheet ids", [g.kind for g in sheet.groups if not g.id], [], "groups without an id")
    report.equal("sheet ids", sorted({i for i in sheet.ids if sheet.ids.count(i) > 1}), [], "ids used twice")


def is_tile(sheet):
    """Whether it is a sheet of the template."""
    return any(text.words == "row, column" for text in sheet.by_id["title-block"].texts)


def paper(sheet, wanted_size, report):
    """Size, viewBox, frame."""
    name, root = sheet.root["data-paper"], sheet.root
    if wanted_size:
        # What would be lost on A3 is on the paper of the shop, and so are notes.
        allowed = ("A3", "A4", "Letter") if wanted_size == "A3" else (wanted_size,)
        report.expect("sheet paper", name in allowed, f"paper: {name}, expected {' or '.join(allowed)}")
    extents = [PAPERS[name], PAPERS[name][::-1]]
    stated = [root[k].removesuffix("mm") for k in ("width", "height")]
    report.expect("sheet paper", all(root[k].endswith("mm") for k in ("width", "height")), "a size that is not in mm")
    extent = tuple(map(float, stated))
    report.expect("sheet paper", extent in extents, f"{name} of {extent} mm")
    report.equal("sheet paper", root["viewBox"], f"0 0 {stated[0]} {stated[1]}", "viewBox")
    # A template's sheet is never filed, and has no margin for it.
    frame = (10.0 if is_tile(sheet) else 20.0, 10.0, extent[0] - 10.0, extent[1] - 10.0)
    off = max(abs(a - b) for a, b in zip(sheet.frame().bounds, frame))
    report.near("sheet paper", off, 0.0, TOUCH, f"frame {sheet.frame().bounds}")
    report.expect("sheet paper", name in field(sheet, "sheet" if is_tile(sheet) else "paper"), "the title block names another paper")


def scale(sheet, report):
    """The scale, wherever it is stated."""
    stated = sheet.root["data-scale"]
    known = stated in ISO_5455 or stated == NO_SCALE and "plan-board" not in sheet.by_id
    report.expect("sheet scale", known, f"{sheet.name}: scale {stated}")
    report.equal("sheet scale", sheet.by_id["title-block"].data["scale"], stated, "scale of the title block's data")
    report.equal("sheet scale", field(sheet, "scale"), stated, "scale as the title block writes it")


def field(sheet, name):
    """What the title block says in a field: the lettering below the field's name."""
    texts = sheet.by_id["title-block"].texts
    title = next(t for t in texts if t.words == name)
    below = [t for t in texts if t.at[0] == title.at[0] and 0 < t.at[1] - title.at[1] < FIELD]
    return below[0].words if below else ""


def lettering(sheet, report):
    """Heights, turns, fonts."""
    values = {g.id for kind in ("dimension", "table-value") for g in sheet.of_kind(kind)}
    for text in sheet.all("texts"):
        about = f"{sheet.name}: {text.group}: {text.words!r}"
        report.expect("sheet lettering", text.height in ISO_3098_HEIGHTS, f"{about}: height {text.height}")
        if text.group in values:
            report.expect("sheet lettering", text.height >= VALUE_HEIGHT, f"{about}: a value {text.height} high")
        report.near("sheet lettering", text.font_size * drawn.CAPITAL, text.height, 1e-3, f"{about}: capitals")
        report.expect("sheet lettering", -90 <= text.turn < 90, f"{about}: turned by {text.turn}")
        width = width_of(text.words, text.bold) * text.font_size
        report.near("sheet text widths", text.length, width, 0.02 * width, f"{about}: textLength")


@cache
def face_of(bold):
    """The font that matplotlib brings."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return TTFont(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name)


@cache
def font(bold):
    """Glyph names and advances of the font."""
    face = face_of(bold)
    return face.getBestCmap(), face["hmtx"].metrics, face["head"].unitsPerEm


def outlines(bold):
    """Outlines of the font's glyphs by their names."""
    return face_of(bold)["glyf"]


def width_of(words, bold):
    """Width of condensed lettering, in font sizes."""
    glyphs, advances, per_em = font(bold)
    return CONDENSED * sum(advances[glyphs[ord(c)]][0] for c in words) / per_em


def check_bars(sheet, report):
    """The bars by which a print's size is checked; a template's are made up for the printer, and stand both ways."""
    bars = {g.id: g for g in sheet.of_kind("check-bar")}
    full = {"check-bar-mm": 100.0, "check-bar-in": 4 * 25.4} if sheet.root["data-scale"] == "1:1" else {}
    ways = ("", "-upright") if is_tile(sheet) else ("",)
    wanted = {id + way: length for id, length in full.items() for way in ways}
    report.equal("sheet check bars", sorted(bars), sorted(wanted), f"{sheet.name}: bars at {sheet.root['data-scale']}")
    for id in bars.keys() & wanted.keys():
        longest = max((s.line for s in bars[id].strokes), key=lambda line: line.length)
        factor = float(bars[id].data.get("factor", 1.0))
        report.near("sheet check bars", longest.length, wanted[id] * factor, 1.5e-4, f"{id}: length")
        report.near("sheet check bars", bars[id].number("value"), wanted[id], 1e-9, f"{id}: stated length")
        axis = 1 if id.endswith("-upright") else 0
        ends = [s.line.bounds for s in bars[id].strokes if s.line is not longest]
        marked = min(e[axis] for e in ends), max(e[axis + 2] for e in ends)
        run = longest.bounds[axis], longest.bounds[axis + 2]
        report.equal("sheet check bars", marked, run, f"{id}: first and last mark")


def clashes(sheet, report):
    """Everything against everything that must keep clear of it."""
    texts, strokes, areas = (sheet.all(what) for what in ("texts", "strokes", "areas"))
    boxes = shapely.STRtree([t.shape for t in texts])
    found = []

    def meets(shape, others, what):
        for i in boxes.query(shape, predicate="intersects"):
            if others(texts[i]) and texts[i].shape.intersection(shape).area > 0:
                found.append(f"{texts[i].words!r} ({texts[i].group}) meets {what}")

    for text in texts:
        meets(text.shape, lambda other, text=text: other.order > text.order, f"{text.words!r} ({text.group})")
    for stroke in strokes:
        inked = stroke.line.buffer(stroke.width / 2 - TOUCH / 10, cap_style="flat")
        meets(inked, lambda _: True, f"a line of {stroke.group}")
    for area in areas:
        if area.colour == "#000000":
            meets(area.shape, lambda _: True, f"an arrow of {area.group}")
        else:
            meets(area.shape, lambda text, area=area: text.order < area.order, f"what hides it, of {area.group}")

    frame = sheet.frame().buffer(TOUCH)
    west, _, east, south = sheet.frame().bounds
    # As high as its rules are drawn: a form's has two rows, others three.
    drawn = max(s.line.bounds[3] for s in sheet.by_id["title-block"].strokes) - min(
        s.line.bounds[1] for s in sheet.by_id["title-block"].strokes
    )
    _, _, across, down = map(float, sheet.root["viewBox"].split())
    wide, high = (east - west, TILE_TITLE[across > down]) if is_tile(sheet) else (TITLE_WIDTH, drawn)
    title = shapely.box(east - wide + TOUCH, south - high + TOUCH, east, south)
    outlines = {g.id for g in sheet.of_kind("frame")}
    for shape, group in [(t.shape, t.group) for t in texts] + [(s.line, s.group) for s in strokes]:
        # Centring marks stand at the frame's outside.
        if group != "centring-marks" and not frame.contains(shape):
            found.append(f"{group} leaves the frame")
        if group not in outlines and title.intersects(shape):
            found.append(f"{group} runs into the title block")
    for clash in found:
        report.expect("sheet clashes", False, f"{sheet.name}: {clash}")
    if not found:
        report.expect("sheet clashes", True, sheet.name)
