"""Folds with two radii: flats stay plane, nothing is stretched, and laid flat the bar is a straight strip."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.errors import GeometryError
from rackgen.geom.cone import Cone, cone
from rackgen.geom.fold import Fold, after_fold, cone_of, legs_and_arcs, neutral_length, slant
from rackgen.geom.frame import Array

QUICK = settings(max_examples=40, deadline=None, derandomize=True)


@st.composite
def sizes(draw: st.DrawFn) -> tuple[float, float, float, float, float]:
    """Angle, inside radius at -Y and at +Y, thickness, width."""
    near = draw(st.floats(5, 60))
    return (
        draw(st.floats(10, 125)) * draw(st.sampled_from([1, -1])),
        near,
        near + draw(st.floats(0.5, 8)) * draw(st.sampled_from([1, -0.5])),
        draw(st.sampled_from([3.0, 5.0])),
        draw(st.sampled_from([30.0, 50.0])),
    )


def grid(found: Cone, width: float, count: int = 401) -> tuple[Array, Array, Array]:
    """Give shares through the fold, places along and across, on five lines across."""
    share, y = np.meshgrid(np.linspace(-1, 1, count), np.linspace(-width / 2, width / 2, 5), indexing="ij")
    return share, (found.apex + y) * np.tan(found.spread * share), y


@QUICK
@given(sizes())
def test_the_angle_is_between_the_flats_and_both_faces_stand_square_to_them(size: tuple[float, ...]) -> None:
    angle, near, far, t, width = size
    found = cone(*size)
    begin, end = (found.frame(s * found.length / 2) for s in (-1, 1))
    assert math.degrees(math.acos(np.dot(begin.z, end.z))) == pytest.approx(abs(angle), abs=1e-6)
    turned = after_fold(begin, Fold(angle, near, far), t, width, abs(angle))
    assert turned.origin == pytest.approx(end.origin, abs=1e-8)
    assert np.allclose(turned.rotation(), end.rotation())
    # All along both rulings the metal's own direction off the face is that of the flat.
    for side, flat in ((-1, begin), (1, end)):
        y = np.array([-width / 2, width / 2])
        x = (found.apex + y) * math.tan(side * found.spread)
        up = found.points(x, y, 1.0) - found.points(x, y, 0.0)
        assert np.allclose(up, flat.z)
        assert np.allclose(found.points(x, y) @ flat.z, np.dot(flat.origin, flat.z))


@QUICK
@given(sizes())
def test_nothing_is_stretched_at_mid_thickness(size: tuple[float, ...]) -> None:
    found = cone(*size)
    _, x, y = grid(found, size[4])
    points = found.points(x, y)
    for axis in (0, 1):
        flat = np.hypot(np.diff(x, axis=axis), np.diff(y, axis=axis))
        bent = np.linalg.norm(np.diff(points, axis=axis), axis=2)
        assert np.allclose(bent, flat, rtol=2e-4)


@QUICK
@given(sizes())
def test_a_radius_gauge_reads_both_radii_at_the_middle_ruling(size: tuple[float, ...]) -> None:
    angle, near, far, t, width = size
    found = cone(*size)
    inside = math.copysign(t / 2, angle)
    for y, radius in ((-width / 2, near), (width / 2, far)):
        # The circle through three near points of the section square to the ruling, which runs along Y there.
        turns = np.array([-1e-3, 0.0, 1e-3])
        along = (found.apex + y) * np.tan(turns * math.sin(found.slope))
        a, b, c = found.points(along, np.full(3, y), inside)[:, [0, 2]]
        sides = [math.dist(a, b), math.dist(b, c), math.dist(a, c)]
        area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
        assert math.prod(sides) / (4 * area) == pytest.approx(radius, rel=1e-3)


@QUICK
@given(sizes(), st.floats(0.3, 0.5))
def test_the_blank_is_the_neutral_surface_laid_flat_triangle_by_triangle(size: tuple[float, ...], share: float) -> None:
    angle, near, far, t, width = size
    found = cone(*size)
    fold = Fold(angle, near, far)
    # Rulings of the neutral surface as points in space, laid flat one triangle after the other by their sides alone.
    _, x, y = grid(found, width)
    neutral = found.points(x, y, math.copysign((0.5 - share) * t, angle))
    low, high = neutral[:, 0], neutral[:, -1]
    flat = [(np.array([0.0, 0.0]), np.array([0.0, math.dist(low[0], high[0])]))]
    for i in range(1, len(low)):
        a, b = flat[-1]
        c = beyond(a, b, math.dist(low[i], low[i - 1]), math.dist(low[i], high[i - 1]))
        flat.append((c, beyond(c, b, math.dist(high[i], low[i]), math.dist(high[i], high[i - 1]))))
    # Each flat goes on from its ruling in the bar's own direction there.
    middles, ways = [], []
    for (a, b), frame, k in (
        (flat[0], found.frame(-found.length / 2), 0),
        (flat[-1], found.frame(found.length / 2), -1),
    ):
        ruling = (high[k] - low[k]) / math.dist(high[k], low[k])
        lean = math.atan2(float(np.dot(ruling, frame.x)), float(np.dot(ruling, frame.y)))
        up = (b - a) / math.dist(a, b)
        along = np.array([up[1], -up[0]])
        ways.append(math.cos(lean) * along + math.sin(lean) * up)
        # Where mid-width crosses the ruling, in space and on the blank.
        middle = found.points(0.0 + frame_x(found, k), 0.0, math.copysign((0.5 - share) * t, angle))
        middles.append(a + up * math.dist(middle, low[k]))
        assert math.tan(lean) == pytest.approx(slant(fold, t, width) * (-1 if k == 0 else 1), abs=2e-4)
    assert np.allclose(ways[0], ways[1], atol=2e-4)
    step = middles[1] - middles[0]
    assert math.hypot(*step) == pytest.approx(neutral_length(fold, t, share, width), rel=2e-4)
    # Both flats lie on one strip.
    assert abs(step @ np.array([-ways[0][1], ways[0][0]])) < 1e-3 * math.hypot(*step)
    # At other widths the fold is wider or narrower by twice its slant.
    for k in range(5):
        ends = [flat_point(flat[i], neutral[i, 0], neutral[i, -1], neutral[i, k]) for i in (0, -1)]
        across = (k / 4 - 0.5) * width
        wide = neutral_length(fold, t, share, width) + 2 * across * slant(fold, t, width)
        assert float((ends[1] - ends[0]) @ ways[0]) == pytest.approx(wide, rel=1e-3, abs=2e-3)


def frame_x(found: Cone, k: int) -> float:
    """Give where mid-width crosses the first or the last ruling."""
    return found.apex * math.tan(found.spread * (-1 if k == 0 else 1))


def flat_point(flat: tuple[Array, Array], low: Array, high: Array, point: Array) -> Array:
    """Give a point of a ruling on the blank."""
    a, b = flat
    return a + (b - a) * math.dist(low, point) / math.dist(low, high)


def beyond(a: Array, b: Array, from_a: float, from_b: float) -> Array:
    """Give the point at two distances from two others, to the right of the way from one to the other."""
    base = math.dist(a, b)
    up = (b - a) / base
    along = (base**2 + from_a**2 - from_b**2) / (2 * base)
    return a + up * along + np.array([up[1], -up[0]]) * math.sqrt(max(0.0, from_a**2 - along**2))


@QUICK
@given(sizes())
def test_the_flats_meet_in_the_crease(size: tuple[float, ...]) -> None:
    found = cone(*size)
    begin, end = (found.frame(s * found.length / 2) for s in (-1, 1))
    at, lean = found.crease()
    point = np.array(begin.point((at, 0.0, 0.0)))
    way = np.array(begin.direction((math.sin(math.radians(lean)), math.cos(math.radians(lean)), 0.0)))
    for along in (-40.0, 0.0, 40.0):
        assert abs(np.dot(point + along * way - end.origin, end.z)) < 1e-6


def test_two_nearly_equal_radii_are_nearly_a_plain_fold() -> None:
    plain, nearly = Fold(-82.0, 8.0), Fold(-82.0, 8.0, 8.002)
    one, other = (legs_and_arcs((60.0, 80.0), (f,), 5.0, 50.0) for f in (plain, nearly))
    for (a, length, _), (b, long, _) in zip(one, other, strict=True):
        assert a.origin == pytest.approx(b.origin, abs=5e-3)
        assert length == pytest.approx(long, abs=2e-3)
    for share in (0.3, 0.5):
        assert neutral_length(plain, 5.0, share, 50.0) == pytest.approx(
            neutral_length(nearly, 5.0, share, 50.0), abs=2e-3
        )
    assert cone_of(Fold(90.0, 8.0, 8.0), 5.0, 50.0) is None
    assert slant(plain, 5.0, 50.0) == 0.0


def test_swapping_the_edges_mirrors_the_fold() -> None:
    fold = Fold(70.0, 20.0, 26.0)
    assert dataclasses.replace(fold.swapped(), angle=fold.angle).swapped() == fold
    assert slant(fold.swapped(), 3.0, 50.0) == pytest.approx(-slant(fold, 3.0, 50.0))
    here, there = (legs_and_arcs((50.0, 50.0), (f,), 3.0, 50.0)[-1][0].origin for f in (fold, fold.swapped()))
    assert there == pytest.approx((here[0], -here[1], here[2]))


@pytest.mark.parametrize(
    ("size", "says"),
    [
        ((90.0, 0.0, 5.0, 3.0, 50.0), "has an inside radius"),
        ((90.0, 5.0, 6.0, 3.0, 0.0), "needs the width"),
        ((170.0, 5.0, 60.0, 3.0, 50.0), "differ too much"),
    ],
)
def test_what_no_flat_bar_can_be_bent_to_is_refused(size: tuple[float, float, float, float, float], says: str) -> None:
    with pytest.raises(GeometryError, match=says):
        cone(*size)
