"""A foot on a flat track: a bracket of plate with two bolts into nuts that slide in its slot, the stub between them."""

from __future__ import annotations

from rackgen.design.bolts import hole_for, in_slot, shelf_bolt
from rackgen.design.choose import Choice, thickness
from rackgen.design.feet.pad import EDGE, WELD_ROOM, Seat, beside_stub, bolted, pad_foot, pad_part, place_frame, slid
from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.parts.kinds import PlateHole
from rackgen.parts.rack import Placed
from rackgen.spec.foot_place import FootPlace, TrackPlace
from rackgen.spec.shop import Shop

NUT_BESIDE = 8.0
NUT_PLAY = 0.5
"""How much wider a slot nut is than its slot's mouth, and how much lower than its room; mm (common practice, no
source)."""


def track_seat(place: TrackPlace, shop: Shop, choice: Choice, x: float) -> Seat:
    """Return how a bracket lies on its track as near as may be to an X of the vehicle.

    Raises:
        BadInput: the shop has no bolt of that thread.
    """
    bolt = shelf_bolt(shop, place.thread, f"the bracket at {place.name}")
    half = float(beside_stub(choice.frame_od, bolt))
    end = half + hole_for(bolt.diameter) / 2 + EDGE * bolt.diameter
    side = max(choice.frame_od / 2 + WELD_ROOM, place.width / 2)
    frame = place_frame(slid(place.at, place.pitch, place.zone, x), place.roll, place.pitch)
    return Seat(frame, (-end, -side), (end, side), ((-half, 0.0), (half, 0.0)), (0.0, 0.0))


def slot_nut(place: TrackPlace) -> tuple[float, float]:
    """Return how wide and how high the nut is that slides in a track, mm."""
    return place.slot + NUT_BESIDE, min(place.room - NUT_PLAY, place.thread)


def track_foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the bracket on a track under a tube.

    Raises:
        BadInput: the shop has no bolt for it.
    """
    assert isinstance(place, TrackPlace)
    shop, choice, name = site.shop, site.choice, f"mount.{place.name}"
    seat = track_seat(place, shop, choice, header.at[0])
    hole = hole_for(place.thread)
    part = pad_part(choice.mount_plate, seat, (), [PlateHole(x, y, hole) for x, y in seat.bolts])
    plate = Placed(f"{name}.bracket", part, seat.frame, "track bracket", 2)
    where = f"the bracket at {place.name}"
    item = in_slot(
        shop, shelf_bolt(shop, place.thread, where), thickness(choice.mount_plate) + place.lip, slot_nut(place), where
    )
    bolts, joints = bolted(name, plate, item, seat.bolts)
    return pad_foot(site, place.name, plate, seat, header, (plate, *bolts), joints)
