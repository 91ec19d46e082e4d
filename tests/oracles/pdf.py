"""A PDF of drawings, held against the SVG of the same sheets by pymupdf (content) and shapely (shapes)."""

import math
import re
from dataclasses import dataclass

import pymupdf
import shapely
from shapely.geometry import LineString, MultiLineString

import sheet as drawn
import style

GROUPS = {
    "pdf pages": "pymupdf: a page a sheet, none empty, each the SVG's size x 72/25.4 pt (ISO 32000-1) to 0.001 pt",
    "pdf text": "all lettering of the SVG and no more can be extracted, at its place (0.3 mm), height, turn and width",
    "pdf fonts": "every font is embedded, in part, and is the one that the SVG names first",
    "pdf lines": "widths 0.25 and 0.5 mm; in drawing order as many strokes, fills and texts as the SVG, at its places",
    "pdf bounds": "nothing is outside the media box",
    "pdf check bars": "the bar of 100 mm is 100 x 72/25.4 = 283.4646 pt to 0.01 pt on full-size pages",
    "pdf document": "title and language are stated, no date, a bookmark a page; the same bytes in two runs",
}

POINT = 25.4 / 72
"""Mm in a point of PDF (ISO 32000-1; the inch by definition)."""

PAGE_WITHIN = 0.001
"""How far a page's size may be off, points."""

TEXT_WITHIN = 0.3
"""How far lettering may be from its place, mm."""

LINE_WITHIN = 0.05
"""How far a drawn line may be from its place, mm."""

HEIGHT_WITHIN = 0.01
"""How far heights of letters may be off, mm."""

BAR_WITHIN = 0.01
"""How far the check bar may be off, points."""

WIDTHS = {0.25, 0.5}
"""Line widths, mm (ISO 128-2, the 0.5 group)."""

CURVE_PARTS = 16
"""Straight runs that stand for a Bézier curve."""

AS_IT_IS = pymupdf.TEXT_PRESERVE_WHITESPACE | pymupdf.TEXT_PRESERVE_LIGATURES
"""Text as written, also outside the page."""


@dataclass
class Letter:
    """An extracted sign: where its baseline starts and which way it runs, mm."""

    sign: str
    at: tuple
    way: tuple
    height: float
    bold: bool
    box: tuple


@dataclass
class Drawn:
    """A drawn path, in mm."""

    line: shapely.Geometry
    curved: bool
    width: float
    dashes: list
    colour: str
    order: int


def check(data, again, sheets, title, report):
    """All checks of a PDF, of the same made again and of its sheets as SVG (class Sheet), with the title it must have."""
    with pymupdf.open(stream=data, filetype="pdf") as pdf:
        document(pdf, data, again, title, report.of("pdf document"))
        report.equal("pdf pages", pdf.page_count, len(sheets), "pages")
        for page, sheet in zip(pdf, sheets):
            size(page, sheet, report.of("pdf pages"))
            fonts(pdf, page, report.of("pdf fonts"))
            found = letters(page)
            text(found, sheet, report.of("pdf text"))
            strokes, fills = paths(page)
            lines(page, strokes, fills, sheet, report.of("pdf lines"))
            bounds(page, found, strokes + fills, sheet, report.of("pdf bounds"))
            check_bar(strokes, sheet, report.of("pdf check bars"))


def document(pdf, data, again, title, expected):
    """What the document says of itself."""
    expected.equal(pdf.metadata["title"], title, "title")
    expected.equal(pdf.xref_get_key(pdf.pdf_catalog(), "Lang"), ("string", "en"), "language")
    dates = [pdf.metadata["creationDate"], pdf.metadata["modDate"]]
    expected.equal(dates, ["", ""], "dates")
    expected.equal([page for _, _, page in pdf.get_toc()], list(range(1, pdf.page_count + 1)), "pages of bookmarks")
    expected.expect(data == again, "two runs gave different bytes")


def size(page, sheet, expected):
    """The page's size, and that there is something on it."""
    wanted = [float(sheet.root[side].removesuffix("mm")) / POINT for side in ("width", "height")]
    for found, points, side in zip(page.mediabox[2:], wanted, ("width", "height")):
        expected.near(found, points, PAGE_WITHIN, f"{sheet.name}: {side} in points")
    expected.equal(tuple(page.mediabox[:2]), (0.0, 0.0), f"{sheet.name}: corner of the media box")
    expected.equal(page.rotation, 0, f"{sheet.name}: rotation")
    expected.expect(page.get_drawings() and page.get_text().strip(), f"{sheet.name}: the page is empty")


