"""The rear end of one leg, in the upright plane through it: where strap, fold and leg end come to lie.

Everything follows from two lines: the leg's axis, and the body's rear face with bedding and wrap on it. The strap's top
flat lies under the leg, its body flat on the wrap; the fold is where the two meet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import Choice, bar_width, thickness
from rackgen.design.hoop import Drop
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.geom.surface import Roof
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import RearMount

STRAP_TOP = 110.0
STRAP_RADIUS = 8.0
PAST_STRAP = 22.5
SPANNER_ROOM = 14.0
LEAST_ON_BODY = 100.0
LONGEST_FREE = 200.0
PACKER = 45.0
PACKER_GAP = 0.5
WRAP_BELOW = 1.0
RIVET_PITCH = 24.0
BELOW_PACKER = 3.5
"""Length of a strap's top flat, its inside fold radius, how far the leg runs past it, and the room from a ring's side
to a U-bolt leg's axis so that a ring spanner goes over the nut; how much of a strap lies on the body at least, and
how much may hang free above; length of a packer, its gap to the wrap, how far below the upper end of the body's flat
the wrap begins, the pitch of two rivets, and how far the strap runs past the packer; mm: common practice, no
source."""


@dataclass(frozen=True)
class Rows:
    """What lies where down the body under a strap, mm below the upper end of the body's flat.

    Attributes:
        wrap: the wrap's middle.
        packer: the packer's middle.
        on_body: how much of the strap lies on the body.
        rivets: two through strap and wrap, two through strap and packer.
    """

    wrap: float
    packer: float
    on_body: float
    rivets: tuple[float, float, float, float]


def rows(choice: Choice) -> Rows:
    """Return what lies where down the body: a wider wrap moves its packer down and makes the strap longer."""
    wide = bar_width(choice.wrap)
    wrap = WRAP_BELOW + wide / 2
    packer = WRAP_BELOW + wide + PACKER_GAP + PACKER / 2
    half = RIVET_PITCH / 2
    on_body = max(LEAST_ON_BODY, packer + PACKER / 2 + BELOW_PACKER)
    return Rows(wrap, packer, on_body, (wrap - half, wrap + half, packer - half, packer + half))


@dataclass(frozen=True)
class LegEnd:
    """The end of one leg or rail; mm. `along` is measured on the leg's axis from the begin of its last straight.

    Attributes:
        y: of the leg's axis, rack frame.
        drop: the leg's drop bend, or None.
        flat_to: X of the rack's frame up to which the leg is straight and free for clamps, from the front tube's axis.
        drop_to: X of the rack's frame where the drop bend ends; `flat_to` without one.
        leg: frame of the leg's last straight in the vehicle frame: X along it, Z up off it, origin on its axis where
            the rack's front tube or the drop's corner is.
        end: along, the leg's sawn end.
    """

    y: float
    drop: Drop | None
    flat_to: float
    drop_to: float
    leg: Frame
    end: float

    @property
    def reach(self) -> float:
        """X of the leg's end on the rack's frame, from the front tube's axis, mm."""
        if self.drop is None:
            return self.end
        return self.drop.at + self.end * math.cos(math.radians(self.drop.angle))


@dataclass(frozen=True)
class RearEnd(LegEnd):
    """One leg's end and its strap.

    Attributes:
        mount: the rear mount.
        strap_front: along, the strap's front edge.
        fold_begin: along, where the strap's fold begins.
        fold: angle of the strap's fold, degrees.
        body_flat: length of the strap's body flat.
        down: unit vector down the body's rear face, vehicle frame.
        out: unit vector out of it, vehicle frame.
        above_roof: of the leg's underside at the strap, or NaN beside the measured roof.
    """

    mount: RearMount
    strap_front: float
    fold_begin: float
    fold: float
    body_flat: float
    down: Vec
    out: Vec
    above_roof: float

    @property
    def lie(self) -> Frame:
        """Frame in which the strap lies: `leg`, but straight aft also where a leg that drops off a rolled frame is not.

        Such a leg runs a little askew over the strap's top flat, its middle over the strap's middle.
        """
        u = self.leg.x
        if u[1] == 0.0:
            return self.leg
        x, _, z = self.leg.point((self.fold_begin, 0.0, 0.0))
        y = self.leg.point((self.fold_begin - STRAP_TOP / 2, 0.0, 0.0))[1]
        along = np.array([u[0], 0.0, u[2]]) / math.hypot(u[0], u[2])
        return Frame.of(np.array([x, y, z]) - along * self.fold_begin, along, self.leg.z)


