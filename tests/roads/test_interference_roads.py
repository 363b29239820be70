"""Do two parts meet: by FCL's triangles, and by closed forms that know no triangle.

Boxes: the separating axis theorem (Gottschalk, Lin, Manocha, 1996, from memory); the least overlap over the axes of
faces and pairs of edges is also the shortest way out. Round tubes: the distance between the segments of their axes.
"""

import itertools
import math

import numpy as np
import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import BAR, TUBE

from rackgen.check.bodies import bodies, depth, distance, meet
from rackgen.geom.frame import Frame, turn
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.rack import Placed, Rack

road = settings(deadline=None, derandomize=True, max_examples=50)

directions = st.tuples(*[strategies.reals(-1.0, 1.0)] * 3).filter(lambda a: math.hypot(*a) > 0.01)
places = st.tuples(strategies.reals(-60.0, 60.0), strategies.reals(-45.0, 45.0), strategies.reals(-30.0, 30.0))
stances = st.builds(
    lambda axis, angle, at: Frame(at, turn(axis, angle).x, turn(axis, angle).y, turn(axis, angle).z),
    directions,
    strategies.reals(-180.0, 180.0),
    places,
)


def overlap(a: Frame, b: Frame, half: np.ndarray) -> float:
    """Give the least overlap of two equal boxes about their frames over all axes that could part them; mm."""
    ra, rb = a.rotation(), b.rotation()
    between = np.asarray(b.origin) - np.asarray(a.origin)
    axes = [*ra.T, *rb.T, *(np.cross(u, v) for u, v in itertools.product(ra.T, rb.T))]
    least = np.inf
    for axis in axes:
        size = float(np.linalg.norm(axis))
        if size < 1e-6:
            continue
        n = axis / size
        reach = float(half @ np.abs(ra.T @ n) + half @ np.abs(rb.T @ n))
        least = min(least, reach - abs(float(between @ n)))
    return least


@road
@given(stances)
def test_bars_meet_when_no_axis_parts_them(stance: Frame) -> None:
    # A straight bar is a box of 80 x 50 x 5 whose frame stands at its end.
    part, half = FoldedBar(BAR, (80.0,)), np.array([40.0, 25.0, 2.5])
    middle = Frame().moved((40.0, 0.0, 0.0))
    other = middle.then(stance).moved((-40.0, 0.0, 0.0))
    of = bodies(Rack((Placed("a", part, Frame(), "bar", 2), Placed("b", part, other, "bar", 2)), ()))
    over = overlap(middle, other.moved((40.0, 0.0, 0.0)), half)
    if abs(over - 0.05) < 0.02:
        return
    assert meet(of["a"], of["b"]) == (over > 0.05)
    if over > 0.05:
        axes = np.concatenate([np.eye(3), other.rotation().T])
        edges = np.array([np.cross(u, v) for u, v in itertools.product(np.eye(3), other.rotation().T)])
        size = np.linalg.norm(edges, axis=1)
        axes = np.concatenate([axes, edges[size > 1e-6] / size[size > 1e-6, None]])
        assert depth(of["a"], of["b"], axes) == pytest.approx(over, rel=0.04, abs=0.03)


def segments_apart(p: np.ndarray, u: np.ndarray, q: np.ndarray, v: np.ndarray) -> tuple[float, bool]:
    """Give the distance of two segments p + s u and q + t v, s and t in [0, 1], and whether it is between their inner
    points."""
    a, b, c, w = float(u @ u), float(u @ v), float(v @ v), p - q
    d, e = float(u @ w), float(v @ w)
    wide = a * c - b * b
    if wide < 1e-9:
        return np.inf, False
    s, t = (b * e - c * d) / wide, (a * e - b * d) / wide
    return float(np.linalg.norm(w + s * u - t * v)), 0.1 < s < 0.9 and 0.1 < t < 0.9


@road
@given(directions, st.tuples(*[strategies.reals(-40.0, 40.0)] * 3))
def test_tubes_meet_when_their_axes_pass_within_a_diameter(
    heading: tuple[float, float, float], at: tuple[float, float, float]
) -> None:
    tube = BentTube(TUBE, Spine((400.0,)))
    x = np.asarray(heading) / np.linalg.norm(heading)
    up = (0.0, 0.0, 1.0) if abs(x[2]) < 0.9 else (0.0, 1.0, 0.0)
    other = Frame.of(np.asarray(at) - 200 * x, x, up)
    gap, inner = segments_apart(np.array([-200.0, 0, 0]), np.array([400.0, 0, 0]), np.asarray(other.origin), 400.0 * x)
    if not inner:
        return
    placed = (Placed("a", tube, Frame((-200.0, 0.0, 0.0)), "tube", 1), Placed("b", tube, other, "tube", 1))
    of = bodies(Rack(placed, ()))
    clear = gap - 33.7
    # Facets stand up to 0.05 mm inside the round, and 0.05 mm of overlap goes unseen.
    if clear > 0.0:
        assert not meet(of["a"], of["b"])
        assert distance(of["a"], of["b"]) == pytest.approx(clear, abs=0.1)
    elif clear < -0.2:
        assert meet(of["a"], of["b"])
