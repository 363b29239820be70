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
from rackgen.design.rear import RearEnd, rear_end
from rackgen.errors import BadInput, Finding, Level, Mistake
from rackgen.geom.frame import Frame
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import FrontMount, Vehicle

SPANNER_ROOM = 14.0
LEAST_STUB = 40.0
STUB_STEP = 5.0
BAR_STEP = 10.0
LARGEST_BAY = 230.0
LONGEST_OPEN = 1000.0
DROP_FROM = 80.0
DROP_TO = 54.0
PAD_LENGTH = 90.0
PAD_SPACING = 50.0
"""Shop practice, mm: common practice, no source. In order: from a ring's side to a U-bolt leg's axis so that a ring
spanner goes over the nut; shortest saddle and its step; step of cross bar places; largest bay between bearers; longest
stretch of frame without a cross bar; a leg's height over the roof from which it gets a drop bend, and to which; length
of a clamp pad and spacing of its two U-bolts."""


@dataclass(frozen=True)
class Carrier:
    """The tube that a front mount's saddle carries.

    Attributes:
        mount: the front mount.
        kind: "bar", "back" or "leg".
        bar: which cross bar, counted from the front, 0 first; -1 for the hoop.
        x: of the saddle's top on the carrier's axis, rack frame, mm.
        y: the same, mm.
    """

    mount: FrontMount
    kind: str
    bar: int
    x: float
    y: float


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


def round_up(value: float, step: float) -> float:
    """Return the value rounded up to a step, forgiving float noise."""
    return math.ceil(value / step - 1e-6) * step


