"""Every dimension of a drawing against what is drawn of it and what it says, and the limits of fence distances."""

import math
import re
from dataclasses import dataclass

import guide
import quantities

GROUPS = {
    "drawing dimensions": "arrows and measured points, along the arrows and over the scale = the value (1e-3 mm)",
    "drawing values": "stated values = offsets.json and `make --json`; texts = them to 0.01 mm or 0.001 in",
    "drawing limits": "upper and lower are symmetric; turned numerically, the angles there keep the job's tolerance",
    "drawing printed limits": "the same for the numbers as they are printed, rounded to 0.01 mm or 0.001 in",
}


@dataclass(frozen=True)
class Unit:
    """How a job's drawings write lengths: all values that they state beside the text stay in mm."""

    name: str
    mm: float
    decimals: int

    @property
    def step(self):
        """The last place that is written, mm."""
        return self.mm / 10**self.decimals

    def text(self, value):
        """A length, mm, as it is to be written."""
        return f"{value / self.mm:.{self.decimals}f}"

    def read(self, text):
        """The length, mm, that a text states."""
        return float(text) * self.mm

    @property
    def linear(self):
        """What a linear dimension may say: N and M were measured over the roller; sizes have no useless zeros."""
        number = rf"-?\d+(?:\.\d{{1,{self.decimals}}})?"
        return re.compile(rf"(?:[NM] |Ø |≥ )?(?P<value>{number})(?: ±(?P<within>{number}))?")

    def short(self, value):
        """A length, mm, as it is to be written where it is a size: without useless zeros."""
        text = self.text(value)
        return text.rstrip("0").rstrip(".") if "." in text else text


MM, INCHES = Unit("mm", 1.0, 2), Unit("in", float(quantities.INCH), 3)


def unit_of(made):
    """The unit of a job's drawings."""
    return unit_in(made.job)


def unit_in(data):
    """The unit that a job or a profile states."""
    return {"mm": MM, "in": INCHES}[data.get("units", "mm")]


ANGULAR = re.compile(r"(?P<value>\d+(?:\.\d{1,3})?)°")

AUXILIARY = {"projection", "roller-below-table"}
"""Kinds of sizes that follow from others or belong to the guide: auxiliary dimensions, in round brackets."""


def inner(kind, words, expected, about):
    """What a dimension says; of an auxiliary one without its round brackets, which no other has."""
    bracketed = words.startswith("(") and words.endswith(")")
    expected.equal(bracketed, kind in AUXILIARY, f"{about} is in round brackets")
    return words[1:-1] if bracketed else words


LEVEL = 1e-4
"""A direction with no more than this across is level or upright."""

ANGLE_WITHIN = 1e-7
"""Rounding allowed when angles are compared, degrees."""

LETTERED = {"fence-letter": "f", "height-p": "P", "height-q": "Q"}
"""Dimensions that a letter stands for, which heads a column of the table (ISO 129-1, tabular dimensioning)."""

TOLERANCE = 0.5
"""What a job that does not say otherwise allows, ± degrees (the program's own default)."""


def written(scale):
    """How far lengths taken from drawn coordinates may be off, mm: two ends, four decimals of paper."""
    return max(1e-3, 1.5e-4 / scale)


def check(sheet, report, unit=MM):
    """All dimensions of a sheet."""
    values, drawn = report.of("drawing values"), report.of("drawing dimensions")
    for group in sheet.of_kind("dimension"):
        kind, value, about = group.data["kind"], group.number("value"), f"{sheet.name}: {group.id}"
        if kind in LETTERED:
            values.equal(group.words(), LETTERED[kind], f"{about}: letter")
            linear(group, value, sheet.scale, about, drawn)
            continue
        words = group.words()
        of_block = "section-cut" in sheet.by_id or "plan-board" in sheet.by_id
        is_angle = kind == "bevel-angle"
        said = (ANGULAR if is_angle else unit.linear).fullmatch(inner(kind, words, values, about))
        if not values.expect(said, f"{about} says {group.words()!r}"):
            continue
        if is_angle:
            values.equal(float(said["value"]), float(f"{value:.3f}"), f"{about}: text")
        else:
            is_size = said["within"] is None and of_block
            values.equal(said["value"], unit.short(value) if is_size else unit.text(value), f"{about}: text")
        if is_angle:
            ((_, _, turn),) = group.arcs
            drawn.near(math.degrees(abs(turn)), value, 0.01, f"{about}: the arc")
        elif kind == "roller-diameter":
            ((centre, radius),) = sheet.by_id["guide-roller"].circles
            drawn.near(2 * radius / sheet.scale, value, written(sheet.scale), f"{about}: circle")
            drawn.near(math.dist(group.arrows[0].tip, centre), radius, 2 * LEVEL, f"{about}: arrow from the axle")
        else:
            linear(group, value, sheet.scale, about, drawn)


def linear(group, value, scale, about, drawn):
    """A dimension with two arrows."""
    first, second = group.arrows
    parallel = abs(first.toward[0] * second.toward[0] + first.toward[1] * second.toward[1])
    drawn.near(parallel, 1.0, 1e-6, f"{about}: arrows in line")
    start, end = group.point("from"), group.point("to")
    along, blur = first.toward, 0.0
    if min(map(abs, along)) < LEVEL:
        along = tuple(map(round, along))
    else:
        # An arrow 3 mm long with four decimals tells its direction to some 5e-5.
        blur = LEVEL * math.dist(start, end) / scale
    stated = abs((end[0] - start[0]) * along[0] + (end[1] - start[1]) * along[1]) / scale
    drawn.near(stated, value, 1e-3 + blur, f"{about}: measured points")
    drawn.near(math.dist(first.tip, second.tip) / scale, value, written(scale), f"{about}: arrows")


def fence_limits(made, group, situation, angle, report):
    """The limits of a fence dimension."""
    expected, unit = report.of("drawing limits"), unit_of(made)
    said = unit.linear.fullmatch(group.words())
    if not expected.expect(said and said["within"], f"{group.id} says {group.words()!r}"):
        return
    value, within = group.number("value"), unit.read(said["within"])
    if "lower" in group.data:
        lower, upper = group.number("lower"), group.number("upper")
        expected.near(upper - value, value - lower, 1e-9, f"{group.id}: symmetric")
        expected.near(upper - value, within, 1e-9, f"{group.id}: limits as printed")
    keeps_angle(made, situation, angle, value, unit.read(said["value"]), within, group.id, report)


def keeps_angle(made, situation, angle, value, printed, within, about, report):
    """Whether a fence distance, and the printed one, keeps the angle within the job's tolerance, and only just."""
    unit, bearing, tolerance = unit_of(made), guide.bearing(made), made.job.get("tolerance") or TOLERANCE

    def angles(middle, half):
        return [situation.bevel_of_fence(middle + d, bearing) for d in (-half, half)]

    def held(ends):
        return max(abs(end - angle) for end in ends) <= tolerance + ANGLE_WITHIN

    ends = angles(value, within)
    report.expect("drawing limits", held(ends), f"{about}: {value} ±{within} gives {ends} degrees")
    wider = all(held(angles(middle, within + unit.step)) for middle in (value, printed))
    report.expect("drawing limits", not wider, f"{about}: ±{within} could be wider by {unit.step} mm")
    steep, flat = ends = angles(printed, within)
    report.expect(
        "drawing printed limits",
        held(ends),
        f"{about}: {printed} ±{within} as printed gives {flat:.5f} to {steep:.5f} degrees, not {angle} ±{tolerance}",
    )
