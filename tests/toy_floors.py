"""Small frames with a floor for tests of loads, and what a set of loads comes to."""

import numpy as np

from rackgen.geom.frame import Array
from rackgen.strength.model import Action, Deck, Elastic, FrameModel, Lump, Member, Node, Places, Properties, Support

STEEL = Elastic(200000.0, 77000.0)
TUBE = Properties(254.0, 30900.0, 30900.0, 61900.0)
"""33.7 x 2.6, EN 10219-2."""
PER_MM = 1.99e-3

Point = tuple[float, float, float]


def member(id: str, a: str, b: str, part: str = "") -> Member:
    return Member(id, a, b, "tube", TUBE, STEEL, (0.0, 0.0, 1.0), part or id, 0.0, 100.0, mass_per_mm=PER_MM)


def two_rows(apart: float = 1200.0, across: float = 1000.0) -> FrameModel:
    """Two tubes across, each on two feet, `apart` fore and aft; the floor's top is at their axes."""
    nodes = [Node(f"{end}.{side}", (x, y, 0.0)) for end, x in (("front", 0.0), ("rear", apart))
             for side, y in (("left", -across / 2), ("right", across / 2))]  # fmt: skip
    rows = tuple(member(end, f"{end}.left", f"{end}.right") for end in ("front", "rear"))
    rigid = (float("inf"),) * 3 + (0.0,) * 3
    return FrameModel(
        tuple(nodes), rows, tuple(Support(n.id, rigid) for n in nodes),
        places=Places(tuple(Deck(m.id, 600.0) for m in rows)),
    )  # fmt: skip


def basket(
    rows: tuple[float, ...] = (-500.0, -200.0, 120.0, 500.0),
    widths: tuple[float, ...] = (150.0, 310.0, 350.0, 190.0),
    half: float = 450.0,
    skew: float = 0.0,
    top: float = 20.0,
) -> FrameModel:
    """Rows under a floor, an upper ring on posts at its corners, and two cross bars, not in the floor's middle."""
    nodes: list[Node] = []
    members: list[Member] = []
    for k, x in enumerate(rows):
        nodes += [Node(f"l{k}", (x - skew, -half, 0.0)), Node(f"r{k}", (x + skew, half + 30.0, 5.0))]
        members.append(member(f"row#{k}", f"l{k}", f"r{k}"))
    last = len(rows) - 1
    for side, k in (("l", 0), ("r", 0), ("r", last), ("l", last)):
        foot = next(n for n in nodes if n.id == f"{side}{k}")
        nodes.append(Node(f"u{side}{k}", (foot.at[0], foot.at[1], 180.0)))
        members.append(member(f"post.{side}{k}", f"{side}{k}", f"u{side}{k}"))
    ring = ["ul0", "ur0", f"ur{last}", f"ul{last}"]
    members += [member(f"ring#{k}", ring[k], ring[(k + 1) % 4], "ring") for k in range(4)]
    for k, x in enumerate((-330.0, 410.0)):
        nodes += [Node(f"bl{k}", (x, -500.0, -40.0)), Node(f"br{k}", (x, 500.0, -40.0))]
        members.append(member(f"bar{k}", f"bl{k}", f"br{k}"))
    floor = tuple(Deck(f"row#{k}", w) for k, w in enumerate(widths))
    bars = (Deck("bar0", 0.0), Deck("bar1", 0.0))
    ties = tuple((node, node) for node in ring)
    return FrameModel(tuple(nodes), tuple(members), (), (Lump("ul0", 0.7),), Places(floor, bars, ties, top))


def total(model: FrameModel, action: Action, about: Point = (0.0, 0.0, 0.0)) -> tuple[Array, Array]:
    """Return the sum of an action's forces, and of its moments about a point."""
    at = {n.id: np.array(n.at) for n in model.nodes}
    members = {m.id: m for m in model.members}
    force, moment = np.zeros(3), np.zeros(3)
    for load in action.nodes:
        force += load.force
        moment += np.cross(at[load.node] - about, load.force) + load.moment
    for line in action.lines:
        a, b = at[members[line.member].a], at[members[line.member].b]
        whole = np.array(line.force) * np.linalg.norm(b - a)
        force += whole
        moment += np.cross((a + b) / 2 - about, whole)
    return force, moment


def named(actions: tuple[Action, ...], id: str) -> Action:
    return next(a for a in actions if a.id == id)
