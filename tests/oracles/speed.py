"""How long the same labelled block takes here, in OpenCASCADE and in manifold3d; run by hand, on a quiet machine.

    tests/oracles/.venv/bin/python tests/oracles/speed.py

The environment is the one that `cargo test --release oracles` makes. Each program goes its best route that was found:

* OpenCASCADE: a face with holes a slab (lines of known vertices, no check for crossing), prisms, one fuse of all of
  them in parallel, then `BRepMesh_IncrementalMesh`; with and without gluing, the faster that gives the right volume.
* manifold3d: a cross-section a slab, extruded; one batch union; the mesh.

Times are medians. Exit code 1 where a target is missed: 20 times faster than OpenCASCADE, no slower than manifold3d,
time growing no faster than lanes to the power of 1.1, STL no slower than the bare `stl_io` call and under 5 % of `make`.
"""

import json
import math
import statistics
import subprocess
import sys
import time
from pathlib import Path

import manifold3d
import numpy as np
import shapely
from OCP.BOPAlgo import BOPAlgo_GlueEnum
from OCP.BRep import BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.collections import List_TopoDS_Shape
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

HOME = Path(__file__).resolve().parents[2]
GLUE = {"not glued": BOPAlgo_GlueEnum.BOPAlgo_GlueOff, "glued": BOPAlgo_GlueEnum.BOPAlgo_GlueShift}
"""Ways of OpenCASCADE to fuse solids that touch."""


def main():
    """Prints the table; says whether all targets are met."""
    run = ["cargo", "bench", "--quiet", "--bench", "ratios", "--", "--polygons"]
    ours = json.loads(subprocess.run(run, cwd=HOME, check=True, stdout=subprocess.PIPE).stdout)
    targets = []
    print(f"{'stack to mesh':22}{'corners':>9}{'triangles':>11}{'ms':>10}{'times ours':>12}")
    for case in ours["cases"]:
        show_ours(case)
        targets.append((f"{case['name']}: STL / bare stl_io", case["stl"] / case["bare_stl"], 1.0))
        if "slabs" in case:
            opencascade, manifold = rivals(case)
            targets.append((f"{case['name']}: ours / OpenCASCADE", case["checked"] / opencascade, 1 / 20))
            targets.append((f"{case['name']}: ours / manifold3d", case["checked"] / manifold, 1.0))
    growing = [(c["lanes"], c["checked"]) for c in ours["cases"] if "slabs" not in c]
    targets.append(("exponent, 6 to 600 lanes", exponent(growing), 1.1))
    targets.append(("share of `make` that is STL", ours["stl_of_make"], 0.05))
    print()
    for name, value, limit in targets:
        print(f"{name:40}{value:9.4f}  at most {limit:<5} {'' if value <= limit else 'MISSED'}")
    return all(value <= limit for _, value, limit in targets)


def rivals(case):
    """The best times of OpenCASCADE and of manifold3d."""
    slabs = read(case["slabs"])
    grouped = [(bottom, height, faces(outlines)) for bottom, height, outlines in slabs]
    opencascade = [
        others(case, f"OpenCASCADE, {how}", lambda: by_opencascade(grouped, glue), measured_opencascade, 3)
        for how, glue in GLUE.items()
    ]
    return min(opencascade), others(case, "manifold3d", lambda: by_manifold(slabs), measured_manifold, 21)


def exponent(points):
    """Slope of the straight line fitted to times over lanes, both as logarithms."""
    lanes, times = np.log(np.array(points)).T
    return np.polyfit(lanes, times, 1)[0]


def show_ours(case):
    """Our own lines."""
    row(case["name"], case["corners"], case["triangles"], case["checked"], 1.0)
    parts = {"mesh without checks": "mesh", "mesh and shell": "with_shell", "STL": "stl", "bare stl_io": "bare_stl"}
    for name, key in parts.items():
        if case[key] is not None:
            row("  " + name, "", "", case[key], case[key] / case["checked"])


