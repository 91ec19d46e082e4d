"""The checks of `sheets` must be able to fail: sheets are tampered with, as SVG and as PDF, and each rule objects.

What the rules allow is tampered with too, and must stay allowed.
"""

import copy
import subprocess

import pymupdf

import sheets
import sheets_jobs
import sheets_marks
import sheets_page
import sheets_pdf
import sheets_rules
from pdf import POINT
from report import Report
from selftest import GROUP
from sheets_plants import ALLOWED, SVG_CASES, changed

TRIED = 8
"""Jigs that are tried for one that is made."""


def of_all(binary, folder):
    """Makes a jig and tampers with it."""
    report = Report("sheets")
    tried = (sheets_jobs.make(binary, folder, "jig", number, Report()) for number in range(TRIED))
    asked = next(filter(None, tried), None)
    if not report.expect(GROUP, asked, "no jig was made to tamper with"):
        return report
    name, data = next((n, d) for n, d in sorted(asked.files.items()) if n.endswith(".svg") and b'id="plan-board"' in d)
    sound = rules(sheets_page.of_svg(name, data))
    for group, change in SVG_CASES:
        found = rules(sheets_page.of_svg(name, changed(data, change)))
        objects(report, group, change, sound, found)
    for group, change in ALLOWED:
        found = rules(sheets_page.of_svg(name, changed(data, change)))
        same = len(found.failures[group]) == len(sound.failures[group])
        report.expect(GROUP, same, f"{group} objects to what is allowed: {change.__name__}: {found.failures[group][-1:]}")
    for group, change in PDF_CASES:
        for is_harmed in (False, True):
            found = rules(change(is_harmed))
            about = f"{group} of a PDF: {change.__name__}, harmed: {is_harmed}: {found.failures[group]}"
            report.expect(GROUP, bool(found.failures[group]) == is_harmed, about)
    for blade, is_named in (("try plane", True), ("try planes", False)):
        of_cards = Report()
        kit = sheets_jobs.Asked("kit", "card", [], blades=[blade])
        sheets.blades(kit, ["tryplane", "kit:jack,tryplane"], 1, of_cards.of("sheets names"))
        report.expect(GROUP, bool(of_cards.passed["sheets names"]) == is_named, f"blade {blade}: {is_named}")
    sound = together(asked, lambda asked: None)
    for group, change in JOB_CASES:
        objects(report, group, change, sound, together(asked, change))
    of_many = Report()
    done = subprocess.CompletedProcess([], 1, "", "")
    sheets_jobs.jobs.judge_refusal("a job", done, False, of_many, "sheets jobs")
    sheets.coverage(sheets_jobs.wanted(True), [], of_many)
    for group in sheets_jobs.GROUPS:
        report.expect(GROUP, of_many.failures[group], f"{group} did not object")
    cases = {group for group, _ in (*SVG_CASES, *JOB_CASES)} | set(sheets_jobs.GROUPS)
    report.equal(GROUP, set(sheets.GROUPS) - cases, set(), "groups of sheets that were never made to fail")
    return report


def objects(report, group, change, sound, found):
    """A group must find more than it found of the sound sheets."""
    more = len(found.failures[group]) > len(sound.failures[group]) or found.failures[group] != sound.failures[group]
    report.expect(GROUP, more, f"{group} did not object to {change.__name__}")


def rules(page):
    """What the rules find on a page."""
    found = Report()
    sheets_rules.check(page, found)
    if page.root:
        sheets_marks.check(page, found)
    return found


def together(asked, change):
    """What is found of all files of a job that is tampered with."""
    own = copy.copy(asked)
    own.files, own.lanes = dict(asked.files), list(asked.lanes)
    change(own)
    found = Report()
    sheets.judge(own, found)
    return found


def turned(is_harmed):
    """A page of a PDF with turned lettering, and a line through it or through a corner of its level box."""
    with pymupdf.open() as document:
        page = document.new_page()
        start = pymupdf.Point(200, 300)
        page.insert_text(start, "turned lettering", fontsize=20, morph=(start, pymupdf.Matrix(30)))
        across = (260, 200, 300, 300) if is_harmed else (215, 240, 235, 225)
        page.draw_line(across[:2], across[2:], width=0.25 / POINT)
        return reread(document)


def side_by_side(is_harmed):
    """Lettering beside lettering, on one line, or over each other."""
    with pymupdf.open() as document:
        page = document.new_page()
        page.insert_text((200, 300), "one text", fontsize=20)
        page.insert_text((230 if is_harmed else 320, 303), "another", fontsize=20)
        return reread(document)


def small_print(is_harmed):
    """Lettering under 2.5 mm."""
    with pymupdf.open() as document:
        page = document.new_page()
        page.insert_text((200, 300), "one text", fontsize=8 if is_harmed else 20)
        return reread(document)


def near_the_edge(is_harmed):
    """Lettering that runs off the page."""
    with pymupdf.open() as document:
        page = document.new_page()
        page.insert_text((560 if is_harmed else 300, 300), "one text", fontsize=20)
        return reread(document)


def nearly_empty(is_harmed):
    """A page with little on it, which only a template's tile may be."""
    with pymupdf.open() as document:
        page = document.new_page()
        page.insert_text((200, 300), "notes" if is_harmed else "row, column", fontsize=20)
        return reread(document)


def reread(document):
    """The first page of a document as it is read from a file."""
    return sheets_pdf.pages(document.tobytes(), "planted")[0]


PDF_CASES = [
    ("sheets clashes", turned),
    ("sheets clashes", side_by_side),
    ("sheets lettering", small_print),
    ("sheets frame", near_the_edge),
    ("sheets filled", nearly_empty),
]
"""Pages made by another hand, sound and harmed."""


def another_name(asked):
    """A lane's name that the sheets have only in part."""
    name, angle = asked.lanes[0]
    asked.lanes[0] = (name + "n", angle)


def another_angle(asked):
    name, angle = asked.lanes[-1]
    asked.lanes[-1] = (name, angle + 0.25)


def another_guide(asked):
    asked.guide += "s"


def lost_page(asked):
    """A page of the PDF is lost."""
    with pymupdf.open(stream=asked.files["cutsheet.pdf"], filetype="pdf") as document:
        document.delete_page(1)
        asked.files["cutsheet.pdf"] = document.tobytes()


def added_words(asked):
    """A page of the PDF says more than its SVG."""
    with pymupdf.open(stream=asked.files["cutsheet.pdf"], filetype="pdf") as document:
        document[1].insert_text((100, 100), "more")
        asked.files["cutsheet.pdf"] = document.tobytes()


JOB_CASES = [
    ("sheets names", another_name),
    ("sheets names", another_angle),
    ("sheets names", another_guide),
    ("sheets both", lost_page),
    ("sheets numbering", lost_page),
    ("sheets both", added_words),
]
"""What is told of a job, and its PDF, tampered with."""
