"""One cubic through a handful of readings, and its slope."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array


class Cubic:
    """The not-a-knot cubic spline through points: exact for any cubic, so also for a parabola of tape readings.

    With three points it is the parabola through them, with two the line, with one a constant. Many ordinates may
    share the knots: `y` of shape (n, ...) gives values of shape (...).

    Args:
        x: knots, increasing, shape (n,).
        y: ordinates, shape (n, ...).

    Raises:
        GeometryError: knots that do not increase.
    """

    def __init__(self, x: ArrayLike, y: ArrayLike) -> None:
        self.x = np.asarray(x, dtype=float)
        self.y = np.asarray(y, dtype=float)
        if len(self.x) > 1 and not np.all(np.diff(self.x) > 0):
            raise GeometryError("the readings' places must increase")
        self.slopes = _slopes(self.x, self.y)

    def __call__(self, at: ArrayLike) -> Array:
        """Return the values at the places, continued beyond the ends by the end pieces."""
        return self._evaluate(at, order=0)

    def derivative(self, at: ArrayLike) -> Array:
        """Return the slopes at the places."""
        return self._evaluate(at, order=1)

    def second(self, at: ArrayLike) -> Array:
        """Return the second derivatives at the places."""
        return self._evaluate(at, order=2)

    def _evaluate(self, at: ArrayLike, *, order: int) -> Array:
        t = np.asarray(at, dtype=float)
        if len(self.x) == 1:
            value = np.broadcast_to(self.y[0], t.shape + self.y.shape[1:])
            return np.zeros_like(value) if order else value.copy()
        k = np.clip(np.searchsorted(self.x, t, side="right") - 1, 0, len(self.x) - 2)
        extra = (1,) * (self.y.ndim - 1)
        h = (self.x[k + 1] - self.x[k]).reshape(t.shape + extra)
        s = (t - self.x[k]).reshape(t.shape + extra) / h
        y0, y1, d0, d1 = self.y[k], self.y[k + 1], self.slopes[k] * h, self.slopes[k + 1] * h
        if order == 2:
            return ((12 * s - 6) * (y0 - y1) + (6 * s - 4) * d0 + (6 * s - 2) * d1) / h**2
        if order == 1:
            return ((6 * s * s - 6 * s) * (y0 - y1) + (3 * s * s - 4 * s + 1) * d0 + (3 * s * s - 2 * s) * d1) / h
        ends = (1 + 2 * s) * (1 - s) ** 2 * y0 + s * s * (3 - 2 * s) * y1
        return np.asarray(ends + s * (1 - s) ** 2 * d0 + s * s * (s - 1) * d1, dtype=np.float64)


def _slopes(x: Array, y: Array) -> Array:
    """Return the slopes at the knots that make the second derivative run through, third too at the outer knots."""
    n = len(x)
    flat = y.reshape(n, -1)
    if n == 1:
        return np.zeros_like(y)
    h = np.diff(x)
    m = np.diff(flat, axis=0) / h[:, None]
    if n == 2:
        return np.repeat(m, 2, axis=0).reshape(y.shape)
    a, b = np.zeros((n, n)), np.zeros((n, flat.shape[1]))
    if n == 3:
        # The parabola through three points.
        a = np.array([[1.0, 1, 0], [h[1], 2 * (h[0] + h[1]), h[0]], [0, 1, 1]])
        b = np.stack([2 * m[0], 3 * (h[0] * m[1] + h[1] * m[0]), 2 * m[1]])
        return np.asarray(np.linalg.solve(a, b), dtype=np.float64).reshape(y.shape)
    a[0, 0], a[0, 1] = h[1], h[0] + h[1]
    b[0] = ((h[0] + 2 * (h[0] + h[1])) * h[1] * m[0] + h[0] ** 2 * m[1]) / (h[0] + h[1])
    for i in range(1, n - 1):
        a[i, i - 1], a[i, i], a[i, i + 1] = h[i], 2 * (h[i - 1] + h[i]), h[i - 1]
        b[i] = 3 * (h[i] * m[i - 1] + h[i - 1] * m[i])
    a[-1, -1], a[-1, -2] = h[-2], h[-1] + h[-2]
    b[-1] = (h[-1] ** 2 * m[-2] + (2 * (h[-2] + h[-1]) + h[-1]) * h[-2] * m[-1]) / (h[-2] + h[-1])
    return np.asarray(np.linalg.solve(a, b), dtype=np.float64).reshape(y.shape)
