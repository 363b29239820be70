"""What a shop can bend, saw, cut, drill and fold."""

import dataclasses

import pytest
from small_rack import BAR, MESH, MM, PLATE, TUBE

from rackgen.check.bending import shortages
from rackgen.check.makeable import makeable_findings, part_findings
from rackgen.errors import Level
from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BarHole, BentTube, Break, CutPlate, FoldedBar, Part, PlateHole
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.shop import Die
from rackgen.spec.stock import Flat, Round, Stock

DIE = Die("33.7 on 120", 33.7, 120.0, 90.0, 60.0)
HOOP = BentTube(TUBE, Spine((400.0, 700.0, 400.0), (Bend(90.0, 120.0), Bend(90.0, 120.0))))


def codes(part: Part) -> dict[str, Level]:
    return {f.code: f.level for f in part_findings(Placed("x", part, Frame(), "part", 1), MM)}


def hoop(*straights: float, clr: float = 120.0) -> BentTube:
    bends = tuple(Bend(90.0, clr) for _ in straights[1:])
    return dataclasses.replace(HOOP, spine=Spine(straights, bends))


def test_a_plain_hoop_can_be_made() -> None:
    assert codes(HOOP) == {}


@pytest.mark.parametrize(
    ("straights", "short"),
    [
        ((80.0, 700.0, 50.0), []),  # 80 + 10 trim for the clamp, 50 + 10 trim for the tail
        ((50.0, 700.0, 80.0), []),  # the same tube from its other end
        ((79.0, 700.0, 79.0), [0]),
        ((400.0, 700.0, 49.0), [2]),
        ((400.0, 89.0, 400.0), [1]),
        ((400.0, 90.0, 400.0), []),
    ],
)
def test_clamp_and_tail_need_straight_tube(straights: tuple[float, ...], short: list[int]) -> None:
    assert [i for i, _, _, _ in shortages(hoop(*straights).spine, DIE, 10.0)] == short
    assert ("clamp-short" in codes(hoop(*straights))) == bool(short)


def test_a_tube_without_a_die_or_on_another_radius_is_a_stop() -> None:
    other = Stock("30 x 2", Round(30.0, 2.0), "steel", "E235", "bare", 6000.0)
    assert codes(dataclasses.replace(HOOP, stock=other)) == {"no-die": Level.STOP}
    assert codes(hoop(400.0, 700.0, 400.0, clr=100.0)) == {"other-radius": Level.STOP}


def test_a_bent_tube_comes_out_of_its_stick_with_its_trims() -> None:
    # 6000 less two end trims of 10 is 5980; the hoop's developed length is its straights and two quarter turns.
    quarters = 2 * 120.0 * 3.141592653589793 / 2
    most = 5980.0 - 20.0 - quarters
    assert codes(hoop(400.0, most - 800.0, 400.0)) == {}
    assert codes(hoop(400.0, most - 799.0, 400.0)) == {"longer-than-stick": Level.STOP}
    assert codes(BentTube(TUBE, Spine((5980.0,)))) == {}
    assert codes(BentTube(TUBE, Spine((5981.0,)))) == {"longer-than-stick": Level.STOP}


def test_a_bar_comes_out_of_its_stick_too() -> None:
    assert codes(FoldedBar(BAR, (5979.0,))) == {}
    assert codes(FoldedBar(BAR, (5981.0,))) == {"longer-than-stick": Level.STOP}


def test_a_stub_shorter_than_its_copes_is_a_stop() -> None:
    cut = Cope(33.7, 0.0, 90.0)
    assert codes(BentTube(TUBE, Spine((35.0,)), (cut,), (cut,))) == {}
    assert codes(BentTube(TUBE, Spine((34.0,)), (cut,), (cut,))) == {"stub-short": Level.STOP}


def test_a_cope_may_not_reach_into_a_bend() -> None:
    deep = Cope(33.7, 0.0, 30.0)
    # At 30 degrees the deepest line ends 16.85 / sin 30 + 16.85 / tan 30 = 62.9 mm in, less where the wall is thin.
    ok, bad = (dataclasses.replace(hoop(s, 700.0, 400.0), end_a=(deep,)) for s in (100.0, 45.0))
    assert "cope-in-bend" not in codes(ok)
    assert codes(bad)["cope-in-bend"] == Level.STOP


@pytest.mark.parametrize(
    ("across", "level"), [(12.0, None), (12.1, Level.NOTE), (15.1, Level.NOTE), (15.4, Level.LOOK)]
)
def test_holes_keep_two_diameters_from_an_edge_and_never_under_one_and_a_half(
    across: float, level: Level | None
) -> None:
    # 25 mm from the middle to the edge of the bar: 2 d is 13 mm, 1.5 d is 9.75.
    found = codes(FoldedBar(BAR, (100.0,), holes=(BarHole(0, 50.0, across, 6.5),)))
    assert found == ({} if level is None else {"hole-near-edge": level})


def test_edges_of_a_bar_are_its_sides_and_ends_and_not_its_folds() -> None:
    folded = FoldedBar(BAR, (100.0, 100.0), (Fold(90.0, 8.0),), holes=(BarHole(0, 83.0, 0.0, 6.5),))
    assert codes(folded) == {}
    assert codes(dataclasses.replace(folded, holes=(BarHole(1, 95.0, 0.0, 6.5),))) == {"hole-near-edge": Level.LOOK}


