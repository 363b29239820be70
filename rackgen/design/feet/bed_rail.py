"""A foot on a pickup's bed rail: a plate on its top, a backing plate under its sheet, bolts through both."""

from __future__ import annotations

import math
from dataclasses import replace

from rackgen.design.bolts import hole_for, nutted, stout_bolt
from rackgen.design.choose import Choice, thickness
from rackgen.design.feet.pad import (
    EDGE,
    WELD_ROOM,
    Seat,
    bed_joint,
    bedding_under,
    beside_stub,
    bolted,
    pad_foot,
    pad_part,
    place_frame,
    slid,
)
from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.parts.kinds import PlateHole
from rackgen.parts.rack import Joint, OnFace, Placed
from rackgen.refs.registry import number
from rackgen.spec.foot_place import BedRailPlace, FootPlace
from rackgen.spec.shop import Shop

LEAST_BOLT = 8.0
FROM_POCKET = 15.0
INSIDE_RAIL = 2.0
WIDEST = 100.0
STEP = 5.0
"""Thinnest bolt of a bed rail; a hole's middle from a stake pocket; what a plate keeps from the rail's edges, and how
wide it is at most; the steps in which it is moved off a pocket; mm (common practice, no source)."""


def rail_seat(place: BedRailPlace, shop: Shop, choice: Choice, x: float) -> Seat:
    """Return how a plate lies on its rail, holes off the stake pockets, as near as may be to an X of the vehicle.

    Where no place within the zone is off them, it is the nearest to X.

    Raises:
        BadInput: the shop has no bolt stout enough.
    """
    bolt = stout_bolt(shop, LEAST_BOLT, f"the plate at {place.name}")
    # Its holes are drilled with the post on: the chuck goes past it, and a ring spanner over the heads.
    chuck = math.ceil(choice.frame_od / 2 + number("drill-clear-stub").value)
    half = float(max(beside_stub(choice.frame_od, bolt), chuck))
    wide = hole_for(bolt.diameter)
    edge = wide / 2 + EDGE * bolt.diameter
    side = min(place.width / 2 - INSIDE_RAIL, WIDEST / 2)
    side = min(side, max(choice.frame_od / 2 + WELD_ROOM, 2 * edge))
    rows = (-(side - edge), side - edge) if side >= 2 * edge - 1e-6 else (0.0,)
    spots = tuple((sx * half, y) for sx in (-1.0, 1.0) for y in rows)
    steps = [0.0, *(s * STEP * k for k in range(1, int(2 * place.zone / STEP) + 2) for s in (-1.0, 1.0))]
    tries = [slid(place.at, place.pitch, place.zone, x + by) for by in steps]
    at = next((t for t in tries if in_pocket(place, [t[0] + sx for sx, _ in spots]) <= 0), tries[0])
    frame = place_frame(at, place.roll, place.pitch)
    return Seat(frame, (-half - edge, -side), (half + edge, side), spots, (0.0, 0.0))


def in_pocket(place: BedRailPlace, holes: list[float]) -> float:
    """Return by how much the worst of holes is nearer to a stake pocket than it may be, mm; 0 or less when none is."""
    return max(
        (FROM_POCKET - max(a - x, x - b) for x in holes for a, b in place.pockets), default=-FROM_POCKET
    )  # fmt: skip


def rail_foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the plate on a bed rail under a tube, with its backing.

    Raises:
        BadInput: the shop has no bolt for it.
    """
    assert isinstance(place, BedRailPlace)
    shop, choice, name = site.shop, site.choice, f"mount.{place.name}"
    seat = rail_seat(place, shop, choice, header.at[0])
    where = f"the plate at {place.name}"
    bolt = stout_bolt(shop, LEAST_BOLT, where)
    hole, t = hole_for(bolt.diameter), thickness(choice.mount_plate)
    part = pad_part(choice.mount_plate, seat, (), [PlateHole(x, y, hole) for x, y in seat.bolts])
    plate = Placed(f"{name}.plate", part, seat.frame.moved((0.0, 0.0, shop.bedding)), "rail plate", 2)
    backing = Placed(f"{name}.backing", part, seat.frame.moved((0.0, 0.0, -place.skin - t)), "backing plate", 2)
    bed = bedding_under(site, name, part, seat.frame)
    item = nutted(shop, bolt, 2 * t + shop.bedding + place.skin, where)
    bolts, joints = bolted(name, plate, item, seat.bolts)
    through = [
        Joint(f"{one.id}.backing", "bolts", OnFace(one.id, "bottom", 0, 0), OnFace(backing.id, "bottom", x, y), None, 0,
              "vehicle", item.name)
        for one, (x, y) in zip(bolts, seat.bolts, strict=True)
    ]  # fmt: skip
    members = (plate, backing, bed, *bolts)
    foot = pad_foot(site, place.name, plate, seat, header, members, (bed_joint(name, plate, bed), *joints, *through))
    return replace(foot, group=replace(foot.group, findings=tuple(_wrong(place, plate, seat, choice))))


def _wrong(place: BedRailPlace, plate: Placed, seat: Seat, choice: Choice) -> list[Finding]:
    out: list[Finding] = []
    holes = [seat.frame.origin[0] + x for x, _ in seat.bolts]
    near = in_pocket(place, holes)
    if near > 1e-6:
        out.append(
            Finding(
                "hole-in-pocket", Level.STOP, (plate.id,),
                f"a hole of {plate.word} {plate.id} is {FROM_POCKET - near:.0f} mm from a stake pocket; "
                f"{FROM_POCKET:g} mm is wanted",
                at=seat.frame.origin, got=FROM_POCKET - near, limit=FROM_POCKET,
                keys=(f"mounts.{place.name}.zone", f"mounts.{place.name}.pockets"),
                help="give the mount a longer zone, or another place between the pockets",
            )
        )  # fmt: skip
    wide, need = seat.high[1] - seat.low[1], choice.frame_od + 2 * WELD_ROOM - 2.0
    if wide < need:
        out.append(
            Finding(
                "pad-narrow", Level.STOP, (plate.id,),
                f"the stub of {choice.frame_od:g} mm does not stand on a plate {wide:g} mm wide: the rail lets it be "
                "no wider",
                at=place.at, got=wide, limit=need, keys=(f"mounts.{place.name}.width",),
                help="use a thinner tube for the frame, or measure whether the rail's edge can carry an angle",
            )
        )  # fmt: skip
    return out
