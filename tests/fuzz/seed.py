#!/usr/bin/env python3
"""Writes into tests/fuzz/corpus/ what the fuzz targets begin with: inputs made of schemas, examples and profiles, those
that earlier runs kept (tests/fuzz/kept/), and a dictionary of all words of the files."""

import json
import tarfile
from pathlib import Path

HERE = Path(__file__).parent
HOME = HERE.parent.parent
CORPUS = HERE / "corpus"
KEPT = HERE / "kept"
SCHEMAS = {
    "guide": 0, "tool": 1, "job": 2, "fit": 3, "measured": 4, "corrections": 5, "testpiece": 7,
    "kit": None, "log": None,
}
LENGTHS = [
    "18", "18 mm", "45/64 in", "1 3/8 in", "1-3/8\"", "-12 mm", "18 mm +- 0.05 mm", "18 ± 0.05 mm", "39.20; 39.22",
    "30 to 67", '{"value": 18, "within": 0.05}', '{"value": "3/4 in", "within": "0.1 mm"}', "3.92e1", "5999.99 mm",
    '{"heel": 3, "upper": {"value": "4 mm", "within": 0.05}, "apart": 100}', "\u2212 12 inches",
]
ANSWERS = """name=mine
roller.diameter=19.02; 19.04
roller.arrangement=centre
face.over_roller=25.3
seats.iron.locates=underside
seats.iron.over_roller=27.9 +- 0.02
seats.iron.blade_width=30 to 67
seats.chisel.locates=sides
seats.chisel.over_roller=1 3/8 in"""
# What is typed into the forms of a page; every line may stand alone.
GUIDE = """g roller.diameter=19.02; 19.04
g face.over_roller=26.3
g seats.iron.over_roller=31.4
"""
WHOLE_GUIDE = GUIDE + """g face.width=60
g face.bottom_over_roller=20
g roller.arrangement=pair
g seats=both
g seats.iron.blade_width=30; 67
g seats.chisel.over_roller=1 3/8 in
g units=in
"""
SETTINGS = """@ known
k known.0.seat=iron
k known.0.angle=25
k known.0.projection=57.8
k known.0.another=yes
k known.1.angle=30
k known.1.projection=44.3
"""
BLADES = """@ profile=narrow-side-clamp
@ blades
b title=Alder Lane drawer
b blades.0.name=jack
b blades.0.tool=plane-iron
b blades.0.width=51
b blades.0.current=27
b blades.0.camber.plane=jack
b blades.0.steel=A2
b blades.0.use=softwood, hardwood
b blades.0.another=yes
b blades.1.name=1/2 chisel
b blades.1.tool=bench-chisel
b blades.1.land=1.2
b blades.1.micro=34.5
b grits=P400, P800, P2000
r blade=jack
r day=2026-11-28
r P400=14
"""
BLOCK = """j title=Mine
j settings.0.tool=plane-iron
j settings.0.id=s
j settings.0.angles=25, 30
j settings.0.width=51
j settings.0.edge=far
j print.bed=180; 180
j block.labels=raised
j block.cleat=yes
j tolerance=0.5
"""
WOOD = """j make=both
j wood.board.thickness=18
j sheet.size=Letter
@ jig
"""
MEASURED = """m lanes.0.measured=59.90; 59.94
m lanes.1.measured=46.97
m on a plate=yes
m plates.0.id=plane-iron-30
m plates.0.taken by=heights
m plates.0.heights=12.38; 47.96
m plates.0.apart=70
m test bevels=yes
m bevels.0.read by=length
m bevels.0.thickness=2.41
m bevels.0.bevel_length=4.85
"""


def put(target, name, content):
    folder = CORPUS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)


def minimal(schema, root, every):
    """The least value of a schema: its required fields, or every field."""
    for key in ("x-mm", "x-mm-or-pair", "x-degrees", "x-taper"):
        if key in schema:
            return sum(schema[key]) / 2
    if "x-each-mm" in schema:
        low, high = schema["x-each-mm"]
        return [low + (high - low) / 3, low + (high - low) / 2]
    if "$ref" in schema:
        return minimal(root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root, every)
    for key in ("anyOf", "oneOf"):
        if key in schema:
            return minimal(schema[key][0], root, every)
    if "const" in schema or "enum" in schema:
        return schema.get("const") or schema["enum"][0]
    kind = schema.get("type")
    kind = kind[0] if isinstance(kind, list) else kind
    if kind == "object":
        names = schema.get("properties", {}) if every else schema.get("required", [])
        return {n: minimal(schema["properties"][n], root, every) for n in names}
    if kind == "array":
        return [minimal(schema["items"], root, every)] * max(1, schema.get("minItems", 0))
    if kind in ("number", "integer"):
        return schema.get("minimum", 0)
    return True if kind == "boolean" else "x"


