"""The sizes of the rack, worked out once from what is asked for: every builder reads them, none changes them.

Frame of the rack: origin on the front tube's axis over the vehicle's middle, X aft along the frame's plane, Y to the
right, Z up off that plane; mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import Choice, thickness
from rackgen.design.hoop import Drop
from rackgen.design.rear import RearEnd, rear_end, spanner_offset, strap_range
from rackgen.design.seat import Carrier, front_bars, round_up, seat
from rackgen.design.spread import pads as place_pads
from rackgen.design.spread import spread
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.frame import Frame
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

BAR_STEP = 10.0
LONGEST_OPEN = 1000.0
DROP_FROM = 80.0
DROP_TO = 54.0
"""Shop practice, mm: common practice, no source. In order: step of cross bar places; longest stretch of frame without
a cross bar; a leg's height over the roof from which it gets a drop bend, and the height it drops to."""


@dataclass(frozen=True)
class Plan:
    """Sizes and places; mm, rack frame unless said otherwise.

    Attributes:
        frame: the rack's frame in the vehicle frame.
        leg_y: |Y| of the legs' axes.
        rear: left and right rear ends.
        bars: X of the cross bars, front to rear.
        carriers: one per front mount.
        middle: X of the basket's mid-length.
        ring_z: axis of the lower ring.
        rise: from the lower ring's axis to the upper's.
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
    _refuse(spec, vehicle, choice)
    findings: list[Finding] = []
    leg_y = _leg_y(spec, vehicle, choice, findings)
    front_x = _front_x(spec, vehicle, choice)
    bars, carriers = front_bars(spec, vehicle, choice, leg_y, front_x, findings)
    frame = seat(spec, shop, vehicle, choice, leg_y, front_x, bars, carriers)
    sides = list(zip(sorted(vehicle.rear, key=lambda m: m.at[1]), (-leg_y, leg_y), _reaches(spec, choice), strict=True))

    def ends(drops: tuple[Drop | None, Drop | None]) -> tuple[tuple[RearEnd, RearEnd], list[Finding]]:
        (left, a), (right, b) = (
            rear_end(mount, vehicle.roof, spec, shop, choice, frame, y, drop, reach)
            for (mount, y, reach), drop in zip(sides, drops, strict=True)
        )
        return (left, right), [*a, *b]

    rear, said = ends((None, None))
    middle = round((min(r.reach for r in rear) - choice.frame_od / 2) / 2 - spec.basket.forward)
    pads_to = middle + spec.basket.length / 2
    drops = tuple(_drop(spec, choice, frame, r, pads_to) for r in rear)
    if any(drops):
        rear, said = ends((drops[0], drops[1]))
    findings += said
    if spec.frame.cross_bars is None:
        bars = _all_bars(choice, bars, rear)
    bearers, uprights, end_uprights = spread(spec, choice)
    pads = place_pads(spec, choice, bars, middle, min(r.flat_to for r in rear), findings)
    ring_z = choice.frame_od / 2 + shop.isolator + thickness(choice.pad) + choice.ring_od / 2
    rise = spec.basket.height - choice.ring_od
    found = Plan(
        frame, leg_y, rear, bars, carriers, middle, ring_z, rise, bearers, uprights, end_uprights, pads
    )  # fmt: skip
    return found, tuple(findings)


def _refuse(spec: RackSpec, vehicle: Vehicle, choice: Choice) -> None:
    """Refuse a basket that its own bends, bars or mounts make impossible; all mistakes at once."""
    mistakes: list[Mistake] = []
    basket, clr, od = spec.basket, choice.ring_die.clr, choice.ring_od
    room = 2 * clr + od + 2 * choice.bar_od
    for key, value in (("basket.width", basket.width), ("basket.length", basket.length)):
        if value < room:
            wanted = f"with bends on CLR {clr:g} mm and uprights between them it must be at least {room:.0f} mm"
            mistakes.append(Mistake(spec.name, key, 0, f"{value:.0f} mm", wanted))
    least = 2 * od + 1.5 * choice.bar_od
    if basket.height < least:
        wanted = f"two rings of {od:g} mm and uprights that can be welded between them need at least {least:.0f} mm"
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
        findings.append(
            Finding(
                "nuts-out-of-reach",
                Level.STOP,
                ("frame.hoop",),
                f"the legs lie {wanted - side:.0f} mm beside the basket's ring; a spanner needs {offset:.0f} mm",
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


def _drop(spec: RackSpec, choice: Choice, frame: Frame, end: RearEnd, pads_to: float) -> Drop | None:
    """Return the drop bend of a leg that would stand too high over the roof, or that was asked for."""
    high = math.isfinite(end.above_roof) and end.above_roof > DROP_FROM
    if spec.frame.leg == "straight" or (spec.frame.leg != "drop" and not high):
        return None
    fall = (end.above_roof if math.isfinite(end.above_roof) else 2 * DROP_TO) - DROP_TO
    run_to = end.fold_begin
    for degrees in np.arange(1.0, 45.5, 0.5):
        back = choice.frame_die.clr * math.tan(math.radians(float(degrees)) / 2)
        at = max(pads_to - 0.25 * spec.basket.length, choice.frame_die.clr * 2) + back
        if (run_to - at) * math.tan(math.radians(float(degrees))) >= fall:
            return Drop(round_up(at, 5.0), float(degrees))
    return Drop(round_up(run_to / 2, 5.0), 45.0)


def _all_bars(choice: Choice, bars: tuple[float, ...], rear: tuple[RearEnd, RearEnd]) -> tuple[float, ...]:
    """Return the front bars, one ahead of the straps, and equally spaced ones where the frame would be too open."""
    front = min(r.strap_front if r.drop is None else _on_rack(r, r.strap_front - choice.frame_od) for r in rear)
    last = math.floor((front - choice.frame_od) / BAR_STEP + 1e-6) * BAR_STEP
    stops = [0.0, *bars, last]
    out: list[float] = [*bars]
    for a, b in zip(stops[-2:-1], stops[-1:], strict=True):
        between = math.ceil((b - a) / LONGEST_OPEN) - 1
        out += [round((a + (b - a) * k / (between + 1)) / BAR_STEP) * BAR_STEP for k in range(1, between + 1)]
    return (*out, last)


def _on_rack(end: RearEnd, along: float) -> float:
    """Return X in the rack's frame of a place along a leg's last straight."""
    return along if end.drop is None else end.drop.at + along * math.cos(math.radians(end.drop.angle))
