"""Load laid on the members of a floor so that forces and moments come out exactly as they should.

A member takes an even force along the whole of itself. What is not even along it (half of it bears, or the load leans
to one end) goes onto it as an even force of the same size, and a pair of forces on its ends of the same moment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom.frame import Array, Vec, vec
from rackgen.strength.model import Deck, FrameModel, LineLoad, NodeLoad

ON_EDGE = 0.5
"""A member that lies this near to the line between two halves is half in each, mm."""

TOUCHES = 1e-6
"""A member that comes this near to the line only touches it, mm."""

AT_NODE = 5.0
"""A load this near to a node is on it, mm."""

DOWN: Vec = (0.0, 0.0, -1.0)


@dataclass(frozen=True)
class Stretch:
    """A member that bears load: its id and nodes, where it begins and ends, and what width of floor is its own, mm."""

    member: str
    a: str
    b: str
    start: Vec
    end: Vec
    width: float

    @property
    def length(self) -> float:
        """Its length, mm."""
        return float(np.linalg.norm(np.subtract(self.end, self.start)))

    @property
    def middle(self) -> Array:
        """Its middle, vehicle frame."""
        return np.add(self.start, self.end) / 2


@dataclass(frozen=True)
class Laid:
    """Loads on nodes and along members."""

    nodes: tuple[NodeLoad, ...] = ()
    lines: tuple[LineLoad, ...] = ()

    def __add__(self, other: Laid) -> Laid:
        return Laid(self.nodes + other.nodes, self.lines + other.lines)


def stretches(model: FrameModel, decks: Iterable[Deck]) -> tuple[Stretch, ...]:
    """Return the members that bear load. Where none has a width, each counts by its length alone."""
    at = {n.id: n.at for n in model.nodes}
    members = {m.id: m for m in model.members}
    decks = tuple(decks)
    plain = all(d.width == 0.0 for d in decks)
    found = (
        Stretch(m.id, m.a, m.b, at[m.a], at[m.b], 1.0 if plain else d.width) for d in decks for m in [members[d.member]]
    )
    return tuple(s for s in found if s.width > 0.0 and s.length > 0.0)


def floor_of(model: FrameModel) -> tuple[Stretch, ...]:
    """Return the floor, or of a rack without one its cross bars.

    Raises:
        RackgenError: it has neither.
    """
    floor = stretches(model, model.places.floor) or stretches(model, model.places.bars)
    if not floor:
        raise RackgenError("strength: no tube of this rack carries load: it has neither a floor nor cross bars")
    return floor


def extent(floor: Sequence[Stretch]) -> tuple[Array, Array]:
    """Return the least and the most X, Y, Z of a floor's members."""
    ends = np.array([p for s in floor for p in (s.start, s.end)])
    return ends.min(axis=0), ends.max(axis=0)


def even(floor: Sequence[Stretch], force: float) -> Laid:
    """Return a force, N, downward and even over a floor."""
    return half(floor, force, lambda at: np.full(len(at), -np.inf))


def half(floor: Sequence[Stretch], force: float, side: Callable[[Array], Array]) -> Laid:
    """Return a force, N, downward and even over the part of a floor where `side` is not positive.

    Args:
        floor: its members.
        force: N.
        side: of points (n, 3): how far each lies past the edge, mm; along a member it changes evenly.

    Raises:
        RackgenError: no member lies there.
    """
    # Of each member: from where to where it bears, in shares of its length, and how much of itself it counts there.
    parts: list[tuple[Stretch, float, float, float]] = []
    for s in floor:
        a, b = (float(v) for v in side(np.array([s.start, s.end])))
        if abs(a) < ON_EDGE and abs(b) < ON_EDGE:
            parts.append((s, 0.0, 1.0, 0.5))
        elif max(a, b) <= TOUCHES:
            parts.append((s, 0.0, 1.0, 1.0))
        elif min(a, b) < -TOUCHES:
            edge = a / (a - b)
            parts.append((s, 0.0, edge, 1.0) if a < b else (s, edge, 1.0, 1.0))
    area = sum(s.width * s.length * (t1 - t0) * count for s, t0, t1, count in parts)
    if area <= 0.0:
        raise RackgenError("strength: no member bears on one half of the floor")
    out = Laid()
    for s, t0, t1, count in parts:
        f = force * s.width * s.length * (t1 - t0) * count / area
        out += along(s, DOWN, f, f * s.length * ((t0 + t1) / 2 - 0.5))
    return out


