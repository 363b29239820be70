# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false, reportUnknownVariableType=false
# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false, reportUnknownParameterType=false
"""The door to the CAD kernel: shapes from contours and frames, and the booleans between them. Lengths in mm.

This file and its neighbours `kernel_*.py` are the only ones that load the kernel. OCP is called directly, because
importing cadquery costs as much again (1.0 s) and its classes wrap the same calls. Whatever the kernel refuses comes
out as a `SolidError`; whether a shape is right is asked in `proof.py`, never assumed here.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_NurbsConvert,
)
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_ListOfShape

from rackgen.errors import SolidError
from rackgen.geom import outline
from rackgen.geom.frame import Frame, clock_direction
from rackgen.geom.outline import Contour, Vertex
from rackgen.geom.spine import Piece

FUZZY = 1e-3
"""The fuzziness of a second try, mm. 1e-5 gave empty shapes, 1e-3 none in 48 copes."""


@dataclass(frozen=True, eq=False)
class Solid:
    """A shape of the kernel. Only the kernel files look inside; it is never changed once made."""

    shape: Any


@contextmanager
def refusal(doing: str) -> Generator[None]:
    """Turn a refusal of the kernel into a `SolidError` that says what was being done."""
    try:
        yield
    except Exception as error:
        # The kernel's exceptions share no base class in Python (tests/kernel says so); their module tells them.
        if not type(error).__module__.startswith("OCP."):
            raise
        raise SolidError(f"the kernel refused {doing}: {error}") from error


@dataclass(frozen=True)
class Circle:
    """A whole circle in a plane, one face where a contour of two arcs would sweep two; mm."""

    x: float
    y: float
    diameter: float


def prism(frame: Frame, outer: Contour | Circle, inner: Iterable[Contour | Circle], along: ArrayLike) -> Solid:
    """Return what a flat figure sweeps along a vector.

    Args:
        frame: the figure lies in its XY plane.
        outer: the figure's border, anticlockwise.
        inner: openings in it, each anticlockwise.
        along: the sweep in the frame's own coordinates, with a part along its Z, mm.
    """
    with refusal("a prism"):
        face = _face(frame, outer, inner)
        return Solid(BRepPrimAPI_MakePrism(face, _gp_vec(frame.direction(along))).Shape())


def revolved(profile: Contour) -> Solid:
    """Return the profile turned a full turn about Z.

    Args:
        profile: anticlockwise, its x the distance from the axis, its y along Z, mm.
    """
    with refusal("a turned shape"):
        face = _face(Frame.of((0, 0, 0), (1, 0, 0), (0, -1, 0)), profile, ())
        return Solid(BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape())


def pipe(pieces: Sequence[Piece], outer: float, inner: float, seam: float = 0.0) -> Solid:
    """Return a round tube along a spine as true cylinders and tori.

    Args:
        pieces: of the spine, in order.
        outer: outside radius, mm.
        inner: inside radius, mm; 0 for a rod.
        seam: clock at which the faces are closed, degrees.
    """
    return Solid(swept(pieces, outer, inner, seam).Shape())


def swept(pieces: Sequence[Piece], outer: float, inner: float, seam: float) -> Any:
    """Return the kernel's own sweep of a tube's section along pieces of a spine, for the kernel files."""
    begin = pieces[0].frame
    with refusal("a bent tube"):
        rim = gp_Ax2(_gp_pnt(begin.origin), _gp_dir(begin.x), _gp_dir(begin.direction(clock_direction(seam))))
        section = BRepBuilderAPI_MakeFace(gp_Pln(gp_Ax3(rim)), _ring(rim, outer), True)
        if inner > 0:
            section.Add(TopoDS.Wire_s(_ring(rim, inner).Reversed()))
        wire = BRepBuilderAPI_MakeWire()
        for piece in pieces:
            wire.Add(_piece_edge(piece))
        if not wire.IsDone():
            raise SolidError("the pieces of the spine do not join")
        return BRepOffsetAPI_MakePipe(wire.Wire(), section.Face())


def cylinder(frame: Frame, radius: float, start: float, end: float) -> Solid:
    """Return a cylinder about the frame's X from `start` to `end`, closed over at the frame's Z; mm."""
    with refusal("a cylinder"):
        axis = gp_Ax2(_gp_pnt(frame.point((start, 0, 0))), _gp_dir(frame.x), _gp_dir(frame.z))
        return Solid(BRepPrimAPI_MakeCylinder(axis, radius, end - start).Shape())


def cut(body: Solid, tools: Sequence[Solid], fuzzy: float = 0.0) -> Solid:
    """Return the body without the tools, all of them in one operation."""
    return _boolean(BRepAlgoAPI_Cut(), "a cut", body, tools, fuzzy)


def common(body: Solid, tool: Solid) -> Solid:
    """Return what the two have in common."""
    return _boolean(BRepAlgoAPI_Common(), "an intersection", body, (tool,), 0.0)


def fuse(first: Solid, others: Sequence[Solid]) -> Solid:
    """Return all of them as one."""
    return _boolean(BRepAlgoAPI_Fuse(), "a fusion", first, others, 0.0)


def as_splines(shape: Solid) -> Solid:
    """Return the same shape with rational spline surfaces for its cylinders.

    Exactly the same points, but the kernel then searches for intersections in another way; its closed form for two
    cylinders finds nothing at all for some harmless pairs (tests/kernel has one).
    """
    with refusal("a change to splines"):
        return Solid(BRepBuilderAPI_NurbsConvert(shape.shape, True).Shape())


def solids(shape: Solid) -> tuple[Solid, ...]:
    """Return the single solids in a shape, in the kernel's order."""
    found: list[Solid] = []
    explorer = TopExp_Explorer(shape.shape, TopAbs_SOLID)
    while explorer.More():
        found.append(Solid(explorer.Current()))
        explorer.Next()
    return tuple(found)


