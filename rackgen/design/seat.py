"""The tube over each front mount, and the skin under it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.design.choose import Choice
from rackgen.design.skin import Skin
from rackgen.errors import Finding, Level
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec
from rackgen.spec.vehicle import FrontMount, Vehicle

LEAST_STUB = 40.0
HOLE_ROW = 35.0
DRILL_ROOM = 27.0
"""Shortest saddle; from a mount plate's middle to the last hole along its tube, and room for drill and rivet gun beside
a tube with 2 to spare for the plate's tilt; mm (common practice, no source)."""


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
        skin: the roof's skin about it.
    """

    mount: FrontMount
    kind: str
    bar: int
    x: float
    y: float
    skin: Skin


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
        carrier, short = min(
            (_options(mount, vehicle.roof, bars, inner, leg_y, front_x, choice)), key=lambda o: (o[1] > 1e-6, o[2])
        )[:2]
        carriers.append(carrier)
        if short > 1e-6:
            findings.append(_no_tube(mount, short, mount.at[0] - front_x, leg_y, od))
    return bars, tuple(carriers)


def _options(
    mount: FrontMount,
    roof: Roof,
    bars: tuple[float, ...],
    inner: float,
    leg_y: float,
    front_x: float,
    choice: Choice,
) -> list[tuple[Carrier, float, float]]:
    """Return every tube that might stand over a mount: the carrier, how far it is beyond the zone, how far it moves.

    A mount moves within its zone to where the tube is straight and clear of other joints.
    """
    od, clr = choice.frame_od, choice.frame_die.clr
    x, y = mount.at[0] - front_x, mount.at[1]
    zone_x, zone_y = mount.zone
    side = math.copysign(1.0, y)
    skin = Skin(roof, mount)
    roomy = max(min(abs(y), outermost(mount, choice, leg_y)), abs(y) - zone_y)
    tries = [(Carrier(mount, "bar", i, bar, side * min(roomy, inner), skin), bar - x) for i, bar in enumerate(bars)]
    tries.append((Carrier(mount, "back", -1, 0.0, side * min(abs(y), leg_y - clr - od), skin), -x))
    out = [
        (c, max(abs(dx) - zone_x, abs(c.y - y) - zone_y, 0.0), math.hypot(dx, c.y - y)) for c, dx in tries
    ]  # fmt: skip
    on_leg = Carrier(mount, "leg", -1, max(x, clr + od), side * leg_y, skin)
    beside_bar = 2 * od - min((abs(on_leg.x - bar) for bar in bars), default=math.inf)
    beyond = max(abs(on_leg.x - x) - zone_x, abs(on_leg.y - y) - zone_y, beside_bar, 0.0)
    return [*out, (on_leg, beyond, math.hypot(on_leg.x - x, on_leg.y - y))]


def outermost(mount: FrontMount, choice: Choice, leg_y: float) -> float:
    """Return how far out a mount on a cross bar may stand so that the plate's last holes are clear of the leg, mm.

    The leg stands nearer to them where the skin leans to it.
    """
    od, side = choice.frame_od, math.copysign(1.0, mount.at[1])
    leans = (LEAST_STUB + od) * max(0.0, math.tan(math.radians(mount.roll * side)))
    return leg_y - od / 2 - HOLE_ROW - DRILL_ROOM - leans


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
