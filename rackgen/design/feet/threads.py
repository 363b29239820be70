"""A foot on factory threaded points: a pad with one or two bolts into them, slotted one way.

The foremost pad of a side is slotted across and so holds the rack fore and aft; those behind it are slotted fore and
aft and hold it sideways. So both ways are held, and the threads need not be where they should.
"""

from __future__ import annotations

from dataclasses import replace

from rackgen.design.bolts import SLOT, hole_for, shelf_bolt, slot_for, threaded
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
)
from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.parts.rack import Placed
from rackgen.spec.foot_place import FootPlace, ThreadsPlace
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle


def slotted_across(vehicle: Vehicle, place: ThreadsPlace) -> bool:
    """Return whether a pad's slots lie across: the foremost of its side."""
    same = [p for p in vehicle.feet if isinstance(p, ThreadsPlace) and (p.at[1] < 0) == (place.at[1] < 0)]
    return all(place.at[0] <= p.at[0] for p in same)


def threads_seat(place: ThreadsPlace, shop: Shop, choice: Choice, *, across: bool) -> Seat:
    """Return how a pad lies on its threads: the stub between two, or aft of one, a spanner's room from each.

    Raises:
        BadInput: the shop has no bolt of that thread.
    """
    bolt = shelf_bolt(shop, place.thread, f"the pad at {place.name}")
    od, half = choice.frame_od, place.apart / 2
    room = beside_stub(od, bolt)
    between = half >= room
    spots = ((-half, 0.0), (half, 0.0)) if half else ((0.0, 0.0),)
    stub = 0.0 if between else half + room
    wide = hole_for(bolt.diameter)
    ends = (wide + (0.0 if across else SLOT)) / 2 + EDGE * bolt.diameter
    sides = max(od / 2 + WELD_ROOM, (wide + (SLOT if across else 0.0)) / 2 + EDGE * bolt.diameter)
    low, high = -half - ends, max(half + ends, stub + od / 2 + WELD_ROOM)
    frame = place_frame(place.at, place.roll, place.pitch)
    return Seat(frame, (low, -min(sides, place.width / 2)), (high, min(sides, place.width / 2)), spots, (stub, 0.0))


def threads_foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the pad on threaded points under a tube.

    Raises:
        BadInput: the shop has no bolt for them.
    """
    assert isinstance(place, ThreadsPlace)
    shop, choice, name = site.shop, site.choice, f"mount.{place.name}"
    across = slotted_across(site.vehicle, place)
    seat = threads_seat(place, shop, choice, across=across)
    slots = [slot_for(place.thread, x, y, across=across) for x, y in seat.bolts]
    part = pad_part(choice.mount_plate, seat, slots, ())
    plate = Placed(f"{name}.pad", part, seat.frame.moved((0.0, 0.0, shop.bedding)), "foot pad", 2)
    bed = bedding_under(site, name, part, seat.frame)
    bolt = shelf_bolt(shop, place.thread, f"the pad at {place.name}")
    item = threaded(shop, bolt, thickness(choice.mount_plate) + shop.bedding, place.depth, f"the pad at {place.name}")
    bolts, joints = bolted(name, plate, item, seat.bolts)
    foot = pad_foot(site, place.name, plate, seat, header, (plate, bed, *bolts), (bed_joint(name, plate, bed), *joints))
    return replace(foot, group=replace(foot.group, findings=tuple(_narrow(place, plate, seat, choice))))


def _narrow(place: ThreadsPlace, plate: Placed, seat: Seat, choice: Choice) -> list[Finding]:
    """Return that a stub is wider than its pad, or that the pad is longer than the face under it."""
    out: list[Finding] = []
    wide, need = seat.high[1] - seat.low[1], choice.frame_od + 4.0
    if wide < need - 1e-6:
        out.append(
            Finding(
                "pad-narrow", Level.STOP, (plate.id,),
                f"the stub of {choice.frame_od:g} mm does not stand on a pad {wide:g} mm wide: the ditch lets it be no "
                "wider",
                at=place.at, got=wide, limit=need, keys=(f"mounts.{place.name}.width",),
                help=f"use a tube of at most {wide - 4.0:.0f} mm for the frame, or a spacer block that lifts the pad "
                "out of the ditch",
            )
        )  # fmt: skip
    long = seat.high[0] - seat.low[0]
    if long > place.length + 1e-6:
        out.append(
            Finding(
                "pad-long", Level.LOOK, (plate.id,),
                f"the pad is {long:.0f} mm long and the face under it {place.length:g} mm: its end hangs over",
                at=place.at, got=long, limit=place.length, keys=(f"mounts.{place.name}.length",),
                help="see that nothing is under the end, or use the thread that lies further from it",
            )
        )  # fmt: skip
    return out
