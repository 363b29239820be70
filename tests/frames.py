"""Small frames for tests: chains of members through points, what holds them, and moments as a book writes them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from rackgen.strength.model import (
    Action,
    Elastic,
    FrameModel,
    LineLoad,
    Member,
    Node,
    NodeLoad,
    Properties,
    Support,
    axes,
)
from rackgen.strength.solve import Answer

INF = math.inf
FIXED = (INF,) * 6
BALL = (INF, INF, INF, 0.0, 0.0, 0.0)

STIFF = 1e7
"""An area, mm², so large that nothing stretches, as the books' frames do not."""

Vec = tuple[float, float, float]


def chain(
    points: Sequence[Vec], properties: Properties, elastic: Elastic, up: Vec = (0.0, 0.0, 1.0), name: str = "m"
) -> FrameModel:
    """Members m0, m1, ... through points, nodes 0, 1, ...; held nowhere."""
    nodes = tuple(Node(str(n), p) for n, p in enumerate(points))
    members = tuple(
        Member(f"{name}{n}", a.id, b.id, "tube", properties, elastic, up, part=f"part {name}{n}")
        for n, (a, b) in enumerate(pairwise(nodes))
    )
    return FrameModel(nodes, members, ())


def with_(
    model: FrameModel,
    supports: dict[str, Sequence[float]],
    *actions: Sequence[NodeLoad | LineLoad],
) -> FrameModel:
    """Return the frame held and loaded: supports by node, actions a0, a1, ..."""
    return FrameModel(
        model.nodes,
        model.members,
        tuple(Support(node, tuple(k)) for node, k in supports.items()),
        actions=tuple(
            Action(
                f"a{n}",
                "",
                tuple(load for load in loads if isinstance(load, NodeLoad)),
                tuple(load for load in loads if isinstance(load, LineLoad)),
            )
            for n, loads in enumerate(actions)
        ),
    )


def everywhere(model: FrameModel, force: Vec) -> list[LineLoad]:
    return [LineLoad(m.id, force) for m in model.members]


def straight(length: float, *stations: float) -> list[Vec]:
    """Points along X at 0, the stations, and the length."""
    return [(x, 0.0, 0.0) for x in (0.0, *stations, length)]


def moved(answer: Answer, node: str, action: int = 0) -> np.ndarray:
    return answer.moved[[n.id for n in answer.model.nodes].index(node), :, action]


def end(answer: Answer, member: str, which: int, action: int = 0) -> np.ndarray:
    """Forces of the node on the member at one end, turned into vehicle axes: (force, moment)."""
    n = [m.id for m in answer.model.members].index(member)
    one = answer.model.members[n]
    at = {node.id: node.at for node in answer.model.nodes}
    turn = axes(at[one.a], at[one.b], one.up)
    forces = answer.ends[n, which, :, action]
    return np.concatenate([turn.T @ forces[:3], turn.T @ forces[3:]])


def sagging(answer: Answer, member: str, which: int, action: int = 0) -> float:
    """Bending about Y as the books have it: pull on the side of -Z in a beam that runs along +X, and on the inner side
    of a portal that is followed from the left foot over the beam. A moment of the node on the begin of a piece about +Y
    pulls on that side; at its end it is the other way round."""
    return float(end(answer, member, which, action)[4]) * (1.0 if which == 0 else -1.0)


def arc(radius: float, angle: float, count: int) -> list[Vec]:
    """Points of an arc in the XY plane about the origin, from +X on."""
    return [(radius * math.cos(a), radius * math.sin(a), 0.0) for a in np.linspace(0.0, math.radians(angle), count + 1)]
