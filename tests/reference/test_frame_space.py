"""Frames in space through the solver, and what pins its axes.

Space frame: Weaver, Computer Programs for Structural Analysis, 1967, p. 146, problem 8, as quoted with its answers by a
verification manual and its test files. L-shaped cantilever: statics and Roark.
"""

from __future__ import annotations

import numpy as np
import pytest
from Pynite import FEModel3D

from rackgen.strength.beam_element import stiffness
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
from rackgen.strength.solve import Answer, solve
from tests.frames import FIXED, Vec, chain, end, moved, with_


def test_weavers_space_frame_to_every_printed_digit() -> None:
    """L 120 in, E 30 000 ksi, nu 0.25, A 11, Iy = Iz = 56, J 83; kip and inch."""
    side = 120.0
    section, steel = Properties(11.0, 56.0, 56.0, 83.0), Elastic(30000.0, 12000.0)
    nodes = {
        "1": (0.0, side, 0.0), "2": (2 * side, side, 0.0), "3": (0.0, 0.0, 0.0), "4": (3 * side, 0.0, side)
    }  # fmt: skip
    members = [("3", "1", (0.0, 0.0, 1.0)), ("1", "2", (0.0, 0.0, 1.0)), ("2", "4", (0.0, 1.0, 0.0))]
    loads = (NodeLoad("1", (2.0, 0.0, 0.0)), NodeLoad("2", (0.0, -1.0, 0.0), (0.0, 0.0, -120.0)))
    found = solve(
        FrameModel(
            tuple(Node(name, at) for name, at in nodes.items()),
            tuple(Member(a + b, a, b, "tube", section, steel, up) for a, b, up in members),
            (Support("3", FIXED), Support("4", FIXED)),
            actions=(Action("loads", "", loads),),
        )
    )
    printed = {
        "1": (0.22267, 0.00016, -0.17182, -0.00255, 0.00217, -0.00213),
        "2": (0.22202, -0.48119, -0.70161, -0.00802, 0.00101, -0.00435),
    }
    for node, book in printed.items():
        assert tuple(np.round(moved(found, node), 5)) == book
    reactions = found.supports[:, :, 0]
    # To the last digit that is printed of each.
    digits = ((4, 5, 5, 3, 3, 3), (5, 5, 5, 2, 3, 3))
    books = (
        (-1.1041, -0.43222, 0.21731, 48.785, -17.973, 96.122),
        (-0.89588, 1.43222, -0.21731, 123.08, 47.246, -11.720),
    )
    for foot in (0, 1):
        rounded = [round(float(v), d) for v, d in zip(reactions[foot], digits[foot], strict=True)]
        assert rounded == list(books[foot])


def test_l_shaped_cantilever_bent_in_plan() -> None:
    """a 600 then b 400, P 1000 down at the tip: d = Pa3/3EI + Pb3/3EI + Pb2a/GJ = 8.9510 mm; foot M Pa, T Pb."""
    second = 115857.0
    tube, steel = Properties(453.4, second, second, 2 * second), Elastic(210000.0, 81000.0)
    model = chain([(0, 0, 0), (600, 0, 0), (600, 400, 0)], tube, steel)
    found = solve(with_(model, {"0": FIXED}, [NodeLoad("2", (0.0, 0.0, -1000.0))]))
    assert -moved(found, "2")[2] == pytest.approx(8.9510, abs=1e-4)
    # The foot's moment is the load's arm crossed with it: (600, 400, 0) x (0, 0, -1000), and the foot turns it back.
    assert found.supports[0, 3:, 0] == pytest.approx([400_000.0, -600_000.0, 0.0], abs=1e-3)
    assert found.ends[0, 0, 3, 0] == pytest.approx(400_000.0)
    assert found.ends[0, 0, 4, 0] == pytest.approx(-600_000.0)
    assert found.ends[0, 1, 3, 0] == pytest.approx(-400_000.0)
    assert found.ends[1, 1] == pytest.approx(np.array([[0], [0], [-1000], [0], [0], [0]]), abs=1e-6)


# ---- a rectangular section pins the axes: 20 wide (along y), 60 deep (along z) -----------------------------------

WIDE, DEEP, LONG = 20.0, 60.0, 1000.0
FLAT = Properties(WIDE * DEEP, WIDE * DEEP**3 / 12, DEEP * WIDE**3 / 12, 1e5)
STEEL = Elastic(210000.0, 81000.0)


def cantilever(tip: Vec, up: Vec, *forces: Vec) -> Answer:
    model = chain([(0.0, 0.0, 0.0), tip], FLAT, STEEL, up)
    return solve(with_(model, {"0": FIXED}, *([NodeLoad("1", f)] for f in forces)))


