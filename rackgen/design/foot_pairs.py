"""Which of a vehicle's places the feet of a frame stand on."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast, get_args

from rackgen.design.foot import FEET
from rackgen.errors import BadInput, Mistake
from rackgen.spec.foot_place import FootKind, FootPlace, kind_of, zone_of
from rackgen.spec.rack import RackSpec
from rackgen.spec.vehicle import Vehicle

ABREAST = 60.0
APART = 300.0
NEAR = 1e-6
"""How far apart fore and aft, beyond their zones, a left and a right place still are one pair; how far ahead of feet of
one kind at the rear those of another end at least (common practice, no source); what is no difference; mm."""


@dataclass(frozen=True)
class Pair:
    """A left and a right place abreast, of one kind."""

    kind: FootKind
    left: FootPlace
    right: FootPlace

    @property
    def x(self) -> float:
        """Middle of the two fore and aft, vehicle frame, mm."""
        return (self.left.at[0] + self.right.at[0]) / 2

    @property
    def y(self) -> float:
        """Mean distance from the middle, mm."""
        return (abs(self.left.at[1]) + abs(self.right.at[1])) / 2


def pairs_of(vehicle: Vehicle) -> tuple[Pair, ...]:
    """Return all pairs of places that a foot is made for, front to rear."""
    out: list[Pair] = []
    for kind in kinds():
        right = [p for p in vehicle.foot_places if kind_of(p) == kind and p.at[1] > 0]
        for left in (p for p in vehicle.foot_places if kind_of(p) == kind and p.at[1] < 0):
            named = next((p for p in right if p.name == left.name.replace("left", "right") != left.name), None)
            other = named or min(right, key=lambda p: abs(p.at[0] - left.at[0]), default=None)
            if other is None:
                continue
            if abs(other.at[0] - left.at[0]) <= ABREAST + zone_of(other)[0] + zone_of(left)[0]:
                right.remove(other)
                out.append(Pair(kind, left, other))
    return tuple(sorted(out, key=lambda p: (p.x, p.kind)))


def kinds() -> tuple[FootKind, ...]:
    """Return what feet are made for, in the order in which they are offered."""
    return tuple(kind for kind in cast("tuple[FootKind, ...]", get_args(FootKind)) if kind in FEET)


def offered(vehicle: Vehicle) -> str:
    """Return what a vehicle offers to stand on, in words."""
    found = pairs_of(vehicle)
    counts = [(kind, sum(p.kind == kind for p in found)) for kind in kinds()]
    texts = [f'{n} pair{"s" if n > 1 else ""} of kind "{kind}"' for kind, n in counts if n]
    corners = {math.copysign(1.0, m.at[1]) for m in vehicle.rear}
    texts += ['rear corners for the straps of a frame of kind "hoop"'] if corners == {-1.0, 1.0} else []
    return ", ".join(texts) or "nothing yet: measure mounts"


def no_corners(spec: RackSpec, vehicle: Vehicle) -> Mistake:
    """Return the refusal of a hoop on a vehicle without a left and a right rear corner, with what it offers instead."""
    if not pairs_of(vehicle):
        return Mistake(vehicle.name, "mounts", 0, "", "measure one left and one right rear mount for a hoop's straps")
    wanted = (
        f"a hoop's legs end on straps round rear corners, left and right, which {vehicle.name} has not: choose another "
        f"kind of frame; it offers {offered(vehicle)}"
    )
    return Mistake(spec.name, "frame.kind", 0, '"hoop"', wanted)


def chosen(spec: RackSpec, vehicle: Vehicle, least: int, ends: tuple[float, float] = (0.0, 0.0)) -> tuple[Pair, ...]:
    """Return the pairs that a frame stands on, front to rear: of one whose length is asked for, those under it.

    Args:
        spec: the kinds wanted at the front and at the rear, how many pairs, and the frame's length and front.
        vehicle: what it stands on.
        least: how many pairs the frame needs.
        ends: how far from the frame's front and rear its first and last feet are at least, mm.

    Raises:
        BadInput: the vehicle has not what is asked for; with what it offers.
    """
    found, wish = pairs_of(vehicle), spec.mounts
    rear_wish = None if wish.rear == "rear corner" else wish.rear
    usual = _most(found, spec)
    front = wish.front or rear_wish or usual
    rear = rear_wish or front
    has = f"{vehicle.name} has {offered(vehicle)}"
    missing = [
        Mistake(spec.name, f"mounts.{end}", 0, f'"{kind}"', has)
        for end, kind in (("front", wish.front), ("rear", rear_wish))
        if kind is not None and not any(p.kind == kind for p in found)
    ]
    if not missing and not any(p.kind == front for p in found):
        # What is told stands in the file: of feet it says nothing.
        own = "on bed rails" if spec.frame.kind == "bed" else "on none of them"
        missing = [Mistake(spec.name, "frame.kind", 0, f'"{spec.frame.kind}"', f"{has}; such a frame stands {own}")]
    if missing:
        raise BadInput(missing)
    if front == rear:
        rows = [p for p in found if p.kind == front]
    else:
        last = max(p.x for p in found if p.kind == rear)
        ahead = [p for p in found if p.kind == front and p.x < last - APART]
        rows = [*ahead, *(p for p in found if p.kind == rear and all(p.x > a.x for a in ahead))]
        if not ahead:
            wanted = f'no pair of kind "{front}" lies ahead of one of kind "{rear}"; {has}'
            raise BadInput([Mistake(spec.name, "mounts.front", 0, f'"{front}"', wanted)])
    under = _under(rows, spec, least, ends)
    rows = under if len(under) >= (wish.pairs or least) else rows
    count = wish.pairs or len(rows)
    if count > len(rows) or count < least or len(rows) < least:
        wanted = f"this frame stands on {least} to {len(rows)} pairs there: {has}"
        if len(rows) < least:
            wanted = f'a frame of kind "{spec.frame.kind}" needs {least} pairs of feet; {has}'
            key = next((f"mounts.{end}" for end in ("front", "rear") if getattr(wish, end) == front), "frame.kind")
            read = spec.frame.kind if key == "frame.kind" else front
            raise BadInput([Mistake(spec.name, key, 0, f'"{read}"', wanted)])
        raise BadInput([Mistake(spec.name, "mounts.pairs", 0, str(count), wanted)])
    return tuple(_even(rows, count))


def front_places(spec: RackSpec, vehicle: Vehicle, wrong: Iterable[Mistake] = ()) -> tuple[FootPlace, ...]:
    """Return the places under the front of a hoop: those of one kind.

    Args:
        spec: the kind wanted.
        vehicle: what it stands on.
        wrong: what else is refused, told together.

    Raises:
        BadInput: there is not a left and a right one; with what the vehicle offers.
    """
    mistakes = list(wrong)
    kind = spec.mounts.front or next(
        (k for k in kinds() if any(kind_of(p) == k for p in vehicle.foot_places)), "roof"
    )  # fmt: skip
    places = tuple(p for p in vehicle.foot_places if kind_of(p) == kind)
    if not {-1.0, 1.0} <= {math.copysign(1.0, p.at[1]) for p in places}:
        if spec.mounts.front is None:
            mistakes.append(Mistake(vehicle.name, "mounts", 0, "", "measure a left and a right front mount"))
        else:
            wanted = f"{vehicle.name} has {offered(vehicle)}"
            mistakes.append(Mistake(spec.name, "mounts.front", 0, f'"{kind}"', wanted))
    if mistakes:
        raise BadInput(mistakes)
    return places


def _most(found: tuple[Pair, ...], spec: RackSpec) -> FootKind:
    """Return the kind that the vehicle has most pairs of; a bed frame stands on bed rails."""
    if spec.frame.kind == "bed":
        return "bed rail"
    best: FootKind = "roof"
    for kind in kinds():
        if kind != "bed rail" and sum(p.kind == kind for p in found) > sum(p.kind == best for p in found):
            best = kind
    return best


def _under(rows: list[Pair], spec: RackSpec, least: int, ends: tuple[float, float]) -> list[Pair]:
    """Return the most rows that lie one after the other under a frame of the length asked for, in its front's place.

    Of as many, those nearest to the middle of all. Only where too few lie there do they move within their zones.

    Raises:
        BadInput: too few, with the least length; none where the frame's front is asked for, so that a finding says
            which tube is missing.
    """
    length, front = spec.frame.length, spec.frame.front
    if length is None or len(rows) < least:
        return rows
    middle = rows[0].x + rows[-1].x
    room = length - sum(ends)
    wanted = math.inf
    for share in (0.0, 1.0):
        runs: list[list[Pair]] = []
        for i, j in itertools.combinations(range(len(rows) + 1), 2):
            if j - i < least:
                continue
            first = rows[i].x + share * zone_of(rows[i].left)[0]
            last = rows[j - 1].x - share * zone_of(rows[j - 1].left)[0]
            wanted = min(wanted, last - first)
            there = front is None or (first >= front + ends[0] - NEAR and last <= front + length - ends[1] + NEAR)
            if last - first <= room + NEAR and there:
                runs.append(rows[i:j])
        if runs:
            return max(runs, key=lambda run: (len(run), -abs(run[0].x + run[-1].x - middle)))
    if wanted > room + NEAR:
        said = f"the nearest {least} pairs of feet need a frame at least {math.ceil(wanted + sum(ends))} mm long"
        raise BadInput([Mistake(spec.name, "frame.length", 0, f"{length:g} mm", said)])
    return rows


def _even(rows: list[Pair], count: int) -> list[Pair]:
    """Return as many rows as wanted, the first and the last among them, the others as evenly spaced as they are."""
    if count == 1:
        return [rows[len(rows) // 2]]
    rest = list(rows)
    out: list[Pair] = []
    for k in range(count):
        at = rows[0].x + (rows[-1].x - rows[0].x) * k / (count - 1)
        best = min(rest, key=lambda p: (abs(p.x - at), p.x))
        rest.remove(best)
        out.append(best)
    return sorted(out, key=lambda p: p.x)
