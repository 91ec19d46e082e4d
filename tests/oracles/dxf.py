"""A DXF file as ezdxf reads it: format, unit, layers, extents, and its shapes for a comparison with a model."""

import io
import math
from dataclasses import dataclass, field

import ezdxf
from ezdxf import bbox
from shapely.geometry import Polygon

GROUPS = {
    "dxf read": "ezdxf reads it as release 12 (AC1009), and its audit finds no error and has nothing to fix",
    "dxf unit": "$INSUNITS 4 and $MEASUREMENT 1: mm (DXF reference, from memory)",
    "dxf layers": "the layers are the wanted ones, in A-Z, 0-9, - and _; every entity is on one; none is empty",
    "dxf extents": "$EXTMIN and $EXTMAX are the bounds that ezdxf finds of all outlines (1e-6 mm), z = 0",
}

ITS_OWN = {"0", "Defpoints"}
"""Layers that every drawing has, or that the reader adds."""

ALLOWED = set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_")
"""Signs of layer names."""

WITHIN = 1e-6
"""How far coordinates may be off, mm."""

FLATTENED = 1e-4
"""How far straight runs may leave the arcs that they stand for, mm."""


@dataclass
class Polyline:
    """Corners as x, y and the bulge of the run that follows."""

    corners: list
    closed: bool
    points: list = field(repr=False)

    def area(self):
        """What a closed one encloses, arcs as straight runs within 1e-4 mm."""
        return Polygon(self.points)


@dataclass
class Layer:
    """What is on a layer, in mm, y up."""

    polylines: list = field(default_factory=list)
    circles: list = field(default_factory=list)
    """Centre and radius."""
    lines: list = field(default_factory=list)
    """Both ends."""
    texts: list = field(default_factory=list)
    """Words, place, height of capitals, turn in degrees counterclockwise."""


def read(data):
    """The document; words that are no ASCII are an error."""
    return ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="ascii"))


def check(data, names, report):
    """All checks of a file whose layers must have these names."""
    document = read(data)
    report.equal("dxf read", document.dxfversion, "AC1009", "version")
    report.equal("dxf unit", document.header.get("$INSUNITS"), 4, "$INSUNITS")
    report.equal("dxf unit", document.header.get("$MEASUREMENT"), 1, "$MEASUREMENT")
    layers(document, names, report.of("dxf layers"))
    extents(document, report.of("dxf extents"))
    # Last, since it mends what it finds.
    audit = document.audit()
    report.equal("dxf read", [e.message for e in audit.errors], [], "errors")
    report.equal("dxf read", [e.message for e in audit.fixes], [], "fixes")


def layers(document, names, expected):
    """The table of layers and what refers to it."""
    table = {layer.dxf.name for layer in document.layers} - ITS_OWN
    expected.equal(table, set(names), "layers")
    expected.equal({n for n in table if not n or set(n) - ALLOWED}, set(), "names with other signs")
    used = {entity.dxf.layer for entity in document.modelspace()}
    expected.equal(used, set(names), "layers that something is drawn on")
    line_types = {layer.dxf.linetype.upper() for layer in document.layers}
    expected.equal(line_types - {line.dxf.name.upper() for line in document.linetypes}, set(), "unknown line types")


def extents(document, expected):
    """The header's bounds against those of the entities."""
    outlines = [e for e in document.modelspace() if e.dxftype() != "TEXT"]
    found = bbox.extents(outlines)
    texts = [e.dxf.insert for e in document.modelspace() if e.dxftype() == "TEXT"]
    found.extend(texts)
    for name, corner in (("$EXTMIN", found.extmin), ("$EXTMAX", found.extmax)):
        off = math.dist(document.header[name], corner)
        expected.near(off, 0.0, WITHIN, f"{name} {document.header[name]}, entities {corner}")
    expected.equal((found.extmin.z, found.extmax.z), (0.0, 0.0), "heights")


def shapes(data):
    """What is drawn, by layer; an entity of another kind is an error."""
    found = {}
    for entity in read(data).modelspace():
        layer = found.setdefault(entity.dxf.layer, Layer())
        match entity.dxftype():
            case "POLYLINE":
                layer.polylines.append(polyline(entity))
            case "CIRCLE":
                layer.circles.append((tuple(entity.dxf.center)[:2], entity.dxf.radius))
            case "LINE":
                layer.lines.append((tuple(entity.dxf.start)[:2], tuple(entity.dxf.end)[:2]))
            case "TEXT":
                at = tuple(entity.dxf.insert)[:2]
                layer.texts.append((entity.plain_text(), at, entity.dxf.height, entity.dxf.rotation))
            case other:
                raise ValueError(f"{other} is not expected")
    return found


def polyline(entity):
    """A polyline's corners and the points of its runs."""
    corners = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
    path = ezdxf.path.make_path(entity)
    return Polyline(corners, entity.is_closed, [(p.x, p.y) for p in path.flattening(FLATTENED)])
