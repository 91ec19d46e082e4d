"""Every number of offsets.json, worked out anew from guide profile and job by turning the guide numerically."""

import math

import guide
import quantities

GROUPS = {
    "formulas settings": "projection and fence distance by numeric turning and contact, to 1e-9 mm",
    "formulas inverse": "the stated fence distance sets the stated angle, to 1e-9 degrees of it",
    "formulas slope": "mm per degree by central difference, to 1e-6 of it",
    "formulas checks": "table support, face bearing and roller below the table from the design's words",
    "formulas uncertainty": "U, k = 2, by numeric derivatives where there are any (JCGM 100:2008, 4.3.7, 5.1.2, 5.2)",
}

LENGTH_WITHIN = 1e-9
"""How far a computed length may be off, mm."""

STEP_DEGREES = 1e-3
"""Step of the differences over the angle, degrees."""

STEP = 1e-4
"""Step of the differences over a measured quantity, mm or radians."""

KINK = 1e-3
"""Relative difference of two one-sided slopes from which on there is no derivative."""


def check(made, report):
    """All lanes of one job."""
    offsets, bearing = made.offsets, guide.bearing(made)
    lanes = guide.lanes(made)
    report.equal("formulas settings", sorted(offsets), sorted(lanes), "ids of the lanes")
    for id, (situation, setting, angle) in lanes.items():
        lane = offsets[id]
        report.near("formulas settings", lane["angle"], angle, 1e-12, f"{id}: angle")
        projection = situation.projection(angle)
        report.near("formulas settings", lane["projection"], projection, LENGTH_WITHIN, f"{id}: projection")
        fence = situation.fence(projection, bearing)
        report.near("formulas settings", lane["fence_distance"], fence, LENGTH_WITHIN, f"{id}: fence distance")
        if situation.underside == 0.0 and situation.square_error == 0.0:
            report.near(
                "formulas settings", fence, lane["projection"], LENGTH_WITHIN, f"{id}: fence of an upright face"
            )
        back = situation.bevel_of_fence(lane["fence_distance"], bearing)
        report.near("formulas inverse", back, angle, 1e-9, f"{id}: angle of the fence")
        ends = [situation.fence(situation.projection(angle + d), bearing) for d in (STEP_DEGREES, -STEP_DEGREES)]
        slope = (ends[0] - ends[1]) / (2 * STEP_DEGREES)
        report.near("formulas slope", lane["mm_per_degree"], slope, 1e-6 * abs(slope), f"{id}: mm per degree")
        rules(made, id, lane, situation, setting, report)
        uncertainty(made, id, lane, situation, projection, slope, report)


def rules(made, id, lane, situation, setting, report):
    """Support, bearing and the roller below the table."""
    tool = made.tools[setting["tool"]]
    primary = setting.get("primary") or min([lane["angle"], tool["primary"], *(a["angle"] for a in tool["angles"])])
    if situation.taper == 0.0:
        support = lane["fence_distance"] - situation.thickness / math.tan(math.radians(primary))
        report.near("formulas checks", lane["table_support"], support, LENGTH_WITHIN, f"{id}: table support")
    upright = situation.underside == 0.0 and situation.square_error == 0.0
    if upright and situation.has_bottom:
        face = min(situation.edge - situation.thickness - situation.bottom, guide.bearing(made))
        if situation.locates == "underside":
            face = min(situation.seat - situation.bottom, guide.bearing(made))
        report.near("formulas checks", lane["face_bearing"], face, LENGTH_WITHIN, f"{id}: face bearing")
    _, axle = situation.on_block(0.0, 0.0, lane["projection"])
    below = situation.radius - axle
    report.near("formulas checks", lane["roller_below_table"], below, LENGTH_WITHIN, f"{id}: roller below the table")


def uncertainty(made, id, lane, situation, projection, slope, report):
    """Expanded uncertainties of projection and angle."""
    bearing = guide.bearing(made)
    per_projection = (situation.bevel(projection + STEP) - situation.bevel(projection - STEP)) / (2 * STEP)

    def changes(name, by):
        """Changes of projection and fence distance, at one angle, when a quantity changes."""
        moved = situation.moved(name, by)
        p = projection - (moved.bevel(projection) - situation.bevel(projection)) / per_projection
        return p - projection, moved.fence(p, bearing) - lane["fence_distance"]

    variance, fence_variance, smooth, stated = 0.0, 0.0, True, False
    for name, within in situation.withins.items():
        if within is None:
            continue
        stated = True
        up, down = changes(name, STEP), changes(name, -STEP)
        u = within / math.sqrt(3)
        variance += ((up[0] - down[0]) / (2 * STEP) * u) ** 2
        fence_variance += ((up[1] - down[1]) / (2 * STEP) * u) ** 2
        # Where the contact changes over from arris to lower end, the fence distance has no derivative.
        smooth &= abs(up[1] + down[1]) <= KINK * max(abs(up[1]), abs(down[1]), 1e-9)
    if not report.equal("formulas uncertainty", lane["projection_uncertainty"] is not None, stated, f"{id}: U stated"):
        return
    if stated:
        ours = 2 * math.sqrt(variance)
        report.near("formulas uncertainty", lane["projection_uncertainty"], ours, 1e-5 * ours, f"{id}: U of projection")
    if smooth:
        block = made.job.get("block") or {}
        made_within, _ = quantities.length(block.get("fence_within", "0.1 mm"), made.job.get("units", "mm"))
        ours = 2 * math.sqrt(fence_variance + (made_within / math.sqrt(3)) ** 2) / abs(slope)
        report.near("formulas uncertainty", lane["angle_uncertainty"], ours, 1e-5 * ours, f"{id}: U of angle")
