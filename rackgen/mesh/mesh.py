"""The record of a triangle mesh, and the few things that are read off one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array, Frame, Vec, vec

Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """Closed surfaces of triangles, anticlockwise seen from outside; one part may be several such surfaces.

    Attributes:
        vertices: shape (n, 3), mm.
        faces: indices of vertices, shape (m, 3).
    """

    vertices: Array
    faces: Ints

    def __post_init__(self) -> None:
        # Meshes are shared through a cache, so nobody may write into them.
        self.vertices.setflags(write=False)
        self.faces.setflags(write=False)


def joined(meshes: list[Mesh]) -> Mesh:
    """Return several meshes as one."""
    counts = np.cumsum([0] + [len(m.vertices) for m in meshes])
    return Mesh(
        np.concatenate([m.vertices for m in meshes]),
        np.concatenate([m.faces + int(n) for m, n in zip(meshes, counts[:-1], strict=True)]),
    )


def placed(mesh: Mesh, frame: Frame) -> Mesh:
    """Return the mesh of a part in its own frame as it stands in the frame's parent."""
    return Mesh(frame.points(mesh.vertices), mesh.faces.copy())


def volume(mesh: Mesh) -> float:
    """Return the enclosed volume, mm³."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6


def centroid(mesh: Mesh) -> Vec:
    """Return the centroid of the enclosed volume, mm."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    each = np.einsum("ij,ij->i", a, np.cross(b, c))
    return vec((each[:, None] * (a + b + c)).sum(axis=0) / 4 / each.sum())


def normals(mesh: Mesh) -> Array:
    """Return the outward unit normal of every triangle, shape (m, 3); zero for a triangle without area."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    n = np.cross(b - a, c - a)
    size = np.linalg.norm(n, axis=1)
    return n / np.where(size > 1e-12, size, np.inf)[:, None]


def shrunk(mesh: Mesh, by: float) -> Mesh:
    """Return the mesh with every face drawn inward by `by` mm, the vertices following their faces.

    A vertex moves so that each plane through it moves by `by`; at a feather edge it moves 8 × `by` at most.
    """
    n = normals(mesh)
    planes = n[:, :, None] * n[:, None, :]
    count = len(mesh.vertices)
    sums, pull = np.zeros((9, count)), np.zeros((3, count))
    for k in range(3):
        corner = mesh.faces[:, k]
        for i in range(9):
            sums[i] += np.bincount(corner, planes.reshape(-1, 9)[:, i], count)
        for i in range(3):
            pull[i] += np.bincount(corner, n[:, i], count)
    # Where the faces leave a direction open (flat or along an edge) the least move is wanted: a little ridge does that.
    system = sums.T.reshape(-1, 3, 3) + 1e-3 * np.eye(3)
    move = -by * np.linalg.solve(system, pull.T[:, :, None])[:, :, 0]
    size = np.linalg.norm(move, axis=1, keepdims=True)
    return Mesh(mesh.vertices + move * np.minimum(1.0, 8 * by / np.maximum(size, 1e-12)), mesh.faces.copy())
