"""The block's STL, held against the numbers by trimesh (mesh, rays, sections) and shapely (areas)."""

import io
import struct

import numpy as np
import shapely
import trimesh
from shapely.ops import polygonize, unary_union

import plan

GROUPS = {
    "stl layout": "binary STL: 80-byte header, count, 50 bytes a facet, unit outward normals (layout from memory)",
    "stl mesh": "trimesh: watertight, consistent winding, a volume, Euler number 2 - 2 x holes",
    "stl size": "trimesh: bounds are the block's size, z from 0",
    "stl volume": "trimesh volume = sum of slab areas x heights, and = prisms rebuilt in shapely for plain jobs",
    "stl sections": "trimesh sections of every slab = its area, and = outlines rebuilt in shapely",
    "stl cuts": "grooves, marks, holes and reliefs are where and as wide and deep as the drawing's notes say",
    "stl fences": "trimesh rays from outside: fence distance within 0.001 mm at both sides and middle of every blade",
}

FENCE_WITHIN = 0.001
"""How far a fence may be from offsets.json, mm."""

FLOAT = 3.1e-5
"""Rounding of a coordinate below 1024 mm to 32 bits, mm."""

SCREW_WALL = 3.0
"""Least wall around a screw hole, mm (the program's own rule)."""

FACET = np.dtype([("normal", "<3f4"), ("corners", "<(3,3)f4"), ("attribute", "<u2")])
"""A facet of a binary STL."""


def check(made, report):
    """All checks of one job's STL."""
    data = made.files["block.stl"]
    layout(data, report)
    mesh = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
    holes = len(solid(made, mesh, report))
    report.equal("stl mesh", mesh.euler_number, 2 - 2 * holes, f"Euler number with {holes} holes")
    fences(made, mesh, report)


def layout(data, report):
    """The bytes themselves."""
    count = struct.unpack_from("<I", data, 80)[0]
    report.equal("stl layout", len(data), 84 + 50 * count, f"length with {count} facets")
    report.expect("stl layout", not data.startswith(b"solid"), "a header that reads as an ASCII file")
    facets = np.frombuffer(data, FACET, offset=84, count=min(count, (len(data) - 84) // 50))
    a, b, c = np.moveaxis(facets["corners"].astype(float), 1, 0)
    cross = np.cross(b - a, c - a)
    double_area = np.linalg.norm(cross, axis=1)
    report.expect("stl layout", (double_area > 0).all(), f"{(double_area <= 0).sum()} facets without an area")
    off = np.linalg.norm(cross / np.maximum(double_area, 1e-30)[:, None] - facets["normal"], axis=1)
    report.expect("stl layout", (off < 1e-3).all(), f"{(off >= 1e-3).sum()} normals that are not those of their facets")
    report.expect("stl layout", (facets["attribute"] == 0).all(), "attribute bytes that are not zero")


def solid(made, mesh, report):
    """Mesh, size, volume and sections; returns the holes."""
    report.expect("stl mesh", mesh.is_watertight, "not watertight")
    report.expect("stl mesh", mesh.is_winding_consistent, "winding is not consistent")
    report.expect("stl mesh", mesh.is_volume, "not a volume")
    length, depth, thickness, height = plan.size(made)
    bounds = np.array([[0.0, 0.0, 0.0], [length, depth, height]])
    report.expect("stl size", np.allclose(mesh.bounds, bounds, rtol=0, atol=FLOAT), f"bounds {mesh.bounds.tolist()}")
    report.near("stl size", height - thickness, made.block["fence_height"], 1e-9, "fence height")

    slabs = made.block["slabs"]
    by_slabs = sum(s["area"] * (s["top"] - s["bottom"]) for s in slabs)
    report.expect("stl volume", mesh.volume > 0, f"volume {mesh.volume}")
    report.near("stl volume", mesh.volume, by_slabs, 1e-6 * by_slabs, "volume by slabs")
    report.near("stl volume", made.block["volume"], by_slabs, 1e-9 * by_slabs, "volume of the summary")
    if plan.is_plain(made):
        rebuilt = sum(outline.area * (top - bottom) for outline, bottom, top in plan.prisms(made))
        report.near("stl volume", mesh.volume, rebuilt, 1e-6 * rebuilt, "volume by prisms rebuilt from the lanes")

    ends = [slabs[0]["bottom"], *(s["top"] for s in slabs)]
    report.near("stl sections", ends[-1], height, 1e-9, "top of the last slab")
    report.equal("stl sections", ends[1:-1], [s["bottom"] for s in slabs[1:]], "bottoms of the slabs")
    sections = [section(mesh, (s["bottom"] + s["top"]) / 2) for s in slabs]
    for slab, area in zip(slabs, sections):
        report.near("stl sections", area.area, slab["area"], 1e-6 * slab["area"], f"area at {slab['bottom']} mm")
    report.equal("stl sections", [a.geom_type for a in sections], ["Polygon"] * len(slabs), "sections in one piece")
    holes = [shapely.Polygon(ring) for part in parts(sections[-1]) for ring in part.interiors]
    for outline, bottom, top in plan.prisms(made):
        # Over the prism's own height only grooves and marks may be missing, which are looked at by themselves.
        whole = outline.difference(unary_union(holes))
        at = section(mesh, (bottom + min(top, bottom + 0.5)) / 2)
        odd = at.symmetric_difference(whole).area
        report.near("stl sections", odd, 0.0, 1e-4 * outline.length, f"area off the outline rebuilt above {bottom} mm")
    cuts(made, sections, holes, report)
    return holes


def section(mesh, z):
    """The mesh cut level at `z`."""
    lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, z])[:, :, :2]
    runs = shapely.linestrings(np.round(lines, 4))
    faces = list(polygonize(unary_union(runs[shapely.length(runs) > 0])))
    return unary_union([f for f in faces if even_odd(f.representative_point(), faces)])


