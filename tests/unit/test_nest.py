"""Plate on sheets: remnants first, fewest sheets, what is left, and what is proved about it."""

import dataclasses
import subprocess
import sys
from pathlib import Path

import pytest
from small_rack import MESH, MM, PLATE, small_rack
from small_sheets import blank, corners, left_piece, plain, shop

from rackgen.errors import Level, NestError
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import CutPlate
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.mesh_layout import mesh_nests
from rackgen.sheets.nest import nest, nest_blanks
from rackgen.sheets.nest_check import check_nest, wrongs
from rackgen.sheets.nest_fit import panels_too_big, plates_too_big
from rackgen.sheets.nest_place import area, plates
from rackgen.sheets.nest_records import Laid, Nest, PlateSheet
from rackgen.sheets.nest_rects import largest_free
from rackgen.sheets.nest_rows import down, pieces_table, plate_names, sheets_table
from rackgen.sheets.nest_tighter import tighter_nest
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet, Stock


def sheets(found: Nest) -> tuple[PlateSheet, ...]:
    (one,) = found.plates
    return one.sheets


def test_only_plate_is_nested_and_bars_stay_with_the_sticks() -> None:
    found, flat, said = nest(small_rack(), MM)
    assert said == ()
    assert [(p.plate, [q.mark for s in p.sheets for q in s.pieces]) for p in found.plates] == [("plate 4", ["P2"])]
    assert {"B1", "B2", "P1", "P2"} == set(flat)


def test_spacing_is_the_most_of_six_kerf_and_thickness() -> None:
    table = MM.table
    assert [table.between(t) for t in (3.0, 6.0, 8.0)] == [6.0, 6.0, 8.0]
    assert dataclasses.replace(table, kerf=9.0).between(3.0) == 9.0
    assert dataclasses.replace(table, spacing=4.0).between(8.0) == 4.0


def test_remnants_are_used_before_a_fresh_sheet_and_the_smallest_that_does() -> None:
    flat = [plain("P1", 200, 100, 3)]
    (one,) = sheets(nest_blanks(flat, shop(left_piece(900, 900), left_piece(340, 250))))
    assert (one.length, one.width, one.fresh) == (340, 250, False)
    assert len(one.pieces) == 3


def test_what_goes_on_no_remnant_goes_on_a_fresh_sheet() -> None:
    flat = [plain("P1", 200, 100, 2), plain("P2", 500, 300)]
    small, fresh = sheets(nest_blanks(flat, shop(left_piece(250, 250))))
    assert (small.fresh, [p.mark for p in small.pieces]) == (False, ["P1", "P1"])
    assert (fresh.fresh, [p.mark for p in fresh.pieces]) == (True, ["P2"])


def test_a_remnant_is_used_once_for_each_that_is_there() -> None:
    flat = [plain("P1", 200, 100, 3)]
    assert [s.fresh for s in sheets(nest_blanks(flat, shop(left_piece(220, 120, 2))))] == [False, False, True]


def test_several_sheets_are_no_more_than_area_asks_for() -> None:
    (one,) = nest_blanks([plain("P1", 974, 484, 7)], shop()).plates
    # Four of them fill a sheet of 2000 by 1000 with 10 at its edges and 6 between them.
    assert (one.fresh, one.least) == (2, 2)


def test_the_margin_and_the_spacing_may_be_used_up_to_the_last() -> None:
    assert len(sheets(nest_blanks([plain("P1", 987, 487, 4)], shop()))) == 1
    assert len(sheets(nest_blanks([plain("P1", 987, 487.2, 4)], shop()))) == 2
    assert len(sheets(nest_blanks([plain("P1", 1980, 980)], shop()))) == 1


def test_what_is_left_is_one_large_rectangle() -> None:
    (one,) = sheets(nest_blanks([plain("P1", 120, 90, 4)], shop()))
    assert one.left is not None
    # In one column along the short edge: all of the sheet but 10 + 90 + 6 of its length.
    assert (one.left.length, one.left.width) == (pytest.approx(1894), 1000)
    assert one.share == pytest.approx(4 * 120 * 90 / 2e6)