def test_a_bar_on_edge_is_stiff_along_its_up() -> None:
    found = cantilever((LONG, 0, 0), (0.0, 0.0, 1.0), (0.0, 0.0, 100.0), (0.0, 100.0, 0.0))
    assert moved(found, "1", 0)[2] == pytest.approx(100 * LONG**3 / (3 * 210000 * FLAT.iy))
    assert moved(found, "1", 1)[1] == pytest.approx(100 * LONG**3 / (3 * 210000 * FLAT.iz))
    assert moved(found, "1", 0)[1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("turned", [30.0, -30.0, 110.0])
@pytest.mark.parametrize("tip", [(LONG, 0, 0), (0, LONG, 0), (0, 0, LONG), (0, 0, -LONG), (-480, 640, 600)])
def test_a_turned_bar_gives_toward_its_weak_side(tip: Vec, turned: float) -> None:
    """The turn of a section has a sign: a load along a fixed direction moves the tip to the side of the weak axis."""
    along = np.asarray(tip, dtype=float) / LONG
    start = np.cross(along, [0.3, 0.5, -0.7])
    start /= np.linalg.norm(start)
    beside = np.cross(along, start)
    a = np.radians(turned)
    up = start * np.cos(a) + beside * np.sin(a)
    weak = np.cross(up, along)
    found = cantilever(tip, tuple(up), tuple(100.0 * start))
    tip_moved = moved(found, "1")[:3]
    bends = 100 * LONG**3 / (3 * 210000)
    # z along up: iy resists; y = z x x: iz resists.
    assert tip_moved == pytest.approx(bends * (up * (start @ up) / FLAT.iy + weak * (start @ weak) / FLAT.iz), rel=1e-6)


def test_end_forces_are_those_of_the_node_on_the_member_in_its_axes() -> None:
    """Pull: out of both ends. Up is aslant on purpose: only its part square to the member counts."""
    model = chain([(0, 0, 0), (0, LONG, 0)], FLAT, STEEL, (0.0, 0.7, 1.0))
    found = solve(
        with_(
            model,
            {"0": FIXED},
            [NodeLoad("1", (0.0, 500.0, 0.0))],
            [NodeLoad("1", (0.0, 0.0, 10.0))],
            [NodeLoad("1", (10.0, 0.0, 0.0))],
            [NodeLoad("1", (0.0, 0.0, 0.0), (0.0, 7.0, 0.0))],
            [LineLoad("m0", (0.0, 0.0, -2.0))],
        )
    )
    # x is the vehicle's Y and z its Z, so y = z x x is -X.
    assert axes((0, 0, 0), (0, LONG, 0), (0.0, 0.7, 1.0)) == pytest.approx(np.array([[0, 1, 0], [-1, 0, 0], [0, 0, 1]]))
    each = [found.ends[0, :, :, n] for n in range(5)]
    assert each[0] == pytest.approx(np.array([[-500, 0, 0, 0, 0, 0], [500, 0, 0, 0, 0, 0]]), abs=1e-6)
    # A tip pushed along +z: the foot pushes back, and turns by the arm (L, 0, 0) x (0, 0, 10) = (0, -10 L, 0) back.
    assert each[1] == pytest.approx(np.array([[0, 0, -10, 0, 10 * LONG, 0], [0, 0, 10, 0, 0, 0]]), abs=1e-5)
    # Along the vehicle's +X, the member's -y: (L, 0, 0) x (0, -10, 0) = (0, 0, -10 L).
    assert each[2] == pytest.approx(np.array([[0, 10, 0, 0, 0, 10 * LONG], [0, -10, 0, 0, 0, 0]]), abs=1e-5)
    assert each[3] == pytest.approx(np.array([[0, 0, 0, -7, 0, 0], [0, 0, 0, 7, 0, 0]]), abs=1e-9)
    assert each[4] == pytest.approx(np.array([[0, 0, 2 * LONG, 0, -(LONG**2), 0], [0] * 6]), abs=1e-5)
    assert end(found, "m0", 0, 2)[:3] == pytest.approx([-10.0, 0.0, 0.0], abs=1e-6)


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ((1, 2, 3), (900, 2, 3)),
        ((1, 2, 3), (1, 700, 3)),
        ((1, 2, 3), (1, -700, 3)),
        ((1, 2, 3), (300, 500, -200)),
        ((300, 500, -200), (1, 2, 3)),
    ],
)
@pytest.mark.parametrize("rotation", [0.0, 25.0, -70.0, 180.0])
def test_the_librarys_section_rotation_is_right_handed_about_its_own_x(a: Vec, b: Vec, rotation: float) -> None:
    """PyNite turns y and z about x from a y that lies in the vertical plane of ITS vertical, Y; ours come from `up`.

    With `up` on its z, its whole member in global axes is ours: local axes and sign of the rotation are pinned by a
    rectangular section, whose iy and iz differ nine times.
    """
    model = FEModel3D()
    model.add_node("a", *a)
    model.add_node("b", *b)
    model.add_material("steel", STEEL.e, STEEL.g, 0.3, 0.0)
    model.add_section("flat", FLAT.area, FLAT.iy, FLAT.iz, FLAT.j)
    model.add_member("m", "a", "b", "steel", "flat", rotation)
    theirs = model.members["m"]
    length = float(np.linalg.norm(np.subtract(b, a)))
    x = np.subtract(b, a) / length
    upright = np.cross(x, np.cross([0.0, 1.0, 0.0], x)) if abs(x[1]) < 0.999 else np.array([-np.sign(x[1]), 0.0, 0.0])
    upright /= np.linalg.norm(upright)
    side = np.cross(x, upright)
    t = np.radians(rotation)
    up = -upright * np.sin(t) + side * np.cos(t)
    ours = axes(a, b, tuple(up))
    assert ours == pytest.approx(theirs.T()[:3, :3], abs=1e-12)
    turn = np.kron(np.eye(4), ours)
    beam = stiffness(
        np.array([length]), *(np.array([v]) for v in (
            STEEL.e * FLAT.area, STEEL.e * FLAT.iy, STEEL.e * FLAT.iz, STEEL.g * FLAT.j)),
    )[0]  # fmt: skip
    whole = np.asarray(theirs.Ke())
    assert turn.T @ beam @ turn == pytest.approx(whole, abs=1e-10 * np.abs(whole).max())
