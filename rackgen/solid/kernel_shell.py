# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false, reportUnknownVariableType=false
# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false
"""Solids built face by face from known curves: each curve is given by its points, none is searched for.

Sides are splines of degree 5 through points at a fixed set of nodes, so that the same small matrix serves the curve in
space and its images on the surfaces beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
from OCP.BRepLib import BRepLib
from OCP.Geom import (
    Geom_BSplineCurve,
    Geom_BSplineSurface,
    Geom_Circle,
    Geom_ConicalSurface,
    Geom_CylindricalSurface,
    Geom_Line,
    Geom_Plane,
)
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_FACE, TopAbs_FORWARD, TopAbs_REVERSED, TopAbs_SHELL
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from rackgen.errors import SolidError
from rackgen.geom.frame import Array, Frame
from rackgen.geom.spine import Piece
from rackgen.solid.kernel import Solid, refusal, swept

TOLERANCE = 5e-6
"""How far a side may lie from its surfaces, mm, and what its edge is given as tolerance."""

SEW = 1e-5
"""How far apart sides may lie that are sewn into one, mm."""

DEGREE = 5

COUNTS = (41, 81, 161)
"""How many points a side may be laid through; few while they do."""


@dataclass(frozen=True)
class Flatness:
    """The XY plane of the frame, seen from its +Z."""

    frame: Frame


@dataclass(frozen=True)
class Roundness:
    """A cylinder about the frame's Z, closed over where the frame's X points."""

    frame: Frame
    radius: float


@dataclass(frozen=True)
class Coniness:
    """A cone about the frame's Z, wider toward it, closed over where the frame's X points.

    Attributes:
        frame: its origin on the axis.
        radius: about the origin, mm.
        slope: between axis and ruling, radians, positive.
    """

    frame: Frame
    radius: float
    slope: float


@dataclass(frozen=True, eq=False)
class Ruling:
    """What straight lines leave between two curves: from points at the nodes on one to those on the other.

    Attributes:
        first: shape (count, 3), mm.
        second: shape (count, 3), mm, all of them `reach` away.
        reach: mm.
    """

    first: Array
    second: Array
    reach: float


Surface = Flatness | Roundness | Coniness | Ruling
"""A ruling is seen from where its first curve runs to the right and its second lies above."""


@lru_cache(maxsize=8)
def nodes(count: int) -> Array:
    """Return the places in [0, 1] at which a side's points are wanted, closer together toward the ends."""
    turns = [math.pi * i / (count - 1) for i in range(count)]
    return np.array([(1 - math.cos(turn)) / 2 for turn in turns])


@lru_cache(maxsize=8)
def checks(count: int) -> Array:
    """Return the places between the nodes at which a side can be held against its curve."""
    n = nodes(count)
    return np.asarray((n[1:] + n[:-1]) / 2, dtype=float)


def between(points: Array) -> Array:
    """Return where the side through points at the nodes passes at the checks."""
    return _between(len(points)) @ points


@lru_cache(maxsize=8)
def _knots(count: int) -> Array:
    n = nodes(count)
    inner = [float(n[j : j + DEGREE].mean()) for j in range(1, count - DEGREE)]
    return np.array([0.0] * (DEGREE + 1) + inner + [1.0] * (DEGREE + 1))


def _basis(count: int, at: Array) -> Array:
    """Return the value of every basis spline at every place, shape (places, count) (Cox and de Boor)."""
    knots = _knots(count)
    k = np.clip(np.searchsorted(knots, at, side="right") - 1, DEGREE, count - 1)
    values = np.zeros((len(at), len(knots) - 1))
    values[np.arange(len(at)), k] = 1.0
    for d in range(1, DEGREE + 1):
        m = values.shape[1] - 1
        low, high, top = knots[:m], knots[d + 1 : d + 1 + m], knots[1 : 1 + m]
        rise, fall = knots[d : d + m] - low, high - top
        a = np.divide(at[:, None] - low, rise, out=np.zeros((len(at), m)), where=rise > 0)
        b = np.divide(high - at[:, None], fall, out=np.zeros((len(at), m)), where=fall > 0)
        values = a * values[:, :m] + b * values[:, 1:]
    return values


