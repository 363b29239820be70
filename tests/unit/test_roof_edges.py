"""Readings over an edge, as into a gutter: the smooth curve ends there and does not swing about it."""

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from rackgen.geom.spline import Cubic, smooth_stretch
from rackgen.geom.surface import Roof, Section
from tests.ten_roofs import PLACES, TEN, read

OFFSETS = (141.0, 283.0, 424.0, 566.0, 588.0)
YS = np.array([*(-o for o in reversed(OFFSETS)), 0.0, *OFFSETS])
STEP = 566.0


def gutter(y: np.ndarray) -> np.ndarray:
    return TEN["gutter"].height(np.full_like(y, 500.0), y)


def test_up_to_a_gutter_the_roof_is_the_parabola_that_it_is() -> None:
    ys = np.linspace(-STEP, STEP, 801)
    inner = Cubic(YS, gutter(YS), smooth_stretch(YS, gutter(YS)))
    assert inner(ys) == pytest.approx(gutter(ys), abs=1e-9)
    # One smooth curve through all the readings is off by more than a plate's thickness well inside the gutter.
    assert np.abs(CubicSpline(YS, gutter(YS))(ys) - gutter(ys)).max() > 10.0


def test_over_the_edge_it_stays_between_the_readings_and_goes_on_straight() -> None:
    zs = gutter(YS)
    curve = Cubic(YS, zs, smooth_stretch(YS, zs))
    for side in (-1.0, 1.0):
        fall = curve(side * np.linspace(STEP, 588.0, 100))
        assert np.all(np.diff(fall) < 0)
        assert fall[[0, -1]] == pytest.approx(gutter(np.array([STEP, 588.0])))
        beyond = curve(side * np.array([588.0, 594.0, 600.0]))
        assert np.diff(beyond, n=2) == pytest.approx([0.0], abs=1e-9)
        assert beyond[1] < beyond[0]
    assert curve.second([-595.0, 595.0]) == pytest.approx([0.0, 0.0])


def test_slopes_run_through_at_the_edge() -> None:
    zs = gutter(YS)
    curve = Cubic(YS, zs, smooth_stretch(YS, zs))
    for knot in YS[1:-1]:
        before, after = curve.derivative([knot - 1e-9, knot + 1e-9])
        assert before == pytest.approx(after, abs=1e-6)
    for y in (-593.0, -577.0, -300.0, 20.0, 571.0, 599.0):
        assert curve.derivative(y) == pytest.approx((curve(y + 1e-5) - curve(y - 1e-5)) / 2e-5, abs=1e-5)


def test_an_edge_on_one_side_leaves_the_other_smooth() -> None:
    zs = np.where(YS > 0, gutter(YS), -35 * (YS / 600) ** 2)
    assert smooth_stretch(YS, zs) == (0, 9)
    assert smooth_stretch(-YS[::-1], zs[::-1]) == (1, 10)
    ys = np.linspace(-600.0, 560.0, 300)
    there = Cubic(YS, zs, (0, 9))(ys)
    assert there == pytest.approx(Cubic(-YS[::-1], zs[::-1], (1, 10))(-ys), abs=1e-9)


def test_two_readings_in_the_gutter() -> None:
    ys = np.append(YS, 598.0)
    zs = gutter(ys)
    low, high = smooth_stretch(ys, zs)
    assert (low, high) == (1, 9)
    curve = Cubic(ys, zs, (low, high))
    assert np.all(np.diff(curve(np.linspace(STEP, 598.0, 200))) <= 1e-9)
    assert curve(ys) == pytest.approx(zs)


@pytest.mark.parametrize("name", sorted(TEN))
def test_only_the_roof_with_a_gutter_has_edges(name: str, tmp_path: Path) -> None:
    for section in read(name, tmp_path).vehicle.roof.sections:
        low, high = smooth_stretch(section.ys, section.zs)
        off = 1 if PLACES[name].step else 0
        assert (low, high) == (off, len(section.ys) - 1 - off)


@pytest.mark.parametrize("name", sorted(TEN))
def test_measured_heights_are_the_true_ones(name: str, tmp_path: Path) -> None:
    """Within what the tape is read to; dents, ribs and a dome keep more between the readings."""
    roof, place = TEN[name], PLACES[name]
    x = np.linspace(0.0, roof.length, 120)[:, None]
    reach = np.minimum(roof.half(x) - 12, place.step or math.inf)
    y = np.linspace(-1.0, 1.0, 99)[None, :] * reach
    off = np.abs(read(name, tmp_path).vehicle.roof.height(np.broadcast_to(x, y.shape), y) - roof.height(x, y))
    worst = {"dented": 7.0, "domed": 4.6}.get(name, 1.7)
    assert float(np.median(off)) < 1.0
    assert float(off.max()) < worst


def gutter_roof() -> Roof:
    sections = tuple(
        Section(float(x), tuple(YS), tuple(TEN["gutter"].height(np.full_like(YS, x), YS)), 600.0, 600.0)
        for x in np.linspace(0.0, 1500.0, 6)
    )
    return Roof(sections)


def test_the_surface_knows_of_the_edge() -> None:
    roof = gutter_roof()
    x, y = np.array([333.0, 700.0, 1111.0]), np.array([-560.0, 540.0, 100.0])
    assert roof.height(x, y) == pytest.approx(TEN["gutter"].height(x, y), abs=1e-6)
    zx, zy = roof.slope(x, y)
    assert zx == pytest.approx(-24 * (x - 750) / 750**2, abs=1e-9)
    assert zy == pytest.approx(-70 * y / 600**2, abs=1e-9)


@pytest.mark.parametrize(("out", "up"), [(580.0, 20.0), (595.0, 8.0), (562.0, 12.0), (-585.0, 60.0), (570.0, 3.0)])
def test_a_point_out_over_a_gutter_is_as_near_as_its_edge(out: float, up: float) -> None:
    roof = gutter_roof()
    point = np.array([700.0, out, float(roof.height(700.0, STEP)) + up])
    xs, ys = np.meshgrid(np.linspace(696.0, 704.0, 9), np.sign(out) * np.linspace(500.0, 599.9, 8_000))
    near = np.sqrt((xs - point[0]) ** 2 + (ys - point[1]) ** 2 + (roof.height(xs, ys) - point[2]) ** 2).min()
    assert float(roof.gap([point])[0]) == pytest.approx(near, abs=0.05)
