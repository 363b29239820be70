"""The sizes of the rack, worked out once from what is asked for: every builder reads them, none changes them.

Frame of the rack: origin on the front tube's axis over the vehicle's middle, X aft along the frame's plane, Y to the
right, Z up off that plane; mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from rackgen.design.bars import bar_choices, untied
from rackgen.design.choose import Choice, thickness
from rackgen.design.drop import drop_bend, standing_high
from rackgen.design.flat_spot import flattest
from rackgen.design.hoop import Drop
from rackgen.design.overhang import overhangs
from rackgen.design.pairs import alike
from rackgen.design.pose import pose
from rackgen.design.rear import RearEnd, rear_end, spanner_offset, strap_range
from rackgen.design.seat import Carrier, front_bars
from rackgen.design.slat_places import end_reach
from rackgen.design.span import wide_bays
from rackgen.design.spread import PAD_LENGTH, spread
from rackgen.design.spread import pads as place_pads
from rackgen.design.tails import PAST_BUTT, before_bend, butt, longest_leg, tailed
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.frame import Frame
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

Row = tuple[tuple[float, ...], tuple[float, ...], tuple[Finding, ...]]
"""Places of cross bars, those of the clamp pads beside them, and of which pads there is none."""


@dataclass(frozen=True)
class Plan:
    """Sizes and places; mm, rack frame unless said otherwise.

    Attributes:
        frame: the rack's frame in the vehicle frame.
        leg_y: |Y| of the legs' axes.
        rear: left and right rear ends.
        bars: X of the cross bars, front to rear.
        carriers: one per front mount.
        butt: X where tails are butted to the legs, or None without tails.
        middle: X of the basket's mid-length.
        ring_z: axis of the lower ring, or of a deck's side rails.
        rise: from the lower ring's axis to the upper's; 0 without an upper ring.
        bearers: from mid-length.
        side_uprights: from mid-length.
        end_uprights: from the middle.
        pads: from mid-length.
    """

    frame: Frame
    leg_y: float
    rear: tuple[RearEnd, RearEnd]
    bars: tuple[float, ...]
    carriers: tuple[Carrier, ...]
    butt: float | None
    middle: float
    ring_z: float
    rise: float
    bearers: tuple[float, ...]
    side_uprights: tuple[float, ...]
    end_uprights: tuple[float, ...]
    pads: tuple[float, ...]


def plan(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the basket is too small for its own bends, or the vehicle has no mounts to stand on.
    """
    _refuse(spec, vehicle, choice, shop.trim)
    findings: list[Finding] = []
    leg_y = _leg_y(spec, vehicle, choice, findings)
    front_x = _front_x(spec, vehicle, choice)
    bars, carriers = front_bars(spec, vehicle, choice, leg_y, front_x, findings)
    carriers, notes = flattest(choice, leg_y, front_x, bars, carriers)
    findings += notes
    bars, carriers, notes = alike(spec, choice, leg_y, front_x, bars, carriers)
    findings += notes
    frame, given_up = pose(spec, shop, vehicle, choice, leg_y, front_x, bars, carriers)
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
    drop, doubts = drop_bend(spec, choice, vehicle.roof, straight, basket_rear + room, lambda d: ends(d)[0])
    rear, said = ends(drop)
    findings += [*doubts, *said, *standing_high(rear)]
    flat_to = min(r.flat_to for r in rear) - (room if drop is not None else 0.0)
    rows = bar_choices(spec, choice, vehicle.roof, frame, bars, rear)
    saddles = tuple(c.x for c in carriers if c.kind == "leg")
    bars, pads, homeless = _first_with_room(
        (row, *place_pads(spec, choice, (*row, *saddles), middle, flat_to)) for row in rows
    )
    carriers = tuple(replace(c, bar=bars.index(c.x)) if c.kind == "bar" else c for c in carriers)
    findings += [*homeless, *untied(choice, bars, rear)]
    findings += overhangs(spec, choice, vehicle.roof, frame, bars, rear, middle)
    joint = butt(choice, rear, pads, middle, (*bars, *saddles), longest_leg(shop, choice, leg_y)) if tails else None
    bearers, uprights, end_uprights = spread(spec, choice)
    findings += wide_bays(spec, choice, bearers, end_reach(spec, choice))
    ring_z = choice.frame_od / 2 + shop.isolator + thickness(choice.pad) + choice.ring_od / 2
    rise = spec.basket.height - choice.ring_od if spec.basket.kind == "basket" else 0.0
    found = Plan(
        frame, leg_y, rear, bars, carriers, joint, middle, ring_z, rise, bearers, uprights, end_uprights, pads
    )  # fmt: skip
    return found, tuple(findings)