def fonts(pdf, page, expected):
    """Every font of a page."""
    found = page.get_fonts(full=True)
    expected.expect(found, "a page without a font")
    for xref, kind, _, name, *_ in found:
        part, _, font = name.partition("+")
        expected.expect(len(part) == 6 and part.isupper(), f"{name} is not a part of a font")
        expected.expect(font in ("DejaVuSansCondensed", "DejaVuSansCondensed-Bold"), f"font {name}")
        expected.expect(kind == "ttf" and len(pdf.extract_font(xref)[3]) > 0, f"{name} is not embedded")


def letters(page):
    """All signs of a page but added ones, in reading order of the file."""
    found = []
    for block in page.get_text("rawdict", flags=AS_IT_IS)["blocks"]:
        for line in block["lines"]:
            for span in line["spans"]:
                height = span["size"] * drawn.CAPITAL * POINT
                bold = span["font"].endswith("Bold")
                for char in span["chars"]:
                    at, box = (tuple(v * POINT for v in char[k]) for k in ("origin", "bbox"))
                    found.append(Letter(char["c"], at, line["dir"], height, bold, box))
    return found


def text(found, sheet, expected):
    """Every text of the SVG at its place on the page, and no sign besides."""
    wanted = [t for t in sheet.all("texts") if t.words]
    for words in wanted:
        about = f"{sheet.name}: {words.group}: {words.words!r}"
        turn = math.radians(words.turn)
        way = (math.cos(turn), math.sin(turn))
        own = on_baseline(found, words, way)
        while own and own[-1][1].sign.isspace():
            # The reader puts a space between two texts that stand side by side.
            own.pop()
        line = "".join(letter.sign for _, letter in own)
        if not expected.equal(line, words.words, f"{about}: extracted"):
            continue
        for letter in (own[0][1], own[-1][1]):
            expected.near(letter.height, words.height, HEIGHT_WITHIN, f"{about}: height")
            expected.equal(letter.bold, words.bold, f"{about}: bold")
        last = style.width_of(words.words[:-1], words.bold) / style.width_of(words.words, words.bold) * words.length
        expected.near(own[0][0], 0.0, TEXT_WITHIN, f"{about}: start")
        expected.near(own[-1][0], last, TEXT_WITHIN, f"{about}: start of the last sign")
    signs = sum(not letter.sign.isspace() for letter in found)
    expected.equal(signs, sum(len("".join(w.words.split())) for w in wanted), f"{sheet.name}: signs on the page")


def on_baseline(found, words, way):
    """The signs on a text's baseline and within its width, with their ways from its start, in order."""
    own = []
    for letter in found:
        off = (letter.at[0] - words.start[0], letter.at[1] - words.start[1])
        along = off[0] * way[0] + off[1] * way[1]
        across = off[1] * way[0] - off[0] * way[1]
        same_way = math.dist(letter.way, way) < 1e-3
        if same_way and abs(across) <= TEXT_WITHIN and -TEXT_WITHIN <= along < words.length + TEXT_WITHIN:
            own.append((along, letter))
    return sorted(own, key=lambda pair: pair[0])


def paths(page):
    """Strokes and fills of a page, each in drawing order."""
    strokes, fills = [], []
    for path in page.get_drawings():
        runs, curved = runs_of(path["items"], path.get("closePath"))
        order = path["seqno"]
        if "f" in path["type"]:
            fills.append(Drawn(drawn.even_odd(runs), curved, 0.0, [], colour(path["fill"]), order))
        if "s" in path["type"]:
            dashes = [float(v) * POINT for v in re.findall(r"[\d.]+", path["dashes"].partition("]")[0])]
            line = MultiLineString(runs)
            strokes.append(Drawn(line, curved, path["width"] * POINT, dashes, colour(path["color"]), order))
    return strokes, fills


def colour(parts):
    """A colour as SVG writes it."""
    return "#" + "".join(f"{round(255 * part):02x}" for part in parts)


