"""Shapes that hypothesis draws; a new kind of part or cut is added here first."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st
from numpy.typing import ArrayLike

from rackgen.geom.cope import Cope, Plane
from rackgen.geom.fold import Fold
from rackgen.geom.frame import vec
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BarEnd, BarHole, BentTube, CutPlate, FoldedBar, PlateHole, TubeHole
from rackgen.spec.stock import Flat, Round, Sheet, Stock
from rackgen.strength.model import (
    FREEDOMS,
    Action,
    Elastic,
    FrameModel,
    Freedom,
    LineLoad,
    Member,
    Node,
    NodeLoad,
    Properties,
    Support,
)


def reals(low: float, high: float) -> st.SearchStrategy[float]:
    """Finite numbers in a range."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


clocks = reals(0.0, 359.999)

tubes = st.sampled_from(
    [(26.9, 2.6), (33.7, 2.6), (33.7, 3.2), (42.4, 2.6), (48.3, 3.2), (31.75, 2.108), (44.45, 3.048)]
)


def tube_stock(size: tuple[float, float]) -> Stock:
    """A tube of a size, without a shop."""
    return Stock(f"{size[0]} x {size[1]}", Round(*size), "steel", "E235+CR1", "bare", 6000.0)


@st.composite
def spines(draw: st.DrawFn, most: int = 4) -> Spine:
    """Straights of 20 to 600 mm and up to `most` bends, in the part's own frame (the first bend without a turn)."""
    count = draw(st.integers(0, most))
    straights = tuple(draw(reals(20.0, 600.0)) for _ in range(count + 1))
    bends = tuple(
        Bend(draw(reals(5.0, 150.0)), draw(reals(60.0, 200.0)), 0.0 if i == 0 else draw(reals(-179.0, 180.0)))
        for i in range(count)
    )
    return Spine(straights, bends)


@st.composite
def copes(draw: st.DrawFn, od: float, *, deep: float = 20.0) -> Cope:
    """A cope that a tube of that diameter can have: header at least as wide, offset up to tangent, 30 to 90 degrees."""
    header = draw(st.sampled_from([h for h in (26.9, 33.7, 42.4, 48.3, 60.3) if h >= od]))
    most = (header - od) / 2
    offset = draw(st.sampled_from([0.0, most, -most]) | reals(-most, most))
    angle = draw(st.sampled_from([90.0, 60.0, 45.0, 30.0]) | reals(30.0, 90.0))
    return Cope(header, draw(reals(-deep, deep)), angle, offset, draw(clocks))


planes = st.builds(Plane, reals(0.0, 20.0), reals(0.0, 45.0), clocks)


@st.composite
def bent_tubes(draw: st.DrawFn) -> BentTube:
    """A tube with up to two cuts an end and a few holes, straight or bent; its end straights hold its cuts."""
    size = draw(tubes)
    line = draw(spines(3))
    od = size[0]
    room = 260.0
    straights = (line.straights[0] + room, *line.straights[1:-1], line.straights[-1] + room) if line.bends else (
        line.straights[0] + 2 * room,
    )  # fmt: skip
    end = st.lists(copes(od) | planes, max_size=2).map(tuple) if od <= 48.3 else st.just(())
    holes = st.lists(
        st.builds(TubeHole, reals(120.0, straights[0] - 120.0), clocks, st.just(5.0), st.just("vent")), max_size=2
    )
    return BentTube(tube_stock(size), Spine(straights, line.bends), draw(end), draw(end), tuple(draw(holes)))


@st.composite
def folded_bars(draw: st.DrawFn) -> FoldedBar:
    """A bar with up to two folds, of one radius or of two, cut ends and holes in its flats."""
    width, thickness = draw(st.sampled_from([(20.0, 3.0), (50.0, 3.0), (50.0, 5.0), (38.1, 4.76)]))
    count = draw(st.integers(0, 2))
    flats = tuple(draw(reals(60.0, 250.0)) for _ in range(count + 1))
    # A fold tighter at one edge changes by less than a third of the width, or no flat bar follows it.
    radii = [(draw(reals(12.0, 40.0)), draw(st.none() | reals(-0.2, 0.3))) for _ in range(count)]
    folds = tuple(
        Fold(
            draw(reals(10.0, 120.0)) * draw(st.sampled_from([1.0, -1.0])),
            near,
            None if more is None else near + more * width,
        )
        for near, more in radii
    )
    ends = st.builds(BarEnd, reals(-40.0, 40.0), reals(-30.0, 30.0), st.sampled_from([0.0, 5.0]))
    where = draw(st.lists(st.tuples(st.integers(0, count), reals(0.45, 0.55), reals(-0.2, 0.2)), max_size=1))
    holes = tuple(BarHole(flat, flats[flat] * along, width * across, 6.5) for flat, along, across in where)
    stock = Stock(f"{width:g} x {thickness:g}", Flat(width, thickness), "steel", "S235", "bare", 6000.0)
    return FoldedBar(stock, flats, folds, draw(ends), draw(ends), holes)


@st.composite
def cut_plates(draw: st.DrawFn) -> CutPlate:
    """A rounded rectangle with holes off its middle and perhaps a slot."""
    width, height = draw(reals(80.0, 300.0)), draw(reals(60.0, 200.0))
    where = draw(st.lists(st.tuples(reals(-0.35, 0.35), reals(-0.35, 0.35)), max_size=3))
    holes: list[PlateHole] = []
    for x, y in where:
        if all(math.hypot(x * width - h.x, y * height - h.y) > 12 for h in holes):
            holes.append(PlateHole(x * width, y * height, 6.5))
    stock = Stock("4 mm plate", Sheet(4.0, 1250.0, 2500.0), "steel", "S235", "bare")
    return CutPlate(stock, rectangle(width, height, draw(reals(0.0, 20.0))), tuple(holes))


