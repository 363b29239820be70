"""The rims of a coped tube end: where its outside and inside meet the header, as smooth arcs of points.

The curves follow from the heights in closed form (`geom.cope`), so no intersection is searched for. A rim is split
where it can kink (a quarter turn from the header's direction, where tubes of one diameter touch), where the square
sawn end takes over from the cope (a nipped ear), and where the tube's wall is closed. All in the frame of the end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom.cope import Cope, Plane, raw_heights
from rackgen.geom.frame import Array, clock_direction

SLACK = 0.002
"""A rim that passes the sawn end by no more than this, mm, is left there: descriptions are snapped to 0.001."""

LEAST_FLAT = 0.05
"""Ridges of a nipped ear keep at least this from the bore, mm; a deeper nip is left to the boolean."""


Gaps = tuple[tuple[float, float], ...]
"""Clock intervals, each from a begin to an end above it, degrees."""


@dataclass(frozen=True)
class Arc:
    """A smooth part of a rim.

    Attributes:
        start: clock where it begins, degrees.
        end: clock where it ends, above `start`.
        flat: whether it lies in the square sawn end.
    """

    start: float
    end: float
    flat: bool


def flats(cut: Cope | Plane, outer: float, inner: float) -> Gaps:
    """Return the clock intervals on the outside where the sawn end is already shorter than the cut.

    Raises:
        SolidError: more than this way of building an end can do: the flat reaches the bore or goes far round.
    """
    phi = np.arange(0.0, 360.0, 0.25) + cut.clock
    if np.min(raw_heights((cut,), inner, phi)) < -SLACK:
        raise SolidError("the sawn end cuts through to the bore")
    raw = raw_heights((cut,), outer, phi)
    if np.min(raw) >= -SLACK:
        return ()
    if isinstance(cut, Plane):
        raise SolidError("a plane cut that leaves part of the sawn end")
    below = raw < 0
    found: list[tuple[float, float]] = []
    starts = [i for i in range(len(phi)) if below[i] and not below[i - 1]]
    for i in starts:
        j = next(k for k in range(i, i + len(phi)) if not below[k % len(phi)])
        if np.min(raw_heights((cut,), outer, phi[0] + np.arange(i, j) * 0.25)) >= -SLACK:
            continue
        begin = _crossing(cut, outer, phi[0] + (i - 1) * 0.25)
        end = _crossing(cut, outer, phi[0] + (j - 1) * 0.25)
        if end - begin > 120.0:
            raise SolidError("the sawn end takes over more than a third of the cope")
        found.append((begin, end))
    return tuple(found)


def _crossing(cut: Cope, outer: float, before: float) -> float:
    """Return the clock within 0.25 after `before` where the cope's height on the outside is nought."""
    low, high = before, before + 0.25
    for _ in range(5):
        phi = np.linspace(low, high, 65)
        raw = raw_heights((cut,), outer, phi)
        k = int(np.flatnonzero(np.diff(np.sign(raw)))[0])
        low, high = float(phi[k]), float(phi[k + 1])
    return (low + high) / 2


def kinks(cut: Cope | Plane | None) -> tuple[float, ...]:
    """Return the clocks where a rim of this cut can kink."""
    return (cut.clock + 90.0, cut.clock + 270.0) if isinstance(cut, Cope) else ()


def arcs(breaks: tuple[float, ...], gaps: Gaps, seam: float) -> tuple[Arc, ...]:
    """Return a rim once round from the seam to the seam, split at the breaks and the flats' ends."""
    smooth = [b for b in breaks if _within(b, gaps) is None]
    stops = sorted({round((c - seam) % 360.0, 9) for c in (*smooth, *(c for g in gaps for c in g))} - {0.0, 360.0})
    return tuple(
        Arc(seam + a, seam + b, _within(seam + (a + b) / 2, gaps) is not None)
        for a, b in pairwise((0.0, *stops, 360.0))
    )


def gap_of(arc: Arc, gaps: Gaps) -> int | None:
    """Return which flat an arc belongs to, or None."""
    return _within((arc.start + arc.end) / 2, gaps)


def _within(clock: float, gaps: Gaps) -> int | None:
    return next((i for i, (a, b) in enumerate(gaps) if (clock - a) % 360.0 < b - a), None)


def best_seam(breaks: tuple[float, ...]) -> float:
    """Return the clock farthest from every break, degrees; 0 when there is none."""

    def away(clock: float) -> float:
        return round(min((abs((clock - b + 180.0) % 360.0 - 180.0) for b in breaks), default=0.0), 6)

    return max((2.5 * i for i in range(144)), key=away)


def arc_points(cut: Cope | Plane, radius: float, arc: Arc, nodes: Array) -> Array:
    """Return points of an arc that is not flat: (height, y, z) in the end's frame, at nodes in [0, 1]; shape (n, 3)."""
    phi = arc.start + (arc.end - arc.start) * nodes
    points = radius * clock_direction(phi)
    points[:, 0] = raw_heights((cut,), radius, phi)
    return points


def ridge_points(cut: Cope, outer: float, inner: float, gap: tuple[float, float], nodes: Array) -> Array:
    """Return points of the ridge between a cope and the flat of its nipped ear, across the wall between two clocks.

    Points are (0, y, z) in the end's frame, at nodes in [0, 1]; shape (n, 3), mm. In the plane of the sawn end the
    header's surface is sqrt(R² - (v + e)²) = sin th (at - u / tan th).

    Raises:
        SolidError: it comes too near the bore.
    """
    a0, a1 = math.radians(gap[0] - cut.clock), math.radians(gap[1] - cut.clock)
    lean, big = math.radians(cut.angle), cut.header_od / 2 + cut.gap
    u = outer * (math.cos(a0) + (math.cos(a1) - math.cos(a0)) * nodes)
    reach = math.sin(lean) * cut.at - math.cos(lean) * u
    side = math.copysign(1.0, outer * math.sin((a0 + a1) / 2) + cut.offset)
    v = side * np.sqrt(np.maximum(big * big - reach**2, 0.0)) - cut.offset
    if np.min(np.hypot(u, v)) < inner + LEAST_FLAT:
        raise SolidError("the nip of the ear comes too near the bore")
    return u[:, None] * clock_direction(cut.clock) + v[:, None] * clock_direction(cut.clock + 90.0)
