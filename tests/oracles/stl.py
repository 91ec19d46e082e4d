"""The block's STL, held against the numbers by trimesh (mesh, rays, sections) and shapely (areas)."""

import io
import struct
from fractions import Fraction

import numpy as np
import pymeshfix
import shapely
import trimesh

import plan

GROUPS = {
    "stl layout": "binary STL: 80-byte header, count, 50 bytes a facet, unit outward normals (layout from memory)",
    "stl grid": "every corner is a whole number of micrometres times the scale of its axis, to the last of 32 bits",
    "stl mesh": "trimesh: watertight, consistent winding, a volume, Euler number 2 - 2 x holes",
    "stl repair": "pymeshfix: no boundary, no facets that meet but at edges, nothing taken or added by its repair",
    "stl size": "trimesh: bounds are the block's size, z from 0",
    "stl volume": "exact volume of the facets = areas x heights of the slabs = those rebuilt from lanes and letters",
    "stl sections": "trimesh sections of every slab = its area, and = outlines rebuilt in shapely",
    "stl layers": "a slice in every layer: closed runs around the slab's area (Green's theorem over the facets' normals)",
    "stl cuts": "grooves, marks, holes and reliefs are where and as wide and deep as the drawing's notes say",
    "stl fences": "trimesh rays: fence distance within 0.001 mm at sides and middle of every blade; normals level",
}

FENCE_WITHIN = 0.001
"""How far a fence may be from offsets.json, mm."""

HALVES = 2000.0
"""Halves of micrometres in a mm."""

TOUCH = 2e-5
"""Ends of runs in a slice that are nearer than this are one, mm."""

CRUMB = 1e-3
"""Less than any letter's piece, mm2."""

IN_A_CELL = 500
"""Facets that are tried against each other: with fewer, long slender facets are in very many cells."""

SCREW_WALL = 3.0
"""Least wall around a screw hole, mm (the program's own rule)."""

FACET = np.dtype([("normal", "<3f4"), ("corners", "<(3,3)f4"), ("attribute", "<u2")])
"""A facet of a binary STL."""


def check(made, report):
    """All checks of one block's STL."""
    data = made.own("stl")
    layout(made, data, report)
    on_grid(made, data, report)
    mesh = nominal(made)
    solid(made, mesh, report)
    repair(mesh, report)
    layers(made, mesh, report)
    fences(made, mesh, report)
    walls(made, data, report)


