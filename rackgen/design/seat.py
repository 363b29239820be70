"""The tube over each front mount, and the height at which the frame is seated on them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import Choice, thickness
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Frame, unit
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import FrontMount, Vehicle

LEAST_STUB = 40.0
STUB_STEP = 5.0
HOLE_ROW = 35.0
DRILL_ROOM = 27.0
ROW = 20.0
STRAP_ZONE = 150.0
"""Shortest saddle, and the step of saddle heights; from a mount plate's middle to the last hole along its tube, and
room for drill and rivet gun beside a tube with 2 to spare for the plate's tilt; spacing of the places where the frame
is held over the roof, and the stretch before the rear face where straps hang under the legs; mm (common practice, no
source)."""


def round_up(value: float, step: float) -> float:
    """Return the value rounded up to a step, forgiving float noise."""
    return math.ceil(value / step - 1e-6) * step


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


def front_bars(
    spec: RackSpec, vehicle: Vehicle, choice: Choice, leg_y: float, front_x: float, findings: list[Finding]
) -> tuple[tuple[float, ...], tuple[Carrier, ...]]:
    """Return the cross bars known so far, and the tube over each front mount."""
    od = choice.frame_od
    mounts = sorted(vehicle.front, key=lambda m: (m.at[0], m.at[1]))
    inner = leg_y - 2 * od
    if spec.frame.cross_bars is not None:
        bars = tuple(sorted(spec.frame.cross_bars))
    else:
        # One bar over each pair of mounts: left and right may lie a little apart fore and aft.
        rows: list[list[FrontMount]] = []
        for mount in (m for m in mounts if abs(m.at[1]) - m.zone[1] <= inner):
            if rows and mount.at[0] - rows[-1][0].at[0] <= mount.zone[0] + rows[-1][0].zone[0]:
                rows[-1].append(mount)
            else:
                rows.append([mount])
        bars = tuple(round(sum(m.at[0] for m in row) / len(row) - front_x, 3) for row in rows)
    carriers: list[Carrier] = []
    for mount in mounts:
        carrier, short = min((_options(mount, bars, inner, leg_y, front_x, choice)), key=lambda o: (o[1] > 1e-6, o[2]))[
            :2
        ]
        carriers.append(carrier)
        if short > 1e-6:
            findings.append(_no_tube(mount, short, mount.at[0] - front_x, leg_y, od))
    return bars, tuple(carriers)


def _options(
    mount: FrontMount, bars: tuple[float, ...], inner: float, leg_y: float, front_x: float, choice: Choice
) -> list[tuple[Carrier, float, float]]:
    """Return every tube that might stand over a mount: the carrier, how far it is beyond the zone, how far it moves.

    A mount moves within its zone to where the tube is straight and clear of other joints.
    """
    od, clr = choice.frame_od, choice.frame_die.clr
    x, y = mount.at[0] - front_x, mount.at[1]
    zone_x, zone_y = mount.zone
    side = math.copysign(1.0, y)
    # On a cross bar the plate's last holes should be clear of the leg, which stands nearer where the skin leans to it,
    # as far as the zone allows.
    leans = (LEAST_STUB + od) * max(0.0, math.tan(math.radians(mount.roll * side)))
    roomy = max(min(abs(y), leg_y - od / 2 - HOLE_ROW - DRILL_ROOM - leans), abs(y) - zone_y)
    tries = [(Carrier(mount, "bar", i, bar, side * min(roomy, inner)), bar - x) for i, bar in enumerate(bars)]
    tries.append((Carrier(mount, "back", -1, 0.0, side * min(abs(y), leg_y - clr - od)), -x))
    out = [
        (c, max(abs(dx) - zone_x, abs(c.y - y) - zone_y, 0.0), math.hypot(dx, c.y - y)) for c, dx in tries
    ]  # fmt: skip
    on_leg = Carrier(mount, "leg", -1, max(x, clr + od), side * leg_y)
    beside_bar = 2 * od - min((abs(on_leg.x - bar) for bar in bars), default=math.inf)
    beyond = max(abs(on_leg.x - x) - zone_x, abs(on_leg.y - y) - zone_y, beside_bar, 0.0)
    return [*out, (on_leg, beyond, math.hypot(on_leg.x - x, on_leg.y - y))]


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
        help=f"move the mount by {off:.0f} mm; or put a cross bar at {x:.0f} mm aft of the front tube's axis, the "
        f"mount at most {leg_y - 2 * od:.0f} mm from the middle; or make the frame "
        f"{2 * abs(mount.at[1]) + od:.0f} mm wide so that a leg stands over it",
    )


def seat(
    spec: RackSpec,
    shop: Shop,
    vehicle: Vehicle,
    choice: Choice,
    leg_y: float,
    front_x: float,
    bars: tuple[float, ...],
    carriers: tuple[Carrier, ...],
) -> Frame:
    """Return the rack's frame: as low as the wanted gap over the roof and the shortest saddle allow."""
    lean = math.radians(spec.frame.rake)
    along = np.array([math.cos(lean), 0.0, -math.sin(lean)])
    tube = choice.frame_od / 2
    stack = shop.bedding + thickness(choice.mount_plate)
    need: list[float] = []
    across = np.linspace(-leg_y, leg_y, 61)
    length = np.arange(0.0, min(m.at[0] for m in vehicle.rear) - front_x, ROW)
    # Where cross bars are not placed by hand, one may come to stand anywhere.
    under = (0.0, *bars) if spec.frame.cross_bars is not None else (0.0, *bars, *length)
    rows = np.array([(x, y) for x in under for y in across])
    legs = np.array([(x, y) for x in length for y in (-leg_y, leg_y)]).reshape(-1, 2)
    straps = legs[legs[:, 0] > np.max(length, initial=0.0) - STRAP_ZONE]
    bow = max(spec.gaps.tube, choice.u_bolt.rod + spec.gaps.bow)
    strap = thickness(choice.strap) + spec.gaps.tube
    for places, below in ((rows, tube + spec.gaps.tube), (legs, tube + bow), (straps, tube + strap)):
        x, y = front_x + places[:, 0] * along[0], places[:, 1]
        skin = vehicle.roof.height(x, y)
        zx, zy = vehicle.roof.slope(x, y)
        level = skin + below * np.sqrt(1 + zx**2 + zy**2) - places[:, 0] * along[2]
        need += [float(z) for z in level[np.isfinite(level)]]
    floor = max(need, default=-math.inf)
    tops = [plate_height(c, vehicle.roof, front_x) + stack - c.x * along[2] for c in carriers]
    stub = max(LEAST_STUB, floor - tube - max(tops, default=floor - tube - LEAST_STUB))
    z = max(tops, default=floor) + round_up(stub, STUB_STEP) + tube
    return Frame.of((front_x, 0.0, z), along, (0, 0, 1))


