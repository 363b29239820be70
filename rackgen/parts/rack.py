"""What a rack is made of: parts with their places, and the joints between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from rackgen.errors import Finding
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import Part

PartId = str
"""A role path given by the builder: "frame.hoop", "mount.front.left.plate", "basket.lower.bearer[2]". Repeated roles
are numbered by place, front to rear, then left to right, from 1."""

JointKind = Literal[
    "coped weld",
    "plane weld",
    "mitre weld",
    "butt with sleeve",
    "fillet",
    "plug weld",
    "rivets",
    "bolts",
    "U-bolt",
    "contact",
]


@dataclass(frozen=True)
class AtEnd:
    """The end A or B of a tube."""

    part: PartId
    end: Literal["A", "B"]


@dataclass(frozen=True)
class Along:
    """A place along a tube: from its sawn end A, mm, and clock in degrees."""

    part: PartId
    at: float
    clock: float = 0.0


@dataclass(frozen=True)
class OnFace:
    """A place on a plate's or bar's face: "top" is +Z, "bottom" -Z, "edge" round about; part coordinates, mm."""

    part: PartId
    face: Literal["top", "bottom", "edge"]
    x: float
    y: float


Anchor = AtEnd | Along | OnFace


@dataclass(frozen=True)
class Joint:
    """Two parts that meet.

    Attributes:
        id: role path, unique.
        kind: how they are joined.
        a: place on the one part.
        b: place on the other.
        yields: which of them is cut to the other, or None. At a mitre weld both ends are cut, to half the corner.
        rank: of several cuts at one end, in this order.
        where: on the bench or at the vehicle; nothing is welded at the vehicle.
        fixing: in words: fastener and count, weld, slip fit.
    """

    id: str
    kind: JointKind
    a: Anchor
    b: Anchor
    yields: Literal["a", "b"] | None = None
    rank: int = 0
    where: Literal["bench", "vehicle"] = "bench"
    fixing: str = ""


@dataclass(frozen=True)
class Placed:
    """A part and where it stands.

    Attributes:
        id: role path, unique in the rack.
        part: its description.
        frame: its own frame in the vehicle frame.
        word: what the shop calls it: "cross bar".
        stage: when it is cut: 1 hoops, 2 after measuring rings and frame, 3 after the dry fit, 0 bought.
    """

    id: PartId
    part: Part
    frame: Frame
    word: str
    stage: int


@dataclass(frozen=True)
class Group:
    """What a builder returns.

    Attributes:
        members: parts, tube ends not yet cut.
        joints: between its members and those of earlier groups.
        keys: part id to the preset keys that asked for it.
        findings: what could not be done as asked.
    """

    members: tuple[Placed, ...]
    joints: tuple[Joint, ...]
    keys: Mapping[PartId, tuple[str, ...]] = field(default_factory=dict[PartId, tuple[str, ...]])
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Layout:
    """The intent: groups in the order they were built, vehicle frame."""

    groups: tuple[Group, ...]

    def members(self) -> tuple[Placed, ...]:
        """Return every part of every group."""
        return tuple(m for g in self.groups for m in g.members)

    def joints(self) -> tuple[Joint, ...]:
        """Return every joint of every group."""
        return tuple(j for g in self.groups for j in g.joints)


@dataclass(frozen=True)
class Rack:
    """The result: canonical parts in place, ends cut, and the joints, with anchors in the canonical parts' terms."""

    placed: tuple[Placed, ...]
    joints: tuple[Joint, ...]

    def part(self, part_id: PartId) -> Placed:
        """Return one part by id.

        Raises:
            KeyError: there is no such part.
        """
        for placed in self.placed:
            if placed.id == part_id:
                return placed
        raise KeyError(part_id)
