"""The checks of a cut sheet's files must be able to fail: each group objects to a file tampered with in its own way."""

import json
import re
import subprocess
from dataclasses import dataclass, field

import pymupdf

import cutsheet
import cutsheet_jobs
import cutsheet_wood
import dxf
import jobs
import pdf
from report import Report
from selftest import GROUP, NUMBER, in_group, in_tag, more, text


def document(change):
    """A change of an open PDF."""

    def apply(data):
        with pymupdf.open(stream=data, filetype="pdf") as opened:
            change(opened)
            return opened.tobytes(no_new_id=True)

    return apply


def content(pattern, replacement):
    """A change of what the pages draw, once a page; what is to be changed must be there."""

    def change(opened):
        hits = 0
        for page in opened:
            xref = page.get_contents()[0]
            changed, n = re.subn(pattern, replacement, opened.xref_stream(xref), count=1, flags=re.DOTALL)
            opened.update_stream(xref, changed)
            hits += n
        assert hits, f"nothing to tamper with: {pattern}"

    return document(change)


def mislead(opened):
    """Makes signs stand for others than they show."""
    for xref in range(1, opened.xref_length()):
        stream = opened.xref_stream(xref) if opened.xref_is_stream(xref) else b""
        if b"beginbfchar" in stream:
            opened.update_stream(xref, stream.replace(b"> <0065>", b"> <0063>"))


def last_page_as_first(opened):
    opened.move_page(opened.page_count - 1, 0)


def in_words(pattern, replacement):
    """A change of DXF, whose lines end with CR and LF."""

    def apply(data):
        changed, n = re.subn(pattern.replace(rb"\n", rb"\r\n"), replacement, data, count=1, flags=re.DOTALL)
        assert n, f"nothing to tamper with: {pattern}"
        return changed

    return apply


PDF_CASES = [
    ("pdf pages", document(lambda d: d.delete_page(0))),
    ("pdf pages", document(lambda d: d[0].set_mediabox(pymupdf.Rect(0, 0, 595.28, 841.88)))),
    ("pdf pages", document(lambda d: d[0].set_rotation(90))),
    ("pdf pages", content(rb".*", b"")),
    ("pdf text", document(mislead)),
    ("pdf text", document(last_page_as_first)),
    ("pdf text", document(lambda d: d[0].insert_text((100, 100), "x"))),
    ("pdf text", content(rb"BT.*?ET", b"")),
    ("pdf text", content(rb"(/[PB]) [\d.]+ Tf", rb"\1 8 Tf")),
    ("pdf text", content(rb"1 0 0 1 [\d.]+ ([\d.]+ Tm)", rb"1 0 0 1 300 \1")),
    ("pdf fonts", document(lambda d: d[0].insert_text((100, 100), "x"))),
    ("pdf lines", content(rb"\b0\.708\d* w", b"1 w")),
    ("pdf lines", content(rb"\nS\n", b"\nn\n")),
    ("pdf lines", content(rb"\[[\d. ]+\](?= ?0 d)", b"[1]")),
    ("pdf lines", content(rb"\b1 1 1 rg", b"0.9 1 1 rg")),
    ("pdf lines", content(rb"^", b"1 0 0 1 0.2 0 cm ")),
    ("pdf bounds", content(rb"^", b"1 0 0 1 0 -60 cm ")),
    ("pdf check bars", content(rb"^", b"1.0001 0 0 1 0 0 cm ")),
    ("pdf document", document(lambda d: d.set_metadata({**d.metadata, "title": "another"}))),
    ("pdf document", document(lambda d: d.set_metadata({**d.metadata, "creationDate": "D:20250101000000Z"}))),
    ("pdf document", document(lambda d: d.xref_set_key(d.pdf_catalog(), "Lang", "null"))),
    ("pdf document", document(lambda d: d.set_toc([]))),
]

DXF_CASES = [
    ("dxf read", in_words(rb"AC1009", b"AC1015")),
    ("dxf read", in_words(rb"DASHED\n(?=  0\n)", b"WAVY\r\n")),
    ("dxf unit", in_words(rb"(INSUNITS\n 70\n)4", rb"\g<1>1")),
    ("dxf unit", in_words(rb"(MEASUREMENT\n 70\n)1", rb"\g<1>0")),
    ("dxf layers", in_words(rb"(\n  0\nPOLYLINE\n  8\n)[^\r]*", rb"\g<1>OTHER")),
    ("dxf layers", in_words(rb"(\n  0\nLAYER\n  2\n)(?!0)[^\r]*", rb"\g<1>OTHER")),
    ("dxf layers", in_words(rb"DASHED\n(?=  0\n)", b"WAVY\r\n")),
    ("dxf extents", in_words(rb"(EXTMAX\n 10\n)", rb"\g<1>1")),
    ("dxf extents", in_words(rb"(VERTEX\n.*?\n 10\n)[^\r]*", rb"\g<1>-1000")),
]


def stated(change):
    """A change of what cutsheet.json says."""

    def apply(data):
        jig = json.loads(data)
        change(jig)
        return json.dumps(jig).encode("utf-8")

    return apply