def runs_of(items, closed):
    """A path's straight runs in mm, and whether it has curves; curves become straight runs."""
    runs, curved = [], False
    for kind, *values in items:
        if kind == "re":
            r = values[0]
            points = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)]
        elif kind == "qu":
            q = values[0]
            points = [tuple(p) for p in (q.ul, q.ur, q.lr, q.ll, q.ul)]
        elif kind == "c":
            curved = True
            points = bezier(values)
        else:
            points = [tuple(p) for p in values]
        points = [(x * POINT, y * POINT) for x, y in points]
        if kind in "lc" and runs and math.dist(runs[-1][-1], points[0]) < 1e-6:
            runs[-1].extend(points[1:])
        else:
            runs.append(points)
    if closed:
        runs[-1].append(runs[-1][0])
    return runs, curved


def bezier(corners):
    """Points of a cubic curve."""
    found = []
    for t in (k / CURVE_PARTS for k in range(CURVE_PARTS + 1)):
        shares = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
        found.append(tuple(sum(s * p[axis] for s, p in zip(shares, corners)) for axis in (0, 1)))
    return found


def lines(page, strokes, fills, sheet, expected):
    """Every stroke and fill against that of the SVG."""
    wanted = [s for s in sheet.all("strokes") if s.line.length > 0]
    areas = sheet.all("areas")
    expected.equal(len(strokes), len(wanted), f"{sheet.name}: strokes")
    expected.equal(len(fills), len(areas), f"{sheet.name}: fills")
    expected.equal({round(s.width, 4) for s in strokes} - WIDTHS, set(), f"{sheet.name}: other line widths")
    for found, stroke in zip(strokes, wanted):
        about = f"{sheet.name}: {stroke.group}: a stroke"
        expected.near(found.width, stroke.width, 1e-4, f"{about}: width")
        expected.equal([round(d, 4) for d in found.dashes], stroke.dashes, f"{about}: dashes")
        expected.equal(found.colour, "#000000", f"{about}: colour")
        near(found, stroke.line, expected, about)
    for found, area in zip(fills, areas):
        about = f"{sheet.name}: {area.group}: a fill"
        expected.equal(found.colour, area.colour, f"{about}: colour")
        near(found, area.shape, expected, about)
    marks = [(s.order, "s") for s in wanted] + [(a.order, "f") for a in areas]
    marks += [(t.order, "t") for t in sheet.all("texts")]
    drawn_marks = [(s.order, "s") for s in strokes] + [(f.order, "f") for f in fills]
    drawn_marks += [(t["seqno"], "t") for t in page.get_texttrace()]
    orders = ["".join(kind for _, kind in sorted(some)) for some in (drawn_marks, marks)]
    expected.equal(*(re.sub("t+", "t", order) for order in orders), f"{sheet.name}: order of drawing")


def near(found, wanted, expected, about):
    """Two shapes at the same place: their bounds, and, of straight ones, every point."""
    off = max(abs(a - b) for a, b in zip(found.line.bounds, wanted.bounds))
    expected.near(off, 0.0, LINE_WITHIN, f"{about} at {wanted.bounds}: found at {found.line.bounds}")
    if not found.curved:
        expected.near(found.line.hausdorff_distance(wanted), 0.0, LINE_WITHIN, f"{about} at {wanted.bounds}: shape")


def bounds(page, found, drawings, sheet, expected):
    """Whether everything is on the page; letters by their font's whole height, so only where they would be cut."""
    width, height = (v * POINT for v in page.mediabox[2:])
    media = shapely.box(0.0, 0.0, width, height)
    inked = [d.line.buffer(d.width / 2) for d in drawings] + [LineString([f.at, f.at]) for f in found]
    outside = sum(not media.covers(shape) for shape in inked)
    outside += sum(not 0.0 <= v <= limit for f in found for v, limit in zip(f.box, (width, height) * 2))
    expected.equal(outside, 0, f"{sheet.name}: things outside the media box")


def check_bar(strokes, sheet, expected):
    """The bar of 100 mm, where the sheet bears one: the stroke in the same place of the order."""
    for bar in sheet.of_kind("check-bar"):
        longest = max(bar.strokes, key=lambda s: s.line.length)
        place = [s.order for s in sheet.all("strokes") if s.line.length > 0].index(longest.order)
        # A template's bars are made up for a printer that is off.
        wanted = bar.number("value") * float(bar.data.get("factor", 1.0)) / POINT
        found = strokes[place].line.length / POINT if place < len(strokes) else math.nan
        expected.near(found, wanted, BAR_WITHIN, f"{sheet.name}: {bar.id} in points")
    full = sheet.root["data-scale"] == "1:1"
    expected.equal("check-bar-mm" in sheet.by_id, full, f"{sheet.name}: a check bar at {sheet.root['data-scale']}")
