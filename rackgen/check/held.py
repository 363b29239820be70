"""Whether every part is joined, directly or through others, to the rest of the rack."""

from __future__ import annotations

from rackgen.errors import Finding, Level
from rackgen.parts.rack import PartId, Rack


def held_findings(rack: Rack) -> list[Finding]:
    """Return a stop for every group of parts that no joint ties to the largest group, nor two mounts to the vehicle."""
    groups = tied(rack)
    out: list[Finding] = []
    for loose in groups[1:]:
        # One bow of several stands on its own two feet.
        if len({part.split(".")[1] for part in loose if part.startswith("mount.")}) >= 2:
            continue
        first = rack.part(loose[0])
        more = f" and {len(loose) - 1} more parts" if len(loose) > 1 else ""
        out.append(
            Finding(
                "not-held",
                Level.STOP,
                loose,
                f"{first.word} {first.id}{more}: nothing joins them to the rest of the rack",
                at=first.frame.origin,
                source="what is joined to nothing falls off",
                help="add what should carry them: uprights under an upper ring, clamp pads under a basket",
            )
        )
    return out


def tied(rack: Rack) -> list[tuple[PartId, ...]]:
    """Return the parts in groups that joints tie together, the largest first, parts in the rack's order."""
    leader = {p.id: p.id for p in rack.placed}

    def lead(part: PartId) -> PartId:
        while leader[part] != part:
            part = leader[part]
        return part

    for joint in rack.joints:
        leader[lead(joint.a.part)] = lead(joint.b.part)
    groups: dict[PartId, list[PartId]] = {}
    for placed in rack.placed:
        groups.setdefault(lead(placed.id), []).append(placed.id)
    return sorted((tuple(g) for g in groups.values()), key=lambda g: (-len(g), g))
