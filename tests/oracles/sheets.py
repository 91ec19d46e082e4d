"""Every sheet of random jobs, as SVG and as an outside reader sees its PDF: rules of `sheets_rules` on every page,
and on the pages together that nothing is missing: names of lanes, blades, guides and titles are whole, and both files
say the same.
"""

import re
from collections import Counter

import checks
import sheets_jobs
import sheets_marks
import sheets_page
import sheets_pdf
import sheets_rules
from report import Report

GROUPS = {
    **sheets_jobs.GROUPS,
    **sheets_rules.GROUPS,
    **sheets_marks.GROUPS,
    "sheets names": "titles, guides, blades and each lane's tool and angle are whole on the sheets that name them",
    "sheets both": "a page of the PDF says, letter by letter and in the same order, what its SVG says",
}

DOCUMENTS = {"cards": r"card.*\.svg", "cutsheet": r"cutsheet-.*\.svg", "gauges": r"gauge-.*\.svg"}
"""PDFs, and the SVGs whose sheets they hold; any other holds those of its own name."""

TITLED = {"block", "jig", "kit"}
"""Kinds of jobs whose sheets bear the job's title."""

ROW = 2.5
"""Words nearer than this in height stand in one row, mm."""


def of_job(binary, folder, kind, number):
    """Makes a job and judges it."""
    report = Report()
    asked = sheets_jobs.make(binary, folder, kind, number, report)
    if asked:
        checks.attempt(judge, report, asked)
    return asked and (asked.kind, asked.paper, asked.units, asked.title, asked.guide), report


def gather(wanted, running, report):
    """The results of all jobs, and whether the jobs were as various as they are meant to be."""
    found = []
    for job in running:
        asked, own = job.result()
        report.add(own)
        found += [asked] if asked else []
    coverage(wanted, found, report)


def judge(asked, report):
    """All checks of what was made."""
    report.about = asked.name
    drawings = {name: sheets_page.of_svg(name, data) for name, data in sorted(asked.files.items()) if name.endswith(".svg")}
    for page in drawings.values():
        sheets_rules.check(page, report)
        sheets_marks.check(page, report)
    documents = {n: sheets_pdf.pages(data, n) for n, data in sorted(asked.files.items()) if n.endswith(".pdf")}
    for name, pages in documents.items():
        document(pages, partners(name, drawings), report)
    # The blocks of one job are numbered together, each in a file of its own.
    blocks = [page for name, pages in documents.items() for page in pages if name.startswith("block")]
    others = {name: pages for name, pages in documents.items() if not name.startswith("block")}
    for name, pages in {"blocks": blocks, **others}.items():
        sheets_marks.numbering(pages, name, report)
    names(asked, drawings, report.of("sheets names"))
    if asked.kind == "card":
        cards = [letters(page) for pages in documents.values() for page in pages]
        blades(asked, cards, 2, report.of("sheets names"))
    report.about = ""


def partners(name, drawings):
    """The sheets of a PDF."""
    stem = name.removesuffix(".pdf")
    pattern = DOCUMENTS.get(stem, rf"{re.escape(stem)}(-sheet-\d+)?\.svg")
    return [page for svg, page in drawings.items() if re.fullmatch(pattern, svg)]


def document(pages, sheets, report):
    """A PDF, beside the sheets that it holds; some pages are in the PDF alone."""
    said = {letters(sheet): sheet for sheet in sheets}
    for page in pages:
        sheet = said.pop(letters(page), None)
        own = (sheet.frame(), sheet.bounds("title-block")) if sheet else (page.ruled(), None)
        sheets_rules.check(page, report, *own)
    for words, sheet in said.items():
        report.expect("sheets both", False, f"{sheet.name}: no page says the same: {words[:60]}")
    report.expect("sheets both", len(pages) >= len(sheets), f"{len(pages)} pages of {len(sheets)} sheets")


def letters(page):
    """All that is said on a page, without spaces."""
    return "".join("".join(word.words.split()) for word in page.words)


def names(asked, drawings, expected):
    """Names that must be whole."""
    for page in drawings.values():
        if "title-block" not in page.by_group:
            continue
        block, about = flat(page.said("title-block")), f"{page.name}: the title block lacks"
        if asked.kind in TITLED and not page.name.startswith("side"):
            expected.expect(flat(asked.title) in block, f"{about} {asked.title!r}: {block}")
        if asked.lanes and page.name.startswith("side"):
            told = any(flat(f"{name}{angle:g}°") in block for name, angle in asked.lanes)
            expected.expect(told, f"{page.name}: the title block names no lane: {block}")
        if asked.kind in TITLED | {"show"}:
            expected.expect(flat(asked.guide) in block, f"{about} {asked.guide!r}: {block}")
    for pattern in ("block.*\\.svg", "cutsheet-.*\\.svg"):
        pages = [page for name, page in drawings.items() if re.fullmatch(pattern, name)]
        for lane in asked.lanes if pages else []:
            expected.expect(any(names_lane(page, *lane) for page in pages), f"no {pattern} names lane {lane}")
    if asked.kind == "kit":
        cards = [letters(page) for name, page in drawings.items() if name.startswith("card")]
        blades(asked, cards, 1, expected)


def blades(asked, cards, most, expected):
    """Every blade is named on its own card and on the kit's; a page of a PDF may hold `most` of the two."""
    for blade in asked.blades:
        count = sum(min(card.count(flat(blade)), most) for card in cards)
        expected.expect(count >= 2, f"{blade!r} is whole on {count} cards: its own and the kit's are wanted")


def names_lane(page, name, angle):
    """Whether a row, or a label, tells a lane's name and angle."""
    pattern = re.compile(rf"(?<![\d.]){re.escape(f'{angle:g}')}(?![\d.])")
    for id, words in page.by_group.items():
        said = page.said(id)
        if flat(name) in flat(said) and pattern.search(flat(said).replace(flat(name), " ")):
            return True
        # A table may have the angle in a column of its own.
        if flat(name) == flat(said) and any(pattern.fullmatch(other.words) for other in beside(page, words)):
            return True
    return False


def beside(page, words):
    """The words of a row."""
    return [other for other in page.words if any(abs(other.at[0] - word.at[0]) < ROW for word in words)]


def flat(words):
    """Words without their spaces, which a new line may stand for."""
    return "".join(words.split())


def coverage(wanted, found, report):
    """What was among the jobs."""
    kinds = [Counter(kind for kind, *_ in jobs) for jobs in (found, wanted)]
    report.equal("sheets coverage", *kinds, "jobs made of each kind")
    for place, values in enumerate((["A3", "A4", "A5", "Letter", "half-letter", "index"], ["mm", "in", "both"]), 1):
        report.equal("sheets coverage", set(values) - {job[place] for job in found}, set(), "never asked for")