def put(value, *path):
    """A change that adds to a number, or scales it with a text such as `*1.001`."""

    def change(jig):
        *way, last = path
        for step in way:
            jig = jig[step]
        jig[last] = jig[last] * float(value[1:]) if isinstance(value, str) else jig[last] + value

    return stated(change)


@dataclass
class Case:
    """A file tampered with: `file` is its name, or what the sheet meant must contain."""

    group: str
    part: str
    file: str
    change: object = field(repr=False)
    made: str = "demo"


JSON, DXF, TILE = "cutsheet.json", "template.dxf", 'id="tile-window"'
FENCE, SETTING = 'id="dim-fence-plane-iron-25"', 'id="set-plane-iron-25-lower"'

CASES = [
    Case("wood numbers", "numbers", FENCE, in_tag("dim-fence-plane-iron-25", f'data-value="{NUMBER}', more(0.01))),
    Case("wood numbers", "numbers", JSON, put(0.01, "places", 0, "printed")),
    Case("wood numbers", "numbers", SETTING, text('id="set-plane-iron-25-lower"', 'id="set-plane-iron-25-low"')),
    Case("wood words", "numbers", FENCE, in_group("dim-fence-plane-iron-25", rf"\n{NUMBER} ±", more(0.01))),
    Case("wood words", "numbers", FENCE, in_group("dim-fence-plane-iron-25", f"±{NUMBER}", more(0.01))),
    Case("wood words", "numbers", 'id="dim-depth"', in_group("dim-depth", rf"\n{NUMBER}", more(1.0))),
    Case("wood words", "numbers", 'id="dim-depth"', in_group("dim-depth", r"\[", "("), "two-both"),
    Case("wood numbers", "numbers", "-inches_give", text('-inches_give"', '-inches_gave"'), "twelve-in"),
    Case("wood words", "numbers", 'id="detail-pilot"', in_group("detail-pilot", f"Ø {NUMBER}", more(0.1))),
    Case(
        "wood words",
        "numbers",
        "-inches_give",
        in_group('table-[^"]*-inches', r"\n(\d+ )?(\d+)/", r"\n1\g<3>/"),
        "six-in",
    ),
    Case("wood words", "numbers", " is too coarse", text(" is too coarse", " is coarse"), "seven-coarse"),
    Case("wood numbers", "numbers", JSON, put(0.01, "places", 0, "printed"), "seven-coarse"),
    Case("wood numbers", "numbers", "-angle_uncertainty", text('-angle_uncertainty"', '-uncertain"'), "twelve-mm"),
    Case("wood limits", "numbers", JSON, put(0.02, "places", 0, "limit")),
    Case("wood limits", "numbers", JSON, put(-0.02, "places", 0, "limit")),
    Case("wood angles", "numbers", "-inches_give", in_tag('table-[^"]*-inches_give', r"\.(\d)", r".9\1"), "six-in"),
    Case("wood strips", "wood", JSON, put(0.00001, "fences", 0, "y", 0)),
    Case("wood strips", "wood", JSON, put(2.0, "fences", 0, "x", 1)),
    Case("wood strips", "wood", JSON, put(5.0, "fences", 0, "x", 0)),
    Case("wood holes", "wood", JSON, put(-8.0, "fences", 0, "screws", 0, "at", 0)),
    Case("wood holes", "wood", JSON, put(1.0, "fences", 0, "screws", 0, "slot")),
    Case("wood holes", "wood", JSON, put(-20.0, "cleat", "screws", 0, "at", 0)),
    Case("wood holes", "wood", JSON, put("*0.1", "fences", 0, "screws", 0, "slot"), "two-across"),
    Case("wood movement", "wood", JSON, put("*1.00001", "movement", "drifts", 0, "fence", 0)),
    Case("wood movement", "wood", JSON, put("*1.00001", "movement", "season", "dry"), "twelve-mm"),
    Case("wood drift angles", "wood", JSON, put(1e-5, "movement", "drifts", 0, "angle", 1)),
    Case("wood stock", "wood", JSON, put(0.5, "stock", 1, "plan", "boards", 0, "placements", 0, "area", "x", 1)),
    Case("wood stock", "wood", JSON, put(1, "stock", 1, "pieces", 0, "count")),
    Case("wood stock", "wood", JSON, put(0.5, "stock", 1, "plan", "boards", 0, "cuts", 2, "kerf", 0)),
    Case("wood stock", "wood", JSON, put(0.1, "parts", 1, "size", 1)),
    Case("wood stock", "wood", JSON, put(-1.0, "stock", 0, "pieces", 0, "width")),
    Case("wood stock", "wood", "Crosscut from the left", text("Crosscut from the left", "Too short to keep")),
    Case("wood stock", "wood", "cut as a blank", text("cut as a blank", "no room for a blank")),
    Case("wood dxf", "wood", DXF, in_words(rb"(VERTEX\n  8\nFENCES\n 10\n)[^\r]*", rb"\g<1>0.50001")),
    Case("wood dxf", "wood", DXF, in_words(rb"(CIRCLE\n  8\nPILOTS\n.*?\n 40\n)[^\r]*", rb"\g<1>2.5")),
    Case("wood dxf", "wood", DXF, in_words(rb"25%%d", b"26%%d")),
    Case("wood dxf", "wood", DXF, in_words(rb"(LINE\n  8\nMARKS\n.*?\n 21\n)[^\r]*", rb"\g<1>20.0")),
    Case("tiles put together", "tiles", TILE, in_group("template-fence-1", ' y1="', ' y1="1')),
    Case("tiles put together", "tiles", TILE, in_tag("tile-window", 'data-scale-x="1"', 'data-scale-x="1.0002"')),
    Case("tiles put together", "tiles", TILE, text('id="template-fence-2"', 'id="template-fence-9"')),
    Case("tiles windows", "tiles", TILE, in_tag("tile-window", 'data-scale-x="1"', 'data-scale-x="1.0002"')),
    Case("tiles windows", "tiles", TILE, in_tag("tile-window", 'data-x1="1', 'data-x1="')),
    Case("tiles lettering", "tiles", TILE, in_group("template-label-plane-iron-25", r' y="[^"]*"', ' y="60"')),
    Case("wood plan", "plan", JSON, put(0.01, "fences", 3, "x", 0)),
    Case("wood plan", "plan", FENCE, text('id="label-plane-iron-25"', 'id="label"')),
    Case("wood numbers", "numbers", JSON, put(0.01, "board", "depth")),
    Case("wood sheets", "sheets", FENCE, text(r"\nsheet\n(.*?)\n(\d+) of ", r"\nsheet\n\1\n9\2 of ")),
    Case("wood sheets", "sheets", SETTING, text("rules", "habits", count=0)),
]
"""At least one for each group of what a jig is."""


