"""Hoops solved from the outside size that is wanted."""

from __future__ import annotations

import math

import pytest

from rackgen.design.hoop import Drop, Leg, corners, hoop
from rackgen.errors import GeometryError
from rackgen.geom import spine


def test_square_hoop_has_the_wanted_outside() -> None:
    """Straights and cut length by hand: back 1000 - 40 - 2 · 100, legs 600 - 20 - 100."""
    line, frame = hoop(1000.0, Leg(600.0), Leg(600.0), 40.0, 100.0)
    assert line.straights == pytest.approx((480.0, 760.0, 480.0))
    assert spine.length(line) == pytest.approx(480 * 2 + 760 + math.pi * 100)
    ends = frame.points(spine.corners(line))
    assert max(p[0] for p in ends) == pytest.approx(580.0)
    assert max(p[1] for p in ends) == pytest.approx(480.0)
    assert min(p[1] for p in ends) == pytest.approx(-480.0)


def test_unequal_legs_and_splayed_bends() -> None:
    """Each leg ends at its own reach; a bend of less than 90 degrees splays its leg outward."""
    points = corners(1000.0, Leg(700.0), Leg(500.0, bend=80.0), 40.0)
    assert points[0] == pytest.approx((680.0, -480.0, 0.0))
    assert points[-1] == pytest.approx((480.0, 480.0 + 480.0 / math.tan(math.radians(80)), 0.0))
    line, _ = hoop(1000.0, Leg(700.0), Leg(500.0, bend=80.0), 40.0, 100.0)
    assert [b.angle for b in line.bends] == pytest.approx([90.0, 80.0])


def test_drop_leaves_the_plane_downward() -> None:
    """A leg with a drop of 10 degrees ends lower by tan 10 times its run after the corner, turned a quarter about."""
    line, frame = hoop(1000.0, Leg(900.0, drop=Drop(500.0, 10.0)), Leg(900.0), 40.0, 100.0)
    assert frame.point((0, 0, 0))[2] == pytest.approx(-(880.0 - 500.0) * math.tan(math.radians(10)))
    assert [b.angle for b in line.bends] == pytest.approx([10.0, 90.0, 90.0])
    assert abs(line.bends[1].turn) == pytest.approx(90.0)


def test_a_hoop_narrower_than_its_bends_is_refused() -> None:
    """Two bends of CLR 100 do not fit in a back of 180."""
    with pytest.raises(GeometryError, match="do not fit"):
        hoop(220.0, Leg(600.0), Leg(600.0), 40.0, 100.0)
