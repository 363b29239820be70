"""The cut list, line by line."""

import dataclasses
import math

import pytest
from small_rack import BACK, CLR, HALF, LEG, MM, TUBE, layout, small_rack

from rackgen.errors import Level
from rackgen.geom import cope
from rackgen.geom.cope import Cope, Plane
from rackgen.geom.outline import rectangle
from rackgen.parts.measure import mass
from rackgen.parts.resolve import resolve
from rackgen.sheets.cutlist import CutLine, CutList, cut_list
from rackgen.sheets.rows import cut_table, totals_table
from rackgen.sheets.words import bought_notes, by_hole_saw, end_words, hole_saw_depth, opening_notes, size
from rackgen.spec.shop import Measured, Shop

INCHES = dataclasses.replace(MM, unit="in")
BARE = dataclasses.replace(MM, fit_up_gap=0.0, weld_shrinkage=0.0, trim=0.0)


def made(shop: Shop = MM) -> CutList:
    found, findings = cut_list(small_rack(), shop)
    assert not findings
    return found


def line(word: str, shop: Shop = MM) -> CutLine:
    (found,) = [m for m in made(shop).lines if m.word == word]
    return found


def test_a_hoop_is_its_developed_length_and_its_trim() -> None:
    hoop = line("hoop")
    developed = 2 * LEG + BACK + math.pi * CLR
    assert hoop.long_point == pytest.approx(developed, abs=0.01)
    assert hoop.saw == pytest.approx(developed + 2 * 10.0, abs=0.01)
    assert (hoop.trim, hoop.gap, hoop.shrinkage) == (10.0, 0.0, 0.0)
    assert (hoop.throat, hoop.centres) == (None, None)
    assert hoop.ends == "square / square"
    # A hole marked from the sawn end would sit a trim too near: said apart from the bend sheet's place.
    assert hoop.notes == (
        "bends 90 on CLR 120, 90 on CLR 120",
        "vent 5 at 300.0 from A's trim line, clock 180",
        "drill by the bend sheet, which counts from the end as sawn",
    )


def test_a_cross_bar_runs_from_wall_to_wall() -> None:
    # Equal tubes, square: the throat is at the header's side, the ear at its axis less the 2 mm nip.
    bare, gapped = line("cross bar", BARE), line("cross bar")
    assert bare.centres == pytest.approx(2 * HALF, abs=0.01)
    assert bare.throat == pytest.approx(2 * HALF - 33.7, abs=0.01)
    assert bare.long_point == bare.saw == pytest.approx(2 * HALF - 2 * cope.NIP, abs=0.01)
    assert gapped.throat == pytest.approx(bare.throat - 2 * 0.5, abs=1e-6)
    assert gapped.long_point == pytest.approx(bare.long_point - 2 * 0.5, abs=1e-6)
    assert gapped.centres == bare.centres
    assert (gapped.gap, gapped.shrinkage, gapped.trim) == (pytest.approx(1.0), 0.0, 0.0)


def test_bearers_alone_get_the_shrinkage_of_both_their_welds() -> None:
    bare, bearer = line("bearer", BARE), line("bearer")
    assert bearer.quantity == 2
    assert bearer.shrinkage == pytest.approx(1.0)
    assert bearer.gap == pytest.approx(1.0)
    assert bearer.long_point == pytest.approx(bare.long_point - 1.0 + 1.0, abs=1e-6)
    assert line("cross bar").shrinkage == 0.0


def test_the_gap_of_a_leaning_cope_goes_by_the_sine() -> None:
    rack = small_rack()
    placed = next(p for p in rack.placed if p.word == "cross bar")
    end = (cope.sawn_back(Cope(48.3, 60.0, 45.0), -40.0),)
    leaning = dataclasses.replace(placed, part=dataclasses.replace(placed.part, end_a=end, end_b=()))
    found, _ = cut_list(dataclasses.replace(rack, placed=(leaning,)), MM)
    assert found.lines[0].gap == pytest.approx(0.5 / math.sin(math.radians(45)))
    bare, _ = cut_list(dataclasses.replace(rack, placed=(leaning,)), BARE)
    assert found.lines[0].throat == pytest.approx(bare.lines[0].throat - 0.5 * math.sqrt(2), abs=1e-6)


def test_a_plane_foot_keeps_no_gap() -> None:
    stub = line("saddle")
    assert stub.gap == pytest.approx(0.5)
    assert "cope 33.7 at 90" in stub.ends
    assert "mitre 5" in stub.ends


