"""Bent bars as chords through the solver, to closed forms of curved bars.

Quarter arc: Timoshenko, Strength of Materials, Part I, 3rd ed., as cited by a published verification example (P 50 lb,
R 100 in, round 2 in solid, tip 2.648 in, 6366 psi). Other closed forms: Roark, tables of curved beams (from memory).
Curved beam of MacNeal and Harder, A proposed standard set of problems to test finite element accuracy, 1985.
"""

from __future__ import annotations

import math

import pytest

from rackgen.strength.model import Elastic, NodeLoad, Properties
from rackgen.strength.solve import Answer, solve
from tests.frames import FIXED, Vec, arc, chain, end, moved, with_

R, P = 150.0, 1000.0
I = 115857.0  # noqa: E741
E, G = 210000.0, 81000.0
TUBE = Properties(1e6, I, I, 2 * I)
STEEL = Elastic(E, G)


def bent(count: int, force: Vec, angle: float = 90.0) -> Answer:
    """An arc in the XY plane held at its begin on +X, loaded at its end."""
    model = chain(arc(R, angle, count), TUBE, STEEL)
    return solve(with_(model, {"0": FIXED}, [NodeLoad(str(count), force)]))


def benchmark(count: int) -> Answer:
    model = chain(arc(100.0, 90.0, count), Properties(3.14, 0.7854, 0.7854, 1.5708), Elastic(30e6, 30e6 / 2.6))
    return solve(with_(model, {"0": FIXED}, [NodeLoad(str(count), (0.0, 0.0, 50.0))]))


def test_published_quarter_arc_within_half_a_percent_in_chords_of_six_degrees() -> None:
    found = benchmark(15)
    assert moved(found, "15")[2] == pytest.approx(2.648, rel=5e-3)
    assert found.supports[0, 2, 0] == pytest.approx(-50.0)
    # At the foot bending and torsion are both P R; bending stress M c / I.
    moment = abs(found.supports[0, 3:5, 0])
    assert moment == pytest.approx([5000.0, 5000.0], rel=1e-9)
    assert moment.max() * 1.0 / 0.7854 == pytest.approx(6366.0, abs=0.5)


@pytest.mark.parametrize(("count", "share"), [(4, 0.974), (8, 0.9934), (16, 0.9983), (32, 0.9996)])
def test_chords_come_near_the_closed_form_as_they_should(count: int, share: float) -> None:
    book = 50.0 * 1e6 * ((math.pi / 4) / (30e6 * 0.7854) + (3 * math.pi / 4 - 2) / (30e6 / 2.6 * 1.5708))
    assert book == pytest.approx(2.6493, abs=5e-5)
    assert moved(benchmark(count), str(count))[2] / book == pytest.approx(share, abs=6e-4 if count == 4 else 1e-4)


@pytest.mark.parametrize(
    ("force", "axis", "book"),
    [((0.0, 0.0, P), 2, 0.17299), ((0.0, P, 0.0), 1, 0.10895), ((P, 0.0, 0.0), 0, 0.04941)],
    ids=["out of plane", "radial", "tangential"],
)
def test_quarter_arc_of_tube(force: Vec, axis: int, book: float) -> None:
    assert moved(bent(90, force), "90")[axis] == pytest.approx(book, rel=2e-4)
    assert moved(bent(15, force), "15")[axis] == pytest.approx(book, rel=5e-3)


@pytest.mark.parametrize("angle", [30.0, 60.0, 120.0, 180.0])
def test_any_arc_out_of_plane(angle: float) -> None:
    a = math.radians(angle)
    bending = (a - math.sin(a) * math.cos(a)) / 2
    torsion = 3 * a / 2 - 2 * math.sin(a) + math.sin(a) * math.cos(a) / 2
    book = P * R**3 * (bending / (E * I) + torsion / (G * 2 * I))
    assert moved(bent(120, (0.0, 0.0, P), angle), "120")[2] == pytest.approx(book, rel=3e-4)


def test_semicircular_bow_held_at_both_ends_loaded_out_of_plane() -> None:
    model = chain(arc(R, 180.0, 180), TUBE, STEEL)
    found = solve(with_(model, {"0": FIXED, "180": FIXED}, [NodeLoad("90", (0.0, 0.0, -P))]))
    # At the crown the tube runs along -X: torsion is about X and bending about Y.
    _, bending, _ = end(found, "m89", 1)[3:]
    assert abs(bending) == pytest.approx(47746.0, rel=2e-4)
    assert end(found, "m89", 1)[3] == pytest.approx(0.0, abs=1.0)
    # At the foot it runs along +Y: bending is about X and torsion about Y.
    assert abs(found.supports[:, 3, 0]) == pytest.approx([75000.0, 75000.0], rel=1e-9)
    assert abs(found.supports[:, 4, 0]) == pytest.approx([27254.0, 27254.0], rel=4e-4)
    assert -moved(found, "90")[2] == pytest.approx(0.03580, rel=4e-4)


def test_macneal_and_harders_curved_beam() -> None:
    """Radii 4.12 to 4.32, 0.1 thick, E 1e7, nu 0.25, unit load at the tip: 0.08734 in plane and 0.5022 out of plane.

    A slender bar on the mean radius, without shear, gives 0.08854 and 0.5005: 1.4 % and 0.4 % off, as stated.
    """
    wide, thick = 0.2, 0.1
    torsion = wide * thick**3 * (1 / 3 - 0.21 * thick / wide * (1 - thick**4 / (12 * wide**4)))
    # z stands out of the plane, so iy resists bending out of it.
    flat = Properties(wide * thick, wide * thick**3 / 12, thick * wide**3 / 12, torsion)
    model = chain(arc(4.22, 90.0, 180), flat, Elastic(1e7, 4e6))
    found = solve(with_(model, {"0": FIXED}, [NodeLoad("180", (0.0, 1.0, 0.0))], [NodeLoad("180", (0.0, 0.0, 1.0))]))
    in_plane, out_of_plane = moved(found, "180", 0)[1], moved(found, "180", 1)[2]
    assert in_plane == pytest.approx(0.08854, rel=5e-4)
    assert out_of_plane == pytest.approx(0.5005, rel=2e-3)
    assert in_plane / 0.08734 - 1 == pytest.approx(0.014, abs=0.001)
    assert 1 - out_of_plane / 0.5022 == pytest.approx(0.004, abs=0.002)


def test_the_foot_of_an_arc_gives_the_load_carried_along_whatever_the_chords() -> None:
    for count in (3, 15):
        found = bent(count, (100.0, -200.0, 300.0), 120.0)
        tip = arc(R, 120.0, 1)[1]
        arm = (tip[0] - R, tip[1], 0.0)
        assert found.supports[0, :3, 0] == pytest.approx([-100.0, 200.0, -300.0])
        assert found.supports[0, 3:, 0] == pytest.approx(
            [-(arm[1] * 300.0), arm[0] * 300.0, -(arm[0] * -200.0 - arm[1] * 100.0)]
        )