def along(s: Stretch, direction: Vec, force: float, lean: float = 0.0) -> Laid:
    """Return a force along the whole of a member.

    Args:
        s: the member.
        direction: unit, vehicle frame.
        force: N.
        lean: moment of the force about the member's middle, N·mm; positive where it leans to the end.
    """
    way = np.array(direction)
    lines = (LineLoad(s.member, vec(way * (force / s.length))),)
    if abs(lean) <= 1e-12 * max(1.0, abs(force) * s.length):
        return Laid((), lines)
    pair = way * (lean / s.length)
    return Laid((NodeLoad(s.a, vec(-pair)), NodeLoad(s.b, vec(pair))), lines)


def turned(floor: Sequence[Stretch], upward: float, moment: Array) -> Laid:
    """Return vertical forces on a floor that change evenly over it.

    Args:
        floor: its members.
        upward: their sum, N.
        moment: their moment about the floor's centre about X and Y, N·mm.

    Raises:
        RackgenError: the floor has no width or length to bear such a moment on.
    """
    weight = np.array([s.width * s.length for s in floor])
    middle = np.array([s.middle[:2] for s in floor]) - centre(floor)[:2]
    way = np.array([np.subtract(s.end, s.start)[:2] for s in floor])
    second = (weight[:, None, None] * (_outer(middle) + _outer(way) / 12)).sum(axis=0)
    (xx, xy), (_, yy) = second
    slope, *_ = np.linalg.lstsq(np.array([[xy, yy], [-xx, -xy]]), moment[:2], rcond=1e-9)
    left = np.array([[xy, yy], [-xx, -xy]]) @ slope - moment[:2]
    if float(np.abs(left).max()) > 1e-6 * max(1.0, float(np.abs(moment[:2]).max())):
        raise RackgenError("strength: the floor is too narrow to keep its load from turning over")
    out = Laid()
    for s, w, m, d in zip(floor, weight, middle, way, strict=True):
        force = float(w * (upward / weight.sum() + m @ slope))
        out += along(s, (0.0, 0.0, 1.0), force, float(w * (d @ slope) * s.length / 12))
    return out


def pushed(floor: Sequence[Stretch], direction: Vec, force: float, height: float) -> Laid:
    """Return a level force that acts at a height over the floor's centre, as the floor feels it.

    It comes onto the floor's members evenly, and its turning over as a push down ahead and a pull up behind.

    Args:
        floor: its members.
        direction: level, unit.
        force: N.
        height: Z at which it acts, vehicle frame, mm.
    """
    weight = np.array([s.width * s.length for s in floor])
    f = np.array(direction) * force
    out, moment = Laid(), np.cross([0.0, 0.0, height], f)
    for s, share in zip(floor, weight / weight.sum(), strict=True):
        out += along(s, direction, force * float(share))
        moment -= np.cross(s.middle - [*centre(floor)[:2], 0.0], f * share)
    return out + turned(floor, 0.0, moment)


def centre(floor: Sequence[Stretch]) -> Array:
    """Return the centre of an even load on a floor, vehicle frame, at the height of its members."""
    weight = np.array([s.width * s.length for s in floor])
    return (weight[:, None] * np.array([s.middle for s in floor])).sum(axis=0) / weight.sum()


def stood(floor: Sequence[Stretch], point: Array, force: float) -> Laid:
    """Return a force, N, downward on the member of a floor that is nearest to a point, seen from above."""
    best, place, off = floor[0], 0.0, np.inf
    for s in floor:
        a, way = np.array(s.start), np.subtract(s.end, s.start)
        flat = float(way[:2] @ way[:2])
        t = 0.5 if flat == 0.0 else float(np.clip((point[:2] - a[:2]) @ way[:2] / flat, 0.0, 1.0))
        far = float(np.linalg.norm(a[:2] + t * way[:2] - point[:2]))
        if far < off - 1e-6:
            best, place, off = s, t, far
    if min(place, 1 - place) * best.length <= AT_NODE:
        return Laid((NodeLoad(best.a if place < 0.5 else best.b, (0.0, 0.0, -force)),))
    return along(best, DOWN, force, force * best.length * (place - 0.5))


def chains(bars: Sequence[Stretch]) -> tuple[tuple[Stretch, ...], ...]:
    """Return members that hang together at their nodes, each chain one bar, front to rear."""
    group = {node: node for s in bars for node in (s.a, s.b)}

    def root(node: str) -> str:
        while group[node] != node:
            node = group[node]
        return node

    for s in bars:
        group[root(s.b)] = root(s.a)
    found: dict[str, list[Stretch]] = {}
    for s in bars:
        found.setdefault(root(s.a), []).append(s)
    return tuple(sorted((tuple(f) for f in found.values()), key=lambda f: (float(centre(f)[0]), f[0].member)))


def _outer(rows: Array) -> Array:
    return rows[:, :, None] * rows[:, None, :]
