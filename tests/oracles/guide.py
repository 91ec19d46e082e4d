"""A guide and a blade from the side, turned by numbers alone: no closed form of the angle relation is used here.

Guide frame: origin on the axle, `s` along the seat toward the edge, `n` square to it, away from the stone. What the
lengths mean is fixed in the project's design: seat height, axle to face, level of the face's lower end, what a seat
locates.
"""

import math

from shapely.geometry import LineString, box

import plan
import quantities

LENGTHS = ("diameter", "seat", "gauge", "axle_to_face", "bottom", "thickness", "land")
"""What is measured with one caliper, whose own error all of them share."""

FAR = 500.0
"""Longer than anything on a guide, mm."""


def bisect(rises_at, low, high):
    """Where `rises_at`, false at `low` and true at `high`, turns true: to the last digit of a double."""
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return middle
        low, high = (low, middle) if rises_at(middle) else (middle, high)


class Situation:
    """One blade in one seat of one guide; `values` and `withins` hold what was measured (mm, radians).

    `follows` names what is no quantity of its own, and which other it is: it moves with that one.
    """

    def __init__(self, values, withins, kinds, has_bottom, locates, follows):
        self.values, self.withins, self.kinds = values, withins, kinds
        self.has_bottom, self.locates, self.follows = has_bottom, locates, follows
        self._work_out()

    def _work_out(self):
        v = {k: x + (self.values["instrument"] if k in LENGTHS else 0.0) for k, x in self.values.items()}
        v |= {name: v[other] for name, other in self.follows.items()}
        r = v["diameter"] / 2
        over = {k: v[k] - (r if self.kinds[k] == "over roller" else 0.0) for k in ("seat", "axle_to_face", "bottom")}
        # A parallel clamped in the seat: its upper side was measured, the seat lies on, in the middle of, or below it.
        gauge = {"back": 0.0, "sides": v["gauge"] / 2, "underside": v["gauge"]}[self.locates]
        if "gauge" not in self.kinds:
            gauge = 0.0
        self.radius, self.axle = r, r + v["level"]
        self.seat, self.axle_to_face, self.bottom = over["seat"] - gauge, over["axle_to_face"], over["bottom"]
        self.thickness, self.taper, self.square_error = v["thickness"], v["taper"], v["square_error"]
        # The edge is on the back.
        self.edge = self.seat + {"underside": v["thickness"], "back": 0.0, "sides": v["land"] / 2 * math.cos(v["land_taper"] / 2)}[self.locates]
        # Directions of back and underside against the seat; the blade is thicker at the edge by its taper. A groove
        # lies along the middle of the lands.
        self.back = {"underside": self.taper, "back": 0.0, "sides": v["land_taper"] / 2}[self.locates]
        self.underside = self.back - self.taper

    def moved(self, name, by):
        """The same with one quantity changed."""
        values = {**self.values, name: self.values[name] + by}
        return Situation(values, self.withins, self.kinds, self.has_bottom, self.locates, self.follows)

    def bevel(self, projection):
        """Degrees of the bevel honed at a projection: the guide is turned until the edge is on the stone."""

        def is_down(turn):
            return self.axle - (self.axle_to_face + projection) * math.sin(turn) + self.edge * math.cos(turn) <= 0.0

        return math.degrees(bisect(is_down, 0.0, math.pi / 2) - self.back)

    def projection(self, angle):
        """The projection that hones `angle` degrees."""
        return bisect(lambda p: self.bevel(p) <= angle, 0.0, FAR)

    def on_block(self, s, n, projection):
        """A point of the guide with the blade's underside flat on the table: from the edge, and above the table."""
        cos, sin = math.cos(-self.underside), math.sin(-self.underside)
        ds, dn = s - self.axle_to_face - projection, n - self.edge
        return ds * cos - dn * sin, ds * sin + dn * cos + self.thickness

    def face(self, n):
        """Where the face is along the seat; its square error is measured from the seat's level down."""
        return self.axle_to_face + (self.seat - n) * math.tan(self.square_error)

    def fence(self, projection, bearing):
        """Distance from reference edge to fence: the face touches an edge `bearing` mm high below the table."""
        low = self.bottom if self.has_bottom else -FAR
        line = LineString([self.on_block(self.face(n), n, projection) for n in (low, FAR)])
        touching = line.intersection(box(-FAR * 2, -bearing, FAR * 2, 0.0))
        return -touching.bounds[2]

    def bevel_of_fence(self, fence, bearing):
        """Degrees of the bevel that a fence sets."""
        if self.underside == 0.0 and self.square_error == 0.0:
            return self.bevel(fence)
        return self.bevel(bisect(lambda p: self.fence(p, bearing) >= fence, 0.0, FAR))