def test_the_largest_free_rectangle() -> None:
    assert largest_free((100, 50), []) == (0, 0, 100, 50)
    assert largest_free((100, 50), [(0, 0, 30, 50)]) == (30, 0, 100, 50)
    assert largest_free((100, 50), [(40, 20, 60, 30)]) in [(0, 0, 40, 50), (60, 0, 100, 50), (0, 30, 100, 50)]
    assert largest_free((100, 50), [(-5, -5, 105, 55)]) is None


def test_half_turns_keep_the_grain() -> None:
    tall = [plain("P1", 300, 100, 3)]
    remnant = left_piece(140, 340)
    turned = nest_blanks(tall, shop(remnant))
    assert (sheets(turned)[0].fresh, sheets(turned)[0].pieces[0].angle) == (False, 90.0)
    kept = nest_blanks(tall, shop(remnant, rotations="half turns only"))
    assert all(s.fresh and all(p.angle == 0 for p in s.pieces) for s in sheets(kept))


def test_a_blank_bigger_than_every_sheet_is_a_stop_and_the_rest_is_nested() -> None:
    def placed(name: str, length: float, width: float) -> Placed:
        return Placed(name, CutPlate(PLATE, rectangle(length, width)), Frame(), "plate", 2)

    rack = Rack((placed("a.big", 1981.0, 400.0), placed("a.small", 300.0, 200.0)), ())
    found, flat, said = nest(rack, MM)
    (finding,) = said
    assert (finding.code, finding.level, finding.parts) == ("bigger-than-sheet", Level.STOP, ("a.big",))
    assert (finding.got, finding.limit) == (pytest.approx(1981.0), 1980.0)
    assert "1981 × 400 mm" in finding.text
    assert "2000 × 1000" in finding.text
    assert "a margin under 10 mm" in finding.help
    assert "split the piece" in finding.help
    (plate,) = found.plates
    assert [p.mark for s in plate.sheets for p in s.pieces] == [
        next(m for m, b in flat.items() if b.outline[0].x < 500)
    ]
    assert len(plate.left_out) == 1
    assert any("comes out of no sheet" in note for note in pieces_table(found, flat).notes)


def test_a_longer_remnant_takes_what_no_fresh_sheet_does() -> None:
    (one,) = sheets(nest_blanks([plain("P1", 2400, 100)], shop(left_piece(2500, 150))))
    assert not one.fresh


def test_a_blank_that_only_the_grain_keeps_off_is_told_so() -> None:
    part = CutPlate(PLATE, rectangle(500.0, 1500.0))
    rack = Rack((Placed("a", part, Frame(), "plate", 2),), ())
    (finding,) = nest(rack, shop(rotations="half turns only"))[2]
    assert (finding.got, finding.limit) == (pytest.approx(1500.0), 980.0)
    assert finding.help.startswith('rotations = "any quarter turn"')
    assert nest(rack, shop())[2] == ()


def test_inch_shops_read_fractions() -> None:
    inches = dataclasses.replace(shop(spacing=6.35, margin=9.525), unit="in")
    found = nest_blanks([plain("P1", 127.0, 76.2, 2)], inches)
    table = pieces_table(found, {"P1": plain("P1", 127.0, 76.2, 2)})
    assert [row[5:7] for row in table.rows] == [("3/8", "3/8"), ("3/8", "5-5/8")]
    assert any("1/4 in or more between pieces, 3/8 in or more" in note for note in sheets_table(found).notes)
    assert [down(mm, "in") for mm in (25.4, 26.9, 27.0, 25.3)] == ["1", "1", "1-1/16", "15/16"]
    assert [down(mm, "mm") for mm in (99.0, 99.99, 0.5)] == ["99", "99", "0"]


def test_names_of_files_are_safe_and_different() -> None:
    stocks = [Stock(name, Sheet(4.0, 1000.0, 2000.0), "steel", "", "") for name in ("3/16 plate", "3-16 PLATE", "板")]
    there = dataclasses.replace(MM, stock=tuple(stocks))
    found = nest_blanks([plain(f"P{k}", 100, 50, 1, s) for k, s in enumerate(stocks, 1)], there)
    assert list(plate_names(found).values()) == ["3-16-plate", "3-16-plate-2", "plate"]


