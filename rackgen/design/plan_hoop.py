"""The sizes of a rack on a hoop: legs aft from a bent front, feet under the front, straps at the rear."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from rackgen.design.bars import Taken, bar_choices, untied
from rackgen.design.choose import Choice
from rackgen.design.drop import drop_bend, standing_high
from rackgen.design.flat_spot import flattest
from rackgen.design.foot import face_at
from rackgen.design.foot_pairs import front_places, no_corners
from rackgen.design.hoop import Drop
from rackgen.design.overhang import overhangs
from rackgen.design.pairs import alike
from rackgen.design.plan_record import Plan, ring_y
from rackgen.design.pose import Footprint, pose
from rackgen.design.rear import STRAP_TOP, RearEnd, rear_end, spanner_offset, strap_range
from rackgen.design.seat import beside_leg, front_bars, round_up
from rackgen.design.spread import PAD_LENGTH, bolts
from rackgen.design.spread import pads as place_pads
from rackgen.design.tails import PAST_BUTT, before_bend, butt, longest_leg, tailed
from rackgen.design.top_sizes import nuts_reach, too_small, top_sizes
from rackgen.errors import Finding, Mistake
from rackgen.spec.foot_place import FootPlace, FrontMount, zone_of
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

BEFORE_FOLD = 20.0
"""From a strap's top flat to the body's rear face at the most, mm: what its fold takes (common practice, no source)."""

Row = tuple[tuple[float, ...], tuple[float, ...], tuple[Finding, ...]]
"""Places of cross bars, those of the clamp pads beside them, and of which pads there is none."""


def plan_hoop(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the basket is too small for its own bends, or the vehicle has no mounts to stand on.
    """
    places = front_places(spec, vehicle, _refusals(spec, vehicle, choice, shop.trim))
    findings: list[Finding] = []
    leg_y = _leg_y(spec, vehicle, choice, places, findings)
    front_x = _front_x(spec, places, choice)
    faces = {
        p.name: p.at if isinstance(p, FrontMount) else face_at(p, shop, vehicle, choice, p.at[0])[0] for p in places
    }
    reach = min(m.at[0] for m in vehicle.rear) - front_x
    free_to = reach - STRAP_TOP - BEFORE_FOLD - choice.frame_od
    bars, carriers = front_bars(spec, vehicle.roof, places, choice, leg_y, front_x, findings, faces, free_to)
    carriers, notes = flattest(choice, leg_y, front_x, bars, carriers)
    findings += notes
    bars, carriers, notes = alike(spec, choice, leg_y, front_x, bars, carriers)
    findings += notes
    frame, given_up = pose(spec, shop, vehicle, choice, Footprint(leg_y, front_x, bars, carriers, reach, straps=True))
    findings += given_up
    sides = list(zip(sorted(vehicle.rear, key=lambda m: m.at[1]), (-leg_y, leg_y), _reaches(spec, choice), strict=True))

    def ends(drop: Drop | None) -> tuple[tuple[RearEnd, RearEnd], list[Finding]]:
        (left, a), (right, b) = (
            rear_end(mount, vehicle.roof, spec, shop, choice, frame, y, drop, reach) for mount, y, reach in sides
        )
        return (left, right), [*a, *b]

    straight, _ = ends(None)
    middle = round((min(r.reach for r in straight) - choice.frame_od / 2) / 2 - spec.basket.forward)
    basket_rear = middle + spec.basket.length / 2
    tails = tailed(spec, shop, choice, leg_y, straight)
    # Between the last clamp and a drop bend there is room for the butt of a tail.
    room = before_bend(choice) + PAST_BUTT * choice.frame_od if tails else 0.0
    # What stands on a foot stands on the legs' flat part.
    stood = max((c.x + choice.frame_od for c in carriers), default=0.0)
    by_hand = spec.basket.pads or () if spec.basket.kind != "bars" else ()
    stood = max([stood, *(middle + pad + PAD_LENGTH / 2 + choice.u_bolt.rod + room for pad in by_hand)])
    drop, doubts = drop_bend(spec, choice, vehicle.roof, straight, basket_rear + room, stood, lambda d: ends(d)[0])
    rear, said = ends(drop)
    findings += [*doubts, *said, *standing_high(rear)]
    flat_to = min(r.flat_to for r in rear) - (room if drop is not None else 0.0)
    saddles = tuple(c.x for c in carriers if c.kind == "leg")
    rows = bar_choices(spec, choice, vehicle.roof, frame, bars, rear, Taken(saddles, bolts(spec, middle)))
    bars, pads, homeless = _first_with_room(
        (row, *place_pads(spec, choice, (*row, *saddles), middle, flat_to)) for row in rows
    )
    carriers = tuple(replace(c, bar=bars.index(c.x)) if c.kind == "bar" else c for c in carriers)
    findings += [*homeless, *untied(choice, bars, rear)]
    findings += overhangs(spec, choice, vehicle.roof, frame, bars, rear, middle)
    joint = butt(choice, rear, pads, middle, (*bars, *saddles), longest_leg(shop, choice, leg_y)) if tails else None
    top, wide = top_sizes(spec, shop, choice)
    found = Plan(
        frame, leg_y, rear, rear, bars, carriers, joint, middle, *top, pads, straight_from=choice.frame_die.clr
    )  # fmt: skip
    return found, (*findings, *wide)


