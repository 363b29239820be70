"""Distances to what moves, reached a second time: closed forms, dense sampling, brute force, fcl's own shapes."""

import math

import fcl
import numpy as np
import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import TUBE, small_rack

from rackgen.check.sweep import Hinge, Slide, Thing, box, edge_pieces, hinge, moved, nearest, needle, panel_pieces, rod
from rackgen.geom.frame import Frame, turn
from rackgen.geom.hull import hull
from rackgen.geom.spine import Spine
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed

CHORD = 0.05
"""How far a mesh lies within a round surface, mm."""
AFT = np.array([1.0, 0.0, 0.0])


def faces_of(placed: Placed) -> np.ndarray:
    mesh = triangles(placed.part)
    return placed.frame.points(mesh.vertices)[mesh.faces]


def near(faces: np.ndarray, thing: Thing):
    found = nearest(faces.min(axis=(0, 1)), faces.max(axis=(0, 1)), faces, thing)
    assert found is not None
    return found


def block(at: tuple[float, float, float], size: float) -> np.ndarray:
    """Give a cube's triangles about a point."""
    p = box(tuple(c - size / 2 for c in at), tuple(c + size / 2 for c in at))
    return p[hull(p)]


def tree(faces: np.ndarray) -> fcl.BVHModel:
    made = fcl.BVHModel()
    made.beginModel(3 * len(faces), len(faces))
    made.addSubModel(np.ascontiguousarray(faces.reshape(-1, 3)), np.arange(3 * len(faces)).reshape(-1, 3))
    made.endModel()
    return made


def apart(one: np.ndarray, other: np.ndarray) -> float:
    a, b = (fcl.CollisionObject(tree(f)) for f in (one, other))
    return max(0.0, float(fcl.distance(a, b, fcl.DistanceRequest(), fcl.DistanceResult())))


R = TUBE.section.od / 2  # type: ignore[union-attr]


@pytest.mark.parametrize("tilt", [0.0, 20.0, 45.0, 70.0])
def test_an_open_tube_end_is_flat_and_no_round_cap(tilt: float) -> None:
    """The corner of a square end against a wall that leans by `tilt`: closed form, unlike that of a capsule."""
    tube = Placed("a", BentTube(TUBE, Spine((400.0,))), Frame.of((0, 0, 0), (1, 0, 0), (0, 0, 1)), "tube", 1)
    n = np.array([math.cos(math.radians(tilt)), 0.0, math.sin(math.radians(tilt))])
    side = np.cross((0.0, 1.0, 0.0), n)
    wall = np.array([600.0 * n + 900 * (i * side + j * np.array([0.0, 1.0, 0.0])) + k * 10 * n
                     for i in (-1, 1) for j in (-1, 1) for k in (0, 1)])  # fmt: skip
    # Farthest along n is the end's rim: 400 cos + R sin.
    wanted = 600.0 - 400.0 * n[0] - R * n[2]
    got = near(faces_of(tube), Thing((wall,)))
    assert got.gap == pytest.approx(wanted, abs=CHORD)
    capsule = 600.0 - 400.0 * n[0] - R
    assert got.gap - capsule == pytest.approx(R * (1 - n[2]), abs=CHORD)


@pytest.mark.parametrize(("end", "off"), [(0.0, 0.0), (0.0, 30.0), (25.0, 40.0), (-100.0, 50.0)])
def test_a_tube_end_before_a_cylinder_square_to_it(end: float, off: float) -> None:
    """A cylinder across in front of, above or beside the end: distance of its axis from the end's flat figure."""
    tube = Placed("a", BentTube(TUBE, Spine((400.0,))), Frame.of((-400, 0, 0), (1, 0, 0), (0, 0, 1)), "tube", 1)
    at = np.array([end + 60.0, 0.0, off])
    thing = rod((at[0], -300.0, at[2]), (at[0], 300.0, at[2]), 12.0)
    beyond, above = max(0.0, at[0]), max(0.0, at[2] - R)
    assert near(faces_of(tube), thing).gap == pytest.approx(math.hypot(beyond, above) - 12.0, abs=CHORD + 0.02)