def moved(found: Nest, place: int, **to: object) -> Nest:
    """Give the nest with one piece of its first sheet changed."""
    (one,) = found.plates
    pieces = list(one.sheets[0].pieces)
    pieces[place] = dataclasses.replace(pieces[place], **to)  # type: ignore[arg-type]
    sheet = dataclasses.replace(one.sheets[0], pieces=tuple(pieces))
    return dataclasses.replace(found, plates=(dataclasses.replace(one, sheets=(sheet, *one.sheets[1:])),))


@pytest.mark.parametrize(
    ("to", "says"),
    [
        ({"y": 60.0}, "overlap"),
        ({"y": 10.0 + 100.0 + 5.9}, "are 5.90 mm apart; the spacing is 6.00 mm"),
        ({"x": 9.9}, "comes within 9.90 mm of the sheet's edge"),
        ({"x": 1990.0}, "the margin is 10.00 mm"),
        ({"angle": 45.0}, "turned by 45 degrees"),
        ({"number": 1}, "is there 2 times"),
        ({"number": 7}, "numbered 1 to 2"),
        ({"mark": "P9"}, "pieces of P9, wanted 0"),
    ],
)
def test_a_wrong_layout_never_passes(to: dict[str, object], says: str) -> None:
    flat, there = [plain("P1", 200, 100, 2)], shop(rotations="half turns only")
    wanted = plates(flat, there)
    found = nest_blanks(flat, there)
    assert wrongs(found, wanted, there) == ()
    with pytest.raises(NestError, match=says):
        check_nest(moved(found, 1, **to), wanted, there)


def test_a_sheet_that_cannot_be_had_never_passes() -> None:
    flat, there = [plain("P1", 200, 100, 2)], shop(left_piece(250, 250))
    found = nest_blanks(flat, there)
    wanted = plates(flat, there)
    assert "1 more remnants of 250 × 250 mm than there are" in " ".join(wrongs(found, wanted, shop()))
    (one,) = found.plates
    fresh = dataclasses.replace(one.sheets[0], fresh=True)
    odd = dataclasses.replace(found, plates=(dataclasses.replace(one, sheets=(fresh,)),))
    assert "a fresh sheet of 250 × 250 mm is not bought" in " ".join(wrongs(odd, wanted, there))
    lost = dataclasses.replace(found, plates=(dataclasses.replace(one, sheets=()),))
    assert "0 pieces of P1, wanted 2" in " ".join(wrongs(lost, wanted, there))


def test_another_process_makes_the_same_nest() -> None:
    code = (
        "from small_sheets import plain, shop, left_piece\n"
        "from rackgen.sheets.nest import nest_blanks\n"
        "flat = [plain(f'P{k}', 60 + 17 * k, 40 + 11 * k % 97, 3) for k in range(1, 9)]\n"
        "print(nest_blanks(flat, shop(left_piece(500, 300))))\n"
    )

    def made(seed: str) -> str:
        tests = Path(__file__).resolve().parents[1]
        environment = {"PYTHONHASHSEED": seed, "PYTHONPATH": f"{tests}:{tests.parent}", "PATH": ""}
        done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
        return done.stdout

    assert made("1") == made("2")


TRIANGLE = corners([(0, 0), (900, 0), (0, 450)])


def test_the_tighter_nest_uses_the_shapes() -> None:
    flat, there = [blank("P1", TRIANGLE, 6)], shop()
    usual = nest_blanks(flat, there)
    found, better = tighter_nest(usual, flat, there, 2)
    assert better == ("plate 4",)
    before, after = sheets(usual)[0].left, sheets(found)[0].left
    assert after is not None
    assert before is None or after.length * after.width > before.length * before.width
    assert len(sheets(found)[0].pieces) == 6
    check_nest(found, plates(flat, there), there)


def test_rectangles_that_lie_well_already_keep_the_usual_nest() -> None:
    flat, there = [plain("P1", 120, 90, 4)], shop()
    usual = nest_blanks(flat, there)
    assert tighter_nest(usual, flat, there, 1) == (usual, ())


