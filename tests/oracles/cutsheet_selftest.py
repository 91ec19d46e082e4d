"""The checks of a cut sheet's files must be able to fail: each group objects to a file tampered with in its own way."""

import re

import pymupdf

import dxf
import pdf
from report import Report
from selftest import GROUP


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
    ("pdf text", content(rb"(/f0) [\d.]+ Tf", rb"\1 8 Tf")),
    ("pdf text", content(rb"1 0 0 -1 [\d.]+ ([\d.]+ Tm)", rb"1 0 0 -1 300 \1")),
    ("pdf fonts", document(lambda d: d[0].insert_text((100, 100), "x"))),
    ("pdf lines", content(rb" 0\.708\d* w", b" 1 w")),
    ("pdf lines", content(rb"\nS\n", b"\nn\n")),
    ("pdf lines", content(rb"\[[\d. ]+\](?= ?0 d)", b"[1]")),
    ("pdf lines", content(rb" 1 1 1 rg", b" 0.9 1 1 rg")),
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
