"""Own frequencies, the wind's tone and deflections against closed forms and published values, through the solver."""

from dataclasses import replace

import numpy as np
import pytest

from rackgen.geom import section as ring
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.stock import Round
from rackgen.strength.deflection import Middles, deflection_limits, sag, stretches
from rackgen.strength.frequency import beam_frequencies, first_frequency, node_masses, tone, vortex
from rackgen.strength.model import (
    Action,
    Case,
    Deck,
    Elastic,
    FrameModel,
    LineLoad,
    Lump,
    Member,
    Node,
    NodeLoad,
    Places,
    Properties,
    Support,
)
from rackgen.strength.solve import factorised, solve
from tests.small_frames import stock

OD, WALL, LENGTH, E = 48.3, 3.2, 1200.0, 210_000.0
I = ring.second_moment(OD, WALL)  # noqa: E741
RIGID, PIN = (np.inf,) * 6, (np.inf, np.inf, np.inf, np.inf, 0.0, np.inf)
MASS = ring.mass_per_length(OD, WALL, 7850.0) / 1000


def beam(count: int, first: tuple[float, ...], last: tuple[float, ...] | None) -> tuple[FrameModel, Rack]:
    """A tube along Y of `count` pieces; supports' axes are the vehicle's, so bending down turns about X."""
    ys = np.linspace(0.0, LENGTH, count + 1)
    nodes = tuple(Node(f"n{i}", (0.0, float(y), 500.0)) for i, y in enumerate(ys))
    own = Properties(ring.area(OD, WALL), I, I, 2 * I)
    members = tuple(
        Member(f"t#{i}", f"n{i}", f"n{i + 1}", "tube", own, Elastic(E, 80_770.0), (0.0, 0.0, 1.0), "t",
               float(ys[i]), float(ys[i + 1]), mass_per_mm=MASS)
        for i in range(count)
    )  # fmt: skip
    held = [(0, first)] + ([(count, last)] if last is not None else [])
    supports = tuple(Support(f"n{i}", (s[0], s[1], s[2], s[4], s[3], s[5]), mount=f"m{i}", part="t") for i, s in held)
    line = stock("tube", Round(OD, WALL), "S235JRH EN 10219-1")
    part = Placed("t", BentTube(line, Spine((LENGTH,))), Frame.of((0, 0, 500), (0, 1, 0), (0, 0, 1)), "cross bar", 1)
    return FrameModel(nodes, members, supports), Rack((part,), ())


def own(model: FrameModel, payload: float = 0.0) -> float | None:
    return first_frequency(factorised(model).moved, node_masses(model, payload))


def test_first_frequency_of_a_hinged_tube() -> None:
    # pi / 2 sqrt(E I / m L⁴) is 90.2 Hz for this tube (Roark; from memory, worked). In the plane it is free to bend in;
    # sideways its ends are held.
    model, _ = beam(16, PIN, PIN)
    assert own(model) == pytest.approx(90.2, rel=3e-3)
    assert beam_frequencies(E, I, MASS, LENGTH)[0] == pytest.approx(90.2, abs=0.1)


def test_first_frequency_of_a_cantilever_and_a_built_in_tube() -> None:
    # Roots 3.516 and 22.37 of E I / m L⁴ (Roark, from memory).
    base = np.sqrt(1000 * E * I / (MASS * LENGTH**4)) / (2 * np.pi)
    assert own(beam(24, RIGID, None)[0]) == pytest.approx(3.516 * base, rel=5e-3)
    assert own(beam(24, RIGID, RIGID)[0]) == pytest.approx(22.373 * base, rel=5e-3)
    assert beam_frequencies(E, I, MASS, LENGTH)[1] == pytest.approx(22.373 * base, rel=1e-4)


def test_a_lump_on_a_spring() -> None:
    # One mass on a cantilever: sqrt(3 E I / L³ / m) / 2 pi; few ways to move are worked out one by one.
    model, _ = beam(1, RIGID, None)
    model = replace(model, members=(replace(model.members[0], mass_per_mm=0.0),), lumps=(Lump("n1", 20.0),))
    wanted = np.sqrt(1000 * 3 * E * I / LENGTH**3 / 20.0) / (2 * np.pi)
    assert own(model) == pytest.approx(wanted, rel=1e-6)
    assert own(replace(model, lumps=())) is None


def test_a_load_on_the_floor_slows_it() -> None:
    model, _ = beam(16, PIN, PIN)
    decks = tuple(Deck(m.id, 200.0) for m in model.members)
    model = replace(model, places=Places(floor=decks))
    masses = node_masses(model, 30.0)
    assert masses.sum() == pytest.approx(30.0 + MASS * LENGTH)
    # Spread as the tube's own mass is: by the root of the sum.
    empty, full = own(model), own(model, 30.0)
    assert empty is not None
    assert full is not None
    assert full / empty == pytest.approx(np.sqrt(MASS * LENGTH / (30.0 + MASS * LENGTH)), rel=1e-6)