def test_holes_keep_two_and_a_half_thicknesses_from_a_fold() -> None:
    part = FoldedBar(BAR, (100.0, 100.0), (Fold(90.0, 8.0),))
    # 2.5 x 5 from the hole's edge to the tangent: centre at 100 - 12.5 - 3.25.
    assert codes(dataclasses.replace(part, holes=(BarHole(0, 84.0, 0.0, 6.5),))) == {}
    assert codes(dataclasses.replace(part, holes=(BarHole(0, 85.0, 0.0, 6.5),))) == {"hole-near-fold": Level.LOOK}
    assert codes(dataclasses.replace(part, holes=(BarHole(1, 15.0, 0.0, 6.5),))) == {"hole-near-fold": Level.LOOK}


def test_holes_keep_three_diameters_apart() -> None:
    def pair(pitch: float) -> CutPlate:
        return CutPlate(PLATE, rectangle(120.0, 100.0), (PlateHole(0.0, 0.0, 6.5), PlateHole(pitch, 0.0, 6.5)))

    assert codes(pair(19.5)) == {}
    assert codes(pair(19.0)) == {"holes-close": Level.LOOK}


def test_a_hole_takes_half_of_a_bar_at_most() -> None:
    wide = Stock("20 x 3", Flat(20.0, 3.0), "steel", "S235", "bare", 6000.0)
    assert "hole-wide" in codes(FoldedBar(wide, (100.0,), holes=(BarHole(0, 50.0, 0.0, 10.5),)))
    assert "hole-wide" not in codes(FoldedBar(wide, (100.0,), holes=(BarHole(0, 50.0, 0.0, 9.9),)))


def test_a_hole_on_a_break_is_worth_a_note() -> None:
    plate = CutPlate(
        PLATE, rectangle(120.0, 100.0), (PlateHole(45.0, 0.0, 6.5),), breaks=(Break((0.0, 0.0), 0.0, 4.0),)
    )
    assert codes(plate) == {"hole-on-break": Level.NOTE}
    assert codes(dataclasses.replace(plate, breaks=(Break((0.0, 0.0), 90.0, 4.0),))) == {}


@pytest.mark.parametrize(
    ("thickness", "radius", "angle", "tight"),
    [
        (5.0, 6.0, 90.0, False),  # DIN 6935 Table 1, over 4 to 5 mm, up to 390 MPa: 6 mm (from memory)
        (5.0, 5.9, 90.0, True),
        (5.0, 6.0, 130.0, True),  # over 120 degrees the next larger radius of the series
        (5.0, 8.0, 130.0, False),
        (3.0, 3.0, 90.0, False),
        (6.35, 8.0, 90.0, True),  # over 6 to 7 mm: 10 mm
        (6.35, 10.0, 90.0, False),
    ],
)
def test_folds_keep_their_least_radius(thickness: float, radius: float, angle: float, tight: bool) -> None:
    stock = Stock("bar", Flat(50.0, thickness), "steel", "S235", "bare", 6000.0)
    found = codes(FoldedBar(stock, (100.0, 100.0), (Fold(angle, radius),)))
    assert found == ({"fold-tight": Level.LOOK} if tight else {})


def test_other_metals_fold_on_their_thickness_at_least() -> None:
    stock = Stock("bar", Flat(50.0, 5.0), "stainless", "1.4301", "bare", 6000.0)
    assert codes(FoldedBar(stock, (100.0, 100.0), (Fold(90.0, 5.0),))) == {}
    assert codes(FoldedBar(stock, (100.0, 100.0), (Fold(90.0, 4.0),))) == {"fold-tight": Level.LOOK}


def test_blanks_come_out_of_their_sheet_any_way_round() -> None:
    # Sheets are 1000 x 2000.
    assert codes(CutPlate(PLATE, rectangle(999.0, 1999.0))) == {}
    assert codes(CutPlate(PLATE, rectangle(1999.0, 999.0))) == {}
    # A long thin strip fits from corner to corner.
    assert codes(CutPlate(PLATE, rectangle(2100.0, 50.0))) == {}
    assert codes(CutPlate(PLATE, rectangle(1010.0, 1010.0))) == {"larger-than-sheet": Level.STOP}


def test_expanded_metal_may_not_be_turned_to_fit() -> None:
    # Sheets are 2500 along the long way, which lies along X, and 1250 across.
    assert codes(CutPlate(MESH, rectangle(2400.0, 1200.0))) == {}
    assert codes(CutPlate(MESH, rectangle(1200.0, 2400.0))) == {"larger-than-sheet": Level.STOP}


def test_equal_parts_are_spoken_of_once_and_their_holes_counted() -> None:
    part = FoldedBar(BAR, (100.0,), holes=(BarHole(0, 20.0, 18.0, 6.5), BarHole(0, 60.0, 19.0, 6.5)))
    rack = Rack(tuple(Placed(f"x[{k}]", part, Frame((0.0, 100.0 * k, 0.0)), "bar", 2) for k in (1, 2, 3)), ())
    (finding,) = makeable_findings(rack, MM)
    assert finding.parts == ("x[1]", "x[2]", "x[3]")
    assert finding.got == pytest.approx(6.0)
    assert finding.text.endswith("(1 more like it)")
