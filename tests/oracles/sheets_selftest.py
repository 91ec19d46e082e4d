"""The checks of `sheets` must be able to fail: sheets are tampered with, as SVG and as PDF, and each rule objects.

What the rules allow is tampered with too, and must stay allowed.
"""

import copy
import subprocess

import pymupdf
from lxml import etree

import sheets
import sheets_jobs
import sheets_marks
import sheets_page
import sheets_pdf
import sheets_rules
from pdf import POINT
from report import Report
from selftest import GROUP
from sheet import NAMESPACE

LABEL = "dim-length"
"""A dimension with lettering that stands free, on the sheet that is tampered with."""


def of_all(binary, folder):
    """Makes a jig and tampers with it."""
    report = Report("sheets")
    asked = sheets_jobs.make(binary, folder, "jig", 0, Report())
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
    sound = together(asked, lambda asked: None)
    for group, change in JOB_CASES:
        objects(report, group, change, sound, together(asked, change))
    of_many = Report()
    done = subprocess.CompletedProcess([], 1, "", "")
    sheets_jobs.jobs.judge_refusal("a job", done, False, of_many, "sheets jobs")
    sheets.coverage([], of_many)
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


def changed(data, change):
    """An SVG after a change of its tree."""
    root = etree.fromstring(data)
    change(root)
    return etree.tostring(root)


def group_of(root, id):
    """A group of the tree."""
    return next(g for g in root.iter(f"{NAMESPACE}g") if g.get("id") == id)


def box_of(root, id):
    """The box of a group's first lettering."""
    page = sheets_page.of_svg("", etree.tostring(root))
    quad = page.by_group[id][0].quad
    return (*quad.min(axis=0), *quad.max(axis=0))


def add(root, id, tag, first=False, **attributes):
    """Adds an element to a new group, last or first of all."""
    group = etree.Element(f"{NAMESPACE}g", {"id": id, "class": "feature"})
    given = {name.replace("_", "-"): str(value) for name, value in attributes.items()}
    group.append(etree.Element(f"{NAMESPACE}{tag}", given))
    root.insert(1, group) if first else root.append(group)


def path_of(x0, y0, x1, y1):
    """A rectangle as a path."""
    return f"M{x0} {y0}L{x1} {y0}L{x1} {y1}L{x0} {y1}Z"


def line_through(root):
    """A line runs through the letters."""
    x0, y0, x1, y1 = box_of(root, LABEL)
    add(root, "tampered", "line", x1=x0, y1=y0, x2=x1, y2=y1, stroke="#000000", stroke_width=0.25)


def covered_line(root):
    """A line that a white field parts from the letters."""
    x0, y0, x1, y1 = box_of(root, LABEL)
    add(root, "field", "path", first=True, d=path_of(x0 - 1, y0 - 1, x1 + 1, y1 + 1), fill="#ffffff", stroke="none")
    line = {"x1": x0 - 0.5, "y1": y0, "x2": x1 + 0.5, "y2": y1, "stroke": "#000000", "stroke_width": 0.25}
    add(root, "tampered", "line", first=True, **line)


def letters_on_letters(root):
    """The same lettering is drawn twice, half its width apart."""
    twin = copy.deepcopy(group_of(root, LABEL))
    twin.set("id", "twin")
    shift(twin, 1.5, 0.5)
    root.append(twin)


def shift(group, x, y):
    """Moves a group's lettering."""
    for letters in group.iter(f"{NAMESPACE}g"):
        if letters.get("class") == "letters":
            letters.set("transform", f"translate({x} {y}) {letters.get('transform')}")


def white_over_letters(root):
    """A white field hides letters."""
    add(root, "tampered", "path", d=path_of(*box_of(root, LABEL)), fill="#ffffff", stroke="none")


def black_under_letters(root):
    """Letters stand on a dark field."""
    add(root, "tampered", "path", first=True, d=path_of(*box_of(root, LABEL)), fill="#4d463a", stroke="none")


def tint_under_letters(root):
    """Letters stand on a tint."""
    x0, y0, x1, y1 = box_of(root, LABEL)
    path = path_of(x0 - 1, y0 - 1, x1 + 1, y1 + 1)
    add(root, "tampered", "path", first=True, d=path, fill="#e6e1d6", stroke="none")