def test_bars_are_their_blanks_over_the_longer_edge() -> None:
    strap, brace = line("strap"), line("brace")
    assert strap.kind == "bar"
    assert strap.saw == pytest.approx(110 + 180 + math.radians(82) * (8 + 5 * 0.5 * (0.65 + 0.5 * math.log10(8 / 5))))
    # Square by bevel at one end, skewed 8 deg at the other: half of each leans out.
    assert brace.saw == pytest.approx(110 + 25 * math.tan(math.radians(8)) + 2.5 * math.tan(math.radians(27)), abs=1e-6)
    assert "bevel 27" in brace.ends
    assert "skew 8" in brace.ends


def test_plates_and_mesh_are_their_boxes() -> None:
    plate, floor = line("plate"), line("floor")
    assert (plate.kind, plate.saw, plate.width) == ("plate", pytest.approx(120), pytest.approx(100))
    assert plate.notes == ("6 holes 6.5", "1 opening 14 × 9", "1 break")
    assert (floor.kind, floor.saw, floor.width) == ("mesh", pytest.approx(700), pytest.approx(400))


def test_bought_parts_are_counted() -> None:
    rivet = line("rivet")
    assert (rivet.kind, rivet.quantity, rivet.stage, rivet.saw) == ("bought", 6, 0, 0.0)
    assert rivet.stock == "rivet closed 6.4"


def test_bought_parts_say_what_the_shelf_knows() -> None:
    assert bought_notes("M8 × 40", MM) == ("draw up to 12 N·m, again after 50 km (30 miles)",)
    # 12.202 N·m is 9 lb-ft by the definitions of pound, foot and standard gravity.
    bolt = dataclasses.replace(MM.u_bolts[0], torque=12.202)
    inches = dataclasses.replace(INCHES, u_bolts=(bolt,))
    assert bought_notes("M8 × 40", inches) == ("draw up to 9 lb-ft, again after 50 km (30 miles)",)
    assert bought_notes("closed 6.4", MM) == ("drill 6.5",)
    assert bought_notes("cap", MM) == ()


def test_openings_are_counted_by_size() -> None:
    slot, hole = rectangle(9.0, 14.0, 4.5), rectangle(60.0, 14.0, 3.0)
    assert opening_notes((slot, hole, slot), "mm") == ("2 openings 14 × 9", "1 opening 60 × 14")
    assert opening_notes((), "mm") == ()


def test_a_slit_sleeve_says_how_much_of_its_slit_stays_open() -> None:
    # 18 mm out of 33.7 tube; to the bore of 28.5 the circle shrinks by π × 5.2 = 16.34 mm.
    assert line("sleeve").notes == ("slit a strip 18 wide along the whole length; sprung in, 1.7 stays open",)


def test_the_list_says_what_clocks_and_faces_are() -> None:
    notes = " ".join(cut_table(made()).notes)
    for said in ("clockwise seen from end A", "inside of the first bend", "acute side", "+Z is the face"):
        assert said in notes


def test_braces_of_straps_are_read_fine_too() -> None:
    found = made()
    braces = tuple(dataclasses.replace(m, word="strap brace") for m in found.lines if m.word == "brace")
    (row,) = cut_table(dataclasses.replace(found, lines=braces)).rows
    assert row[5] == "115.0"


def test_lines_stand_in_cut_list_order_with_their_stage() -> None:
    found = made().lines
    assert [m.mark for m in found] == ["T1", "T2", "T3", "T4", "T5", "B1", "B2", "P1", "P2", "H1"]
    tubes = [m.stage for m in found if m.kind == "tube"]
    assert tubes == sorted(tubes)


def test_totals_add_up() -> None:
    found = made()
    tube = next(t for t in found.totals if t.stock == "33.7 × 2.6")
    assert tube.pieces == 3
    assert tube.length == pytest.approx(sum(m.saw * m.quantity for m in found.lines if m.stock == "33.7 × 2.6"))
    assert found.mass == pytest.approx(sum(mass(p.part) for p in small_rack().placed))
    assert found.mass == pytest.approx(sum(t.mass for t in found.totals))
    plate = next(t for t in found.totals if t.kind == "plate")
    assert (plate.length, plate.area) == (0.0, pytest.approx(12000.0))


