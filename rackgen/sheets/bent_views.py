"""From which sides a bent centreline is drawn, and its outside sizes, as tape and square read them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from rackgen.geom import spine
from rackgen.geom.frame import Array, clock_direction, turn, unit
from rackgen.geom.spine import Bend, Spine

FLAT = 0.5
"""Planes of bends that differ by less are one, degrees."""

FINE, COARSE = 0.5, 3.0
"""Steps along bends for sizes and for drawn lines, degrees."""


@dataclass(frozen=True)
class View:
    """A side that something is seen from.

    Attributes:
        name: "" where it is the only one.
        u: to the right.
        v: up.
        n: toward the eye.
    """

    name: str
    u: Array
    v: Array
    n: Array

    def flat(self, points: ArrayLike) -> Array:
        """Return points or directions in the view, shape (..., 2), mm."""
        return np.asarray(points, dtype=float) @ np.column_stack([self.u, self.v])


@lru_cache(maxsize=64)
def sampled(line: Spine, step: float = COARSE) -> tuple[Array, Array]:
    """Return points along a centreline and the directions there, shapes (n, 3), mm; straights by their ends alone."""
    places: list[float] = []
    for piece in spine.pieces(line):
        n = 1 if piece.bend is None else max(2, math.ceil(piece.bend.angle / step))
        places += [piece.start + piece.length * k / n for k in range(n)]
    places.append(spine.length(line))
    frames = [spine.frame_at(line, s) for s in places]
    points, ways = np.array([f.origin for f in frames]), np.array([f.x for f in frames])
    points.flags.writeable = ways.flags.writeable = False
    return points, ways


@lru_cache(maxsize=64)
def normals(line: Spine) -> Array:
    """Return the axis of every bend, shape (bends, 3): the tube bends right-handed about it."""
    arcs = [p for p in spine.pieces(line) if p.bend is not None]
    return np.array([p.frame.then(turn((1, 0, 0), _turned(p.bend))).direction((0, -1, 0)) for p in arcs]).reshape(-1, 3)


def _turned(bend: Bend | None) -> float:
    return bend.turn if bend is not None else 0.0


def planar(line: Spine) -> bool:
    """Return whether all bends lie in one plane."""
    axes = normals(line)
    return all(np.linalg.norm(np.cross(axes[0], a)) < math.sin(math.radians(FLAT)) for a in axes[1:])


def views(line: Spine, wide: float, high: float) -> tuple[View, ...]:
    """Return one view square to the plane of the bends, or plan and side where there are more planes.

    The plan is square to the sharpest bend, the side view below it square to the sharpest of what the plan does not
    show, seen from below the plan. A single view is turned so that it is largest on paper of that size; the begin is
    to the left.

    Args:
        line: the centreline.
        wide: room for a view, any unit.
        high: the same.
    """
    axes = normals(line)
    points, _ = sampled(line)
    if not len(axes):
        return (View("", np.array([1.0, 0, 0]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0])),)
    if planar(line):
        return (_turned_to_fit(line, axes[0], wide, high),)
    angles: Array = np.array([b.angle for b in line.bends], dtype=float)
    sharp = int(np.argmax(np.round(angles, 3)))
    n = axes[sharp]
    out = axes - np.outer(axes @ n, n)
    unseen = [round(b.angle * float(np.linalg.norm(o)), 3) for b, o in zip(line.bends, out, strict=True)]
    other = unseen.index(max(unseen))
    v = unit(out[other])
    u: Array = np.cross(v, n).astype(float)
    if u @ (points[-1] - points[0]) < -1e-6 or (abs(u @ (points[-1] - points[0])) <= 1e-6 and _begin_right(points, u)):
        u, v = -u, -v
    return View("plan", u, v, n), View("side", u, n, -v)


def _begin_right(points: Array, u: Array) -> bool:
    across = points @ u
    return bool(across[0] - across.min() > across.max() - across[0])


def _turned_to_fit(line: Spine, n: Array, wide: float, high: float) -> View:
    points, _ = sampled(line)
    tried: list[tuple[float, bool, float, float, int, View]] = []
    seen: list[Array] = []
    for way in (leg[2] for leg in leg_ends(line, 0.0)):
        if any(abs(way @ s) > 0.9999 or abs(way @ s) < 0.0001 for s in seen):
            continue
        seen.append(way)
        for k in range(4):
            u = turn(n, 90.0 * k).direction(way)
            u = unit(u)
            view = View("", u, np.cross(n, u), n)
            flat = view.flat(points)
            size = np.ptp(flat, axis=0)
            scale = min(wide / max(size[0], 1e-6), high / max(size[1], 1e-6))
            start = flat[0] - flat.min(axis=0)
            right = start[0] > size[0] / 2 + 1e-6
            tried.append((-round(scale, 4), right, round(start[1], 2), round(start[0], 2), len(tried), view))
    return min(tried, key=lambda t: t[:5])[5]


def extent(line: Spine, half: float, way: ArrayLike) -> tuple[float, float]:
    """Return how far a tube reaches along a direction, lowest and highest, mm."""
    points, ways = sampled(line, FINE)
    d = np.asarray(way, dtype=float)
    reach = half * np.sqrt(np.maximum(0.0, 1.0 - (ways @ d) ** 2))
    at = points @ d
    return float((at - reach).min()), float((at + reach).max())


def setback(bend: Bend, half: float) -> float:
    """Return from a bend's tangent to the outside of the bend, along the straight before or behind it, mm.

    Up to 90 deg that is where the outside edges of both straights would meet, beyond it where the bend reaches
    farthest.
    """
    return (bend.clr + half) * (math.tan(math.radians(bend.angle) / 2) if bend.angle <= 90 else 1.0)


def outside_legs(line: Spine, half: float) -> tuple[float, ...]:
    """Return the outside size of every straight, mm: from a sawn end or the outside of a bend to that of the next."""
    before = [0.0, *(setback(b, half) for b in line.bends)]
    behind = [*(setback(b, half) for b in line.bends), 0.0]
    return tuple(s + a + b for s, a, b in zip(line.straights, before, behind, strict=True))


def leg_ends(line: Spine, half: float) -> tuple[tuple[Array, Array, Array], ...]:
    """Return for every straight where its outside size begins and ends on the axis, and its direction; mm."""
    out: list[tuple[Array, Array, Array]] = []
    at = 0.0
    for i, straight in enumerate(line.straights):
        frame = spine.frame_at(line, at + straight / 2)
        way, middle = np.array(frame.x), np.array(frame.origin)
        before = setback(line.bends[i - 1], half) if i > 0 else 0.0
        behind = setback(line.bends[i], half) if i < len(line.bends) else 0.0
        out.append((middle - way * (straight / 2 + before), middle + way * (straight / 2 + behind), way))
        at += straight + (spine.arc_length(line.bends[i]) if i < len(line.bends) else 0.0)
    return tuple(out)


def on_wall(line: Spine, s: float, clock: float, half: float) -> tuple[Array, Array]:
    """Return a place on a tube's wall and the way out of it there, mm."""
    frame = spine.frame_at(line, s)
    way = np.array(frame.direction(clock_direction(clock)))
    return np.array(frame.origin) + half * way, way
