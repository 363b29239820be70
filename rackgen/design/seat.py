"""The tube over each front mount, and the skin under it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from rackgen.design.choose import Choice
from rackgen.design.skin import Skin
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Vec
from rackgen.geom.surface import Roof
from rackgen.spec.foot_place import FootPlace, FrontMount, zone_of
from rackgen.spec.rack import RackSpec

LEAST_STUB = 40.0
HOLE_ROW = 35.0
DRILL_ROOM = 27.0
LEAN = 30.0
"""Shortest saddle; the pitch of a mount plate's holes along its tube, and room for drill and rivet gun beside
a tube with 2 to spare for the plate's tilt; how far beside a foot that cannot move across its tube may pass, its stub
leaning; mm (common practice, no source)."""


def round_up(value: float, step: float) -> float:
    """Return the value rounded up to a step, forgiving float noise."""
    return math.ceil(value / step - 1e-6) * step


@dataclass(frozen=True)
class Carrier:
    """The tube that a front mount's saddle carries.

    Attributes:
        mount: the place of the foot.
        kind: "bar", "back" or "leg".
        bar: which cross bar, counted from the front, 0 first; -1 for hoop or rails.
        x: of the saddle's top on the carrier's axis, rack frame, mm.
        y: the same, mm.
        skin: the roof's skin about a place on the roof, None about others.
    """

    mount: FootPlace
    kind: Literal["bar", "back", "leg"]
    bar: int
    x: float
    y: float
    skin: Skin | None


def front_bars(
    spec: RackSpec,
    roof: Roof,
    places: Sequence[FootPlace],
    choice: Choice,
    leg_y: float,
    front_x: float,
    findings: list[Finding],
    faces: Mapping[str, Vec] | None = None,
    last: float = math.inf,
) -> tuple[tuple[float, ...], tuple[Carrier, ...]]:
    """Return the cross bars known so far, and the tube over each front mount; see `seated`.

    A bar over mounts that lie under the front's bends or under the straps moves to where the legs are straight and
    free, within the mounts' zones; there is none where it cannot.

    Args:
        spec: cross bars placed by hand.
        roof: the vehicle's roof.
        places: of the feet.
        choice: of stock.
        leg_y: |Y| of the legs.
        front_x: X of the front tube in the vehicle frame.
        findings: to which stops are added.
        faces: see `seated`.
        last: X of the rack's frame up to which legs are free of straps.
    """
    od = choice.frame_od
    stretch = Stretch(choice.frame_die.clr + od, last, choice.frame_die.clr + od)
    mounts = sorted(places, key=lambda m: (m.at[0], m.at[1]))
    x = {m.name: stub_x(m, faces) for m in mounts}
    inner = leg_y - 2 * od
    if spec.frame.cross_bars is not None:
        bars = tuple(sorted(spec.frame.cross_bars))
    else:
        # One bar over each pair of mounts: left and right may lie a little apart fore and aft.
        rows: list[list[FootPlace]] = []
        for mount in (m for m in mounts if abs(m.at[1]) - zone_of(m)[1] <= inner):
            if rows and mount.at[0] - rows[-1][0].at[0] <= zone_of(mount)[0] + zone_of(rows[-1][0])[0]:
                rows[-1].append(mount)
            else:
                rows.append([mount])
        over = ((round(sum(x[m.name] for m in row) / len(row) - front_x, 3), row) for row in rows)
        bars = tuple(
            min(max(at, stretch.first), stretch.last)
            for at, row in over
            if max(stretch.first - at, at - stretch.last, 0.0) <= min(zone_of(m)[0] for m in row) + 1e-6
        )
    return bars, seated(mounts, roof, bars, leg_y, front_x, choice, stretch, findings, faces)


def stub_x(place: FootPlace, faces: Mapping[str, Vec] | None) -> float:
    """Return X in the vehicle frame where a stub stands over a foot that has not been moved in its zone.

    Args:
        place: of the foot.
        faces: see `seated`; beside a single thread there is room for a spanner between bolt and stub.
    """
    return place.at[0] if faces is None or zone_of(place)[0] > 0 else faces[place.name][0]


@dataclass(frozen=True)
class Stretch:
    """Where legs or rails are free for what lands on them; X, rack frame, mm.

    Attributes:
        first: the foremost place.
        last: the rearmost.
        beside: how far from the legs' axes a stub on the front tube stands; None without a front tube.
    """

    first: float
    last: float
    beside: float | None


def seated(
    places: Sequence[FootPlace],
    roof: Roof,
    bars: tuple[float, ...],
    leg_y: float,
    front_x: float,
    choice: Choice,
    stretch: Stretch,
    findings: list[Finding],
    faces: Mapping[str, Vec] | None = None,
) -> tuple[Carrier, ...]:
    """Return the tube over each place; a stop joins the findings where there is none.

    Args:
        places: of the feet.
        roof: the vehicle's roof.
        bars: X of the cross bars, rack frame.
        leg_y: |Y| of legs or rails.
        front_x: X of the rack's front in the vehicle frame.
        choice: of stock.
        stretch: where legs or rails are free.
        findings: to which stops are added.
        faces: by the names of places, where the stub stands on its foot, vehicle frame, if not at the place itself.
    """
    carriers: list[Carrier] = []
    for place in places:
        at = stub_x(place, faces) - front_x, place.at[1] if faces is None else faces[place.name][1]
        tries = _options(place, at, roof, bars, leg_y, choice, stretch)
        carrier, short, _ = min(tries, key=lambda o: (o[1] > 1e-6, o[2]))
        carriers.append(carrier)
        if short > 1e-6:
            findings.append(_no_tube(place, short, at[0], leg_y, choice.frame_od, stretch))
    return tuple(carriers)


def _options(
    mount: FootPlace,
    at: tuple[float, float],
    roof: Roof,
    bars: tuple[float, ...],
    leg_y: float,
    choice: Choice,
    stretch: Stretch,
) -> list[tuple[Carrier, float, float]]:
    """Return every tube that might stand over a mount: the carrier, how far it is beyond the zone, how far it moves.

    A mount moves within its zone to where the tube is straight and clear of other joints. Its stub stands at `at`: X in
    the rack's frame, and Y.
    """
    od, inner = choice.frame_od, leg_y - 2 * choice.frame_od
    x, y = at
    zone_x, zone_y = zone_of(mount)
    if not isinstance(mount, FrontMount):
        zone_y = LEAN
    side = math.copysign(1.0, y)
    skin = Skin(roof, mount) if isinstance(mount, FrontMount) else None
    roomy = max(min(abs(y), outermost(mount, choice, leg_y)), abs(y) - zone_y)
    tries = [(Carrier(mount, "bar", i, bar, side * min(roomy, inner), skin), bar - x) for i, bar in enumerate(bars)]
    if stretch.beside is not None:
        tries.append((Carrier(mount, "back", -1, 0.0, side * min(abs(y), leg_y - stretch.beside), skin), -x))
    out = [
        (c, max(abs(dx) - zone_x, abs(c.y - y) - zone_y, 0.0), math.hypot(dx, c.y - y)) for c, dx in tries
    ]  # fmt: skip
    there = min(max(x, stretch.first), stretch.last)
    if not isinstance(mount, FrontMount):
        there = _off_bars(there, x, zone_x, bars, 2 * od, stretch)
    on_leg = Carrier(mount, "leg", -1, there, side * leg_y, skin)
    beside_bar = 2 * od - min((abs(on_leg.x - bar) for bar in bars), default=math.inf)
    beyond = max(abs(on_leg.x - x) - zone_x, abs(on_leg.y - y) - zone_y, beside_bar, 0.0)
    return [*out, (on_leg, beyond, math.hypot(on_leg.x - x, on_leg.y - y))]


def _off_bars(wanted: float, x: float, zone: float, bars: tuple[float, ...], clear: float, stretch: Stretch) -> float:
    """Return the place nearest to the wanted one in a foot's zone and clear of the bars, else the wanted one; mm."""
    tries = [wanted, *(bar + way * clear for bar in bars for way in (-1.0, 1.0))]
    good = [
        t
        for t in tries
        if abs(t - x) <= zone + 1e-6
        and stretch.first <= t <= stretch.last
        and all(abs(t - bar) >= clear - 1e-6 for bar in bars)
    ]
    return min(good, key=lambda t: (abs(t - wanted), t), default=wanted)


