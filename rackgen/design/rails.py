"""Mid rails: tubes half way up between neighbouring uprights, coped to both, where no plate fills the bay."""

from __future__ import annotations

import itertools

from rackgen.design.basket import upright_places
from rackgen.design.floor import plated
from rackgen.design.site import Site, straight, vented
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame, vec
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, Placed


def mid_rails(site: Site) -> Group:
    """Return rails between uprights; nothing where none are asked for, or a third ring is."""
    if site.spec.sides.mid_rail != "rails":
        return Group((), ())
    bays = plated(site.plan.side_uprights, site.spec.basket.side_plates)
    rows: dict[str, list[tuple[str, float, float]]] = {}
    for place in upright_places(site):
        rows.setdefault(place[0].partition("[")[0], []).append(place)
    members: list[Placed] = []
    joints: list[Joint] = []
    for side, row in rows.items():
        free = [
            (one, other)
            for one, other in itertools.pairwise(row)
            if side in ("front", "rear") or (one[1], other[1]) not in bays
        ]
        for i, pair in enumerate(free):
            rail, made = _rail(site, f"basket.rail.{side}[{i + 1}]", *pair)
            members.append(rail)
            joints += made
    keys = {m.id: ("sides.mid_rail",) for m in members}
    return Group(tuple(members), tuple(joints), keys, () if members else (_nowhere(),))


def _rail(
    site: Site, name: str, one: tuple[str, float, float], other: tuple[str, float, float]
) -> tuple[Placed, list[Joint]]:
    """Return the rail from one upright to the next, and its joints to both."""
    z, half = site.plan.rise / 2, site.choice.bar_od / 2
    ends = [site.basket.point((x, y, z)) for _, x, y in (one, other)]
    rail = straight(Frame(), name, "mid rail", 2, site.choice.bar, ends[0], ends[1])
    rail = vented(rail, site.down, [(p, half) for p in ends])
    joints: list[Joint] = []
    for (role, _, _), letter, here, there in ((one, "A", ends[0], ends[1]), (other, "B", ends[1], ends[0])):
        toward = vec([b - a for a, b in zip(here, there, strict=True)])
        upright = site.member(f"basket.upright.{role}")
        joints.append(
            Joint(f"{name}.{'one' if letter == 'A' else 'other'}", "coped weld",
                  AtEnd(name, "A" if letter == "A" else "B"), along(upright, here, toward), "a",
                  fixing="fillet all round")
        )  # fmt: skip
    return rail, joints


def _nowhere() -> Finding:
    return Finding(
        "no-bay-for-rail",
        Level.LOOK,
        (),
        "mid rails are asked for, and no two uprights stand beside each other without a plate between them",
        keys=("sides.mid_rail", "basket.side_uprights", "basket.side_plates"),
        help='place more uprights, set side_plates to 0, or ask for mid_rail = "ring"',
    )
