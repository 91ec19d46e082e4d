"""Reads lengths, angles and tapers as profiles and jobs write them, on its own."""

import math
import re
from fractions import Fraction

INCH = Fraction(254, 10)
"""Millimetres in an inch, exact (international yard and pound agreement, 1959)."""

NUMBER = re.compile(r"(?P<sign>-?)\s*(?:(?P<whole>\d+)[ -])?(?P<top>\d+(?:\.\d*)?|\.\d+)(?:/(?P<bottom>\d+))?")


def fraction(text):
    """The number that a text such as `18`, `0.75`, `45/64` or `1 3/8` states."""
    found = NUMBER.fullmatch(text.strip())
    if not found:
        raise ValueError(f"no number: {text!r}")
    size = Fraction(found["whole"] or 0) + Fraction(found["top"]) / Fraction(found["bottom"] or 1)
    return -size if found["sign"] else size


def plain(amount, units):
    """Millimetres of a bare number (in `units`) or of a text with its unit."""
    if isinstance(amount, str):
        number, unit = re.fullmatch(r"(.*?)\s*(mm|in)", amount.strip()).groups()
        return float(fraction(number) * (INCH if unit == "in" else 1))
    return amount * (float(INCH) if units == "in" else 1.0)


def length(form, units):
    """Millimetres of a length and its tolerance (`None` where none is stated)."""
    if isinstance(form, dict):
        return plain(form["value"], units), plain(form["within"], units)
    if isinstance(form, str) and "+-" in form:
        value, within = form.split("+-")
        return plain(value, units), plain(within, units)
    return plain(form, units), None


def angle(form):
    """Degrees of an angle and its tolerance."""
    if isinstance(form, dict):
        return form["value"], form["within"]
    return form, None


def taper(form, units):
    """Degrees of a taper, positive when thicker at the edge, and its tolerance."""
    if isinstance(form, dict) and "heel" in form:
        (heel, dh), (upper, du), (apart, _) = (length(form[k], units) for k in ("heel", "upper", "apart"))
        within = None if dh is None and du is None else math.degrees(math.atan(((dh or 0) + (du or 0)) / apart))
        return math.degrees(math.atan((heel - upper) / apart)), within
    return angle(form)
