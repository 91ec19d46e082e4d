"""The block and its cleat for other programs: 3MF by lib3mf and trimesh, STEP by its own text and by OpenCASCADE."""

import io
import os
import re
import tempfile
import zipfile
from fractions import Fraction

import lib3mf
import numpy as np
import trimesh
from lxml import etree
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer

import plan
import quantities
import stl

GROUPS = {
    "cleat": "where asked for: the STL's exact volume and sections = a bar around the screw holes, mirrored, relieved",
    "3mf package": "parts, unit mm; lib3mf, strict: no warning, one manifold object, oriented; trimesh: a volume in mm",
    "3mf mesh": "corners = whole micrometres times the file's scale to the last of 64 bits, facets = those of the STL",
    "3mf words": "title, guide, and the fence and projection of every lane; objects are called as their files are",
    "step text": "ISO 10303-21: header, every # resolved once, no entity left over; mm (entities from memory)",
    "step shape": "its corners on the grid, every edge in two faces, exact volume of its faces = the slabs'",
    "step kernel": "OpenCASCADE reads it without a word: one closed, valid solid of the slabs' volume (1e-9), mm",
}

NAMESPACE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
"""Of the 3MF core specification."""

PARTS = {"[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"}
"""Of a 3MF package without pictures (the core specification, 2.1)."""

METADATA = {"Title", "Application", "Description"}

KERNEL_LINES = 5_000
"""STEP files with more lines are read by the kernel in few jobs: it takes a second for every ten thousand."""

KERNEL = ("tool-chest", "lanes-2")
"""Those jobs."""


def check(made, report):
    """All files of a block and its cleat."""
    parts = ["block", "cleat"] if made.has_cleat() else ["block"]
    asked = made.part["name"].replace("block", "cleat") + ".stl" in made.files
    report.equal("cleat", asked, made.has_cleat(), "a cleat is made where it was asked for")
    for part in parts:
        data = made.own("stl", part)
        slabs = made.block["slabs"]
        height_and_area = [(stl.doubled(s["area"]), round((s["top"] - s["bottom"]) * 1000)) for s in slabs]
        if part == "cleat":
            height_and_area = cleat(made, data, report)
        volume = sum(Fraction(area, 2) * height for area, height in height_and_area)
        threemf(made, part, data, report)
        step(made, part, volume, report)


def cleat(made, data, report):
    """The cleat's STL; returns twice its slabs' areas and their heights in micrometres."""
    expected = report.of("cleat")
    mesh = stl.nominal(made, "cleat")
    slabs = plan.cleat(made)
    expected.expect(mesh.is_volume, "not a volume")
    expected.equal(mesh.euler_number, -2, "Euler number of a bar with two holes")
    stl.layout(made, data, report)
    stl.repair(mesh, report)
    wanted = [(2 * stl.exact_area(s.area), round((s.top - s.bottom) * 1000)) for s in slabs]
    expected.equal(stl.exact_volume(mesh), sum(a * h / 2 for a, h in wanted), "volume in cubic micrometres")
    for slab in slabs:
        odd = stl.section(mesh, (slab.bottom + slab.top) / 2).symmetric_difference(slab.area).area
        expected.near(odd, 0.0, 1e-6, f"area off the cleat rebuilt above {slab.bottom} mm")
    return wanted


def said_length(made, mm):
    """A length as the description says it: thousandths of a mm, or four decimals of an inch."""
    if made.job.get("units", "mm") == "in":
        return f"{mm / float(quantities.INCH):.4f} in"
    return f"{mm:.3f} mm"


