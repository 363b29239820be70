"""Where parts of a frame are held: how far a tube or bar goes unheld, and how near to a weld a place is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.rack import Joint, PartId, Rack
from rackgen.strength.model import FrameModel, Member

WELDS = ("coped weld", "plane weld", "mitre weld", "butt with sleeve", "fillet", "plug weld")
"""Kinds of joint whose heat is in the metal."""

HELD_BOTH = 1.2
"""Effective length of what is welded at both ends and may sway, in lengths: AISC 360 table C-A-7.1 (from memory)."""

HELD_ONCE = 2.1
"""The same of a free end."""


@dataclass(frozen=True)
class Weld:
    """A weld on a part: place along it, mm, half of what is welded on there, mm, and that part."""

    at: float
    half: float
    other: PartId


@dataclass(frozen=True)
class Held:
    """How a frame's parts are held.

    Attributes:
        reach: effective length of each member, by member id, mm.
        welds: on each part, in order along it.
    """

    reach: dict[str, float]
    welds: dict[PartId, tuple[Weld, ...]]


def held(model: FrameModel, rack: Rack) -> Held:
    """Return how the tubes, bars and plates of a frame are held.

    A part is held wherever another part, a rigid arm, a clamp or the vehicle comes to one of its nodes; between two
    such places it goes unheld.
    """
    joints = {j.id: j for j in rack.joints}
    stations: dict[PartId, dict[str, float]] = defaultdict(dict)
    at_node: dict[str, list[Member]] = defaultdict(list)
    for m in model.members:
        at_node[m.a].append(m)
        at_node[m.b].append(m)
        if m.kind in ("tube", "bar"):
            stations[m.part].setdefault(m.a, m.from_a)
            stations[m.part].setdefault(m.b, m.from_b)
    supported = {s.node for s in model.supports}
    places: dict[PartId, list[float]] = {}
    welds: dict[PartId, list[Weld]] = defaultdict(list)
    for part, nodes in stations.items():
        found: list[float] = []
        for node, s in nodes.items():
            others = [m for m in at_node[node] if m.kind in ("link", "clamp") or m.part != part]
            if others or node in supported:
                found.append(s)
            for m in others:
                other = _welded_to(m, part, joints)
                if other is not None:
                    welds[part].append(Weld(s, _half(rack, other), other))
        places[part] = sorted(found)
    reach = {m.id: _reach(m, places.get(m.part, []), model) for m in model.members if m.kind not in ("link", "clamp")}
    return Held(reach, {p: tuple(sorted(set(w), key=lambda x: (x.at, x.other))) for p, w in welds.items()})


def _welded_to(m: Member, part: PartId, joints: dict[str, Joint]) -> PartId | None:
    """Return what a part is welded to by a member that comes to its node; None where that is no weld."""
    if m.kind in ("tube", "bar", "plate"):
        return m.part
    joint = joints.get(m.joint.split("|")[0])
    if joint is None or joint.kind not in WELDS:
        return None
    ends = (joint.a.part, joint.b.part)
    return ends[1] if ends[0] == part else ends[0]


def _half(rack: Rack, other: PartId) -> float:
    try:
        part = rack.part(other).part
    except KeyError:
        return 0.0
    if isinstance(part, BentTube):
        return part.section.od / 2
    return part.section.width / 2 if isinstance(part, FoldedBar) else 0.0


def _reach(m: Member, places: list[float], model: FrameModel) -> float:
    low, high = min(m.from_a, m.from_b), max(m.from_a, m.from_b)
    before = [s for s in places if s <= low + 1e-6]
    behind = [s for s in places if s >= high - 1e-6]
    if before and behind:
        return HELD_BOTH * (behind[0] - before[-1])
    whole = [x for other in model.members if other.part == m.part for x in (other.from_a, other.from_b)]
    return HELD_ONCE * ((behind[0] if behind else max(whole)) - (before[-1] if before else min(whole)))
