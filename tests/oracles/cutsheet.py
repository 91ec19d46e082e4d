"""All checks of what `cutsheet` makes of a job: the wooden jig's numbers, sheets, template and files."""

import re

from shapely import affinity
from shapely.geometry import Polygon

import checks
import cutsheet_jobs
import cutsheet_numbers
import cutsheet_tiles
import cutsheet_wood
import dimensions
import drawing
import dxf
import formulas
import pdf
import style
from report import Report

GROUPS = {
    **cutsheet_jobs.GROUPS,
    **cutsheet_numbers.GROUPS,
    **cutsheet_wood.GROUPS,
    **cutsheet_tiles.GROUPS,
    "wood plan": "shapely: board, strips and cleat in the plan, over the scale = cutsheet.json (1e-3 mm), all lettered",
    "wood sheets": "sheets are numbered n of m, and each warns of edges and saws and of rules and instructions",
    **pdf.GROUPS,
    **dxf.GROUPS,
}

WARNED = (r"[Ee]dges\b.*\bsaws\b.*\bcut", r"\brules\b|\blaws\b", r"\binstructions\b")
"""What every sheet says, since each may hang alone at the bench."""

def sheets(made, report):
    """Style, numbers and warnings of all sheets."""
    drawn = made.drawn
    for number, sheet in enumerate(drawn, 1):
        # Whatever the paper, tiles are for the printer at home.
        asked = made.paper if made.paper != "A3" or not style.is_tile(sheet) else "A4"
        style.check(sheet, asked, report)
        place = style.field(sheet, "sheet")
        report.expect(
            "wood sheets", re.search(r"(\d+)(?:/| of )(\d+)$", place).groups() == (str(number), str(len(drawn))), f"{sheet.name}: {place!r} of {len(drawn)}"
        )
        said = " ".join(text.words for text in sheet.all("texts"))
        for pattern in WARNED:
            says = re.search(pattern, said)
            report.expect("wood sheets", says, f"{sheet.name} does not say {pattern!r}: {said[-300:]}")


def plan(made, report):
    """The plan, which lies with the near edge at the left: x of the board runs down the sheet."""
    expected, data = report.of("wood plan"), made.data
    found = [sheet for sheet in made.drawn if "plan-board" in sheet.by_id]
    if not expected.equal(len(found), 1, "sheets with a plan"):
        return
    sheet, k = found[0], 1 / found[0].scale
    west, north, *_ = drawing.board_of(sheet)
    wanted = {"plan-board": cutsheet_wood.board(data)}
    wanted |= {f"plan-fence-{i}": cutsheet_wood.rectangle(fence) for i, fence in enumerate(data["fences"], 1)}
    wanted |= {"plan-cleat": cutsheet_wood.rectangle(data["cleat"])} if data["cleat"] else {}
    for id, shape in wanted.items():
        if expected.expect(id in sheet.by_id and sheet.by_id[id].runs, f"no {id}"):
            drawn = affinity.affine_transform(Polygon(sheet.by_id[id].runs[0]), [0, k, k, 0, -north * k, -west * k])
            off = drawn.hausdorff_distance(shape)
            expected.near(off, 0.0, dimensions.written(sheet.scale), f"{id} at {drawn.bounds}, wanted {shape.bounds}")
    strips = {g.id for g in sheet.groups if re.fullmatch(r"plan-fence-\d+", g.id)}
    expected.equal(strips - set(wanted), set(), "strips too many")
    for place in data["places"]:
        expected.expect(f"label-{place['id']}" in sheet.by_id, f"{place['id']} has no label")


def document(made, report):
    """The PDF against the sheets."""
    data = made.files["cutsheet.pdf"]
    again = made.again["cutsheet.pdf"] if made.again else data
    pdf.check(data, again, made.drawn, made.job["title"], report)


PARTS = {
    "formulas": formulas.check,
    "numbers": cutsheet_numbers.check,
    "wood": cutsheet_wood.check,
    "tiles": cutsheet_tiles.check,
    "plan": plan,
    "sheets": sheets,
    "document": document,
}
"""What is looked at, and the function that takes what a job's jig is and a report."""


def of_job(made, parts=tuple(PARTS)):
    """The results for one job."""
    report = Report(made.name)
    for part in parts:
        checks.attempt(PARTS[part], report, made)
    return report