def threemf(made, part, data, report):
    """A 3MF file against the STL of the same part."""
    file, name = made.own("3mf", part), made.part["name"].replace("block", part)
    package, mesh, words = (report.of(f"3mf {group}") for group in ("package", "mesh", "words"))
    with zipfile.ZipFile(io.BytesIO(file)) as archive:
        package.equal(archive.testzip(), None, "a damaged part")
        package.equal(set(archive.namelist()), PARTS, "parts")
        model = etree.fromstring(archive.read("3D/3dmodel.model"))
    package.equal(model.get("unit"), "millimeter", "unit")

    read = lib3mf.Wrapper().CreateModel()
    reader = read.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(file)
    warnings = [reader.GetWarning(i) for i in range(reader.GetWarningCount())]
    package.equal(warnings, [], "warnings of lib3mf")
    objects, items = read.GetMeshObjects(), read.GetBuildItems()
    package.equal((objects.Count(), items.Count()), (1, 1), "objects, and what is built of them")
    objects.MoveNext()
    solid = objects.GetCurrentMeshObject()
    package.expect(solid.IsValid() and solid.IsManifoldAndOriented(), "not manifold and oriented")
    words.equal(solid.GetName(), name, "name of the object")
    group = read.GetMetaDataGroup()
    entries = [group.GetMetaData(i) for i in range(group.GetMetaDataCount())]
    said = {entry.GetName(): entry.GetValue() for entry in entries}
    words.equal(set(said), METADATA, "metadata")
    words.expect(said.get("Title", "").startswith(made.job["title"]), f"title {said.get('Title')!r}")
    description = said.get("Description", "")
    words.expect(made.guide["name"] in description, f"no guide in {description!r}")
    for lane in plan.lanes(made):
        projection = made.offsets[lane.id]["projection"]
        fence, reach = (said_length(made, mm) for mm in (lane.fence, projection))
        numbers = f"({lane.edge} edge): fence {fence}, projection {reach}"
        words.expect(numbers in description, f"{lane.id}: no {numbers!r} in {description!r}")

    scene = trimesh.load_scene(io.BytesIO(file), file_type="3mf")
    package.equal(scene.units, "millimeter", "unit as trimesh reads it")
    package.equal(list(scene.geometry), [name], "objects as trimesh reads them")
    package.expect(all(one.is_volume for one in scene.geometry.values()), "not a volume")

    corners = np.array([[float(v.get(a)) for a in "xyz"] for v in model.iter(f"{NAMESPACE}vertex")])
    facets = np.array([[int(t.get(a)) for a in ("v1", "v2", "v3")] for t in model.iter(f"{NAMESPACE}triangle")])
    scale = stl.factors(made)
    exact = np.round(corners / scale * 1000) / 1000 * scale
    mesh.expect((corners == exact).all(), f"{(corners != exact).sum()} coordinates off the grid")
    mesh.equal(len(np.unique(corners, axis=0)), len(corners), "different corners")
    mesh.equal((solid.GetVertexCount(), solid.GetTriangleCount()), (len(corners), len(facets)), "corners and facets read")
    written = stl.facets_of(data)["corners"]
    same = len(facets) == len(written) and (corners[facets].astype("<f4") == written).all()
    mesh.expect(same, "facets that are not those of the STL")


ENTITY = re.compile(r"#(\d+)=(\w*)\((.*)\);")


def step(made, part, volume, report):
    """A STEP file against the exact volume, in cubic micrometres."""
    data = made.own("step", part)
    text = data.decode("ascii")
    entities, expected = entities_of(text), report.of("step text")
    header(made, text, expected)
    ids = [int(id) for id in re.findall(r"^#(\d+)=", text, re.MULTILINE)]
    expected.equal((len(ids), len(set(ids))), (len(entities), len(entities)), "entities, each once")
    body = re.sub(r"'(?:[^']|'')*'", "''", text)
    used = {int(id) for id in re.findall(r"#(\d+)(?!\d*=)", body)}
    expected.equal(used - set(ids), set(), "entities that are referred to and are not there")
    roots = {kind for id, (kind, _) in entities.items() if id not in used}
    known = {"APPLICATION_PROTOCOL_DEFINITION", "PRODUCT_RELATED_PRODUCT_CATEGORY", "SHAPE_DEFINITION_REPRESENTATION"}
    expected.equal(roots, known, "entities that nothing refers to")
    expected.expect("SI_UNIT(.MILLI.,.METRE.)" in body, "no millimetres")
    shape(entities, volume, report.of("step shape"))
    # A file that is not whole may end the kernel's process.
    is_whole = not report.failures["step text"]
    if is_whole and (len(ids) < KERNEL_LINES or made.name in KERNEL):
        kernel(made, data, part, float(volume) / 1e9, report.of("step kernel"))




def header(made, text, expected):
    """The header's three entities."""
    start = text[: text.index("DATA;")]
    lines = start.splitlines()
    expected.equal(lines[:2], ["ISO-10303-21;", "HEADER;"], "beginning")
    expected.expect(text.endswith("ENDSEC;\nEND-ISO-10303-21;\n"), "another end")
    title = made.summary["fingerprint"] + ", " + made.job["title"].replace("'", "''")
    expected.expect(re.search(rf"FILE_DESCRIPTION\(\('{re.escape(title)}[^']*'\),'2;1'\);", start), f"description: {start}")
    date = r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'"
    name = rf"FILE_NAME\('{re.escape(title)}[^']*',{date},\(''\),\(''\),'Stopwright [\d.]+','Stopwright',''\);"
    expected.expect(re.search(name, start), f"name: {start}")
    expected.expect(re.search(r"FILE_SCHEMA\(\('AUTOMOTIVE_DESIGN \{ 1 0 10303 214 1 1 1 1 \}'\)\);", start), start)


