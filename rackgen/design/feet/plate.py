"""A foot anywhere on the roof: a plate on its bedding with fasteners round it."""

from __future__ import annotations

from rackgen.design.feet.record import Foot, Header
from rackgen.design.front_mount import fixings, mount_plate, stub_ends
from rackgen.design.site import Site
from rackgen.design.skin import Skin
from rackgen.parts.rack import Group, OnFace
from rackgen.spec.foot_place import FootPlace, FrontMount


def plate_foot(site: Site, place: FootPlace, header: Header) -> Foot:
    """Return the plate on the roof under a tube."""
    assert isinstance(place, FrontMount)
    skin = header.skin or Skin(site.vehicle.roof, place)
    plate, said = mount_plate(site, place, skin, header.at, header.way)
    at, top = stub_ends(site, plate, header.at, header.way)
    fasteners, bed, joints, more = fixings(site, f"mount.{place.name}", plate, place)
    members = (plate, bed, *fasteners)
    local = plate.frame.to_local(at)
    return Foot(
        Group(members, tuple(joints), {m.id: (f"mounts.{place.name}",) for m in members}, (*said, *more)),
        OnFace(plate.id, "top", float(local[0]), float(local[1])),
        at,
        plate.frame.z,
        top,
    )
