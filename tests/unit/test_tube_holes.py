"""Holes of one tube that would run into one another."""

import math

import pytest

from rackgen.parts.holes import WEB, apart
from rackgen.parts.kinds import TubeHole

OUTER = 16.85
PLUGS = (TubeHole(20.0, 0.0, 10.0, "plug weld"), TubeHole(20.0, 180.0, 10.0, "plug weld"))


def between(a: TubeHole, b: TubeHole) -> float:
    turned = math.radians((a.clock - b.clock + 180.0) % 360.0 - 180.0)
    return math.hypot(a.at - b.at, OUTER * turned) - (a.diameter + b.diameter) / 2


@pytest.mark.parametrize("at", [12.0, 19.0, 20.0, 23.0, 28.0])
@pytest.mark.parametrize("clock", [180.0, 170.0, 350.0])
def test_a_vent_in_a_plug_weld_moves_beside_it(at: float, clock: float) -> None:
    """A plug weld would close it; moved by less than the bore of what lands there, it still opens it."""
    vent = TubeHole(at, clock, 5.0, "vent")
    *plugs, found = apart((*PLUGS, vent), OUTER)
    assert tuple(plugs) == PLUGS
    assert (found.clock, found.diameter, found.purpose) == (clock, 5.0, "vent")
    assert min(between(found, plug) for plug in PLUGS) >= WEB - 1e-6
    assert abs(found.at - at) <= 8.5 + 1e-5
    if min(between(vent, plug) for plug in PLUGS) >= WEB:
        assert found == vent


def test_holes_keep_their_order_and_a_drain_in_a_vent_is_none() -> None:
    vent, drain, far = TubeHole(100, 0, 5, "vent"), TubeHole(103, 0, 5, "drain"), TubeHole(200, 0, 5, "drain")
    assert apart((drain, far, vent, *PLUGS), OUTER) == (far, vent, *PLUGS)
