"""From what is asked for to what gets made: the builders, one after the other."""

from __future__ import annotations

from collections.abc import Mapping

from rackgen.design.basket import basket
from rackgen.design.choose import choose
from rackgen.design.clamps import clamps
from rackgen.design.floor import floor
from rackgen.design.frame import frame
from rackgen.design.front_mount import front_mounts
from rackgen.design.plan import plan
from rackgen.design.rear_mount import rear_mounts
from rackgen.design.side_plates import side_plates
from rackgen.design.site import Builder, Site
from rackgen.parts.rack import Group, Layout
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

BUILDERS: Mapping[str, Builder] = {
    "frame": frame,
    "front mounts": front_mounts,
    "rear mounts": rear_mounts,
    "basket": basket,
    "floor": floor,
    "side plates": side_plates,
    "clamps": clamps,
}


def layout(spec: RackSpec, shop: Shop, vehicle: Vehicle) -> Layout:
    """Return the intent of a rack: parts with uncut ends, and joints, in the vehicle frame.

    Raises:
        BadInput: the shop lacks stock for a role, or the sizes are impossible.
    """
    choice = choose(spec, shop)
    sizes, findings = plan(spec, shop, vehicle, choice)
    site = Site(spec, shop, vehicle, choice, sizes, (Group((), (), {}, findings),))
    for build in BUILDERS.values():
        site = site.with_group(build(site))
    return Layout(site.so_far)