def outermost(mount: FootPlace, choice: Choice, leg_y: float) -> float:
    """Return how far out a mount on a cross bar may stand so that the plate's last holes are clear of the leg, mm.

    The leg stands nearer to them where the skin leans to it. Other feet than plates do not move across.
    """
    if not isinstance(mount, FrontMount):
        return abs(mount.at[1])
    od, side = choice.frame_od, math.copysign(1.0, mount.at[1])
    leans = (LEAST_STUB + od) * max(0.0, math.tan(math.radians(mount.roll * side)))
    return leg_y - beside_leg(choice) - leans


def beside_leg(choice: Choice) -> float:
    """Return how far from a leg's axis a plate's middle lies so that its last holes can be drilled, mm."""
    row = max(HOLE_ROW, (choice.plate_rivets // 2 - 1) / 2 * HOLE_ROW)
    return choice.frame_od / 2 + row + DRILL_ROOM


def _no_tube(mount: FootPlace, off: float, x: float, leg_y: float, od: float, stretch: Stretch) -> Finding:
    # Up, so that moving it by what is told is enough, and never by "0 mm".
    off = math.ceil(10 * off - 1e-6) / 10
    bar = (
        f"put a cross bar at {x:.0f} mm aft of the front tube's axis"
        if stretch.first <= x <= stretch.last
        else f"give the frame a front that lies {max(stretch.first - x, x - stretch.last):.0f} mm farther "
        f"{'forward' if x < stretch.first else 'aft'}, where a cross bar can stand over it"
    )
    return Finding(
        "no-tube-over-mount",
        Level.STOP,
        (f"mount.{mount.name}.saddle",),
        f"no straight tube stands over {mount.name}: the nearest is {off:g} mm beyond where it may move to",
        at=mount.at,
        got=off,
        limit=0.0,
        keys=("frame.cross_bars", "frame.width", "frame.front"),
        help=f"move the mount by {off:g} mm; or {bar}, the "
        f"mount at most {leg_y - 2 * od:.0f} mm from the middle; or make the frame "
        f"{2 * abs(mount.at[1]) + od:.0f} mm wide so that a leg stands over it",
    )