def spanner_offset(choice: Choice) -> float:
    """Return how far a leg's axis must lie beside the lower ring's axis for the nuts to be reached, mm."""
    bolt = choice.u_bolt
    return float(math.ceil(choice.ring_od / 2 + SPANNER_ROOM + (bolt.inside_width + bolt.rod) / 2 - 1e-6))


def strap_radius(choice: Choice) -> float:
    """Return the inside radius of a strap's fold: the usual one, or one and a half thicknesses to the next mm."""
    return max(STRAP_RADIUS, float(math.ceil(1.5 * thickness(choice.strap) - 1e-9)))


def strap_range(mount: RearMount, spec: RackSpec, choice: Choice) -> tuple[float, float]:
    """Return the least and largest |Y| of a strap's middle: within its zone, clear of shut line and corner, mm."""
    half = bar_width(choice.strap) / 2
    shut = mount.corner - mount.to_shut_line + spec.gaps.shut_line
    at = abs(mount.at[1])
    return max(at - mount.zone, shut + half), min(at + mount.zone, mount.corner - half)


def leg_frame(rack: Frame, y: float, drop: Drop | None) -> Frame:
    """Return the frame of a leg's last straight in the vehicle frame; its Z does not lean aside on a rolled frame."""
    a = 0.0 if drop is None else math.radians(drop.angle)
    here = rack.moved((0.0 if drop is None else drop.at, y, 0.0))
    along = here.direction((math.cos(a), 0.0, -math.sin(a)))
    return Frame.of(here.origin, along, (-along[2], 0.0, along[0]))


def axis_at(rack: Frame, y: float, drop: Drop | None, x: float) -> Vec:
    """Return the point of a leg's axis at X of the rack's frame, vehicle frame; a drop is followed to its corner."""
    fall = 0.0 if drop is None else max(0.0, x - drop.at) * math.tan(math.radians(drop.angle))
    return rack.point((x, y, -fall))


