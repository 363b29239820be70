"""Paper wraps and hole saws as data."""

import dataclasses
import math

import numpy as np
import pytest
from small_rack import MM, small_rack

from rackgen.geom.cope import Cope, Plane
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.drawing import Drawing, Stroke, Words
from rackgen.sheets.hole_saw import METRIC, HoleSaw, hole_saw, hole_saw_table, hole_saws, saw_for, saw_words
from rackgen.sheets.tube_ends import tube_ends
from rackgen.sheets.wrap_templates import PaperWrap, paper_wraps, wrap_drawing, wrap_templates
from rackgen.sheets.wraps import wraps
from rackgen.spec.paper import Paper
from rackgen.spec.shop import Die, Shop
from rackgen.spec.stock import Round, Stock
from rackgen.units import INCH

TUBE = Stock("26.9 x 2.6 tube", Round(26.9, 2.6), "steel", "E235", "bare", 6000.0)
CARD = dataclasses.replace(MM, paper=Paper("A4", 0.3))
INCHES = dataclasses.replace(MM, unit="in")


def rack_of(*tubes: BentTube, word: str = "bearer") -> Rack:
    return Rack(tuple(Placed(f"t[{i}]", t, Frame(), word, 2) for i, t in enumerate(tubes)), ())


def straight(a: tuple[Cope | Plane, ...] = (), b: tuple[Cope | Plane, ...] = (), long: float = 400.0) -> BentTube:
    return BentTube(TUBE, Spine((long,)), a, b)


def one(rack: Rack, shop: Shop = MM) -> PaperWrap:
    (wrap,) = paper_wraps(rack, shop)
    return wrap


def said(drawing: Drawing) -> list[str]:
    return [i.text for i in drawing.items if isinstance(i, Words)]


LEANING = Cope(33.7, 6.9, 60.0, 2.0, 40.0)


def test_the_paper_is_longer_than_the_girth_by_its_thickness() -> None:
    for shop in (MM, CARD):
        for wrap in paper_wraps(small_rack(), shop):
            od = wrap.ends[0].tube.section.od
            assert wrap.girth == pytest.approx(math.pi * (od + shop.paper.thickness), abs=1e-9)
            for curve in (wrap.template, wrap.outside):
                assert curve[0][0] == 0.0
                assert curve[-1][0] == pytest.approx(wrap.girth, abs=1e-9)
                assert curve[0][1] == curve[-1][1]


def test_every_clock_keeps_its_share_and_every_height_stays() -> None:
    steel = next(w for w in wraps(rack_of(straight((LEANING,))), MM))
    paper = one(rack_of(straight((LEANING,))), CARD)
    a, b = np.array(steel.template), np.array(paper.template)
    np.testing.assert_allclose(a[:, 0] / steel.girth, b[:, 0] / paper.girth, atol=1e-12)
    np.testing.assert_array_equal(a[:, 1], b[:, 1])


def test_equal_edges_share_a_wrap_and_others_do_not() -> None:
    square = Cope(33.7, 2.0, 90.0)
    wrap = one(rack_of(straight((square,), (square,)), straight((square,), (square,), 500.0)))
    assert [e.name for e in wrap.ends] == ["T1 A", "T1 B", "T2 A", "T2 B"]
    assert wrap.quantity == 4
    # An offset bearer's ends are mirror images on paper.
    flush = Cope(33.7, 2.0, 90.0, 3.4)
    assert len(paper_wraps(rack_of(straight((flush,), (flush,))), MM)) == 2
    # Other tubes, other walls.
    thick = dataclasses.replace(straight((square,)), stock=dataclasses.replace(TUBE, section=Round(26.9, 3.2)))
    assert len(paper_wraps(rack_of(straight((square,)), thick), MM)) == 2


def test_a_mitred_end_has_one_too_and_a_square_end_none() -> None:
    assert one(rack_of(straight((Plane(4.0, 12.0, 30.0),)))).ends[0].end in ("A", "B")
    assert not paper_wraps(rack_of(straight((Plane(0.0, 0.0, 0.0),))), MM)
    assert not paper_wraps(rack_of(straight()), MM)


