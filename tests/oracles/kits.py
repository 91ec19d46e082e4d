"""Kits: what every fence sets of every blade, by turning the guide numerically, and blades too short to be held.

How a blade's tolerances may put an angle off is told by moving each measure by its tolerance, either way; where the
lands are the whole sides, they move with the thickness.
"""

import json
import math
import random
import re
from types import SimpleNamespace

import guide
import jobs
import plan
import quantities
from program import ROOT, profile

GROUPS = {
    "kits angles": "every bevel at its lane's fence, by numeric turning (1e-9 degrees), is within what it may be off",
    "kits room": "the ends of a fence's room keep all its bevels; it is printed rounded down, from both distances",
    "kits doubt": "thickness and lands moved by their tolerances put the angle off by as much as said (1e-9 degrees)",
    "kits lengths": "blades that are served stand out and are held; those called too short could not be",
}

LEAST_HOLD = 10.0
"""Least of a blade that the guide must hold, mm, where its axle is not further behind its face (the program's own)."""

WITHIN = 1e-9
"""How far an angle may be off, degrees."""

EDGE = 1e-6
"""How far a length may be off where it decides whether a blade is too short, mm."""

SEED, KITS, BLADES = 20_27, 12, 9

WHERE = ("narrow-side-clamp", "wide-side-clamp", "top-clamp", "twin-roller")
"""Guides in turn: all that a seat locates is among them."""

TOO_SHORT = re.compile(
    r"blade too short for this setting: (?P<left>[\d.]+) mm left, (?P<needed>[\d.]+) mm needed, "
    r"of which (?P<hold>[\d.]+) mm are held in the guide"
)


def kit(number):
    """A kit of random blades, some of them worn short."""
    rng = random.Random(f"{SEED} {number}")
    blades = []
    for index in range(BLADES):
        tool = rng.choice([name for name in jobs.names("tools") if name != "mortise-chisel"])
        primary = rng.randrange(44, 56) / 2
        blade = {
            "name": f"blade {index}",
            "tool": tool,
            "thickness": {"value": round(rng.uniform(2.4, 3.6), 2), "within": round(rng.uniform(0.02, 0.2), 2)},
            "length": round(rng.uniform(38, 75) if rng.random() < 0.5 else rng.uniform(90, 180), 1),
            "primary": primary,
            "micro": primary + rng.randrange(4, 14) / 2,
        }
        if "iron" not in tool and rng.random() < (0.3 if tool_of(tool).get("whole_side") else 0.8):
            blade["land"] = {"value": round(rng.uniform(1.0, 2.0), 2), "within": 0.1}
        if rng.random() < 0.3:
            blade["taper"] = {"value": rng.choice([-0.5, 0.4]), "within": 0.1}
        blades.append(blade)
    return {"format": 1, "title": f"Kit {number}", "tolerance": rng.choice([0.3, 0.5, 1.0]), "blades": blades}


def tool_of(name):
    """A built-in tool class."""
    return profile("tools", name, ROOT)


def check(program, folder, report):
    """The kit among the examples, and seeded ones."""
    own = json.loads((ROOT / "examples" / "alder-lane-kit.json").read_text(encoding="utf-8"))
    seen = set()
    for number, asked in enumerate([own, *(kit(number) for number in range(KITS))]):
        path, held_in = folder / f"kit-{number}.json", WHERE[number % len(WHERE)]
        path.write_text(json.dumps(asked), encoding="utf-8")
        answer = json.loads(program.text("kit", path, "--guide", held_in, "--json"))
        words = program.text("kit", path, "--guide", held_in)
        report.about = f"kit {number} in {held_in}"
        seen |= judge(asked, answer, words, report)
    report.about = ""
    wanted = {"served", "short", "limited by its length", "whole side", "land of its own"}
    report.equal("kits lengths", wanted - seen, set(), "cases that were not among the kits")


