"""Panels given by points of their outline: the plane nearest them, and whether the outline crosses itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, Vec, vec


@dataclass(frozen=True)
class Plane:
    """The plane nearest some points.

    Attributes:
        origin: their middle.
        x: unit vector in the plane, along which they spread most.
        y: unit vector in the plane, square to it.
        normal: unit vector out of the plane, x × y.
        off: of the point farthest from it, mm.
    """

    origin: Vec
    x: Vec
    y: Vec
    normal: Vec
    off: float

    def flat(self, points: ArrayLike) -> Array:
        """Return points as seen square to the plane, shape (n, 2), mm."""
        p = np.asarray(points, dtype=float) - np.asarray(self.origin)
        return np.column_stack([p @ np.asarray(self.x), p @ np.asarray(self.y)])


def plane_of(points: ArrayLike) -> Plane:
    """Return the plane nearest three or more points by least squares.

    Args:
        points: shape (n, 3), mm.

    Raises:
        GeometryError: fewer than three, or all on one line within 1 mm.
    """
    p = np.asarray(points, dtype=float)
    if len(p) < 3:
        raise GeometryError("three points at least make a plane")
    middle = p.mean(axis=0)
    _, _, axes = np.linalg.svd(p - middle)
    if np.abs((p - middle) @ axes[1]).max() < 1.0:
        raise GeometryError("points on one line make no plane")
    normal = np.cross(axes[0], axes[1])
    return Plane(vec(middle), vec(axes[0]), vec(axes[1]), vec(normal), float(np.abs((p - middle) @ normal).max()))


def crosses_itself(loop: ArrayLike) -> bool:
    """Return whether two sides of a closed row of points, shape (n, 2), cross or touch other than at their corner."""
    p = np.asarray(loop, dtype=float)
    n = len(p)
    ends = [(p[i], p[(i + 1) % n]) for i in range(n)]
    for i in range(n):
        for j in range(i + 1, n):
            if j - i in (1, n - 1):
                continue
            (a, b), (c, d) = ends[i], ends[j]
            if _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0:
                return True
    return False


def _side(a: Array, b: Array, c: Array) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
