"""Placement: a right-handed frame of three unit axes and an origin, in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.errors import GeometryError

Vec = tuple[float, float, float]
Array = NDArray[np.float64]


def vec(values: ArrayLike) -> Vec:
    """Return three numbers as a plain tuple."""
    x, y, z = np.asarray(values, dtype=float)
    return (float(x), float(y), float(z))


def unit(values: ArrayLike) -> Array:
    """Return the vector scaled to length one.

    Raises:
        GeometryError: the vector has no length.
    """
    v = np.asarray(values, dtype=float)
    n = math.sqrt(float(v @ v))
    if not n > 1e-12:
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
        ax = unit(x)
        ay = unit(np.cross(np.asarray(z, dtype=float), ax))
        return Frame(vec(origin), vec(ax), vec(ay), vec(np.cross(ax, ay)))

    @staticmethod
    def from_matrix(m: Array) -> Frame:
        """Return the frame of a 4 × 4 matrix whose upper left 3 × 3 is a rotation."""
        return Frame(vec(m[:3, 3]), vec(m[:3, 0]), vec(m[:3, 1]), vec(m[:3, 2]))

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
        return vec(self.points(local))

    def points(self, local: ArrayLike) -> Array:
        """Return local points, shape (..., 3), in the parent frame."""
        return np.asarray(local, dtype=float) @ self.rotation().T + np.asarray(self.origin)

    def direction(self, local: ArrayLike) -> Vec:
        """Return a local direction in the parent frame."""
        return vec(self.rotation() @ np.asarray(local, dtype=float))

    def to_local(self, parent: ArrayLike) -> Array:
        """Return parent points, shape (..., 3), in this frame."""
        return (np.asarray(parent, dtype=float) - np.asarray(self.origin)) @ self.rotation()

    def to_local_direction(self, parent: ArrayLike) -> Array:
        """Return a parent direction in this frame."""
        return np.asarray(parent, dtype=float) @ self.rotation()

    def then(self, inner: Frame) -> Frame:
        """Return the frame of something placed at `inner` inside this one."""
        r = self.rotation() @ inner.rotation()
        return Frame(self.point(inner.origin), vec(r[:, 0]), vec(r[:, 1]), vec(r[:, 2]))

    def inverse(self) -> Frame:
        """Return the frame that undoes this one."""
        r = self.rotation().T
        return Frame(vec(-r @ np.asarray(self.origin)), vec(r[:, 0]), vec(r[:, 1]), vec(r[:, 2]))

    def moved(self, local: ArrayLike) -> Frame:
        """Return this frame with its origin moved by a local vector."""
        return Frame(self.point(local), self.x, self.y, self.z)


def turn(axis: ArrayLike, degrees: float) -> Frame:
    """Return the rotation about an axis through the origin, right-handed, in degrees."""
    k = unit(axis)
    a = math.radians(degrees)
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    m = np.eye(4)
    m[:3, :3] = np.eye(3) + math.sin(a) * cross + (1 - math.cos(a)) * (cross @ cross)
    return Frame.from_matrix(m)


def clock_direction(degrees: ArrayLike) -> Array:
    """Return unit vectors at clock positions on a tube along X: 0 at +Z, positive about +X; shape (..., 3)."""
    a = np.radians(np.asarray(degrees, dtype=float))
    return np.stack([np.zeros_like(a), -np.sin(a), np.cos(a)], axis=-1)


def clock_of(local: ArrayLike) -> float:
    """Return the clock position in degrees, [0, 360), of a direction given in a tube's frame."""
    v = np.asarray(local, dtype=float)
    return math.degrees(math.atan2(-float(v[1]), float(v[2]))) % 360.0
