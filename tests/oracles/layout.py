"""The plan of the block, held against the design's rules for lanes, fences and raised middle."""

from shapely.geometry import LineString

import guide
import plan
import quantities

GROUPS = {
    "plan lanes": "lanes hold blade and clearance and do not overlap, the whole face bears (the design's rules)",
    "plan notches": "a notch for the seam halfway across each end, if asked for and if the raised middle has the room",
    "plan middle": "shapely: the raised middle is nowhere thin, fences stand 2 mm over all blades (the design's rules)",
}

CLEARANCE, MIDDLE = 2.0, 12.0
"""What a job that does not say otherwise gets, mm (the program's own defaults)."""

FENCE_OVER_BLADE = 2.0
"""How much a fence stands above the thickest blade at least, mm (the design's rule)."""

WITHIN = 1e-9
"""Rounding allowed, mm."""


def check(made, report):
    """All rules for one job."""
    length, depth, *_ = plan.size(made)
    clearance = option(made, "clearance", CLEARANCE)
    face = quantities.length(made.guide["face"]["width"], made.guide.get("units", "mm"))[0]
    settings = guide.lanes(made)
    placed = plan.lanes(made)
    elsewhere = [place["id"] for part in made.summary["blocks"] for place in part["places"]]
    report.equal("plan lanes", sorted(elsewhere), sorted(settings), "lanes on all blocks")
    for lane in placed:
        _, setting, _ = settings[lane.id]
        if "width" in setting:
            width = quantities.length(setting["width"], made.job.get("units", "mm"))[0]
            report.near("plan lanes", lane.blade_width, width, WITHIN, f"{lane.id}: blade width")
        if "edge" in setting:
            report.equal("plan lanes", lane.edge, setting["edge"], f"{lane.id}: edge")
        half = lane.blade_width / 2 + clearance
        holds = lane.x[0] - WITHIN <= lane.centre - half and lane.centre + half <= lane.x[1] + WITHIN
        report.expect("plan lanes", holds, f"{lane.id}: {lane.x} around {lane.centre} ±{half}")
        bears = face / 2 - WITHIN <= lane.centre <= length - face / 2 + 2e-3
        report.expect("plan lanes", bears, f"{lane.id}: the face, {face} wide, at {lane.centre} of {length}")
    for edge in ("near", "far"):
        own = sorted(lane.x for lane in placed if lane.edge == edge)
        apart = all(a[1] <= b[0] + WITHIN for a, b in zip(own, own[1:]))
        report.expect("plan lanes", apart, f"lanes of the {edge} edge overlap: {own}")

    sides = [LineString([(0, 0), (length, 0)]), LineString([(0, depth), (length, depth)])]
    near, far = (plan.tables(made, edge) for edge in ("near", "far"))
    thinnest = (sides[0] if near.is_empty else near).distance(sides[1] if far.is_empty else far)
    wanted = option(made, "middle", MIDDLE)
    report.expect("plan middle", thinnest >= wanted - 2e-3, f"{thinnest} mm thin, {wanted} mm wanted")
    report.expect("plan middle", thinnest >= made.block["middle"] - 2e-3, f"{thinnest} mm thin, otherwise stated")
    stated = made.block["seam_notches"]
    report.equal("plan notches", stated is not None, plan.has_notches(made), "notches for the seam")
    for y, (low, high) in zip(stated or [], plan.ends(made)):
        report.near("plan notches", y, (low + high) / 2, 1e-3, "middle of a notch")
        report.expect("plan notches", low + plan.NOTCH <= y <= high - plan.NOTCH, f"a notch at {y} opens into a fence")
    report.equal("plan middle", plan.middle(made).geom_type, "Polygon", "raised middle in one piece")
    thickest = max(s.values["thickness"] + (s.withins["thickness"] or 0.0) for s, _, _ in settings.values())
    over = made.block["fence_height"] - thickest
    report.expect("plan middle", over >= FENCE_OVER_BLADE - WITHIN, f"fences {over} mm over the thickest blade")


def option(made, name, default):
    """A length of the job's block, mm."""
    form = (made.job.get("block") or {}).get(name, default)
    return quantities.length(form, made.job.get("units", "mm") if form is not default else "mm")[0]