def test_an_aerial_is_its_line_and_its_radius() -> None:
    """The distance of a tube's side from a round rod across it is that of the axes less both radii."""
    tube = Placed("a", BentTube(TUBE, Spine((400.0,))), Frame.of((-200, 0, 0), (1, 0, 0), (0, 0, 1)), "tube", 1)
    line = needle((0.0, -300.0, 70.0), (0.0, 300.0, 70.0), 4.0)
    assert near(faces_of(tube), line).gap == pytest.approx(70 - R - 4, abs=CHORD)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(
    st.tuples(strategies.reals(-150, 150), strategies.reals(-500, 500), strategies.reals(-60, 500)),
    strategies.reals(-60, 60), strategies.reals(-40, 60), strategies.reals(20, 130), strategies.reals(-15, 15),
    strategies.reals(5, 60),
)  # fmt: skip
def test_a_hatch_is_as_near_as_dense_sampling_says(
    at: tuple[float, float, float], up: float, aft: float, opens: float, skew: float, thick: float
) -> None:
    """A cube by a hatch whose hinge stands off its panel: within 0.1 mm of steps of 0.05 degrees, refined."""
    outline = np.array([[0.0, -400, 0], [0, 400, 0], [30, 400, -500], [30, -400, -500]])
    a, b = (-aft, -300.0, up), (-aft, 300.0, up + 600 * math.tan(math.radians(skew)))
    way = hinge(a, b, opens, outline, AFT)
    thing = Thing(panel_pieces(outline, -AFT, thick, way), way)
    cube = block(at, 60.0)
    got = near(cube, thing)
    one = fcl.CollisionObject(tree(cube))
    whole = np.concatenate([outline, outline + thick * _inward(outline)])
    panel = fcl.CollisionObject(tree(whole[hull(whole)]))

    def at_angle(angle: float) -> float:
        r = turn(way.along, angle).rotation()
        panel.setTransform(fcl.Transform(r, np.asarray(way.at) - r @ np.asarray(way.at)))
        return max(0.0, float(fcl.distance(one, panel, fcl.DistanceRequest(), fcl.DistanceResult())))

    angles = np.linspace(0.0, opens, math.ceil(opens / 0.05) + 1)
    gaps = [at_angle(float(t)) for t in angles]
    k = int(np.argmin(gaps))
    finer = np.linspace(angles[max(0, k - 1)], angles[min(len(angles) - 1, k + 1)], 41)
    least = min(gaps[k], *(at_angle(float(t)) for t in finer))
    if least == 0.0 or got.gap == 0.0:
        assert max(least, got.gap) < 0.1
        return
    assert got.gap == pytest.approx(least, abs=0.1)
    assert got.least <= least + 1e-6
    assert at_angle(got.when) == pytest.approx(got.gap, abs=1e-3)


def _inward(outline: np.ndarray) -> np.ndarray:
    n = np.cross(outline[1] - outline[0], outline[2] - outline[0])
    n /= np.linalg.norm(n)
    return n if n[0] < 0 else -n


