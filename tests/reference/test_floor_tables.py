"""Floors against tables: expanded metal by NAAMM EMMA 557, square bar and slats by handbook formulas."""

from __future__ import annotations

import pytest

from rackgen.parts.skin import strands
from rackgen.spec.find import presets
from rackgen.spec.read import read_shop
from rackgen.spec.stock import DENSITY, Expanded, Flat
from rackgen.strength.lines import flat_properties
from rackgen.units import INCH

LB_FT2 = 4.88242764
"""kg/m² in one lb/ft²: exact pound and foot."""

EMMA = {
    "1/4 #18": (1.14, 0.250, 1.00, 0.048, 0.072, 0.135, 42),
    "1/2 #18": (0.70, 0.500, 1.20, 0.048, 0.088, 0.172, 65),
    "1/2 #16": (0.86, 0.500, 1.20, 0.060, 0.087, 0.175, 65),
    "1/2 #13": (1.47, 0.500, 1.20, 0.092, 0.096, 0.204, 62),
    "3/4 #16": (0.54, 0.923, 2.00, 0.060, 0.101, 0.210, 78),
    "3/4 #13": (0.80, 0.923, 2.00, 0.092, 0.096, 0.205, 79),
    "3/4 #10": (1.20, 0.923, 2.00, 0.092, 0.144, 0.290, 69),
    "3/4 #9": (1.80, 0.923, 2.00, 0.134, 0.150, 0.312, 67),
    "1-1/2 #16": (0.40, 1.33, 3.00, 0.060, 0.108, 0.230, 84),
    "1-1/2 #13": (0.60, 1.33, 3.00, 0.092, 0.105, 0.242, 84),
    "1-1/2 #9": (1.20, 1.33, 3.00, 0.134, 0.144, 0.312, 78),
    "1-1/2 #6": (2.50, 1.33, 3.00, 0.198, 0.203, 0.437, 69),
}
"""Raised carbon steel: lb/ft², SWD, LWD, strand thickness and width, overall, in; open share, % (from memory)."""


def section(row: tuple[float, ...]) -> Expanded:
    mass, swd, lwd, thick, wide, overall, _ = row
    return Expanded(
        "raised", swd * INCH, lwd * INCH, thick * INCH, wide * INCH, overall * INCH, mass * LB_FT2, 1219.2, 2438.4
    )


@pytest.mark.parametrize("name", EMMA)
def test_a_row_weighs_what_its_strands_do(name: str) -> None:
    """Two strands lie in every short way, which is how a shop file's mass is held to its strand."""
    row = EMMA[name]
    metal = section(row)
    share = 2 * metal.strand_width / metal.swd
    assert metal.mass_per_area == pytest.approx(share * metal.strand_thickness * DENSITY["steel"] * 1e-3, rel=0.03)
    assert 100 * (1 - share) == pytest.approx(row[-1], abs=1.0)
    # Its surface by mass: girth over area of the strand, times the steel that lies in a square metre.
    girth = 2 * (metal.strand_thickness + metal.strand_width) / (metal.strand_thickness * metal.strand_width)
    assert strands(metal) == pytest.approx(girth * metal.mass_per_area / DENSITY["steel"] * 1e3, rel=0.03)


def test_the_inch_shop_s_mesh_is_a_row_of_the_table() -> None:
    shops = [p.name for p in presets() if p.kind == "shop"]
    found = {stock.name: metal for shop in shops for stock, metal in read_shop(shop).meshes()}
    mesh = found["raised mesh 3/4 #13"]
    want = section(EMMA["3/4 #13"])
    for key in ("swd", "lwd", "strand_thickness", "strand_width", "overall", "mass_per_area"):
        assert getattr(mesh, key) == pytest.approx(getattr(want, key), rel=1e-6), key


@pytest.mark.parametrize("side", [10.0, 12.0, 12.7, 16.0])
def test_a_square_bar(side: float) -> None:
    """I = a⁴/12 and J = 0.1406 a⁴ (Timoshenko and Goodier, Theory of Elasticity, table for b/c = 1; from memory)."""
    found = flat_properties(Flat(side, side))
    assert found.area == pytest.approx(side**2)
    assert found.iy == pytest.approx(side**4 / 12)
    assert found.iz == pytest.approx(side**4 / 12)
    assert found.j == pytest.approx(0.1406 * side**4, rel=2e-3)


@pytest.mark.parametrize(("ratio", "beta"), [(1.5, 0.196), (2.0, 0.229), (3.0, 0.263), (4.0, 0.281), (10.0, 0.312)])
def test_a_slat_twists_by_the_table(ratio: float, beta: float) -> None:
    """J = beta b c³ by b/c (same table, from memory); bending about either axis by b c³/12 and c b³/12."""
    thick = 5.0
    found = flat_properties(Flat(ratio * thick, thick))
    assert found.j == pytest.approx(beta * ratio * thick**4, rel=6e-3)
    assert found.iy == pytest.approx(ratio * thick**4 / 12)
    assert found.iz == pytest.approx(ratio**3 * thick**4 / 12)
