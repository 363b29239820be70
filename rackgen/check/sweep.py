# fcl has no type stubs; what it returns is unknown to the checker.
# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false, reportAttributeAccessIssue=false, reportArgumentType=false
"""How near a part comes to something that moves: a panel about its hinge, along a line, or standing still.

The way of each convex piece is divided into short stretches. The hull of a piece over one stretch holds everything
that it sweeps there and, where pieces do not reach across the foot of the perpendicular from the hinge, little more:
its distance is a lower bound. The distance at one place of the way is an upper bound. Stretches are made so short that
the two agree to `CERTAIN`; where they do not they are halved until they do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any

import fcl
import numpy as np

from rackgen.geom.frame import Array, Vec, turn, unit, vec
from rackgen.geom.hull import Ints, halves, hull, is_convex
from rackgen.geom.panel import plane_of
from rackgen.mesh.polygon import triangulate
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import Part
from rackgen.parts.rack import Placed

CERTAIN = 0.1
"""Least distances along a way are certain to this, mm; triangles lie within 0.05 mm of round surfaces besides."""

OVERSHOOT = 0.04
"""How much more than what is swept the hull over one stretch may hold, mm."""

FINEST = 6
"""How often stretches are halved."""

WIDE = 30.0
"""Longest stretch of a turn by whose box alone a part is left out, degrees."""

PAIRS = 400_000
"""So many boxes of triangles and stretches are compared one with the other, to leave out what is far apart."""

LINE = 0.01
"""How thick a line is, mm."""

MANY = 0.3
"""Of how many of its stretches a thing's whole body is made, once for all parts."""

ROUND = 0.01
"""How far the flats of a round thing stand proud of it, mm."""


@dataclass(frozen=True)
class Hinge:
    """A motion about an axis by up to `last` degrees, right-handed about `along` through `at`."""

    at: Vec
    along: Vec
    last: float


@dataclass(frozen=True)
class Slide:
    """A motion along a line by up to `last` mm; no motion at all where that is 0."""

    along: Vec = (0.0, 0.0, 1.0)
    last: float = 0.0


Way = Hinge | Slide