@pytest.mark.parametrize("seed", range(16))
def test_a_panel_of_any_outline_on_any_hinge(seed: int) -> None:
    """Outlines with corners in and out, not quite flat, a hinge anywhere and aslant: against 500 places of the way."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 8))
    angle, radius = np.sort(rng.uniform(0, 2 * np.pi, count)), rng.uniform(150, 600, count)
    rim = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), rng.uniform(-5, 5, count)])
    outline = rim @ turn(rng.normal(size=3), float(rng.uniform(0, 180))).rotation().T
    a = rng.uniform(-300, 300, 3)
    way = hinge(tuple(a), tuple(a + rng.normal(size=3) * 300), float(rng.uniform(20, 170)), outline, AFT)
    thing = Thing(panel_pieces(outline, -AFT, float(rng.uniform(5, 60)), way), way)
    cube = block(tuple(rng.uniform(-900, 900, 3)), 60.0)
    got = near(cube, thing)
    one = fcl.CollisionObject(tree(cube))
    panels = [fcl.CollisionObject(tree(p[f])) for p, f in zip(thing.pieces, thing.faces, strict=True)]

    def at_angle(t: float) -> float:
        r = turn(way.along, t).rotation()
        for panel in panels:
            panel.setTransform(fcl.Transform(r, np.asarray(way.at) - r @ np.asarray(way.at)))
        gaps = [fcl.distance(one, p, fcl.DistanceRequest(), fcl.DistanceResult()) for p in panels]
        return max(0.0, float(min(gaps)))

    places = np.linspace(0.0, way.last, 501)
    gaps = [at_angle(float(t)) for t in places]
    k = int(np.argmin(gaps))
    finer = np.linspace(places[max(0, k - 1)], places[min(500, k + 1)], 41)
    least = min(gaps[k], *(at_angle(float(t)) for t in finer))
    assert got.gap == pytest.approx(least, abs=0.1)
    assert got.gap - got.least <= 0.1
    assert got.least <= least + 1e-6


def test_a_door_edge_sweeps_an_arc() -> None:
    """A level edge about a plumb hinge at its front: a cube outside the arc is as far as its corner from the circle."""
    edge = np.array([[0.0, 100.0, 0.0], [900.0, 100.0, 0.0]])
    way = hinge((0.0, 100.0, -500.0), (0.0, 100.0, 0.0), 90.0, edge, np.array([0.0, 1.0, 0.0]))
    thing = Thing(edge_pieces(edge, way), way)
    got = near(block((800.0, 900.0, 0.0), 40.0), thing)
    # Nearest corner is (780, 880); the circle of 900 about (0, 100); the edge is a slender body of half a millimetre.
    assert got.gap == pytest.approx(math.hypot(780.0, 780.0) - 900.0, abs=0.15)
    assert got.when == pytest.approx(45.0, abs=1.0)


def test_a_panel_lifted_or_slid_sweeps_a_box() -> None:
    """Straight ways are exact: the distance is that from the box that is swept."""
    lid = np.array([[0.0, 0, 0], [400, 0, 0], [400, 300, 0], [0, 300, 0]])
    lift = Thing(panel_pieces(lid, np.array([0.0, 0, -1]), 20.0, Slide()), Slide((0.0, 0.0, 1.0), 200.0))
    assert near(block((440.0, 150.0, 150.0), 20.0), lift).gap == pytest.approx(30.0, abs=1e-6)
    assert near(block((200.0, 150.0, 240.0), 20.0), lift).gap == pytest.approx(30.0, abs=1e-6)
    slid = Thing(lift.pieces, Slide((1.0, 0.0, 0.0), 500.0))
    got = near(block((900.0, 350.0, -10.0), 20.0), slid)
    assert got.gap == pytest.approx(40.0, abs=1e-6)
    assert got.when == pytest.approx(500.0, abs=130.0)


def test_what_is_wholly_inside_is_at_no_distance() -> None:
    """A part that crosses no surface of what it is in is still in it."""
    assert near(block((50.0, 50.0, 50.0), 10.0), Thing((box((0, 0, 0), (100, 100, 100)),))).gap == 0.0


def test_every_kind_of_part_is_as_far_as_brute_force_says() -> None:
    """Each part of a small rack and a turned box: triangle by triangle, and by fcl on whole meshes."""
    shape = box((0, 0, 0), (120, 60, 40)) @ turn((1, 2, 3), 40.0).rotation().T + np.array([200.0, 100.0, 190.0])
    solid = shape[hull(shape)]
    for placed in small_rack().placed:
        faces = faces_of(placed)
        got = near(faces, Thing((shape,)))
        assert got.gap == pytest.approx(apart(faces, solid), abs=1e-6), placed.id
        # By points: never nearer than the exact answer, and near it where the points are dense.
        a, b = faces.reshape(-1, 3), _spread(solid)
        least = min(float(np.sqrt(((p - b) ** 2).sum(axis=1)).min()) for p in a[:: max(1, len(a) // 300)])
        assert got.gap <= least + 1e-6


def _spread(faces: np.ndarray) -> np.ndarray:
    w = np.array([(i, j, 8 - i - j) for i in range(9) for j in range(9 - i)]) / 8
    return np.einsum("kw,nwi->nki", w, faces).reshape(-1, 3)


@settings(deadline=None, derandomize=True, max_examples=20)
@given(strategies.reals(1.0, 200.0))
def test_what_lies_below_falls_behind_by_as_much_as_the_part_rises(rise: float) -> None:
    """Raise a part over a flat thing by d and its gap grows by d."""
    thing = Thing((box((-500, -500, -10), (500, 500, 0)),))
    low = near(block((0.0, 0.0, 60.0), 40.0), thing).gap
    assert near(block((0.0, 0.0, 60.0 + rise), 40.0), thing).gap - low == pytest.approx(rise, abs=1e-6)


def test_a_reach_only_leaves_out_what_is_farther() -> None:
    """Within the reach the answer is the same; beyond it there is none."""
    cube, thing = block((200.0, 0.0, 0.0), 40.0), Thing((box((0, -50, -50), (100, 50, 50)),))
    lo, hi = cube.min(axis=(0, 1)), cube.max(axis=(0, 1))
    assert nearest(lo, hi, cube, thing, 79.0) is None
    found = nearest(lo, hi, cube, thing, 81.0)
    assert found is not None
    assert found.gap == pytest.approx(80.0)


def test_a_hinge_turns_the_panel_outward() -> None:
    """Whichever way its two points are written."""
    outline = np.array([[0.0, -400, 0], [0, 400, 0], [0, 400, -500], [0, -400, -500]])
    for a, b in (((0.0, -1.0, 0.0), (0.0, 1.0, 0.0)), ((0.0, 1.0, 0.0), (0.0, -1.0, 0.0))):
        way = hinge(a, b, 90.0, outline, AFT)
        assert isinstance(way, Hinge)
        assert moved(outline, way, 90.0).mean(axis=0) == pytest.approx([250.0, 0.0, 0.0], abs=1e-9)
