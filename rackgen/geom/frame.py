"""Placement: a right-handed frame of three unit axes and an origin, in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.errors import GeometryError

Vec = tuple[float, float, float]
Array = NDArray[np.float64]

LEAST_LENGTH = 1e-12
"""A direction shorter than this has none."""


def vec(values: ArrayLike) -> Vec:
    """Return three numbers as a plain tuple."""
    x, y, z = cast("Sequence[float]", values)
    return (float(x), float(y), float(z))


def unit(values: ArrayLike) -> Array:
    """Return the vector scaled to length one.

    Raises:
        GeometryError: the vector has no length.
    """
    v = np.asarray(values, dtype=float)
    n = math.sqrt(float(v @ v))
    if not n > LEAST_LENGTH:
        raise GeometryError("a direction of zero length")
    return v / n


@dataclass(frozen=True)
class Frame:
    """A proper rotation and an origin: where a part stands. Columns of the rotation are `x`, `y`, `z`."""

    origin: Vec = (0.0, 0.0, 0.0)
    x: Vec = (1.0, 0.0, 0.0)
    y: Vec = (0.0, 1.0, 0.0)
    z: Vec = (0.0, 0.0, 1.0)

    @staticmethod
    def of(origin: ArrayLike, x: ArrayLike, z: ArrayLike) -> Frame:
        """Return the frame with its X along `x` and its Z as near `z` as that allows.

        Raises:
            GeometryError: `x` has no length or is parallel to `z`.
        """
        ax = _unit(vec(x))
        ay = _unit(_cross(vec(z), ax))
        return Frame(vec(origin), ax, ay, _cross(ax, ay))

    def rotation(self) -> Array:
        """Return the 3 × 3 rotation, local to parent."""
        return np.array([self.x, self.y, self.z]).T

    def matrix(self) -> Array:
        """Return the 4 × 4 matrix, local to parent, mm."""
        m = np.eye(4)
        m[:3, :3] = self.rotation()
        m[:3, 3] = self.origin
        return m

    def point(self, local: ArrayLike) -> Vec:
        """Return a local point in the parent frame."""
        a, b, c = vec(local)
        o, x, y, z = self.origin, self.x, self.y, self.z
        return (
            o[0] + (a * x[0] + b * y[0] + c * z[0]),
            o[1] + (a * x[1] + b * y[1] + c * z[1]),
            o[2] + (a * x[2] + b * y[2] + c * z[2]),
        )

    def points(self, local: ArrayLike) -> Array:
        """Return local points, shape (..., 3), in the parent frame."""
        return np.asarray(local, dtype=float) @ self.rotation().T + np.asarray(self.origin)

    def direction(self, local: ArrayLike) -> Vec:
        """Return a local direction in the parent frame."""
        return self._turned(vec(local))

    def _turned(self, local: Vec) -> Vec:
        # Plain numbers: designing a rack does this some ten thousand times, and an array costs more than its sums.
        a, b, c = local
        x, y, z = self.x, self.y, self.z
        return (
            a * x[0] + b * y[0] + c * z[0],
            a * x[1] + b * y[1] + c * z[1],
            a * x[2] + b * y[2] + c * z[2],
        )

    def to_local(self, parent: ArrayLike) -> Array:
        """Return parent points, shape (..., 3), in this frame."""
        return (np.asarray(parent, dtype=float) - np.asarray(self.origin)) @ self.rotation()

    def to_local_direction(self, parent: ArrayLike) -> Array:
        """Return a parent direction in this frame."""
        return np.asarray(parent, dtype=float) @ self.rotation()

    def then(self, inner: Frame) -> Frame:
        """Return the frame of something placed at `inner` inside this one."""
        (xa, xb, xc), (ya, yb, yc), (za, zb, zc) = self.x, self.y, self.z
        o, (a, b, c) = self.origin, inner.origin
        (d, e, f), (g, h, i), (j, k, m) = inner.x, inner.y, inner.z
        # Written out: settling and resolving do this some ten thousand times, and a call costs more than its sums.
        return Frame(
            (o[0] + (a * xa + b * ya + c * za), o[1] + (a * xb + b * yb + c * zb), o[2] + (a * xc + b * yc + c * zc)),
            (d * xa + e * ya + f * za, d * xb + e * yb + f * zb, d * xc + e * yc + f * zc),
            (g * xa + h * ya + i * za, g * xb + h * yb + i * zb, g * xc + h * yc + i * zc),
            (j * xa + k * ya + m * za, j * xb + k * yb + m * zb, j * xc + k * yc + m * zc),
        )

    def inverse(self) -> Frame:
        """Return the frame that undoes this one."""
        (a, b, c), x, y, z = self.origin, self.x, self.y, self.z
        return Frame(
            (
                -(a * x[0] + b * x[1] + c * x[2]),
                -(a * y[0] + b * y[1] + c * y[2]),
                -(a * z[0] + b * z[1] + c * z[2]),
            ),
            (x[0], y[0], z[0]),
            (x[1], y[1], z[1]),
            (x[2], y[2], z[2]),
        )

    def moved(self, local: ArrayLike) -> Frame:
        """Return this frame with its origin moved by a local vector."""
        return Frame(self.point(local), self.x, self.y, self.z)


def turn(axis: ArrayLike, degrees: float) -> Frame:
    """Return the rotation about an axis through the origin, right-handed, in degrees."""
    x, y, z = _unit(vec(axis))
    s, c = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    v = 1 - c
    return Frame(
        (0.0, 0.0, 0.0),
        (x * x * v + c, x * y * v + z * s, x * z * v - y * s),
        (x * y * v - z * s, y * y * v + c, y * z * v + x * s),
        (x * z * v + y * s, y * z * v - x * s, z * z * v + c),
    )


def _cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _unit(v: Vec) -> Vec:
    n = math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
    if not n > LEAST_LENGTH:
        raise GeometryError("a direction of zero length")
    return (v[0] / n, v[1] / n, v[2] / n)


def cross(a: Array, b: Array) -> Array:
    """Return the cross products of vectors, shape (..., 3), without the generality that numpy's own takes time for."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def clock_direction(degrees: ArrayLike) -> Array:
    """Return unit vectors at clock positions on a tube along X: 0 at +Z, positive about +X; shape (..., 3)."""
    a = np.radians(np.asarray(degrees, dtype=float))
    return np.stack([np.zeros_like(a), -np.sin(a), np.cos(a)], axis=-1)


def clock_of(local: ArrayLike) -> float:
    """Return the clock position in degrees, [0, 360), of a direction given in a tube's frame."""
    v = np.asarray(local, dtype=float)
    return math.degrees(math.atan2(-float(v[1]), float(v[2]))) % 360.0