@lru_cache(maxsize=8)
def _solve(count: int) -> Array:
    """Return the matrix from points at the nodes to the poles of the spline through them."""
    return np.asarray(np.linalg.inv(_basis(count, nodes(count))), dtype=np.float64)


@lru_cache(maxsize=8)
def _between(count: int) -> Array:
    return _basis(count, checks(count)) @ _solve(count)


@dataclass(frozen=True, eq=False)
class Corner:
    """A point where sides meet, mm."""

    point: Array
    vertex: Any


@dataclass(frozen=True, eq=False)
class Side:
    """An edge from one corner to another."""

    edge: Any


Way = tuple[Side, bool]
"""A side, and whether a border runs along it rather than against it."""


class Shell:
    """Faces in the making. Sides are shared: each is run along once and against once when the shell is closed."""

    def __init__(self) -> None:
        self._builder = BRep_Builder()
        self._surfaces: dict[Surface, Any] = {}
        self._faces: list[Any] = []

    def corner(self, point: Array) -> Corner:
        """Return a new corner."""
        vertex = TopoDS_Vertex()
        self._builder.MakeVertex(vertex, _pnt(point), TOLERANCE)
        return Corner(np.asarray(point, dtype=float), vertex)

    def spline(self, points: Array, start: Corner, end: Corner, beside: Iterable[Surface]) -> Side:
        """Return a side through points at the nodes, shape (count, 3), with its images on the surfaces beside it."""
        edge = TopoDS_Edge()
        poles = _solve(len(points)) @ points
        poles[0], poles[-1] = points[0], points[-1]
        self._builder.MakeEdge(edge, _curve(poles), TOLERANCE)
        for surface in beside:
            if isinstance(surface, Roundness | Coniness):
                image = _curve_2d(_solve(len(points)) @ _on_round(surface, points))
                self._builder.UpdateEdge(edge, image, self._geometry(surface), TopLoc_Location(), TOLERANCE)
            elif isinstance(surface, Ruling):
                up = 0.0 if points is surface.first else surface.reach
                image = Geom2d_Line(gp_Pnt2d(0.0, up), gp_Dir2d(1.0, 0.0))
                self._builder.UpdateEdge(edge, image, self._geometry(surface), TopLoc_Location(), TOLERANCE)
        return self._ended(edge, start, end, 0.0, 1.0)

    def line(self, start: Corner, end: Corner, beside: Iterable[Surface]) -> Side:
        """Return a straight side, along the rulings of the cylinders, cones and ruled surfaces beside it."""
        edge = TopoDS_Edge()
        length = float(np.linalg.norm(end.point - start.point))
        self._builder.MakeEdge(edge, Geom_Line(_pnt(start.point), _dir(end.point - start.point)), TOLERANCE)
        for surface in beside:
            if isinstance(surface, Roundness | Coniness):
                (u, low), (_, high) = _on_round(surface, np.array([start.point, end.point]))
                image = Geom2d_Line(gp_Pnt2d(float(u), float(low)), gp_Dir2d(0.0, math.copysign(1.0, high - low)))
            elif isinstance(surface, Ruling):
                near = np.linalg.norm(surface.first[[0, -1]] - start.point, axis=1)
                image = Geom2d_Line(gp_Pnt2d(float(np.argmin(near)), 0.0), gp_Dir2d(0.0, 1.0))
            else:
                continue
            self._builder.UpdateEdge(edge, image, self._geometry(surface), TopLoc_Location(), TOLERANCE)
        return self._ended(edge, start, end, 0.0, length)

    def ring(self, wall: Roundness, height: float, turns: tuple[float, float], start: Corner, end: Corner) -> Side:
        """Return a part of a circle round a cylinder at a height along it, between two angles in radians from its X."""
        edge = TopoDS_Edge()
        axis = gp_Ax2(_pnt(wall.frame.point((0, 0, height))), _dir(wall.frame.z), _dir(wall.frame.x))
        self._builder.MakeEdge(edge, Geom_Circle(axis, wall.radius), TOLERANCE)
        image = Geom2d_Line(gp_Pnt2d(0.0, height), gp_Dir2d(1.0, 0.0))
        self._builder.UpdateEdge(edge, image, self._geometry(wall), TopLoc_Location(), TOLERANCE)
        return self._ended(edge, start, end, *turns)

    def closing(self, wall: Roundness, start: Corner, end: Corner) -> Side:
        """Return the side along which a cylinder is closed over, at its frame's X."""
        edge = TopoDS_Edge()
        low, high = (float(wall.frame.to_local(c.point)[2]) for c in (start, end))
        self._builder.MakeEdge(edge, Geom_Line(_pnt(start.point), _dir(wall.frame.z)), TOLERANCE)
        images = [Geom2d_Line(gp_Pnt2d(u, low), gp_Dir2d(0.0, 1.0)) for u in (2 * math.pi, 0.0)]
        self._builder.UpdateEdge(edge, *images, self._geometry(wall), TopLoc_Location(), TOLERANCE)
        return self._ended(edge, start, end, 0.0, high - low)

    def face(self, surface: Surface, borders: Sequence[Sequence[Way]], *, outward: bool) -> None:
        """Add a face.

        Args:
            surface: a cylinder or cone, seen from outside, or a plane, seen from its frame's +Z.
            borders: the outer one anticlockwise as seen so, inner ones clockwise.
            outward: whether it is seen so from outside the solid.
        """
        face = TopoDS_Face()
        self._builder.MakeFace(face, self._geometry(surface), TOLERANCE)
        for border in borders:
            wire = TopoDS_Wire()
            self._builder.MakeWire(wire)
            for side, along in border:
                self._builder.Add(wire, side.edge if along else side.edge.Reversed())
            wire.Closed(True)
            self._builder.Add(face, wire)
        self._faces.append(face if outward else face.Reversed())

    def solid(self) -> Solid:
        """Return the solid that the faces enclose; all of its sides must be shared."""
        shell, solid = self.faces().shape, TopoDS_Solid()
        shell.Closed(True)
        self._builder.MakeSolid(solid)
        self._builder.Add(solid, shell)
        return Solid(solid)

    def faces(self) -> Solid:
        """Return the faces alone, to be sewn to others."""
        shell = TopoDS_Shell()
        self._builder.MakeShell(shell)
        for face in self._faces:
            self._builder.Add(shell, face)
        return Solid(shell)

    def _geometry(self, surface: Surface) -> Any:
        if surface not in self._surfaces:
            self._surfaces[surface] = _made(surface)
        return self._surfaces[surface]

    def _ended(self, edge: Any, start: Corner, end: Corner, first: float, last: float) -> Side:
        self._builder.Range(edge, first, last)
        self._builder.Add(edge, start.vertex.Oriented(TopAbs_FORWARD))
        self._builder.Add(edge, end.vertex.Oriented(TopAbs_REVERSED))
        return Side(edge)