def plate_height(carrier: Carrier, roof: Roof, front_x: float) -> float:
    """Return the height of the roof's skin under a saddle, vehicle frame, mm.

    It is what was measured at the mount and, where the saddle stands elsewhere in its zone, as much higher or lower as
    the roof's surface is there.
    """
    m = carrier.mount
    x, y = front_x + carrier.x, carrier.y
    there, here = (float(roof.height(*place)) for place in ((x, y), m.at[:2]))
    if math.isfinite(there - here):
        return m.at[2] + there - here
    return m.at[2] - math.tan(math.radians(m.pitch)) * (x - m.at[0]) - math.tan(math.radians(m.roll)) * (y - m.at[1])


def skin_normal(carrier: Carrier, roof: Roof, front_x: float) -> Array:
    """Return the outward unit normal of the skin under a saddle, vehicle frame: as read, turned as the roof turns."""
    m = carrier.mount
    slopes = np.array([-math.tan(math.radians(m.pitch)), -math.tan(math.radians(m.roll))])
    there, here = (
        np.array([float(s) for s in roof.slope(*place)]) for place in ((front_x + carrier.x, carrier.y), m.at[:2])
    )
    if np.isfinite(there - here).all():
        slopes += there - here
    return unit((-slopes[0], -slopes[1], 1.0))
