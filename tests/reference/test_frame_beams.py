"""Straight beams through the solver, to the book.

Formulas: Roark's Formulas for Stress and Strain, tables of straight beams; AISC Steel Construction Manual, Table 3-23.
Figures: tube 48.3 x 3.2, E 210 000 MPa, I 115 857 mm4, L 1200 mm, P 1000 N, w 1 N/mm, worked from those formulas.
"""

import math

import numpy as np
import pytest

from rackgen.strength.model import Elastic, NodeLoad, Properties
from rackgen.strength.solve import Answer, solve
from tests.frames import FIXED, INF, chain, everywhere, moved, sagging, straight, with_

E = 210000.0
I = 115857.0  # noqa: E741
L = 1200.0
P = 1000.0
TUBE = Properties(453.4, I, I, 2 * I)
STEEL = Elastic(E, 80770.0)

# Held so that only bending in the XZ plane is left: a ball that keeps the beam from spinning, and a roller.
PIN = (INF, INF, INF, INF, 0.0, INF)
ROLLER = (0.0, INF, INF, 0.0, 0.0, 0.0)
DOWN = NodeLoad("1", (0.0, 0.0, -P))


def beam(supports: dict[str, tuple[float, ...]], *stations: float, line: bool = False, loads: list[NodeLoad]) -> Answer:
    points = straight(L, *stations)
    model = chain(points, TUBE, STEEL)
    return solve(with_(model, supports, [*everywhere(model, (0.0, 0.0, -1.0)), *loads] if line else loads))


def close(value: float, book: float, digits: float) -> bool:
    """Tell whether a figure is the printed one; `digits`: half of the last digit printed."""
    return abs(value - book) <= digits


def test_simple_beam_load_at_the_middle() -> None:
    found = beam({"0": PIN, "2": ROLLER}, L / 2, loads=[DOWN])
    assert sagging(found, "m0", 1) == pytest.approx(300_000.0, rel=1e-9)
    assert sagging(found, "m1", 0) == pytest.approx(300_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 1.4797, 5e-5)
    assert found.supports[:, 2, 0] == pytest.approx([500.0, 500.0])


def test_simple_beam_even_load() -> None:
    found = beam({"0": PIN, "2": ROLLER}, L / 2, line=True, loads=[])
    assert sagging(found, "m0", 1) == pytest.approx(180_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 1.1097, 5e-5)


def test_beam_fixed_at_both_ends_load_at_the_middle() -> None:
    found = beam({"0": FIXED, "2": FIXED}, L / 2, loads=[DOWN])
    assert sagging(found, "m0", 0) == pytest.approx(-150_000.0, rel=1e-9)
    assert sagging(found, "m0", 1) == pytest.approx(150_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 0.3699, 5e-5)


def test_beam_fixed_at_both_ends_even_load() -> None:
    found = beam({"0": FIXED, "2": FIXED}, L / 2, line=True, loads=[])
    assert sagging(found, "m0", 0) == pytest.approx(-120_000.0, rel=1e-9)
    assert sagging(found, "m1", 1) == pytest.approx(-120_000.0, rel=1e-9)
    assert sagging(found, "m0", 1) == pytest.approx(60_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 0.2219, 5e-5)


def test_one_member_fixed_at_both_ends_has_its_fixed_end_forces_though_nothing_can_move() -> None:
    found = beam({"0": FIXED, "1": FIXED}, line=True, loads=[])
    assert sagging(found, "m0", 0) == pytest.approx(-120_000.0, rel=1e-12)
    assert sagging(found, "m0", 1) == pytest.approx(-120_000.0, rel=1e-12)
    assert found.supports[:, 2, 0] == pytest.approx([600.0, 600.0])


def test_cantilever_load_at_the_tip() -> None:
    found = beam({"0": FIXED}, loads=[DOWN])
    assert sagging(found, "m0", 0) == pytest.approx(-1_200_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 23.674, 6e-4)  # printed cut off, not rounded: 23.6745