def facets_of(data):
    """The facets as they are written."""
    return np.frombuffer(data, FACET, offset=84, count=min(struct.unpack_from("<I", data, 80)[0], (len(data) - 84) // 50))


def factors(made):
    """What the file is scaled by along its axes: one over the printer's, as the block lies on the bed."""
    scale = (made.job.get("print") or {}).get("scale") or {"x": 1.0, "y": 1.0}
    along = [1 / scale["x"], 1 / scale["y"]]
    return np.array([*(along[::-1] if is_turned(made) else along), 1.0])


def is_turned(made):
    """Whether the block goes on the bed only when it is turned by a quarter."""
    bed = plan.bed(made)
    length, depth, *_ = plan.size(made)

    def fits(x, y):
        return x <= bed[0] and y <= bed[1]

    return not fits(length, depth) and fits(depth, length)


def on_grid(made, data, report):
    """The corners as written, and the scale that `make --json` states."""
    scale = factors(made)
    report.equal("stl grid", made.part["file_scale"], scale.tolist(), "scale of the file")
    report.equal("stl grid", made.block["turned"], is_turned(made), "turned by a quarter on the bed")
    corners = facets_of(data)["corners"].reshape(-1, 3)
    meant = np.round(corners.astype(float) / scale, 3) * scale
    off = np.abs(corners - meant) / np.spacing(np.maximum(np.abs(corners), 2.0**-126))
    report.expect("stl grid", (off <= 0.5 + 1e-6).all(), f"{(off > 0.5 + 1e-6).sum()} coordinates off the grid")


def nominal(made, part="block"):
    """The mesh of block or cleat in its own size: without the scale, on the grid."""
    mesh = trimesh.load_mesh(io.BytesIO(made.own("stl", part)), file_type="stl", process=False)
    mesh.vertices = np.round(mesh.vertices / factors(made), 3)
    mesh.merge_vertices()
    return mesh


def layout(made, data, report):
    """The bytes themselves."""
    count = struct.unpack_from("<I", data, 80)[0]
    report.equal("stl layout", len(data), 84 + 50 * count, f"length with {count} facets")
    report.expect("stl layout", not data.startswith(b"solid"), "a header that reads as an ASCII file")
    facets = facets_of(data)
    # The normal of a slender facet is that of the corners meant, not of those rounded to 32 bits.
    a, b, c = np.moveaxis(np.round(facets["corners"] / factors(made), 3) * factors(made), 1, 0)
    cross = np.cross(b - a, c - a)
    double_area = np.linalg.norm(cross, axis=1)
    report.expect("stl layout", (double_area > 0).all(), f"{(double_area <= 0).sum()} facets without an area")
    off = np.linalg.norm(cross / np.maximum(double_area, 1e-30)[:, None] - facets["normal"], axis=1)
    report.expect("stl layout", (off < 1e-6).all(), f"{(off >= 1e-6).sum()} normals that are not those of their facets")
    report.expect("stl layout", (facets["attribute"] == 0).all(), "attribute bytes that are not zero")


def solid(made, mesh, report):
    """Mesh, size, volume and sections."""
    holes = made.block["screw_holes"]
    report.expect("stl mesh", mesh.is_watertight, "not watertight")
    report.expect("stl mesh", mesh.is_winding_consistent, "winding is not consistent")
    report.expect("stl mesh", mesh.is_volume, "not a volume")
    report.equal("stl mesh", mesh.euler_number, 2 - 2 * len(holes), f"Euler number with {len(holes)} holes")
    length, depth, *_ = plan.size(made)
    slabs = plan.slabs(made)
    top = slabs[-1].top
    bounds = [[0.0, 0.0, 0.0], [length, depth, top]]
    report.equal("stl size", mesh.bounds.tolist(), bounds, "bounds")
    report.near("stl size", made.block["height"], top, 1e-9, "height")

    stated = [(s["bottom"], s["top"]) for s in made.block["slabs"]]
    report.equal("stl sections", stated, [(s.bottom, s.top) for s in slabs], "levels of the slabs")
    sections = [section(mesh, (s.bottom + s.top) / 2) for s in slabs]
    letters = letters_of(slabs, sections)
    volume = Fraction(0)
    for slab, stated, area in zip(slabs, made.block["slabs"], sections):
        report.near("stl sections", area.area, stated["area"], 1e-9 * stated["area"], f"area at {slab.bottom} mm")
        rebuilt = {"sunk": slab.area.difference(letters), "raised": letters}.get(slab.name, slab.area)
        odd = area.symmetric_difference(rebuilt).area
        report.near("stl sections", odd, 0.0, 1e-6, f"area off the {slab.name} rebuilt")
        exact = exact_area(slab.area)
        if slab.name in ("sunk", "raised"):
            written = exact_area(letters)
            exact = exact - written if slab.name == "sunk" else written
        report.equal("stl volume", doubled(stated["area"]), 2 * exact, f"area of the {slab.name} in square micrometres")
        volume += exact * round((slab.top - slab.bottom) * 1000)
    found = exact_volume(mesh)
    report.equal("stl volume", found, volume, "volume in cubic micrometres")
    report.near("stl volume", made.block["volume"], float(volume) / 1e9, 1e-9 * float(volume) / 1e9, "volume stated")
    pieces = [len(parts(a)) for s, a in zip(slabs, sections) if s.name not in ("sunk", "raised")]
    report.equal("stl sections", pieces, [1] * len(pieces), "sections in one piece")
    cuts(made, slabs, sections, report)


def letters_of(slabs, sections):
    """The letters' area as the mesh has it: what is missing in the raised middle, or stands on it."""
    named = {slab.name: section for slab, section in zip(slabs, sections)}
    if "raised" in named:
        return straight(named["raised"])
    if "sunk" not in named:
        return shapely.Polygon()
    return straight(slabs[-1].area.difference(named["sunk"]))


def straight(area):
    """The area without crumbs of rounding, in one or more pieces."""
    return shapely.MultiPolygon([p for p in parts(area) if p.area > CRUMB])


def exact_area(area):
    """Square micrometres of an area with corners on the grid, or halfway between."""

    def doubled_within(ring):
        corners = [(round(x * HALVES), round(y * HALVES)) for x, y in ring.coords]
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:])))

    twice = sum(
        doubled_within(part.exterior) - sum(map(doubled_within, part.interiors))
        for part in parts(area)
        if not part.is_empty
    )
    return Fraction(twice, 8)


def doubled(area):
    """Twice an area, mm2, in whole square micrometres."""
    return round(area * 2e6)