def tint_half_under_letters(root):
    """The edge of a tint runs through letters."""
    x0, y0, x1, y1 = box_of(root, LABEL)
    path = path_of(x0 - 1, y0 - 1, (x0 + x1) / 2, y1 + 1)
    add(root, "tampered", "path", first=True, d=path, fill="#e6e1d6", stroke="none")


def out_of_frame(root):
    shift(group_of(root, LABEL), 0, -400)


def into_title_block(root):
    """A line runs into the title block."""
    x0, y0, x1, y1 = sheets_page.of_svg("", etree.tostring(root)).bounds("title-block")
    ends = {"x1": x0 - 20, "y1": y0 - 20, "x2": (x0 + x1) / 2, "y2": (y0 + y1) / 2}
    add(root, "tampered", "line", stroke="#000000", stroke_width=0.25, **ends)


def small_letters(root):
    for letters in group_of(root, LABEL).iter(f"{NAMESPACE}g"):
        if letters.get("class") == "letters":
            letters.set("transform", letters.get("transform") + " scale(0.6)")


def odd_width(root):
    next(root.iter(f"{NAMESPACE}line")).set("stroke-width", "0.35")


def other_words(root):
    """The text over letters says something else."""
    next(group_of(root, LABEL).iter(f"{NAMESPACE}text")).text = "7…"


def upside_down(root):
    """The lines of the notes are written from the last to the first."""
    notes = group_of(root, "notes")
    for child in list(notes)[::-1]:
        notes.append(child)
    pairs = list(notes)
    # Letters stay before their text.
    for text, letters in zip(pairs[::2], pairs[1::2]):
        notes.remove(letters)
        text.addprevious(letters)


def emptied(root):
    for group in list(root.iterchildren(f"{NAMESPACE}g")):
        if group.get("class") != "frame" and group.get("id") != LABEL:
            root.remove(group)


def lost_date(root):
    """The title block has no field for the date."""
    next(t for t in group_of(root, "title-block").iter(f"{NAMESPACE}text") if t.text.strip() == "date").text = "data"


def lost_centring_mark(root):
    marks = group_of(root, "centring-marks")
    marks.remove(marks[0])


def blunt_arrow(root):
    """One arrow is longer than the others."""
    add(root, "tampered", "path", d="M100 100L108 101L108 99Z", fill="#000000", stroke="none")


def hyphen(root):
    """A number has a hyphen for its minus."""
    add_text(root, "tampered", ["-5"])


def parted(root):
    """A number is at the end of a line, and its unit on the next."""
    add_text(root, "tampered", ["no more than 5", "mm of it"])


def add_text(root, id, lines):
    """Adds lines of text, with letters that are copies of some sheet's, whatever they say."""
    group = copy.deepcopy(group_of(root, LABEL))
    group.set("id", id)
    group.set("class", "note")
    letters = next(g for g in group if g.get("class") == "letters")
    text = next(group.iter(f"{NAMESPACE}text"))
    for child in list(group):
        group.remove(child)
    for i, words in enumerate(lines):
        own_letters, own = copy.deepcopy(letters), copy.deepcopy(text)
        own.text = words
        own.set("y", str(float(own.get("y")) + 5 * i))
        own.attrib.pop("transform", None)
        group.extend([own_letters, own])
    root.append(group)


SVG_CASES = [
    ("sheets clashes", line_through),
    ("sheets clashes", letters_on_letters),
    ("sheets clashes", white_over_letters),
    ("sheets clashes", black_under_letters),
    ("sheets clashes", tint_half_under_letters),
    ("sheets frame", out_of_frame),
    ("sheets frame", into_title_block),
    ("sheets lettering", small_letters),
    ("sheets lines", odd_width),
    ("sheets whole words", other_words),
    ("sheets reading order", upside_down),
    ("sheets filled", emptied),
    ("sheets title block", lost_date),
    ("sheets centring", lost_centring_mark),
    ("sheets arrows", blunt_arrow),
    ("sheets typography", hyphen),
    ("sheets typography", parted),
]

ALLOWED = [("sheets clashes", covered_line), ("sheets clashes", tint_under_letters)]


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


def reread(document):
    """The first page of a document as it is read from a file."""
    return sheets_pdf.pages(document.tobytes(), "planted")[0]


PDF_CASES = [
    ("sheets clashes", turned),
    ("sheets clashes", side_by_side),
    ("sheets lettering", small_print),
    ("sheets frame", near_the_edge),
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