def words(value, found):
    """All names and words of a schema."""
    if isinstance(value, dict):
        found.update(value.get("properties", {}))
        found.update(w for w in [value.get("const"), *value.get("enum", [])] if isinstance(w, str))
        for inner in value.values():
            words(inner, found)
    elif isinstance(value, list):
        for inner in value:
            words(inner, found)


def paths(schema, root, before=""):
    """The dotted paths of all fields of a schema, an item of a list as the first one."""
    if "$ref" in schema:
        return paths(root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root, before)
    found = {before.removesuffix(".")}
    for key in ("anyOf", "oneOf"):
        for one in schema.get(key, []):
            found |= paths(one, root, before)
    for name, inner in schema.get("properties", {}).items():
        found |= paths(inner, root, f"{before}{name}.")
    if isinstance(schema.get("items"), dict):
        found |= paths(schema["items"], root, before + "0.")
    return found


def text_of(name):
    return (HOME / name).read_bytes()


def example_of(name):
    return json.loads(text_of(f"examples/{name}.json"))


def of_schemas():
    """The least and the fullest file of each kind; gives the words and paths of all."""
    names, fields = set(), set()
    for name, selector in SCHEMAS.items():
        schema = json.loads(text_of(f"profiles/schema/{name}.schema.json"))
        words(schema, names)
        fields |= paths(schema, schema)
        for every in (False, True):
            value = minimal(schema, schema, every)
            if name == "job":
                value |= {"guide": "narrow-side-clamp"}
                value.pop("kit", None)
                settings = value.setdefault("settings", [{"angles": [25]}])
                settings[0] |= {"tool": "bench-chisel", "id": "a"}
                value.get("wood", {}).get("board", {})["material"] = "timber"
            if name == "kit":
                value["blades"][0] |= {"tool": "plane-iron"}
                if every:
                    value["grits"] = ["P400"]
                    value["blades"][0]["camber"] = {"depth": 0.2}
                put("kits", f"schema-{every}", b"0" + json.dumps(value).encode())
            elif name == "log":
                value |= {"kit": "Alder Lane drawer"}
                entry = {"date": "2026-03-09", "blade": "jack", "what": "honed"}
                value["entries"] = [value["entries"][0] | entry] if every else []
                if every:
                    value["entries"][0]["strokes"] = [{"grade": "P400", "count": 14}]
                put("logs", f"schema-{every}", json.dumps(value).encode())
            else:
                put("readers", f"{name}-{every}", b"%d" % selector + json.dumps(value).encode())
    return names, fields


def readers():
    for selector, pattern in [
        (0, "profiles/guides/*.json"),
        (0, "examples/worn-side-clamp.json"),
        (1, "profiles/tools/*.json"),
        (2, "examples/tool-chest.json"),
        (2, "examples/pro*-job.json"),
        (3, "examples/known-settings.json"),
        (4, "examples/*-measured.json"),
        (4, "examples/proof-*t.json"),
        (7, "examples/test-piece-measured.json"),
    ]:
        for path in HOME.glob(pattern):
            put("readers", f"{selector}-{path.stem}", b"%d" % selector + path.read_bytes())
    job = example_of("tool-chest")
    corrections = [{"id": "plane-iron-30", "making": 0.25}]
    corrections = {"format": 2, "job": job["title"], "corrections": corrections}
    put("readers", "corrections", b"5" + json.dumps(corrections).encode())
    # Plates of the lanes of the job that measurements are read for.
    put("readers", "plates", b"4" + text_of("examples/proof-first.json"))
    guide, tool = (text_of(f"profiles/{p}.json") for p in ("guides/top-clamp", "tools/plane-iron"))
    put("readers", "job-guide", b"2" + json.dumps(job | {"guide": "g.json"}).encode() + b"\0" + guide)
    job["settings"][0]["tool"] = "t.json"
    put("readers", "job-tool", b"2" + json.dumps(job).encode() + b"\0" + tool)
    put("readers", "answers", b"6" + ANSWERS.encode())


def kits():
    kit = example_of("alder-lane-kit")
    for how in range(5):
        put("kits", f"whole-{how}", b"%d" % how + json.dumps(kit).encode())
    for i, blade in enumerate(kit["blades"]):
        one = kit | {"blades": [blade, kit["blades"][i - 1]]}
        put("kits", f"two-{i}", bytes([ord("0") + i * 5]) + json.dumps(one).encode())
    kit["blades"] = [kit["blades"][0] | {"tool": "t.json"}]
    put("kits", "class", b"7" + json.dumps(kit).encode() + b"\0" + text_of("profiles/tools/laminated-iron.json"))


