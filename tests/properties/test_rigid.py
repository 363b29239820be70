"""Landmarks place a scan: any turn and shift is found again, nothing else is taken for one."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackgen.errors import GeometryError
from rackgen.geom.frame import turn
from rackgen.geom.rigid import placed_by_frame, placed_by_landmarks

ANGLES = st.floats(-180, 180)
SHIFTS = st.tuples(*[st.floats(-3000, 3000)] * 3)
MARKS = np.array([[0.0, 0, 0], [1500, 30, 5], [200, 600, -40], [900, -580, -35], [-300, 20, 300]])


@given(ANGLES, ANGLES, ANGLES, SHIFTS, st.integers(3, 5))
def test_any_turn_and_shift_is_found_again(a: float, b: float, c: float, by, count: int) -> None:
    moved = turn((1, 0, 0), a).then(turn((0, 1, 0), b)).then(turn((0, 0, 1), c)).moved(by)
    found = placed_by_landmarks(MARKS[:count], moved.points(MARKS[:count]))
    assert np.allclose(found.frame.matrix(), moved.matrix(), atol=1e-6)
    assert found.rms < 1e-8
    assert found.scale == pytest.approx(1)
    assert np.linalg.det(found.frame.rotation()) == pytest.approx(1)


@given(st.integers(0, 50))
def test_no_small_turn_or_shift_fits_better(seed: int) -> None:
    """Least squares: the sum of squares rises whichever way the placing is nudged."""
    dice = np.random.default_rng(seed)
    places = turn((1, 2, 3), 40).points(MARKS) + dice.normal(0, 3, MARKS.shape)
    found = placed_by_landmarks(MARKS, places)
    best = sum(d * d for d in found.off)
    for axis in np.eye(3):
        for nudge in (turn(axis, 0.02).then(found.frame), found.frame.moved(axis * 0.05)):
            assert float(((nudge.points(MARKS) - places) ** 2).sum()) > best
    assert np.allclose(np.linalg.norm(found.frame.points(MARKS) - places, axis=1), found.off)


@given(st.floats(0.03, 40))
def test_a_wrong_unit_shows_as_scale_and_is_not_fitted_away(k: float) -> None:
    found = placed_by_landmarks(MARKS, MARKS * k)
    assert found.scale == pytest.approx(k)
    assert (found.rms > 10) == (abs(k - 1) * math.hypot(*MARKS.std(axis=0)) > 10)


def test_a_mirrored_scan_is_told_from_a_turned_one() -> None:
    found = placed_by_landmarks(MARKS * [1, -1, 1], MARKS)
    assert found.rms > 50
    assert found.mirrored == pytest.approx(1)
    assert placed_by_landmarks(MARKS + 3 * np.sin(MARKS), MARKS).mirrored < 0


def test_landmarks_on_a_line_and_too_few_are_refused() -> None:
    line = np.array([[0.0, 0, 0], [500, 10, 0], [1500, 0, 3], [900, 5, 0]])
    with pytest.raises(GeometryError, match="one line in the scan"):
        placed_by_landmarks(line, MARKS[:4])
    with pytest.raises(GeometryError, match="one line on the vehicle"):
        placed_by_landmarks(MARKS[:4], line)
    with pytest.raises(GeometryError, match="three landmarks"):
        placed_by_landmarks(MARKS[:2], MARKS[:2])


def test_a_stated_frame_puts_its_origin_at_the_datum() -> None:
    placed = placed_by_frame((10, 20, 30), (0, -2, 0), (0, 0, 5)).frame
    assert np.allclose(placed.points([[10, 20, 30], [10, 19, 30], [10, 20, 31]]), [[0, 0, 0], [1, 0, 0], [0, 0, 1]])
    with pytest.raises(GeometryError, match="no length"):
        placed_by_frame((0, 0, 0), (0, 0, 0), (0, 0, 1))
    with pytest.raises(GeometryError, match="square"):
        placed_by_frame((0, 0, 0), (1, 0, 0), (1, 0, 1))
