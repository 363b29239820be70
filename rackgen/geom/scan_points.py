"""Points of a scan made ready: triangles become points, points that are none or come twice are left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array

MOST = 800_000
"""Points that are looked at; of more, every second, third ... is taken."""
SAME = 0.05
"""Points nearer to each other than about this are one, mm: doubled faces bring every point twice."""


@dataclass(frozen=True)
class Cloud:
    """A scan's points.

    Attributes:
        points: mm, shape (n, 3), all finite.
        lost: points in the file that are no numbers.
        read: points, or corners of triangles, in the file.
        triangles: in the file.
    """

    points: Array
    lost: int
    read: int
    triangles: int = 0


def cloud(points: Array, faces: NDArray[np.int64] | None = None, step: float = 15.0) -> Cloud:
    """Return the points of a scan: its own, and of every triangle enough to leave no gap wider than `step`.

    Which way a triangle faces plays no part, nor whether triangles share corners.

    Args:
        points: mm, shape (n, 3).
        faces: three corners each, counted from 0, shape (m, 3); None for bare points.
        step: mm.
    """
    fine: NDArray[np.bool_] = np.logical_and.reduce(np.isfinite(points), axis=1)
    lost, read = int((~fine).sum()), len(points)
    if faces is None or not len(faces):
        return Cloud(_once(points[fine]), lost, read)
    held = np.zeros(len(points), dtype=bool)
    held[faces.ravel()] = True
    return Cloud(_once(np.concatenate([points[held & fine], _inside(points, faces, step)])), lost, read, len(faces))


def _once(points: Array) -> Array:
    """Return the points without those that stand where another does, in a steady order."""
    if not len(points):
        return points
    mixed = np.zeros(len(points), dtype=np.int64)
    for k, prime in enumerate((73_856_093, 19_349_663, 83_492_791)):
        mixed ^= np.floor(points[:, k] / SAME).clip(-1e9, 1e9).astype(np.int64) * prime
    _, first = np.unique(mixed, return_index=True)
    kept = points[np.sort(first)]
    return kept[:: -(-len(kept) // MOST)]


def _inside(points: Array, faces: NDArray[np.int64], step: float) -> Array:
    """Return a lattice of points over each triangle that is larger than `step`; corners are enough of the others."""
    longest = np.zeros(len(faces))
    for k in range(3):
        with np.errstate(invalid="ignore"):
            edge = np.linalg.norm(points[faces[:, k]] - points[faces[:, k - 1]], axis=1)
        longest = np.maximum(longest, edge)
    large = np.flatnonzero(longest > step)
    if not len(large):
        return np.zeros((0, 3))
    corners, edges = points[faces[large]], longest[large]
    # A lattice of n steps an edge has about n²/2 points; what is too fine for all is made coarser for all.
    while True:
        n = np.ceil(np.minimum(edges / step, 400)).astype(np.int64).clip(1)
        if (n * n / 2).sum() <= MOST or step > 1e4:
            break
        step *= 1.5
    out = [np.zeros((0, 3))]
    for k in np.unique(n):
        i, j = np.indices((int(k) + 1, int(k) + 1)).reshape(2, -1)
        a, b = i[i + j <= k] / float(k), j[i + j <= k] / float(k)
        share = np.stack([a, b, 1 - a - b], axis=1)
        out.append((share @ corners[n == k]).reshape(-1, 3))
    return np.concatenate(out)
