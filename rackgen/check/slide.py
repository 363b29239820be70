"""How far the basket may slide fore and aft on its frame as it is, what stops it, and where it would stand best.

The basket moves with its clamps and the frame's fore-aft stops along the frame; nothing else changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from rackgen.check.bodies import Body
from rackgen.check.keepouts import KeepOut
from rackgen.check.sweep import nearest
from rackgen.design.choose import Choice, choose
from rackgen.design.overhang import LONGEST
from rackgen.design.plan import Plan, plan
from rackgen.design.spread import BOLT_ROOM, PAD_LENGTH, PAD_SPACING
from rackgen.geom.frame import Array, Vec, vec
from rackgen.mesh.triangles import triangles
from rackgen.parts import measure
from rackgen.parts.handbook import handbook_limit
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

LEAST_SHARE = 0.1
"""Of the weight, what the foremost and the rearmost mounts must each still carry: less, and the rack rocks (common
practice, no source)."""

LOOK_AHEAD = 300.0
"""How far along its way it is looked for what the basket would meet, mm."""

WINDOW = 40.0
"""How far ahead of a part it is looked at a time, mm: what is near is found much faster."""

STEP = 5.0
"""The best place is given to this, mm."""


@dataclass(frozen=True)
class Bound:
    """What stops the basket on its way.

    Attributes:
        what: in words.
        room: how far it may go until then, mm, 0 where it is already past.
    """

    what: str
    room: float


@dataclass(frozen=True)
class SlideRange:
    """How far the basket may slide, mm.

    Attributes:
        forward: what stops it on its way forward, nearest first.
        rearward: what stops it on its way to the rear, nearest first.
        best: where it would stand best, from where it is, positive to the rear, to 5 mm.
        share: of the weight on the foremost mounts as it is, empty and loaded.
        best_share: the same at the best place.
        load: that was reckoned with, kg.
        by: what that load is, in words; "" without one.
    """

    forward: tuple[Bound, ...]
    rearward: tuple[Bound, ...]
    best: float
    share: tuple[float, float]
    best_share: tuple[float, float]
    load: float
    by: str = ""


def moves(part: PartId) -> bool:
    """Return whether a part goes with the basket."""
    return part.startswith(("basket.", "frame.stop"))


def slide_range(
    rack: Rack,
    of: Mapping[PartId, Body],
    things: Iterable[KeepOut],
    shop: Shop,
    vehicle: Vehicle,
    spec: RackSpec,
    rating: float | None = None,
) -> SlideRange:
    """Return how far the basket may slide on the frame.

    Args:
        rack: as designed.
        of: its bodies.
        things: what it stays out of.
        shop: that makes it.
        vehicle: that carries it.
        spec: what was asked for.
        rating: load while moving that it is rated for, kg; None where that was not reckoned.
    """
    choice = choose(spec, shop)
    sizes, _ = plan(spec, shop, vehicle, choice)
    load, by = _load(rack, vehicle, rating)
    weight = _weight(rack, vehicle, sizes, load)
    forward = [*_overhang(spec, choice, sizes, -1.0), *_straight(choice, sizes, -1.0), *_balance(weight, -1.0)]
    rearward = [*_overhang(spec, choice, sizes, 1.0), *_straight(choice, sizes, 1.0), *_balance(weight, 1.0)]
    for way, bounds in ((-1.0, forward), (1.0, rearward)):
        far = max(LOOK_AHEAD, min(b.room for b in bounds))
        toward = way * np.asarray(sizes.frame.x)
        for thing in things:
            room = first_meeting(of, thing, vec(toward), far)
            if room is not None:
                bounds.append(Bound(f"it comes to {thing.name}, the wanted gap kept", room))
    ahead, behind = min(b.room for b in forward), min(b.room for b in rearward)
    best = _best(weight, -ahead, behind)
    return SlideRange(
        tuple(sorted(forward, key=lambda b: (b.room, b.what))),
        tuple(sorted(rearward, key=lambda b: (b.room, b.what))),
        best,
        (weight.front(0.0, 0.0), weight.front(0.0, weight.load)),
        (weight.front(best, 0.0), weight.front(best, weight.load)),
        weight.load,
        by if weight.load else "",
    )


def first_meeting(of: Mapping[PartId, Body], thing: KeepOut, toward: Vec, far: float) -> float | None:
    """Return how far the basket goes until one of its parts is nearer to a thing than wanted, or None within `far`.

    A part that has d to spare may go d further, whatever its way: repeated, that comes to the first meeting and never
    past it.

    Args:
        of: all bodies; only those of the basket move.
        thing: what is met.
        toward: unit direction, vehicle frame.
        far: how far to look, mm.
    """
    best: float | None = None
    step = np.asarray(toward)
    # What their boxes alone leave certain comes first: most parts are then too far behind the first that meets it.
    starts = [(_certain(one, thing, step), part, one) for part, one in of.items() if moves(part)]
    for gone, _, one in sorted((s for s in starts if s[0] <= far), key=lambda s: s[:2]):
        faces: Array | None = None
        end = far if best is None else best
        while gone <= end:
            left = end - gone
            low, high = one.low + step * gone, one.high + step * gone
            if not thing.thing.may_reach(
                np.minimum(low, low + step * left), np.maximum(high, high + step * left), thing.wanted
            ):
                break
            if faces is None:
                mesh = triangles(one.placed.part)
                faces = one.placed.frame.points(mesh.vertices)[mesh.faces]
            window = min(left, WINDOW)
            near = nearest(low, high, faces + step * gone, thing.thing, thing.wanted + window)
            if near is None and window < left:
                gone += window
                continue
            if near is None:
                break
            spare = near.least - thing.wanted
            if spare <= 0.05:
                best = gone
                break
            gone += spare
    return best


def _certain(one: Body, thing: KeepOut, step: Array) -> float:
    """Return how far a part's box goes before it comes within the wanted gap of a box that the thing sweeps, mm."""
    lows, highs = thing.thing.boxes
    enter, leave = np.zeros(len(lows)), np.full(len(lows), np.inf)
    for low, high, begin, end, way in zip(
        lows.T - thing.wanted, highs.T + thing.wanted, one.low, one.high, step, strict=True
    ):
        if abs(way) < 1e-12:
            leave[(end < low) | (begin > high)] = -np.inf
            continue
        first, last = (low - end) / way, (high - begin) / way
        enter, leave = np.maximum(enter, np.minimum(first, last)), np.minimum(leave, np.maximum(first, last))
    return float(enter[enter <= leave].min(initial=np.inf))