@pytest.mark.parametrize(
    ("program", "says"),
    [
        ("import os; os.abort()", "ended by SIGABRT"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGKILL)", "ended by SIGKILL"),
        ("raise SystemExit('shapes make no sense')", "shapes make no sense"),
        ("print('nonsense')", "cannot be read"),
        ("pass", "cannot be read"),
        ("print('[]')", "lost pieces"),
        ("print([[0, 0.0, 0.0, 0.0], [0, 0.0, 0.0, 0.0]])", "overlap"),
    ],
)
def test_a_tighter_nest_that_fails_is_told_and_the_usual_one_stands(program: str, says: str) -> None:
    flat, there = [blank("P1", TRIANGLE, 2)], shop()
    usual = nest_blanks(flat, there)
    with pytest.raises(NestError, match=says):
        tighter_nest(usual, flat, there, 1, worker=(sys.executable, "-c", program))


def test_a_tighter_nest_that_does_not_end_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rackgen.sheets.nest_tighter.GRACE", -0.5)
    flat, there = [blank("P1", TRIANGLE, 2)], shop()
    with pytest.raises(NestError, match="did not end within"):
        tighter_nest(
            nest_blanks(flat, there), flat, there, 1, worker=(sys.executable, "-c", "import time; time.sleep(60)")
        )
    with pytest.raises(NestError, match="cannot be started"):
        tighter_nest(nest_blanks(flat, there), flat, there, 1, worker=("/no/such/program",))


def panels(*sizes: tuple[float, float, int]) -> tuple[list, Shop]:
    made = [
        dataclasses.replace(plain(f"P{k}", along, across, n, MESH), on_table=False)
        for k, (along, across, n) in enumerate(sizes, 1)
    ]
    return made, MM


def test_panels_keep_the_long_way_and_every_cut_goes_through() -> None:
    flat, there = panels((1200, 600, 3), (400, 300, 2))
    (one,) = mesh_nests(flat, there)
    (sheet,) = one.sheets
    assert all((p.along, p.across) in {(1200, 600), (400, 300)} for p in sheet.panels)
    guillotine([p.edges for p in sheet.panels])
    assert sheet.cuts[0].startswith("right through the sheet")


def guillotine(boxes: list[tuple[float, float, float, float]]) -> None:
    """Make sure that boxes can be parted by straight cuts right through what is in hand, one after the other."""
    if len(boxes) < 2:
        return
    for low, high in ((0, 2), (1, 3)):
        for at in sorted({b[high] for b in boxes}):
            one, other = [b for b in boxes if b[high] <= at], [b for b in boxes if b[low] >= at]
            if one and other and len(one) + len(other) == len(boxes):
                guillotine(one)
                guillotine(other)
                return
    raise AssertionError(f"no straight cut parts {boxes}")


def test_a_panel_bigger_than_its_sheet_is_told_what_would_be_right() -> None:
    part = CutPlate(MESH, rectangle(1000.0, 1300.0))
    rack = Rack((Placed("floor", part, Frame(), "floor panel", 2),), ())
    found, flat, _ = nest(rack, MM)
    assert found.plates == ()
    every = tuple(flat.values())
    (finding,) = panels_too_big(rack, every, MM)
    assert plates_too_big(rack, every, MM) == ()
    assert (finding.level, finding.parts, finding.got, finding.limit) == (Level.STOP, ("floor",), 1300.0, 1250.0)
    # It would go on when it was turned by a quarter, which would turn the long way.
    assert "across the long way" in finding.text
    assert "50 mm narrower" in finding.help
    long = CutPlate(MESH, rectangle(2600.0, 1000.0))
    rows = Rack((Placed("floor", long, Frame(), "floor panel", 2),), ())
    (finding,) = panels_too_big(rows, tuple(nest(rows, MM)[1].values()), MM)
    assert "along the long way" in finding.text
    assert "a bearer within 2500 mm" in finding.help
    (one,) = mesh_nests(every, MM)
    assert (one.sheets, one.left_out) == ((), ("P1",))


def test_areas_leave_out_what_is_cut_out() -> None:
    made = blank("P1", rectangle(100, 50), 1, openings=(rectangle(10, 10),))
    assert area(made) == pytest.approx(4900)
    (one,) = sheets(nest_blanks([made], shop()))
    assert one.area == pytest.approx(4900)
    assert one.pieces == (Laid("P1", 1, 10.0, 10.0, one.pieces[0].angle),)