parts = bent_tubes() | folded_bars() | cut_plates()


@st.composite
def frames(draw: st.DrawFn, most: int = 7) -> FrameModel:
    """A small frame of flat bars that stands: aslant supports, some ends freed, loads of all kinds.

    Its members first make a tree, stiff throughout; what closes a loop may have ends that do not hold all.
    """
    count = draw(st.integers(2, most))
    # A cell for each node, so that no two come near each other, and none straight over another.
    at = [tuple(400.0 * c + 120.0 * draw(reals(-1.0, 1.0)) for c in (n % 2, n // 2 % 2, n // 4)) for n in range(count)]
    pairs = [(draw(st.integers(0, n - 1)), n) for n in range(1, count)]
    spare = [(a, b) for a in range(count) for b in range(a + 1, count) if (a, b) not in pairs]
    loops = draw(st.lists(st.sampled_from(spare), max_size=4, unique=True)) if spare else []
    members = [
        _frame_member(draw, n, f"n{a}", f"n{b}", np.subtract(at[b], at[a]), n >= len(pairs))
        for n, (a, b) in enumerate(pairs + loops)
    ]
    held = draw(st.permutations(range(count)))[: draw(st.integers(1, 3))]
    supports = [_frame_support(draw, f"n{n}", n == held[0]) for n in held]
    actions = [_frame_action(draw, f"a{n}", at, members) for n in range(draw(st.integers(1, 3)))]
    nodes = tuple(Node(f"n{n}", vec(p)) for n, p in enumerate(at))
    return FrameModel(nodes, tuple(members), tuple(supports), actions=tuple(actions))


def _direction(draw: st.DrawFn) -> tuple[float, float, float]:
    around, high = draw(reals(-180.0, 180.0)), draw(reals(-80.0, 80.0))
    a, h = math.radians(around), math.radians(high)
    return (math.cos(h) * math.cos(a), math.cos(h) * math.sin(a), math.sin(h))


def _aslant(draw: st.DrawFn, to: ArrayLike) -> tuple[float, float, float]:
    """A direction at 30 to 150 degrees to another."""
    x = np.asarray(to, dtype=float) / np.linalg.norm(to)
    beside = np.cross(x, np.eye(3)[int(np.abs(x).argmin())])
    beside /= np.linalg.norm(beside)
    a, t = math.radians(draw(reals(-180.0, 180.0))), math.radians(draw(reals(-60.0, 60.0)))
    return vec(math.cos(t) * (math.cos(a) * beside + math.sin(a) * np.cross(x, beside)) + math.sin(t) * x)


def _frame_member(draw: st.DrawFn, n: int, a: str, b: str, along: ArrayLike, loop: bool) -> Member:
    wide, deep = draw(reals(5.0, 40.0)), draw(reals(5.0, 60.0))
    small, large = sorted((wide, deep))
    section = Properties(
        wide * deep, wide * deep**3 / 12, deep * wide**3 / 12, large * small**3 * (1 / 3 - 0.21 * small / large)
    )
    steel = Elastic(draw(st.sampled_from([200000.0, 210000.0, 70000.0])), 80000.0)
    freedoms: st.SearchStrategy[tuple[Freedom, ...]] = st.sets(st.sampled_from(FREEDOMS)).map(
        lambda some: tuple(f for f in FREEDOMS if f in some)
    )
    strut: tuple[tuple[Freedom, ...], tuple[Freedom, ...]] = (("ry", "rz"), ("rx", "ry", "rz"))
    one_end = freedoms.flatmap(lambda some: st.sampled_from([(some, ()), ((), some)]))
    free_a, free_b = draw(one_end | st.just(strut)) if loop else ((), ())
    return Member(
        f"m{n}", a, b, "tube", section, steel, _aslant(draw, along), f"part {n}", free_a=free_a, free_b=free_b
    )


def _frame_support(draw: st.DrawFn, node: str, whole: bool) -> Support:
    one = st.just(math.inf) | reals(50.0, 1e5)
    turn = st.just(math.inf) | reals(1e6, 1e9)
    if not whole:
        one, turn = one | st.just(0.0), turn | st.just(0.0)
    stiffness = tuple(draw(s) for s in (one, one, one, turn, turn, turn))
    z = _direction(draw)
    return Support(node, stiffness, _aslant(draw, z), z, part=f"rivet {node}")


def _frame_action(draw: st.DrawFn, name: str, at: Sequence[object], members: Sequence[Member]) -> Action:
    size = reals(-1000.0, 1000.0).map(lambda v: round(v, 2))
    vector, moment = st.tuples(size, size, size), st.tuples(size, size, size).map(lambda m: vec(np.multiply(m, 100.0)))
    line = vector.map(lambda f: vec(np.multiply(f, 0.001)))
    at_nodes = draw(
        st.lists(st.builds(NodeLoad, st.integers(0, len(at) - 1).map("n{}".format), vector, moment), max_size=3)
    )
    on_members = draw(st.lists(st.builds(LineLoad, st.sampled_from([m.id for m in members]), line), max_size=3))
    return Action(name, name, tuple(at_nodes), tuple(on_members))