def entities_of(text):
    """Kind and arguments of every entity by its number."""
    data = text[text.index("DATA;") : text.rindex("ENDSEC;")]
    return {int(id): (kind, arguments) for id, kind, arguments in ENTITY.findall(data)}


def shape(entities, volume, expected):
    """The boundary, from the entities themselves: corners, edges, and what the faces enclose."""

    def refs(id):
        return [int(r) for r in re.findall(r"#(\d+)", entities[id][1])]

    def of_kind(wanted):
        return [id for id, (kind, _) in entities.items() if kind == wanted]

    points = {}
    for id in of_kind("VERTEX_POINT"):
        (point,) = refs(id)
        mm = [float(v) for v in entities[point][1].split("(")[1].rstrip(")").split(",")]
        points[id] = tuple(round(v * 1000) for v in mm)
        if points[id] != tuple(v * 1000 for v in mm) and [v / 1000 for v in points[id]] != mm:
            expected.expect(False, f"corner off the grid: {mm}")
    expected.equal(len(set(points.values())), len(points), "different corners")
    edges = {id: tuple(refs(id)[:2]) for id in of_kind("EDGE_CURVE")}
    runs = {}
    for id in of_kind("ORIENTED_EDGE"):
        (edge,) = refs(id)
        start, end = edges[edge]
        runs[id] = (edge, (start, end) if entities[id][1].endswith(".T.") else (end, start))
    (shell,) = of_kind("CLOSED_SHELL")
    six, uses = 0, {edge: [] for edge in edges}
    for face in refs(shell):
        *bounds, _ = refs(face)
        for bound in bounds:
            (loop,) = refs(bound)
            turned = entities[bound][1].endswith(".F.")
            sides = [runs[r] for r in refs(loop)]
            closed = all(a[1][1] == b[1][0] for a, b in zip(sides, sides[1:] + sides[:1]))
            if not closed:
                expected.expect(False, f"bound #{bound} is not closed")
            corners = [points[start] for _, (start, _) in sides]
            if turned:
                corners.reverse()
            for edge, (start, end) in sides:
                uses[edge].append((end, start) if turned else (start, end))
            a = corners[0]
            for b, c in zip(corners[1:], corners[2:]):
                six += (
                    a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0])
                )
    odd = [edge for edge, own in uses.items() if len(own) != 2 or own[0] != own[1][::-1]]
    expected.equal(odd, [], "edges that do not run through two faces, once each way")
    expected.equal(Fraction(six, 6), volume, "volume in cubic micrometres")


def kernel(made, data, part, volume, expected):
    """As OpenCASCADE reads it."""
    path = tempfile.NamedTemporaryFile(suffix=".step", delete=False)
    try:
        with path:
            path.write(data)
        reader = STEPControl_Reader()
        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        expected.equal(reader.ReadFile(path.name), IFSelect_ReturnStatus.IFSelect_RetDone, "state of reading")
    finally:
        os.unlink(path.name)
    session = reader.WS()
    expected.expect(session.ModelCheckList(False).IsEmpty(False), "the reader finds fault with the file")
    expected.equal((reader.NbRootsForTransfer(), reader.TransferRoots()), (1, 1), "products, and those made")
    expected.expect(session.TransferReader().LastCheckList().IsEmpty(False), "the reader finds fault with the shape")
    solid = reader.OneShape()
    expected.equal(solid.ShapeType(), TopAbs_ShapeEnum.TopAbs_SOLID, "what is made of it")
    counts = {}
    for kind in ("SOLID", "SHELL"):
        explorer, counts[kind] = TopExp_Explorer(solid, getattr(TopAbs_ShapeEnum, f"TopAbs_{kind}")), 0
        while explorer.More():
            counts[kind] += 1
            if kind == "SHELL":
                expected.expect(BRep_Tool.IsClosed_s(explorer.Current()), "a shell that is not closed")
            explorer.Next()
    expected.equal(counts, {"SOLID": 1, "SHELL": 1}, "solids and shells")
    expected.expect(BRepCheck_Analyzer(solid).IsValid(), "not valid")
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties)
    expected.near(properties.Mass(), volume, 1e-9 * volume, f"volume of the {part}, mm3")
