"""What goes through a joint of a frame: the force and moment of the one part on the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.rack import AtEnd, Joint, PartId
from rackgen.strength.limits import Loaded
from rackgen.strength.model import FrameModel, Member, axes


@dataclass(frozen=True, eq=False)
class Crossing:
    """One end of one member through which a joint's force goes.

    Attributes:
        member: its number in the model.
        end: 0 or 1.
        sign: 1 where the node is on the one part, -1 where it is on the other.
        axes: the member's axes as rows, vehicle frame.
        at: the node, vehicle frame, mm.
    """

    member: int
    end: int
    sign: float
    axes: Array
    at: Array


def crossings(model: FrameModel, joints: Sequence[Joint]) -> dict[str, tuple[Crossing, ...]]:
    """Return the member ends that carry each joint, by joint id; joints that the model does not have are left out.

    A joint is carried by its rigid arms. Where parts share a node instead, it is carried by the end of the part that
    lands there.
    """
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    nodes: dict[PartId, set[str]] = defaultdict(set)
    of_part: dict[PartId, list[int]] = defaultdict(list)
    arms: dict[str, list[int]] = defaultdict(list)
    for i, m in enumerate(model.members):
        if m.kind == "link":
            arms[m.joint.split("|")[0]].append(i)
        elif m.kind in ("tube", "bar"):
            nodes[m.part] |= {m.a, m.b}
            of_part[m.part].append(i)

    def crossing(i: int, end: int, sign: float) -> Crossing:
        m = model.members[i]
        return Crossing(i, end, sign, axes(vec_of(m, 0), vec_of(m, 1), m.up), at[m.b if end else m.a])

    def vec_of(m: Member, end: int) -> tuple[float, float, float]:
        x, y, z = at[m.b if end else m.a]
        return float(x), float(y), float(z)

    out: dict[str, tuple[Crossing, ...]] = {}
    for joint in joints:
        found: list[Crossing] = []
        for i in arms.get(joint.id, ()):
            m = model.members[i]
            # An arm inside a plate has neither of its ends on a line.
            for part, sign in ((joint.a.part, 1.0), (joint.b.part, -1.0)):
                if m.a in nodes[part] or m.b in nodes[part]:
                    found.append(crossing(i, 0 if m.a in nodes[part] else 1, sign))
                    break
        if not found:
            found = [crossing(i, end, 1.0) for i, end in _landing(model, joint, of_part)]
        if found:
            out[joint.id] = tuple(found)
    return out


def _landing(model: FrameModel, joint: Joint, of_part: dict[PartId, list[int]]) -> list[tuple[int, int]]:
    """Return the last member of the tube that ends at a joint, where its end is a node of the other part too."""
    landing = joint.a if isinstance(joint.a, AtEnd) else joint.b
    other = joint.b if landing is joint.a else joint.a
    if not isinstance(landing, AtEnd) or not of_part.get(landing.part):
        return []
    own = of_part[landing.part]
    if landing.end == "A":
        last, end = min(own, key=lambda i: model.members[i].from_a), 0
    else:
        last, end = max(own, key=lambda i: model.members[i].from_b), 1
    node = model.members[last].b if end else model.members[last].a
    shared = any(node in (model.members[i].a, model.members[i].b) for i in of_part.get(other.part, ()))
    return [(last, end)] if shared else []


def cross_matrix(arm: Array) -> Array:
    """Return the matrix that turns a force into its moment by an arm, (3, 3): arm x force."""
    x, y, z = (float(v) for v in arm)
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def carried(loaded: Loaded, through: Sequence[Crossing], about: Array) -> tuple[Array, Array]:
    """Return force, N, and moment about a point, N·mm, that go through a joint; vehicle axes, shapes (3, cases)."""
    force = np.zeros((3, loaded.ends.shape[3]))
    moment = np.zeros_like(force)
    for c in through:
        end = c.sign * loaded.ends[c.member, c.end]
        pull = c.axes.T @ end[:3]
        force += pull
        moment += c.axes.T @ end[3:] + np.cross(c.at - about, pull, axisb=0, axisc=0)
    return force, moment
