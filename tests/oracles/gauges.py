"""Gauges as trimesh, shapely and ezdxf see them: angles of notches, arcs, right angles, and that all files agree.

The STL is cut at half the plate's height into a shapely polygon. Flanks are the longest runs
that pass a notch's apex closely, not what rays meet; arcs are fitted by least squares to the polygon's own corners.
"""

import io
import itertools
import json
import math

import numpy as np
import trimesh
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import polygonize, unary_union

import dxf

GROUPS = {
    "gauges mesh": "trimesh: watertight, wound alike, of the stated volume and size, lying on z = 0",
    "gauges angles": "each notch's flanks in the section of the STL: its stated angle, either side of the bevel (0.005 degrees)",
    "gauges light": "numpy: in every notch a bevel as wanted shows light for sure, one beyond the claim none where it should",
    "gauges hole": "the hole of each notch leaves both flanks free and has the stated radius (5 %)",
    "gauges arcs": "radius by least squares through the arc's corners (0.1 %, or sagitta 1 µm), depth (1 µm)",
    "gauges square": "the right angles inside and outside, in plate and stock (0.001 degrees)",
    "gauges dxf": "ezdxf: release 12, mm, no errors; each plate's cut is the section of its STL (2 µm)",
    "gauges refused": "nothing to make and what cannot be gauged are refused with exit code 2",
}

VISIBLE = 0.01
"""Least gap that is taken to be seen, mm: five times what the light-gap method shows at a knife edge (assumed)."""

STRAY = {"printed": 0.05, "metal": 0.01}
"""How much further one place of a printed wall, or a filed one, stands out than another, mm (common practice, no
source)."""

SHOWN = 1.5
"""Least bevel that must show beside the hole, mm (the program's own rule)."""

HALF = 1.5
"""Half the plates' thickness, mm."""

WANTED = [
    ["--angles", "25,30,35", "--camber", "51,0.25", "--square=60"],
    ["--angles", "17.5,20,22,25,27.5,30,33,35,40,45", "--tolerance", "0.25", "--thickness", "5 mm", "--units", "in"],
    ["--angles", "25", "--thickness", "9", "--camber", "60,2.5", "--camber", "38,0.12", "--square=32"],
]
"""What is asked for; the first is tampered with."""


METAL = ["--angles", "20,25,30,35", "--thickness", "3.5", "--metal"]
"""Gauges that are cut in metal: there is no STL of them."""


def check(program, folder, report):
    """Makes gauges and judges them; then tampers with one file of each kind."""
    for index, arguments in enumerate(WANTED):
        summary, files = make(program, arguments, folder / f"gauges-{index}")
        report.about = f"gauges {index}"
        judge(summary, files, report)
    report.about = "gauges of metal"
    metal(*make(program, METAL, folder / "gauges-metal"), report)
    report.about = ""
    for arguments in ([], ["--angles", "61"], ["--camber", "51,30"], ["--square=500"]):
        done = program.run("gauges", *arguments, "--out", folder / "refused")
        report.expect("gauges refused", done.returncode == 2 and done.stderr, f"{arguments}: {done.returncode}")


def make(program, arguments, out):
    """What `gauges --json` says, and its files."""
    summary = json.loads(program.text("gauges", *arguments, "--json", "--out", out))
    return summary, {path.name: path.read_bytes() for path in out.iterdir()}


def judge(summary, files, report):
    """All checks of one folder."""
    sections = {}
    for plate in summary["plates"]:
        solid = mesh(plate, files[f"{plate['name']}.stl"], report)
        sections[plate["name"]] = section(solid, HALF)
        if plate["kind"] == "bevel gauge":
            bevels(plate, sections[plate["name"]], summary["making"], report)
        elif plate["kind"] == "camber gauge":
            camber(plate, sections[plate["name"]], report)
        else:
            square(plate, sections[plate["name"]], section(solid, 5.0), report)
    cuts(summary, files["gauges.dxf"], sections, report)