@dataclass(frozen=True, eq=False)
class Thing:
    """Something that the rack stays out of.

    Attributes:
        pieces: corners of convex bodies where it rests, vehicle frame, mm.
        way: how it moves.
        radius: what is left out all round it, mm: an aerial is its middle line and this.
        known: triangles of each piece, where they need not be found: of what stands still and has many corners.
    """

    pieces: tuple[Array, ...]
    way: Way = Slide()
    radius: float = 0.0
    known: tuple[Ints, ...] = ()

    @cached_property
    def faces(self) -> tuple[Ints, ...]:
        """Triangles of each piece at rest."""
        return self.known or tuple(hull(p) for p in self.pieces)

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """The whole way of every piece, in stretches."""
        out: list[Stretch] = []
        for k, piece in enumerate(self.pieces):
            count = _count(piece, self.way)
            for i in range(count):
                a, b = self.way.last * i / count, self.way.last * (i + 1) / count
                out.append(Stretch(k, a, b, _held(piece, self.way, a, b)))
        return tuple(out)

    @cached_property
    def _outer(self) -> tuple[Array, Array]:
        """Boxes of a few long stretches, which hold more than is swept: least and largest coordinates, shape (n, 3)."""
        count = max(1, math.ceil(self.way.last / WIDE)) if isinstance(self.way, Hinge) else 1
        ends = [self.way.last * i / count for i in range(count + 1)]
        held = [_held(piece, self.way, a, b) for piece in self.pieces for a, b in pairwise(ends)]
        return (
            np.array([h.min(axis=0) for h in held]) - self.radius,
            np.array([h.max(axis=0) for h in held]) + self.radius,
        )

    def may_reach(self, low: Array, high: Array, reach: float) -> bool:
        """Return whether it may come within `reach` of a box; no is certain."""
        lows, highs = self._outer
        return bool(((low <= highs + reach) & (high >= lows - reach)).all(axis=1).any())

    @cached_property
    def shapes(self) -> tuple[Ints, ...]:
        """Triangles of each piece's hull over a stretch: the hulls of one piece are all alike."""
        first = {s.piece: s for s in reversed(self.stretches)}
        return self.known or tuple(hull(first[k].points) for k in range(len(self.pieces)))

    @cached_property
    def whole(self) -> Cover:
        """All stretches together."""
        return _cover(self, self.stretches)

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Least and largest coordinates of every stretch, mm, shape (n, 3) each."""
        lows = np.array([s.points.min(axis=0) for s in self.stretches]) - self.radius
        highs = np.array([s.points.max(axis=0) for s in self.stretches]) + self.radius
        return lows, highs


@dataclass(frozen=True, eq=False)
class Stretch:
    """One piece over one stretch of its way, from `begin` to `end`: corners of the hull that holds it."""

    piece: int
    begin: float
    end: float
    points: Array


@dataclass(frozen=True, eq=False)
class Cover:
    """Hulls of stretches as one body, and of each triangle the stretch that it belongs to."""

    body: Any
    stretches: tuple[Stretch, ...]
    owner: Ints


@dataclass(frozen=True)
class Near:
    """The least distance between a part and a thing.

    Attributes:
        gap: mm; 0 where they meet.
        at: the nearest place of the part, vehicle frame, mm.
        when: how far along its way the thing then is, degrees or mm.
        least: what the gap is certain not to be less than, mm.
    """

    gap: float
    at: Vec
    when: float
    least: float


def nearest(
    low: Array, high: Array, faces: Array, thing: Thing, reach: float = math.inf, whole: Any = None
) -> Near | None:
    """Return how near a part comes to a thing, or None where that is more than `reach`.

    Args:
        low: least coordinates of the part, mm, shape (3,).
        high: largest coordinates.
        faces: its triangles in the vehicle frame, mm, shape (n, 3, 3).
        thing: what it stays out of.
        reach: mm.
        whole: FCL's object of all its triangles, to be used where most of them count; made when it is None.
    """
    all_of_it = len(faces)
    if math.isinf(reach):
        # From any corner to any place that the thing comes to is no less than the least distance.
        reach = _at_most(faces, thing) + 1e-6
    if not thing.may_reach(low, high, reach):
        return None
    lows, highs = thing.boxes
    apart = np.linalg.norm(np.maximum(0.0, np.maximum(lows - high, low - highs)), axis=1)
    some = apart <= reach
    if not some.any():
        return None
    lo, hi = lows[some].min(axis=0) - reach, highs[some].max(axis=0) + reach
    begin, end = faces.min(axis=1), faces.max(axis=1)
    close = ((begin <= hi) & (end >= lo)).all(axis=1)
    faces, begin, end = faces[close], begin[close], end[close]
    if len(faces) * int(some.sum()) <= PAIRS:
        meet = ((begin[:, None] <= highs[some] + reach) & (end[:, None] >= lows[some] - reach)).all(axis=2)
        faces, some[some] = faces[meet.any(axis=1)], meet.any(axis=0)
    if not len(faces):
        return None
    stretches = [s for s, near in zip(thing.stretches, some, strict=True) if near]
    meets = apart <= 0
    if whole is not None and len(faces) > all_of_it / 4:
        body = whole
    else:
        body = fcl.CollisionObject(_tree(faces.reshape(-1, 3), np.arange(3 * len(faces)).reshape(-1, 3)))
    many = len(stretches) > MANY * len(thing.stretches)
    cover = thing.whole if many else _cover(thing, tuple(stretches))
    inside = [
        s for s, m in zip(thing.stretches, meets, strict=True) if m and _inside(faces, s.points, thing.shapes[s.piece])
    ]
    least, stretch = (0.0, inside[0]) if inside else _first(body, cover)
    least -= thing.radius
    if least > reach:
        return None
    best = _polished(body, faces, thing, stretch, least)
    for _ in range(FINEST if thing.way.last else 0):
        if best.gap - max(0.0, least) <= CERTAIN:
            break
        stretches = [half for s in stretches for half in _halved(thing, s)]
        bounds = [_lower(body, faces, s) - thing.radius for s in stretches]
        least = min(bounds)
        best = min(best, _polished(body, faces, thing, stretches[int(np.argmin(bounds))], least), key=_gap)
        stretches = [s for s, d in zip(stretches, bounds, strict=True) if d < best.gap]
    return Near(max(0.0, best.gap), best.at, best.when, max(0.0, min(least, best.gap)))


def _at_most(faces: Array, thing: Thing) -> float:
    """Return a distance that is no less than the least one, from some corners at some places of the way."""
    every = faces.reshape(-1, 3)
    corners = every[:: max(1, len(every) // 400)]
    out = math.inf
    for at in np.linspace(0.0, thing.way.last, 9) if thing.way.last else (0.0,):
        for piece in thing.pieces:
            there = moved(piece, thing.way, float(at))
            off = corners[:, None, :] - np.concatenate([there, there.mean(axis=0)[None]])[None]
            out = min(out, float(np.sqrt((off**2).sum(axis=2)).min()))
    return out


def moved(points: Array, way: Way, at: float) -> Array:
    """Return points that rest on a thing as they are `at` degrees or mm along its way."""
    if isinstance(way, Slide):
        return points + np.asarray(way.along) * at
    return (points - way.at) @ turn(way.along, at).rotation().T + way.at


def hinge(a: Vec, b: Vec, last: float, panel: Array, out: Array) -> Hinge:
    """Return the motion about the axis through two points that takes a panel's middle the way of `out` at first."""
    axis = unit(np.asarray(b) - np.asarray(a))
    first = np.cross(axis, panel.mean(axis=0) - np.asarray(a))
    return Hinge(a, vec(axis if float(first @ out) >= 0 else -axis), last)


