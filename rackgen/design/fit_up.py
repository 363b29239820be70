"""Parts as made and where they lie so far: reading what touches, carrying a part along, setting it in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.design.as_made import Deviations, as_made
from rackgen.design.contacts import Place, Touch, frame_of
from rackgen.geom.frame import Array, Frame, cross, turn, vec
from rackgen.parts.kinds import BentTube, CutPlate, Part
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.vehicle import Vehicle

HOLD = 0.05
"""How strongly a part keeps the place that its neighbours give it, against fitting its joints: small, so that it
decides only what the joints leave free."""

MARK = 0.5
"""How strongly a tube's end keeps its mark along what it lands on, against fitting its joints."""

ARM = 100.0
"""Length at which a turn is weighed against a shift, mm."""


@dataclass(frozen=True, eq=False)
class Bench:
    """What settling needs of a rack as drawn, worked out once.

    Attributes:
        rack: as drawn.
        vehicle: as measured.
        isolator: between clamp pads and legs, mm.
        touches: of all joints.
        placed: its parts by id.
        of: by part, the touches that it has a side of.
        local: every place of every touch as drawn, in its part's own frame.
        grown: by root, each bench assembly put together of parts as drawn.
        order: by root, the parts that follow it in the order of their fit-up, each with the touches it is set in by.
        off: how far off the points of each touch within one bench assembly are there, None for other touches.
        middles: by root, X and Y of each bench assembly's middle as drawn, mm.
    """

    rack: Rack
    vehicle: Vehicle
    isolator: float
    touches: tuple[Touch, ...]
    placed: Mapping[PartId, Placed]
    of: Mapping[PartId, tuple[Touch, ...]]
    local: Mapping[Place, Frame]
    grown: Mapping[PartId, Mapping[PartId, Frame]]
    order: Mapping[PartId, tuple[tuple[PartId, tuple[Touch, ...]], ...]]
    off: tuple[Array | None, ...]
    middles: Mapping[PartId, Array]

    def drawn(self, place: Place) -> Frame:
        """Return where a place of a part lies as drawn, vehicle frame."""
        placed = self.placed[place.part]
        return placed.frame.then(self.local[place] if place in self.local else frame_of(placed.part, place))


def fit_up_order(
    placed: Mapping[PartId, Placed], of: Mapping[PartId, Sequence[Touch]], members: Sequence[PartId], root: PartId
) -> tuple[tuple[PartId, tuple[Touch, ...]], ...]:
    """Return the parts of a bench assembly after its root, each as soon as one of its joints can be made, and by which.

    Args:
        placed: parts by id.
        of: by part, the touches that it has a side of.
        members: of the assembly.
        root: that the others are set to.
    """
    mine, waiting = {root}, [p for p in members if p != root]

    def touching(part: PartId) -> tuple[Touch, ...]:
        return tuple(t for t in of[part] if other(t, part) in mine)

    def first(part: PartId) -> tuple[bool, float]:
        # The part that most of its joints can be made of goes first: all uprights before the ring that they carry.
        # Plates and bars follow the tubes, which give the assembly its shape.
        return isinstance(placed[part].part, BentTube), len(touching(part)) / len(of[part])

    out: list[tuple[PartId, tuple[Touch, ...]]] = []
    while ready := [p for p in waiting if touching(p)]:
        part = max(ready, key=first)
        waiting.remove(part)
        out.append((part, touching(part)))
        mine.add(part)
    return tuple(out)


def other(touch: Touch, part: PartId) -> PartId:
    """Return the part at the other side of a touch."""
    return touch.on.part if touch.of.part == part else touch.of.part


def moved(frame: Frame, centre: ArrayLike, step: ArrayLike) -> Frame:
    """Return a frame after a rigid move: a shift in mm, then a turn vector in radians about a centre."""
    return _move(centre, step).then(frame)


def _move(centre: ArrayLike, step: ArrayLike) -> Frame:
    shift, turned_by = vec(np.asarray(step)[:3]), vec(np.asarray(step)[3:])
    angle = math.hypot(*turned_by)
    turned = turn(turned_by, math.degrees(angle)) if angle > 1e-12 else Frame()
    c = vec(centre)
    swung = turned.direction(c)
    x, y, z = (at + s - back for at, s, back in zip(c, shift, swung, strict=True))
    return Frame((x, y, z), turned.x, turned.y, turned.z)


