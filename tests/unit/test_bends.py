"""Bend sheets and the test-bend form: marks, set angles, holes, seam, what is not measured."""

import dataclasses
import math

import pytest
from small_rack import BACK, CLR, LEG, MM, TUBE, small_rack

from rackgen.errors import Level
from rackgen.geom import spine
from rackgen.geom.cope import Cope, Plane
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.bend_rows import bend_tables, bends_table
from rackgen.sheets.bends import BendSheet, bend_sheets
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.seam import seam
from rackgen.sheets.trial_bend import legs_less_length, trial_bends, trial_bends_text
from rackgen.spec.shop import Die, Measured, Shop

QUARTER = CLR * math.pi / 2


def shop(**die: object) -> Shop:
    return dataclasses.replace(MM, dies=(dataclasses.replace(MM.dies[0], **die),))


MEASURED = shop(measured=(Measured(TUBE.name, 1.8, 3.0),), mark_at="start", keep_clear=100.0)


def only(rack: Rack, made_in: Shop = MM) -> BendSheet:
    (sheet,), _ = bend_sheets(rack, made_in)
    return sheet


def rack_of(part: BentTube, word: str = "part") -> Rack:
    one, frame = canonical(part)
    return Rack((Placed("x", one, frame, word, 1), Placed("y", one, Frame(), word, 1)), ())


def test_a_hoops_marks_run_from_its_sawn_end() -> None:
    sheet = only(small_rack())
    assert (sheet.mark, sheet.word, sheet.quantity, sheet.end) == ("T1", "hoop", 1, "A")
    one, two = sheet.bends
    assert (one.feed, one.start) == pytest.approx((LEG + 10.0, LEG + 10.0))
    assert (two.feed, two.start) == pytest.approx((BACK, LEG + 10.0 + QUARTER + BACK), abs=0.01)
    assert two.middle - two.start == pytest.approx(QUARTER / 2, abs=0.01)
    assert sheet.cut == pytest.approx(2 * LEG + BACK + 2 * QUARTER + 20.0, abs=0.01)
    assert [(b.angle, b.turn, b.clock) for b in sheet.bends] == [(90.0, 0.0, 0.0)] * 2


def test_what_a_mark_means_is_not_guessed() -> None:
    start = LEG + 10.0
    for die, mark in (
        (shop(), None),
        (shop(mark_at="start"), start),
        (shop(mark_at="centre"), start + QUARTER / 2),
        (shop(mark_at="die mark", die_mark_offset=12.0), start - 12.0),
    ):
        assert only(small_rack(), die).bends[0].mark == (None if mark is None else pytest.approx(mark, abs=0.01))


def test_a_test_bend_sets_angles_and_takes_stretch_off() -> None:
    plain, sheet = only(small_rack()), only(small_rack(), MEASURED)
    assert sheet.springback_from == "test bend"
    assert [b.set_angle for b in sheet.bends] == [91.8, 91.8]
    assert sheet.stretch == pytest.approx(6.0)
    assert sheet.cut == pytest.approx(plain.cut - 6.0)
    assert sheet.bends[0].start == plain.bends[0].start
    assert sheet.bends[1].start == pytest.approx(plain.bends[1].start - 3.0)


def test_smaller_bends_spring_back_and_stretch_less() -> None:
    rack = rack_of(BentTube(TUBE, Spine((300.0, 300.0), (Bend(30.0, CLR),))))
    sheet = only(rack, MEASURED)
    assert sheet.quantity == 2
    assert sheet.bends[0].set_angle == pytest.approx(30.6)
    assert sheet.stretch == pytest.approx(1.0)
    assert sheet.bends[0].band == pytest.approx((30 + 1 / 3, 30 + 4 / 3))


def test_without_a_test_bend_the_grade_gives_an_estimate() -> None:
    sheet = only(small_rack())
    assert sheet.springback_from == "estimate"
    assert "EN 10305-3" in sheet.source
    # Z Fy CLR / (E I), spelled out once more.
    od, bore = 33.7, 28.5
    share = (od**3 - bore**3) / 6 * 235 * CLR / (210_000 * math.pi / 64 * (od**4 - bore**4))
    assert sheet.springback == pytest.approx(90 * share)
    assert sheet.bends[0].band == (91.0, 94.0)
    unknown = dataclasses.replace(TUBE, grade="mild steel, no certificate")
    bare = only(rack_of(BentTube(unknown, Spine((300.0, 300.0), (Bend(90.0, CLR),)))))
    assert (bare.springback, bare.springback_from, bare.bends[0].set_angle) == (None, "", None)


