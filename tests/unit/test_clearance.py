"""Gaps to the roof and to obstacles."""

import math

import pytest
from roofs import roof, vehicle
from small_rack import BAR, PLATE, TUBE

from rackgen.check.bodies import bodies
from rackgen.check.clearance import gaps, obstacle_findings, roof_findings
from rackgen.errors import Level
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part, UBoltShape
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.rack import Gaps
from rackgen.spec.vehicle import Obstacle

U_BOLT = Bought("U-bolt", UBoltShape(8.0, 40.0, 20.0, 16.85, 75.0, 24.85, 16.0, 1.6, 13.0, 6.5), 7850.0)
ACROSS = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def one(part: Part, frame: Frame, part_id: str = "frame.bar[1]", word: str = "cross bar") -> Rack:
    return Rack((Placed(part_id, part, frame, word, 2),), ())


def cross_bar(above: float, length: float = 900.0) -> Rack:
    """A tube across the middle of the roof, its underside `above` the crown."""
    at = (750.0, -length / 2, 1700.0 + above + 16.85)
    return one(BentTube(TUBE, Spine((length,))), Frame.of(at, *ACROSS))


def test_a_straight_tube_over_a_crowned_roof_is_tightest_over_the_crown() -> None:
    row = gaps(cross_bar(30.0), roof(crown=40.0, fall=20.0), Gaps())[0]
    assert math.isclose(row.gap or 0.0, 30.0, abs_tol=0.02)
    assert row.at == pytest.approx((750.0, 0.0, 1730.0), abs=0.1)
    assert (row.mark, row.limit) == ("T1", 25.0)


@pytest.mark.parametrize(
    ("above", "level"), [(25.1, None), (24.9, Level.LOOK), (20.1, Level.LOOK), (19.9, Level.STOP), (-3.0, Level.STOP)]
)
def test_tubes_are_held_to_the_wanted_gap_and_to_the_least(above: float, level: Level | None) -> None:
    rack = cross_bar(above)
    found = roof_findings(gaps(rack, roof(crown=20.0), Gaps()), rack, Gaps())
    assert [f.level for f in found] == ([] if level is None else [level])
    assert all(f.code == "near-roof" for f in found)


@pytest.mark.parametrize(("below", "level"), [(12.1, None), (11.9, Level.LOOK), (5.9, Level.STOP)])
def test_bows_are_held_to_their_own_gap(below: float, level: Level | None) -> None:
    # The bow's outside is drop + rod = 24.85 below the tube's axis.
    rack = one(U_BOLT, Frame((750.0, 0.0, 1700.0 + 24.85 + below)), "basket.u_bolt", "U-bolt")
    found = roof_findings(gaps(rack, roof(), Gaps()), rack, Gaps())
    assert [(f.code, f.level) for f in found] == ([] if level is None else [("bow-near-roof", level)])


def test_what_belongs_to_a_mount_is_listed_and_not_held_to_a_limit() -> None:
    rack = one(CutPlate(PLATE, rectangle(120.0, 100.0)), Frame((300.0, 400.0, 1701.5)), "mount.a.plate", "mount plate")
    table = gaps(rack, roof(), Gaps())
    assert table[0].limit is None
    assert math.isclose(table[0].gap or 0.0, 1.5, abs_tol=1e-3)
    assert roof_findings(table, rack, Gaps()) == []


def test_only_the_level_flat_of_a_rear_strap_has_to_clear_the_roof() -> None:
    strap = FoldedBar(BAR, (110.0, 180.0), (Fold(-80.0, 8.0),))
    over = roof(stations=3)
    clear = one(strap, Frame((1400.0, 0.0, 1740.0)), "mount.rear.strap", "rear strap")
    low = one(strap, Frame((1400.0, 0.0, 1715.0)), "mount.rear.strap", "rear strap")
    assert math.isclose(gaps(clear, over, Gaps())[0].gap or 0.0, 37.5, abs_tol=1e-3)
    assert roof_findings(gaps(clear, over, Gaps()), clear, Gaps()) == []
    assert [f.level for f in roof_findings(gaps(low, over, Gaps()), low, Gaps())] == [Level.STOP]


def test_beside_the_roof_the_gap_counts_to_its_edge() -> None:
    leg = BentTube(TUBE, Spine((600.0,)))
    rack = one(leg, Frame.of((400.0, 620.0 + 30.0, 1700.0 + 10.0), (1, 0, 0), (0, 0, 1)))
    row = gaps(rack, roof(), Gaps())[0]
    assert math.isclose(row.gap or 0.0, math.hypot(30.0, 10.0) - 16.85, abs_tol=0.01)


def test_ahead_of_and_behind_the_measured_roof_there_is_no_gap() -> None:
    row = gaps(one(BentTube(TUBE, Spine((300.0,))), Frame((1700.0, 0.0, 1750.0))), roof(), Gaps())[0]
    assert (row.gap, row.at) == (None, None)


def test_the_table_lists_the_nearest_first_and_the_unmeasured_last() -> None:
    tube = BentTube(TUBE, Spine((300.0,)))
    places = {"a": (400.0, 0.0, 1800.0), "b": (1700.0, 0.0, 1750.0), "c": (400.0, 100.0, 1750.0)}
    rack = Rack(tuple(Placed(i, tube, Frame(at), "rail", 1) for i, at in places.items()), ())
    assert [row.part for row in gaps(rack, roof(), Gaps())] == ["c", "a", "b"]


@pytest.mark.parametrize(
    ("clear", "code"), [(25.0, None), (15.0, "near-obstacle"), (-5.0, "in-obstacle"), (-200.0, "in-obstacle")]
)
def test_obstacles_are_kept_clear_of(clear: float, code: str | None) -> None:
    rack = cross_bar(100.0)
    face = 750.0 + 16.85 + clear
    box = Obstacle("the aerial", (face, -20.0, 1700.0), (face + 400.0, 20.0, 1900.0))
    found = obstacle_findings(bodies(rack), vehicle(roof(), (box,)))
    assert [f.code for f in found] == ([] if code is None else [code])
    if code == "near-obstacle":
        assert math.isclose(found[0].got or 0.0, clear, abs_tol=0.06)
