"""The measured roof as one surface: height, slope and normal wherever it was measured, and nowhere else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.geom.frame import Array, Vec
from rackgen.geom.spline import Cubic, Cubics, smooth_stretch

BEFORE_EDGE = 20.0
OVER_EDGE = 65
"""From where before an edge, mm, and at how many places outward, the nearest to a point out over it is looked for."""


@dataclass(frozen=True)
class Section:
    """One cross section of the roof at a station, in the vehicle frame.

    Attributes:
        x: distance aft of the datum, mm.
        ys: places across, mm, increasing, 0 at the crown.
        zs: heights there, mm.
        left: half width to the left, mm, positive.
        right: half width to the right, mm.
    """

    x: float
    ys: tuple[float, ...]
    zs: tuple[float, ...]
    left: float
    right: float


@dataclass(frozen=True)
class Roof:
    """The outer surface between the first and the last station, a cubic across and a cubic fore and aft.

    Where a station's readings fall off at an edge, as into a gutter, the cubic ends there (`smooth_stretch`).

    Attributes:
        sections: in order of `x`, at least two.
        margin: how far beyond the outer stations the surface still answers, mm.
    """

    sections: tuple[Section, ...]
    margin: float = 60.0

    def span(self) -> tuple[float, float]:
        """Return the fore-and-aft range in which the surface answers, mm."""
        return self.sections[0].x - self.margin, self.sections[-1].x + self.margin

    def half_width(self, x: ArrayLike, y: ArrayLike) -> Array:
        """Return the half width on the side of `y` at `x`, mm."""
        at = np.asarray(x, dtype=float)
        knots = [s.x for s in self.sections]
        left = np.interp(at, knots, [s.left for s in self.sections])
        right = np.interp(at, knots, [s.right for s in self.sections])
        return np.where(np.asarray(y, dtype=float) < 0, left, right)

    def over(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_]:
        """Return whether the places lie over the measured roof."""
        first, last = self.span()
        at = np.asarray(x, dtype=float)
        return (at >= first) & (at <= last) & (np.abs(np.asarray(y, dtype=float)) <= self.half_width(x, y))

    def height(self, x: ArrayLike, y: ArrayLike) -> Array:
        """Return the height of the surface above the datum's level, mm; NaN where it was not measured."""
        ax, ay = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        flat_x, flat_y = ax.ravel(), ay.ravel()
        (zs,) = _across(self)(flat_y, 0)
        z = (_along(self)(flat_x).T * zs).sum(axis=0)
        z[~self.over(flat_x, flat_y)] = np.nan
        return z.reshape(ax.shape)

    def slope(self, x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
        """Return dz/dx and dz/dy; NaN where it was not measured."""
        _, zx, zy = self._evaluate(x, y)
        return zx, zy

    def normal(self, x: float, y: float) -> Vec:
        """Return the outward unit normal; NaN where it was not measured."""
        zx, zy = self.slope(x, y)
        n = 1 / math.sqrt(1 + float(zx) ** 2 + float(zy) ** 2)
        return (-float(zx) * n, -float(zy) * n, n)

    def curvature(self, x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
        """Return the two principal curvatures, 1/mm, the larger first; NaN where it was not measured.

        Positive where the roof is crowned, as a ball is on its top; 1 over each is the radius of the tightest and of
        the flattest section square to the skin. (Roots of k² - 2 H k + K: do Carmo, Differential Geometry of Curves and
        Surfaces, 3-3, for the graph of a function; from memory.)
        """
        ax, ay = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        zx, zy = self.slope(ax, ay)
        across, share = _across(self), _along(self)
        flat_x, flat_y = ax.ravel(), ay.ravel()
        zs, ds, dds = across(flat_y, 0, 1, 2)
        weight, change, bend = share(flat_x).T, share.derivative(flat_x).T, share.second(flat_x).T
        zxx, zxy, zyy = ((w * v).sum(axis=0).reshape(ax.shape) for w, v in ((bend, zs), (change, ds), (weight, dds)))
        e, f, g = 1 + zx**2, zx * zy, 1 + zy**2
        area = e * g - f**2
        mean = -(e * zyy - 2 * f * zxy + g * zxx) / (2 * area**1.5)
        apart = np.sqrt(np.maximum(0.0, mean**2 - (zxx * zyy - zxy**2) / area**2))
        return mean + apart, mean - apart

    def gap(self, points: ArrayLike) -> Array:
        """Return the signed distance of points above the surface, mm, shape (n,); infinite beside the roof.

        The nearest point is found from the foot straight below by Newton steps on the tangent plane; on the gentle
        curvature of a roof three steps are exact to far below 0.01 mm. Over an edge, where the surface turns down at
        once, it is looked for place by place.
        """
        p = np.atleast_2d(np.asarray(points, dtype=float))
        out = np.full(len(p), np.inf)
        inside = self.over(p[:, 0], p[:, 1])
        if not inside.any():
            return out
        q = p[inside]
        x, y = q[:, 0].copy(), q[:, 1].copy()
        for _ in range(3):
            z, zx, zy = self._evaluate(x, y)
            # Foot of the perpendicular from q on the tangent plane at (x, y).
            drop = q[:, 2] - z - zx * (q[:, 0] - x) - zy * (q[:, 1] - y)
            k = drop / (1 + zx**2 + zy**2)
            nx, ny = q[:, 0] + zx * k, q[:, 1] + zy * k
            keep = self.over(nx, ny)
            x, y = np.where(keep, nx, x), np.where(keep, ny, y)
        z = self.height(x, y)
        d = np.minimum(np.sqrt((q[:, 0] - x) ** 2 + (q[:, 1] - y) ** 2 + (q[:, 2] - z) ** 2), self._to_edges(q))
        below = self.height(q[:, 0], q[:, 1])
        out[inside] = np.where(q[:, 2] < below, -d, d)
        return out

    def _to_edges(self, q: Array) -> Array:
        """Return the distance of points out over an edge to what lies from there outward; infinite for others."""
        out = np.full(len(q), np.inf)
        if not any(s.ys[a] > s.ys[0] or s.ys[b] < s.ys[-1] for s, (a, b) in _edges(self)):
            return out
        side = np.where(q[:, 1] < 0, -1.0, 1.0)
        limit = self.half_width(q[:, 0], q[:, 1])
        knots = [s.x for s in self.sections]
        left = np.interp(q[:, 0], knots, [-s.ys[a] if a else s.left for s, (a, _) in _edges(self)])
        right = np.interp(q[:, 0], knots, [s.ys[b] if b < len(s.ys) - 1 else s.right for s, (_, b) in _edges(self)])
        edge = np.where(side < 0, left, right)
        beside = (np.abs(q[:, 1]) > edge - BEFORE_EDGE) & (edge < limit)
        p, outward = q[beside, None], np.linspace(0.0, 1.0, OVER_EDGE)
        first = edge[beside, None] - BEFORE_EDGE
        ys = side[beside, None] * (first + (limit[beside, None] - first) * outward)
        z, zx, _ = self._evaluate(np.broadcast_to(p[:, :, 0], ys.shape), ys)
        # Fore and aft the surface runs straight for as far as matters.
        off = np.hypot(ys - p[:, :, 1], (p[:, :, 2] - z) / np.sqrt(1 + zx**2))
        out[beside] = np.nanmin(off, axis=1, initial=np.inf)
        return out

    def _evaluate(self, x: ArrayLike, y: ArrayLike) -> tuple[Array, Array, Array]:
        ax, ay = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        shape = ax.shape
        ax, ay = ax.ravel(), ay.ravel()
        zs, ds = _across(self)(ay, 0, 1)
        # A spline is linear in its ordinates: the cubic through unit ordinates gives each section's share at x.
        share = _along(self)
        weight, change = share(ax).T, share.derivative(ax).T
        z, zx, zy = (weight * zs).sum(axis=0), (change * zs).sum(axis=0), (weight * ds).sum(axis=0)
        out = ~self.over(ax, ay)
        z[out], zx[out], zy[out] = np.nan, np.nan, np.nan
        return z.reshape(shape), zx.reshape(shape), zy.reshape(shape)


@lru_cache(maxsize=16)
def _along(roof: Roof) -> Cubic:
    return Cubic([s.x for s in roof.sections], np.eye(len(roof.sections)))


@lru_cache(maxsize=16)
def _across(roof: Roof) -> Cubics:
    return Cubics([Cubic(s.ys, s.zs, smooth) for s, smooth in _edges(roof)])


@lru_cache(maxsize=16)
def _edges(roof: Roof) -> tuple[tuple[Section, tuple[int, int]], ...]:
    """Return every section with the first and the last of its readings before an edge."""
    return tuple((s, smooth_stretch(s.ys, s.zs)) for s in roof.sections)
