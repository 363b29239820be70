"""Whether bar folds on its radius and its legs reach across the die."""

import dataclasses
import math

import pytest
from small_rack import MM

from rackgen.check.folding import fold_findings
from rackgen.errors import Finding, Level
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.parts.fold_radius import least_radius
from rackgen.parts.kinds import BarEnd, FoldedBar
from rackgen.parts.rack import Placed
from rackgen.spec.folding import Folding, Strip
from rackgen.spec.stock import Flat, Stock


def stock(grade: str, thickness: float = 5.0, material: str = "steel") -> Stock:
    return Stock("bar", Flat(50.0, thickness), material, grade, "bare", 6000.0)


def found(part: FoldedBar, *openings: float) -> dict[str, Finding]:
    shop = dataclasses.replace(MM, folding=Folding(openings=openings))
    return {f.code: f for f in fold_findings(Placed("x", part, Frame(), "bar", 1), part, shop)}


@pytest.mark.parametrize(
    ("made_of", "least"),
    [
        # DIN 6935 table 1 (from memory): over 4 to 5 mm 6, 8, 8 by class of tensile strength.
        (stock("S235JR EN 10025-2"), 6.0),
        (stock("S275JR"), 8.0),
        (stock("S355J2", 3.5), 6.0),
        (stock("no certificate"), 6.0),
        # Beyond that table, and for ASTM plate: AISC table 10-13 (from memory).
        (stock("S235JR", 10.0), 15.0),
        (stock("ASTM A36", 6.35), 9.525),
        (stock("ASTM A572 Gr 50", 6.35), 15.875),
        # Handbooks on 6061-T6 (from memory).
        (stock("6061-T6", 3.0, "aluminium"), 4.5),
        (stock("6061-T6", 6.0, "aluminium"), 18.0),
        (stock("5052-H32", 3.0, "aluminium"), 3.0),
        (stock("1.4301", 5.0, "stainless"), 5.0),
    ],
)
def test_least_radius_by_what_it_is_made_of(made_of: Stock, least: float) -> None:
    radius, source = least_radius(made_of, made_of.section.thickness, 90.0)  # type: ignore[union-attr]
    assert radius == pytest.approx(least)
    assert source


def test_the_tighter_edge_counts() -> None:
    part = FoldedBar(stock("S235"), (100.0, 100.0), (Fold(90.0, 8.0, 5.0),))
    assert found(part)["fold-tight"].got == 5.0
    part = dataclasses.replace(part, folds=(Fold(90.0, 8.0, 6.0),))
    assert found(part) == {}


@pytest.mark.parametrize("angle", [60.0, 90.0, -120.0])
def test_a_leg_lies_across_half_the_die_along_its_slope(angle: float) -> None:
    # Geometry of a die: at half its opening from the middle the leg, sloped by half the fold, must still lie on it.
    t, r, opening = 5.0, 8.0, 40.0
    half = math.radians(abs(angle) / 2)
    least = opening / 2 / math.cos(half) - (r + t) * math.tan(half)
    assert found(FoldedBar(stock("S235"), (least + 0.01, 100.0), (Fold(angle, r),)), opening) == {}
    short = FoldedBar(stock("S235"), (100.0, least - 0.5), (Fold(angle, r),))
    finding = found(short, opening)["leg-short"]
    assert finding.limit is not None
    assert finding.got == pytest.approx(finding.limit - 0.5)
    # A skew takes half its slope across the width off the leg's shorter edge.
    skewed = FoldedBar(stock("S235"), (100.0, least + 2.0), (Fold(angle, r),), end_b=BarEnd(skew=10.0))
    assert "leg-short" in found(skewed, opening)


def test_without_dies_in_the_shops_file_the_usual_opening_counts() -> None:
    # 8 x 5 mm wide: 28.3 mm outside at 90 degrees, of which 13 are setback.
    assert found(FoldedBar(stock("S235"), (15.4, 100.0), (Fold(90.0, 8.0),))) == {}
    finding = found(FoldedBar(stock("S235"), (15.0, 100.0), (Fold(90.0, 8.0),)))["leg-short"]
    assert "8 thicknesses" in finding.text
    assert finding.level is Level.LOOK


def test_the_narrowest_die_that_takes_the_thickness_is_meant() -> None:
    # 6 x 5 = 30 mm at least: 24 is too narrow, 32 is taken and its leg is 22.6 mm outside.
    part = FoldedBar(stock("S235"), (10.0, 100.0), (Fold(90.0, 8.0),))
    assert found(part, 24.0, 32.0, 60.0) == {}
    assert set(found(part, 24.0)) == {"die-narrow"}


def test_a_wide_radius_is_made_over_a_former() -> None:
    assert found(FoldedBar(stock("S235", 3.0), (5.0, 5.0), (Fold(90.0, 45.0),)), 24.0) == {}


def test_a_shop_that_wants_test_strips_is_told_what_it_has_not_folded() -> None:
    part = FoldedBar(stock("S235"), (100.0, 100.0), (Fold(90.0, 8.0),))
    strip = Strip(5.0, 8.0, 150.0, (80.0, 80.5))
    wants = Folding("test strip"), Folding("test strip", strips=(strip,)), Folding("DIN 6935")
    told = [
        {f.code for f in fold_findings(Placed("x", part, Frame(), "bar", 1), part, dataclasses.replace(MM, folding=f))}
        for f in wants
    ]
    assert told == [{"no-test-strip"}, set(), set()]