def test_tone_of_the_wind() -> None:
    # f = 0.2 v / D: a tube of 48.3 mm at 100 km/h, about 115 Hz (from memory).
    assert tone(100.0, 48.3) == pytest.approx(115.0, abs=0.05)
    said = vortex(*beam(4, PIN, PIN))
    assert "115 times a second" in said
    assert "90 (hinged) to 204 (built in)" in said
    # 90.2 Hz is met at 90.2 x 0.0483 / 0.2 = 21.8 m/s.
    assert f"{90.2 * 0.0483 / 0.2 * 3.6:.0f} to" in said
    assert vortex(*nothing_across()) == ""


def nothing_across() -> tuple[FrameModel, Rack]:
    model, rack = beam(4, PIN, PIN)
    nodes = tuple(Node(n.id, (n.at[1], 0.0, 500.0)) for n in model.nodes)
    return replace(model, nodes=nodes), rack


def loaded_beam(count: int, first: tuple[float, ...], last: tuple[float, ...] | None, *, spread: bool) -> FrameModel:
    model, _ = beam(count, first, last)
    if spread:
        action = Action("a", "1 N/mm", lines=tuple(LineLoad(m.id, (0.0, 0.0, -1.0)) for m in model.members))
    else:
        node = f"n{count // 2}" if last is not None else f"n{count}"
        action = Action("a", "1 kN", nodes=(NodeLoad(node, (0.0, 0.0, -1000.0)),))
    return replace(model, actions=(action,), cases=(Case("c", "", (("a", 1.0),), (), "moving", ""),))


# 48.3 x 3.2, E 210 000, L 1200 (E I 2.43300e13): w 1 N/mm or P 1000 N. Roark / AISC table 3-23.
BEAMS = [
    (1, PIN, PIN, True, 1.1097),
    (1, RIGID, RIGID, True, 0.2219),
    (2, PIN, PIN, False, 1.4797),
    (2, RIGID, RIGID, False, 0.3699),
    (3, PIN, PIN, True, 1.1097),
]


@pytest.mark.parametrize(("count", "first", "last", "spread", "wanted"), BEAMS)
def test_bow_of_a_beam(
    count: int, first: tuple[float, ...], last: tuple[float, ...], spread: bool, wanted: float
) -> None:
    model = loaded_beam(count, first, last, spread=spread)
    loaded = solve(model).loaded(0.0)
    _, rack = beam(count, first, last)
    bow = next(x for x in deflection_limits(model, rack) if x.id == "tube-bow")
    assert len(bow.spots) == 1
    # Span over 150 is all of it (common practice, no source).
    assert bow.use(loaded)[0, 0] * LENGTH / 150 == pytest.approx(wanted, abs=6e-5)
    moved = Middles(model, range(count)).moved(loaded)
    if count % 2:
        assert -moved[count // 2, 2, 0] == pytest.approx(wanted, abs=6e-5)


def test_a_cantilever_comes_down_but_bows_between_nothing() -> None:
    model = loaded_beam(2, RIGID, None, spread=False)
    loaded = solve(model).loaded(0.0)
    limits = {x.id: x for x in deflection_limits(model, beam(2, RIGID, None)[1])}
    assert list(limits) == ["tube-down"]
    assert limits["tube-down"].use(loaded)[0, 0] == pytest.approx(23.674 / 15.0, rel=2e-4)
    assert sag(model, loaded) == pytest.approx([23.674], rel=2e-4)
    assert [x.held for x in stretches(model)] == [False]


def test_how_far_a_tube_comes_down() -> None:
    model = loaded_beam(2, PIN, PIN, spread=False)
    down = next(x for x in deflection_limits(model, beam(2, PIN, PIN)[1]) if x.id == "tube-down")
    assert down.use(solve(model).loaded(0.0))[0, 0] == pytest.approx(1.4797 / 15.0, rel=2e-4)


@pytest.mark.parametrize("way", [(0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8)])
def test_middles_follow_the_elastic_line_whichever_way_it_bends(way: tuple[float, float, float]) -> None:
    # Built in at both ends, even load: w x² (L - x)² / 24 E I at a quarter of the length (Roark; from memory).
    model, _ = beam(2, RIGID, RIGID)
    action = Action("a", "1 N/mm", lines=tuple(LineLoad(m.id, way) for m in model.members))
    model = replace(model, actions=(action,), cases=(Case("c", "", (("a", 1.0),), (), "moving", ""),))
    moved = Middles(model, range(2)).moved(solve(model).loaded(0.0))
    wanted = (LENGTH / 4) ** 2 * (3 * LENGTH / 4) ** 2 / (24 * E * I) * np.array(way)
    assert moved[:, :, 0] == pytest.approx(np.array([wanted, wanted]), rel=1e-6, abs=1e-9)
