"""What tubes and flat bars bear, against worked values of AISC 360 and closed forms."""

import math

import pytest

from rackgen.geom.section import elastic_modulus, plastic_modulus
from rackgen.spec.stock import Round, Stock
from rackgen.strength.flat_strength import edgewise_moment, flat_bears, folded_thickness, twist_modulus
from rackgen.strength.stocks import design_wall
from rackgen.strength.tube_strength import (
    YIELD_FACTOR,
    bending_moment,
    buckling_stress,
    shear_force,
    torsion_moment,
    tube_bears,
    wall_class,
    wall_use,
)

E, FY = 29_000.0, 50.0
OD, WALL = 1.900, 0.93 * 0.145


def test_round_hss_by_aisc_360() -> None:
    # HSS1.900X0.145, A500 grade C of 50 ksi: worked from F8, E3, G5 and H3 (formulas from memory), inches and kips.
    assert YIELD_FACTOR == 1.67
    assert bending_moment(OD, WALL, FY, E) == pytest.approx(21.05, rel=3e-3)
    assert bending_moment(OD, WALL, FY, E) / 1.67 == pytest.approx(12.61, rel=3e-3)
    assert shear_force(OD, WALL, FY, E, 24.0) / 1.67 == pytest.approx(6.73, rel=3e-3)
    assert torsion_moment(OD, WALL, FY, E, 24.0) / 1.67 == pytest.approx(11.9, rel=5e-3)


@pytest.mark.parametrize(("reach", "slender", "stress", "load"), [(24, 38.3, 44.9, 20.1), (48, 76.7, 32.5, 14.6)])
def test_round_hss_in_compression(reach: float, slender: float, stress: float, load: float) -> None:
    # The same tube with KL of 24 and 48 in.
    assert buckling_stress(FY, E, slender) == pytest.approx(stress, abs=0.06)
    assert tube_bears(OD, WALL, FY, E, reach).push / 1.67 == pytest.approx(load, abs=0.1)


def test_buckling_at_its_ends() -> None:
    # Long columns: 0.877 of Euler; short ones: all of the yield (AISC 360 E3, from memory). The two arms meet at 4.71.
    assert buckling_stress(50.0, E, 0.0) == 50.0
    assert buckling_stress(50.0, E, 200.0) == pytest.approx(0.877 * math.pi**2 * E / 200**2)
    meet = 4.71 * math.sqrt(E / 50.0)
    assert buckling_stress(50.0, E, meet - 0.01) == pytest.approx(buckling_stress(50.0, E, meet + 0.01), rel=2e-3)


def test_bending_falls_off_with_thin_walls() -> None:
    # AISC 360 table B4.1b (from memory): compact up to D/t 0.07 E / Fy, 40.6 for 50 ksi.
    assert pytest.approx(40.6) == 0.07 * E / FY
    for slim, kind in ((40.0, "plastic"), (100.0, "between"), (200.0, "thin")):
        got = bending_moment(1.0, 1 / slim, FY, E)
        plastic, elastic = FY * plastic_modulus(1.0, 1 / slim), FY * elastic_modulus(1.0, 1 / slim)
        assert {"plastic": got == plastic, "between": elastic < got < plastic, "thin": got < elastic}[kind]


def test_classes_of_walls() -> None:
    # EN 1993-1-1 table 5.2: 50, 70, 90 times 235 / fy.
    assert [wall_class(d, 1.0, 235.0) for d in (49.9, 60.0, 80.0, 91.0)] == [1, 2, 3, 4]
    assert wall_class(48.3, 3.2, 355.0) == 1
    assert wall_use(90.0, 1.0, 235.0, 200_000.0) == pytest.approx(1.0, rel=0.04)


@pytest.mark.parametrize(
    ("grade", "share"),
    [
        ("ASTM A500 grade C", 0.93),  # AISC 360 B4.2, quoted by a steel tube institute
        ("ASTM A53 grade B", 0.93),
        ("S235JRH EN 10219-1", 0.90),  # EN 10219-2: the wall up to 5 mm within 10 %
        ("1020 ASTM A513 type 1", 0.86),  # a supplier's table: 0.083 in within +0.004 / -0.012, 0.855
        ("1020 DOM ASTM A513", 0.93),  # assumed
    ],
)
def test_the_wall_that_strength_stands_on(grade: str, share: float) -> None:
    found = design_wall(Stock("t", Round(48.3, 3.2), "steel", grade, "bare", 6000.0), 3.2)
    assert found.wall == pytest.approx(3.2 * share)
    assert f"{share:g}" in found.words


def test_a_rectangle() -> None:
    # 50 x 5, 235 MPa: Z = b t²/4 (312.5 mm³) and t b²/4 (3125 mm³), area 250 mm², by the formulas of any handbook.
    bears = flat_bears(50.0, 5.0, 235.0, 200_000.0, 1.0)
    assert bears.pull == 235 * 250
    assert bears.bend == 235 * 312.5
    assert bears.bend_flat == 235 * 3125
    assert bears.shear == pytest.approx(0.6 * 235 * 250 / 1.5)


@pytest.mark.parametrize(("ratio", "alpha"), [(1.0, 0.208), (2.0, 0.246), (4.0, 0.282), (10.0, 0.313)])
def test_torsion_of_a_rectangle(ratio: float, alpha: float) -> None:
    # Timoshenko's table of torsion of rectangles, tau = T / (alpha w t²) (from memory).
    assert twist_modulus(ratio, 1.0) / ratio == pytest.approx(alpha, rel=4e-3)


def test_a_bar_on_edge_tips_over() -> None:
    # AISC 360 F11 (from memory): plastic up to L d / t² = 0.08 E / Fy, elastic 1.9 E / (L d / t²) S beyond 1.9 E / Fy.
    w, t, fy, e = 50.0, 5.0, 235.0, 200_000.0
    short, long = 0.08 * e / fy * t * t / w, 1.9 * e / fy * t * t / w
    assert edgewise_moment(w, t, fy, e, short) == pytest.approx(fy * t * w * w / 4)
    assert edgewise_moment(w, t, fy, e, 2 * long) == pytest.approx(0.5 * fy * t * w * w / 6)
    before, behind = (edgewise_moment(w, t, fy, e, long * share) for share in (0.999, 1.001))
    assert before == pytest.approx(behind, rel=0.01)


def test_a_fold_is_thinner() -> None:
    # DIN 6935: r = t = 6 has k 0.65, so its neutral line lies at 0.325 t; t' from (r + t'/2) t' = (r + 0.325 t) t.
    got = folded_thickness(6.0, 6.0, 0.325)
    assert (6 + got / 2) * got == pytest.approx((6 + 0.325 * 6) * 6)
    assert got == pytest.approx(5.463, abs=1e-3)
    # Wide folds have their neutral line in the middle, and lose nothing.
    assert folded_thickness(6.0, 60.0, 0.5) == pytest.approx(6.0)
