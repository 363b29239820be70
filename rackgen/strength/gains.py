"""What to change to gain most: every variant is designed and reckoned anew, and those that help are listed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackgen.strength.rated import Gain
from rackgen.strength.variants import Variant

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


def gains(was: Tried, tried: Iterable[tuple[Variant, Tried]]) -> tuple[Gain, ...]:
    """Return the changes that help, best first: by what they give moving, then parked, then by their weight.

    Of several places for the same thing the best is kept. What brings a stop that was not there is left out.

    Args:
        was: the rack as it stands.
        tried: each change with what it came to.
    """
    best: dict[tuple[str, ...], Gain] = {}
    for variant, now in tried:
        if set(now.stops) - set(was.stops):
            continue
        if max(now.moving - was.moving, now.parked - was.parked) < HELPS:
            continue
        gain = Gain(variant.what, variant.keys, now.moving, now.parked, now.mass - was.mass)
        same = variant.keys if "one more" in variant.what else (variant.what,)
        if same not in best or _rank(gain) < _rank(best[same]):
            best[same] = gain
    return tuple(sorted(best.values(), key=_rank)[:LISTED])


def _rank(gain: Gain) -> tuple[float, float, float, str]:
    return -round(gain.moving, 1), -round(gain.parked, 1), round(gain.added, 2), gain.what
