"""Welds, fastener groups and sheet against worked values; 'computed' ones are by the formula that the text states."""

import math

import numpy as np
import pytest

from rackgen.refs.fasteners import KSI, POUND, bolt, stress_area
from rackgen.sheets.weld_lines import Run
from rackgen.strength.fastener_group import elastic_group
from rackgen.strength.skin import GAMMA, bearing, edge_tearing
from rackgen.strength.weld_line import weld_line
from rackgen.strength.weld_strength import (
    OMEGA_RUPTURE,
    OMEGA_WELD,
    OMEGA_YIELD,
    beside_rupture,
    beside_yield,
    directional,
    effective_length,
    fillet_line,
    least_leg,
    sheet_longitudinal,
    sheet_transverse,
    simple_stress,
)

KIP_IN = 1000 * POUND / 25.4
"""N/mm of a kip per inch."""


def ring(diameter: float) -> tuple[Run, ...]:
    """Return a bead all round a tube that stands along X."""
    phi = np.radians(np.arange(0.0, 360.0, 5.0))
    points = diameter / 2 * np.column_stack([np.zeros_like(phi), np.cos(phi), np.sin(phi)])
    return (Run(points, points, points, math.pi * diameter, math.pi * diameter),)


# ---- section 5: rivets and bolts ---------------------------------------------------------------------------------


def test_six_rivets_under_an_eccentric_load() -> None:
    # Elastic vector method, textbook: J = 7750 mm2, the largest 629.4 N at (15, +-40); here turned into 3-D.
    points = np.array([(x, y, 0.0) for x in (-15.0, 15.0) for y in (-40.0, 0.0, 40.0)])
    forces = elastic_group(points, np.array([0.0, 1000.0, 0.0]), np.array([0.0, 0.0, 100.0 * 1000.0]))
    size = np.linalg.norm(forces, axis=1)
    assert size.max() == pytest.approx(629.4, abs=0.05)
    assert [tuple(p[:2]) for p in points[size > size.max() - 1e-6]] == [(15.0, -40.0), (15.0, 40.0)]


@pytest.mark.parametrize(
    ("diameter", "sheet", "other", "newtons"),
    [(4.8, 0.8, 4.0, 1742), (4.8, 0.8, 0.8, 1084), (4.8, 0.8, 1.2, 1303), (6.4, 0.8, 4.0, 2322), (4.8, 0.7, 5.0, 1524)],
)
def test_bearing_of_sheet_at_blind_rivets(diameter: float, sheet: float, other: float, newtons: float) -> None:
    # EN 1993-1-3 table 8.1 (formula from memory), fu 270 MPa, gamma 1.25; computed.
    found = bearing(diameter, sheet, other, 270) / GAMMA
    assert found == pytest.approx(newtons, abs=0.6)


@pytest.mark.parametrize(("end", "sheet", "newtons"), [(15, 0.8, 2160), (10, 0.7, 1260)])
def test_edge_of_sheet_at_blind_rivets(end: float, sheet: float, newtons: float) -> None:
    # EN 1993-1-3 table 8.1 (from memory), fu 270 MPa; computed.
    assert edge_tearing(end, sheet, 270) / GAMMA == pytest.approx(newtons, abs=0.5)


@pytest.mark.parametrize(
    ("size", "shear", "tension"), [(6, 7.73, 11.6), (8, 14.1, 21.1), (10, 22.3, 33.4), (12, 32.4, 48.5)]
)
def test_bolts_of_8_8_by_eurocode(size: float, shear: float, tension: float) -> None:
    # EN 1993-1-8 table 3.4: 0.6 and 0.9 fub As / 1.25, kN (M10 and M12 seen).
    strength = bolt("8.8").tensile * stress_area(size) / 1.25 / 1000
    assert 0.6 * strength == pytest.approx(shear, abs=0.06)
    assert 0.9 * strength == pytest.approx(tension, abs=0.06)


# ---- section 6: welds --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("eighths", "kip"), [(0.5, 0.928), (1, 1.856), (1.5, 2.784), (2, 3.712)])
def test_fillets_of_e70(eighths: float, kip: float) -> None:
    # AISC 360 J2.4: 0.60 FEXX 0.707 leg / 2.00, kip/in; 0.325, 0.488 and 0.650 kN/mm for 1/8, 3/16 and 1/4 in.
    found = fillet_line(70 * KSI, eighths * 25.4 / 8) / OMEGA_WELD
    assert found / KIP_IN == pytest.approx(kip, rel=4e-4)


def test_fillet_of_e60() -> None:
    # AISC 360 J2.4: 1/8 in, 1.591 kip/in.
    assert fillet_line(60 * KSI, 3.175) / OMEGA_WELD / KIP_IN == pytest.approx(1.591, abs=0.001)


def test_metal_beside_a_weld() -> None:
    # AISC 360 J4.2, 0.120 in: A36 2.088 rupture and 1.728 yield kip/in, A513-1020 1.872; computed.
    assert beside_rupture(58 * KSI, 3.048) / OMEGA_RUPTURE / KIP_IN == pytest.approx(2.088, abs=0.001)
    assert beside_yield(36 * KSI, 3.048) / OMEGA_YIELD / KIP_IN == pytest.approx(1.728, abs=0.001)
    assert beside_rupture(52 * KSI, 3.048) / OMEGA_RUPTURE / KIP_IN == pytest.approx(1.872, abs=0.001)