def metal(summary, files, report):
    """The notches of gauges cut in metal, in their DXF."""
    shapes = dxf.shapes(files["gauges.dxf"])
    for plate, origin in zip(summary["plates"], summary["dxf_origins"]):
        cut = shapes[f"{plate['name']}_cut".upper()].polylines[0]
        bevels(plate, Polygon(np.array(cut.points) - origin), "metal", report)
    report.equal("gauges light", summary["making"], "metal", "how they are made")


def mesh(plate, data, report):
    """The solid of a file."""
    solid = trimesh.load_mesh(io.BytesIO(data), file_type="stl", process=False)
    solid.vertices = np.round(solid.vertices, 3)
    solid.merge_vertices()
    name = plate["name"]
    report.expect("gauges mesh", solid.is_watertight and solid.is_winding_consistent, f"{name}: not closed")
    report.near("gauges mesh", solid.volume, plate["volume"], 1e-6 * plate["volume"], f"{name}: volume, mm3")
    low, high = solid.bounds
    size = [*plate["size"], plate["height"]]
    off = max(abs(np.array([*low, *(high - size)])))
    report.near("gauges mesh", off, 0.0, 2e-3, f"{name}: bounds {low} to {high}, size {size}")
    return solid


def section(solid, height):
    """The plan at a height as one polygon with its holes."""
    runs = trimesh.intersections.mesh_plane(solid, [0, 0, 1], [0, 0, height])[:, :, :2]
    rings = polygonize(unary_union([LineString(np.round(run, 6)) for run in runs if np.ptp(run, axis=0).max() > 1e-9]))
    return max(rings, key=lambda ring: ring.area).simplify(1e-6)


def corners(polygon):
    """Corners of its outer ring."""
    return np.array(polygon.exterior.coords)[:-1]


def direction(run):
    """Of a run, degrees from 0 to 180."""
    (ax, ay), (bx, by) = run
    return math.degrees(math.atan2(by - ay, bx - ax)) % 180.0


def bevels(plate, polygon, making, report):
    """The flanks of every notch: the two longest runs that pass the apex closely."""
    points = corners(polygon)
    runs = list(zip(points, np.roll(points, -1, axis=0)))
    for notch in plate["measures"]["notches"]:
        apex = np.array(notch["apex"])

        def passes(run):
            along = (run[1] - run[0]) / np.linalg.norm(run[1] - run[0])
            away = apex - run[0]
            near = min(np.linalg.norm(end - apex) for end in run)
            return abs(along[0] * away[1] - along[1] * away[0]) < 0.02 and near < 1.2 * notch["relief"]

        flanks = sorted((run for run in runs if passes(run)), key=lambda run: -np.linalg.norm(run[1] - run[0]))[:2]
        if not report.equal("gauges angles", len(flanks), 2, f"{plate['name']} {notch['name']}: flanks"):
            continue
        between = abs(direction(flanks[0]) - direction(flanks[1]))
        between = min(between, 180.0 - between)
        sign = -1.0 if "\u2212" in notch["name"] else 1.0
        about = f"{plate['name']} {notch['name']}"
        report.near("gauges angles", between, notch["angle"], 0.005, about)
        report.expect("gauges angles", sign * (notch["angle"] - notch["bevel"]) > 0.0, f"{about}: the wrong side")
        light(notch, sign, STRAY[making], about, report)
        within = Point(apex).buffer(notch["relief"] * 0.95, 64).intersection(polygon).area
        beyond = Point(apex).buffer(notch["relief"] * 1.05, 64).difference(polygon).area
        report.near("gauges hole", within, 0.0, 1e-6, f"{about}: plastic within the hole, mm2")
        open_area = math.pi * (notch["relief"] * 1.04) ** 2
        report.expect("gauges hole", beyond < open_area, f"{about}: a larger hole")
        free = min(np.linalg.norm(run[1] - run[0]) for run in flanks)
        least = plate["measures"]["thickness"] / math.sin(math.radians(notch["angle"])) - notch["relief"]
        report.expect("gauges hole", free >= least, f"{notch['name']}: a flank {free} mm long, needed {least}")