def panel_pieces(outline: Array, inward: Array, thickness: float, way: Way) -> tuple[Array, ...]:
    """Return a panel as convex bodies that do not reach across the foot of the perpendicular from its hinge.

    Args:
        outline: of its outside, shape (n, 3), mm, nearly in one plane.
        inward: roughly the direction of its thickness.
        thickness: mm.
        way: how it moves.
    """
    plane = plane_of(outline)
    normal = np.asarray(plane.normal) * (1.0 if float(inward @ plane.normal) >= 0 else -1.0)
    flat = plane.flat(outline)
    if is_convex(flat) and len(outline) <= 6:
        rows = [outline]
    else:
        order, faces = triangulate(flat)
        index = [int(np.argmin(np.linalg.norm(flat - p, axis=1))) for p in order]
        rows = [outline[[index[i] for i in face]] for face in faces]
    if isinstance(way, Hinge):
        square = normal - (normal @ np.asarray(way.along)) * np.asarray(way.along)
        if np.linalg.norm(square) > 1e-6:
            foot = np.cross(np.asarray(way.along), unit(square))
            rows = [part for row in rows for part in halves(row, (row - np.asarray(way.at)) @ foot)]
    return tuple(np.concatenate([row, row + thickness * normal]) for row in rows)


def edge_pieces(edge: Array, way: Hinge, across: float = 1.0) -> tuple[Array, ...]:
    """Return a door's edge as slender bodies just below it, each to one side of the foot from the hinge."""
    out: list[Array] = []
    axis = np.asarray(way.along)
    for a, b in pairwise(edge):
        run = unit(b - a)
        along = run - (run @ axis) * axis
        ends = [a, b]
        if np.linalg.norm(along) > 1e-6:
            s = (np.array([a, b]) - np.asarray(way.at)) @ unit(along)
            if s[0] * s[1] < 0 and min(abs(s)) > 1e-3:
                ends.insert(1, a + (b - a) * float(s[0] / (s[0] - s[1])))
        down = unit(np.array([0.0, 0.0, -1.0]) + run[2] * run)
        side = np.cross(run, down)
        for p, q in pairwise(ends):
            row = np.array([p, q])
            out.append(np.concatenate([row, row + across * (down + side / 2), row + across * (down - side / 2)]))
    return tuple(out)