def parts(area):
    """The polygons of an area in one or more pieces."""
    return list(getattr(area, "geoms", [area]))


def even_odd(point, faces):
    """Whether a point is in the material, by the outlines around it."""
    return sum(shapely.Polygon(f.exterior).contains(point) for f in faces) % 2 == 1


def cuts(made, sections, holes, report):
    """Grooves, marks, holes, reliefs."""
    length, depth, thickness, _ = plan.size(made)
    slabs = made.block["slabs"]
    relief = [s["top"] for s in slabs if s["bottom"] == 0 and s["top"] < 1.0]
    wanted = [plan.FRONT_RELIEF[1]] if made.option("front_relief") else []
    report.equal("stl cuts", relief, wanted, "height of the front relief")

    sides = unary_union([part.exterior for part in parts(sections[-1])])
    report.expect("stl cuts", len(holes) <= (2 if made.option("screw_holes") else 0), f"{len(holes)} screw holes")
    for hole in holes:
        report.near("stl cuts", hole.area, plan.hole_area(), 0.02, "area of a screw hole")
        report.near(
            "stl cuts", hole.exterior.distance(hole.centroid), plan.SCREW_HOLE / 2, 0.002, "radius free for a screw"
        )
        wall = hole.distance(sides)
        report.expect("stl cuts", wall >= SCREW_WALL - 0.02, f"a wall of {wall} mm beside a screw hole")

    wanted = made.option("foot_relief") or made.option("marks")
    cut = [(s, a) for s, a in zip(slabs, sections) if s["bottom"] > 1.0 and abs(s["top"] - thickness) < 1e-9]
    pockets = plan.board(made).difference(unary_union([cut[0][1], *holes])) if cut else shapely.Polygon()
    pockets = [p for p in parts(pockets) if p.area > 1e-3]
    if not wanted:
        report.equal("stl cuts", len(pockets), 0, "pockets in a board without grooves and marks")
        return
    if pockets:
        report.near(
            "stl cuts", cut[0][0]["bottom"], thickness - plan.FOOT_RELIEF[1], 1e-9, "floor of grooves and marks"
        )
    placed = plan.lanes(made)
    for pocket in pockets:
        homes = [lane for lane in placed if lane.apron(depth).buffer(1e-3).contains(pocket)]
        report.equal("stl cuts", len(homes), 1, f"aprons that hold the pocket {pocket.bounds}")
        edges = shapely.MultiLineString([[(0, 0), (length, 0)], [(0, depth), (length, depth)]])
        report.expect("stl cuts", pocket.distance(edges) > 1.0, f"a pocket {pocket.distance(edges)} mm from an edge")
    for lane in placed:
        own = [p for p in pockets if lane.apron(depth).buffer(1e-3).contains(p)]
        wall = lane.fence if lane.edge == "near" else depth - lane.fence
        at_fence = [p for p in own if abs(p.bounds[3 if lane.edge == "near" else 1] - wall) < 2e-3]
        report.equal("stl cuts", len(at_fence), int(made.option("foot_relief")), f"{lane.id}: grooves at the fence")
        for groove in at_fence:
            low, high = groove.bounds[1::2]
            report.near("stl cuts", high - low, plan.FOOT_RELIEF[0], 2e-3, f"{lane.id}: width of the groove")
        marks = unary_union([p for p in own if p not in at_fence])
        if not made.option("marks"):
            report.expect("stl cuts", marks.is_empty, f"{lane.id}: marks that were not asked for")
        elif not marks.is_empty:
            middle = (marks.bounds[0] + marks.bounds[2]) / 2
            report.near("stl cuts", middle, lane.centre, 2e-3, f"{lane.id}: middle of the marks")
            half = lane.blade_width / 2
            report.expect(
                "stl cuts",
                lane.centre - half < marks.bounds[0] and marks.bounds[2] < lane.centre + half,
                f"{lane.id}: marks beside the blade",
            )


def fences(made, mesh, report):
    """Every fence distance, and that nothing stands in the blade's way."""
    _, depth, thickness, _ = plan.size(made)
    for lane in plan.lanes(made):
        outside = -10.0 if lane.edge == "near" else depth + 10.0
        # Just inside the blade's sides; the middle a little off, so that no ray runs along a facet's side.
        xs = [lane.centre - 0.4987 * lane.blade_width, lane.centre + 0.0137, lane.centre + 0.4987 * lane.blade_width]
        heights = {
            "registering edge": thickness / 2,
            "fence at edge height": thickness + lane.thickness,
            "fence at its foot": thickness + 0.05,
        }
        hits = {what: [first_wall(mesh, x, outside, lane.inward, z) for x in xs] for what, z in heights.items()}
        edges = hits.pop("registering edge")
        for what, walls in hits.items():
            for place, edge, wall in zip(("one side", "middle", "other side"), edges, walls):
                distance = (wall - edge) * lane.inward
                report.near("stl fences", distance, lane.fence, FENCE_WITHIN, f"{lane.id}: {what}, {place}")
    for reading in made.summary["readings"]:
        fence = made.offsets[reading["id"]]["fence_distance"]
        report.equal(
            "stl fences", reading["wanted"], fence, f"{reading['id']}: distance that the program measured against"
        )


def first_wall(mesh, x, outside, inward, z):
    """y of the first facet that a ray along y meets from outside; not a number where it meets none."""
    points, _, _ = mesh.ray.intersects_location([[x, outside, z]], [[0.0, inward, 0.0]])
    return min((p[1] for p in points), key=lambda y: abs(y - outside), default=float("nan"))