def plan(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the basket is too small for its own bends, or the vehicle has no mounts to stand on.
    """
    _refuse(spec, vehicle, choice)
    findings: list[Finding] = []
    leg_y = _leg_y(spec, vehicle, choice, findings)
    front_x = _front_x(spec, vehicle, choice)
    bars, carriers = _front_bars(spec, vehicle, choice, leg_y, front_x, findings)
    frame = _seat(spec, shop, vehicle, choice, leg_y, front_x, bars, carriers)
    sides = list(zip(sorted(vehicle.rear, key=lambda m: m.at[1]), (-leg_y, leg_y), _reaches(spec, choice), strict=True))

    def ends(drops: tuple[Drop | None, Drop | None]) -> tuple[tuple[RearEnd, RearEnd], list[Finding]]:
        (left, a), (right, b) = (
            rear_end(mount, vehicle.roof, shop, choice, frame, y, drop, reach)
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
    bearers, uprights, end_uprights = _spread(spec, choice)
    pads = _pads(spec, choice, bars, middle, min(r.flat_to for r in rear), findings)
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


def spanner_offset(choice: Choice) -> float:
    """Return how far a leg's axis must lie beside the lower ring's axis for the nuts to be reached, mm."""
    bolt = choice.u_bolt
    return round_up(choice.ring_od / 2 + SPANNER_ROOM + (bolt.inside_width + bolt.rod) / 2, 1.0)


def ring_y(spec: RackSpec, choice: Choice) -> float:
    """Return |Y| of the rings' side axes, mm."""
    return (spec.basket.width - choice.ring_od) / 2


def _leg_y(spec: RackSpec, vehicle: Vehicle, choice: Choice, findings: list[Finding]) -> float:
    """Return |Y| of the legs: beside the basket by the spanner's room, moved outboard to where the straps can stand."""
    side, offset = ring_y(spec, choice), spanner_offset(choice)
    if spec.frame.width is not None:
        wanted = (spec.frame.width - choice.frame_od) / 2
    else:
        low = max(abs(m.at[1]) - m.zone for m in vehicle.rear)
        wanted = max(side + offset, low)
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


def _front_bars(
    spec: RackSpec, vehicle: Vehicle, choice: Choice, leg_y: float, front_x: float, findings: list[Finding]
) -> tuple[tuple[float, ...], tuple[Carrier, ...]]:
    """Return the cross bars known so far, and the tube over each front mount."""
    od, clr = choice.frame_od, choice.frame_die.clr
    mounts = sorted(vehicle.front, key=lambda m: (m.at[0], m.at[1]))
    inner = leg_y - 2.5 * od
    if spec.frame.cross_bars is not None:
        bars = tuple(sorted(spec.frame.cross_bars))
    else:
        # One bar over each pair of mounts: left and right may lie a little apart fore and aft.
        rows: list[list[FrontMount]] = []
        for mount in (m for m in mounts if abs(m.at[1]) <= inner):
            if rows and mount.at[0] - rows[-1][0].at[0] <= mount.zone[0] + rows[-1][0].zone[0]:
                rows[-1].append(mount)
            else:
                rows.append([mount])
        bars = tuple(round(sum(m.at[0] for m in row) / len(row) - front_x, 3) for row in rows)
    carriers: list[Carrier] = []
    for mount in mounts:
        x, y = mount.at[0] - front_x, mount.at[1]
        options = [(abs(bar - x), mount.zone[0], Carrier(mount, "bar", i, bar, y)) for i, bar in enumerate(bars)]
        options = [o for o in options if abs(y) <= inner]
        if abs(y) <= leg_y - clr - od:
            options.append((abs(x), mount.zone[0], Carrier(mount, "back", -1, 0.0, y)))
        if x >= clr + od:
            options.append((abs(abs(y) - leg_y), mount.zone[1], Carrier(mount, "leg", -1, x, math.copysign(leg_y, y))))
        near = min(options, key=lambda o: (max(0.0, o[0] - o[1]), o[0]), default=None)
        if near is None or near[0] > near[1] + 1e-6:
            findings.append(_no_tube(mount, near[0] if near else math.nan, x, leg_y, od))
        if near is not None:
            carriers.append(near[2])
    return bars, tuple(carriers)


def _no_tube(mount: FrontMount, off: float, x: float, leg_y: float, od: float) -> Finding:
    return Finding(
        "no-tube-over-mount",
        Level.STOP,
        (f"mount.{mount.name}.saddle",),
        f"no straight tube stands over {mount.name}: the nearest is {off:.0f} mm away",
        at=mount.at,
        got=off,
        limit=max(mount.zone),
        keys=("frame.cross_bars", "frame.width", "frame.front"),
        help=f"move the mount by {off:.0f} mm; or put a cross bar at {x:.0f} mm aft of the front tube's axis, the mount "
        f"at most {leg_y - 2.5 * od:.0f} mm from the middle; or make the frame {2 * abs(mount.at[1]) + od:.0f} mm wide so "
        "that a leg stands over it",
    )


def _seat(
    spec: RackSpec,
    shop: Shop,
    vehicle: Vehicle,
    choice: Choice,
    leg_y: float,
    front_x: float,
    bars: tuple[float, ...],
    carriers: tuple[Carrier, ...],
) -> Frame:
    """Return the rack's frame: as low as the wanted gap over the roof and the shortest saddle allow, in saddle steps."""
    lean = math.radians(spec.frame.rake)
    along = np.array([math.cos(lean), 0.0, -math.sin(lean)])
    tube = choice.frame_od / 2
    stack = shop.bedding + thickness(choice.mount_plate)
    need: list[float] = []
    across = np.linspace(-leg_y, leg_y, 61)
    rows = np.array([(x, y) for x in (0.0, *bars) for y in across])
    legs = np.array([(x, y) for x in np.linspace(0.0, 400.0, 21) for y in (-leg_y, leg_y)])
    for places, below in ((rows, tube + spec.gaps.tube), (legs, tube + choice.u_bolt.rod + spec.gaps.bow)):
        x, y = front_x + places[:, 0] * along[0], places[:, 1]
        skin = vehicle.roof.height(x, y)
        zx, zy = vehicle.roof.slope(x, y)
        level = skin + below * np.sqrt(1 + zx**2 + zy**2) - places[:, 0] * along[2]
        need += [float(z) for z in level[np.isfinite(level)]]
    floor = max(need, default=-math.inf)
    tops = [plate_height(c, front_x) + stack - c.x * along[2] for c in carriers]
    stub = max(LEAST_STUB, floor - tube - max(tops, default=floor - tube - LEAST_STUB))
    z = max(tops, default=floor) + round_up(stub, STUB_STEP) + tube
    return Frame.of((front_x, 0.0, z), along, (0, 0, 1))


def plate_height(carrier: Carrier, front_x: float) -> float:
    """Return the height of the roof's skin under a saddle, vehicle frame, mm: on the plane measured at the mount."""
    m = carrier.mount
    dx, dy = front_x + carrier.x - m.at[0], carrier.y - m.at[1]
    return m.at[2] - math.tan(math.radians(m.pitch)) * dx - math.tan(math.radians(m.roll)) * dy


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


def _spread(spec: RackSpec, choice: Choice) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Return bearers, side uprights and end uprights where the rack file does not place them."""
    basket, od, clr = spec.basket, choice.ring_od, choice.ring_die.clr
    inside = basket.length - od
    side = math.floor(inside / 2 - clr - od)
    bays = math.ceil(inside / LARGEST_BAY - 1e-9)
    bays += 1 - bays % 2
    pitch = inside / bays
    halves = [min(float(round(pitch * (k + 0.5))), float(side)) for k in range((bays - 1) // 2)]
    bearers = tuple(-h for h in reversed(halves)) + tuple(halves)
    uprights = [float(round(pitch * k / 5) * 5) for k in range(1, bays, 2)]
    uprights = [u for u in uprights if u <= side] or [float(side)]
    ends_to = math.floor((basket.width - od) / 2 - clr - od)
    end = min(float(round(basket.width / 4 / 5) * 5), float(ends_to))
    return (
        basket.bearers if basket.bearers is not None else bearers,
        basket.side_uprights if basket.side_uprights is not None else tuple(-u for u in reversed(uprights)) + tuple(uprights),
        basket.end_uprights if basket.end_uprights is not None else ((-end, end) if end > 2 * choice.bar_od else (0.0,)),
    )  # fmt: skip


def _pads(
    spec: RackSpec, choice: Choice, bars: tuple[float, ...], middle: float, flat_to: float, findings: list[Finding]
) -> tuple[float, ...]:
    """Return the clamp pads' places from mid-length: near the usual ones, clear of bars, bends, butts and straps."""
    if spec.basket.pads is not None:
        return spec.basket.pads
    basket, bolt = spec.basket, choice.u_bolt
    half = PAD_LENGTH / 2
    outer = basket.length / 2 - choice.ring_od / 2 - choice.ring_die.clr - half
    inner = 1.5 * choice.ring_od + half
    clear = choice.frame_od / 2 + bolt.rod + 6
    usual = min(max(basket.length / 2 - 240, inner), outer)

    def free(at: float) -> bool:
        legs = [middle + at + k * PAD_SPACING / 2 for k in (-1, 1)]
        on_leg = legs[0] >= choice.frame_die.clr + bolt.rod and middle + at + half <= flat_to - bolt.rod
        return on_leg and all(abs(leg - bar) >= clear for leg in legs for bar in bars)

    out: list[float] = []
    for sign in (-1.0, 1.0):
        tries = [sign * d for d in np.arange(math.ceil(inner), math.floor(outer) + 1, 1.0)]
        good = sorted((t for t in tries if free(float(t))), key=lambda t: (abs(t - sign * usual), t))
        out.append(float(good[0]) if good else sign * usual)
        if not good:
            findings.append(
                Finding(
                    "no-place-for-pad",
                    Level.STOP,
                    ("basket.pad",),
                    f"{'front' if sign < 0 else 'rear'} clamp pads find no straight leg clear of bars, bends and straps",
                    keys=("basket.length", "basket.forward", "frame.cross_bars"),
                    help="move the basket with basket.forward, shorten it, or move a cross bar",
                )
            )
    return tuple(out)