def test_clocks_run_to_the_right_at_a_and_to_the_left_at_b() -> None:
    for wrap in paper_wraps(rack_of(straight((LEANING,), (LEANING,))), MM):
        drawing = wrap_drawing(wrap, MM)
        clocks = {i.text: i.x / wrap.girth for i in drawing.items if isinstance(i, Words) and i.text.endswith("°")
                  and i.text[:-1].isdigit()}  # fmt: skip
        ninety = 0.25 if wrap.ends[0].seen == "A" else 0.75
        assert clocks["90°"] == pytest.approx(ninety)
        assert clocks["270°"] == pytest.approx(1 - ninety)
        assert clocks["180°"] == 0.5


def test_a_tube_bent_from_its_end_b_has_the_clocks_of_its_bend_sheet() -> None:
    # From A too little straight lies ahead of the first bend for the clamp.
    line = Spine((95.0, 200.0, 400.0), (Bend(40.0, 120.0), Bend(50.0, 120.0, 70.0)))
    tube = BentTube(TUBE, line, (), (Cope(33.7, 5.0, 90.0, 0.0, 100.0),))
    shop = dataclasses.replace(MM, dies=(Die("26.9", 26.9, 120.0, 150.0, 60.0),))
    (end,) = tube_ends(rack_of(tube, word="hoop"), shop)
    assert (end.end, end.seen) == ("B", "A")
    (cut,) = end.cuts
    assert isinstance(cut, Cope)
    # What stood at c stands at (clock of the last bend - c); a cope square across without offset is one with itself
    # turned by 180.
    assert cut.clock == pytest.approx((70.0 - 100.0) % 180.0)
    assert "trim line, 10.0 mm from the end as sawn, after bending" in end.line
    assert "first bend, as on the bend sheet" in end.zero


def test_the_paper_stands_above_every_place_of_the_cut_with_room_for_its_words() -> None:
    for shop in (MM, INCHES):
        for wrap in paper_wraps(small_rack(), shop):
            drawing = wrap_drawing(wrap, shop)
            step = 5.0 if shop.unit == "mm" else INCH / 4
            assert wrap.top / step == pytest.approx(round(wrap.top / step))
            high = max(y for _, y in wrap.template)
            inner = [i for i in drawing.items if isinstance(i, Words) and i.bold and "SIDE OUT" in i.text]
            assert inner
            assert all(high + 4.0 < i.y < wrap.top for i in inner)
            assert all(i.height >= 2.2 for i in drawing.items if isinstance(i, Words))


def test_the_piece_says_what_it_is_for() -> None:
    (template,) = wrap_templates(rack_of(straight((Cope(33.7, 2.0, 90.0, 3.4),))), MM)
    text = "\n".join((template.title, *said(template.drawing), *template.notes))
    for words in ("T1", "bearer, 1 end", "26.9 x 2.6 tube", "cope on OD 33.7 at 90°, offset 3.4", "THIS SIDE OUT",
                  "glue here", "waste", "this edge on the sawn end", "FULL line", "DASHED line", "Fit-up gap of 0.5 mm",
                  "Hole saw instead: 35 mm", "Clock 0"):  # fmt: skip
        assert words in text, words


def test_full_is_what_is_cut_square_and_dashed_the_outside_curve() -> None:
    wrap = one(rack_of(straight((LEANING,))))
    strokes = [i for i in wrap_drawing(wrap, MM).items if isinstance(i, Stroke)]
    assert [s.points for s in strokes if s.style == "cut"] == [wrap.template]
    assert [s.points for s in strokes if s.style == "hidden"] == [wrap.outside]


def test_hatching_stays_on_what_is_cut_away() -> None:
    wrap = one(rack_of(straight((LEANING,))))
    curve = np.array(wrap.template)
    diagonal = [
        i.points for i in wrap_drawing(wrap, MM).items
        if isinstance(i, Stroke) and len(i.points) == 2 and i.points[0][0] < i.points[1][0]
        and i.points[0][1] < i.points[1][1]
    ]  # fmt: skip
    assert len(diagonal) > 10
    for line in diagonal:
        for x, y in line:
            assert 0.0 <= y < np.interp(x, curve[:, 0], curve[:, 1])