def _first_with_room(tries: Iterator[Row]) -> Row:
    """Return the first row of cross bars that all clamp pads find room beside, else the first."""
    best = next(tries)
    return best if not best[2] else next((row for row in tries if not row[2]), best)


def _refuse(spec: RackSpec, vehicle: Vehicle, choice: Choice, trim: float) -> None:
    """Refuse a basket that its own bends, bars or mounts make impossible; all mistakes at once."""
    mistakes: list[Mistake] = []
    basket, clr, od = spec.basket, choice.ring_clr, choice.ring_od
    die = choice.ring_die
    bends = 2 * clr + od
    pads = 2 * (PAST_BUTT * od + PAD_LENGTH)
    if die is None:
        rooms = (
            ("basket.width", basket.width, 6 * od, "between two side rails something must go"),
            ("basket.length", basket.length, bends + pads, "with room for two clamp pads a side"),
        )
    else:
        bent = f"with bends on CLR {clr:g} mm, and room for die {die.name} to clamp"
        rooms = (
            ("basket.width", basket.width, bends + max(die.clamp, 2 * od),
             f"{bent} and an upright to stand between them"),
            ("basket.length", basket.length, bends + max(die.clamp + die.tail - 2 * trim, pads),
             f"{bent} and two clamp pads a side"),
        )  # fmt: skip
    for key, value, room, why in rooms:
        if value < room:
            wanted = f"{why}, it must be at least {room:.0f} mm"
            mistakes.append(Mistake(spec.name, key, 0, f"{value:.0f} mm", wanted))
    rings = 3 if spec.sides.mid_rail == "ring" else 2
    least = rings * od + (rings - 1) * 1.5 * choice.bar_od
    if basket.kind == "basket" and basket.height < least:
        many = {2: "two", 3: "three"}[rings]
        wanted = f"{many} rings of {od:g} mm and uprights that can be welded between them need at least {least:.0f} mm"
        mistakes.append(Mistake(spec.name, "basket.height", 0, f"{basket.height:.0f} mm", wanted))
    if not {-1.0, 1.0} <= {math.copysign(1.0, m.at[1]) for m in vehicle.front}:
        mistakes.append(Mistake(vehicle.name, "mounts", 0, "", "measure a left and a right front mount"))
    if sorted(math.copysign(1.0, m.at[1]) for m in vehicle.rear) != [-1.0, 1.0]:
        mistakes.append(Mistake(vehicle.name, "mounts", 0, "", "measure one left and one right rear mount"))
    if mistakes:
        raise BadInput(mistakes)


def ring_y(spec: RackSpec, choice: Choice) -> float:
    """Return |Y| of the rings' side axes, mm."""
    return (spec.basket.width - choice.ring_od) / 2


def _leg_y(spec: RackSpec, vehicle: Vehicle, choice: Choice, findings: list[Finding]) -> float:
    """Return |Y| of the legs: beside the basket by the spanner's room, moved outboard to where the straps can stand."""
    side, offset = ring_y(spec, choice), spanner_offset(choice)
    if spec.frame.width is not None:
        wanted = (spec.frame.width - choice.frame_od) / 2
    else:
        wanted = max(side + offset, *(strap_range(m, spec, choice)[0] for m in vehicle.rear))
    if wanted < side + offset - 1e-6:
        place = "beside" if wanted > side else "inside"
        findings.append(
            Finding(
                "nuts-out-of-reach",
                Level.STOP,
                ("frame.hoop",),
                f"the legs lie {abs(wanted - side):.0f} mm {place} the basket's ring; a spanner needs "
                f"{offset:.0f} mm beside it",
                got=wanted - side,
                limit=offset,
                keys=("frame.width", "basket.width"),
                help=f"make the frame at least {2 * (side + offset) + choice.frame_od:.0f} mm wide, "
                f"or the basket at most {2 * (wanted - offset) + choice.ring_od:.0f} mm",
            )
        )
    return wanted


def _front_x(spec: RackSpec, vehicle: Vehicle, choice: Choice) -> float:
    """Return X of the front tube's axis in the vehicle frame."""
    if spec.frame.front is not None:
        return spec.frame.front
    first = min(m.at[0] for m in vehicle.front)
    return first - round((choice.frame_die.clr + 1.5 * choice.frame_od) / 5) * 5


def _reaches(spec: RackSpec, choice: Choice) -> tuple[float | None, float | None]:
    """Return the wanted X of both legs' ends from the front tube's axis, None where the strap decides."""
    left, right = (
        None if leg is None else leg - choice.frame_od / 2 for leg in (spec.frame.left_leg, spec.frame.right_leg)
    )
    return left, right