def light(notch, sign, stray, about, report):
    """The claim on the thinnest blade: walls straying the worst way leave light as wanted, and feign none past it."""
    thickness = notch["thinnest"]
    wanted, past = gaps(notch, sign, thickness)
    report.expect("gauges light", wanted - stray >= VISIBLE - 1e-6, f"{about}: {wanted} mm as wanted")
    report.expect("gauges light", past <= -(1 - 1e-6) * stray, f"{about}: {past} mm past the claim")
    thinner = thickness * (1 - 1e-4)
    wanted, past = gaps(notch, sign, thinner)
    hidden = thinner < (notch["relief"] + SHOWN) * math.sin(math.radians(notch["angle"]))
    fails = hidden or wanted < VISIBLE + stray or past > -stray
    report.expect("gauges light", fails, f"{about}: the claim also holds of a thinner blade than {thickness} mm")


def gaps(notch, sign, thickness):
    """Gaps of a blade whose bevel is as wanted, and of one just past the claim, where light is looked for, mm."""
    bevels = notch["bevel"], notch["bevel"] + sign * notch["within"]
    return [sign * opening(notch, bevel, thickness) for bevel in bevels]


def opening(notch, bevel, thickness):
    """How far the heel stands off the flank, less how far the rim does, mm: the back on the wall, one end touching."""
    theta, beta = math.radians(notch["angle"]), math.radians(bevel)
    flank, along = np.array([math.sin(theta), math.cos(theta)]), np.array([math.sin(beta), math.cos(beta)])
    rim = notch["relief"] * flank
    if theta >= beta:
        edge = rim - rim[0] / along[0] * along
        heel = edge + thickness / math.sin(beta) * along
        return heel[1] * flank[0] - heel[0] * flank[1]
    heel = thickness / flank[0] * flank
    edge = heel - thickness / math.sin(beta) * along
    section, wall = LineString([edge, heel]), LineString([rim, notch["flank"] * flank])
    return -min(section.distance(Point(rim)), wall.distance(Point(edge)))


def camber(plate, polygon, report):
    """The arc through the upper corners: a circle by least squares (Kasa), then its depth over the blade's width."""
    measures, points = plate["measures"], corners(polygon)
    arc = points[points[:, 1] > 1.0]
    centre = arc.mean(axis=0)
    x, y = (arc - centre).T
    matrix = np.column_stack([2 * x, 2 * y, np.ones_like(x)])
    (a, b, c), *_ = np.linalg.lstsq(matrix, x**2 + y**2, rcond=None)
    radius = math.sqrt(c + a * a + b * b)
    width, depth = measures["width"], measures["depth"]
    wanted = (width * width / 4 + depth * depth) / (2 * depth)
    sagitta = (width * width / 8) / radius - (width * width / 8) / wanted
    report.expect(
        "gauges arcs", abs(radius / wanted - 1) < 1e-3 or abs(sagitta) < 1e-3, f"radius {radius}, wanted {wanted}"
    )
    ordered = arc[np.argsort(arc[:, 0])]
    height = np.interp([measures["middle"][0] + d for d in (-width / 2, 0, width / 2)], *ordered.T)
    report.near("gauges arcs", (height[0] + height[2]) / 2 - height[1], depth, 1.1e-3, f"{plate['name']}: depth, mm")