def exact_volume(mesh):
    """Cubic micrometres within facets whose corners are on the grid."""
    corners = np.round(mesh.triangles * 1000).astype(int).astype(object)
    a, b, c = (corners[:, i].T for i in range(3))
    six = (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        + a[1] * (b[2] * c[0] - b[0] * c[2])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    return Fraction(int(six.sum()), 6)


def section(mesh, z):
    """The mesh cut level at `z`, halfway between two levels of its corners: exact, without corners on straight runs."""
    lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, z])[:, :, :2]
    # Halfway up a wall its facets' side has whole halves of micrometres.
    runs = shapely.linestrings(np.round(lines * HALVES))
    area = shapely.build_area(shapely.multilinestrings(runs[shapely.length(runs) > 0]))
    return shapely.transform(area.simplify(0.0), lambda corners: corners / HALVES)


def parts(area):
    """The polygons of an area in one or more pieces."""
    return list(getattr(area, "geoms", [area]))


def repair(mesh, report):
    """A program that mends meshes finds nothing to mend."""
    fixer = pymeshfix.PyTMesh()
    fixer.set_quiet(True)
    fixer.load_array(np.array(mesh.vertices), np.array(mesh.faces, dtype=np.int32))
    counts = len(mesh.vertices), len(mesh.faces)
    report.equal("stl repair", (fixer.n_points, fixer.n_faces), counts, "corners and facets it could take as they are")
    report.equal("stl repair", fixer.n_boundaries, 0, "boundaries")
    meeting = fixer.select_intersecting_triangles(IN_A_CELL)
    report.equal("stl repair", len(meeting), 0, "facets that meet but at edges")


def layers(made, mesh, report):
    """A slice in the middle of every layer is closed runs, which enclose the slab's area."""
    layer = made.printer("layer", plan.LAYER)
    top = made.block["slabs"][-1]["top"]
    middles = np.arange(0.5, top / layer) * layer
    areas = {(s["bottom"], s["top"]): s["area"] for s in made.block["slabs"]}
    levels = np.array([z for ends in areas for z in ends])
    odd = []
    for z in middles:
        if np.abs(levels - z).min() < 1e-6:
            continue
        wanted = next(area for (low, high), area in areas.items() if low < z < high)
        found, open_ends = slice_of(mesh, z)
        if open_ends or abs(found - wanted) > 1e-9 * wanted:
            odd.append((z, found, wanted, open_ends))
    report.expect("stl layers", not odd, f"z, area found and wanted, open ends: {odd[:3]}")


def slice_of(mesh, z):
    """Area enclosed by a slice, and how many of its runs' ends do not meet: each run has the material at its left."""
    lines, facets = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, z], return_faces=True)
    runs, normals = lines[:, :, :2], mesh.face_normals[facets, :2]
    along = runs[:, 1] - runs[:, 0]
    turned = normals[:, 0] * along[:, 1] - normals[:, 1] * along[:, 0] < 0
    runs[turned] = runs[turned][:, ::-1]
    a, b = runs[:, 0], runs[:, 1]
    area = (a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]).sum() / 2
    starts, ends = shapely.points(a), shapely.points(b)
    reached = shapely.STRtree(starts).query_nearest(ends, max_distance=TOUCH, all_matches=False)[1]
    return area, len(runs) - len(set(reached.tolist()))