def box(low: Vec, high: Vec) -> Array:
    """Return the corners of a box along the axes."""
    return np.array([[(low, high)[k >> i & 1][i] for i in range(3)] for k in range(8)])


def rod(start: Vec, end: Vec, radius: float) -> Thing:
    """Return a fixed cylinder with flat ends, as the prism of many flats that just holds it."""
    axis = unit(np.asarray(end) - np.asarray(start))
    side = unit(np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))]))
    n = max(8, math.ceil(math.pi / math.acos(radius / (radius + ROUND))))
    k = np.arange(n)
    a = (k * (2 * math.pi / n))[:, None]
    rim = radius / math.cos(math.pi / n) * (np.cos(a) * side + np.sin(a) * np.cross(axis, side))
    on, zero = (k + 1) % n, np.zeros(n - 2, dtype=np.int64)
    flats = [np.stack([k, on, on + n], axis=1), np.stack([k, on + n, k + n], axis=1)]
    ends = [np.stack([zero, k[2:], k[1:-1]], axis=1), np.stack([zero, k[1:-1], k[2:]], axis=1) + n]
    return Thing((np.concatenate([rim + start, rim + end]),), known=(np.concatenate([*flats, *ends]),))


def needle(foot: Vec, tip: Vec, radius: float) -> Thing:
    """Return a fixed rod, round at foot and tip: its middle line, a hundredth of a mm thick, and its radius."""
    a, b = np.asarray(foot), np.asarray(tip)
    axis = unit(b - a)
    side = unit(np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))]))
    return Thing((np.array([a, b, b + LINE * side, b + LINE * np.cross(axis, side)]),), radius=radius)


def _count(piece: Array, way: Way) -> int:
    if isinstance(way, Slide):
        return 1
    off = piece - np.asarray(way.at)
    radius = float(np.linalg.norm(np.cross(off, np.asarray(way.along)), axis=1).max())
    half = math.sqrt(OVERSHOOT / max(radius, 1.0))
    return max(1, math.ceil(math.radians(way.last) / (2 * half)))


def _held(piece: Array, way: Way, begin: float, end: float) -> Array:
    """Return points whose hull holds a piece at every place of a stretch."""
    if begin == end:
        return moved(piece, way, begin)
    both = [moved(piece, way, begin), moved(piece, way, end)]
    if isinstance(way, Hinge):
        # An arc lies within its chord's ends and the crossing of its end tangents.
        axis = np.asarray(way.along)
        off = piece - np.asarray(way.at)
        along = (off @ axis)[:, None] * axis
        wide = np.asarray(way.at) + along + (off - along) / math.cos(math.radians(end - begin) / 2)
        both.append(moved(wide, way, (begin + end) / 2))
    return np.concatenate(both)


def _halved(thing: Thing, s: Stretch) -> tuple[Stretch, ...]:
    piece, middle = thing.pieces[s.piece], (s.begin + s.end) / 2
    if s.begin == s.end:
        return (s,)
    return tuple(Stretch(s.piece, a, b, _held(piece, thing.way, a, b)) for a, b in ((s.begin, middle), (middle, s.end)))


def _cover(thing: Thing, stretches: tuple[Stretch, ...]) -> Cover:
    rows = [thing.shapes[s.piece] for s in stretches]
    starts = np.cumsum([0] + [len(s.points) for s in stretches])
    tree = _tree(
        np.concatenate([s.points for s in stretches]),
        np.concatenate([r + int(n) for r, n in zip(rows, starts[:-1], strict=True)]),
    )
    owner = np.repeat(np.arange(len(rows)), [len(r) for r in rows])
    return Cover(fcl.CollisionObject(tree), stretches, owner)


def _first(body: Any, cover: Cover) -> tuple[float, Stretch]:
    """Return the least distance to all stretches at once, and which of them it is to."""
    answer = fcl.DistanceResult()
    apart = float(fcl.distance(body, cover.body, fcl.DistanceRequest(), answer))
    if apart > 0:
        return apart, cover.stretches[int(cover.owner[answer.b2])]
    hit = fcl.CollisionResult()
    fcl.collide(body, cover.body, fcl.CollisionRequest(num_max_contacts=1, enable_contact=True), hit)
    return 0.0, cover.stretches[int(cover.owner[hit.contacts[0].b2]) if hit.contacts else 0]