def row(name, corners, triangles, seconds, times):
    """A line of the table."""
    print(f"{name:22}{corners:>9}{triangles:>11}{1e3 * seconds:10.3f}{times:12.2f}", flush=True)


def others(case, name, make, measure, runs):
    """Median time in which another program makes the case; no time where its volume is wrong."""
    times = []
    for _ in range(runs):
        begun = time.perf_counter()
        made = make()
        times.append(time.perf_counter() - begun)
    volume, triangles = measure(made)
    median = statistics.median(times)
    row("  " + name, "", triangles, median, median / case["checked"])
    if not math.isclose(volume, case["volume"], rel_tol=1e-6):
        print(f"  {name}: a volume of {volume}, not {case['volume']}: left out")
        return math.inf
    return median


def read(slabs):
    """Bottom, height and outlines of each slab, mm."""
    lengths = [([z / 1000.0 for z in s["z"]], [np.array(o) / 1000.0 for o in s["region"]]) for s in slabs]
    return [(bottom, top - bottom, outlines) for (bottom, top), outlines in lengths]


def by_manifold(slabs):
    """The block as manifold3d makes it."""
    prisms = [
        manifold3d.CrossSection(outlines).extrude(height).translate((0, 0, bottom))
        for bottom, height, outlines in slabs
    ]
    return manifold3d.Manifold.batch_boolean(prisms, manifold3d.OpType.Add).to_mesh64()


def measured_manifold(mesh):
    """Volume and triangles."""
    a, b, c = np.moveaxis(mesh.vert_properties[:, :3][mesh.tri_verts], 1, 0)
    return np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6, len(mesh.tri_verts)


def faces(outlines):
    """The outlines in groups: one around material, then those of its holes."""
    areas = [shapely.Polygon(o) for o in outlines]
    outer = [i for i, a in enumerate(areas) if a.exterior.is_ccw]
    tree = shapely.STRtree([areas[i] for i in outer])
    groups = {i: [outlines[i]] for i in outer}
    for hole, area in zip(outlines, areas):
        if not area.exterior.is_ccw:
            around = [outer[k] for k in tree.query(area, predicate="within")]
            groups[min(around, key=lambda i: areas[i].area)].append(hole)
    return list(groups.values())


def by_opencascade(slabs, glue):
    """The block as OpenCASCADE makes it, of slabs whose outlines are in groups."""
    first, *rest = [prism(bottom, height, face) for bottom, height, groups in slabs for face in groups]
    arguments, tools = List_TopoDS_Shape(), List_TopoDS_Shape()
    arguments.Append(first)
    for other in rest:
        tools.Append(other)
    fuse = BRepAlgoAPI_Fuse()
    fuse.SetArguments(arguments)
    fuse.SetTools(tools)
    fuse.SetGlue(glue)
    fuse.SetRunParallel(True)
    fuse.Build()
    shape = fuse.Shape()
    BRepMesh_IncrementalMesh(shape, 0.1, False, 0.5, True)
    return shape


def prism(bottom, height, group):
    """An area with its holes, extruded."""
    plane = gp_Pln(gp_Pnt(0, 0, bottom), gp_Dir(0, 0, 1))
    outer, *holes = [wire(outline, bottom) for outline in group]
    face = BRepBuilderAPI_MakeFace(plane, outer)
    for hole in holes:
        face.Add(hole)
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, height)).Shape()


def wire(outline, z):
    """A closed polygon."""
    polygon = BRepBuilderAPI_MakePolygon()
    for x, y in outline:
        polygon.Add(gp_Pnt(x, y, z))
    polygon.Close()
    return polygon.Wire()


def measured_opencascade(shape):
    """Volume and triangles."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    triangles, explorer = 0, TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        triangles += BRep_Tool.Triangulation_s(TopoDS.Face(explorer.Current()), TopLoc_Location()).NbTriangles()
        explorer.Next()
    return properties.Mass(), triangles


if __name__ == "__main__":
    sys.exit(0 if main() else 1)
