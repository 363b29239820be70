"""Points of a scan made ready: triangles become points, points that are none or come twice are left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array

MOST = 1_500_000
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


def cloud(points: Array, faces: NDArray[np.int64] | None = None, step: float = 10.0) -> Cloud:
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
    # In the order of these keys points are well mixed: every second or third of them is still an even choice.
    return points[np.sort(first[:: -(-len(first) // MOST)])]


def _inside(points: Array, faces: NDArray[np.int64], step: float) -> Array:
    """Return points in rows over each triangle that is larger than `step`; corners are enough of the others.

    What is too fine for `MOST` points is made coarser for all triangles.
    """
    longest = np.zeros(len(faces))
    for k in range(3):
        with np.errstate(invalid="ignore"):
            edge = np.linalg.norm(points[faces[:, k]] - points[faces[:, k - 1]], axis=1)
        longest = np.maximum(longest, edge)
    large = np.flatnonzero(longest > step)
    if not len(large):
        return np.zeros((0, 3))
    a, b, c = (points[faces[large, k]] for k in range(3))
    sides = np.stack([np.linalg.norm(q - p, axis=1) for p, q in ((b, c), (c, a), (a, b))], axis=1)
    # From the corner across from the longest side, rows run parallel to that side.
    turn = sides.argmax(axis=1)
    tip, one, other = (np.choose(((turn + k) % 3)[:, None], (a, b, c)) for k in range(3))
    base = sides.max(axis=1)
    deep = np.linalg.norm(np.cross(one - tip, other - tip), axis=1) / base
    while True:
        rows, columns = (np.ceil(np.minimum(v, 1e5) / step).astype(np.int64).clip(1) for v in (deep, base))
        count = (rows + 1) * (columns + 1)
        if count.sum() <= MOST or step > 1e4:
            break
        step *= 1.3
    which = np.repeat(np.arange(len(count)), count)
    k = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    down, along = k // (columns[which] + 1) / rows[which], k % (columns[which] + 1) / columns[which]
    foot = one[which] + along[:, None] * (other - one)[which]
    return tip[which] + down[:, None] * (foot - tip[which])
