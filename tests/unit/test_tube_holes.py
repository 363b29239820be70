"""Holes of one tube that would run into one another, or over its end."""

import math
from dataclasses import replace

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


def test_a_vent_that_a_square_end_would_cut_moves_onto_the_tube() -> None:
    """A post beside a butt: half of its vent lay over the end, and the solid was not what the description says."""
    vent = TubeHole(1.85, 270.0, 5.0, "vent")
    (moved,) = apart((vent,), OUTER, (0.0, 450.0))
    assert moved.at == 2.5 + WEB
    (at_rear,) = apart((replace(vent, at=449.0),), OUTER, (0.0, 450.0))
    assert at_rear.at == 450.0 - 2.5 - WEB
    # A shaped end has its own place for a vent, and a hole beyond the tube is a mistake that is not hidden.
    assert apart((vent,), OUTER) == (vent,)
    beyond = replace(vent, at=-20.0)
    assert apart((beyond,), OUTER, (0.0, 450.0)) == (beyond,)
