"""What the sheets of a wooden jig ask of a fence: its distance as a shop reads it, worked out anew.

A shop that reads millimetres is asked for hundredths. One that reads inches is asked for the coarsest fraction, from
the job's own on to 1/64 in, that leaves limits about it at least as wide as the jig's fences are made to; then for
thousandths; where none leaves so much, for what leaves most (the program's own rule). Limits hold about the true
distance and about the one asked for.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

import dimensions
import guide
import quantities

INCH = float(quantities.INCH)

FRACTIONS = (16, 32, 64)
"""Fractions of an inch that rules are divided to."""

THOUSANDTH = INCH / 1000
"""The step of limits in inches, mm."""

WITHIN = 1e-9
"""What arithmetic may lose, mm."""


def nearest(mm, finest):
    """The nearest fraction of an inch, in lowest terms; half a step goes up, also where a double falls short of it."""
    return Fraction(math.floor(mm / INCH * finest + 0.5 + 1e-9), finest)


def in_words(fraction):
    """A fraction as a rule is read."""
    whole, rest = divmod(fraction, 1)
    return " ".join(([str(whole)] if whole or not rest else []) + ([str(rest)] if rest else []))


@dataclass(frozen=True)
class Inches:
    """A distance in inches: to one over `step`, in mm, and in words."""

    step: int
    mm: float
    words: str


def to(reach, step):
    """A distance to the nearest of one over `step` inches."""
    if step in FRACTIONS:
        fraction = nearest(reach, step)
        return Inches(step, float(fraction * quantities.INCH), in_words(fraction))
    count = math.floor(reach / INCH * step + 0.5)
    return Inches(step, count * INCH / step, f"{count / step:.3f}")


def inches(made, situation, angle, reach):
    """What is asked of a fence in inches."""
    tolerance, bearing = made.job.get("tolerance") or dimensions.TOLERANCE, guide.bearing(made)
    ends = [situation.fence(situation.projection(angle + off), bearing) for off in (tolerance, -tolerance)]
    fence_within, _ = quantities.length(made.job["block"]["fence_within"], made.job.get("units", "mm"))

    def room(one):
        """The limits about a distance."""
        side = min(min(middle - ends[0], ends[1] - middle) for middle in (reach, one.mm))
        return math.floor(side / THOUSANDTH) * THOUSANDTH

    steps = [step for step in FRACTIONS if step >= made.shown[2]] + [1000]
    ways = [to(reach, step) for step in steps]
    # Of those that leave as much, the first is the coarsest.
    enough = (one for one in ways if room(one) >= fence_within - WITHIN)
    return next(enough, None) or max(ways, key=room)


def distance(made, situation, angle, reach):
    """The distance that a fence is asked to have, mm."""
    return float(f"{reach:.2f}") if made.shown[0] else inches(made, situation, angle, reach).mm
