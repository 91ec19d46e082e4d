"""Every check group must be able to fail: files are tampered with, and the group that watches over it must object."""

import io
import json
import re
import subprocess
import zipfile
from dataclasses import dataclass, field

import numpy as np

import checks
import jobs
import labels
import plan
import schema
import stl
from report import Report

GROUP = "self-test"

GROUPS = {GROUP: "each group above objects to a file tampered with in its own way"}


@dataclass
class Case:
    """A file tampered with; `made` names the job it is taken from."""

    group: str
    part: str
    file: str
    change: object = field(repr=False)
    made: str = "demo"


def facets(change):
    """A change of the STL's facets."""

    def apply(data):
        changed = change(np.frombuffer(data, stl.FACET, offset=84).copy())
        return data[:80] + len(changed).to_bytes(4, "little") + changed.tobytes()

    return apply


def text(pattern, replacement, count=1):
    """A change of a text file; what is to be changed must be there."""

    def apply(data):
        changed, n = re.subn(pattern, replacement, data.decode("utf-8"), count=count, flags=re.DOTALL)
        assert n, f"nothing to tamper with: {pattern}"
        return changed.encode("utf-8")

    return apply


def nudge(lanes_field, factor):
    """A change of one number of every lane of offsets.json."""

    def apply(data):
        offsets = json.loads(data)
        for lane in offsets["lanes"]:
            lane[lanes_field] *= factor
        return json.dumps(offsets).encode("utf-8")

    return apply


def model(pattern, replacement):
    """A change of the model within a 3MF package."""

    def apply(data):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        parts[MODEL] = text(pattern, replacement)(parts[MODEL])
        written = io.BytesIO()
        with zipfile.ZipFile(written, "w") as archive:
            for name, part in parts.items():
                archive.writestr(name, part)
        return written.getvalue()

    return apply


MODEL = "3D/3dmodel.model"


def in_group(id, pattern, replacement):
    """A change of the first match within the group of an id; `more` changes a number there."""
    if not callable(replacement):
        replacement = rf"\g<1>{replacement}"
    return text(rf'(<g [^>]*id="{id}"[^>]*>.*?){pattern}', replacement)


def in_tag(id, pattern, replacement):
    """A change of an attribute of the group of an id."""
    return text(rf'{pattern}(?=[^>]* id="{id}")', replacement)


def more(by):
    """A replacement: the number in a pattern's last group, greater by so much and written with as many decimals."""

    def replace(match):
        number = match[match.lastindex]
        decimals = len(number.partition(".")[2])
        start, end = (at - match.start() for at in match.span(match.lastindex))
        return f"{match[0][:start]}{float(number) + by:.{decimals}f}{match[0][end:]}"

    return replace


NUMBER = r"(\d+(?:\.\d+)?)"
"""A number, the last group of what `more` changes."""


def move_corner(f):
    f["corners"][7, 1] += 0.5
    return f


def turn_facet(f):
    f["corners"][7] = f["corners"][7][::-1]
    return f


def drop_facet(f):
    return f[:-1]


def drop_walls(f):
    return f[np.ptp(f["corners"][:, :, 2], axis=1) < 5.0]


def scale_by(factor):
    def change(f):
        f["corners"] *= factor
        return f

    return change


def raise_bed(f):
    f["corners"][:, :, 2] += 0.01
    return f


def mark_facet(f):
    f["attribute"][0] = 1
    return f


def stretch(axis, low, high, by):
    """Moves every corner between two levels of an axis."""

    def change(f):
        along = f["corners"][:, :, axis]
        along[(along > low) & (along < high)] += by
        return f

    return change


def shift(before, by):
    """Moves every corner that stands so far before the largest fence of the near edge, mm: its foot, or its groove."""

    def change(f):
        corners = f["corners"].astype(float)
        areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 1] / 2
        faces_near = (areas < 0) & (np.ptp(corners[:, :, 1], axis=1) == 0) & (corners[:, 0, 1] > corners[:, :, 1].min())
        levels, which = np.unique(corners[faces_near, 0, 1], return_inverse=True)
        fence = levels[np.bincount(which, -areas[faces_near]).argmax()]
        along = f["corners"][:, :, 1]
        along[np.abs(along - (fence - before)) < 0.01] += by
        return f

    return change