def judge(asked, answer, words, report):
    """All bevels and fences of a kit; returns which cases were among them."""
    bearing = answer["block_thickness"] - plan.FRONT_RELIEF[1]
    seen, members = set(), {fence["lane"]: [] for fence in answer["fences"]}
    fences = {fence["lane"]: fence for fence in answer["fences"]}
    held_in = profile("guides", answer["guide"], ROOT)
    for blade, found in zip(asked["blades"], answer["blades"]):
        tools, job = {blade["tool"]: tool_of(blade["tool"])}, {"units": asked.get("units", "mm")}
        made = SimpleNamespace(guide=held_in, tools=tools, job=job)
        situation = guide.situation(made, blade, found["seat"])
        length = quantities.length(blade["length"], job["units"])[0] if "length" in blade else math.inf
        bevels = [("primary", found["primary"]), ("micro-bevel", found["micro"])]
        step = found["micro"]["angle"] - found["primary"]["angle"]
        flags = [flag["message"] for flag in found["flags"] if flag["kind"] == "unserved"]
        for name, bevel in bevels if step > 0 else bevels[:1]:
            about, angle = f"{blade['name']}, {name}", bevel["angle"]
            # Two bevels of a blade may each be off toward the other by a quarter of the step between them.
            other = min(answer["tolerance"], step / 4) if step > 0 else answer["tolerance"]
            down, up = (answer["tolerance"], other) if name == "primary" else (other, answer["tolerance"])
            span = (angle - down, angle + up)
            short = [flag for flag in flags if f"sets its {name}" in flag and TOO_SHORT.search(flag)]
            longest = length - max(situation.axle_to_face, LEAST_HOLD)
            if bevel["lane"] is None:
                if short:
                    seen.add("short")
                    too_short(situation, span, length, angle, short[0], about, report.of("kits lengths"))
                continue
            seen.add("served")
            report.equal("kits lengths", short, [], f"{about}: served, and yet too short")
            fence = fences[bevel["lane"]]
            members[bevel["lane"]].append((about, situation, span))
            sets = situation.bevel_of_fence(fence["distance"], bearing)
            report.near("kits angles", bevel["set"], sets, WITHIN, f"{about}: angle")
            report.near("kits angles", bevel["error"], sets - angle, WITHIN, f"{about}: error")
            report.expect("kits angles", span[0] <= sets <= span[1], f"{about}: {sets} is not within {span}")
            stands_out = situation.projection(sets)
            is_held = stands_out <= longest + EDGE
            report.expect("kits lengths", is_held, f"{about}: {stands_out} of {length} mm stand out")
            nearest = angle
            if situation.projection(angle) > longest:
                seen.add("limited by its length")
                nearest = situation.bevel(longest)
            seen |= doubt(situation, bevel, nearest, bearing, about, report.of("kits doubt"))
    for lane, fence in fences.items():
        rooms(fence, members[lane], bearing, words, report.of("kits room"))
    return seen


def too_short(situation, span, length, angle, message, about, expected):
    """A blade that is called too short is so at the steepest angle allowed, and the lengths in words say so."""
    hold = max(situation.axle_to_face, LEAST_HOLD)
    least = situation.projection(span[1]) + hold
    expected.expect(length < least + EDGE, f"{about}: {length} mm long, and {least} mm would do")
    said = {name: float(value) for name, value in TOO_SHORT.search(message).groupdict().items()}
    needed = situation.projection(angle) + hold
    wanted = {"left": math.floor(length * 10 + EDGE) / 10, "needed": math.ceil(needed * 10 - EDGE) / 10}
    wanted["hold"] = math.ceil(hold * 10 - EDGE) / 10
    for name, value in wanted.items():
        expected.near(said[name], value, EDGE, f"{about}: {name} in {message!r}")


def doubt(situation, bevel, nearest, bearing, about, expected):
    """What thickness and lands alone may put the angle off by, at the fence of the angle itself."""
    ideal, seen = situation.fence(situation.projection(nearest), bearing), set()
    at_rest = situation.bevel_of_fence(ideal, bearing)
    gripped = situation.locates == "sides"
    if gripped:
        seen.add("whole side" if "land" in situation.follows else "land of its own")
    for field, name, is_felt in (("by_thickness", "thickness", True), ("by_land", "land", gripped)):
        within = situation.withins[name] if is_felt else None
        if not expected.equal(bevel[field] is None, within is None, f"{about}: {field} is not told") or within is None:
            continue
        moved = [situation.moved(name, by).bevel_of_fence(ideal, bearing) for by in (-within, within)]
        wanted = max(abs(other - at_rest) for other in moved)
        expected.near(bevel[field], wanted, WITHIN, f"{about}: {field}")
    return seen


