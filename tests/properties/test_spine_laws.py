"""A bent tube is the same tube however it is described: from points, from its table, from its other end."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given

from rackgen.errors import GeometryError
from rackgen.geom import spine
from rackgen.geom.frame import Frame, turn
from tests.strategies import clocks, reals, spines


@given(spines())
def test_points_to_table_to_points(line: spine.Spine) -> None:
    """The bend table of a spine's corners is the spine's own."""
    again, frame = spine.from_points(spine.corners(line), [b.clr for b in line.bends])
    assert np.allclose(again.straights, line.straights, atol=1e-6)
    assert np.allclose([b.angle for b in again.bends], [b.angle for b in line.bends], atol=1e-7)
    for mine, theirs in zip(again.bends, line.bends, strict=True):
        assert abs((mine.turn - theirs.turn + 180) % 360 - 180) < 1e-6
    assert np.allclose(frame.points(spine.corners(again)), spine.corners(line), atol=1e-6)


@given(spines(), reals(-500, 500), clocks)
def test_moving_changes_nothing(line: spine.Spine, far: float, about: float) -> None:
    """A spine read from moved and turned points is the same spine."""
    place = Frame((far, -far, far / 3)).then(turn((1, 2, 3), about))
    moved, _ = spine.from_points(place.points(spine.corners(line)), [b.clr for b in line.bends])
    assert spine.length(moved) == pytest.approx(spine.length(line), abs=1e-6)
    assert np.allclose([b.angle for b in moved.bends], [b.angle for b in line.bends], atol=1e-6)


@given(spines())
def test_reversing_keeps_length_and_place(line: spine.Spine) -> None:
    """From its other end a spine has the same length and runs through the same places."""
    back, frame = spine.reverse(line)
    total = spine.length(line)
    assert spine.length(back) == pytest.approx(total, abs=1e-6)
    for share in (0.0, 0.2, 0.5, 0.9, 1.0):
        here = spine.frame_at(line, share * total).origin
        there = frame.point(spine.frame_at(back, (1 - share) * total).origin)
        assert math.dist(here, there) < 1e-5


@given(spines())
def test_mirror_twice_is_the_same(line: spine.Spine) -> None:
    """Mirrored twice, a spine is itself; once, it is as long."""
    assert spine.mirror(spine.mirror(line)) == line
    assert spine.length(spine.mirror(line)) == pytest.approx(spine.length(line))
    assert np.allclose(spine.corners(spine.mirror(line)), spine.corners(line) * [1, -1, 1], atol=1e-6)


@given(spines())
def test_frames_run_along_and_are_not_twisted(line: spine.Spine) -> None:
    """X of the frame is the direction of travel, and clock 0 turns only as the metal does (no twist about X)."""
    total = spine.length(line)
    step = total / 400
    for k in range(0, 400, 7):
        a, b = spine.frame_at(line, k * step), spine.frame_at(line, k * step + 1e-3)
        moved = (np.asarray(b.origin) - np.asarray(a.origin)) / 1e-3
        assert np.allclose(moved, a.x, atol=1e-4)
        assert np.allclose(np.cross(a.x, a.y), a.z, atol=1e-9)
        assert abs(float(np.asarray(b.z) @ np.asarray(a.y))) < 1e-6


@pytest.mark.parametrize(
    ("straights", "bends"),
    [
        ((1.0,), (spine.Bend(90, 100),)),
        ((1.0, -2.0), (spine.Bend(90, 100),)),
        ((1.0, 2.0), (spine.Bend(0, 100),)),
        ((1.0, 2.0), (spine.Bend(180, 100),)),
        ((1.0, 2.0), (spine.Bend(90, 0),)),
        ((float("nan"), 2.0), (spine.Bend(90, 100),)),
    ],
)
def test_impossible_spines_are_refused(straights: tuple[float, ...], bends: tuple[spine.Bend, ...]) -> None:
    """A spine that no bender makes is not a spine."""
    with pytest.raises(GeometryError):
        spine.Spine(straights, bends)


def test_bends_that_do_not_fit_are_refused() -> None:
    """Corners closer than their set-backs are refused with the straights in the message."""
    with pytest.raises(GeometryError, match="do not fit"):
        spine.from_points([(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)], 60.0)


@given(spines())
def test_many_points_at_once_are_those_asked_for_one_by_one(line: spine.Spine) -> None:
    places = np.linspace(-40.0, spine.length(line) + 40.0, 41)
    one_by_one = [spine.frame_at(line, float(s)).origin for s in places]
    assert np.allclose(spine.points_at(line, places), one_by_one, rtol=0, atol=1e-9)
