"""From what is asked for to what gets made: the builders, one after the other."""

from __future__ import annotations

from collections.abc import Mapping

from rackgen.design.basket import basket, tray
from rackgen.design.bows import bows
from rackgen.design.choose import choose
from rackgen.design.clamps import clamps
from rackgen.design.deck import deck
from rackgen.design.fittings.build import with_fittings
from rackgen.design.floor import mesh_floor, no_floor, perforated_floor
from rackgen.design.frame import frame
from rackgen.design.knee_braces import knee_braces
from rackgen.design.plan import plan
from rackgen.design.rails import mid_rails
from rackgen.design.rear_mount import rear_mounts
from rackgen.design.side_plates import side_plates
from rackgen.design.site import Builder, Site
from rackgen.design.slats import slats
from rackgen.design.stands import stands
from rackgen.design.unused import unused
from rackgen.parts.rack import Group, Layout
from rackgen.spec.frames import FrameKind
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.tops import BasketKind, FloorKind
from rackgen.spec.vehicle import Vehicle

FRAMES: Mapping[FrameKind, tuple[Builder, ...]] = {
    "hoop": (frame, stands, rear_mounts),
    "ladder": (frame, stands),
    "bows": (bows,),
    "bed": (frame, stands, knee_braces),
}
"""The frame and what it stands on, by `frame.kind`."""

BASKETS: Mapping[BasketKind, tuple[Builder, ...]] = {
    "basket": (basket,),
    "tray": (tray,),
    "deck": (deck,),
    "bars": (),
}
"""What carries the floor, by `basket.kind`."""

FLOORS: Mapping[FloorKind, Builder] = {
    "expanded metal": mesh_floor,
    "slats": slats,
    "perforated sheet": perforated_floor,
    "none": no_floor,
}
"""Floors, by `floor.kind`."""


def builders(spec: RackSpec) -> tuple[Builder, ...]:
    """Return what builds a rack, in order; later ones stand on what earlier ones built."""
    kind = spec.basket.kind
    sides = (mid_rails, side_plates) if kind == "basket" else ()
    held = () if kind == "bars" else (clamps,)
    return (*FRAMES[spec.frame.kind], *BASKETS[kind], FLOORS[spec.floor.kind], *sides, *held)


def layout(spec: RackSpec, shop: Shop, vehicle: Vehicle) -> Layout:
    """Return the intent of a rack: parts with uncut ends, and joints, in the vehicle frame.

    Raises:
        BadInput: the shop lacks stock for a role, or the sizes are impossible.
    """
    choice = choose(spec, shop)
    sizes, findings = plan(spec, shop, vehicle, choice)
    site = Site(spec, shop, vehicle, choice, sizes, (Group((), (), {}, findings),))
    for build in builders(spec):
        site = site.with_group(build(site))
    made = with_fittings(site).so_far
    return Layout((*made, unused(spec, made)))
