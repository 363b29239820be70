"""Whether the legs are continued by butted tails, and where the butts are."""

from __future__ import annotations

import math

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.rear import RearEnd
from rackgen.design.spread import PAD_LENGTH
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import FRAME_HOOP, Shop

PAST_BUTT = 1.5
BUTT_ROOM = 10.0
"""From a butt to a landing tube's axis, in diameters; and what is left beside a clamp pad or a weld, mm (common
practice, no source)."""

Ends = tuple[RearEnd, RearEnd]


def tailed(spec: RackSpec, shop: Shop, choice: Choice, leg_y: float, rear: Ends) -> bool:
    """Return whether the legs get tails: asked for, or left open and the hoop is longer than a stick."""
    if spec.frame.leg != "auto":
        return spec.frame.leg == "tail"
    legs = [end.end if end.drop is None else end.drop.at + end.end for end in rear]
    return sum(legs) / 2 > longest_leg(shop, choice, leg_y)


def longest_leg(shop: Shop, choice: Choice, leg_y: float) -> float:
    """Return X to which both legs of a hoop can reach when it is bent from one stick, mm."""
    clr = choice.frame_die.clr
    rest = 2 * leg_y - 4 * clr + math.pi * clr + 2 * shop.trim_of(FRAME_HOOP)
    return (choice.frame.stick - 2 * shop.saw.end_trim - rest) / 2


def before_bend(choice: Choice) -> float:
    """Return how far ahead of a drop bend's tangent a butt is at least, so that the die can still bend the tail, mm."""
    return max(choice.frame_die.tail, choice.frame_die.clamp, 2 * PAST_BUTT * choice.frame_od)


def butt(
    choice: Choice,
    rear: Ends,
    pads: tuple[float, ...],
    middle: float,
    landings: tuple[float, ...],
    longest: float = math.inf,
) -> float:
    """Return X of the butts: ahead of the drop bends, else behind the last clamp pad, clear of whatever lands there.

    Args:
        choice: of stock.
        rear: both rear ends.
        pads: places of the clamp pads from mid-length.
        middle: X of mid-length.
        landings: X of cross bars and of saddles under a leg.
        longest: X to which the legs of a hoop from one stick reach; only where there is no such place, it is farther.
    """
    if any(end.drop is not None for end in rear):
        return float(math.floor(min(end.flat_to for end in rear) - before_bend(choice)))
    room = PAST_BUTT * choice.frame_od + BUTT_ROOM
    first = middle + max(pads) + PAD_LENGTH / 2 + room
    last = min(end.strap_front for end in rear) - room
    behind = [x for x in landings if x > first]
    wanted = max(first, (first - room + max(landings, default=first)) / 2)
    tries = [wanted, *np.arange(math.ceil(first), math.floor(last) + 1, 5.0)]
    clear = [float(x) for x in tries if all(abs(x - at) >= room for at in behind)]
    good = [x for x in clear if x <= longest] or clear
    return float(round(min(good or [wanted], key=lambda x: (abs(x - wanted), x))))