def situation(made, setting, seat_name):
    """The situation of a job's setting in the seat that the program says it is in."""
    guide, tool, job = made.guide, made.tools[setting["tool"]], made.job
    own = guide.get("units", "mm")
    values, withins, kinds = {}, {}, {}

    def put(name, read):
        values[name], withins[name] = read

    def either(name, form, direct, over):
        kinds[name] = "direct" if direct in form else "over roller"
        put(name, quantities.length(form[direct] if direct in form else form.get(over, 0.0), own))

    def chosen(name, default):
        """Of the job's setting, else of the tool class, else a default."""
        if setting.get(name) is not None:
            return setting[name], job.get("units", "mm")
        return tool.get(name, default), tool.get("units", "mm")

    seat = guide["seats"][seat_name]
    put("diameter", quantities.length(guide["roller"]["diameter"], own))
    either("seat", seat, "height", "over_roller")
    either("axle_to_face", guide["face"], "axle_to_face", "over_roller")
    either("bottom", guide["face"], "bottom", "bottom_over_roller")
    put("gauge", quantities.length(seat.get("gauge", 0.0), own))
    if "gauge" in seat:
        kinds["gauge"] = "direct"
    put("thickness", quantities.length(*chosen("thickness", None)))
    # Of a blade whose lands are its whole sides they are as high as it is thick and taper as it does; what a job states
    # of them goes before.
    whole_side = {"land": "thickness", "land_taper": "taper"} if tool.get("whole_side") else {}
    follows = {name: other for name, other in whole_side.items() if setting.get(name) is None}
    put("land", quantities.length(*chosen("land", 0.0)))
    level = setting.get("roller_level", job.get("roller_level", 0.0))
    put("level", quantities.length(level, job.get("units", "mm")))
    put("instrument", (0.0, quantities.length(guide["instrument"], own)[0] if "instrument" in guide else None))
    for name, (value, within) in {
        "taper": quantities.taper(*chosen("taper", 0.0)),
        "land_taper": quantities.taper(*chosen("land_taper", 0.0)),
        "square_error": quantities.angle(guide["face"].get("square_error", 0.0)),
    }.items():
        put(name, (math.radians(value), None if within is None else math.radians(within)))
    # One quantity has one error.
    withins |= dict.fromkeys(follows)
    has_bottom = "bottom" in guide["face"] or "bottom_over_roller" in guide["face"]
    return Situation(values, withins, kinds, has_bottom, seat["locates"], follows)


def lanes(made):
    """The situation of every lane by its id, with the job's setting and the angle."""
    found = {}
    for setting in made.job["settings"]:
        name = setting.get("id") or made.tools[setting["tool"]]["name"]
        for angle in setting["angles"]:
            id = f"{name}-{angle:.10g}"
            found[id] = (situation(made, setting, made.offsets[id]["seat"]), setting, angle)
    return found


def bearing(made):
    """Height of the reference edge below the table, above the front relief."""
    return made.block["thickness"] - (plan.FRONT_RELIEF[1] if made.option("front_relief") else 0.0)