def test_increase_by_direction() -> None:
    # AISC 360 J2.4: 1 + 0.5 sin^1.5.
    found = [directional(a) for a in (0, 30, 45, 60, 90)]
    assert found == pytest.approx([1.0000, 1.1768, 1.2973, 1.4030, 1.5000], abs=5e-5)


def test_least_fillets() -> None:
    # AISC 360 table J2.4 and AWS D1.1 table 7.7; a fillet need not exceed the thinner part.
    assert [round(least_leg(t * 25.4) * 16 / 25.4, 6) for t in (0.25, 0.375, 0.625, 1.0)] == [2, 3, 4, 5]
    assert least_leg(2.6) == 2.6


def test_blodgetts_ring_in_pounds_and_inches() -> None:
    # Blodgett, Design of Weldments: d 1.75 in, M 2000, V 200, T 800; fb 831.5, fv 36.4, ft 166.3, together 855.9 lb/in.
    line = weld_line(ring(1.75), 0.088)
    none = np.zeros((3, 1))
    bending, torsion = np.array([[0.0], [2000.0], [0.0]]), np.array([[800.0], [0.0], [0.0]])
    shear = np.array([[0.0], [200.0], [0.0]])
    assert line.most(none, bending)[0] == pytest.approx(831.5, abs=0.05)
    assert line.most(shear, none)[0] == pytest.approx(36.4, abs=0.05)
    assert line.most(none, torsion)[0] == pytest.approx(166.3, abs=0.05)
    assert line.most(shear, bending + torsion)[0] == pytest.approx(855.9, abs=0.06)
    sixteenths = line.most(shear, bending + torsion)[0] / 928
    assert sixteenths == pytest.approx(0.92, abs=0.005)


def test_properties_of_blodgetts_ring() -> None:
    # Lw = pi d, Sw = pi d^2 / 4, Jw = pi d^3 / 4.
    line = weld_line(ring(48.3), 1.84)
    moments = line.second_moments
    assert line.length == pytest.approx(math.pi * 48.3)
    assert moments[1, 1] / (48.3 / 2) == pytest.approx(math.pi * 48.3**2 / 4)
    assert moments[0, 0] == pytest.approx(math.pi * 48.3**3 / 4)


def test_blodgetts_ring_in_millimetres() -> None:
    # d 48.3 mm, M 200 N m: 109.2 N/mm; computed.
    found = weld_line(ring(48.3), 1.84).most(np.zeros((3, 1)), np.array([[0.0], [0.0], [200_000.0]]))
    assert found[0] == pytest.approx(109.2, abs=0.05)


@pytest.mark.parametrize(
    ("yield_", "tensile", "correlation", "stress"),
    [
        (235, 360, 0.80, 207.8),
        (275, 410, 0.85, 222.8),
        (275, 430, 0.85, 233.7),
        (355, 470, 0.90, 241.2),
        (355, 510, 0.90, 261.7),
    ],
)
def test_simple_method_of_eurocode(yield_: float, tensile: float, correlation: float, stress: float) -> None:
    # EN 1993-1-8 4.5.3.3 and table 4.1.
    assert yield_ > 0
    assert simple_stress(tensile, correlation) == pytest.approx(stress, abs=0.05)


def test_two_fillets_by_eurocode() -> None:
    # EN 1993-1-8: two of 50 mm, throat 3, S235: 54.87 kN with 2a taken off each, 62.35 without.
    stress = simple_stress(360, 0.80)
    assert 2 * effective_length(50, 3) * 3 * stress / 1000 == pytest.approx(54.87, abs=0.005)
    assert 2 * 50 * 3 * stress / 1000 == pytest.approx(62.35, abs=0.005)


def test_fillets_on_sheet() -> None:
    # AISI S100 J2.5 (from memory): t 0.0747 in, Fu 52 ksi, L 1.5 in: 1.826 kip along, 2.479 kip across.
    t, length, tensile = 0.0747 * 25.4, 1.5 * 25.4, 52 * KSI
    along, across = sheet_longitudinal(length, t, tensile), sheet_transverse(length, t, tensile)
    assert along[0] / POUND / 1000 == pytest.approx(4.657, abs=0.001)
    assert along[0] / along[1] / POUND / 1000 == pytest.approx(1.826, abs=0.001)
    assert across[0] / POUND / 1000 == pytest.approx(5.827, abs=0.001)
    assert across[0] / across[1] / POUND / 1000 == pytest.approx(2.479, abs=0.001)


def test_a_leg_of_the_walls_size_by_both_books() -> None:
    # A second figure for the ring weld of 33.7 x 2.6 in S235: AISC with E70 and the wall beside it (ASD), EN 1993-1-8
    # simplified (a design value, to be set against loads times 1.5). EN over 1.5 lies within a fifth of the lesser ASD.
    leg, fu, fy = 2.6, 360.0, 235.0
    asd = min(
        fillet_line(70 * KSI, leg) / OMEGA_WELD,
        beside_rupture(fu, leg) / OMEGA_RUPTURE,
        beside_yield(fy, leg) / OMEGA_YIELD,
    )
    en = simple_stress(fu, 0.80) * leg * math.sqrt(0.5) / 1.5
    assert asd == pytest.approx(244.4, abs=0.1)
    assert en == pytest.approx(254.7, abs=0.1)
