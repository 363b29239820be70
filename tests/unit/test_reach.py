"""What drill, rivet gun and spanner reach."""

import math

import pytest
from roofs import roof, vehicle
from small_rack import PLATE, TUBE

from rackgen.check.reach import reach_findings
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube, Bought, CutPlate, PlateHole, UBoltShape
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.vehicle import Vehicle

VAN: Vehicle = vehicle(roof())
BARE: Vehicle = vehicle(roof(), under="skin")


def found(*placed: Placed, on: Vehicle = VAN) -> list[Finding]:
    return reach_findings(Rack(placed, ()), on)


def plate(hole: float, tilt: float = 0.0) -> Placed:
    """A mount plate with one hole beside its middle, tilted about X so that its normal leans to the right."""
    part = CutPlate(PLATE, rectangle(160.0, 100.0, 12.0), (PlateHole(0.0, hole, 6.5),))
    a = math.radians(tilt)
    frame = Frame((300.0, 400.0, 1700.0), (1, 0, 0), (0, math.cos(a), -math.sin(a)), (0, math.sin(a), math.cos(a)))
    return Placed("mount.front_right.plate", part, frame, "mount plate", 2)


def over(y: float, up: float = 60.0, part_id: str = "frame.bar[1]") -> Placed:
    """A tube fore and aft over the mount, `y` to the right of the plate's middle."""
    return Placed(part_id, BentTube(TUBE, Spine((600.0,))), Frame((0.0, 400.0 + y, 1700.0 + up)), "cross bar", 2)


@pytest.mark.parametrize(
    ("y", "level"), [(42.0, None), (41.7, Level.LOOK), (20.2, Level.LOOK), (20.0, Level.STOP), (0.0, Level.STOP)]
)
def test_holes_keep_25_mm_from_a_tube_that_stands_in_the_drill_s_way(y: float, level: Level | None) -> None:
    # 25 beside a tube of 16.85 radius is 41.85 from its axis; under 3.25, half the hole, it is covered: 20.1.
    levels = [f.level for f in found(plate(0.0), over(y))]
    assert levels == ([] if level is None else [level])


def test_a_tube_is_seen_along_the_drill_that_stands_square_to_the_plate() -> None:
    # 10 degrees over, the drill's axis has moved 10.6 mm aside where it passes a tube 60 mm up.
    assert [f.code for f in found(plate(0.0, 10.0), over(45.0))] == ["hole-behind-tube"]
    assert found(plate(0.0, -10.0), over(45.0)) == []


def test_a_tube_below_the_plate_is_not_in_the_way() -> None:
    assert found(plate(0.0), over(0.0, up=-40.0)) == []


def test_the_basket_is_off_when_mounts_are_drilled() -> None:
    (finding,) = found(plate(0.0), over(0.0, part_id="basket.lower.front"))
    assert (finding.code, finding.level) == ("hole-under-basket", Level.NOTE)


@pytest.mark.parametrize(("y", "look"), [(37.0, False), (36.7, True)])
def test_holes_keep_20_mm_from_the_stub_of_their_own_mount(y: float, look: bool) -> None:
    stub = BentTube(TUBE, Spine((60.0,)))
    up = Frame.of((300.0, 400.0, 1704.0), (0, 0, 1), (1, 0, 0))
    own = Placed("mount.front_right.saddle", stub, up, "saddle", 3)
    other = Placed("mount.front_left.saddle", stub, up, "saddle", 3)
    assert [f.level for f in found(plate(y), own)] == ([Level.LOOK] if look else [])
    assert found(plate(y), other) == []


U_BOLT = Bought("U-bolt", UBoltShape(8.0, 40.0, 20.0, 16.85, 75.0, 24.85, 16.0, 1.6, 13.0, 6.5), 7850.0)


@pytest.mark.parametrize(
    ("clear", "level"), [(11.8, None), (11.5, Level.LOOK), (8.2, Level.LOOK), (8.0, Level.STOP), (-10.0, Level.STOP)]
)
def test_a_ring_spanner_goes_over_every_nut(clear: float, level: Level | None) -> None:
    # 0.9 of 13 mm across flats is 11.7 mm round the rod's axis, which stands 24 mm beside the held tube's axis.
    bolt = Placed("basket.u_bolt", U_BOLT, Frame((300.0, 0.0, 1800.0)), "U-bolt", 0)
    held = Placed("frame.hoop", BentTube(TUBE, Spine((600.0,))), Frame((0.0, 0.0, 1800.0)), "hoop", 1)
    beside = 24.0 + 16.85 + clear
    ring = Placed("basket.ring", BentTube(TUBE, Spine((600.0,))), Frame((0.0, beside, 1846.0)), "ring hoop", 1)
    levels = [f.level for f in found(bolt, held, ring)]
    assert levels == ([] if level is None else [level])


def test_a_tube_high_above_the_nut_leaves_room_to_lift_the_spanner_off() -> None:
    bolt = Placed("basket.u_bolt", U_BOLT, Frame((300.0, 0.0, 1800.0)), "U-bolt", 0)
    leg_end = 1800.0 + 75.0 - 16.85
    for up, reached in ((15.5, True), (14.0, False)):
        ring = Placed("r", BentTube(TUBE, Spine((600.0,))), Frame((0.0, 24.0, leg_end + up + 16.85)), "ring hoop", 1)
        assert (found(bolt, ring) == []) == reached


def test_of_a_tube_above_the_spanner_s_way_only_what_reaches_into_it_counts() -> None:
    # The spanner's way ends 15 mm above the leg's end. A tube whose axis is 12 mm higher reaches in with a chord of
    # sqrt(16.85^2 - 12^2) = 11.83 either side of its axis, not with its whole radius.
    bolt = Placed("basket.u_bolt", U_BOLT, Frame((300.0, 0.0, 1800.0)), "U-bolt", 0)
    top = 1800.0 + 75.0 - 16.85 + 15.0
    for beside, reached in ((11.83 + 11.9, True), (11.83 + 11.4, False)):
        at = Frame((0.0, 24.0 + beside, top + 12.0))
        ring = Placed("r", BentTube(TUBE, Spine((600.0,))), at, "ring hoop", 1)
        assert (found(bolt, ring) == []) == reached


def test_bare_skin_needs_a_backing_plate() -> None:
    assert found(plate(0.0)) == []
    (finding,) = found(plate(0.0), on=BARE)
    assert (finding.code, finding.level) == ("bare-skin", Level.STOP)
    backing = Placed("mount.front_right.backing", plate(0.0).part, Frame(), "backing plate", 2)
    assert found(plate(0.0), backing, on=BARE) == []


def test_a_bare_mount_that_is_not_used_is_let_be() -> None:
    assert found(over(0.0), on=BARE) == []
