"""The block as a solid of OpenCASCADE: the STL sewn up, and the block extruded anew from rebuilt outlines."""

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS

import plan
import stl

GROUPS = {
    "kernel sewn": "OpenCASCADE: the STL sews into one closed, valid solid with the stated volume (1e-6)",
    "kernel rebuilt": "OpenCASCADE: prisms extruded and fused anew have the STL's volume (1e-6) and centre of mass",
}

SEWING = 1e-6
"""How near corners must be to be sewn together, mm."""


def check(made, report):
    """All checks of one job's solid."""
    mesh = stl.nominal(made)
    sewing = BRepBuilderAPI_Sewing(SEWING)
    for corners in mesh.triangles:
        sewing.Add(face(corners))
    sewing.Perform()
    shape = sewing.SewedShape()
    report.equal("kernel sewn", sewing.NbFreeEdges(), 0, "free edges")
    report.equal("kernel sewn", sewing.NbMultipleEdges(), 0, "edges of more than two facets")
    if not report.equal("kernel sewn", shape.ShapeType(), TopAbs_ShapeEnum.TopAbs_SHELL, "what the facets sew into"):
        return
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shape)).Solid()
    report.expect("kernel sewn", shape.Closed(), "the shell is not closed")
    report.expect("kernel sewn", BRepCheck_Analyzer(solid).IsValid(), "the solid is not valid")
    sewn = mass(solid)
    report.near("kernel sewn", sewn.Mass(), made.block["volume"], 1e-6 * made.block["volume"], "volume")
    if plan.is_plain(made):
        rebuilt(made, sewn, report)


def rebuilt(made, sewn, report):
    """The block made anew from its lanes."""
    whole = None
    for outline, bottom, top in plan.prisms(made):
        floor = [(x, y, bottom) for x, y in outline.exterior.coords[:-1]]
        prism = BRepPrimAPI_MakePrism(face(floor), gp_Vec(0, 0, top - bottom)).Shape()
        whole = prism if whole is None else BRepAlgoAPI_Fuse(whole, prism).Shape()
    report.expect("kernel rebuilt", BRepCheck_Analyzer(whole).IsValid(), "the fused prisms are not valid")
    ours = mass(whole)
    report.near("kernel rebuilt", sewn.Mass(), ours.Mass(), 1e-6 * ours.Mass(), "volume")
    middle = np.array(coordinates(sewn.CentreOfMass())) - coordinates(ours.CentreOfMass())
    report.expect("kernel rebuilt", np.abs(middle).max() < 1e-3, f"centre of mass off by {middle.tolist()} mm")
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(whole, box, False, False)
    extent = np.array(coordinates(box.CornerMax())) - coordinates(box.CornerMin())
    length, depth, _, height = plan.size(made)
    report.expect(
        "kernel rebuilt", np.allclose(extent, [length, depth, height], atol=1e-5), f"extent {extent.tolist()}"
    )


def face(corners):
    """A plane face between corners."""
    outline = BRepBuilderAPI_MakePolygon()
    for corner in corners:
        outline.Add(gp_Pnt(*map(float, corner)))
    outline.Close()
    return BRepBuilderAPI_MakeFace(outline.Wire(), True).Face()


def mass(shape):
    """Volume properties."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return properties


def coordinates(point):
    """The three numbers of a point."""
    return [point.X(), point.Y(), point.Z()]
