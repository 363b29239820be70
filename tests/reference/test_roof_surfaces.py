"""Roofs whose every number is known by formula: cylinder, ball, elliptic paraboloid, tilted plane.

Sources: normal and principal curvatures of a cylinder (0 and 1/R), of a sphere (1/R twice) and at the top of the
paraboloid z = -x²/2a - y²/2b (1/a and 1/b) are textbook (do Carmo, Differential Geometry of Curves and Surfaces, 3-2,
3-3, from memory); distances follow from the distance to the axis, the centre and the plane.
"""

import math
from collections.abc import Callable

import numpy as np
import pytest
from small_rack import TUBE

from rackgen.check.clearance import gaps
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Spine
from rackgen.geom.surface import Roof, Section
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.rack import Gaps

LONG, HALF, APART = 1200.0, 560.0, 80.0

Height = Callable[[float, float], float]


def sampled(height: Height, half: float = HALF, across: float = 50.0) -> Roof:
    """Give the roof of a surface sampled at stations 80 mm apart, every 50 mm across."""
    ys = [float(y) for y in np.linspace(-half, half, round(2 * half / across) + 1)]
    xs = np.linspace(0.0, LONG, round(LONG / APART) + 1)
    return Roof(tuple(Section(float(x), tuple(ys), tuple(height(float(x), y) for y in ys), half, half) for x in xs))


RADIUS = 1500.0
TILT = (0.06, -0.03)


def cylinder(x: float, y: float) -> float:
    return math.sqrt(RADIUS**2 - y**2) - RADIUS


def ball(x: float, y: float) -> float:
    return math.sqrt(RADIUS**2 - y**2 - (x - LONG / 2) ** 2) - RADIUS


def paraboloid(x: float, y: float) -> float:
    return -((x - LONG / 2) ** 2) / (2 * 9000.0) - y**2 / (2 * 2500.0)


def plane(x: float, y: float) -> float:
    return TILT[0] * x + TILT[1] * y


PLACES = np.array([(x, y) for x in (7.0, 333.0, 600.0, 951.0, 1193.0) for y in (-541.0, -222.0, 0.0, 17.0, 409.0)])


@pytest.mark.parametrize("true", [cylinder, ball, paraboloid, plane])
def test_heights_between_the_readings(true: Height) -> None:
    wanted = [true(x, y) for x, y in PLACES]
    assert sampled(true).height(PLACES[:, 0], PLACES[:, 1]) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize(
    ("true", "outward"),
    [
        (cylinder, lambda x, y: (0.0, y, cylinder(x, y) + RADIUS)),
        (ball, lambda x, y: (x - LONG / 2, y, ball(x, y) + RADIUS)),
        (paraboloid, lambda x, y: ((x - LONG / 2) / 9000.0, y / 2500.0, 1.0)),
        (plane, lambda x, y: (-TILT[0], -TILT[1], 1.0)),
    ],
)
def test_normals(true: Height, outward: Callable[[float, float], tuple[float, float, float]]) -> None:
    roof = sampled(true)
    for x, y in PLACES:
        n = np.array(outward(x, y))
        off = math.degrees(math.acos(min(1.0, float(np.dot(roof.normal(x, y), n / np.linalg.norm(n))))))
        assert off < 0.05


@pytest.mark.parametrize(
    ("true", "wanted"), [(cylinder, (1 / RADIUS, 0.0)), (ball, (1 / RADIUS, 1 / RADIUS)), (plane, (0.0, 0.0))]
)
def test_curvatures_that_are_the_same_everywhere(true: Height, wanted: tuple[float, float]) -> None:
    x, y = PLACES[:, 0], PLACES[:, 1]
    most, least = sampled(true).curvature(x, y)
    assert most == pytest.approx(np.full(len(x), wanted[0]), abs=0.02 / RADIUS)
    assert least == pytest.approx(np.full(len(x), wanted[1]), abs=0.02 / RADIUS)


