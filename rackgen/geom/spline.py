"""One cubic through a handful of readings, and its slope."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array

EDGE = 0.3
SUDDEN = 4.0
"""How much steeper a roof falls off beyond an edge, and how many times as much as its slope changed just before
(common practice, no source)."""

FAR = 1000.0
"""Where a straight piece before the first reading is taken to begin, mm before it; it goes on just so before that."""


class Cubic:
    """The not-a-knot cubic spline through points: exact for any cubic, so also for a parabola of tape readings.

    With three points it is the parabola through them, with two the line, with one a constant. Many ordinates may
    share the knots: `y` of shape (n, ...) gives values of shape (...).

    Args:
        x: knots, increasing, shape (n,).
        y: ordinates, shape (n, ...).
        smooth: first and last knot of the stretch that the spline runs through, None for all. Beyond it lie edges that
            the line falls over: there it keeps the shape of the readings (monotone pieces after Fritsch and Carlson,
            SIAM J. Numer. Anal. 17 (1980) 238, from memory), and goes on straight past the last.

    Raises:
        GeometryError: knots that do not increase.
    """

    def __init__(self, x: ArrayLike, y: ArrayLike, smooth: tuple[int, int] | None = None) -> None:
        self.x = np.asarray(x, dtype=float)
        self.y = np.asarray(y, dtype=float)
        if len(self.x) > 1 and not np.all(np.diff(self.x) > 0):
            raise GeometryError("the readings' places must increase")
        low, high = smooth or (0, len(self.x) - 1)
        middle = self.x[low : high + 1]
        self.starts, self.terms = middle[:-1] if len(middle) > 1 else middle, _terms(middle, self.y[low : high + 1])
        if high < len(self.x) - 1:
            starts, terms = _falling(self.x[high:], self.y[high:], self.derivative(self.x[high]))
            self.starts, self.terms = np.append(self.starts, starts), np.hstack([self.terms, terms])
        if low > 0:
            # Read from the other side, and turned back.
            turned = _falling(-self.x[low::-1], self.y[low::-1], -self.derivative(self.x[low]))
            starts, terms = _turned(*turned)
            self.starts, self.terms = np.append(starts, self.starts), np.hstack([terms, self.terms])

    def __call__(self, at: ArrayLike) -> Array:
        """Return the values at the places, continued beyond the ends by the end pieces."""
        return self._evaluate(at, 0)

    def derivative(self, at: ArrayLike) -> Array:
        """Return the slopes at the places."""
        return self._evaluate(at, 1)

    def second(self, at: ArrayLike) -> Array:
        """Return the second derivatives at the places."""
        return self._evaluate(at, 2)

    def _evaluate(self, at: ArrayLike, order: int) -> Array:
        t = np.asarray(at, dtype=float)
        k = np.searchsorted(self.starts[1:], t, side="right")
        d = (t - self.starts[k]).reshape(t.shape + (1,) * (self.y.ndim - 1))
        return _polynomial(self.terms[:, k], d, order)


class Cubics:
    """Several cubics, each through readings at places of its own, asked at the same places together.

    Args:
        cubics: each through single ordinates.
    """

    def __init__(self, cubics: Sequence[Cubic]) -> None:
        self._splits = [c.starts[1:] for c in cubics]
        self._first = np.cumsum([0, *(len(c.starts) for c in cubics)])[:-1, None]
        self._starts = np.concatenate([c.starts for c in cubics])
        self._terms = np.concatenate([c.terms for c in cubics], axis=1)

    def __call__(self, at: ArrayLike, *orders: int) -> tuple[Array, ...]:
        """Return for each order of derivative, 0 to 2, the values of every cubic at the places, shape (cubics, n)."""
        t = np.asarray(at, dtype=float)
        k = np.stack([np.searchsorted(splits, t, side="right") for splits in self._splits]) + self._first
        terms, d = self._terms[:, k], t - self._starts[k]
        return tuple(_polynomial(terms, d, order) for order in orders)


def smooth_stretch(x: ArrayLike, y: ArrayLike) -> tuple[int, int]:
    """Return the first and last of the readings between which no edge lies that a smooth line would swing about.

    An edge is where, outward from the middle, the line falls off all at once: steeper by `EDGE` than before, and by
    much more than it changed just before.

    Args:
        x: places across, increasing.
        y: heights there.
    """
    at, heights = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    middle = int(np.searchsorted(at, float(at[0] + at[-1]) / 2))
    return (
        len(at) - 1 - _edge(-at[::-1], heights[::-1], len(at) - 1 - middle),
        _edge(at, heights, middle),
    )


def _edge(x: Array, y: Array, middle: int) -> int:
    """Return the last reading before the line falls off, going up from the middle."""
    m = np.diff(y) / np.diff(x)
    for k in range(max(middle + 1, 2), len(m)):
        fall, before = m[k - 1] - m[k], abs(m[k - 1] - m[k - 2])
        if fall > EDGE and fall > SUDDEN * before:
            return k
    return len(x) - 1


def _falling(x: Array, y: Array, slope: Array) -> tuple[Array, Array]:
    """Return begins and terms of monotone pieces from the last knot of a smooth stretch on, and of a straight one."""
    m = np.diff(y) / np.diff(x)
    inner = np.zeros(len(m) - 1)
    alike = m[:-1] * m[1:] > 0
    inner[alike] = 2 * m[:-1][alike] * m[1:][alike] / (m[:-1] + m[1:])[alike]
    # Within three times the chord's slope, and its sign, a piece keeps between its ends.
    first = min(max(float(slope) / m[0], 0.0), 3.0) * m[0] if m[0] != 0 else 0.0
    d = np.concatenate([[first], inner, [m[-1]]])
    pieces = _hermite(x, y, d)
    straight = np.array([[y[-1]], [m[-1]], [0.0], [0.0]])
    return x, np.hstack([pieces, straight])


def _turned(starts: Array, terms: Array) -> tuple[Array, Array]:
    """Return begins and terms of pieces in -x as such in x; the last, straight one begins far out."""
    ends = np.append(starts[1:], starts[-1] + FAR)
    h = ends - starts
    at_end = np.stack([_polynomial(terms, h, 0), -_polynomial(terms, h, 1), _polynomial(terms, h, 2) / 2, -terms[3]])
    return -ends[::-1], at_end[:, ::-1]


def _polynomial(terms: Array, d: Array, order: int) -> Array:
    """Return cubics or their derivatives at distances from where their pieces begin; terms from the constant up."""
    a, b, c, e = terms
    if order == 2:
        return np.asarray(2 * c + 6 * e * d, dtype=np.float64)
    if order == 1:
        return np.asarray(b + (2 * c + 3 * e * d) * d, dtype=np.float64)
    return np.asarray(a + (b + (c + e * d) * d) * d, dtype=np.float64)


def _terms(x: Array, y: Array) -> Array:
    """Return the four terms of every piece, the constant first, shape (4, pieces, ...)."""
    if len(x) == 1:
        return np.stack([y, *[np.zeros_like(y)] * 3])
    return _hermite(x, y, _slopes(x, y))


def _hermite(x: Array, y: Array, slopes: Array) -> Array:
    """Return the terms of the cubics with these slopes at their ends."""
    h = np.diff(x).reshape((-1,) + (1,) * (y.ndim - 1))
    m = np.diff(y, axis=0) / h
    d0, d1 = slopes[:-1], slopes[1:]
    return np.stack([y[:-1], d0, (3 * m - 2 * d0 - d1) / h, (d0 + d1 - 2 * m) / h**2])


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