STL, SVG, OFFSETS = "block.stl", "block.svg", "offsets.json"
REST = "block-sheet-2.svg"
"""What the demo's plan leaves no room for: section, table and notes."""
THREE_MF, STEP = "block.3mf", "block.step"

CORNER_IN_STEP = text(r"CARTESIAN_POINT\('',\(0\.,", "CARTESIAN_POINT('',(0.01,")

A_FENCE, A_FRACTION = 'dim-fence-[^"]*', 'table-[^"]*-inches'
"""The ids of the first fence's dimension and of its fraction of an inch."""

IN_INCHES = (b'data-paper="Letter"', b'-inches_give"', b'id="dim-fence-')
"""What there is on the sheet of the job in inches that is tampered with."""

CASES = [
    Case("plan lanes", "layout", "summary", text(f'"blade_width": {NUMBER}', more(1.0))),
    Case("plan lanes", "layout", "summary", text(f'"centre": {NUMBER}', more(-2.5))),
    Case("plan middle", "layout", "job", text('"format"', '"block": {"middle": 30}, "format"')),
    Case("plan notches", "layout", "summary", text('"seam_notches": \\[', '"seam_notches": [1')),
    Case("plan notches", "layout", "job", text('"format"', '"print": {"seam_notch": false}, "format"')),
    Case("stl grid", "stl", STL, facets(scale_by(1.000001))),
    Case("stl grid", "stl", "job", text('"x": 0.9983', '"x": 0.9982'), "cleat"),
    Case("stl repair", "stl", STL, facets(drop_facet)),
    Case("stl volume", "stl", "summary", text(f'"volume": {NUMBER}', more(0.1))),
    Case("stl layers", "stl", "summary", text(f'"area": {NUMBER}', more(100.0))),
    Case("stl layers", "stl", STL, facets(drop_walls)),
    Case("labels words", "labels", "summary", text('"PLANE-IRON"', '"PLANE-IRONS"')),
    Case("labels words", "labels", "job", text("Alder Lane", "Elder Lane")),
    Case("labels words", "labels", "summary", text(r'"warnings": \[\](?=\}\]\})', f'"warnings": ["{labels.LEFT_OFF}"]')),
    Case("labels place", "labels", "summary", text('"extent": \\[\\[', '"extent": [[1')),
    Case("labels place", "labels", "job", text('"format"', '"print": {"nozzle": 0.6}, "format"')),
    Case("labels drawn", "labels", SVG, in_tag("plan-labels", f'data-area="{NUMBER}', more(10.0))),
    Case("labels drawn", "labels", SVG, in_group("plan-labels", r'd="M(\d+)(\.\d)?', r'd="M\g<2>.95')),
    Case("labels font", "labels", "summary", text('"PLANE-IRON"', '"PLAME-IRON"')),
    Case("labels font", "labels", "summary", text('"PLANE-IRON"', '"PLANEIRON"')),
    Case("labels strokes", "labels", "job", text('"format"', '"print": {"nozzle": 0.6}, "format"')),
    Case("cleat", "models", "cleat.stl", facets(stretch(2, 17.0, 19.0, 0.001)), "cleat"),
    Case("cleat", "models", "job", text('"cleat": true', '"cleat": false'), "cleat"),
    Case("3mf package", "models", THREE_MF, model('unit="millimeter"', 'unit="inch"'), "cleat"),
    Case("3mf mesh", "models", THREE_MF, model(r'<vertex x="(\d+)', r'<vertex x="1\g<1>'), "cleat"),
    Case("3mf mesh", "models", "cleat.stl", facets(turn_facet), "cleat"),
    Case("3mf words", "models", THREE_MF, model('name="block"', 'name="a block"'), "cleat"),
    Case("3mf words", "models", THREE_MF, model("projection [0-9]", "projection "), "cleat"),
    Case("step text", "models", STEP, text("MILLI", "CENTI"), "cleat"),
    Case("step text", "models", STEP, text("2;1", "1;1"), "cleat"),
    Case("step text", "models", STEP, text("DIRECTION", "#3=DIRECTION"), "cleat"),
    Case("step shape", "models", STEP, CORNER_IN_STEP, "cleat"),
    Case("step kernel", "models", "cleat.step", CORNER_IN_STEP, "cleat"),
    Case("stl layout", "stl", STL, facets(mark_facet)),
    Case("stl layout", "stl", STL, facets(turn_facet)),
    Case("stl mesh", "stl", STL, facets(move_corner)),
    Case("stl mesh", "stl", STL, facets(turn_facet)),
    Case("stl mesh", "stl", STL, facets(drop_facet)),
    Case("stl size", "stl", STL, facets(raise_bed)),
    Case("stl volume", "stl", STL, facets(scale_by(1.00001))),
    Case("stl sections", "stl", STL, facets(shift(0.0, 0.05))),
    Case("stl cuts", "stl", STL, facets(shift(plan.FOOT_RELIEF[0], 0.05))),
    Case("stl fences", "stl", STL, facets(shift(0.0, 0.002))),
    Case("kernel sewn", "kernel", STL, facets(drop_facet), "plain"),
    Case("kernel sewn", "kernel", STL, facets(scale_by(1.0001)), "plain"),
    Case("kernel rebuilt", "kernel", STL, facets(scale_by(1.0001)), "plain"),
    Case("formulas settings", "formulas", OFFSETS, nudge("fence_distance", 1 + 1e-10)),
    Case("formulas inverse", "formulas", OFFSETS, nudge("fence_distance", 1 + 1e-9)),
    Case("formulas slope", "formulas", OFFSETS, nudge("mm_per_degree", 1.00001)),
    Case("formulas checks", "formulas", OFFSETS, nudge("roller_below_table", 1 + 1e-9)),
    Case("formulas uncertainty", "formulas", OFFSETS, nudge("projection_uncertainty", 1.001)),
    Case("sheet paper", "drawings", SVG, text('width="210mm"', 'width="210px"')),
    Case("sheet paper", "drawings", SVG, text('viewBox="0 0 210 297"', 'viewBox="0 0 794 1122"')),
    Case("sheet paper", "drawings", SVG, text('data-paper="Letter"', 'data-paper="A4"'), "inches"),
    Case("sheet scale", "drawings", SVG, text(">\n1:1\n<", ">\n1:2\n<")),
    Case("sheet lines", "drawings", SVG, in_group("plan-board", 'stroke-width="0.5"', 'stroke-width="0.35"')),
    Case("sheet lettering", "drawings", REST, in_group("notes-1", 'data-height="3.5"', 'data-height="2"')),
    Case("sheet lettering", "drawings", SVG, in_group("dim-depth", 'font-size="[^"]*"', 'font-size="3"')),
    Case("sheet text widths", "drawings", REST, in_group("notes-1", 'textLength="1', 'textLength="9')),
    Case("sheet check bars", "drawings", SVG, text('id="check-bar-in"', 'id="check-bar"'), "full size"),
    Case(
        "sheet check bars",
        "drawings",
        SVG,
        in_group("check-bar-mm", '<line ([^>]*)x1="', r'<line \g<2>x1="1'),
        "full size",
    ),
    Case("sheet ids", "drawings", SVG, text('id="dim-depth"', 'id="dim-length"')),
    Case("sheet clashes", "drawings", SVG, in_group("dim-depth", '(<text[^>]*) y="[^"]*"', r'\g<2> y="12"')),
    Case("sheet clashes", "drawings", SVG, in_group("dim-length", ' x="[^"]*" y="[^"]*"', ' x="60" y="185"')),
    Case("drawing outlines", "drawings", SVG, in_group("plan-middle", r'd="M(\d+)(\.\d)?', r'd="M\g<2>.95')),
    Case("drawing outlines", "drawings", SVG, in_tag("plan-board", f'data-area="{NUMBER}', more(100.0))),
    Case(
        "drawing dimensions",
        "drawings",
        SVG,
        in_tag("dim-fence-plane-iron-25", f'data-value="{NUMBER}', more(0.01)),
    ),
    Case("drawing values", "drawings", SVG, in_group("dim-fence-plane-iron-25", rf"\n{NUMBER} ±", more(0.01))),
    Case("drawing values", "drawings", REST, in_group("notes-5", f"sits {NUMBER}", more(-1.0))),
    Case("drawing lanes", "drawings", SVG, in_tag("dim-fence-plane-iron-25", 'data-lane="plane', 'data-lane="spare')),
    Case("drawing limits", "drawings", SVG, in_group("dim-fence-plane-iron-25", f"±{NUMBER}", more(0.02))),
    Case("drawing printed limits", "drawings", SVG, in_group("dim-fence-plane-iron-25", f"±{NUMBER}", more(0.02))),
    Case("drawing tables", "drawings", REST, in_group("table-plane-iron-25-fence_distance", rf"\n{NUMBER}", more(0.01))),
    Case("drawing tables", "drawings", REST, in_group("offsets-1", "\nmm\n", "\nin\n")),
    Case("drawing tables", "drawings", SVG, in_group(A_FRACTION, rf"\n(?:\d+ )?{NUMBER}/", more(2.0)), "inches"),
    Case("drawing tables", "drawings", SVG, in_tag('table-[^"]*-inches_give', r"\.(\d)", r".9\1"), "inches"),
    Case("drawing values", "drawings", SVG, in_group(A_FENCE, rf"\n{NUMBER} ±", more(0.001)), "inches"),
    Case("drawing values", "drawings", SVG, in_group("title-block", "\nin\n", "\nmm\n"), "inches"),
    Case("drawing limits", "drawings", SVG, in_group(A_FENCE, f"±{NUMBER}", more(-0.001)), "inches"),
    Case("drawing printed limits", "drawings", SVG, in_group(A_FENCE, f"±{NUMBER}", more(0.002)), "inches"),
    Case("3mf words", "models", THREE_MF, model(r"(fence [\d.]+) in", r"\1 mm"), "inches"),
    Case("drawing views", "drawings", SVG, text('data-projection="third"', 'data-projection="first"')),
    Case("drawing figures", "drawings", REST, in_group("section-roller", f'cy="{NUMBER}', more(5.0))),
    Case(checks.RAN, "stl", STL, lambda data: data[:40]),
]
"""At least one for each group of what jobs make."""


