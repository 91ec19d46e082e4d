#!/usr/bin/env python3
"""Writes the first corpus of the fuzz targets, and a dictionary of all words of the files, into tests/fuzz/corpus/."""

import json
from pathlib import Path

HERE = Path(__file__).parent
HOME = HERE.parent.parent
CORPUS = HERE / "corpus"


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


def main():
    names = set()
    files = {"guide": 0, "tool": 1, "job": 2, "fit": 3, "measured": 4, "corrections": 5}
    for name, selector in files.items():
        schema = json.loads((HOME / f"profiles/schema/{name}.schema.json").read_text())
        words(schema, names)
        for every in (False, True):
            value = minimal(schema, schema, every)
            if name == "job":
                value |= {"guide": "narrow-side-clamp"}
                value["settings"][0] |= {"tool": "bench-chisel", "id": "a"}
                value.get("wood", {}).get("board", {})["material"] = "timber"
            put("readers", f"{name}-{every}", b"%d" % selector + json.dumps(value).encode())
    for selector, pattern in [
        (0, "profiles/guides/*.json"),
        (1, "profiles/tools/*.json"),
        (2, "examples/tool-chest.json"),
        (3, "examples/known-settings.json"),
        (4, "examples/tool-chest-measured.json"),
    ]:
        for path in HOME.glob(pattern):
            put("readers", path.stem, b"%d" % selector + path.read_bytes())
    example = json.loads((HOME / "examples/tool-chest.json").read_text())
    corrections = [{"id": "plane-iron-30", "making": 0.25}]
    corrections = {"format": 2, "job": example["title"], "corrections": corrections}
    put("readers", "corrections", b"5" + json.dumps(corrections).encode())
    guide, tool = (HOME / f"profiles/{p}.json" for p in ("guides/top-clamp", "tools/plane-iron"))
    put("readers", "job-guide", b"2" + json.dumps(example | {"guide": "g.json"}).encode() + b"\0" + guide.read_bytes())
    example["settings"][0]["tool"] = "t.json"
    put("readers", "job-tool", b"2" + json.dumps(example).encode() + b"\0" + tool.read_bytes())
    answers = """name=mine
roller.diameter=19.02; 19.04
roller.arrangement=centre
face.over_roller=25.3
seats.iron.locates=underside
seats.iron.over_roller=27.9 +- 0.02
seats.iron.blade_width=30 to 67
seats.chisel.locates=sides
seats.chisel.over_roller=1 3/8 in"""
    put("readers", "answers", b"6" + answers.encode())
    lengths = ["18", "18 mm", "45/64 in", "1 3/8 in", "1-3/8\"", "-12 mm", "18 mm +- 0.05 mm", "18 ± 0.05 mm", "39.20; 39.22",
               "30 to 67", '{"value": 18, "within": 0.05}', '{"value": "3/4 in", "within": "0.1 mm"}', "3.92e1", "5999.99 mm",
               '{"heel": 3, "upper": {"value": "4 mm", "within": 0.05}, "apart": 100}', "\u2212 12 inches"]
    for i, text in enumerate(lengths):
        for flags in b"012":
            put("lengths", f"{i}-{flags}", bytes([flags]) + text.encode())
    names |= {" mm", " in", "/", "+-", "±", "\u2212", '\\"', "within", "value", "heel", "upper", "apart", "\\u001b", "e-3", "1e9"}
    names |= {p.stem for p in HOME.glob("profiles/*s/*.json")} | {l["id"] for l in corrections["corrections"]}
    entry = lambda word: '"%s"' % "".join(c if c.isalnum() else "\\x%02X" % c.encode()[0] for c in word if c.isascii())
    (CORPUS / "words.dict").write_text("".join(entry(w) + "\n" for w in sorted(names) if w.isascii()))


if __name__ == "__main__":
    main()
