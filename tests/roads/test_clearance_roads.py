"""Gaps reached a second time: by FCL's distance from a part's mesh to a roof drawn by scipy's splines."""

import dataclasses
import math

import fcl
import numpy as np
import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st
from roofs import roof
from scipy.interpolate import CubicSpline
from small_rack import TUBE

from rackgen.check.clearance import gaps
from rackgen.geom.frame import turn
from rackgen.geom.spine import Spine
from rackgen.geom.surface import Roof
from rackgen.job import design
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube, Part
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.rack import Gaps
from rackgen.spec.read import read_job


def tree(vertices: np.ndarray, faces: np.ndarray):
    model = fcl.BVHModel()
    model.beginModel(len(vertices), len(faces))
    model.addSubModel(np.ascontiguousarray(vertices), np.ascontiguousarray(faces))
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def roof_sheet(over: Roof, step: float):
    """Draw the roof as triangles, its heights by scipy's not-a-knot splines, between its stations and side edges."""
    knots = [s.x for s in over.sections]
    xs = np.linspace(knots[0], knots[-1], 1 + math.ceil((knots[-1] - knots[0]) / step))
    half = min(min(s.left, s.right) for s in over.sections)
    ys = np.linspace(-half, half, 1 + math.ceil(2 * half / step))
    rows = np.array([CubicSpline(s.ys, s.zs)(ys) for s in over.sections])
    heights = CubicSpline(knots, rows)(xs)
    points = np.stack([np.repeat(xs, len(ys)), np.tile(ys, len(xs)), heights.ravel()], axis=1)
    n = len(ys)
    a = (np.arange(len(xs) - 1)[:, None] * n + np.arange(n - 1)[None]).ravel()
    return tree(points, np.concatenate([np.stack([a, a + n, a + n + 1], 1), np.stack([a, a + n + 1, a + 1], 1)]))


def apart(placed: Placed, sheet) -> float:
    mesh = triangles(placed.part)
    body = tree(placed.frame.points(mesh.vertices), mesh.faces)
    return float(fcl.distance(body, sheet, fcl.DistanceRequest(), fcl.DistanceResult()))


CURVED = roof(crown=60.0, fall=40.0, half=600.0)
SHEET = roof_sheet(CURVED, 12.0)
coped_tubes = st.builds(
    lambda long, a, b: BentTube(TUBE, Spine((long,)), (a,), (b,)),
    strategies.reals(200.0, 480.0),
    strategies.copes(33.7),
    strategies.planes,
)
directions = st.tuples(*[strategies.reals(-1.0, 1.0)] * 3).filter(lambda a: math.hypot(*a) > 0.01)


@settings(deadline=None, derandomize=True, max_examples=25)
@given(strategies.cut_plates() | strategies.folded_bars() | coped_tubes, directions,
       strategies.reals(-180.0, 180.0), strategies.reals(300.0, 1200.0), strategies.reals(-250.0, 250.0),
       strategies.reals(8.0, 200.0))  # fmt: skip
def test_the_gap_of_any_part_is_the_distance_of_its_mesh(
    part: Part, axis: tuple[float, float, float], angle: float, x: float, y: float, up: float
) -> None:
    stance = turn(axis, angle)
    p = stance.points(triangles(part).vertices)
    # The part's lowest point `up` over the crown, its middle over the place; what hangs over the edge is left out.
    low, middle = p.min(axis=0), (p.min(axis=0) + p.max(axis=0)) / 2
    if np.ptp(p, axis=0)[0] > 500 or np.ptp(p, axis=0)[1] > 500:
        return
    stance = dataclasses.replace(
        stance, origin=(x - float(middle[0]), y - float(middle[1]), 1700.0 + up - float(low[2]))
    )
    placed = Placed("a", part, stance, "part", 1)
    row = gaps(Rack((placed,), ()), CURVED, Gaps())[0]
    # Chords of the mesh (0.05) and points 10 to 25 mm apart on curves of no less than 2 m: 0.1 between the two.
    assert row.gap == pytest.approx(apart(placed, SHEET), abs=0.12)
    assert row.at is not None


@pytest.fixture(scope="module", params=["demo", "survey-crew"])
def made(request: pytest.FixtureRequest):
    return design(read_job(request.param))


def test_every_tube_of_a_whole_rack_is_as_far_from_the_roof_as_its_mesh(made) -> None:
    over = made.job.vehicle.roof
    sheet = roof_sheet(over, 15.0)
    first, last = over.sections[0].x, over.sections[-1].x
    half = min(min(s.left, s.right) for s in over.sections)
    seen = 0
    for row in gaps(made.rack, over, made.job.spec.gaps):
        placed = made.rack.part(row.part)
        if not isinstance(placed.part, BentTube) or row.gap is None or row.at is None:
            continue
        # Beyond the outer stations and beside the edges the two roads do not look at the same surface.
        if first + 20 < row.at[0] < last - 20 and abs(row.at[1]) < half - 20:
            assert row.gap == pytest.approx(apart(placed, sheet), abs=0.15), row.part
            seen += 1
    assert seen >= 10