def _first_with_room(tries: Iterator[Row]) -> Row:
    """Return the first row of cross bars that all clamp pads find room beside, else the first."""
    best = next(tries)
    return best if not best[2] else next((row for row in tries if not row[2]), best)


def _refusals(spec: RackSpec, vehicle: Vehicle, choice: Choice, trim: float) -> list[Mistake]:
    """Return why a basket that its own bends or bars make impossible, or a vehicle without corners, is refused."""
    mistakes = too_small(spec, choice, trim)
    if sorted(math.copysign(1.0, m.at[1]) for m in vehicle.rear) != [-1.0, 1.0]:
        mistakes.append(no_corners(spec, vehicle))
    return mistakes


def _leg_y(
    spec: RackSpec, vehicle: Vehicle, choice: Choice, places: tuple[FootPlace, ...], findings: list[Finding]
) -> float:
    """Return |Y| of the legs: beside the basket by the spanner's room, moved outboard to where the straps can stand.

    A foot is carried by a leg or by a cross bar clear of it: where it would lie between the two, the legs move outboard
    if the straps let them.
    """
    side, offset = ring_y(spec, choice), spanner_offset(choice)
    if spec.frame.width is not None:
        wanted = (spec.frame.width - choice.frame_od) / 2
    else:
        ranges = [strap_range(m, spec, choice) for m in vehicle.rear]
        wanted = max(side + offset, *(low for low, _ in ranges))
        most = min(high for _, high in ranges)
        for place in places:
            apart = max(2 * choice.frame_od, beside_leg(choice) if isinstance(place, FrontMount) else 0.0)
            y, zone = abs(place.at[1]), zone_of(place)[1]
            if abs(wanted - y) > zone and wanted - apart < y - zone and y - zone + apart <= most:
                wanted = round_up(y - zone + apart, 0.1)
    findings += nuts_reach(choice, side, wanted)
    return wanted


def _front_x(spec: RackSpec, places: tuple[FootPlace, ...], choice: Choice) -> float:
    """Return X of the front tube's axis in the vehicle frame."""
    if spec.frame.front is not None:
        return spec.frame.front
    first = min(m.at[0] for m in places)
    return first - round((choice.frame_die.clr + 1.5 * choice.frame_od) / 5) * 5


def _reaches(spec: RackSpec, choice: Choice) -> tuple[float | None, float | None]:
    """Return the wanted X of both legs' ends from the front tube's axis, None where the strap decides."""
    left, right = (
        None if leg is None else leg - choice.frame_od / 2 for leg in (spec.frame.left_leg, spec.frame.right_leg)
    )
    return left, right
