"""How rails end: push-in caps, or a tube across with mitred corners."""

from __future__ import annotations

from collections.abc import Sequence

from rackgen.design.seat import Carrier
from rackgen.design.site import Site, hole_toward, straight, with_holes
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import Bought, CapShape, TubeHole
from rackgen.parts.place import nearest_along
from rackgen.parts.rack import AtEnd, Group, Joint, OnFace, PartId, Placed
from rackgen.spec.stock import Round

DRAIN_FROM_END = 17.0
CAP_HEAD = 5.0
CAP_DEPTH = 12.0
CAP_DENSITY = 950.0
"""Place of a leg's drain; a push-in polyethylene cap (sizes and density: common practice, no source)."""


def rail_cap(site: Site, name: PartId, away: Frame, tube: Placed) -> tuple[Placed, Joint]:
    """Return a cap in an open end of a tube of the frame, and its fit.

    Args:
        site: the site.
        name: of the cap.
        away: origin in the middle of the end, Z out of the tube, vehicle frame.
        tube: that it closes.
    """
    section = site.choice.frame.section
    assert isinstance(section, Round)
    item = Bought(
        f"push-in cap for {site.choice.frame.name}",
        CapShape(section.od, CAP_HEAD, section.inner, CAP_DEPTH),
        CAP_DENSITY,
    )
    placed = Placed(name, item, away, "cap", 0)
    letter = "A" if nearest_along(tube, away.origin) < 1.0 else "B"
    face = OnFace(placed.id, "bottom", 0.0, 0.0)
    return placed, Joint(f"{placed.id}.fit", "contact", face, AtEnd(tube.id, letter), fixing="push fit")


def saddle_vents(site: Site, tube: Placed, carriers: Sequence[Carrier]) -> list[TubeHole]:
    """Return vents in a tube inside the copes of the saddles under it."""
    points = [site.plan.frame.point((c.x, c.y, 0.0)) for c in carriers]
    return [hole_toward(tube, nearest_along(tube, p), site.down, "vent") for p in points]


def end_tubes(site: Site, rails: Sequence[Placed], lasts: Sequence[Placed]) -> Group:
    """Return what closes the rails: tubes across with mitred corners, front caps. Rear caps are made with their tails.

    Args:
        site: the site.
        rails: left and right, or the one hoop.
        lasts: what ends at the rear, left and right.
    """
    plan = site.plan
    members: list[Placed] = []
    joints: list[Joint] = []
    if plan.front_end == "open":
        for side, end, rail in zip(("left", "right"), plan.ends, rails, strict=True):
            x = plan.frame.x
            away = Frame.of(plan.frame.point((0.0, end.y, 0.0)), plan.frame.z, (-x[0], -x[1], -x[2]))
            cap, fit = rail_cap(site, f"frame.cap.{side}.front", away, rail)
            members.append(cap)
            joints.append(fit)
    if plan.front_end == "mitred":
        group = _across(site, "front", 0.0, rails)
        members += group.members
        joints += group.joints
    if plan.rear_end == "mitred":
        group = _across(site, "rear", plan.ends[0].reach, lasts)
        members += group.members
        joints += group.joints
    return Group(tuple(members), tuple(joints))


def _across(site: Site, end: str, x: float, rails: Sequence[Placed]) -> Group:
    """Return a tube from corner to corner, and its mitres with the ends of the rails there."""
    plan, name = site.plan, f"frame.{end}"
    y = plan.leg_y
    tube = straight(plan.frame, name, f"{end} tube", 1, site.choice.frame, (x, -y, 0.0), (x, y, 0.0))
    under = [c for c in plan.carriers if c.kind == "back" and end == "front"]
    tube = with_holes(tube, [hole_toward(tube, y, site.down, "drain"), *saddle_vents(site, tube, under)])
    joints: list[Joint] = []
    for side, letter, sign, rail in (("left", "A", -1.0, rails[0]), ("right", "B", 1.0, rails[-1])):
        corner = plan.frame.point((x, sign * y, 0.0))
        at = "A" if nearest_along(rail, corner) < 1.0 else "B"
        joints.append(
            Joint(f"{name}.{side}", "mitre weld", AtEnd(name, "A" if letter == "A" else "B"), AtEnd(rail.id, at),
                  fixing="both tubes cut to half the corner; butt weld all round")
        )  # fmt: skip
    return Group((tube,), tuple(joints))
