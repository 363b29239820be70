"""Where bearers, uprights and clamp pads stand along the basket when the rack file leaves it open."""

from __future__ import annotations

import math

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.slat_places import between_slats, end_reach
from rackgen.design.span import largest_bay
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.spec.rack import RackSpec

PAD_LENGTH = 90.0
PAD_SPACING = 50.0
PAD_FROM_END = 240.0
BOLT_ROOM = 6.0
LONGEST_SPAN = 1200.0
BETWEEN_PADS = 20.0
"""Length of a clamp pad and the spacing of its two U-bolts; its middle from the basket's
end; room between a U-bolt and a cross bar's weld; longest stretch of ring between two pads, and least room
between them; mm (common practice, no source)."""


def spread(spec: RackSpec, choice: Choice) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Return bearers, side uprights and end uprights where the rack file does not place them.

    Slats of tube stand in for bearers; a tray and a deck have no uprights. A deck's outermost bearers are its ends.

    Raises:
        BadInput: bearers are placed where slats of tube leave none, or no upright goes between the slats.
    """
    basket, od, clr = spec.basket, choice.ring_od, choice.ring_clr
    if choice.tube_slats and basket.bearers:
        wanted = "slats of tube are coped between the sides in place of bearers; leave them out"
        raise BadInput([Mistake(spec.name, "basket.bearers", 0, f"{len(basket.bearers)} places", wanted)])
    inside, largest = 2 * end_reach(spec, choice), largest_bay(spec, choice)
    side = math.floor(inside / 2 - clr - od)
    bays = math.ceil(inside / largest - 1e-9)
    bays += 1 - bays % 2
    pitch = inside / bays
    halves = [min(float(round(pitch * (k + 0.5))), float(side)) for k in range((bays - 1) // 2)]
    if basket.kind == "deck":
        halves.append(inside / 2)
    bearers = () if choice.tube_slats else tuple(-h for h in reversed(halves)) + tuple(halves)
    if basket.kind != "basket":
        return bearers if basket.bearers is None else basket.bearers, (), ()
    uprights = [float(round(pitch * k / 5) * 5) for k in range(1, bays, 2)]
    uprights = [u for u in uprights if u <= side] or [float(side)]
    ends_to = math.floor((basket.width - od) / 2 - clr - od)
    end = min(float(round(basket.width / 4 / 5) * 5), float(ends_to))
    sides = tuple(-u for u in reversed(uprights)) + tuple(uprights)
    if choice.tube_slats and basket.side_uprights is None:
        sides = between_slats(spec, choice, sides)
    ends = (-end, end) if end > 2 * choice.bar_od else (0.0,)
    return (
        bearers if basket.bearers is None else basket.bearers,
        sides if basket.side_uprights is None else basket.side_uprights,
        ends if basket.end_uprights is None else basket.end_uprights,
    )


def bolt_room(choice: Choice) -> float:
    """Return how far a U-bolt's middle stays from the axis of what lands on the tube that it holds, mm."""
    return choice.frame_od / 2 + choice.u_bolt.rod + BOLT_ROOM


def pads(
    spec: RackSpec,
    choice: Choice,
    tubes: tuple[float, ...],
    middle: float,
    flat_to: float,
    flat_from: float | None = None,
) -> tuple[tuple[float, ...], tuple[Finding, ...]]:
    """Return the clamp pads' places from mid-length: near the usual ones, clear of bars, bends, butts and straps.

    A long basket gets two more a side between its ends, lest its sides sag.

    Args:
        spec: the basket, and pads placed by hand.
        choice: of stock.
        tubes: X of the cross bars, and of saddles under a leg, rack frame, mm.
        middle: X of mid-length.
        flat_to: X up to which the legs are straight and free.
        flat_from: X from which they are; None behind the front's bends.

    Returns:
        The places, and a stop for each that was not found; it is then the usual one.
    """
    if spec.basket.pads is not None:
        return spec.basket.pads, _one_pad(spec.basket.pads)
    findings: list[Finding] = []
    basket, bolt = spec.basket, choice.u_bolt
    half = PAD_LENGTH / 2
    start = choice.frame_die.clr if flat_from is None else flat_from
    outer = basket.length / 2 - choice.ring_od / 2 - choice.ring_clr - half
    inner = 1.5 * choice.ring_od + half
    clear = bolt_room(choice)
    usual = min(max(basket.length / 2 - PAD_FROM_END, inner), outer)

    out: list[float] = []

    def free(at: float) -> bool:
        legs = [middle + at + k * PAD_SPACING / 2 for k in (-1, 1)]
        on_leg = legs[0] >= start + bolt.rod and middle + at + half <= flat_to - bolt.rod
        apart = all(abs(at - other) >= PAD_LENGTH + BETWEEN_PADS for other in out)
        return on_leg and apart and all(abs(leg - tube) >= clear for leg in legs for tube in tubes)

    wanted = [-usual, usual]
    if 2 * usual > LONGEST_SPAN:
        wanted = [-usual, usual, -usual / 3, usual / 3]
    for place in wanted:
        sign = math.copysign(1.0, place)
        tries = [sign * d for d in np.arange(math.ceil(inner), math.floor(outer) + 1, 1.0)]
        good = sorted((t for t in tries if free(float(t))), key=lambda t: (abs(t - place), t))
        out.append(float(good[0]) if good else place)
        if not good:
            findings.append(
                Finding(
                    "no-place-for-pad",
                    Level.STOP,
                    ("basket.pad",),
                    f"{'front' if sign < 0 else 'rear'} clamp pads find no straight leg free of bars, bends and straps",
                    keys=("basket.length", "basket.forward", "frame.cross_bars"),
                    help="move the basket with basket.forward, shorten it, or move a cross bar",
                )
            )
    return tuple(sorted(out)), tuple(findings)


def _one_pad(places: tuple[float, ...]) -> tuple[Finding, ...]:
    """Return a look where the basket stands on one pad a side and can rock."""
    if len(places) != 1:
        return ()
    return (
        Finding(
            "one-pad",
            Level.LOOK,
            ("basket.clamp.left[1].pad", "basket.clamp.right[1].pad"),
            "one clamp pad a side lets the basket rock; two a side, well apart, hold it",
            got=1.0,
            limit=2.0,
            unit="",
            keys=("basket.pads",),
            help="place a second pad a side, or leave their places out",
        ),
    )
