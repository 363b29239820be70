"""The sizes of a rack on two side rails: a ladder on feet all along, or a bed frame on posts from bed rails."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from rackgen.design import knee_room
from rackgen.design.bars import BESIDE_STUB, Taken
from rackgen.design.choose import Choice
from rackgen.design.flat_spot import flattest
from rackgen.design.foot import face_at
from rackgen.design.foot_pairs import Pair, chosen
from rackgen.design.overhang import overhangs, past_feet
from rackgen.design.pairs import alike
from rackgen.design.plan_record import Plan, legs_of, ring_y
from rackgen.design.pose import Footprint, pose
from rackgen.design.rear import LegEnd, leg_frame, spanner_offset
from rackgen.design.seat import LEAN, Carrier, Stretch, beside_leg, round_up, seated, stub_x
from rackgen.design.spread import PAD_LENGTH, bolts
from rackgen.design.spread import pads as place_pads
from rackgen.design.tails import BUTT_ROOM, PAST_BUTT, longest_leg
from rackgen.design.top_sizes import nuts_reach, too_small, top_sizes
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.frame import Frame, Vec
from rackgen.spec.foot_place import BedRailPlace, FootPlace, FrontMount, zone_of
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

PAST_FEET = 150.0
LONGEST_OPEN = 1000.0
LONGEST_BARE = 700.0
FROM_END = 60.0
STEP = 5.0
MOST_STEPS = 61
MOVE = 10.0
FURTHEST = 150.0
LEAST_PIECE = 300.0
"""How far rails run past the first and the last feet; longest stretch without a cross bar under a basket, and where the
bars carry alone; an end bar's axis from the end of open rails; step of lengths and places, and how many of them a bar
moves aside at most; step in which a basket moves along the rails to where its pads find room, and how far at most;
shortest piece of a rail in two; mm (common practice, no source)."""


def plan_rails(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the basket is too small for its own bends, or the vehicle has not the feet that are asked for.
    """
    mistakes = too_small(spec, choice, shop.trim)
    if mistakes:
        raise BadInput(mistakes)
    od, frame_wish = choice.frame_od, spec.frame
    pairs = chosen(spec, vehicle, 2, (_least_front(spec, choice), 1.5 * od))
    places = [p for pair in pairs for p in (pair.left, pair.right)]
    findings: list[Finding] = []
    faces = {
        p.name: p.at if isinstance(p, FrontMount) else face_at(p, shop, vehicle, choice, p.at[0])[0] for p in places
    }
    leg_y = _leg_y(spec, choice, places, faces, findings)
    front_x, reach = _length(spec, choice, pairs)
    first = {"bent": choice.frame_die.clr + od, "mitred": 2 * od, "open": od}[frame_wish.front_end]
    last = reach - (2 * od if frame_wish.rear_end == "mitred" else od)
    stubs = {pair: sum(stub_x(p, faces) for p in (pair.left, pair.right)) / 2 - front_x for pair in pairs}
    middle = round(_mid(choice, reach, spec) - spec.basket.forward)
    taken = Taken(bolts=bolts(spec, middle))
    bars = _bars(spec, choice, leg_y, stubs, reach, (first, last), taken)
    beside = {"bent": choice.frame_die.clr + od, "mitred": 2 * od, "open": None}[frame_wish.front_end]
    stretch = Stretch(first, last, beside)
    carriers = seated(places, vehicle.roof, bars, leg_y, front_x, choice, stretch, findings, faces)
    carriers = tuple(_off_pockets(c, shop, vehicle, choice, front_x, bars, stretch) for c in carriers)
    carriers, notes = flattest(choice, leg_y, front_x, bars, carriers)
    findings += notes
    if frame_wish.kind == "bed":
        findings = [replace(f, parts=tuple(p.replace(".saddle", ".post") for p in f.parts)) for f in findings]
    # Bars that are spread evenly stay where they are; only plates move along them.
    by_hand = replace(spec, frame=replace(frame_wish, cross_bars=bars))
    bars, carriers, notes = alike(by_hand, choice, leg_y, front_x, bars, carriers)
    findings += notes
    on = Footprint(
        leg_y, front_x, bars, carriers, reach, every=True, front_tube=frame_wish.front_end != "open"
    )  # fmt: skip
    if frame_wish.kind == "bed":
        frame = _on_posts(spec, choice, places, front_x)
    else:
        frame, given_up = pose(spec, shop, vehicle, choice, on)
        findings += given_up
    flat_to = reach - (1.5 * od if frame_wish.rear_end == "mitred" else 0.0)
    straight_from = {"bent": choice.frame_die.clr, "mitred": 1.5 * od, "open": 0.0}[frame_wish.front_end]
    ends = tuple(LegEnd(y, None, flat_to, flat_to, leg_frame(frame, y, None), reach) for y in (-leg_y, leg_y))
    landings = (*bars, *(c.x for c in carriers if c.kind == "leg"))
    lands = (*landings, *knee_room.landings(frame_wish, choice, carriers))
    pads, homeless = (
        ((), ()) if spec.basket.kind == "bars" else place_pads(spec, choice, lands, middle, flat_to, straight_from)
    )
    if homeless and spec.basket.pads is None:
        for m in (middle + way * k * MOVE for k in range(1, int(FURTHEST // MOVE) + 1) for way in (1.0, -1.0)):
            there, lost = place_pads(spec, choice, lands, m, flat_to, straight_from)
            if not lost:
                findings.append(_basket_moved(m - middle))
                middle, pads, homeless = m, there, lost
                break
    findings += homeless
    findings += overhangs(
        spec, choice, vehicle.roof, frame, (), ends, middle, legs_of(frame_wish.front_end)[0]
    )  # fmt: skip
    findings += past_feet(leg_y, [abs(c.y) for c in carriers], od, legs_of(frame_wish.front_end)[0])
    joint = _butt(spec, shop, choice, leg_y, reach, pads, middle, landings)
    top, wide = top_sizes(spec, shop, choice)
    found = Plan(
        frame, leg_y, ends, (), bars, carriers, joint, middle, *top, pads, frame_wish.kind, frame_wish.front_end,
        frame_wish.rear_end, straight_from,
    )  # fmt: skip
    return found, (*findings, *wide)


def _basket_moved(by: float) -> Finding:
    return Finding(
        "basket-moved",
        Level.NOTE,
        (),
        f"the basket lies {abs(by):.0f} mm farther {'aft' if by > 0 else 'forward'} than asked for, where its clamp "
        "pads find straight rails free of bars and saddles",
        got=abs(by),
        keys=("basket.forward",),
    )


def _leg_y(
    spec: RackSpec, choice: Choice, places: Sequence[FootPlace], faces: Mapping[str, Vec], findings: list[Finding]
) -> float:
    """Return |Y| of the rails: as asked, else right over the feet, else beside what lies on them."""
    over = [abs(at[1]) for at in faces.values()]
    # The rails stand over the outermost feet; cross bars carry those further in.
    outer = [y for y in over if y > max(over) - LEAN]
    feet = round(sum(outer) / len(outer), 1)
    side, offset = ring_y(spec, choice), spanner_offset(choice)
    bare = spec.basket.kind == "bars"
    if spec.frame.width is not None:
        wanted = (spec.frame.width - choice.frame_od) / 2
    else:
        wanted = feet if bare else max(feet, side + offset)
        # A foot is carried by a rail or by a cross bar clear of it: between the two there is nothing to stand under.
        for place in sorted(places, key=lambda p: -abs(faces[p.name][1])):
            y, zone = abs(faces[place.name][1]), _across(place)
            apart = max(2 * choice.frame_od, beside_leg(choice) if isinstance(place, FrontMount) else 0.0)
            if wanted - y > zone and wanted - apart < y - zone:
                wanted = round_up(y - zone + apart, 0.1)
    if not bare:
        findings += nuts_reach(choice, side, wanted)
    return wanted


def _least_front(spec: RackSpec, choice: Choice) -> float:
    """Return how far the first feet are behind the frame's front at least, clear of its bends or mitres, mm."""
    od = choice.frame_od
    return {"bent": choice.frame_die.clr + 1.5 * od, "mitred": 2.5 * od, "open": od}[spec.frame.front_end]


def _length(spec: RackSpec, choice: Choice, pairs: Sequence[Pair]) -> tuple[float, float]:
    """Return X of the front in the vehicle frame, and X to which the rails run in the rack's frame, mm."""
    od, wish = choice.frame_od, spec.frame
    before = od / 2 if wish.front_end != "open" else 0.0
    behind = od / 2 if wish.rear_end == "mitred" else 0.0
    least_front = _least_front(spec, choice)
    first, last = pairs[0].x, pairs[-1].x
    past = max(PAST_FEET, least_front)
    length = wish.length
    if length is None:
        length = round_up(max(last - first + 2 * past, spec.basket.length), STEP)
    if wish.front is not None:
        return wish.front, length - before - behind
    front = round(((first + last - length) / 2 + before) / STEP) * STEP
    # Rounded, but not so that the first feet come under the front's bends or mitres.
    front = min(front, math.floor((first - least_front + before) / STEP) * STEP)
    return front, length - before - behind


def _mid(choice: Choice, reach: float, spec: RackSpec) -> float:
    """Return X of the rails' middle, outside to outside, rack frame, mm."""
    before = choice.frame_od / 2 if spec.frame.front_end != "open" else 0.0
    behind = choice.frame_od / 2 if spec.frame.rear_end == "mitred" else 0.0
    return (reach + behind - before) / 2


def _bars(
    spec: RackSpec, choice: Choice, leg_y: float, pairs: Mapping[Pair, float], reach: float, free: tuple[float, float],
    taken: Taken,
) -> tuple[float, ...]:  # fmt: skip
    """Return X of the cross bars: by hand, or evenly spread, a little aside over feet and off what is there.

    One that finds no place between stubs and the bars over feet is left out, unless so many were asked for.

    Args:
        spec: the frame.
        choice: of stock.
        leg_y: |Y| of the rails.
        pairs: of feet, each with X of its stubs.
        reach: X to which the rails run.
        free: X from where to where stubs stand on the rails.
        taken: U-bolts placed by hand.

    Raises:
        BadInput: a bar placed by hand lies under the front's bends or mitres, or beyond the rails.
    """
    wish, od = spec.frame, choice.frame_od
    if wish.cross_bars is not None:
        return _on_rails(spec, tuple(sorted(wish.cross_bars)), free)
    begin = 0.0 if wish.front_end != "open" else FROM_END
    end = reach if wish.rear_end == "mitred" else reach - FROM_END
    open_front, open_rear = wish.front_end == "open", wish.rear_end == "open"
    longest = LONGEST_BARE if spec.basket.kind == "bars" else LONGEST_OPEN
    bays = max(1, math.ceil((end - begin) / longest - 1e-9))
    if wish.bar_count is not None:
        bays = max(1, wish.bar_count + 1 - open_front - open_rear)
    even = [begin + (end - begin) * k / bays for k in range(bays + 1)]
    even = even[0 if open_front else 1 : None if open_rear else -1]
    if wish.bar_count == 1:
        even = [(begin + end) / 2]
    inboard = {pair: x for pair, x in pairs.items() if _inboard(pair, choice, leg_y)}
    under = _over_feet(inboard, free, BESIDE_STUB * od)
    stubs = [min(max(x, free[0]), free[1]) for pair, x in pairs.items() if pair not in inboard]
    out = sorted({float(round(min(max(x, free[0]), end) / STEP) * STEP) for x in even})
    for x in under:
        near = min(range(len(out)), key=lambda k: abs(out[k] - x), default=None)
        if near is not None and (
            abs(out[near] - x) < 1e-6 or (abs(out[near] - x) <= longest / 2 and out[near] not in under)
        ):
            out[near] = x
        else:
            out.append(x)
    placed = [x for x in out if x in under]
    beside = replace(taken, stubs=tuple(stubs))
    for x in (x for x in out if x not in under):
        # Fore and aft alike: toward the middle first.
        inward = 1.0 if x <= (begin + end) / 2 else -1.0
        tries = (x + way * STEP * k for k in range(MOST_STEPS) for way in (inward, -inward))
        good = (
            t
            for t in tries
            if free[0] <= t <= max(free[1], end)
            and beside.clear(t, choice)
            and all(abs(t - p) >= BESIDE_STUB * od for p in placed)
        )
        there = next(good, None)
        if there is not None:
            placed.append(there)
        elif wish.bar_count is not None:
            placed.append(x)
    return tuple(sorted(placed))


def _over_feet(pairs: Mapping[Pair, float], free: tuple[float, float], apart: float) -> list[float]:
    """Return X of the bars that pairs of feet inboard need: one over each, one over two that can meet under it.

    Args:
        pairs: of feet, each with X of its stubs.
        free: X from where to where bars stand between the rails.
        apart: how near two bars may stand, mm.
    """
    reach: list[tuple[float, float]] = []
    out: list[float] = []
    for pair, x in sorted(pairs.items(), key=lambda one: one[1]):
        zone = min(zone_of(p)[0] for p in (pair.left, pair.right))
        low, high = max(x - zone, free[0]), min(x + zone, free[1])
        if low > high:
            continue
        at = min(max(x, low), high)
        if out and at - out[-1] < apart and max(low, reach[-1][0]) <= min(high, reach[-1][1]):
            low, high = max(low, reach[-1][0]), min(high, reach[-1][1])
            out[-1], reach[-1] = min(max((out[-1] + at) / 2, low), high), (low, high)
        else:
            out.append(at)
            reach.append((low, high))
    return out


def _on_rails(spec: RackSpec, bars: tuple[float, ...], free: tuple[float, float]) -> tuple[float, ...]:
    """Return the bars placed by hand.

    Raises:
        BadInput: one of them has no straight rail to stand between.
    """
    off = [x for x in bars if not free[0] - 1e-6 <= x <= free[1] + 1e-6]
    if off:
        wanted = f"the rails are straight and free from {free[0]:.0f} to {free[1]:.0f} mm aft of the front"
        said = ", ".join(f"{x:g} mm" for x in off)
        raise BadInput([Mistake(spec.name, "frame.cross_bars", 0, said, wanted)])
    return bars


def _inboard(pair: Pair, choice: Choice, leg_y: float) -> bool:
    """Return whether a pair of feet is carried by a cross bar: its places lie inboard of the rails."""
    return leg_y - pair.y > max(_across(pair.left), _across(pair.right))


def _across(place: FootPlace) -> float:
    """Return how far beside a place the tube over it may pass, mm."""
    return zone_of(place)[1] if isinstance(place, FrontMount) else LEAN


def _off_pockets(
    carrier: Carrier, shop: Shop, vehicle: Vehicle, choice: Choice, front_x: float, bars: Sequence[float],
    stretch: Stretch,
) -> Carrier:  # fmt: skip
    """Return a foot on a bed rail where its plate can lie under its post: off stake pockets, in its zone, beside bars.

    One that finds no such place stays where it is, and its plate on a pocket is a stop.
    """
    place = carrier.mount
    if not isinstance(place, BedRailPlace) or carrier.kind != "leg" or not place.pockets:
        return carrier
    clear = 2 * choice.frame_od
    for k in range(int(2 * place.zone // STEP) + 1):
        for x in (carrier.x + k * STEP, carrier.x - k * STEP):
            off = abs(front_x + x - place.at[0]) > place.zone or not stretch.first <= x <= stretch.last
            if off or any(abs(x - bar) < clear for bar in bars):
                continue
            if abs(face_at(place, shop, vehicle, choice, front_x + x)[0][0] - front_x - x) < STEP / 2:
                return replace(carrier, x=x)
    return carrier


def _on_posts(spec: RackSpec, choice: Choice, places: Sequence[FootPlace], front_x: float) -> Frame:
    """Return the frame of a bed frame: level, its top as high over the bed rails as asked."""
    assert spec.frame.height is not None
    rail = max(p.at[2] for p in places)
    return Frame((front_x, 0.0, rail + spec.frame.height - choice.frame_od / 2))


def _butt(
    spec: RackSpec, shop: Shop, choice: Choice, leg_y: float, reach: float, pads: tuple[float, ...], middle: float,
    landings: tuple[float, ...],
) -> float | None:  # fmt: skip
    """Return X of the butts where rails are longer than a stick, or asked for in two; clear of pads and landings."""
    stick = choice.frame.stick - 2 * shop.saw.end_trim
    longest = longest_leg(shop, choice, leg_y) if spec.frame.front_end == "bent" else stick
    if spec.frame.leg != "tail" and (reach <= longest or spec.frame.leg == "straight"):
        return None
    room = PAST_BUTT * choice.frame_od + BUTT_ROOM
    tries = np.arange(LEAST_PIECE, reach - LEAST_PIECE + 1, STEP).tolist()
    clear = [
        x
        for x in tries
        if all(abs(x - at) >= room for at in landings)
        and all(abs(x - middle - pad) >= PAD_LENGTH / 2 + room for pad in pads)
    ]
    good = [x for x in clear if x <= longest and reach - x <= stick] or clear or [reach / 2]
    # A butt near a foot bends least.
    return float(min(good, key=lambda x: (min((abs(x - at) for at in landings), default=0.0), abs(x - reach / 2))))