def of_jigs(jigs):
    """All cases, and those of the files' formats, in a report of their own."""
    report, models = Report(), {made.name: made for made in jigs}
    sound = {}
    for case in CASES:
        made = models[case.made]
        key = (case.made, case.part)
        if key not in sound:
            sound[key] = cutsheet.of_job(made, [case.part])
        name = case.file if case.file in made.files else with_words(made, case.file)
        try:
            data = case.change(made.files[name])
        except AssertionError as error:
            report.expect(GROUP, False, f"{case.group}: {error}")
            continue
        found = cutsheet.of_job(made.tampered(name, data), [case.part])
        objects = found.failures[case.group] != sound[key].failures[case.group]
        report.expect(GROUP, objects, f"{case.group} did not object to {case}")
    demo, refused, again, uniform = models["demo"], Report(), Report(), Report()
    check_pdf(demo.files["cutsheet.pdf"], demo.drawn, demo.job["title"], report)
    check_dxf(demo.files["template.dxf"], cutsheet_wood.layers(demo.data), report)
    jobs.judge_refusal("a job", subprocess.CompletedProcess([], 1, "", ""), False, refused, "wood jobs")
    report.expect(GROUP, refused.failures["wood jobs"], "wood jobs did not object")
    cutsheet_jobs.compare("demo", demo.files, {**demo.files, "template.dxf": b""}, again)
    report.expect(GROUP, again.failures["wood again"], "wood again did not object")
    cutsheet_jobs.coverage([], uniform)
    report.expect(GROUP, uniform.failures["wood coverage"], "wood coverage did not object")
    watched = {case.group for case in CASES} | set(cutsheet_jobs.GROUPS) | set(pdf.GROUPS) | set(dxf.GROUPS)
    report.equal(GROUP, set(cutsheet.GROUPS) - watched, set(), "groups that were never made to fail")
    return report


def with_words(made, words):
    """The first sheet that contains some words."""
    return next(name for name, data in sorted(made.sheets()) if words in data.decode("utf-8"))


def check_pdf(data, sheets, title, report):
    """All cases of a sound PDF and its sheets, one of them full size and one with dashes."""
    against(PDF_CASES, pdf.GROUPS, data, lambda d, found: pdf.check(d, d, sheets, title, found), report)
    found = Report()
    pdf.check(data, data + b"\n", sheets, title, found)
    report.expect(GROUP, found.failures["pdf document"], "pdf document did not object to other bytes in a second run")


def check_dxf(data, names, report):
    """All cases of a sound DXF with a polyline and a dashed layer."""
    against(DXF_CASES, dxf.GROUPS, data, lambda d, found: dxf.check(d, names, found), report)


def against(cases, groups, data, judge, report):
    """Each case must make its group object, and each group must have a case."""
    for number, (group, change) in enumerate(cases):
        try:
            changed = change(data)
        except AssertionError as error:
            report.expect(GROUP, False, f"{group}: {error}")
            continue
        found = Report()
        judge(changed, found)
        report.expect(GROUP, found.failures[group], f"{group} did not object to case {number}")
    report.equal(GROUP, set(groups), {group for group, _ in cases}, "groups that were made to fail")