def pipe_faces(
    pieces: Sequence[Piece], outer: float, inner: float, seam: float, *, closed: tuple[bool, bool]
) -> tuple[Solid, ...]:
    """Return the faces of a bent tube, with its flat end face only at the ends that are `closed`."""
    sweep = swept(pieces, outer, inner, seam)
    left_out = [end for end, keep in zip((sweep.FirstShape(), sweep.LastShape()), closed, strict=True) if not keep]
    explorer = TopExp_Explorer(sweep.Shape(), TopAbs_FACE)
    found: list[Solid] = []
    while explorer.More():
        face = explorer.Current()
        if not any(face.IsSame(end) for end in left_out):
            found.append(Solid(face))
        explorer.Next()
    return tuple(found)


def sewn(faces: Iterable[Solid]) -> Solid:
    """Return the solid that faces enclose whose sides lie on each other.

    Raises:
        SolidError: they leave an opening.
    """
    with refusal("sewing faces"):
        sewing = BRepBuilderAPI_Sewing(SEW)
        for face in faces:
            sewing.Add(face.shape)
        sewing.Perform()
        if sewing.NbFreeEdges():
            raise SolidError(f"{sewing.NbFreeEdges()} sides of the faces stay open")
        explorer = TopExp_Explorer(sewing.SewedShape(), TopAbs_SHELL)
        if not explorer.More():
            raise SolidError("the faces do not make a shell")
        solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(explorer.Current())).Solid()
        BRepLib.OrientClosedSolid_s(solid)
        return Solid(solid)