def test_curvatures_of_a_paraboloid() -> None:
    roof = sampled(paraboloid)
    assert [float(k) for k in roof.curvature(LONG / 2, 0.0)] == pytest.approx([1 / 2500, 1 / 9000], rel=1e-6)
    # Off its top by the graph's own formulas, worked here with exact derivatives.
    x, y = 951.0, -222.0
    p, q = -(x - LONG / 2) / 9000, -y / 2500
    w = 1 + p * p + q * q
    mean = ((1 + p * p) / 2500 + (1 + q * q) / 9000) / (2 * w**1.5)
    whole = (1 / 2500) * (1 / 9000) / w**2
    root = math.sqrt(mean**2 - whole)
    assert [float(k) for k in roof.curvature(x, y)] == pytest.approx([mean + root, mean - root], rel=1e-5)


def test_a_saddle_is_crowned_one_way_and_hollow_the_other() -> None:
    roof = sampled(lambda x, y: (x - LONG / 2) ** 2 / 9000.0 - y**2 / 5000.0)
    assert [float(k) for k in roof.curvature(LONG / 2, 0.0)] == pytest.approx([2 / 5000, -2 / 9000], rel=1e-6)


@pytest.mark.parametrize(
    ("true", "exact"),
    [
        (cylinder, lambda p: math.hypot(p[1], p[2] + RADIUS) - RADIUS),
        (ball, lambda p: math.dist(p, (LONG / 2, 0.0, -RADIUS)) - RADIUS),
        (plane, lambda p: (p[2] - plane(p[0], p[1])) / math.sqrt(1 + TILT[0] ** 2 + TILT[1] ** 2)),
    ],
)
def test_distances(true: Height, exact: Callable[[tuple[float, float, float]], float]) -> None:
    roof = sampled(true)
    for x, y in ((333.0, -222.0), (600.0, 0.0), (700.0, 300.0)):
        for above in (-8.0, 3.0, 25.0, 60.0, 200.0):
            p = (x, y, true(x, y) + above)
            assert float(roof.gap([p])[0]) == pytest.approx(exact(p), abs=0.02)


def test_distance_to_a_paraboloid_by_looking_everywhere() -> None:
    roof = sampled(paraboloid)
    p = (700.0, 300.0, paraboloid(700.0, 300.0) + 120.0)
    xs, ys = np.meshgrid(np.linspace(660, 740, 401), np.linspace(240, 360, 601))
    zs = -((xs - LONG / 2) ** 2) / (2 * 9000.0) - ys**2 / (2 * 2500.0)
    least = float(np.sqrt((xs - p[0]) ** 2 + (ys - p[1]) ** 2 + (zs - p[2]) ** 2).min())
    assert float(roof.gap([p])[0]) == pytest.approx(least, abs=0.02)


def test_an_open_tube_end_over_a_round_roof_is_a_square_rim_and_no_ball() -> None:
    round_roof = 400.0
    roof = sampled(lambda x, y: math.sqrt(round_roof**2 - y**2) - round_roof, half=380.0, across=10.0)
    out, up, r = 280.0, 320.0 - round_roof, 33.7 / 2
    tube = BentTube(TUBE, Spine((90.0,)))
    frame = Frame.of((600.0, out, up), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    row = gaps(Rack((Placed("frame.bar[1]", tube, frame, "cross bar", 2),), ()), roof, Gaps())[0]
    rim = [math.hypot(out, up + round_roof + r * math.cos(t)) - round_roof for t in np.linspace(0, 2 * math.pi, 2000)]
    capsule = math.hypot(out, up + round_roof) - round_roof - r
    assert row.gap == pytest.approx(min(rim), abs=0.05)
    assert min(rim) > capsule + 4.0


@pytest.mark.parametrize("true", [cylinder, ball, paraboloid, plane])
@pytest.mark.parametrize("place", [(-60.1, 0.0), (LONG + 60.1, 0.0), (600.0, HALF + 0.1), (600.0, -HALF - 0.1)])
def test_nothing_is_said_beyond_what_was_measured(true: Height, place: tuple[float, float]) -> None:
    roof = sampled(true)
    x, y = place
    assert np.isnan(roof.height(x, y))
    assert np.isnan(roof.slope(x, y)).all()
    assert np.isnan(roof.curvature(x, y)).all()
    assert np.isnan(roof.normal(x, y)).all()
    assert np.isinf(roof.gap([(x, y, 100.0)])).all()


def test_within_the_margin_the_surface_goes_on() -> None:
    roof = sampled(paraboloid)
    for x in (-59.9, LONG + 59.9):
        assert float(roof.height(x, 100.0)) == pytest.approx(paraboloid(x, 100.0), abs=1e-6)