def _lower(body: Any, faces: Array, s: Stretch) -> float:
    rows = hull(s.points)
    return 0.0 if _inside(faces, s.points, rows) else _apart(body, s.points, rows)[0]


def _apart(body: Any, points: Array, rows: Ints) -> tuple[float, Vec]:
    """Return the distance of the body from a convex one, mm, and the body's nearest point; 0 where surfaces cross."""
    other = fcl.CollisionObject(_tree(points, rows))
    answer = fcl.DistanceResult()
    apart = float(fcl.distance(body, other, fcl.DistanceRequest(enable_nearest_points=True), answer))
    if apart > 0:
        return apart, vec(np.asarray(answer.nearest_points)[0])
    hit = fcl.CollisionResult()
    fcl.collide(body, other, fcl.CollisionRequest(num_max_contacts=1, enable_contact=True), hit)
    return 0.0, vec(hit.contacts[0].pos) if hit.contacts else vec(points.mean(axis=0))


def _inside(faces: Array, points: Array, rows: Ints) -> bool:
    """Return whether a corner of the part is inside a convex body.

    A part that is wholly inside crosses no surface, so that the distance between surfaces says nothing of it.
    """
    corner = faces[:, 0]
    lo, hi = points.min(axis=0), points.max(axis=0)
    corner = corner[((corner >= lo) & (corner <= hi)).all(axis=1)]
    if not len(corner):
        return False
    a, b, c = (points[rows[:, k]] for k in range(3))
    n = np.cross(b - a, c - a)
    size = np.linalg.norm(n, axis=1)
    n = n[size > 1e-9] / size[size > 1e-9, None]
    off = np.einsum("ni,ni->n", n, a[size > 1e-9])
    return bool(((corner @ n.T - off) <= -1e-6).all(axis=1).any())


def _polished(body: Any, faces: Array, thing: Thing, s: Stretch, least: float) -> Near:
    """Return the least distance in a stretch: in its middle, then closer and closer about the least of five places.

    What is within half of `CERTAIN` of the bound below it is near enough.
    """
    piece, rows = thing.pieces[s.piece], thing.faces[s.piece]

    def at(place: float) -> Near:
        there = moved(piece, thing.way, place)
        if _inside(faces, there, rows):
            return Near(-thing.radius, _deep(faces, there), place, 0.0)
        apart, spot = _apart(body, there, rows)
        return Near(apart - thing.radius, spot, place, 0.0)

    low, high = s.begin, s.end
    best = at((low + high) / 2)
    if low == high:
        return best
    for _ in range(4):
        if best.gap - max(0.0, least) <= CERTAIN / 2:
            break
        best = min(best, *(at(float(x)) for x in np.linspace(low, high, 5)), key=_gap)
        step = (high - low) / 4
        low, high = max(s.begin, best.when - step), min(s.end, best.when + step)
    return best


def _gap(near: Near) -> float:
    return near.gap


def _deep(faces: Array, points: Array) -> Vec:
    """Return the corner of the part nearest the middle of a body that it is inside of."""
    every = faces.reshape(-1, 3)
    return vec(every[int(np.argmin(np.linalg.norm(every - points.mean(axis=0), axis=1)))])


@lru_cache(maxsize=512)
def _part_tree(part: Part) -> Any:
    mesh = triangles(part)
    return _tree(mesh.vertices, mesh.faces)


def whole(placed: Placed) -> Any:
    """Return FCL's object of all triangles of a part where it stands; equal parts share their tree."""
    return fcl.CollisionObject(
        _part_tree(placed.part), fcl.Transform(placed.frame.rotation(), np.array(placed.frame.origin))
    )


def _tree(points: Array, rows: Array | Ints) -> Any:
    tree = fcl.BVHModel()
    tree.beginModel(len(points), len(rows))
    tree.addSubModel(np.ascontiguousarray(points), np.ascontiguousarray(rows))
    tree.endModel()
    return tree
