"""The plane of the frame: how high it lies, and how far it falls to the rear and to one side.

The frame lies as it is asked to, level across where nothing is asked, and as low as the gap over the roof and the
shortest saddle allow. Where a saddle would come to stand too high that way, the frame is laid nearer to the roof: the
gap is kept, its rake is given up first, its roll only where rake alone does not do.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import Choice, thickness
from rackgen.design.foot import face_at
from rackgen.design.plan_record import legs_of
from rackgen.design.seat import LEAST_STUB, Carrier, round_up
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Frame
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

STUB_STEP = 5.0
LONGEST_STUB = 150.0
ROW = 20.0
STRAP_ZONE = 150.0
TILT_STEP = 0.1
MOST_RAKE = 10.0
MOST_ROLL = 5.0
"""Step of saddle heights; the longest saddle that still stands stiff; spacing of the places where the frame is held
over the roof, and the stretch before the rear face where straps hang under the legs, mm; step of rake and roll where
they are given up, and how far they go, degrees (common practice, no source)."""


@dataclass(frozen=True)
class Footprint:
    """The frame as seen from above; mm.

    Attributes:
        leg_y: |Y| of the axes of legs or rails.
        front_x: X of the front tube's axis, or of the rails' front ends, vehicle frame.
        bars: X of the cross bars known so far, rack frame.
        carriers: one per foot.
        reach: X to which legs or rails run, rack frame.
        straps: whether straps hang under the legs' ends.
        every: whether `bars` are all of them; else one may come to stand anywhere.
        front_tube: whether a tube runs across at the front.
    """

    leg_y: float
    front_x: float
    bars: tuple[float, ...]
    carriers: tuple[Carrier, ...]
    reach: float
    straps: bool = False
    every: bool = False
    front_tube: bool = True


@dataclass(frozen=True, eq=False)
class Ground:
    """What the frame has to stay over, and stand on.

    Attributes:
        over: places in the frame's plane, shape (n, 2), rack frame, mm.
        least: height that a tube's axis must have there, vehicle frame, mm, shape (n,).
        stands: places of the saddles in the frame's plane, shape (m, 2), mm.
        tops: height of the mount plates' tops there, vehicle frame, mm, shape (m,).
    """

    over: Array
    least: Array
    stands: Array
    tops: Array

    def seated(self, fall: float, aside: float) -> tuple[float, float]:
        """Return how high the frame's origin lies, less half a tube, and how long the longest saddle is, mm.

        Args:
            fall: slope to the rear, positive when it falls.
            aside: slope to the right, positive when it falls.
        """
        slopes = np.array([fall, aside])
        floor = float(np.max(self.least + self.over @ slopes, initial=-math.inf))
        tops = self.tops + self.stands @ slopes
        high, low = (float(f(tops)) if len(tops) else floor - LEAST_STUB for f in (np.max, np.min))
        up = high + round_up(max(LEAST_STUB, floor - high), STUB_STEP)
        return up, up - low


def pose(
    spec: RackSpec,
    shop: Shop,
    vehicle: Vehicle,
    choice: Choice,
    on: Footprint,
) -> tuple[Frame, tuple[Finding, ...]]:
    """Return the rack's frame in the vehicle frame, and what of the wanted rake and roll was given up for it."""
    front_x, carriers = on.front_x, on.carriers

    def lie(rake: float, roll: float) -> tuple[Frame, Ground]:
        flat = _plane(front_x, rake, roll)
        return flat, _ground(spec, shop, vehicle, choice, flat, on)

    rake, roll = spec.frame.rake, spec.frame.roll
    flat, ground = lie(rake, roll)
    _, longest = ground.seated(_tan(rake), _tan(roll))
    findings: tuple[Finding, ...] = ()
    if longest > LONGEST_STUB:
        rake, roll = _given_up(ground, rake, roll)
        flat, ground = lie(rake, roll)
        after = ground.seated(_tan(rake), _tan(roll))[1]
        findings = tuple(_said(spec, carriers, (rake, roll), longest, after))
    up, _ = ground.seated(-flat.x[2] / flat.x[0], -flat.y[2] / flat.y[1])
    return Frame((front_x, 0.0, up + choice.frame_od / 2), flat.x, flat.y, flat.z), findings


def _tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def _plane(front_x: float, rake: float, roll: float) -> Frame:
    """Return a plane through the datum's level that falls by `rake` to the rear and by `roll` to the right."""
    p, r = math.radians(rake), math.radians(roll)
    along, across = np.array([math.cos(p), 0.0, -math.sin(p)]), np.array([0.0, math.cos(r), -math.sin(r)])
    return Frame.of((front_x, 0.0, 0.0), along, np.cross(along, across))


