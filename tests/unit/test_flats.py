"""Flat blanks: what the table may see of them."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from small_rack import BAR, MM, PLATE, small_rack

from rackgen.errors import Finding, Level
from rackgen.geom import outline
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import BarEnd, Break, CutPlate, FoldedBar, Part, PlateHole
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.flats import Blank, blanks, closure_error, flattened
from rackgen.sheets.nick import crossings, nicked
from rackgen.spec.shop import Shop

MARKING = dataclasses.replace(MM, table=dataclasses.replace(MM.table, can_mark=True, smallest_hole=4.0))


def blank(word: str, shop: Shop = MM) -> Blank:
    found, findings = blanks(small_rack(), shop)
    assert not findings
    (one,) = [b for b in found if b.word == word]
    return one


def alone(part: Part, shop: Shop = MM) -> tuple[tuple[Blank, ...], tuple[Finding, ...]]:
    return blanks(Rack((Placed("one.part", part, Frame(), "plate", 2),), ()), shop)


def test_every_distinct_bar_and_plate_has_one_blank() -> None:
    found, _ = blanks(small_rack(), MM)
    assert [(b.mark, b.quantity) for b in found] == [("B1", 2), ("B2", 2), ("P1", 1), ("P2", 1)]


def test_holes_too_small_to_cut_are_centre_marks() -> None:
    plate, strap = blank("plate"), blank("strap")
    assert (len(plate.holes), len(plate.centres), len(plate.openings)) == (0, 6, 1)
    assert (len(strap.holes), len(strap.centres)) == (0, 4)
    assert "4 centres: drill 6.5 mm" in strap.notes
    assert "4 centres: drill 0.256 in" in blank("strap", dataclasses.replace(MM, unit="in")).notes
    better = blank("plate", MARKING)
    assert (len(better.holes), len(better.centres)) == (6, 0)


def test_the_limit_itself_is_cut() -> None:
    plate = CutPlate(PLATE, rectangle(100, 80), (PlateHole(0, 0, 8.0), PlateHole(20, 0, 7.99)))
    (found,), _ = alone(plate)
    assert ([h.diameter for h in found.holes], [h.diameter for h in found.centres]) == ([8.0], [7.99])


def test_nicks_stand_where_the_table_cannot_mark_and_nowhere_else() -> None:
    for word in ("strap", "plate"):
        marked = blank(word, MARKING)
        assert marked.cut == marked.outline
        nicks = blank(word)
        # Two V nicks, 2 mm wide and deep, and nothing else.
        assert outline.area(nicks.outline) - outline.area(nicks.cut) == pytest.approx(2 * 2.0, abs=1e-6)
        lost = shapely.Polygon(outline.polygon(nicks.outline)).difference(shapely.Polygon(outline.polygon(nicks.cut)))
        for end in (nicks.folds[0].start, nicks.folds[0].end):
            assert shapely.Point(end).distance(lost) < 1e-6
    assert blank("brace").cut == blank("brace").outline


def test_a_fold_line_stands_in_the_middle_of_its_allowance() -> None:
    strap = blank("strap")
    (fold,) = strap.folds
    into = math.radians(82) * (8 + 5 * 0.5 * (0.65 + 0.5 * math.log10(8 / 5)))
    assert fold.start == (pytest.approx(110 + into / 2), -25.0)
    assert fold.end == (pytest.approx(110 + into / 2), 25.0)
    assert fold.width == pytest.approx(into)
    assert [h.x for h in strap.centres] == pytest.approx([110 + into + 90 + 24 * k for k in range(4)])


def test_a_skewed_and_bevelled_end_reaches_to_its_longest() -> None:
    bar = FoldedBar(BAR, (100.0,), end_a=BarEnd(bevel=-20.0), end_b=BarEnd(skew=10.0, radius=4.0))
    flat = flattened(bar)
    points = outline.polygon(flat.outline)
    bevel, skew = 2.5 * math.tan(math.radians(20)), 25 * math.tan(math.radians(10))
    assert points[:, 0].min() == pytest.approx(-bevel)
    # The +Y edge is the long one; its corner is rounded off.
    top = points[points[:, 1] > 20]
    assert top[:, 0].max() == pytest.approx(100 + skew, abs=2.5)
    assert points[points[:, 1] < -20][:, 0].max() < 100
    assert outline.area(flat.outline) == pytest.approx((100 + bevel) * 50, rel=2e-3)


def test_expanded_metal_never_goes_on_the_table() -> None:
    floor = blank("floor")
    assert not floor.on_table
    assert floor.cut == floor.outline
    assert "shear or disc" in floor.notes[0]


def test_an_opening_too_narrow_to_cut_is_on_the_marked_drawing_and_a_look() -> None:
    plate = CutPlate(PLATE, rectangle(100, 80), openings=(rectangle(20, 6, 3), rectangle(20, 9, 3, (0, 20))))
    (found,), findings = alone(plate)
    assert (len(found.openings), len(found.drilled)) == (1, 1)
    assert [(f.code, f.level, f.got, f.limit) for f in findings] == [
        ("opening-narrow", Level.LOOK, pytest.approx(6.0), 8.0)
    ]


def test_two_breaks_close_within_the_missing_angle() -> None:
    # Missing angle at the crossing by the angles of the four quarters' edges, in three dimensions.
    a, b = 5.0, 4.0
    ta, tb = math.tan(math.radians(a / 2)), math.tan(math.radians(b / 2))
    along, across = np.array([1, 0, -ta]), np.array([0, 1, -tb])
    quarter = math.acos(along @ across / np.linalg.norm(along) / np.linalg.norm(across))
    missing = 2 * math.pi - 4 * quarter
    plate = CutPlate(PLATE, rectangle(120, 100), breaks=(Break((10, 5), 90.0, a), Break((0, 5), 0.0, b)))
    assert closure_error(plate) == pytest.approx(abs(missing) * 70.0, rel=1e-6)
    assert closure_error(dataclasses.replace(plate, breaks=plate.breaks[:1])) == 0.0


def test_a_plate_that_does_not_close_is_a_look() -> None:
    def broken(angle: float) -> CutPlate:
        return CutPlate(PLATE, rectangle(120, 100), breaks=(Break((0, 0), 90.0, angle), Break((0, 0), 0.0, angle)))

    assert alone(broken(5.0))[1] == ()
    (found,) = alone(broken(8.0))[1]
    assert (found.code, found.level, found.limit) == ("breaks-do-not-close", Level.LOOK, 0.5)
    assert found.got == pytest.approx(4 * math.sin(math.radians(4)) ** 2 * 60, rel=1e-2)


def test_a_line_crosses_straights_and_arcs() -> None:
    shape = rectangle(100, 60, 20)
    assert np.array(crossings(shape, (0, 0), 0.0)) == pytest.approx(np.array([(-50, 0), (50, 0)]))
    # Through a rounded corner at 45 deg: its middle lies r (√2 - 1) inside the sharp corner.
    first, last = crossings(shape, (30, 10), 45.0)
    corner = 20 / math.sqrt(2)
    assert last == (pytest.approx(30 + corner), pytest.approx(10 + corner))
    assert first[1] == pytest.approx(-30) or first[0] == pytest.approx(-50)
    assert crossings(shape, (0, 31), 0.0) == ()


def test_a_nick_in_a_rounded_corner_keeps_the_rest_of_the_arc() -> None:
    shape = rectangle(100, 60, 20)
    corner = 20 / math.sqrt(2)
    cut = nicked(shape, [(30 + corner, 10 + corner)], 2.0)
    whole, left = (shapely.Polygon(outline.polygon(c, 1e-4)) for c in (shape, cut))
    lost = whole.difference(left)
    # The V is measured from the arc: its base, the chord, lies 0.025 mm inside, and the sliver outside it goes too.
    assert lost.area == pytest.approx((2.0 - 0.025) + 2 / 3 * 2 * 0.025, abs=2e-3)
    assert left.difference(whole).area < 1e-3
    assert lost.centroid.distance(shapely.Point(30 + corner, 10 + corner)) < 1.0


def test_a_nick_at_a_sharp_corner_and_across_the_start_of_the_contour() -> None:
    shape = rectangle(100, 60)
    for point in ((-50.0, -30.0), (50.0, 30.0), (0.0, -30.0)):
        cut = shapely.Polygon(outline.polygon(nicked(shape, [point], 2.0)))
        assert cut.is_valid
        assert 0.3 < 6000 - cut.area < 4.1


def test_a_fold_to_a_sharp_radius_still_has_a_blank() -> None:
    flat = flattened(FoldedBar(BAR, (50.0, 50.0), (Fold(90.0, 0.0),)))
    assert flat.length >= 100.0
