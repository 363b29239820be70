"""A flat deck: two straight side rails with capped ends, and bearers between them where the slats need any."""

from __future__ import annotations

from rackgen.design.basket import across
from rackgen.design.end_tubes import CAP_DENSITY, CAP_DEPTH, CAP_HEAD, DRAIN_FROM_END
from rackgen.design.plan import ring_y
from rackgen.design.site import Site, hole_toward, straight, with_holes
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import Bought, CapShape
from rackgen.parts.rack import AtEnd, Group, Joint, OnFace, Placed
from rackgen.spec.stock import Round


def deck(site: Site) -> Group:
    """Return side rails with caps, and bearers."""
    choice = site.choice
    half, y = site.spec.basket.length / 2, ring_y(site.spec, choice)
    tube = choice.ring.section
    assert isinstance(tube, Round)
    members: list[Placed] = []
    joints: list[Joint] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        name = f"basket.rail.{side}"
        rail = straight(site.basket, name, "side rail", 2, choice.ring, (-half, sign * y, 0.0), (half, sign * y, 0.0))
        # Open ends are capped and drain at both ends, whichever lies lower on the road.
        drains = [hole_toward(rail, at, site.down, "drain") for at in (DRAIN_FROM_END, 2 * half - DRAIN_FROM_END)]
        members.append(with_holes(rail, drains))
    rails = dict(zip((-1.0, 1.0), members, strict=True))
    bearers, coped = across(
        site, "basket.lower.bearer", "bearer", choice.bar, site.plan.bearers, lambda sign, _: rails[sign]
    )
    shape = CapShape(tube.od, CAP_HEAD, tube.inner, CAP_DEPTH)
    item = Bought(f"push-in cap for {choice.ring.name}", shape, CAP_DENSITY)
    caps: list[Placed] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        for end, letter, way in (("front", "A", -1.0), ("rear", "B", 1.0)):
            away = Frame((way * half, sign * y, 0.0), (0.0, 0.0, -way), (0.0, 1.0, 0.0), (way, 0.0, 0.0))
            name = f"basket.cap.{side}.{end}"
            caps.append(Placed(name, item, site.basket.then(away), "cap", 0))
            joints.append(
                Joint(f"{name}.fit", "contact", OnFace(name, "bottom", 0.0, 0.0),
                      AtEnd(f"basket.rail.{side}", "A" if letter == "A" else "B"), fixing="push fit")
            )  # fmt: skip
    members += [*bearers, *caps]
    return Group(tuple(members), (*joints, *coped), {m.id: ("basket",) for m in members})
