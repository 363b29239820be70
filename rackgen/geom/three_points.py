"""The slope of a flat place from three of its points, where no level could be laid on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.errors import GeometryError

LEAST = 25.0
"""Least height of the triangle over its longest side as seen from above, mm: on a smaller one the tape's own error of
half a millimetre is more than a degree."""


def slope_of(points: Sequence[Sequence[float]]) -> tuple[float, float, float]:
    """Return the plane z = a x + b y + c through three points.

    Args:
        points: three of them, x, y, z, mm.

    Returns:
        a and b, the slopes along x and y, and c, the height at x = y = 0, mm.

    Raises:
        GeometryError: as seen from above they lie on one line, or nearly so.
    """
    p = np.asarray(points, dtype=float)
    u, v = p[1] - p[0], p[2] - p[0]
    area = float(u[0] * v[1] - u[1] * v[0])
    longest = max(math.dist(p[i][:2], p[(i + 1) % 3][:2]) for i in range(3))
    if not longest > 0 or abs(area) / longest < LEAST:
        raise GeometryError("three points nearly on one line as seen from above give no slope")
    a = float(u[2] * v[1] - u[1] * v[2]) / area
    b = float(u[0] * v[2] - u[2] * v[0]) / area
    return a, b, float(p[0][2] - a * p[0][0] - b * p[0][1])
