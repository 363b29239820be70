"""Where slats lie: evenly spaced, no gap wider than asked for, clear of bends, butts and side rails."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from rackgen.design.choose import Choice, bar_width, od
from rackgen.errors import BadInput, Mistake
from rackgen.refs.registry import number
from rackgen.spec.rack import RackSpec

BESIDE_UPRIGHT = 4.0
"""Between a slat and an upright that stands beside it, mm (common practice, no source)."""


def end_reach(spec: RackSpec, choice: Choice) -> float:
    """Return how far from mid-length the axis of the end tube is, mm: a ring's back, a deck's last cross tube."""
    if spec.basket.kind == "deck":
        return spec.basket.length / 2 - choice.ring_od
    return (spec.basket.length - choice.ring_od) / 2


def last_landing(spec: RackSpec, choice: Choice) -> float:
    """Return how far from mid-length a tube may land on a side at most, mm: one diameter off the bend's tangent."""
    if spec.basket.kind == "deck":
        return end_reach(spec, choice)
    return math.floor(end_reach(spec, choice) - choice.ring_clr - choice.ring_od)


def tube_slats(spec: RackSpec, choice: Choice, uprights: Sequence[float] = ()) -> tuple[float, ...]:
    """Return the places of tubes coped between the sides, fore and aft of mid-length, front to rear; mm.

    A ring is butted at mid-length, so the two slats beside the butt keep their distance from it, whatever the gap.
    Where an upright stands in a slat's place there are two, one on each side of it.

    Args:
        spec: the basket, and the gap between slats.
        choice: of stock.
        uprights: of the sides, from mid-length, mm.
    """
    assert choice.floor is not None
    last, pitch = last_landing(spec, choice), spec.floor.gap + od(choice.floor)
    count = max(1, math.ceil(2 * last / pitch - 1e-9))
    if spec.basket.kind == "deck":
        return tuple(round(-last + 2 * last * k / count, 1) for k in range(count + 1))
    near = number("past-butt").value * choice.ring_od
    even = 2 * last / (count + 1 - count % 2)
    if even / 2 >= near:
        side = [even * (k + 0.5) for k in range(round(last / even + 0.5))]
    else:
        some = max(1, math.ceil((last - near) / pitch - 1e-9))
        side = [near + (last - near) * k / some for k in range(some + 1)]
    half = [round(min(s, last), 1) for s in side]
    return _past_uprights((*(-s for s in reversed(half)), *half), uprights, choice, (near, last))


def _past_uprights(
    places: tuple[float, ...], uprights: Sequence[float], choice: Choice, free: tuple[float, float]
) -> tuple[float, ...]:  # fmt: skip
    """Return the places of slats, two beside an upright in place of one that would run into it.

    Args:
        places: from mid-length, mm.
        uprights: likewise.
        choice: of stock.
        free: from where to where a slat lands on half a side.
    """
    assert choice.floor is not None
    wide = od(choice.floor)
    beside = math.ceil(((choice.bar_od + wide) / 2 + BESIDE_UPRIGHT) * 10 - 1e-6) / 10
    kept = [p for p in places if all(abs(p - u) >= beside - 1e-6 for u in uprights)]
    for u in sorted(uprights, key=abs):
        if all(abs(p - u) >= beside - 1e-6 for p in places):
            continue
        for at in (round(u - beside, 1), round(u + beside, 1)):
            lands = free[0] <= abs(at) <= free[1] and all(abs(at - v) >= beside - 1e-6 for v in uprights)
            if lands and all(abs(at - k) >= wide + BESIDE_UPRIGHT for k in kept):
                kept.append(at)
    return tuple(sorted(kept))


def bar_slats(spec: RackSpec, choice: Choice) -> tuple[float, ...]:
    """Return the middles of flat bars laid fore and aft, across from the middle, left to right; mm.

    They share the room between the sides' tubes evenly.
    """
    assert choice.floor is not None
    wide = bar_width(choice.floor)
    room = spec.basket.width - 2 * choice.ring_od
    count = max(1, math.ceil((room - spec.floor.gap) / (wide + spec.floor.gap) - 1e-9))
    gap = (room - count * wide) / (count + 1)
    return tuple(round(-room / 2 + gap + wide / 2 + k * (wide + gap), 1) + 0.0 for k in range(count))


def between_slats(spec: RackSpec, choice: Choice, wanted: tuple[float, ...]) -> tuple[float, ...]:
    """Return places for uprights near those wanted, each midway between two slats of tube.

    Args:
        spec: the basket, and the gap between slats.
        choice: of stock.
        wanted: fore and aft of mid-length, mm.

    Raises:
        BadInput: no upright goes between two slats.
    """
    assert choice.floor is not None
    slats = tube_slats(spec, choice)
    need = choice.bar_od + 2 * BESIDE_UPRIGHT
    clear = number("past-butt").value * choice.ring_od
    free = [
        round((a + b) / 2, 1)
        for a, b in itertools.pairwise(slats)
        if b - a - od(choice.floor) >= need and abs(a + b) / 2 >= clear
    ]
    if not free and spec.floor.gap >= need:
        # On a short side the butt takes the middle: slats make room for the uprights instead.
        return wanted
    if not free:
        wider = (
            f"an upright stands between two slats: at least {need:.0f} mm clear, and a gap on either side of the butt"
        )
        raise BadInput([Mistake(spec.name, "floor.gap", 0, f"{spec.floor.gap:g} mm", wider)])
    ahead, behind = [f for f in free if f < 0], [f for f in free if f > 0]
    return tuple(sorted({min(ahead if w < 0 else behind, key=lambda f, w=w: abs(f - w)) for w in wanted}))
