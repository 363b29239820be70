"""A rack as beams between nodes, and what may act on it. Vehicle frame; mm, N, N·mm, MPa, kg.

Member axes: x from node a to node b, z as near `up` as x allows, y = z × x. `iy` resists bending in the xz plane,
`iz` in the xy plane. End forces are those of the node on the member, in member axes, as (Nx, Vy, Vz, T, My, Mz).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from rackgen.geom.frame import Array, Vec, unit
from rackgen.parts.rack import PartId

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s² (ISO 80000-3)."""

Freedom = Literal["dx", "dy", "dz", "rx", "ry", "rz"]
FREEDOMS: tuple[Freedom, ...] = ("dx", "dy", "dz", "rx", "ry", "rz")


@dataclass(frozen=True)
class Node:
    """A point of the frame.

    Attributes:
        id: unique.
        at: vehicle frame, mm.
    """

    id: str
    at: Vec


@dataclass(frozen=True)
class Properties:
    """A cross section.

    Attributes:
        area: mm².
        iy: second moment about the member's y, mm⁴.
        iz: about its z, mm⁴.
        j: torsion constant, mm⁴.
    """

    area: float
    iy: float
    iz: float
    j: float


@dataclass(frozen=True)
class Elastic:
    """Stiffness of a material: Young's modulus and shear modulus, MPa."""

    e: float
    g: float


MemberKind = Literal["tube", "bar", "plate", "link", "clamp"]
"""Steel that is checked as what it is; `link`, a rigid arm between two centrelines; `clamp`, a U-bolt on its pad."""


@dataclass(frozen=True)
class Member:
    """A straight piece between two nodes.

    Attributes:
        id: unique: "basket.lower.front#7".
        a: node id of its begin.
        b: of its end.
        kind: what it stands for.
        properties: its cross section.
        elastic: its material.
        up: gives the member's z, see the module.
        part: the part it is a piece of; for a link or clamp the part that is fixed.
        from_a: where its begin lies along that part's developed length, mm; 0 for links and clamps.
        from_b: the same of its end.
        bend: CLR of the bend it is a chord of, mm; 0 on a straight.
        free_a: what its begin does not hold, in member axes.
        free_b: what its end does not hold.
        joint: id of the joint that a link or clamp stands for, "" for steel.
        mass_per_mm: kg/mm of what the shop makes; 0 for links and clamps.
    """

    id: str
    a: str
    b: str
    kind: MemberKind
    properties: Properties
    elastic: Elastic
    up: Vec
    part: PartId = ""
    from_a: float = 0.0
    from_b: float = 0.0
    bend: float = 0.0
    free_a: tuple[Freedom, ...] = ()
    free_b: tuple[Freedom, ...] = ()
    joint: str = ""
    mass_per_mm: float = 0.0


@dataclass(frozen=True)
class Support:
    """A node held by the vehicle.

    Attributes:
        node: node id.
        stiffness: along and about X, Y, Z of `axes`: N/mm, N·mm/rad; `inf` is rigid, 0 free.
        x: X of the support's axes, vehicle frame.
        z: Z of them: out of the vehicle's skin.
        mount: name of the mount it belongs to.
        part: the fastener, or the part that is held.
    """

    node: str
    stiffness: tuple[float, float, float, float, float, float]
    x: Vec = (1.0, 0.0, 0.0)
    z: Vec = (0.0, 0.0, 1.0)
    mount: str = ""
    part: PartId = ""


@dataclass(frozen=True)
class Lump:
    """Mass of something without stiffness of its own (mesh, side plates, bought parts) at a node, kg."""

    node: str
    mass: float


@dataclass(frozen=True)
class Deck:
    """A member that carries load.

    Attributes:
        member: member id.
        width: of the floor that bears on it, mm: a line load is the pressure times this.
    """

    member: str
    width: float


@dataclass(frozen=True)
class Places:
    """Where load comes onto the frame.

    Attributes:
        floor: members under the floor.
        bars: members of the cross bars, for a long item lashed on them; width is 0.
        ties: nodes of the ring that a strap may pull on, by name.
        top: height of the floor's upper face, vehicle frame, mm.
        hung: nodes that a ladder is clamped to, each with how hard the clamp is pulled aft for 1 N that hangs on it.
    """

    floor: tuple[Deck, ...] = ()
    bars: tuple[Deck, ...] = ()
    ties: tuple[tuple[str, str], ...] = ()
    top: float = 0.0
    hung: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class NodeLoad:
    """A force, N, and a moment, N·mm, on a node; vehicle axes."""

    node: str
    force: Vec
    moment: Vec = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class LineLoad:
    """A force along the whole of a member, N/mm; vehicle axes."""

    member: str
    force: Vec


@dataclass(frozen=True)
class Action:
    """Loads that come together, at a unit size that its words say ("1 kg of load standing still")."""

    id: str
    text: str
    nodes: tuple[NodeLoad, ...] = ()
    lines: tuple[LineLoad, ...] = ()


@dataclass(frozen=True)
class Case:
    """What acts at one time: `always` as it is, `per_kg` times the payload in kg.

    Attributes:
        id: short, unique.
        title: in words.
        always: action id and factor.
        per_kg: action id and factor, for each kg of payload.
        state: rated as moving or as parked load; "event" cases carry no payload.
        source: where its figures are from.
        assumed: which of its figures are assumptions, in words; "" for none.
    """

    id: str
    title: str
    always: tuple[tuple[str, float], ...]
    per_kg: tuple[tuple[str, float], ...]
    state: Literal["moving", "parked", "event"]
    source: str
    assumed: str = ""


@dataclass(frozen=True)
class FrameModel:
    """Beams, what holds them, and what acts on them."""

    nodes: tuple[Node, ...]
    members: tuple[Member, ...]
    supports: tuple[Support, ...]
    lumps: tuple[Lump, ...] = ()
    places: Places = field(default_factory=Places)
    actions: tuple[Action, ...] = ()
    cases: tuple[Case, ...] = ()


def axes(a: Vec, b: Vec, up: Vec) -> Array:
    """Return a member's axes as rows x, y, z, vehicle frame.

    Raises:
        GeometryError: the member has no length, or `up` lies along it.
    """
    x = unit(np.subtract(b, a))
    y = unit(np.cross(up, x))
    return np.array([x, y, np.cross(x, y)])
