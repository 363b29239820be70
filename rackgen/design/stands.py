"""What a frame stands on: a foot at each place, and a stub from it to the tube above."""

from __future__ import annotations

from rackgen.design.foot import Header, foot
from rackgen.design.seat import Carrier
from rackgen.design.site import Site, straight
from rackgen.errors import Finding
from rackgen.geom.frame import Frame
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, PartId, Placed

STUBS = ("saddle", "post")
"""What the shop calls a tube from a foot up to the frame: short under a rack on the roof, long under a bed frame."""


def stub_id(site: Site, place: str) -> PartId:
    """Return the id of the stub on a foot."""
    return f"mount.{place}.{_word(site)}"


def _word(site: Site) -> str:
    return "post" if site.plan.kind == "bed" else "saddle"


def stands(site: Site) -> Group:
    """Return foot and saddle, or post, of every carrier."""
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    keys: dict[str, tuple[str, ...]] = {}
    for carrier in site.plan.carriers:
        point = site.plan.frame.point((carrier.x, carrier.y, 0.0))
        way = site.plan.frame.x if carrier.kind == "leg" else site.plan.frame.y
        made = foot(site, carrier.mount, Header(point, way, site.choice.frame_od, carrier.skin))
        name = stub_id(site, carrier.mount.name)
        stub = straight(Frame(), name, _word(site), 3, site.choice.frame, made.at, made.top)
        joints += [
            Joint(f"{name}.foot", "plane weld", AtEnd(name, "A"), made.face, "a", fixing="fillet all round"),
            Joint(f"{name}.top", "coped weld", AtEnd(name, "B"), along(over(site, carrier), point, site.down), "a",
                  fixing="fillet all round"),
            *made.group.joints,
        ]  # fmt: skip
        first, *rest = made.group.members
        members += [first, stub, *rest]
        findings += made.group.findings
        keys |= {**made.group.keys, name: (f"mounts.{carrier.mount.name}",)}
    return Group(tuple(members), tuple(joints), keys, tuple(findings))


def over(site: Site, carrier: Carrier) -> Placed:
    """Return the tube over a foot."""
    if carrier.kind == "bar":
        return site.member(f"frame.bar[{carrier.bar + 1}]")
    if carrier.kind == "back" and site.plan.front_end == "mitred":
        return site.member("frame.front")
    return site.leg_at(carrier.y, carrier.x)