@pytest.mark.parametrize("made_in", [MM, MEASURED, dataclasses.replace(MM, trim=0.0)])
@pytest.mark.parametrize("word", ["part", "bearer"])
def test_cut_length_is_the_cut_lists(made_in: Shop, word: str) -> None:
    part = BentTube(
        TUBE,
        Spine((300.0, 500.0, 400.0), (Bend(90.0, CLR), Bend(40.0, CLR, 70.0))),
        end_a=(Cope(33.7, 0.0, 70.0),),
        end_b=(Plane(20.0, 12.0, 0.0),),
    )
    rack = rack_of(part, word)
    cuts, _ = cut_list(rack, made_in)
    assert only(rack, made_in).cut == pytest.approx(cuts.lines[0].saw, abs=1e-6)


def test_holes_lie_where_they_end_up() -> None:
    holes = tuple(TubeHole(at, 0.0, 5.0, "vent") for at in (50.0, 300.0 + QUARTER / 2, 300.0 + QUARTER + 100.0))
    part = BentTube(TUBE, Spine((300.0, 700.0), (Bend(90.0, CLR),)), holes=holes)
    rack = Rack((Placed("x", part, Frame(), "part", 1),), ())
    places = [(round(h.at, 3), h.after) for h in only(rack, MEASURED).holes]
    assert places == [
        (60.0, False),
        (round(310.0 + QUARTER / 2 - 1.5, 3), True),  # in the bend, with half its stretch
        (round(310.0 + QUARTER + 100.0 - 3.0, 3), False),
    ]
    # Behind a bend that stretches by who knows how much, a hole is drilled afterwards.
    assert [h.after for h in only(rack).holes] == [False, True, True]


def test_a_tube_with_a_short_end_is_described_from_the_other() -> None:
    part = BentTube(
        TUBE,
        Spine((40.0, 500.0, 400.0), (Bend(90.0, CLR), Bend(45.0, CLR, 60.0))),
        holes=(TubeHole(20.0, 10.0, 5.0, "vent"),),
    )
    rack = Rack((Placed("x", part, Frame(), "part", 1),), ())
    sheet = only(rack)
    assert sheet.end == "B"
    assert [b.angle for b in sheet.bends] == [45.0, 90.0]
    assert sheet.bends[0].start == 410.0
    assert sheet.holes[0].at == pytest.approx(sheet.cut - 30.0)
    (table,) = bend_tables((sheet,), "mm")
    assert [row[2] for row in table.rows if row[2].startswith("end")] == ["end B as sawn", "end A as sawn"]


def test_a_tube_without_a_die_still_has_its_places() -> None:
    sheet = only(small_rack(), dataclasses.replace(MM, dies=()))
    assert sheet.die is None
    assert sheet.bends[0].mark is None
    assert sheet.bends[1].start == pytest.approx(LEG + 10.0 + QUARTER + BACK, abs=0.01)
    assert trial_bends((sheet,)) == ()


@pytest.mark.parametrize(
    ("bends", "holes", "clock", "off"),
    [
        (((0.0, 90.0),), (), 90.0, 0.0),
        (((0.0, 90.0), (180.0, 90.0)), (90.0,), 270.0, 0.0),
        (((0.0, 90.0), (90.0, 90.0)), (), 45.0, 45.0),
        (((0.0, 90.0), (30.0, 60.0)), (105.0,), 285.0, 15.0),
        (((10.0, 45.0),), (100.0, 280.0), 100.0, 0.0),
        (((0.0, 13.5), (270.0, 90.0)), (0.0,), 180.0, 0.0),  # a gentle bend has no say
    ],
)
def test_the_seam_lies_beside_the_bends(
    bends: tuple[tuple[float, float], ...], holes: tuple[float, ...], clock: float, off: float
) -> None:
    found = seam(bends, holes)
    assert found.clock == clock
    assert found.off == pytest.approx(off, abs=1e-6)


