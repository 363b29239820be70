"""Small frames of a few members with their parts, for tests of what members bear."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Array, Frame, Vec
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BarHole, BentTube, CutPlate, FoldedBar, TubeHole
from rackgen.parts.rack import Along, AtEnd, Joint, Placed, Rack
from rackgen.spec.shop import Saw, Shop, Table
from rackgen.spec.stock import Flat, Round, Section, Sheet, Stock
from rackgen.strength.limits import Loaded
from rackgen.strength.model import Elastic, FrameModel, Member, MemberKind, Node, Properties

STEEL = Elastic(200_000.0, 77_200.0)


def stock(name: str, section: Section, grade: str, material: str = "steel") -> Stock:
    """A line of the shelf."""
    return Stock(name, section, material, grade, "bare", 6000.0)


def shop(*stocks: Stock) -> Shop:
    """A shop with no more than a shelf."""
    return Shop("shed", "mm", stocks, (), Saw(3.0, 10.0), Table(1.5, 8.0, False), (), (), 0.5, 0.5, 10.0, 1.5, 3.0)


def member(
    name: str,
    a: str,
    b: str,
    part: str,
    kind: MemberKind = "tube",
    *,
    span: tuple[float, float],
    bend: float = 0.0,
    up: Vec = (0.0, 0.0, 1.0),
    joint: str = "",
    properties: Properties | None = None,
) -> Member:
    """A member of a part."""
    own = properties or Properties(1.0, 1.0, 1.0, 1.0)
    return Member(name, a, b, kind, own, STEEL, up, part, *span, bend, joint=joint)


def straight_tube(
    od: float, wall: float, grade: str, length: float, material: str = "steel", holes: tuple[TubeHole, ...] = ()
) -> tuple[FrameModel, Rack, Shop]:
    """One tube along X as two members, held by nothing but its own ends."""
    line = stock("tube", Round(od, wall), grade, material)
    half = length / 2
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("m", (half, 0.0, 0.0)), Node("b", (length, 0.0, 0.0)))
    members = (member("t#0", "a", "m", "t", span=(0.0, half)), member("t#1", "m", "b", "t", span=(half, length)))
    part = BentTube(line, Spine((length,)), holes=holes)
    return FrameModel(nodes, members, ()), Rack((Placed("t", part, Frame(), "cross bar", 1),), ()), shop(line)


def bent_tube(od: float, wall: float, clr: float, grade: str) -> tuple[FrameModel, Rack, Shop]:
    """A quarter bend as one chord."""
    line = stock("tube", Round(od, wall), grade)
    arc = clr * math.pi / 2
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("b", (clr, 0.0, clr)))
    members = (member("t#0", "a", "b", "t", span=(0.0, arc), bend=clr, up=(0.0, 1.0, 0.0)),)
    part = BentTube(line, Spine((0.0, 0.0), (Bend(90.0, clr),)))
    return FrameModel(nodes, members, ()), Rack((Placed("t", part, Frame(), "hoop", 1),), ()), shop(line)


def bar(
    width: float, thickness: float, grade: str, fold: float = 0.0, holes: tuple[BarHole, ...] = ()
) -> tuple[FrameModel, Rack, Shop]:
    """A bar of two flats of 100 mm, with a quarter fold of that inside radius between them if there is one."""
    line = stock("bar", Flat(width, thickness), grade)
    radius = fold + thickness / 2
    arc = radius * math.pi / 2 if fold else 0.0
    folds = (Fold(90.0, fold),) if fold else ()
    part = FoldedBar(line, (100.0, 100.0) if fold else (200.0,), folds, holes=holes)
    ends = [0.0, 100.0, 100.0 + arc, 200.0 + arc] if fold else [0.0, 100.0, 200.0]
    nodes = tuple(Node(f"n{i}", (s, 0.0, 0.0)) for i, s in enumerate(ends))
    bends = (0.0, radius, 0.0) if fold else (0.0, 0.0)
    members = tuple(
        member(f"s#{i}", f"n{i}", f"n{i + 1}", "s", "bar", span=(ends[i], ends[i + 1]), bend=bend)
        for i, bend in enumerate(bends)
    )
    return FrameModel(nodes, members, ()), Rack((Placed("s", part, Frame(), "strap", 1),), ()), shop(line)


def plate_strip(width: float, thickness: float, length: float, grade: str) -> tuple[FrameModel, Rack, Shop]:
    """One strip of a plate."""
    line = stock("plate", Sheet(thickness, 1250.0, 2500.0), grade)
    part = CutPlate(line, rectangle(100.0, 100.0))
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("b", (length, 0.0, 0.0)))
    own = Properties(width * thickness, width * thickness**3 / 12, thickness * width**3 / 12, 1.0)
    members = (member("p#1", "a", "b", "p", "plate", span=(0.0, length), properties=own),)
    return FrameModel(nodes, members, ()), Rack((Placed("p", part, Frame(), "mount plate", 2),), ()), shop(line)


def tee(
    header: tuple[float, float],
    branch: tuple[float, float],
    grade: str,
    angle: float = 90.0,
    offset: float = 0.0,
    material: str = "steel",
) -> tuple[FrameModel, Rack, Shop]:
    """A branch on the middle of a header that lies along X; the branch goes up, in the XZ plane, from it."""
    one, other = (stock(n, Round(*s), grade, material) for n, s in (("header", header), ("branch", branch)))
    a = math.radians(angle)
    top = (500.0 + 300.0 * math.cos(a), 0.0, 300.0 * math.sin(a))
    nodes = (
        Node("h0", (0.0, 0.0, 0.0)),
        Node("h1", (500.0, 0.0, 0.0)),
        Node("h2", (1000.0, 0.0, 0.0)),
        Node("b1", top),
    )
    up = (1.0, 0.0, 0.0) if angle == 90.0 else (0.0, 0.0, 1.0)
    members = (
        member("h#0", "h0", "h1", "h", span=(0.0, 500.0)),
        member("h#1", "h1", "h2", "h", span=(500.0, 1000.0)),
        member("b#0", "h1", "b1", "b", span=(0.0, 300.0), up=up),
    )
    cut = Cope(header[0], header[0] / 2, angle, offset, 0.0)
    stands = Frame.of((500.0, 0.0, 0.0), np.subtract(top, (500.0, 0.0, 0.0)), up)
    placed = (
        Placed("h", BentTube(one, Spine((1000.0,))), Frame(), "hoop", 1),
        Placed("b", BentTube(other, Spine((300.0,)), (cut,)), stands, "upright", 2),
    )
    joint = Joint("weld", "coped weld", AtEnd("b", "A"), Along("h", 500.0), "a")
    return FrameModel(nodes, members, ()), Rack(placed, (joint,)), shop(one, other)


def loaded(model: FrameModel, given: dict[str, tuple[Sequence[float], Sequence[float]]]) -> Loaded:
    """One case: forces of the nodes on the begin and the end of members, by member id."""
    ends = np.zeros((len(model.members), 2, 6, 1))
    for i, m in enumerate(model.members):
        for k, force in enumerate(given.get(m.id, ())):
            ends[i, k, :, 0] = force
    return Loaded(0.0, ends, np.zeros((len(model.supports), 6, 1)), np.zeros((len(model.nodes), 6, 1)))


def even(cut: Sequence[float]) -> tuple[Array, Array]:
    """Forces on begin and end of a member without load between: every cut bears (N, 0, 0, T, My, Mz)."""
    force = np.asarray(cut, dtype=float)
    return -force, force
