"""The published schemas, held against the files by jsonschema."""

import copy
import json

import jsonschema

from program import REFUSED, ROOT

GROUPS = {
    "schema valid": "`profiles --schema` gives schemas of JSON Schema draft 2020-12",
    "schema accepts": "all profiles, examples and the jobs made here are valid",
    "schema rejects": "hand-broken files are not valid, and the program refuses them with exit code 2 and a message",
}

DRAFT = "https://json-schema.org/draft/2020-12/schema"

FILES = {
    "guide": ("profiles/guides", "roller"),
    "tool": ("profiles/tools", "thickness"),
    "job": ("examples", "settings"),
    "measured": ("examples", "lanes"),
    "fit": ("examples", "known"),
    "kit": ("examples", "blades"),
}
"""Where the files of a kind are, and a field that tells them from others beside them."""

BROKEN = {
    "guide": [
        ("format of the future", lambda g: g.update(format=2)),
        ("no roller", lambda g: g.pop("roller")),
        ("unknown field", lambda g: g.update(colour="red")),
        ("unknown field within", lambda g: g["roller"].update(color=1)),
        ("a length that is a list", lambda g: g["roller"].update(diameter=[19.0])),
        ("a length without digits", lambda g: g["roller"].update(diameter="wide")),
        ("a tolerance without a value", lambda g: g["roller"].update(diameter={"within": 0.1})),
        ("a seat that locates nothing known", lambda g: g["seats"]["iron"].update(locates="top")),
        ("an unknown unit", lambda g: g.update(units="cm")),
        ("an empty name", lambda g: g.update(name="")),
    ],
    "tool": [
        ("no thickness", lambda t: t.pop("thickness")),
        ("one width", lambda t: t.update(width=[40])),
        ("a bevel of 70 degrees", lambda t: t.update(primary=70)),
        ("an angle without a reason", lambda t: t["angles"][0].pop("reason")),
        ("a third seat", lambda t: t.update(seat="spoke")),
        ("no advised angle", lambda t: t.update(angles=[])),
    ],
    "job": [
        ("no settings", lambda j: j.update(settings=[])),
        ("an angle of 4 degrees", lambda j: j["settings"][0].update(angles=[4])),
        ("an angle in words", lambda j: j["settings"][0].update(angles=["30"])),
        ("a sheet of A5", lambda j: j.update(sheet={"size": "A5"})),
        ("second-angle projection", lambda j: j.update(sheet={"projection": "second"})),
        ("an option in words", lambda j: j.update(block={"marks": "yes"})),
        ("an unknown option", lambda j: j.update(block={"mark": True})),
        ("a tolerance of 9 degrees", lambda j: j.update(tolerance=9)),
        ("a title of 61 letters", lambda j: j.update(title="x" * 61)),
        ("no guide", lambda j: j.pop("guide")),
    ],
    "measured": [
        ("an unknown field", lambda m: m.update(lane=[])),
        ("a lane without a measurement", lambda m: m["lanes"][0].pop("measured")),
        ("three sides", lambda m: m["lanes"][0].update(measured=[1, 2, 3])),
        ("a format of the future", lambda m: m.update(format=2)),
    ],
    "fit": [
        ("no known settings", lambda f: f.update(known=[])),
        ("a projection in words", lambda f: f["known"][0].update(projection="far")),
        ("an unknown field", lambda f: f.update(measure={})),
    ],
    "kit": [
        ("no blades", lambda k: k.update(blades=[])),
        ("a blade without a name", lambda k: k["blades"][0].pop("name")),
        ("a steel of no group", lambda k: k["blades"][0].update(steel="steel")),
        ("an unknown use", lambda k: k["blades"][0].update(use=["digging"])),
        ("a bevel to the left", lambda k: k["blades"][0].update(bevel="left")),
        ("a bed of 2 degrees", lambda k: k["blades"][0].update(bed=2)),
        ("a micro-bevel in words", lambda k: k["blades"][0].update(micro="30")),
        ("a plane of no kind", lambda k: k["blades"][0].update(camber={"plane": "scrub"})),
        ("a tolerance of 9 degrees", lambda k: k.update(tolerance=9)),
        ("an unknown field", lambda k: k.update(knives=[])),
    ],
}
"""What is done to a good file to break it; the model is the first file of its folder."""


def check(program, jobs, folder, report):
    """All schemas; `jobs` are more jobs that must be valid, `folder` takes broken files."""
    schemas = {kind: json.loads(program.text("profiles", "--schema", kind)) for kind in FILES}
    judge(schemas, jobs, report)
    for kind, breaks in BROKEN.items():
        for what, text in broken(kind, breaks):
            path = folder / f"broken-{kind}.json"
            path.write_text(text, encoding="utf-8")
            done = program.run(*call(kind, path, folder))
            refused = done.returncode == REFUSED and done.stderr.strip() and "panic" not in done.stderr
            report.expect("schema rejects", refused, f"{kind} with {what}: exit code {done.returncode}: {done.stderr}")


def judge(schemas, jobs, report):
    """Schemas against good files and broken ones."""
    for kind, schema in schemas.items():
        report.equal("schema valid", schema.get("$schema"), DRAFT, f"$schema of {kind}")
        try:
            jsonschema.Draft202012Validator.check_schema(schema)
            report.expect("schema valid", True, kind)
        except jsonschema.SchemaError as error:
            report.expect("schema valid", False, f"{kind}: {error.message}")
            continue
        validator = jsonschema.Draft202012Validator(schema)
        documents = kept(kind)
        report.expect("schema accepts", documents, f"no files in {FILES[kind][0]}")
        for name, document in documents + (jobs if kind == "job" else []):
            errors = "; ".join(e.message for e in validator.iter_errors(document))
            report.expect("schema accepts", not errors, f"{kind} {name}: {errors}")
        for what, text in broken(kind, BROKEN[kind]):
            report.expect("schema rejects", not validator.is_valid(json.loads(text)), f"{kind} with {what} is accepted")


def kept(kind):
    """Name and content of the project's own files of a kind."""
    folder, field = FILES[kind]
    files = [(path.name, json.loads(path.read_text(encoding="utf-8"))) for path in sorted((ROOT / folder).glob("*.json"))]
    return [(name, document) for name, document in files if field in document]


def broken(kind, breaks):
    """Broken files: what is wrong and the text."""
    model = kept(kind)[0][1]
    for what, spoil in breaks:
        document = copy.deepcopy(model)
        spoil(document)
        yield what, json.dumps(document)


def call(kind, path, folder):
    """The command that reads a file of a kind."""
    if kind == "job":
        return "make", path, "--out", folder / "broken"
    if kind == "measured":
        return "verify", ROOT / "examples" / "tool-chest.json", path
    if kind == "fit":
        return "fit", path
    if kind == "kit":
        return "kit", path, "--guide", "narrow-side-clamp"
    if kind == "guide":
        return "offsets", path, "--tool", "plane-iron", "--angles", "30"
    return "offsets", "narrow-side-clamp", "--tool", path, "--angles", "30"