def test_what_is_not_measured_is_a_note_and_a_form() -> None:
    (note,) = bend_sheets(small_rack(), MM)[1]
    assert (note.code, note.level, note.parts) == ("die-unmeasured", Level.NOTE, ("frame.hoop",))
    for what in ("springback", "elongation", "mark means", "takes up"):
        assert what in note.text
    (form,) = trial_bends((only(small_rack()),))
    assert form.lacks == ("springback", "elongation", "mark_at")
    assert form.offcut >= form.mark + QUARTER + 60.0
    assert form.mark >= 90.0
    text = trial_bends_text((form,), "mm")
    assert f"a + b - L - {33.7 + 2 * CLR - QUARTER:.1f}" in text
    assert f"a - m - {33.7 / 2 + CLR:.1f}" in text
    assert max(map(len, text.splitlines())) <= 110


def test_a_shop_that_measured_everything_is_left_alone() -> None:
    sheets, notes = bend_sheets(small_rack(), MEASURED)
    assert notes == ()
    assert trial_bends(sheets) == ()
    assert "has its test bend" in trial_bends_text((), "mm")


def test_half_a_test_bend_asks_for_the_other_half() -> None:
    half = shop(measured=(Measured(TUBE.name, springback=1.8),), mark_at="start", keep_clear=1.0)
    sheets, (note,) = bend_sheets(small_rack(), half)
    assert note.text.endswith("lacks elongation")
    (form,) = trial_bends(sheets)
    assert form.lacks == ("elongation",)
    assert "mark_at" not in trial_bends_text((form,), "mm")


@pytest.mark.parametrize("grows", [-0.5, 0.0, 2.4])
def test_the_forms_numbers_give_back_what_the_tube_did(grows: float) -> None:
    """Bend an offcut on paper, measure its outside legs, and read the stretch and the mark's offset off the form."""
    od, length, start, drawn = 33.7, 400.0, 110.0, 98.0
    # What is left behind the bend: the offcut less what the bend used up, its arc less the stretch.
    bent = Spine((start, length - start - (QUARTER - grows)), (Bend(90.0, CLR),))
    end_a, corner, end_b = spine.corners(bent)
    a, b = math.dist(end_a, corner) + od / 2, math.dist(corner, end_b) + od / 2
    assert a + b - length - legs_less_length(od, CLR) == pytest.approx(grows)
    offset = a - drawn - (od / 2 + CLR)
    die = dataclasses.replace(MM.dies[0], mark_at="die mark", die_mark_offset=offset)
    rack = Rack((Placed("x", BentTube(TUBE, bent), Frame(), "part", 1),), ())
    sheet = only(rack, dataclasses.replace(MM, dies=(die,), trim=0.0))
    assert sheet.bends[0].mark == pytest.approx(drawn, abs=1e-3)


def test_rows_are_in_running_order_and_in_the_shops_unit() -> None:
    sheets, _ = bend_sheets(small_rack(), MEASURED)
    table = bends_table(sheets, "mm")
    places = [float(row[3]) for row in table.rows]
    assert places == sorted(places)
    assert places[0] == 0.0
    whats = [row[4] for row in table.rows]
    assert [int(row[2]) for row in table.rows] == list(range(1, len(table.rows) + 1))
    assert whats.count("trim line, sawn off after bending") == 2
    assert "MARK bend 1: starts here" in whats
    inch = bends_table(bend_sheets(small_rack(), dataclasses.replace(MEASURED, unit="in"))[0], "in")
    assert inch.columns[3].title == "at in"
    # 10 mm is 0.394 in: 13/32 to the nearest 32nd.
    assert inch.rows[1][3] == "13/32"


def test_die_of_another_name_is_shown() -> None:
    die = Die("the big one", 33.7, CLR, 90.0, 60.0)
    (table,) = bend_tables(bend_sheets(small_rack(), dataclasses.replace(MM, dies=(die,)))[0], "mm")
    assert "die the big one, CLR 120" in table.title
    assert any("creep up" in note for note in table.notes)


def test_a_positive_turn_is_clockwise_seen_from_the_end() -> None:
    """Looking along the tube with the first bend's side up, the right hand points to X x Z, which is -Y."""
    line = Spine((300.0, 300.0, 300.0), (Bend(1.0, CLR), Bend(90.0, CLR, 90.0)))
    (sheet,), _ = bend_sheets(Rack((Placed("x", BentTube(TUBE, line), Frame(), "part", 1),), ()), MM)
    assert [(b.turn, b.clock) for b in sheet.bends] == [(0.0, 0.0), (90.0, 90.0)]
    assert spine.corners(line)[-1][1] < -300.0