def models(all_made):
    """The jobs that are tampered with, by what they are called in the cases."""
    models = {"demo": all_made[0]}
    for made in all_made:
        if plan.is_plain(made):
            models.setdefault("plain", made)
        if made.name == "lanes-12":
            models["cleat"] = made
        if b'data-scale="1:1"' in made.files.get(SVG, b""):
            models.setdefault("full size", made)
        if all(words in made.files.get(SVG, b"") for words in IN_INCHES):
            models.setdefault("inches", made)
    return models


def check(models, report):
    """All cases, and the groups that look at more than one job."""
    looked_at = {(case.made, case.part) for case in CASES}
    sound = {(name, part): checks.of_job(models[name], [part]) for name, part in looked_at}
    for case in CASES:
        made = models[case.made]
        try:
            data = case.change(made.bytes_of(case.file))
        except AssertionError as error:
            report.expect(GROUP, False, f"{case.group}: {error}")
            continue
        found = checks.of_job(made.tampered(case.file, data), [case.part])
        before = len(sound[case.made, case.part].failures[case.group])
        report.expect(GROUP, len(found.failures[case.group]) > before, f"{case.group} did not object to {case}")
    others = groups_of_many()
    for group, found in others.items():
        report.expect(GROUP, found.failures[group], f"{group} did not object")
    watched = {case.group for case in CASES} | set(others)
    report.equal(GROUP, set(checks.GROUPS) - watched, set(), "groups that were never made to fail")


def groups_of_many():
    """Groups that look at more than the files of one job, each with a report that must have failures."""
    found = {group: Report() for group in (*jobs.GROUPS, *schema.GROUPS)}
    jobs.coverage([], [], found["jobs coverage"])
    jobs.judge_refusal("a job", subprocess.CompletedProcess([], 1, "", ""), False, found["jobs made"])
    anything = {"$schema": schema.DRAFT}
    schema.judge(dict.fromkeys(schema.FILES, anything), [], found["schema rejects"])
    schema.judge(dict.fromkeys(schema.FILES, {**anything, "required": ["a field"]}), [], found["schema accepts"])
    schema.judge(dict.fromkeys(schema.FILES, {**anything, "type": "objects"}), [], found["schema valid"])
    return found
