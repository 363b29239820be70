"""Where bearers, uprights and clamp pads stand along the basket when the rack file leaves it open."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from rackgen.design.choose import Choice
from rackgen.design.slat_places import BESIDE_UPRIGHT, between_slats, end_reach
from rackgen.design.span import largest_bay
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.refs.registry import number
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
    if basket.kind == "deck":
        halves = [*(float(round(pitch * (k + 0.5))) for k in range((bays - 1) // 2)), inside / 2]
    else:
        halves = _on_ring(pitch, bays, float(side), choice)
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
    # What the rules place gives way to what is placed by hand.
    elif basket.side_uprights is None:
        sides = _beside(sides, bearers if basket.bearers is None else basket.bearers, choice, side)
    elif basket.bearers is None:
        bearers = _beside(bearers, basket.side_uprights, choice, side)
    ends = (-end, end) if end > 2 * choice.bar_od else (0.0,)
    return (
        bearers if basket.bearers is None else basket.bearers,
        sides if basket.side_uprights is None else basket.side_uprights,
        ends if basket.end_uprights is None else basket.end_uprights,
    )


def _on_ring(pitch: float, bays: int, side: float, choice: Choice) -> list[float]:
    """Return where bearers land on one half of a ring's side, from mid-length: past its butt, short of its bend; mm."""
    near = math.ceil(number("past-butt").value * choice.ring_od)
    even = [float(round(pitch * (k + 0.5))) for k in range((bays - 1) // 2)]
    if even and even[0] < near < side:
        some = max(1, math.ceil((side - near) / pitch - 1e-9))
        return [float(round(near + (side - near) * k / some)) for k in range(some + 1)]
    out: list[float] = []
    for at in (min(at, side) for at in even):
        if not out or at - out[-1] >= choice.bar_od + BESIDE_UPRIGHT:
            out.append(at)
    return out


def _beside(
    places: tuple[float, ...], taken: tuple[float, ...], choice: Choice, furthest: float
) -> tuple[float, ...]:  # fmt: skip
    """Return places along a side, each at the nearest that is clear of those taken, of the butt and of one another.

    Args:
        places: of bearers or uprights, from mid-length, mm.
        taken: of those that stand there already.
        choice: of stock.
        furthest: that a tube may land from mid-length.

    Returns:
        The places; one that finds no room stays where it is.
    """
    apart, butt = choice.bar_od + BESIDE_UPRIGHT, math.ceil(number("past-butt").value * choice.ring_od)

    def clear(at: float, others: list[float]) -> bool:
        return all(abs(at - t) >= apart for t in (*taken, *others)) and butt <= abs(at) <= furthest

    out: list[float] = []
    # From the middle out, so that both ends of a side are alike.
    for place in sorted(places, key=lambda p: (abs(p), p)):
        outward = math.copysign(1.0, place)
        tries = (place + way * outward * k for k in range(math.ceil(furthest)) for way in (1.0, -1.0))
        good = [t for t in tries if t * place > 0 and clear(t, [o for o in out if o * place > 0])]
        keep = all(abs(place - t) >= apart for t in taken)
        out.append(place if keep or not good else good[0])
    return tuple(sorted(out))


def bolt_room(choice: Choice) -> float:
    """Return how far a U-bolt's middle stays from the axis of what lands on the tube that it holds, mm."""
    return choice.frame_od / 2 + choice.u_bolt.rod + BOLT_ROOM


def bolts(spec: RackSpec, middle: float) -> tuple[float, ...]:
    """Return X of the U-bolts of clamp pads placed by hand, rack frame, mm; none where rules place them."""
    if spec.basket.kind == "bars":
        return ()
    return tuple(middle + pad + k * PAD_SPACING / 2 for pad in spec.basket.pads or () for k in (-1, 1))


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
        return spec.basket.pads, (
            *_one_pad(spec.basket.pads), *_not_free(spec, choice, tubes, middle, flat_to, flat_from)
        )  # fmt: skip
    findings: list[Finding] = []
    basket = spec.basket
    half = PAD_LENGTH / 2
    outer = basket.length / 2 - choice.ring_od / 2 - choice.ring_clr - half
    inner = 1.5 * choice.ring_od + half
    on_leg = _on_leg(choice, tubes, middle, flat_to, flat_from)
    usual = min(max(basket.length / 2 - PAD_FROM_END, inner), outer)

    out: list[float] = []

    def free(at: float) -> bool:
        return on_leg(at) and all(abs(at - other) >= PAD_LENGTH + BETWEEN_PADS for other in out)

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


def _on_leg(
    choice: Choice, tubes: tuple[float, ...], middle: float, flat_to: float, flat_from: float | None
) -> Callable[[float], bool]:
    """Return what tells whether a pad's U-bolts hold a straight leg, clear of what lands on it; see `pads`."""
    rod, clear = choice.u_bolt.rod, bolt_room(choice)
    start = choice.frame_die.clr if flat_from is None else flat_from

    def on_leg(at: float) -> bool:
        legs = [middle + at + k * PAD_SPACING / 2 for k in (-1, 1)]
        straight = legs[0] >= start + rod and middle + at + PAD_LENGTH / 2 <= flat_to - rod
        return straight and all(abs(leg - tube) >= clear for leg in legs for tube in tubes)

    return on_leg


def _not_free(
    spec: RackSpec, choice: Choice, tubes: tuple[float, ...], middle: float, flat_to: float, flat_from: float | None
) -> Iterator[Finding]:
    """Yield a stop for each place by hand where no clamp pad can be: on a bend, a bar or a strap, or in another pad."""
    places = sorted(spec.basket.pads or ())
    on_leg = _on_leg(choice, tubes, middle, flat_to, flat_from)
    for k, at in enumerate(places):
        others = [p for i, p in enumerate(places) if i != k]

        def free(here: float, others: list[float] = others) -> bool:
            return on_leg(here) and all(abs(here - other) >= PAD_LENGTH for other in others)

        if free(at):
            continue
        most = math.ceil(spec.basket.length / 2)
        tries = (at + way * d for d in range(most) for way in (1.0, -1.0) if abs(at + way * d) <= most)
        good = next((t for t in tries if free(t)), None)
        yield Finding(
            "pad-not-free",
            Level.STOP,
            (f"basket.clamp.left[{k + 1}].pad", f"basket.clamp.right[{k + 1}].pad"),
            f"clamp pads at {at:g} mm stand on no straight leg free of bends, bars, saddles, straps and other pads",
            keys=("basket.pads",),
            help="leave their places out"
            if good is None
            else f"the nearest free place is {good:g} mm; or leave their places out",
        )


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