def rooms(fence, members, bearing, words, expected):
    """A fence's room, and how its table prints it."""
    lane, (low, high), distance = fence["lane"], fence["common"], fence["distance"]
    for about, situation, span in members:
        for end in (low, high):
            sets = situation.bevel_of_fence(end, bearing)
            keeps = span[0] - WITHIN <= sets <= span[1] + WITHIN
            expected.expect(keeps, f"{lane}: {about}: the end of its room at {end} sets {sets}, not within {span}")
    expected.near(fence["room"], min(distance - low, high - distance), WITHIN, f"{lane}: room")
    row = re.search(rf"^{lane} +.*? (?P<fence>\d+\.\d\d) +(?P<room>-?\d+\.\d\d) +\d+\.\d\d +\d+$", words, re.MULTILINE)
    if expected.expect(row, f"{lane}: no row in its table"):
        printed = float(row["fence"])
        expected.near(printed, distance, 0.005 + WITHIN, f"{lane}: printed distance")
        room = min(min(middle - low, high - middle) for middle in (distance, printed))
        expected.near(float(row["room"]), math.floor(room * 100) / 100, WITHIN, f"{lane}: printed room of {room}")


def tampered(program, folder, report):
    """Answers tampered with: the group that watches over a value must object."""
    asked, path = kit(1), folder / "kit-tampered.json"
    path.write_text(json.dumps(asked), encoding="utf-8")
    text = program.text("kit", path, "--guide", WHERE[2], "--json")
    words = program.text("kit", path, "--guide", WHERE[2])

    def served(answer):
        return next(b[n] for b in answer["blades"] for n in ("primary", "micro") if b[n]["lane"])

    def short(answer):
        return next(f for b in answer["blades"] for f in b["flags"] if TOO_SHORT.search(f["message"]))

    def later(answer):
        flag = short(answer)
        flag["message"] = TOO_SHORT.sub(lambda m: m[0].replace(m["needed"], "99.9"), flag["message"])

    def longer():
        blades = [{**blade, "length": 400.0} for blade in asked["blades"]]
        return {**asked, "blades": blades}

    def shorter():
        blades = [{**blade, "length": 20.0} for blade in asked["blades"]]
        return {**asked, "blades": blades}

    row = r"^(A +.*? \d+\.\d\d +)(\d+\.\d\d)"
    fuller = re.sub(row, lambda m: f"{m[1]}{float(m[2]) + 0.01:.2f}", words, flags=re.MULTILINE)
    cases = [
        ("kits angles", asked, lambda a: served(a).update(set=served(a)["set"] + 1e-6), words),
        ("kits angles", asked, lambda a: served(a).update(error=0.01), words),
        ("kits angles", asked, lambda a: a["fences"][0].update(distance=a["fences"][0]["distance"] + 0.01), words),
        ("kits room", asked, lambda a: a["fences"][0].update(room=a["fences"][0]["room"] + 0.001), words),
        ("kits room", asked, lambda a: a["fences"][0]["common"].append(a["fences"][0]["common"].pop() + 5.0), words),
        ("kits room", asked, lambda a: None, fuller),
        ("kits doubt", asked, lambda a: served(a).update(by_thickness=0.5), words),
        ("kits lengths", asked, later, words),
        ("kits lengths", longer(), lambda a: None, words),
        ("kits lengths", shorter(), lambda a: None, words),
    ]
    for number, (group, kit_asked, change, said) in enumerate(cases):
        answer, found = json.loads(text), type(report)()
        change(answer)
        judge(kit_asked, answer, said, found)
        report.expect("kits objects", found.failures[group], f"{group} did not object to case {number}")
    sound = type(report)()
    judge(asked, json.loads(text), words, sound)
    report.equal("kits objects", dict(sound.failures), {}, "what is not tampered with")
    report.equal("kits objects", {group for group, *_ in cases}, set(GROUPS), "groups that were made to object")


SELF = {"kits objects": "each group of the kits objects to an answer tampered with"}
