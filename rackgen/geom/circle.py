"""A circle through measured points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array

ROUNDS = 50


@dataclass(frozen=True)
class Fitted:
    """The circle nearest to points.

    Attributes:
        x: of its middle, mm.
        y: of its middle, mm.
        radius: mm.
        off: of the point that lies farthest from it, mm.
        span: how much of it the points lie on, degrees.
    """

    x: float
    y: float
    radius: float
    off: float
    span: float


def fitted(points: Sequence[tuple[float, float]]) -> Fitted:
    """Return the circle whose distances from points have the least sum of squares (Gauss and Newton).

    Raises:
        GeometryError: fewer than three points, or none that lie on an arc.
    """
    p = np.array(points, dtype=float)
    if len(p) < 3:
        raise GeometryError("a circle needs three points")
    middle = p.mean(axis=0)
    q = p - middle
    size = float(np.sqrt((q**2).sum(axis=1).mean()))
    # Begin with the circle of least algebraic distance, which is a linear system.
    lines = np.column_stack([2 * q / size, np.ones(len(q))])
    if np.linalg.svd(lines, compute_uv=False)[-1] < 1e-9:
        raise GeometryError("the points lie on a straight line")
    found = _least(lines, (q**2).sum(axis=1))
    centre = found[:2] / size
    radius = math.sqrt(max(0.0, float(found[2] + centre @ centre)))
    for _ in range(ROUNDS):
        off = q - centre
        far = np.hypot(off[:, 0], off[:, 1])
        step = _least(np.column_stack([-off / far[:, None], -np.ones(len(q))]), radius - far)
        centre, radius = centre + step[:2], radius + float(step[2])
        if np.abs(step).max() < 1e-10 * max(1.0, size):
            break
    off = q - centre
    far = np.hypot(off[:, 0], off[:, 1])
    if not 0 < radius < 1e4 * size:
        raise GeometryError("the points lie on no arc")
    turns = np.sort(np.degrees(np.arctan2(off[:, 1], off[:, 0])) % 360.0)
    gaps = np.diff(np.append(turns, turns[0] + 360.0))
    at = middle + centre
    return Fitted(float(at[0]), float(at[1]), radius, float(np.abs(far - radius).max()), 360.0 - float(gaps.max()))


def _least(lines: Array, wanted: Array) -> Array:
    """Return what solves more equations than it has unknowns with the least sum of squares."""
    return np.asarray(np.linalg.lstsq(lines, wanted, rcond=None)[0], dtype=np.float64)
