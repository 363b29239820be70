"""Feet: what stands on the vehicle at a place, and the face that it offers to the stub above it.

A foot is plates, bars, bedding and fasteners with the joints between them. The frame's builder stands a tube on its
face, its end A cut to the face and welded there, its end B coped to the frame.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import assert_never

from rackgen.design.choose import Choice, thickness
from rackgen.design.feet.bed_rail import rail_foot, rail_seat
from rackgen.design.feet.gutter import gutter_foot, jaw_face
from rackgen.design.feet.pad import Seat
from rackgen.design.feet.plate import plate_foot
from rackgen.design.feet.record import Foot, Header
from rackgen.design.feet.threads import slotted_across, threads_foot, threads_seat
from rackgen.design.feet.track import track_foot, track_seat
from rackgen.design.site import Site
from rackgen.design.skin import Skin
from rackgen.geom.frame import Vec, unit, vec
from rackgen.spec.foot_place import (
    BedRailPlace,
    FootKind,
    FootPlace,
    FrontMount,
    GutterPlace,
    ThreadsPlace,
    TrackPlace,
    kind_of,
)
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

__all__ = ["FEET", "Foot", "Footer", "Header", "face_at", "foot"]

Footer = Callable[[Site, FootPlace, Header], Foot]

FEET: Mapping[FootKind, Footer] = {
    "roof": plate_foot,
    "gutter": gutter_foot,
    "threads": threads_foot,
    "track": track_foot,
    "bed rail": rail_foot,
}
"""Builders of feet, by what they stand on."""


def foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the foot at a place under a tube of the frame.

    Raises:
        BadInput: the shop has no bolt or bar for it.
    """
    return FEET[kind_of(place)](site, place, header)


def face_at(place: FootPlace, shop: Shop, vehicle: Vehicle, choice: Choice, x: float) -> tuple[Vec, Vec]:
    """Return where a stub's axis meets its foot and the way off that face, before the frame over it is known.

    Args:
        place: the place.
        shop: whose bolts and bars.
        vehicle: the vehicle.
        choice: the stock of every role.
        x: wanted X in the vehicle frame; the foot stands as near to it as its zone, and stake pockets, let it.

    Raises:
        BadInput: the shop has no bolt or bar for it.
    """
    plate = thickness(choice.mount_plate)
    match place:
        case FrontMount():
            by = min(max(x - place.at[0], -place.zone[0]), place.zone[0])
            there = Skin(vehicle.roof, place)
            spot = place.at[0] + by, place.at[1]
            zx, zy = there.slopes(*spot)
            n = unit((-zx, -zy, 1.0))
            return vec((*spot, float(there.height(*spot))) + n * (shop.bedding + plate)), vec(n)
        case GutterPlace():
            return jaw_face(place, shop, choice, vehicle.roof, x)
        case ThreadsPlace():
            seat = threads_seat(place, shop, choice, across=slotted_across(vehicle, place))
            return _on(seat, shop.bedding + plate)
        case TrackPlace():
            return _on(track_seat(place, shop, choice, x), plate)
        case BedRailPlace():
            return _on(rail_seat(place, shop, choice, x), shop.bedding + plate)
        case _:
            assert_never(place)


def _on(seat: Seat, up: float) -> tuple[Vec, Vec]:
    return seat.frame.point((*seat.stub, up)), seat.frame.z