def cuts(made, slabs, sections, report):
    """Grooves, marks, holes, reliefs."""
    length, depth, thickness, _ = plan.size(made)
    named = {slab.name: (slab, section) for slab, section in zip(slabs, sections)}
    relief = [s["top"] for s in made.block["slabs"] if s["bottom"] == 0 and s["top"] < 1.0]
    wanted = [plan.FRONT_RELIEF[1]] if made.option("front_relief") else []
    report.equal("stl cuts", relief, wanted, "height of the front relief")

    upper = named["middle"][1]
    holes = [shapely.Polygon(ring) for part in parts(upper) for ring in part.interiors]
    sides = shapely.union_all([part.exterior for part in parts(upper)])
    report.expect("stl cuts", len(holes) <= (2 if made.option("screw_holes") else 0), f"{len(holes)} screw holes")
    report.equal("stl cuts", len(holes), len(made.block["screw_holes"]), "screw holes stated")
    for hole in holes:
        report.near("stl cuts", hole.area, plan.hole_area(), 0.02, "area of a screw hole")
        report.near(
            "stl cuts", hole.exterior.distance(hole.centroid), plan.SCREW_HOLE / 2, 0.002, "radius free for a screw"
        )
        wall = hole.distance(sides)
        report.expect("stl cuts", wall >= SCREW_WALL - 0.02, f"a wall of {wall} mm beside a screw hole")
    if "foot" in named:
        below = [shapely.Polygon(ring) for part in parts(named["foot"][1]) for ring in part.interiors]
        for hole in holes:
            around = [b for b in below if b.contains(hole)]
            report.equal("stl cuts", len(around), 1, "reliefs around a screw hole")
            for wide in around:
                free = wide.exterior.distance(hole.centroid) - plan.SCREW_HOLE / 2
                report.near("stl cuts", free, plan.FRONT_RELIEF[0], 0.004, "relief around a screw hole")

    wanted = made.option("foot_relief") or made.option("marks")
    cut = [named["grooved"]] if "grooved" in named and slabs[-1].bottom > 1.0 else []
    pockets = plan.board(made).difference(shapely.union_all([cut[0][1], *holes])) if cut else shapely.Polygon()
    pockets = [p for p in parts(pockets) if p.area > 1e-3]
    if not wanted:
        report.equal("stl cuts", len(pockets), 0, "pockets in a board without grooves and marks")
        return
    if pockets:
        report.near(
            "stl cuts", cut[0][0].bottom, thickness - plan.FOOT_RELIEF[1], 1e-9, "floor of grooves and marks"
        )
    placed = plan.lanes(made)
    for pocket in pockets:
        homes = [lane for lane in placed if lane.table(depth).buffer(1e-3).contains(pocket)]
        report.equal("stl cuts", len(homes), 1, f"tables that hold the pocket {pocket.bounds}")
        edges = shapely.MultiLineString([[(0, 0), (length, 0)], [(0, depth), (length, depth)]])
        report.expect("stl cuts", pocket.distance(edges) > 1.0, f"a pocket {pocket.distance(edges)} mm from an edge")
    for lane in placed:
        own = [p for p in pockets if lane.table(depth).buffer(1e-3).contains(p)]
        wall = lane.fence if lane.edge == "near" else depth - lane.fence
        at_fence = [p for p in own if abs(p.bounds[3 if lane.edge == "near" else 1] - wall) < 2e-3]
        report.equal("stl cuts", len(at_fence), int(made.option("foot_relief")), f"{lane.id}: grooves at the fence")
        for groove in at_fence:
            low, high = groove.bounds[1::2]
            report.near("stl cuts", high - low, plan.FOOT_RELIEF[0], 2e-3, f"{lane.id}: width of the groove")
        marks = shapely.union_all([p for p in own if p not in at_fence])
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
            "reference edge": thickness / 2,
            "fence at edge height": thickness + lane.thickness,
            "fence at its foot": thickness + 0.05,
        }
        hits = {what: [first_wall(mesh, x, outside, lane.inward, z) for x in xs] for what, z in heights.items()}
        edges = hits.pop("reference edge")
        for what, walls in hits.items():
            for place, edge, wall in zip(("one side", "middle", "other side"), edges, walls):
                distance = (wall - edge) * lane.inward
                report.near("stl fences", distance, lane.fence, FENCE_WITHIN, f"{lane.id}: {what}, {place}")
    for reading in made.part["readings"]:
        fence = made.offsets[reading["id"]]["fence_distance"]
        report.equal(
            "stl fences", reading["wanted"], fence, f"{reading['id']}: distance that the program measured against"
        )


def first_wall(mesh, x, outside, inward, z):
    """y of the first facet that a ray along y meets from outside; not a number where it meets none."""
    points, _, _ = mesh.ray.intersects_location([[x, outside, z]], [[0.0, inward, 0.0]])
    return min((p[1] for p in points), key=lambda y: abs(y - outside), default=float("nan"))


def walls(made, data, report):
    """The facets of every fence, as they are written, look straight at the edge and leave no part of it out."""
    length, depth, thickness, fences = plan.size(made)
    facets, scale = facets_of(data), factors(made)
    corners = np.round(facets["corners"] / scale, 3)
    for lane in plan.lanes(made):
        y = plan.grid(lane.fence if lane.edge == "near" else depth - lane.fence)
        beside = (corners[:, :, 0].max(axis=1) > lane.x[0]) & (corners[:, :, 0].min(axis=1) < lane.x[1])
        on = (corners[:, :, 1] == y).all(axis=1) & beside
        normals = {tuple(n) for n in facets["normal"][on].tolist()}
        report.equal("stl fences", normals, {(0.0, -lane.inward, 0.0)}, f"{lane.id}: normals of the fence")
        wall = shapely.box(plan.grid(lane.x[0]), thickness, plan.grid(lane.x[1]), fences)
        found = shapely.area(shapely.intersection(shapely.polygons(corners[on][:, :, [0, 2]]), wall)).sum()
        report.near("stl fences", found, wall.area, 1e-6 * wall.area, f"{lane.id}: area of the fence")