def square(plate, polygon, stock, report):
    """Right angles: directions of the longest runs at the inner and the outer corner."""
    corner = np.array(plate["measures"]["corner"])
    for name, shape in (("plate", polygon), ("stock", stock)):
        points = corners(shape)
        runs = [run for run in zip(points, np.roll(points, -1, axis=0)) if np.linalg.norm(run[1] - run[0]) > 10.0]
        turns = [min(abs(direction(run) - right) for right in (0.0, 90.0, 180.0)) for run in runs]
        report.near("gauges square", max(turns), 0.0, 1e-3, f"{name}: runs off the square, degrees")
        on_face = [run for run in runs if max(abs(end[0] - corner[0]) for end in run) < 2e-3]
        report.expect("gauges square", on_face, f"{name}: no inner face at {corner}")
    inner = [run for run in zip(corners(polygon), np.roll(corners(polygon), -1, axis=0))
             if max(abs(end[1] - corner[1]) for end in run) < 2e-3]
    longest = max(np.linalg.norm(b - a) for a, b in inner)
    report.expect("gauges square", longest >= plate["measures"]["width"], f"a leg {longest} mm long")


def cuts(summary, data, sections, report):
    """The DXF: sound, and the same outlines."""
    document = dxf.read(data)
    report.equal("gauges dxf", (document.dxfversion, document.header.get("$INSUNITS")), ("AC1009", 4), "version, unit")
    shapes = dxf.shapes(data)
    for plate, origin in zip(summary["plates"], summary["dxf_origins"]):
        layer = shapes.get(f"{plate['name']}_cut".upper())
        if not report.expect("gauges dxf", layer is not None and len(layer.polylines) == 1, f"{plate['name']}: no cut"):
            continue
        cut = Polygon(np.array(layer.polylines[0].points) - origin)
        off = cut.exterior.hausdorff_distance(sections[plate["name"]].exterior)
        report.near("gauges dxf", off, 0.0, 2e-3, f"{plate['name']}: cut and section, mm")
    audit = document.audit()
    report.equal("gauges dxf", [e.message for e in (*audit.errors, *audit.fixes)], [], "errors")


def tampered(program, folder, report):
    """Reports of files tampered with: every group above must object to one of them."""
    summary, files = make(program, WANTED[0], folder / "gauges-tampered")
    found = type(report)()

    def stretched(data, low, high, by):
        facets = np.frombuffer(data, [("n", "<3f4"), ("c", "<(3,3)f4"), ("a", "<u2")], offset=84).copy()
        x = facets["c"][:, :, 0]
        x[(x > low) & (x < high)] += by
        return data[:84] + facets.tobytes()

    notch, camber_middle = summary["plates"][0]["measures"]["notches"][0], summary["plates"][1]["measures"]["middle"]
    x = notch["apex"][0]
    changes = {
        "gauge-bevel.stl": [(x - 0.1, x + 0.1, 0.05), (x - 2 * notch["relief"], x - 0.5, 0.4)],
        "gauge-camber.stl": [(camber_middle[0] + 1, 99.0, 0.2)],
        "gauge-square.stl": [(15.9, 16.1, 0.1), (-1.0, 0.1, 0.5)],
    }
    for name, all_changes in changes.items():
        for low, high, by in all_changes:
            judge(summary, {**files, name: stretched(files[name], low, high, by)}, found)
    other = json.loads(json.dumps(summary))
    other["plates"][1]["measures"]["depth"] *= 1.01
    other["plates"][2]["measures"]["corner"] = [17.0, 14.0]
    judge(other, files, found)
    # A claim that is a little too bold, or that is made of a blade a little too thin, in a notch of either sign.
    for index, what in itertools.product((0, 1), ("within", "thinnest")):
        bold, objections = json.loads(json.dumps(summary)), type(report)()
        bold["plates"][0]["measures"]["notches"][index][what] *= 0.99
        judge(bold, files, objections)
        objects = objections.failures["gauges light"]
        report.expect("gauges objects", objects, f"gauges light did not object to notch {index} with a smaller {what}")
        found.add(objections)
    refused = program.run("gauges", "--angles", "25", "--out", folder / "not-refused")
    found.expect("gauges refused", refused.returncode == 2, "made")
    for group in GROUPS:
        report.expect("gauges objects", found.failures[group], f"{group} did not object")


SELF = {"gauges objects": "each group of the gauges objects to a file or a statement tampered with"}
