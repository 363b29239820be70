"""Points of a scan made ready: triangles become points, points that are none or come twice are left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array

MOST = 2_500_000
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
    whole = faces[np.logical_and.reduce(fine[faces], axis=1)]
    own = points[np.unique(whole)]
    return Cloud(_once(np.concatenate([own, _inside(points, whole, step)])), lost, read, len(faces))


def _once(points: Array) -> Array:
    """Return the points without those that stand where another does, in a steady order."""
    if not len(points):
        return points
    with np.errstate(over="ignore", invalid="ignore"):
        keys = np.floor(points / SAME).clip(-1e9, 1e9).astype(np.int64)
    mixed = (keys[:, 0] * 73_856_093) ^ (keys[:, 1] * 19_349_663) ^ (keys[:, 2] * 83_492_791)
    _, first = np.unique(mixed, return_index=True)
    kept = points[np.sort(first)]
    return kept[:: -(-len(kept) // MOST)]


def _inside(points: Array, faces: NDArray[np.int64], step: float) -> Array:
    """Return points inside triangles: the middle of small ones, a lattice over large ones."""
    corners = points[faces]
    edges = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    # A lattice of n steps an edge has about n²/2 points; what is too fine for all is made coarser for all.
    while True:
        n = np.ceil(np.minimum(edges / step, 400)).astype(np.int64).clip(1)
        if (n * n / 2).sum() <= MOST or step > 1e4:
            break
        step *= 1.5
    out = [corners.mean(axis=1)]
    for k in np.unique(n[n > 1]):
        i, j = np.indices((int(k) + 1, int(k) + 1)).reshape(2, -1)
        a, b = i[i + j <= k] / float(k), j[i + j <= k] / float(k)
        share = np.stack([a, b, 1 - a - b], axis=1)
        out.append((share @ corners[n == k]).reshape(-1, 3))
    return np.concatenate(out)
