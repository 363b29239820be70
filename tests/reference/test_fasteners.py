"""Strengths of fasteners against published tables; what is from memory says so."""

import pytest

from rackgen.refs.fasteners import KSI, POUND, bolt, rivet_loads, rivet_nut, stress_area


@pytest.mark.parametrize(
    ("standard", "diameter", "shear", "tension"),
    [
        # ISO 15977, 15979, 15983 table 3 (from memory).
        ("ISO 15977 low", 4.8, 1200, 1700),
        ("ISO 15977 high", 6.4, 3400, 4850),
        ("ISO 15979", 6.4, 4900, 5700),
        ("ISO 15983", 3.2, 1900, 2500),
        # ISO 15981 (from memory): shear alone; ISO 16585 as a fastener guide quotes it: tension alone.
        ("ISO 15981", 4.0, 540, None),
        ("ISO 16585", 6.4, None, 8000),
    ],
)
def test_blind_rivets_by_iso(standard, diameter: float, shear: float | None, tension: float | None) -> None:  # type: ignore[no-untyped-def]
    found = rivet_loads(standard, diameter)
    assert found is not None
    assert (found.shear, found.tension) == (shear, tension)


@pytest.mark.parametrize(("grade", "shear", "tension"), [(30, 2402, 3025), (51, 4226, 5338)])
def test_blind_rivets_by_ifi_114(grade: int, shear: float, tension: float) -> None:
    # IFI-114, 3/16 in (from memory); pounds times 4.448.
    found = rivet_loads(f"IFI-114 grade {grade}", 4.7625)  # type: ignore[arg-type]
    assert found is not None
    assert (found.shear, found.tension) == (pytest.approx(shear, abs=1), pytest.approx(tension, abs=1))


def test_rivet_nuts() -> None:
    # GB/T 17880.6, as a fastener page quotes it.
    nut = rivet_nut(6)
    assert nut is not None
    assert (nut.proof, nut.shear, nut.turn_out, nut.hole) == (16500, 3000, 4.5, 9)


@pytest.mark.parametrize(("size", "area"), [(5, 14.2), (6, 20.1), (8, 36.6), (10, 58.0), (12, 84.3)])
def test_stress_areas_of_coarse_metric_threads(size: float, area: float) -> None:
    # ISO 898-1 (seen for M5 to M10).
    assert stress_area(size) == pytest.approx(area, abs=0.05)


@pytest.mark.parametrize(
    ("inches", "area"), [(0.25, 0.0318), (0.3125, 0.0524), (0.375, 0.0775), (0.4375, 0.1063), (0.5, 0.1419)]
)
def test_stress_areas_of_coarse_inch_threads(inches: float, area: float) -> None:
    # ASME B1.1: 0.7854 (D - 0.9743/n)^2, square inches.
    assert stress_area(inches * 25.4) / 25.4**2 == pytest.approx(area, abs=0.00006)


@pytest.mark.parametrize(("size", "newtons"), [(6, 11672), (8, 21233), (10, 33634), (12, 48874)])
def test_proof_loads_of_8_8(size: float, newtons: float) -> None:
    # ISO 898-1: proof stress 580 MPa on the stress area.
    assert bolt("8.8").proof * stress_area(size) == pytest.approx(newtons, abs=1)


@pytest.mark.parametrize(("inches", "pounds"), [(0.25, 2705), (0.3125, 4457), (0.375, 6587), (0.5, 12061)])
def test_proof_loads_of_grade_5(inches: float, pounds: float) -> None:
    # SAE J429 grade 5: 85 ksi on the stress area.
    assert bolt("SAE 5").proof * stress_area(inches * 25.4) / POUND == pytest.approx(pounds, rel=2e-4)


def test_tensile_strength_of_bolt_steel() -> None:
    # ISO 898-1 and SAE J429.
    assert [bolt(g).tensile for g in ("4.6", "8.8", "10.9", "12.9")] == [400, 800, 1040, 1220]
    assert bolt("SAE 8").tensile == pytest.approx(150 * KSI)