def _overhang(spec: RackSpec, choice: Choice, sizes: Plan, way: float) -> list[Bound]:
    half = spec.basket.length / 2
    off = (
        half - sizes.middle - choice.frame_od / 2
        if way < 0
        else sizes.middle + half - min(end.reach for end in sizes.ends)
    )
    return [Bound("it reaches as far beyond its frame as is usual", max(0.0, LONGEST - off))]


def _straight(choice: Choice, sizes: Plan, way: float) -> list[Bound]:
    """Return where a clamp comes to the end of its straight tube, or to a tube that is welded to the leg."""
    bolt, out = choice.u_bolt, list[Bound]()
    half = PAD_LENGTH / 2
    clear = choice.frame_od / 2 + bolt.rod + BOLT_ROOM
    flat_to = min(end.flat_to for end in sizes.ends)
    tubes = [*sizes.landings]
    tubes += [sizes.butt] if sizes.butt is not None else []
    for number, at in enumerate(sorted(sizes.pads), 1):
        clamp = f"clamp pair {number} from the front"
        legs = [sizes.middle + at + k * PAD_SPACING / 2 for k in (-1, 1)]
        if way < 0:
            room = legs[0] - sizes.straight_from - bolt.rod
        else:
            room = flat_to - bolt.rod - (sizes.middle + at + half)
        end = "its leg's front bend" if way < 0 else "the end of its leg's free straight"
        out.append(Bound(f"{clamp} comes to {end}", max(0.0, room)))
        met = [way * (tube - leg) - clear for leg in legs for tube in tubes if way * (tube - leg) > 0]
        if met:
            out.append(Bound(f"{clamp} comes to a tube on its leg", max(0.0, min(met))))
    return out


