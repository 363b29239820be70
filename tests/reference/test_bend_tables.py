"""Bends of tube against closed forms."""

import math

import pytest

from rackgen.geom import spine
from rackgen.geom.spine import Bend

# Exact geometry: set-back CLR tan(A/2), arc CLR A, gain = 2 set-backs - arc. Unit gain (CLR 1) and CLR 6.
UNIT_GAIN = {90: 0.42920, 60: 0.10750, 45: 0.04303, 30: 0.01230}
CLR_6 = {90: (6.0000, 9.4248, 2.5752), 60: (3.4641, 6.2832, 0.6450), 45: (2.4853, 4.7124, 0.2582)}


@pytest.mark.parametrize("angle", UNIT_GAIN)
def test_unit_gain(angle: float) -> None:
    assert spine.gain(Bend(angle, 1.0)) == pytest.approx(UNIT_GAIN[angle], abs=6e-6)


@pytest.mark.parametrize("angle", CLR_6)
def test_setback_arc_and_gain_on_clr_6(angle: float) -> None:
    setback, arc, gain = CLR_6[angle]
    bend = Bend(angle, 6.0)
    assert spine.setback(bend) == pytest.approx(setback, abs=5.1e-5)
    assert spine.arc_length(bend) == pytest.approx(arc, abs=5.1e-5)
    assert spine.gain(bend) == pytest.approx(gain, abs=5.1e-5)


def test_hoop_from_its_outside_sizes() -> None:
    # 1.75 in OD, 48 in outside width, 10 in outside height, two 90 deg bends on CLR 6:
    # 2 (3.125) + 2 (9.4248) + 34.25 = 59.3496 in.
    od, width, height, clr = 1.75, 48.0, 10.0, 6.0
    across, up = width - od, height - od / 2
    hoop, _ = spine.from_points([(0, 0, 0), (0, 0, up), (across, 0, up), (across, 0, 0)], clr)
    assert hoop.straights == pytest.approx((3.125, 34.25, 3.125), abs=1e-9)
    assert spine.length(hoop) == pytest.approx(59.3496, abs=5e-5)


def test_polyline_in_three_planes() -> None:
    # (0,0,0) (10,0,0) (10,10,0) (10,10,10), CLR 2: straights 8, 6, 8, bends 90 and 90, 90 between the planes, 28.2832.
    line, _ = spine.from_points([(0, 0, 0), (10, 0, 0), (10, 10, 0), (10, 10, 10)], 2.0)
    assert line.straights == pytest.approx((8, 6, 8), abs=1e-9)
    assert [b.angle for b in line.bends] == pytest.approx([90, 90], abs=1e-9)
    assert abs(line.bends[1].turn) == pytest.approx(90, abs=1e-9)
    assert spine.arc_length(line.bends[0]) == pytest.approx(math.pi, abs=1e-9)
    # The book rounds each arc to 3.1416; 22 + 2 π is 28.28319.
    assert spine.length(line) == pytest.approx(28.2832, abs=5e-5)