class FitUp:
    """One fit-up under way.

    Attributes:
        on: the rack as drawn.
        owners: of the deviations.
        parts: every part as made.
        pulls: by joint, how much more than usual its weld draws in, mm.
        frames: where each part lies that was set in, vehicle frame.
        as_drawn: of bench assemblies, the parts that came out and lie there as drawn.
    """

    def __init__(self, on: Bench, deviations: Deviations) -> None:
        self.on = on
        self.owners = owners = {s.owner for s in deviations}
        self.parts: dict[PartId, Part] = {
            p.id: as_made(p.part, p.id, deviations) if p.id in owners else p.part for p in on.rack.placed
        }
        self.pulls = {s.owner: d for s, d in deviations.items() if s.kind == "pull"}
        self.frames: dict[PartId, Frame] = {}
        self.as_drawn: set[PartId] = set()
        self._local = {place: frame for place, frame in on.local.items() if place.part not in owners}

    def local(self, place: Place) -> Frame:
        """Return a place on its part as made, in the part's own frame."""
        if place not in self._local:
            self._local[place] = frame_of(self.parts[place.part], place)
        return self._local[place]

    def at(self, place: Place) -> Frame:
        """Return where a place of a part lies now, vehicle frame."""
        return self.frames[place.part].then(self.local(place))

    def drawn(self, place: Place) -> Frame:
        """Return where a place of a part lies on the rack as drawn, vehicle frame."""
        return self.on.drawn(place)

    def read(self, touch: Touch) -> tuple[Array, Array, Array]:
        """Return how far off each point of a touch is, the direction in which it opens, and the points."""
        points = self.at(touch.of).points(touch.points)
        on = self.at(touch.on)
        local = on.to_local(points)
        if touch.shape == "face":
            return local[:, 2] - touch.reach, np.broadcast_to(np.asarray(on.z), points.shape), points
        local[:, 0] = 0.0
        distance = np.linalg.norm(local, axis=1)
        normals = (local / np.maximum(distance, 1e-12)[:, None]) @ on.rotation().T
        return distance - touch.reach, normals, points

    def links(self, part: PartId) -> list[Touch]:
        """Return the touches of a part with those parts that lie there already."""
        return [t for t in self.on.of[part] if other(t, part) in self.frames]

    def grow(self, root: PartId) -> None:
        """Set the parts of a bench assembly in, from its root on.

        What came out as drawn and is set into parts that lie as drawn lies as drawn itself.
        """
        drawn = self.on.grown.get(root, {})
        self.frames[root] = self.on.placed[root].frame
        self.as_drawn |= {root} - self.owners
        for part, links in self.on.order[root]:
            if (
                part in drawn
                and part not in self.owners
                and all(t.joint not in self.pulls and other(t, part) in self.as_drawn for t in links)
            ):
                self.frames[part] = drawn[part]
                self.as_drawn.add(part)
            else:
                self._add(part, links)

    def off(self, number: int) -> Array:
        """Return how far off each point of a touch is, mm, by the touch's number on the bench."""
        touch, drawn = self.on.touches[number], self.on.off[number]
        if drawn is not None and touch.of.part in self.as_drawn and touch.on.part in self.as_drawn:
            # Wherever an assembly is carried, what is within it stays.
            return drawn
        return self.read(touch)[0]

    def add(self, part: PartId) -> None:
        """Set one part into all that lies there."""
        self._add(part, self.links(part))

    def _add(self, part: PartId, links: Sequence[Touch]) -> None:
        """Set one part in so that its joints fit as well as they can together; its welds then draw it in."""
        self.frames[part] = self._carried(part, links)
        if isinstance(self.parts[part], CutPlate):
            # A plate is held in the middle of what it is welded between.
            return
        for _ in range(2):
            here = self.frames[part]
            self.frames[part] = moved(here, here.origin, self.step(here.origin, {part}, links, HOLD))
        self._draw_in(part, links)

    def _carried(self, part: PartId, links: Sequence[Touch]) -> Frame:
        """Return where a part would lie if each joint alone were as drawn, averaged over its joints."""
        found: list[Frame] = []
        for touch in links:
            mine, its = (touch.of, touch.on) if touch.of.part == part else (touch.on, touch.of)
            asked = self.drawn(its).inverse().then(self.drawn(mine))
            found.append(self.at(its).then(asked).then(self.local(mine).inverse()))
        origin, x, z = (np.mean([getattr(f, name) for f in found], axis=0) for name in ("origin", "x", "z"))
        return Frame.of(origin, x, z)

    def _draw_in(self, part: PartId, links: Sequence[Touch]) -> None:
        """Move a part as its welds pull it; drawn from both sides it stays, and what holds it is not bent by it."""
        shift = np.zeros(3)
        for joint in sorted({t.joint for t in links} & self.pulls.keys()):
            opens = [self.read(t)[1] * (1.0 if t.of.part == part else -1.0) for t in links if t.joint == joint]
            mean = np.vstack(opens).mean(axis=0)
            length = float(np.linalg.norm(mean))
            if length > 1e-6:
                shift -= mean / length * self.pulls[joint]
        if np.any(shift):
            self.frames[part] = Frame.of(
                np.asarray(self.frames[part].origin) + shift, self.frames[part].x, self.frames[part].z
            )

    def step(self, centre: ArrayLike, moving: set[PartId], links: Sequence[Touch], hold: float) -> Array:
        """Return the rigid move of some parts that fits their touches best, least squares; see `moved`."""
        rows: list[Array] = []
        off: list[Array] = []
        for touch in links:
            gap, normals, points = self.read(touch)
            sign = 1.0 if touch.of.part in moving else -1.0
            arms = points - np.asarray(centre)
            share = 1 / math.sqrt(len(gap))
            rows.append(sign * share * np.hstack([normals, cross(arms, normals) / ARM]))
            off.append(gap * share)
            if touch.shape == "axis":
                # It stays at its mark along what it lands on, and does not slide off askew to close a gap.
                run, arm = np.asarray(self.at(touch.on).x), arms.mean(axis=0)
                rows.append(MARK * np.hstack([run, cross(arm, run) / ARM])[None, :])
                off.append(np.zeros(1))
        rows.append(np.eye(6) * hold)
        off.append(np.zeros(6))
        a, b = np.vstack(rows), -np.concatenate(off)
        found = np.asarray(np.linalg.solve(a.T @ a, a.T @ b), dtype=np.float64)
        found[3:] /= ARM
        return found

    def move(self, parts: Iterable[PartId], centre: ArrayLike, step: ArrayLike) -> None:
        """Move parts together as one."""
        move = _move(centre, step)
        for part in parts:
            self.frames[part] = move.then(self.frames[part])