def _ground(
    spec: RackSpec,
    shop: Shop,
    vehicle: Vehicle,
    choice: Choice,
    flat: Frame,
    on: Footprint,
) -> Ground:
    """Return what the frame has to stay over: its bars and legs over the skin, legs deeper by their U-bolts' bows."""
    roof, leg_y, carriers = vehicle.roof, on.leg_y, on.carriers
    across = np.linspace(-leg_y, leg_y, 61)
    length = np.arange(0.0, on.reach, ROW)
    # Where cross bars are not placed by hand, one may come to stand anywhere.
    front = (0.0,) if on.front_tube else ()
    under = (*front, *on.bars) if on.every or spec.frame.cross_bars is not None else (*front, *on.bars, *length)
    rows = np.array([(x, y) for x in under for y in across]).reshape(-1, 2)
    legs = np.array([(x, y) for x in length for y in (-leg_y, leg_y)]).reshape(-1, 2)
    straps = legs[legs[:, 0] > np.max(length, initial=0.0) - STRAP_ZONE] if on.straps else legs[:0]
    bow = max(spec.gaps.tube, choice.u_bolt.rod + spec.gaps.bow)
    strap = thickness(choice.strap) + spec.gaps.tube
    over: list[Array] = []
    least: list[Array] = []
    for places, below in ((rows, spec.gaps.tube), (legs, bow), (straps, strap)):
        there = flat.points(np.column_stack([places, np.zeros(len(places))]))
        skin = roof.height(there[:, 0], there[:, 1])
        zx, zy = roof.slope(there[:, 0], there[:, 1])
        tube = choice.frame_od / 2
        level = skin + (tube + below) * np.sqrt(1 + zx**2 + zy**2) - tube
        measured = np.isfinite(level)
        over.append(places[measured])
        least.append(level[measured])
    stack = shop.bedding + thickness(choice.mount_plate)
    stands = np.array([(c.x, c.y) for c in carriers]).reshape(-1, 2)
    spots = flat.points(np.column_stack([stands, np.zeros(len(stands))]))
    tops = [
        face_at(c.mount, shop, vehicle, choice, x)[0][2] if c.skin is None else float(c.skin.height(x, y)) + stack
        for c, (x, y, _) in zip(carriers, spots.tolist(), strict=True)
    ]
    # Across and along are counted level, so that a slope times a place is a height.
    return Ground(
        np.concatenate(over) * (flat.x[0], flat.y[1]),
        np.concatenate(least),
        stands * (flat.x[0], flat.y[1]),
        np.array(tops),
    )


def _given_up(ground: Ground, rake: float, roll: float) -> tuple[float, float]:
    """Return the rake and roll nearest to the wanted ones at which no saddle is too long, or those wanted.

    The longest saddle is a convex function of both slopes: nearer to its lowest place it only gets shorter.
    """

    def longest(p: float, r: float) -> float:
        return ground.seated(_tan(p), _tan(r))[1]

    def best_rake(r: float) -> float:
        return _lowest(lambda p: longest(p, r), -MOST_RAKE, MOST_RAKE)

    rake_there = best_rake(roll)
    if longest(rake_there, roll) <= LONGEST_STUB:
        return _nearest(rake, rake_there, lambda p: longest(p, roll) <= LONGEST_STUB), roll
    roll_there = _lowest(lambda r: longest(best_rake(r), r), -MOST_ROLL, MOST_ROLL)
    if longest(best_rake(roll_there), roll_there) > LONGEST_STUB:
        return rake, roll
    roll = _nearest(roll, roll_there, lambda r: longest(best_rake(r), r) <= LONGEST_STUB)
    return _nearest(rake, best_rake(roll), lambda p: longest(p, roll) <= LONGEST_STUB), roll


def _lowest(of: Callable[[float], float], low: float, high: float) -> float:
    """Return where a convex function is lowest, to a tenth of a step."""
    while high - low > TILT_STEP / 10:
        a, b = low + (high - low) / 3, high - (high - low) / 3
        if of(a) <= of(b):
            high = b
        else:
            low = a
    return (low + high) / 2


def _nearest(wanted: float, does: float, enough: Callable[[float], bool]) -> float:
    """Return the place nearest to the wanted one that is enough, in steps from it toward one that is."""
    step = math.copysign(TILT_STEP, does - wanted)
    few, many = 0, math.floor(abs(does - wanted) / TILT_STEP)
    if enough(wanted):
        return wanted
    if not enough(wanted + many * step):
        return does
    while many - few > 1:
        half = (few + many) // 2
        if enough(wanted + half * step):
            many = half
        else:
            few = half
    return round(wanted + many * step, 6)


def _said(
    spec: RackSpec, carriers: tuple[Carrier, ...], tilt: tuple[float, float], before: float, after: float
) -> list[Finding]:
    """Return what was given up, with its size; or that nothing would have done."""
    out: list[Finding] = []
    legs = tuple(dict.fromkeys(legs_of(spec.frame.front_end)))
    wishes = (("rake", spec.frame.rake, tilt[0], "rear"), ("roll", spec.frame.roll, tilt[1], "right"))
    for what, wanted, got, way in wishes:
        if abs(got - wanted) < 1e-9:
            continue
        out.append(
            Finding(
                f"gave-up-{what}",
                Level.LOOK,
                legs,
                f"a fall of {wanted:.1f} deg to the {way} was wanted, but with the wanted gap over the roof a saddle "
                f"would stand {before:.0f} mm high under its tube; up to {LONGEST_STUB:.0f} mm is stiff, and for that "
                f"the frame falls {got:.1f} deg",
                got=got - wanted,
                limit=0.0,
                unit="deg",
                keys=(f"frame.{what}",),
                help=f"ask for a {what} of {got:.1f}, or move the mounts to where the roof is higher",
            )
        )
    if not out or after > LONGEST_STUB + 1e-6:
        out.append(
            Finding(
                "saddle-long",
                Level.LOOK,
                tuple(f"mount.{c.mount.name}.saddle" for c in carriers),
                f"the longest saddle stands {after:.0f} mm high under its tube; over {LONGEST_STUB:.0f} mm it gives "
                "sideways",
                got=after,
                limit=LONGEST_STUB,
                keys=tuple(f"mounts.{c.mount.name}" for c in carriers),
                help="move the mounts to where the roof is higher, or accept it",
            )
        )
    return out