@pytest.mark.parametrize(("header", "saw"), [(33.7, 35.0), (26.9, 27.0), (38.0, 38.0), (48.3, 51.0), (152.0, 152.0)])
def test_the_saw_is_the_next_at_or_above_the_header(header: float, saw: float) -> None:
    assert saw_for(header, "mm") == saw


@pytest.mark.parametrize(("header", "saw"), [(1.5, 1.5), (1.75, 1.75), (1.66, 1.6875), (1.9, 2.0), (6.0, 6.0)])
def test_inch_saws_are_the_next_at_or_above(header: float, saw: float) -> None:
    assert saw_for(header * INCH, "in") == pytest.approx(saw * INCH)


def test_over_the_largest_there_is_none() -> None:
    assert saw_for(160.0, "mm") is None
    assert list(METRIC) == sorted(set(METRIC))


def found(*cuts: Cope | Plane, shop: Shop = MM) -> HoleSaw | str:
    (end,) = tube_ends(rack_of(straight(cuts)), shop)
    return hole_saw(end, shop)


def test_what_a_hole_saw_does_not_reach_goes_by_the_wrap() -> None:
    assert "under 45" in str(found(Cope(60.3, 10.0, 40.0)))
    wide = dataclasses.replace(
        straight((Cope(48.3, 2.0, 90.0),)), stock=dataclasses.replace(TUBE, section=Round(42.4, 2.6))
    )
    assert "42.4 mm deep, over 38.1" in str(hole_saw(tube_ends(rack_of(wide), MM)[0], MM))
    assert "more than one cut" in str(found(Cope(33.7, 2.0, 90.0), Cope(33.7, 2.0, 90.0, 0.0, 90.0)))
    assert saw_words(found(Cope(60.3, 10.0, 40.0)), "mm").startswith("Not by hole saw, use the wrap: ")


def test_a_saw_cuts_as_deep_as_the_wrap() -> None:
    cut = Cope(33.7, 2.0, 70.0)
    saw = found(cut)
    assert isinstance(saw, HoleSaw)
    (wrap,) = paper_wraps(rack_of(straight((cut,))), MM)
    assert (saw.saw, saw.angle) == (35.0, 70.0)
    # On the tube's axis, where neither lean nor offset counts, saw and gapped header are equally deep.
    end = wrap.ends[0].gapped(MM.fit_up_gap)[0]
    assert isinstance(end, Cope)
    sine = math.sin(math.radians(70.0))
    assert saw.saw / 2 / sine - saw.beyond == pytest.approx((33.7 / 2 + MM.fit_up_gap) / sine - end.at)


def test_the_header_passes_on_the_side_that_is_named() -> None:
    # The header's axis lies at -offset along clock + 90: with a positive offset toward clock 270.
    saw = found(Cope(33.7, 2.0, 90.0, 3.4))
    assert isinstance(saw, HoleSaw)
    assert (saw.offset, saw.toward, saw.clock) == (3.4, 270.0, 0.0)
    leaning = found(Cope(33.7, 2.0, 60.0, -3.0, 10.0))
    assert isinstance(leaning, HoleSaw)
    assert (leaning.offset, leaning.toward, leaning.clock) == (3.0, 100.0, 10.0)


def test_the_sheet_has_a_row_for_every_coped_end() -> None:
    ends = hole_saws(small_rack(), MM)
    table = hole_saw_table(ends, "mm")
    assert len(table.rows) == len(ends) == len(wraps(small_rack(), MM))
    by = {row[:2]: dict(zip([c.key for c in table.columns], row, strict=True)) for row in table.rows}
    assert by[("T3", "A")]["saw"] == "35"
    assert by[("T3", "A")]["offset"] == "3.4"
    assert by[("T3", "A")]["else"] == ""
    steep = hole_saw_table(hole_saws(rack_of(straight((Cope(60.3, 10.0, 40.0),))), MM), "mm")
    assert steep.rows[0][-1].startswith("use the wrap: ")
    assert steep.rows[0][5] == ""
