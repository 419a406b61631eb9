"""The blade as STEP for another CAD program, through the optional CAD kernel."""

# The kernel's own description of itself lacks most of its names, so the type checker cannot follow them.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import importlib.util
import tempfile
from math import hypot
from pathlib import Path
from typing import Any

import shapely

from plowwright.blade.parts import Assembly, Part
from plowwright.blade.shapes import Solid
from plowwright.errors import MissingToolError
from plowwright.papers import clock
from plowwright.physics.regions import Loop, flatten


def kernel_installed() -> bool:
    """Whether the optional CAD kernel is here."""
    return importlib.util.find_spec("OCP") is not None


def step(assembly: Assembly, *, title: str) -> bytes:
    """The blade as STEP (ISO 10303-21, AP214), millimetres, one named solid for each part's body.

    Args:
        assembly: The blade.
        title: Name written into the file's head.

    Raises:
        MissingToolError: The CAD kernel is not installed.
    """
    if not kernel_installed():
        raise MissingToolError("the CAD kernel is not installed", way_out="Set up with: make run SOLIDS=1")
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_Gravity
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
    from OCP.TCollection import TCollection_HAsciiString

    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    for part in assembly.parts:
        if part.body == "loose":
            continue
        for solid in part.solids:
            Interface_Static.SetCVal_s("write.step.product.name", part.id)
            writer.Transfer(shape_of(part, solid), STEPControl_AsIs)
    header = APIHeaderSection_MakeHeader(writer.Model())
    header.SetName(TCollection_HAsciiString(title))
    header.SetTimeStamp(TCollection_HAsciiString(clock.moment().strftime("%Y-%m-%dT%H:%M:%S")))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "blade.step"
        writer.Write(str(path))
        return path.read_bytes()


def shape_of(part: Part, solid: Solid) -> Any:
    """One solid in the CAD kernel, millimetres: pushed outline, mitred ends cut by planes, bar holes bored.

    Args:
        part: The part it belongs to.
        solid: The solid.
    """
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_Transform
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec

    bounds = solid.region.bounds()
    corners = [(bounds[i], bounds[j]) for i in (0, 2) for j in (1, 3)]
    low = solid.start + min(solid.start_slope[0] * u + solid.start_slope[1] * v for u, v in corners)
    high = solid.end + max(solid.end_slope[0] * u + solid.end_slope[1] * v for u, v in corners)
    face = BRepBuilderAPI_MakeFace(_wire(solid.region.outer, low, ccw=True))
    for loop in solid.region.inner:
        face.Add(_wire(loop, low, ccw=False))
    shape = BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, (high - low) * 1000)).Shape()
    for at, slope, side in ((solid.start, solid.start_slope, -1.0), (solid.end, solid.end_slope, 1.0)):
        if slope != (0.0, 0.0):
            shape = BRepAlgoAPI_Cut(shape, _beyond(at, slope, side)).Shape()
    if part.kind == "bar" and part.mark == "bottom angle":
        for hole in part.holes:
            shape = BRepAlgoAPI_Cut(shape, _bore(hole.across, solid.start + hole.along, hole.diameter)).Shape()
    place = solid.place or part.place
    o = place.origin
    frame = gp_Ax3(gp_Pnt(*(1000 * c for c in o)), gp_Dir(*place.w), gp_Dir(*place.u))
    move = gp_Trsf()
    move.SetTransformation(frame, gp_Ax3())
    return BRepBuilderAPI_Transform(shape, move, True).Shape()


def _beyond(at: float, slope: tuple[float, float], side: float) -> Any:
    """Everything beyond a mitre's plane, as a half space."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeHalfSpace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    plane = gp_Pln(gp_Pnt(0, 0, at * 1000), gp_Dir(-slope[0], -slope[1], 1.0))
    face = BRepBuilderAPI_MakeFace(plane, -1e4, 1e4, -1e4, 1e4).Face()
    return BRepPrimAPI_MakeHalfSpace(face, gp_Pnt(0, 0, at * 1000 + side * 1e4)).Solid()


def _bore(across: float, along: float, diameter: float) -> Any:
    """A bore through the upright leg of the bottom angle, along its u axis."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    axis = gp_Ax2(gp_Pnt(-5.0, across * 1000, along * 1000), gp_Dir(1, 0, 0))
    # The shelf lies above the bolt line; the bore goes through the upright leg and stops short of everything behind it.
    return BRepPrimAPI_MakeCylinder(axis, diameter * 500, 30.0).Shape()


def _wire(loop: Loop, w: float, *, ccw: bool) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Pnt

    if bool(shapely.LinearRing(flatten(loop, 1e-3)).is_ccw) != ccw:
        loop = tuple((p[0], p[1], -loop[i - 1][2]) for i, p in reversed(list(enumerate(loop))))

    def point(u: float, v: float) -> Any:
        return gp_Pnt(u * 1000, v * 1000, w * 1000)

    wire = BRepBuilderAPI_MakeWire()
    for i, a in enumerate(loop):
        b = loop[(i + 1) % len(loop)]
        if hypot(b[0] - a[0], b[1] - a[1]) < 1e-9:
            continue
        if a[2] == 0.0:
            wire.Add(BRepBuilderAPI_MakeEdge(point(a[0], a[1]), point(b[0], b[1])).Edge())
            continue
        u, v = _arc_middle(a, b)
        arc = GC_MakeArcOfCircle(point(a[0], a[1]), point(u, v), point(b[0], b[1])).Value()
        wire.Add(BRepBuilderAPI_MakeEdge(arc).Edge())
    return wire.Wire()


def _arc_middle(a: tuple[float, float, float], b: tuple[float, float, float]) -> tuple[float, float]:
    """Point half way along an arc side: half the chord times the bulge, to the right of the chord for a left turn."""
    du, dv = b[0] - a[0], b[1] - a[1]
    return (a[0] + b[0]) / 2 + dv / 2 * a[2], (a[1] + b[1]) / 2 - du / 2 * a[2]
