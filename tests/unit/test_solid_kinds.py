"""Solids of single parts, by sizes that can be told without a kernel."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rackgen.errors import SolidError
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import (
    BarEnd,
    BarHole,
    BentTube,
    Bought,
    Break,
    CutPlate,
    FoldedBar,
    PlateHole,
    Slit,
    UBoltShape,
)
from rackgen.solid.build import solid
from rackgen.solid.kernel import moved, solids
from rackgen.solid.kernel_probe import box, first_hits
from rackgen.spec.stock import Expanded, Flat, Round, Sheet, Stock

pytestmark = pytest.mark.kernel

TUBE = Stock("t", Round(33.7, 2.6), "steel", "", "")
BAR = Stock("b", Flat(50.0, 5.0), "steel", "", "")
PLATE = Stock("p", Sheet(4.0, 1000.0, 2000.0), "steel", "", "")
DOWN, UP = (0.0, 0.0, -1.0), (0.0, 0.0, 1.0)


def down_to(part: CutPlate | FoldedBar | BentTube, x: float, y: float) -> float:
    """Give the height of the metal met from above at a place; -inf where there is none."""
    return 500.0 - float(first_hits(solid(part), [(x, y, 500.0)], DOWN)[0])


def test_a_bent_tube_reaches_as_far_as_its_bends_take_it() -> None:
    part = BentTube(TUBE, Spine((100.0, 200.0, 50.0), (Bend(90.0, 114.3), Bend(90.0, 114.3, 90.0))))
    low, high = box(solid(part))
    # Along +X, up, then by a quarter turn of the bend plane to one side.
    np.testing.assert_allclose(low, (0.0, -114.3 - 50.0, -16.85), atol=1e-3)
    np.testing.assert_allclose(high, (100.0 + 114.3 + 16.85, 16.85, 114.3 + 200.0 + 114.3 + 16.85), atol=1e-3)


def test_a_tube_is_hollow() -> None:
    part = BentTube(TUBE, Spine((100.0,)))
    assert down_to(part, 50.0, 0.0) == pytest.approx(16.85)
    assert float(first_hits(solid(part), [(-10.0, 0.0, 0.0)], (1.0, 0.0, 0.0))[0]) == math.inf


def test_a_slit_sleeve_is_sprung_to_its_hosts_bore_and_open_at_clock_0() -> None:
    part = BentTube(Stock("s", Round(33.7, 2.0), "steel", "", ""), Spine((80.0,)), slit=Slit(18.0, 28.5))
    low, high = box(solid(part))
    assert low[2] == pytest.approx(-14.25)
    # The gap that is left at mid-wall, strip - π (OD - bore), seen as an angle from the axis.
    gap = (18.0 - math.pi * (33.7 - 28.5)) / (14.25 - 1.0)
    assert high[2] == pytest.approx(14.25 * math.cos(gap / 2), abs=1e-3)
    edge = 14.0 * math.tan(gap / 2)
    assert down_to(part, 40.0, edge + 0.05) > 0.0
    assert down_to(part, 40.0, edge - 0.3) < 0.0
    with pytest.raises(SolidError, match="strip"):
        solid(BentTube(part.stock, part.spine, slit=Slit(10.0, 28.5)))


def test_bevel_leaves_the_upper_face_longer_and_skew_the_right_edge() -> None:
    low, high = box(solid(FoldedBar(BAR, (100.0,), end_a=BarEnd(bevel=45.0), end_b=BarEnd(skew=45.0))))
    np.testing.assert_allclose((low[0], high[0]), (-2.5, 125.0), atol=1e-3)
    part = FoldedBar(BAR, (100.0,), end_a=BarEnd(bevel=45.0), end_b=BarEnd(skew=45.0))
    assert down_to(part, -2.4, 0.0) == pytest.approx(2.5)
    assert down_to(part, 124.0, 24.9) == pytest.approx(2.5)
    assert down_to(part, 76.0, -24.9) == -math.inf


def test_folds_turn_toward_plus_z_and_holes_sit_in_their_flat() -> None:
    part = FoldedBar(BAR, (60.0, 80.0), (Fold(90.0, 8.0),), holes=(BarHole(1, 30.0, 10.0, 8.0),))
    low, high = box(solid(part))
    np.testing.assert_allclose(low, (0.0, -25.0, -2.5), atol=1e-3)
    np.testing.assert_allclose(high, (60.0 + 8.0 + 5.0, 25.0, 2.5 + 8.0 + 80.0), atol=1e-3)
    # Along X through the second flat, which stands up: the hole 30 mm from its begin, 10 mm to the right.
    rise = 2.5 + 8.0 + 30.0
    found = first_hits(solid(part), [(200.0, 10.0, rise), (200.0, 5.0, rise), (200.0, -10.0, rise)], (-1.0, 0.0, 0.0))
    np.testing.assert_allclose(found, (math.inf, 127.0, 127.0))


def test_rounded_ends_of_half_the_width_make_a_half_round() -> None:
    part = FoldedBar(BAR, (120.0,), end_b=BarEnd(radius=25.0))
    for angle in (0.0, 30.0, 60.0, 89.0):
        x, y = 95.0 + 24.9 * math.cos(math.radians(angle)), 24.9 * math.sin(math.radians(angle))
        assert down_to(part, x, y) == pytest.approx(2.5)
        assert down_to(part, x + 0.2 * math.cos(math.radians(angle)), y * 25.1 / 24.9) == -math.inf


def test_one_break_tilts_each_half_by_half_the_angle_about_mid_thickness() -> None:
    part = CutPlate(PLATE, rectangle(120.0, 80.0), breaks=(Break((0.0, 10.0), 0.0, 8.0),))
    a = math.radians(4.0)
    # The upper face stands half the thickness off the middle, square to its half.
    for y in (35.0, 11.0, 10.0, 9.0, -30.0):
        assert down_to(part, 5.0, y) == pytest.approx(2.0 + 2.0 / math.cos(a) - abs(y - 10.0) * math.tan(a), abs=1e-6)
    raised = CutPlate(PLATE, rectangle(120.0, 80.0), breaks=(Break((0.0, 10.0), 0.0, -8.0),))
    assert down_to(raised, 5.0, -30.0) == pytest.approx(2.0 + 2.0 / math.cos(a) + 40.0 * math.tan(a), abs=1e-6)


def test_two_breaks_make_four_planes_round_their_crossing() -> None:
    breaks = (Break((5.0, 0.0), 90.0, 6.0), Break((0.0, -4.0), 0.0, -3.0))
    part = CutPlate(PLATE, rectangle(120.0, 80.0), breaks=breaks)
    p, q = math.tan(math.radians(3.0)), math.tan(math.radians(-1.5))
    for x, y in ((40.0, 20.0), (-30.0, 20.0), (-40.0, -30.0), (30.0, -20.0), (5.0, -4.0)):
        top = 2.0 + 2.0 * math.sqrt(1 + p * p + q * q) - abs(x - 5.0) * p - abs(y + 4.0) * q
        assert down_to(part, x, y) == pytest.approx(top, abs=1e-6)


@pytest.mark.parametrize(
    "breaks",
    [
        (Break((0.0, 0.0), 0.0, 5.0), Break((0.0, 0.0), 80.0, 5.0)),
        (Break((0.0, 0.0), 0.0, 5.0), Break((0.0, 0.0), 90.0, 5.0), Break((9.0, 0.0), 90.0, 5.0)),
        (Break((0.0, 300.0), 0.0, 5.0),),
    ],
    ids=["not square", "three", "beside the plate"],
)
def test_breaks_that_cannot_be_made_are_refused(breaks: tuple[Break, ...]) -> None:
    with pytest.raises(SolidError):
        solid(CutPlate(PLATE, rectangle(120.0, 80.0), breaks=breaks))


def test_holes_and_openings_go_through_a_plate() -> None:
    part = CutPlate(PLATE, rectangle(120.0, 80.0), (PlateHole(30.0, 10.0, 8.0),), (rectangle(20.0, 10.0, 3.0),))
    assert [down_to(part, *at) for at in ((30.0, 10.0), (9.0, 0.0))] == [-math.inf, -math.inf]
    assert [down_to(part, *at) for at in ((34.2, 10.0), (11.0, 0.0))] == pytest.approx([4.0, 4.0])


def test_expanded_metal_is_its_envelope() -> None:
    stock = Stock("m", Expanded("raised", 23.0, 50.0, 1.5, 2.6, 5.3, 2.64, 1250.0, 2500.0), "steel", "", "")
    np.testing.assert_allclose(box(solid(CutPlate(stock, rectangle(300.0, 200.0))))[1], (150.0, 100.0, 5.3), atol=1e-6)


def test_a_u_bolt_is_fused_with_its_washers_and_nuts() -> None:
    shape = solid(Bought("M8", UBoltShape(8.0, 40.0, 20.0, 17.0, 75.0, 23.0, 16.0, 1.6, 13.0, 6.5), 7850.0))
    assert len(solids(shape)) == 1
    low, high = box(shape)
    np.testing.assert_allclose((low[2], high[2]), (-17.0 - 8.0, -17.0 + 75.0), atol=1e-3)
    np.testing.assert_allclose((low[1], high[1]), (-32.0, 32.0), atol=1e-3)
    # Down on a washer's rim beside the nut, and between the legs onto the bow.
    found = first_hits(shape, [(0.0, 24.0 + 7.9, 200.0), (0.0, 0.0, 200.0)], DOWN)
    np.testing.assert_allclose(found, (200.0 - 23.0 - 1.6, 217.0), atol=1e-6)


def test_a_u_bolt_too_short_for_its_washers_still_comes_out() -> None:
    shape = solid(Bought("M8", UBoltShape(8.0, 40.0, 20.0, 17.0, 38.0, 23.0, 16.0, 1.6, 13.0, 6.5), 7850.0))
    assert len(solids(shape)) == 3


def test_a_moved_solid_stands_in_its_frame() -> None:
    part = CutPlate(PLATE, rectangle(120.0, 80.0))
    frame = Frame.of((100.0, 200.0, 300.0), (0.0, 1.0, 0.0), UP)
    low, high = box(moved(solid(part), frame))
    np.testing.assert_allclose((low, high), ((60.0, 140.0, 300.0), (140.0, 260.0, 304.0)), atol=1e-6)