def test_cantilever_even_load() -> None:
    found = beam({"0": FIXED}, line=True, loads=[])
    assert sagging(found, "m0", 0) == pytest.approx(-720_000.0, rel=1e-9)
    assert close(-moved(found, "1")[2], 10.654, 5e-4)


def test_propped_cantilever_even_load() -> None:
    # Most deflected at 0.4215 L from the prop, most sagging at 3/8 L from it.
    found = beam({"0": FIXED, "3": ROLLER}, L * (1 - 0.4215), L * 5 / 8, line=True, loads=[])
    assert sagging(found, "m0", 0) == pytest.approx(-180_000.0, rel=1e-9)
    assert sagging(found, "m1", 1) == pytest.approx(101_250.0, rel=1e-9)
    # The book's 184.6 is rounded; the closed form's own is 184.64.
    assert -moved(found, "1")[2] == pytest.approx(0.4617, rel=3e-4)


def spans(count: int) -> Answer:
    """Even spans of L, a node at 0.4 L of the first."""
    points = straight(count * L, 0.4 * L, *(n * L for n in range(1, count)))
    model = chain(points, TUBE, STEEL)
    held = {"0": PIN} | {str(n + 2): ROLLER for n in range(count)}
    return solve(with_(model, held, everywhere(model, (0.0, 0.0, -1.0))))


def test_two_even_spans() -> None:
    found = spans(2)
    assert sagging(found, "m1", 1) == pytest.approx(-0.125 * L * L, rel=1e-9)
    assert found.supports[:, 2, 0] / L == pytest.approx([0.375, 1.25, 0.375], rel=1e-9)


def test_three_even_spans() -> None:
    found = spans(3)
    assert sagging(found, "m1", 1) == pytest.approx(-144_000.0, rel=1e-9)
    assert sagging(found, "m0", 1) == pytest.approx(115_200.0, rel=1e-9)
    assert found.supports[:, 2, 0] / L == pytest.approx([0.4, 1.1, 1.1, 0.4], rel=1e-9)


def test_load_on_the_tip_of_an_overhang() -> None:
    model = chain(straight(L + 300.0, L), TUBE, STEEL)
    found = solve(with_(model, {"0": PIN, "1": ROLLER}, [NodeLoad("2", (0.0, 0.0, -P))]))
    assert sagging(found, "m0", 1) == pytest.approx(-P * 300.0, rel=1e-9)
    assert close(-moved(found, "2")[2], 1.8496, 5e-5)


def test_a_metre_of_tube_twisted_by_100_newton_metres() -> None:
    found = solve(with_(chain(straight(1000.0), TUBE, STEEL), {"0": FIXED}, [NodeLoad("1", (0, 0, 0), (1e5, 0, 0))]))
    assert close(moved(found, "1")[3], 0.00534, 5e-6)
    assert found.ends[0, :, 3, 0] == pytest.approx([-1e5, 1e5])


def test_first_mode_of_a_simple_beam() -> None:
    """Mass of the tube alone, 3.559 kg/m; pi/2 sqrt(EI/mL4) = 90.2 Hz (Roark, table of natural frequencies)."""
    count = 24
    step = L / count
    model = chain(straight(L, *(step * n for n in range(1, count))), TUBE, STEEL)
    found = solve(with_(model, {"0": PIN, str(count): ROLLER}))
    mass = np.zeros((count + 1, 6, 1))
    mass[1:-1, 2, 0] = 453.4 * 7.85e-9 * step  # tonnes, so that N and mm give seconds
    shape = np.ones_like(mass)
    for _ in range(12):
        shape = found.frame.moved(mass * shape)
        square = 1.0 / np.linalg.norm(shape)
        shape = shape * square
    assert close(math.sqrt(square) / (2 * math.pi), 90.2, 0.05)