def logs():
    entries = [
        {"date": "2026-03-09", "blade": "jack", "what": "reground"},
        {"date": "2026-03-12", "blade": "jack", "what": "honed", "micro_width": 0.3, "strokes": [
            {"grade": "P400", "count": 14}, {"grade": "JIS 1000", "count": 10}]},
        {"date": "2026-02-28", "blade": "jack", "what": "honed", "micro_width": {"value": "1/64 in", "within": 0.05}},
        {"date": "2024-02-29", "blade": "3/4 bench chisel", "what": "honed", "note": "a nick"},
    ]
    log = {"format": 1, "kit": "Alder Lane drawer", "units": "mm", "entries": entries}
    put("logs", "kept", json.dumps(log).encode())
    put("logs", "inches", json.dumps(log | {"units": "in", "entries": entries[:1] + entries[2:]}).encode())
    kit = example_of("alder-lane-kit")
    kit["blades"] = kit["blades"][:1]
    put("logs", "own", json.dumps(log | {"entries": entries[:2]}).encode() + b"\0" + json.dumps(kit).encode())


def page():
    opened = lambda *names: "".join(f"\0{name}\n{text_of(f'examples/{name}').decode()}" for name in names)
    drawer = opened("alder-lane-kit.json", "alder-lane-kit-job.json")
    for name, text in {
        "start": "s",
        "guide": "gw\n" + GUIDE,
        "whole": "guw\n" + WHOLE_GUIDE,
        "settings": "gkw\n" + SETTINGS,
        "blades": "bkt\n" + BLADES,
        "record": "rw\n" + BLADES,
        "block": "kmp\n" + GUIDE + BLOCK,
        "units": "uw\n" + WHOLE_GUIDE + BLOCK,
        "wood": "kj\n" + GUIDE + BLOCK + WOOD,
        "measured": "vw\n" + GUIDE + BLOCK + MEASURED,
        "in-wood": "v\n" + GUIDE + BLOCK + WOOD + MEASURED,
        "corrected": "c\n@ profile=narrow-side-clamp\n" + BLOCK + MEASURED,
        "demo": "kvw" + opened("tool-chest.json", "tool-chest-measured.json"),
        "drawer": "btw" + drawer,
        "fitted": "gkw" + opened("known-settings.json"),
        "worn": "gkw" + opened("worn-side-clamp.json"),
        "proof": "vc" + opened("proof-job.json", "proof-first.json"),
    }.items():
        put("page", name, text.encode())
    for i in range(12):
        put("page", f"file-{i}", (chr(ord("A") + i) + "\n" + (BLADES if i in (9, 10) else GUIDE + BLOCK)).encode())
    for want in ("start", "guide", {"block": {"lane": "plane-iron-30"}}, {"units": "in"}, "save", {"model": {}}):
        bench = {"typed": {"guide": {"roller.diameter": "19.02", "face.over_roller": "26.3"}}, "of-jig": False}
        put("page", f"json-{len(json.dumps(want))}", json.dumps({"bench": bench, "want": want}).encode())


def lengths():
    for i, text in enumerate(LENGTHS):
        for flags in b"012":
            put("lengths", f"{i}-{flags}", bytes([flags]) + text.encode())


def unpack():
    """What earlier runs kept."""
    for kept in sorted(KEPT.glob("*.tar.xz")):
        with tarfile.open(kept) as archive:
            for member in archive:
                put(kept.name.removesuffix(".tar.xz"), member.name, archive.extractfile(member).read())


def dictionary(names):
    names |= {" mm", " in", "/", "+-", '\\"', "within", "value", "heel", "upper", "apart", "\\u001b", "e-3", "1e9"}
    names |= {p.stem for p in HOME.glob("profiles/*s/*.json")} | {"plane-iron-30", "t.json", "; ", "=yes", "=no", "\n"}
    typed = GUIDE + WHOLE_GUIDE + SETTINGS + BLADES + BLOCK + WOOD + MEASURED + ANSWERS
    names |= {line.split("=")[0] for line in typed.splitlines()} | {"want", "bench", "typed", "opened", "of-jig"}
    entry = lambda word: '"%s"' % "".join(c if c.isalnum() else "\\x%02X" % ord(c) for c in word)
    words = sorted(name for name in names if name and name.isascii())
    (CORPUS / "words.dict").write_text("".join(entry(word) + "\n" for word in words))


def main():
    names, fields = of_schemas()
    readers()
    kits()
    logs()
    page()
    lengths()
    unpack()
    dictionary(names | fields)


if __name__ == "__main__":
    main()