def rear_end(
    mount: RearMount,
    roof: Roof,
    spec: RackSpec,
    shop: Shop,
    choice: Choice,
    rack: Frame,
    y: float,
    drop: Drop | None,
    reach: float | None,
) -> tuple[RearEnd, tuple[Finding, ...]]:
    """Return where a leg and its strap end.

    Args:
        mount: the rear mount on that side.
        roof: the vehicle's roof.
        spec: for the shut line's clearance.
        shop: for bedding.
        choice: of stock.
        rack: the rack's frame in the vehicle frame.
        y: of the leg's axis in the rack's frame.
        drop: its drop bend.
        reach: wanted X of the leg's end in the rack's frame, or None for `PAST_STRAP` past the strap.

    Returns:
        The rear end, and findings: a strap off its zone, a body flat too short, a leg that ends on its strap.
    """
    findings: list[Finding] = []
    lean = math.radians(mount.lean)
    out = np.array([math.cos(lean), 0.0, math.sin(lean)])
    down = np.array([math.sin(lean), 0.0, -math.cos(lean)])
    leg = leg_frame(rack, y, drop)
    u, v, origin = np.asarray(leg.x), np.asarray(leg.z), np.asarray(leg.origin)
    face = np.array([mount.at[0], origin[1], mount.at[2]])
    t, radius = thickness(choice.strap), strap_radius(choice)
    stack = shop.bedding + thickness(choice.wrap)
    tube = choice.frame_od / 2
    on_body = rows(choice).on_body

    def meets(below: float, off: float) -> float:
        """Return how far along the leg the plane `below` its axis meets the plane `off` the body."""
        return float((off - (origin - v * below - face) @ out) / (u @ out))

    corner = meets(tube + t / 2, stack + t / 2)
    fold = math.degrees(math.acos(float(np.clip(u @ down, -1.0, 1.0))))
    setback = (radius + t / 2) * math.tan(math.radians(fold) / 2)
    place: Array = origin + u * corner - v * (tube + t / 2)
    body_flat = float((face - place) @ down) + on_body - setback
    past = meets(0.0, stack + t)
    # The leg's end is given to whole millimetres on the tape, measured from the front tube's outside.
    end = math.floor(past + PAST_STRAP + tube + 1e-6) - tube if drop is None else math.floor(past + PAST_STRAP)
    if reach is not None:
        end = reach if drop is None else (reach - drop.at) / math.cos(math.radians(drop.angle))
    name = mount.name
    if body_flat < on_body:
        findings.append(
            Finding(
                "strap-too-high",
                Level.STOP,
                (f"mount.{name}.strap",),
                f"the strap's body flat at {name} would be {body_flat:.0f} mm; {on_body:.0f} mm must lie on the body",
                got=body_flat,
                limit=on_body,
                keys=(f"mounts.{name}.at",),
                help="check the height of the rear mount, or lift the frame",
            )
        )
    free = body_flat - on_body
    if free > LONGEST_FREE:
        findings.append(
            Finding(
                "strap-long",
                Level.LOOK,
                (f"mount.{name}.strap",),
                f"the strap at {name} hangs {free:.0f} mm free above the body; up to {LONGEST_FREE:.0f} mm is usual",
                got=free,
                limit=LONGEST_FREE,
                keys=(f"mounts.{name}.z", "frame.leg"),
                help="let the legs drop, choose a thicker strap, or look for a flat place higher up the body",
            )
        )
    # A strap that is too short is a stop; it is drawn with what must lie on the body.
    body_flat = max(body_flat, on_body)
    if not past + 5 <= end <= past + 60:
        findings.append(
            Finding(
                "leg-end",
                Level.STOP,
                ("frame.hoop",),
                f"the leg at {name} ends {end - past:.0f} mm past its strap; 20 to 25 mm is wanted, 5 to 60 do",
                got=end - past,
                limit=PAST_STRAP,
                keys=("frame.left_leg", "frame.right_leg"),
                help=f"make that leg {abs(end - past - PAST_STRAP):.0f} mm "
                f"{'shorter' if end > past else 'longer'}, or leave its length out",
            )
        )
    low, high = strap_range(mount, spec, choice)
    beside = max(low - abs(y), abs(y) - high)
    if beside > 1e-6:
        offset = spanner_offset(choice)
        findings.append(
            Finding(
                "strap-off-zone",
                Level.STOP,
                (f"mount.{name}.strap",),
                f"the leg's axis is {abs(y):.0f} mm from the middle; the strap at {name} "
                + (
                    f"can stand at {low:.0f} to {high:.0f} mm, within its zone and clear of shut line and corner"
                    if low <= high
                    else f"has no place: the shut line keeps it from {low:.0f} mm outward, the corner to {high:.0f} mm"
                ),
                got=beside,
                limit=0.0,
                keys=("basket.width", "frame.width", f"mounts.{name}.zone"),
                help="choose a narrower strap, or measure the corner again"
                if low > high
                else f"choose a basket at most {2 * (high - offset) + choice.ring_od:.0f} mm wide, or a frame "
                f"{2 * low + choice.frame_od:.0f} to {2 * high + choice.frame_od:.0f} mm wide, or a narrower strap",
            )
        )
    begin = corner - setback
    under = origin + u * (begin - STRAP_TOP / 2) - v * tube
    first, last = roof.span()
    skin = roof.height(float(np.clip(under[0], first, last)), under[1])
    above = float(under[2] - skin)
    flat_to = drop_to = begin - STRAP_TOP
    if drop is not None:
        bend = math.radians(drop.angle)
        back = choice.frame_die.clr * math.tan(bend / 2)
        flat_to, drop_to = drop.at - back, drop.at + back * math.cos(bend)
    return RearEnd(
        y,
        drop,
        flat_to,
        drop_to,
        leg,
        end,
        mount,
        begin - STRAP_TOP,
        begin,
        fold,
        body_flat,
        vec(down),
        vec(out),
        above,
    ), tuple(findings)