def _made(surface: Surface) -> Any:
    if isinstance(surface, Ruling):
        rows = [_solve(len(row)) @ row for row in (surface.first, surface.second)]
        places = TColgp_Array2OfPnt(1, len(rows[0]), 1, 2)
        for j, row in enumerate(rows, start=1):
            for i, (x, y, z) in enumerate(row.tolist(), start=1):
                places.SetValue(i, j, gp_Pnt(x, y, z))
        knots, counts = _spline_form(len(rows[0]))
        across, twice = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
        for i, knot in enumerate((0.0, surface.reach), start=1):
            across.SetValue(i, knot)
            twice.SetValue(i, 2)
        return Geom_BSplineSurface(places, knots, across, counts, twice, DEGREE, 1)
    axis = gp_Ax3(_pnt(surface.frame.origin), _dir(surface.frame.z), _dir(surface.frame.x))
    if isinstance(surface, Flatness):
        return Geom_Plane(axis)
    if isinstance(surface, Coniness):
        return Geom_ConicalSurface(axis, surface.slope, surface.radius)
    return Geom_CylindricalSurface(axis, surface.radius)


def _on_round(surface: Roundness | Coniness, points: Array) -> Array:
    """Return angle and height of points on a cylinder, or length along the ruling on a cone.

    Angles run on from the middle point's, which is in [0, 2 pi).
    """
    local = surface.frame.to_local(points)
    angle = np.unwrap(np.arctan2(local[:, 1], local[:, 0]))
    angle -= 2 * math.pi * math.floor(angle[len(angle) // 2] / (2 * math.pi))
    up = local[:, 2] / math.cos(surface.slope) if isinstance(surface, Coniness) else local[:, 2]
    return np.stack([angle, up], axis=1)


def _spline_form(count: int) -> tuple[Any, Any]:
    inner = _knots(count)[DEGREE + 1 : -DEGREE - 1]
    knots = TColStd_Array1OfReal(1, len(inner) + 2)
    counts = TColStd_Array1OfInteger(1, len(inner) + 2)
    for i, knot in enumerate((0.0, *inner, 1.0), start=1):
        knots.SetValue(i, float(knot))
        counts.SetValue(i, DEGREE + 1 if i in (1, len(inner) + 2) else 1)
    return knots, counts


def _curve(poles: Array) -> Any:
    places = TColgp_Array1OfPnt(1, len(poles))
    for i, (x, y, z) in enumerate(poles.tolist(), start=1):
        places.SetValue(i, gp_Pnt(x, y, z))
    return Geom_BSplineCurve(places, *_spline_form(len(poles)), DEGREE)


def _curve_2d(poles: Array) -> Any:
    places = TColgp_Array1OfPnt2d(1, len(poles))
    for i, (x, y) in enumerate(poles.tolist(), start=1):
        places.SetValue(i, gp_Pnt2d(x, y))
    return Geom2d_BSplineCurve(places, *_spline_form(len(poles)), DEGREE)


def _pnt(v: Any) -> Any:
    x, y, z = (float(c) for c in v)
    return gp_Pnt(x, y, z)


def _dir(v: Any) -> Any:
    x, y, z = (float(c) for c in v)
    return gp_Dir(x, y, z)
