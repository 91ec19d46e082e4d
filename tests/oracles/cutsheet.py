"""All checks of what `cutsheet` makes of a job: the wooden jig's numbers, sheets, template and files."""

import re

from shapely import affinity
from shapely.geometry import MultiPoint, box

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
    """The plan, near edge at the bottom: on one sheet, or in stretches from left to right, each saying where it begins."""
    expected, data = report.of("wood plan"), made.data
    found = [sheet for sheet in made.drawn if "plan-board" in sheet.by_id]
    if not expected.expect(found, "no sheet has a plan"):
        return
    whole, strips = cutsheet_wood.board(data), []
    for sheet in found:
        within, k = dimensions.written(sheet.scale), 1 / sheet.scale
        west, _, _, south = drawing.board_of(sheet)
        start = float(sheet.by_id["plan-board"].data.get("from", 0.0))

        def on_board(id, sheet=sheet, west=west, south=south, start=start, k=k):
            # What is hidden is dashed, in lines that make way for lettering.
            group = sheet.by_id[id]
            points = [point for run in group.runs for point in run] or [p for s in group.strokes for p in s.line.coords]
            bounds = MultiPoint(points).bounds
            return affinity.affine_transform(box(*bounds), [k, 0, 0, -k, start - west * k, south * k])

        drawn = on_board("plan-board")
        # A stretch has the depth of the board and lies on it.
        wanted = whole if len(found) == 1 else whole.intersection(box(drawn.bounds[0], -1.0, drawn.bounds[2], whole.bounds[3] + 1.0))
        expected.near(drawn.hausdorff_distance(wanted), 0.0, within, f"plan-board at {drawn.bounds}, wanted {wanted.bounds}")
        if data["cleat"]:
            cleat = cutsheet_wood.rectangle(data["cleat"]).intersection(drawn)
            if expected.expect("plan-cleat" in sheet.by_id and sheet.by_id["plan-cleat"].strokes, f"{sheet.name} has no cleat"):
                at = on_board("plan-cleat")
                expected.near(at.hausdorff_distance(cleat), 0.0, within, f"plan-cleat at {at.bounds}, wanted {cleat.bounds}")
        strips += [(on_board(g.id), within) for g in sheet.groups if re.fullmatch(r"plan-fence-\d+", g.id)]
    expected.equal(len(strips), len(data["fences"]), "strips")
    for i, fence in enumerate(data["fences"], 1):
        wanted = cutsheet_wood.rectangle(fence)
        close = any(drawn.hausdorff_distance(wanted) <= within for drawn, within in strips)
        expected.expect(close, f"strip {i} is not drawn at {wanted.bounds}")
    for place in data["places"]:
        count = sum(f"label-{place['id']}" in sheet.by_id for sheet in found)
        expected.equal(count, 1, f"labels of {place['id']}")


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
