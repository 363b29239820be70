"""Coating against published numbers."""

import pytest

from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Spine
from rackgen.parts import skin
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.sheets.coating import POUND, coverage, film_mass, zinc_mass
from rackgen.spec.stock import DENSITY, Expanded, Round, Stock
from rackgen.units import INCH

SQUARE_FOOT = (12 * INCH / 1000) ** 2


@pytest.mark.parametrize(
    ("od", "square_metres"), [(25.4, 0.0798), (38.1, 0.1197), (44.45, 0.1396), (48.3, 0.1517), (50.8, 0.1596)]
)
def test_the_surface_of_a_metre_of_tube(od: float, square_metres: float) -> None:
    """Surface tables of tube, m² a metre (from memory; each is pi times the diameter)."""
    tube = BentTube(Stock("t", Round(od, 2.0), "steel", "", ""), Spine((1000.0,)))
    assert skin.outside(tube) * 1e-6 == pytest.approx(square_metres, abs=6e-5)


@pytest.mark.parametrize(("od", "square_feet"), [(1, 0.2618), (1.5, 0.3927), (1.75, 0.4581), (2, 0.5236)])
def test_the_surface_of_a_foot_of_tube(od: float, square_feet: float) -> None:
    """Surface tables of tube, ft² a foot (from memory; pi times the diameter over 12)."""
    tube = BentTube(Stock("t", Round(od * INCH, 2.0), "steel", "", ""), Spine((12 * INCH,)))
    assert skin.outside(tube) * 1e-6 / SQUARE_FOOT == pytest.approx(square_feet, abs=6e-5)


def test_how_far_a_pound_of_powder_goes() -> None:
    """The powder trade's formula, ft²/lb = 192.3 / specific gravity / mils: its example, SG 1.6 at 2 mils, is 60.1."""
    film = 2 * INCH / 1000
    assert coverage(film, 1.6, 100.0) * POUND / SQUARE_FOOT == pytest.approx(60.1, rel=1e-3)
    assert coverage(INCH / 1000, 1.0, 100.0) * POUND / SQUARE_FOOT == pytest.approx(192.3, rel=6e-4)


@pytest.mark.parametrize(("um", "gravity", "grams"), [(80, 1.5, 120), (60, 1.4, 84)])
def test_the_mass_of_a_film(um: float, gravity: float, grams: float) -> None:
    """g/m² is micrometres times specific gravity: by definition of both."""
    assert film_mass(um / 1000, gravity) * 1000 == pytest.approx(grams)


@pytest.mark.parametrize(
    ("steel", "grams"), [(1.4, 325), (1.5, 325), (2.0, 395), (2.6, 395), (3.2, 505), (6.0, 505), (6.35, 610)]
)
def test_zinc_by_the_thickness_of_the_steel(steel: float, grams: float) -> None:
    """ISO 1461, mean coating (from memory)."""
    assert zinc_mass(steel) * 1000 == pytest.approx(grams)


@pytest.mark.parametrize(
    ("pounds", "swd", "t", "w"),
    [(1.14, 0.25, 0.048, 0.072), (0.80, 0.923, 0.092, 0.096), (1.80, 0.923, 0.134, 0.150), (1.20, 1.33, 0.134, 0.144)],
)
def test_the_surface_of_mesh_goes_with_its_published_weight(pounds: float, swd: float, t: float, w: float) -> None:
    """NAAMM EMMA 557 weights (from memory): weight over section is the length of strand, times girth its surface."""
    section = Expanded(
        "raised", swd * INCH, 2 * INCH, t * INCH, w * INCH, 3 * t * INCH, pounds * POUND / SQUARE_FOOT, 1e3, 1e3
    )
    panel = CutPlate(Stock("m", section, "steel", "", ""), rectangle(1000.0, 1000.0))
    strand = section.mass_per_area / (DENSITY["steel"] * section.strand_thickness * section.strand_width * 1e-6)
    girth = 2 * (section.strand_thickness + section.strand_width) / 1000
    assert skin.outside(panel) * 1e-6 == pytest.approx(strand * girth, rel=0.05)