@dataclass(frozen=True)
class _Weight:
    """Masses, kg, and where they lie fore and aft, mm: of what stays, what moves, and the load on it."""

    stays: float
    stays_at: float
    goes: float
    goes_at: float
    load: float
    load_at: float
    first: float
    last: float

    def front(self, moved: float, load: float) -> float:
        """Return the share of the weight on the foremost mounts with the basket moved to the rear."""
        total = self.stays + self.goes + load
        moment = (
            self.stays * self.stays_at + self.goes * (self.goes_at + moved) + load * (self.load_at + moved)
        )  # fmt: skip
        return (self.last - moment / total) / (self.last - self.first)


def _load(rack: Rack, vehicle: Vehicle, rating: float | None) -> tuple[float, str]:
    """Return the load that the balance is reckoned with, kg, and what it is in words."""
    if rating is not None:
        return rating, "the load it is rated for, moving"
    limit = handbook_limit(rack, vehicle)
    if limit.kg is not None:
        left = max(0.0, limit.kg - sum(measure.mass(p.part) for p in rack.placed))
        return left, f"what the {limit.words} leaves; it may be rated for less"
    heights = vehicle.keep_outs.heights
    return (0.0, "") if heights is None else (heights.load, "the load of the vehicle's file")


def _weight(rack: Rack, vehicle: Vehicle, sizes: Plan, load: float) -> _Weight:
    def lump(placed: Iterable[Placed]) -> tuple[float, float]:
        masses = [(measure.mass(p.part), p.frame.point(measure.centroid(p.part))[0]) for p in placed]
        total = sum(m for m, _ in masses)
        return total, sum(m * x for m, x in masses) / total if total else 0.0

    goes, goes_at = lump(p for p in rack.placed if moves(p.id))
    stays, stays_at = lump(p for p in rack.placed if not moves(p.id))
    load_at = sizes.frame.point((sizes.middle, 0.0, 0.0))[0]
    held = [m.at[0] for m in (*(c.mount for c in sizes.carriers), *(end.mount for end in sizes.rear))]
    first, last = min(held), max(held)
    return _Weight(stays, stays_at, goes, goes_at, load, load_at, first, last)


def _balance(weight: _Weight, way: float) -> list[Bound]:
    """Return how far until the mounts at one end carry less than their least share, empty or loaded."""
    rooms: list[float] = []
    for load in (0.0, weight.load):
        share = weight.front(0.0, load)
        # The share falls evenly as the basket goes to the rear.
        per_mm = share - weight.front(1.0, load)
        spare = share - LEAST_SHARE if way > 0 else 1 - LEAST_SHARE - share
        rooms.append(max(0.0, spare / per_mm) if per_mm > 0 else math.inf)
    end = "foremost" if way > 0 else "rearmost"
    return [Bound(f"the {end} mounts would carry only {LEAST_SHARE:.0%} of the weight", min(rooms))]


def _best(weight: _Weight, low: float, high: float) -> float:
    """Return the place in a range where the loaded weight lies nearest the middle between the mounts, to 5 mm."""
    per_mm = weight.front(0.0, weight.load) - weight.front(1.0, weight.load)
    wanted = (weight.front(0.0, weight.load) - 0.5) / per_mm if per_mm > 0 else 0.0
    low, high = math.ceil(low / STEP - 1e-9) * STEP, math.floor(high / STEP + 1e-9) * STEP
    return min(max(round(wanted / STEP) * STEP, low), high) + 0.0
