"""What to change to gain most: every variant is designed and reckoned anew, and those that help are listed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from rackgen.strength.rated import Gain
from rackgen.strength.variants import AND, Variant

LISTED = 12
"""How many changes a report lists."""

HELPS = 0.5
"""A change that gives less than this, kg, moving and parked, is not worth its line."""


@dataclass(frozen=True)
class Tried:
    """What a rack came to; kg.

    Attributes:
        moving: by the structure alone.
        parked: the same, parked.
        mass: of the rack.
        stops: codes of what cannot be made so; () when it can.
    """

    moving: float
    parked: float
    mass: float
    stops: tuple[str, ...] = ()


def gains(
    was: Tried, tried: Iterable[tuple[Variant, Tried]], stopped: Callable[[Variant], bool], most: int = LISTED
) -> tuple[Gain, ...]:
    """Return the changes that help, best first: by what they give moving, then parked, then by their weight.

    Of several places for the same thing the best is kept. What brings a stop that was not there is left out, as is a
    pair that gives no more than one of its two by itself.

    Args:
        was: the rack as it stands.
        tried: each change with what it came to.
        stopped: whether the whole check finds a stop in it that the rack as it stands does not have; asked of those
            alone that would be listed.
        most: how many are listed.
    """
    each = [(v, now) for v, now in tried if not set(now.stops) - set(was.stops)]
    alone = {v.what: now for v, now in each if AND not in v.what}

    def more(variant: Variant, now: Tried) -> bool:
        halves = [alone[what] for what in variant.what.split(AND) if what in alone and what != variant.what]
        return all(_helps(one, now) for one in (was, *halves))

    ranked = sorted(
        ((Gain(v.what, v.keys, now.moving, now.parked, now.mass - was.mass), v) for v, now in each if more(v, now)),
        key=lambda found: _rank(found[0]),
    )
    out: dict[str, Gain] = {}
    for gain, variant in ranked:
        if len(out) < most and variant.kind not in out and not stopped(variant):
            out[variant.kind] = gain
    return tuple(out.values())


def promising(was: Tried, tried: Iterable[tuple[Variant, Tried]]) -> tuple[tuple[Variant, float], ...]:
    """Return the changes worth pairing, the best first, each with what it gives moving, kg.

    Of several places for the same thing the best is kept; what brings a stop that was not there is left out.
    """
    made = [(v, now) for v, now in tried if not set(now.stops) - set(was.stops)]
    best: dict[str, tuple[Variant, Tried]] = {}
    for variant, now in sorted(made, key=lambda one: (-round(one[1].moving, 1), -round(one[1].parked, 1), one[0].what)):
        best.setdefault(variant.kind, (variant, now))
    return tuple((v, now.moving - was.moving) for v, now in best.values())


def _helps(was: Tried, now: Tried) -> bool:
    """Return whether it carries more, moving, or parked without losing any moving."""
    return now.moving - was.moving >= HELPS or (now.parked - was.parked >= HELPS and now.moving > was.moving - 0.1)


def _rank(gain: Gain) -> tuple[float, float, float, str]:
    return -round(gain.moving, 1), -round(gain.parked, 1), round(gain.added, 2), gain.what
