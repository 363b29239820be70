"""Fastener groups and weld lines: their forces balance the load, and turning everything turns the answer."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from rackgen.errors import GeometryError
from rackgen.geom.frame import turn
from rackgen.sheets.weld_lines import Run
from rackgen.strength.fastener_group import elastic_group, prying
from rackgen.strength.weld_line import WeldLine, weld_line

SETTINGS = settings(deadline=None, derandomize=True, max_examples=60)
Vectors = NDArray[np.float64]

numbers = st.floats(-100.0, 100.0).map(lambda v: round(v, 3))
vectors = st.tuples(numbers, numbers, numbers).map(np.array)
groups = st.lists(vectors, min_size=3, max_size=9, unique_by=tuple).map(np.array)


def has_levers(points: Vectors) -> bool:
    """Return whether the points lie in no line."""
    return float(np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[1]) > 1.0


@SETTINGS
@given(points=groups, force=vectors, moment=vectors)
def test_the_forces_of_a_group_balance_its_load(points: Vectors, force: Vectors, moment: Vectors) -> None:
    assume(has_levers(points))
    found = elastic_group(points, force, 50 * moment)
    r = points - points.mean(axis=0)
    assert found.sum(axis=0) == pytest.approx(force, abs=1e-6)
    assert np.cross(r, found).sum(axis=0) == pytest.approx(50 * moment, abs=1e-4)


@SETTINGS
@given(points=groups, force=vectors, moment=vectors, axis=vectors, angle=st.floats(0, 360))
def test_turning_a_group_turns_its_forces(
    points: Vectors, force: Vectors, moment: Vectors, axis: Vectors, angle: float
) -> None:
    assume(has_levers(points))
    assume(float(np.linalg.norm(axis)) > 1.0)
    frame = turn(axis, angle)
    there = elastic_group(frame.points(points), np.array(frame.direction(force)), np.array(frame.direction(moment)))
    assert there == pytest.approx(frame.points(elastic_group(points, force, moment)), abs=1e-6)


@SETTINGS
@given(points=groups, force=vectors, moment=vectors)
def test_many_cases_at_once_are_each_alone(points: Vectors, force: Vectors, moment: Vectors) -> None:
    assume(has_levers(points))
    both = elastic_group(points, np.column_stack([force, 2 * moment]), np.column_stack([moment, force]))
    assert both[:, :, 0] == pytest.approx(elastic_group(points, force, moment))
    assert both[:, :, 1] == pytest.approx(elastic_group(points, 2 * moment, force))


def test_a_row_does_not_hold_a_moment_about_itself() -> None:
    row = np.array([(0.0, y, 0.0) for y in (-40.0, 0.0, 40.0)])
    across = elastic_group(row, np.zeros(3), np.array([800.0, 0.0, 0.0]))
    assert across[:, 2] == pytest.approx([-10.0, 0.0, 10.0])
    with pytest.raises(GeometryError, match="one line"):
        elastic_group(row, np.zeros(3), np.array([0.0, 100.0, 0.0]))


def beads(points: Vectors, share: float = 1.0) -> Run:
    length = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return Run(points, points, points, length, share * length)


@SETTINGS
@given(points=groups, force=vectors, moment=vectors, axis=vectors, angle=st.floats(0, 360), factor=st.floats(0.1, 9))
def test_a_weld_line_turns_and_scales_with_its_load(
    points: Vectors, force: Vectors, moment: Vectors, axis: Vectors, angle: float, factor: float
) -> None:
    assume(has_levers(points))
    assume(float(np.linalg.norm(axis)) > 1.0)
    frame = turn(axis, angle)
    one = weld_line([beads(points)], 2.0).most(force[:, None], moment[:, None])
    turned = weld_line([beads(frame.points(points))], 2.0)
    there = turned.most(
        factor * np.array(frame.direction(force))[:, None], factor * np.array(frame.direction(moment))[:, None]
    )
    assert there[0] == pytest.approx(factor * one[0], rel=1e-6, abs=1e-9)


def test_half_the_bead_bears_half() -> None:
    points = np.array([(x, y, 0.0) for y in (-20.0, 20.0) for x in (0.0, 5.0, 10.0, 15.0)])
    force, moment = np.array([[10.0], [0.0], [40.0]]), np.array([[500.0], [0.0], [300.0]])
    whole, half = weld_line([beads(points)], 1.0), weld_line([beads(points, 0.5)], 1.0)
    assert half.most(force, moment)[0] == pytest.approx(2 * whole.most(force, moment)[0])


def test_a_straight_bead_bends_about_itself_only_through_its_throat() -> None:
    points = np.array([(x, 0.0, 0.0) for x in np.linspace(0.0, 40.0, 9)])
    line: WeldLine = weld_line([beads(points)], 2.0)
    found = line.most(np.zeros((3, 1)), np.array([[400.0], [0.0], [0.0]]))
    # 10 N·mm for each mm on a throat of 2: stress 6 m / a² = 15 MPa, times the throat.
    assert found[0] == pytest.approx(30.0)


def test_a_weld_without_a_bead_is_refused() -> None:
    with pytest.raises(GeometryError, match="without beads"):
        weld_line([], 1.0)


@SETTINGS
@given(
    bears=st.floats(300, 5000), thickness=st.floats(2, 12), inner=st.floats(8, 60), edge=st.floats(8, 40),
    pitch=st.floats(15, 80),
)  # fmt: skip
def test_prying_grows_as_the_plate_thins(
    bears: float, thickness: float, inner: float, edge: float, pitch: float
) -> None:
    thick, thin = (prying(bears, t, 360, inner, edge, pitch, 6.4, 6.5) for t in (thickness, 0.8 * thickness))
    assert 1.0 <= thick <= thin + 1e-12


def test_prying_of_a_plate_that_is_just_stiff_enough() -> None:
    # AISC manual part 9 (from memory): tc = sqrt(1.67 * 4 B b' / (p Fu)).
    needed = (1.67 * 4 * 1000 * 20 / (40 * 400)) ** 0.5
    assert prying(1000, needed * 1.001, 400, 23.2, 15, 40, 6.4, 6.5) == 1.0
    assert prying(1000, needed * 0.9, 400, 23.2, 15, 40, 6.4, 6.5) > 1.0
