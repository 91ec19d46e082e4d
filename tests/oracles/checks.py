"""All checks of what one job made, by the part they look at."""

import traceback

import drawing
import formulas
import jobs
import kernel
import labels
import layout
import models
import plan
import schema
import sheet
import stl
import style
from report import Report


def drawings(made, report):
    """Style and content of every drawing of a job."""
    sheets = [sheet.Sheet(name, data) for name, data in made.sheets()]
    asked = (made.job.get("sheet") or {}).get("size")
    # Unless told otherwise, a shop that works in inches prints on Letter; what is too large for the page is on A3.
    usual = {"A3", "Letter" if made.job.get("units") == "in" else "A4"}
    for one in sheets:
        style.check(one, asked, report)
        paper = one.root["data-paper"]
        report.expect("sheet paper", asked or paper in usual, f"{one.name}: on {paper}, which nobody asked for")
    drawing.check(made, sheets, report)


def of_each(check):
    """A check of a block, for every block of a job."""

    def all_blocks(made, report):
        for block in made.each():
            report.about = block.title
            check(block, report)

    return all_blocks


PARTS = {
    "layout": of_each(layout.check),
    "stl": of_each(stl.check),
    "labels": of_each(labels.check),
    "models": of_each(models.check),
    "kernel": of_each(kernel.check),
    "formulas": formulas.check,
    "drawings": drawings,
}
"""What is looked at, and the function that takes the job's files and a report."""

RAN = "checks ran"

SEWN = ("lanes-1",)
"""Lettered jobs whose facets are sewn."""

GROUPS = {
    **jobs.GROUPS,
    **layout.GROUPS,
    **stl.GROUPS,
    **labels.GROUPS,
    **models.GROUPS,
    **kernel.GROUPS,
    **formulas.GROUPS,
    **style.GROUPS,
    **drawing.GROUPS,
    **schema.GROUPS,
    RAN: "every check came to its end",
}
"""All check groups with what they do and the source they rest on."""


def attempt(check, report, *arguments):
    """Runs a check; one that breaks off has failed."""
    try:
        check(*arguments, report)
        report.expect(RAN, True, "")
    except Exception:
        report.expect(RAN, False, traceback.format_exc(limit=-3))


def parts_for(made, index):
    """What is looked at of a job: sewing its facets takes the kernel long, so it gets plain jobs and few others."""
    sewn = plan.is_plain(made) or made.labels == "none" and index % 3 == 0 or made.name in SEWN
    return [part for part in PARTS if part != "kernel" or sewn]


def of_job(made, parts):
    """The results for one job."""
    report = Report(made.name)
    for part in parts:
        attempt(PARTS[part], report, made)
    return report