def test_equal_tubes_with_different_names_are_two_lines_and_a_look() -> None:
    intent = layout()
    group = intent.groups[0]
    members = tuple(
        dataclasses.replace(m, word="cross bar") if m.id == "basket.bearer[1]" else m for m in group.members
    )
    rack, _ = resolve(dataclasses.replace(intent, groups=(dataclasses.replace(group, members=members),)))
    found, findings = cut_list(rack, MM)
    same = [m for m in found.lines if m.mark == "T3"]
    assert {(m.word, m.quantity) for m in same} == {("bearer", 1), ("cross bar", 1)}
    assert abs(same[0].saw - same[1].saw) == pytest.approx(1.0)
    assert [(f.code, f.level) for f in findings] == [("mark-two-lengths", Level.LOOK)]
    assert cut_list(rack, dataclasses.replace(MM, weld_shrinkage=0.0))[1] == ()


def test_the_cut_list_shows_what_the_saws_pages_show() -> None:
    rows = {
        row[1]: dict(zip([c.key for c in cut_table(made()).columns], row, strict=True))
        for row in cut_table(made()).rows
    }
    assert rows["hoop"]["saw"] == "2297.0"
    assert rows["cross bar"]["throat"] == "905.5"
    assert rows["brace"]["saw"] == "115.0"
    assert rows["hoop"]["allowed"] == "trim +10.0"
    assert rows["bearer"]["allowed"] == "gap -1.0, shrinkage +1.0"
    assert rows["rivet"]["saw"] == ""


def test_an_inch_shop_reads_inches() -> None:
    table = cut_table(made(INCHES))
    rows = {row[1]: dict(zip([c.key for c in table.columns], row, strict=True)) for row in table.rows}
    # 2296.99 mm is 90.433 in, to 1/32: 90-7/16; 905.3 mm is 35.642 in, to 1/32: 35-21/32.
    assert rows["hoop"]["saw"] == "90-7/16"
    assert rows["cross bar"]["throat"] == "35-21/32"
    assert "cope 1.327 at 90" in rows["cross bar"]["ends"]
    assert next(c.title for c in table.columns if c.key == "saw") == "saw in"
    assert totals_table(made(INCHES)).columns[4].title == "area ft2"


def test_rounding_does_not_add_up() -> None:
    # The total is rounded from the exact sum, not summed from rounded lengths.
    found = made()
    shown = dict(zip([r[0] for r in totals_table(found).rows], [r[3] for r in totals_table(found).rows], strict=True))
    exact = sum(m.saw * m.quantity for m in found.lines if m.stock == "26.9 × 2.6")
    assert shown["26.9 × 2.6"] == str(round(exact))


@pytest.mark.parametrize(
    ("mm", "unit", "said"),
    [(33.7, "mm", "33.7"), (120.0, "mm", "120"), (44.45, "in", "1-3/4"), (1.315 * 25.4, "in", "1.315")],
)
def test_sizes_are_called_as_the_shelf_calls_them(mm: float, unit: str, said: str) -> None:
    assert size(mm, unit) == said


def test_ends_are_said_in_words() -> None:
    assert end_words((), "mm") == "square"
    assert end_words((Plane(3.0, 0.0),), "mm") == "square"
    assert end_words((Plane(3.0, 12.34, 90.0),), "mm") == "mitre 12.3, short side at clock 90"
    two = (Cope(48.3, 20.0, 60.0, -2.5, 270.0), Plane(3.0, 5.0, 0.0))
    assert end_words(two, "mm") == "cope 48.3 at 60 offset -2.5, clock 270 + mitre 5, short side at clock 0"
    assert end_words((Cope(44.45, 20.0, 90.0),), "in") == "cope 1-3/4 at 90, clock 0"


def test_a_hole_saw_travels_the_width_of_a_square_branch() -> None:
    assert hole_saw_depth(Cope(48.3, 0.0, 90.0), 16.85) == pytest.approx(33.7, abs=0.01)
    assert by_hole_saw(Cope(48.3, 0.0, 90.0), 16.85)
    # Deeper than 38 mm, and under 45 deg: the wrap.
    assert not by_hole_saw(Cope(48.3, 0.0, 90.0), 24.15)
    assert not by_hole_saw(Cope(48.3, 0.0, 40.0), 10.0)


def test_measured_stretch_of_bends_comes_off_the_saw_length_alone() -> None:
    die = MM.dies[0]
    measured = dataclasses.replace(die, measured=(Measured(TUBE.name, elongation=1.5),))
    before, after = (
        next(line for line in cut_list(small_rack(), shop)[0].lines if line.word == "hoop")
        for shop in (MM, dataclasses.replace(MM, dies=(measured,)))
    )
    # Two bends of 90 deg.
    assert after == dataclasses.replace(before, saw=before.saw - 3.0, stretch=3.0)
    assert before.stretch == 0.0