def moved(shape: Solid, frame: Frame) -> Solid:
    """Return the same solid standing in a frame; its faces are shared, not copied."""
    with refusal("a move"):
        return Solid(shape.shape.Moved(location(frame)))


def location(frame: Frame) -> Any:
    """Return the kernel's location of a frame."""
    move = gp_Trsf()
    m = frame.matrix()
    move.SetValues(*(float(v) for v in m[:3].ravel()))
    return TopLoc_Location(move)


def _boolean(operation: Any, doing: str, body: Solid, tools: Sequence[Solid], fuzzy: float) -> Solid:
    bodies, others = TopTools_ListOfShape(), TopTools_ListOfShape()
    bodies.Append(body.shape)
    for tool in tools:
        others.Append(tool.shape)
    with refusal(doing):
        operation.SetArguments(bodies)
        operation.SetTools(others)
        operation.SetFuzzyValue(fuzzy)
        operation.SetRunParallel(False)
        operation.SetNonDestructive(True)
        operation.Build()
        if not operation.IsDone():
            raise SolidError(f"the kernel failed at {doing}")
        return Solid(operation.Shape())


def _face(frame: Frame, outer: Contour | Circle, inner: Iterable[Contour | Circle]) -> Any:
    plane = gp_Pln(gp_Ax3(_gp_pnt(frame.origin), _gp_dir(frame.z), _gp_dir(frame.x)))
    face = BRepBuilderAPI_MakeFace(plane, _wire(frame, outer), True)
    for contour in inner:
        face.Add(TopoDS.Wire_s(_wire(frame, contour).Reversed()))
    if not face.IsDone():
        raise SolidError("a contour that bounds no flat figure")
    return face.Face()


def _wire(frame: Frame, contour: Contour | Circle) -> Any:
    if isinstance(contour, Circle):
        axis = gp_Ax2(_gp_pnt(frame.point((contour.x, contour.y, 0))), _gp_dir(frame.z), _gp_dir(frame.x))
        return _ring(axis, contour.diameter / 2)
    wire = BRepBuilderAPI_MakeWire()
    for a, b in outline.sides(contour):
        wire.Add(_side(frame, a, b))
    if not wire.IsDone():
        raise SolidError("a contour that does not close")
    return wire.Wire()


def _side(frame: Frame, a: Vertex, b: Vertex) -> Any:
    start, end = _gp_pnt(frame.point((a.x, a.y, 0))), _gp_pnt(frame.point((b.x, b.y, 0)))
    if not a.bulge:
        return BRepBuilderAPI_MakeEdge(start, end).Edge()
    x, y, radius, angle = outline.arc(a, b)
    # An arc that turns clockwise is an anticlockwise one about the plane's other side.
    axis = np.array(frame.z) * math.copysign(1.0, angle)
    toward = frame.direction((a.x - x, a.y - y, 0))
    rim = gp_Circ(gp_Ax2(_gp_pnt(frame.point((x, y, 0))), _gp_dir(axis), _gp_dir(toward)), radius)
    return BRepBuilderAPI_MakeEdge(rim, start, end).Edge()


def _ring(axis: Any, radius: float) -> Any:
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axis, radius)).Edge()).Wire()


def _piece_edge(piece: Piece) -> Any:
    frame = piece.frame
    if piece.bend is None:
        return BRepBuilderAPI_MakeEdge(_gp_pnt(frame.origin), _gp_pnt(frame.point((piece.length, 0, 0)))).Edge()
    toward = np.array(frame.direction(clock_direction(piece.bend.turn)))
    centre = np.array(frame.origin) + piece.bend.clr * toward
    axis = gp_Ax2(_gp_pnt(centre), _gp_dir(np.cross(frame.x, toward)), _gp_dir(-toward))
    return BRepBuilderAPI_MakeEdge(gp_Circ(axis, piece.bend.clr), 0.0, math.radians(piece.bend.angle)).Edge()


def _gp_pnt(v: ArrayLike) -> Any:
    x, y, z = (float(c) for c in np.asarray(v))
    return gp_Pnt(x, y, z)


def _gp_dir(v: ArrayLike) -> Any:
    x, y, z = (float(c) for c in np.asarray(v))
    return gp_Dir(x, y, z)


def _gp_vec(v: ArrayLike) -> Any:
    x, y, z = (float(c) for c in np.asarray(v))
    return gp_Vec(x, y, z)
