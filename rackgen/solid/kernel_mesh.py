# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false, reportUnknownVariableType=false
# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false
"""Triangles of a solid, one closed skin per body."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedMapOfShape

from rackgen.errors import SolidError
from rackgen.geom.frame import Array
from rackgen.solid.kernel import Solid, refusal, solids

Faces = NDArray[np.int64]

DEFLECTION = 0.1
"""How far triangles may lie from the surface, mm."""

SWING = 0.35
"""How far the normals of neighbouring triangles may differ along a curve, rad."""


@lru_cache(maxsize=512)
def triangles(shape: Solid) -> tuple[Array, Faces]:
    """Return points, shape (n, 3), mm, and triangles, shape (m, 3), anticlockwise as seen from outside.

    Raises:
        SolidError: the skin of a body is not closed.
    """
    with refusal("triangles"):
        BRepMesh_IncrementalMesh(shape.shape, DEFLECTION, False, SWING, False)
        bodies = [_body(body) for body in solids(shape)]
    first = np.cumsum([0, *(len(points) for points, _ in bodies)])
    points = np.concatenate([points for points, _ in bodies])
    faces = np.concatenate([faces + start for (_, faces), start in zip(bodies, first[:-1], strict=True)])
    # The same arrays are given again for the same solid.
    points.setflags(write=False)
    faces.setflags(write=False)
    return points, faces


def _body(body: Solid) -> tuple[Array, Faces]:
    points: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    sides: dict[int, list[int]] = {}
    pairs: list[tuple[int, int]] = []
    names = TopTools_IndexedMapOfShape()
    explorer = TopExp_Explorer(body.shape, TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face_s(explorer.Current())
        where = TopLoc_Location()
        found = BRep_Tool.Triangulation_s(face, where)
        if found is None:
            raise SolidError("a face without triangles")
        first = len(points) - 1  # the kernel counts from 1
        _take(found, where, face.Orientation() == TopAbs_REVERSED, points, faces)
        for name, nodes in _borders(face, found, where, names):
            here = [first + n for n in nodes]
            there = sides.setdefault(name, here)
            if len(there) != len(here):
                raise SolidError("two faces divide their common side in two ways")
            pairs += zip(there, here, strict=True)
        explorer.Next()
    return _welded(np.array(points), np.array(faces, dtype=np.int64), np.array(pairs, dtype=np.int64))


def _take(
    found: Any, where: Any, back: bool, points: list[tuple[float, float, float]], faces: list[tuple[int, int, int]]
) -> None:
    """Add a face's own points and triangles."""
    move = where.Transformation()
    first = len(points) - 1
    for i in range(1, found.NbNodes() + 1):
        node = found.Node(i).Transformed(move)
        points.append((node.X(), node.Y(), node.Z()))
    for i in range(1, found.NbTriangles() + 1):
        a, b, c = found.Triangle(i).Get()
        faces.append((first + a, first + c, first + b) if back else (first + a, first + b, first + c))


def _borders(face: Any, found: Any, where: Any, names: Any) -> Iterator[tuple[int, list[int]]]:
    """Give the face's sides, each by a number that it has on all faces, with its points in the face's triangles."""
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        # The side along which a cylinder is closed comes twice, and each time has its own points.
        edge = TopoDS.Edge_s(explorer.Current())
        nodes = BRep_Tool.PolygonOnTriangulation_s(edge, found, where)
        if nodes is not None:
            yield names.Add(edge), [nodes.Node(i) for i in range(1, nodes.NbNodes() + 1)]
        explorer.Next()


def _welded(points: Array, faces: Faces, pairs: Faces) -> tuple[Array, Faces]:
    """Return the skin with the points that two faces share made one.

    Raises:
        SolidError: a side of a triangle is not shared with exactly one other that runs along it the other way.
    """
    one: Faces = np.arange(len(points))
    while True:
        least = np.minimum(one[pairs[:, 0]], one[pairs[:, 1]])
        before = one.copy()
        for column in (0, 1):
            np.minimum.at(one, pairs[:, column], least)
        if np.array_equal(before, one):
            break
    kept, numbers = np.unique(one, return_inverse=True)
    faces = numbers[faces]
    faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    along = np.unique(sides, axis=0)
    if len(along) != len(sides) or not np.array_equal(along, np.unique(sides[:, ::-1], axis=0)):
        raise SolidError("the triangles of a body do not close")
    return points[kept], faces
