"""The roof's surface and its gaps, reached a second time: by scipy's splines and by looking everywhere."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize

from rackgen.geom.surface import Roof, Section

road = settings(deadline=None, derandomize=True, max_examples=25)


def shares(low: int, high: int) -> st.SearchStrategy[list[float]]:
    return st.lists(st.floats(0.3, 1.0), min_size=low, max_size=high)


@st.composite
def roofs(draw: st.DrawFn, depth: float = 60.0) -> Roof:
    """Stations at uneven places, each with its own offsets; a domed roof with readings up to 3 mm off."""
    xs = np.cumsum([0.0, *(500 * s for s in draw(shares(2, 6)))])
    sections: list[Section] = []
    for x in xs:
        steps = draw(shares(2, 5))
        ys = np.concatenate([[-s for s in np.cumsum(steps)[::-1] * 200], [0.0], np.cumsum(steps) * 200])
        zs = [-depth * ((y / 600) ** 2 + ((x - xs[-1] / 2) / xs[-1]) ** 2) + draw(st.floats(-3.0, 3.0)) for y in ys]
        half = float(ys[-1]) + 40.0
        sections.append(Section(float(x), tuple(ys.tolist()), tuple(float(z) for z in zs), half, half))
    return Roof(tuple(sections))


def by_scipy(roof: Roof, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Give the height by scipy's not-a-knot splines: across at every station, then fore and aft."""
    knots = [s.x for s in roof.sections]
    rows = np.array([CubicSpline(s.ys, s.zs)(y) for s in roof.sections])
    return np.array([float(CubicSpline(knots, rows[:, k])(x[k])) for k in range(len(x))])


@road
@given(roofs(), st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(-1.0, 1.0)), min_size=1, max_size=12))
def test_height_is_that_of_scipys_splines(roof: Roof, places: list[tuple[float, float]]) -> None:
    x = np.array([p[0] for p in places]) * roof.sections[-1].x
    y = np.array([p[1] for p in places])
    y = y * (roof.half_width(x, y) - 1e-6)
    assert roof.height(x, y) == pytest.approx(by_scipy(roof, x, y), abs=1e-6)


@road
@given(roofs(), st.floats(0.2, 0.8), st.floats(-0.6, 0.6))
def test_slope_is_the_change_of_height(roof: Roof, along: float, across: float) -> None:
    x, y = along * roof.sections[-1].x, across * 300.0
    zx, zy = roof.slope(x, y)
    h = 1e-3
    assert float(zx) == pytest.approx(float(roof.height(x + h, y) - roof.height(x - h, y)) / 2 / h, abs=1e-5)
    assert float(zy) == pytest.approx(float(roof.height(x, y + h) - roof.height(x, y - h)) / 2 / h, abs=1e-5)


@settings(deadline=None, derandomize=True, max_examples=12)
@given(roofs(), st.floats(0.3, 0.7), st.floats(-0.5, 0.5), st.floats(3.0, 150.0), st.sampled_from([1.0, -1.0]))
def test_gap_is_the_least_distance_to_all_of_the_surface(
    roof: Roof, along: float, across: float, off: float, side: float
) -> None:
    x, y = along * roof.sections[-1].x, across * 300.0
    # Below a dome the nearest point may lie far off, so there only small depths are looked at.
    p = np.array([x, y, float(roof.height(x, y)) + side * (off if side > 0 else min(off, 10.0))])
    xs, ys = np.meshgrid(np.linspace(x - 60, x + 60, 61), np.linspace(y - 60, y + 60, 61))
    zs = roof.height(xs, ys)
    k = int(np.nanargmin((xs - p[0]) ** 2 + (ys - p[1]) ** 2 + (zs - p[2]) ** 2))

    def reach(at: np.ndarray) -> float:
        z = by_scipy(roof, at[:1], at[1:])[0]
        return float(np.hypot(np.hypot(at[0] - p[0], at[1] - p[1]), z - p[2]))

    best = minimize(reach, [xs.ravel()[k], ys.ravel()[k]], method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-7})
    assert float(roof.gap(p[None])[0]) == pytest.approx(side * float(best.fun), abs=0.01)


def test_beside_the_roof_the_surface_gives_no_gap() -> None:
    roof = Roof(tuple(Section(x, (-300.0, 0.0, 300.0), (0.0, 10.0, 0.0), 320.0, 330.0) for x in (0.0, 500.0, 900.0)))
    beside = [(100.0, -321.0, 5.0), (100.0, 331.0, 5.0), (-61.0, 0.0, 50.0), (961.0, 0.0, 50.0)]
    assert np.all(np.isinf(roof.gap(beside)))
    assert np.all(np.isfinite(roof.gap([(100.0, -319.0, 5.0), (100.0, 329.0, 5.0), (-59.0, 0.0, 50.0)])))
