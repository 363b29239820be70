"""One pair at a time, its distance by the program, by fcl on triangles, by the kernel on solids, and by brute force.

The pair is a part and a round roof of 900 mm radius, which the program knows by readings, fcl by triangles, the kernel
as a cylinder, and brute force by its formula.
"""

import math

import fcl
import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
from small_rack import TUBE, small_rack

from rackgen.check.clearance import gaps
from rackgen.geom.frame import Array, Frame, turn
from rackgen.geom.spine import Bend, Spine
from rackgen.geom.surface import Roof, Section
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube, Part
from rackgen.parts.rack import Placed, Rack
from rackgen.solid.build import solid
from rackgen.spec.rack import Gaps

pytestmark = pytest.mark.kernel

RADIUS, LONG, HALF = 900.0, 1200.0, 640.0
NEAR = 0.12
"""The program's own places on a part lie 10 mm apart along tubes and 25 mm across flats, mm; see `ALONG_TUBE`."""

CHORD = 0.06
"""Triangles lie within 0.05 mm of round surfaces."""


def skin(y: Array) -> Array:
    return np.sqrt(RADIUS**2 - y**2) - RADIUS


def measured() -> Roof:
    ys = np.linspace(-HALF, HALF, 65)
    row = tuple(ys.tolist()), tuple(skin(ys).tolist())
    return Roof(tuple(Section(x, *row, HALF, HALF) for x in (0.0, 300.0, 600.0, 900.0, LONG)))


def by_program(placed: Placed) -> float:
    return gaps(Rack((placed,), ()), measured(), Gaps())[0].gap


def by_fcl(placed: Placed) -> float:
    def tree(points: Array, faces: Array) -> fcl.CollisionObject:
        model = fcl.BVHModel()
        model.beginModel(len(points), len(faces))
        model.addSubModel(np.ascontiguousarray(points), np.ascontiguousarray(faces))
        model.endModel()
        return fcl.CollisionObject(model, fcl.Transform())

    ys = np.linspace(-HALF, HALF, 641)
    roof = np.array([(x, y, z) for x in (0.0, LONG) for y, z in zip(ys, skin(ys), strict=True)])
    a, n = np.arange(640), 641
    sheet = np.concatenate([np.stack([a, a + 1, a + n], 1), np.stack([a + 1, a + n + 1, a + n], 1)])
    mesh = triangles(placed.part)
    one, other = tree(placed.frame.points(mesh.vertices), mesh.faces), tree(roof, sheet)
    return float(fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult()))


def by_kernel(placed: Placed) -> float:
    frame = placed.frame
    there = gp_Trsf()
    there.SetTransformation(gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x)), gp_Ax3())
    part = BRepBuilderAPI_Transform(solid(placed.part).shape, there, True).Shape()
    axis = gp_Ax2(gp_Pnt(0.0, 0.0, -RADIUS), gp_Dir(1.0, 0.0, 0.0))
    answer = BRepExtrema_DistShapeShape(part, BRepPrimAPI_MakeCylinder(axis, RADIUS, LONG).Shape())
    assert answer.IsDone()
    return float(answer.Value())


def by_force(placed: Placed) -> float:
    """Give the least distance of points of the surface, no two of them over 3 mm apart, from the roof's axis."""
    mesh = triangles(placed.part)
    faces = placed.frame.points(mesh.vertices)[mesh.faces]
    while len(faces):
        sides = np.linalg.norm(faces - np.roll(faces, -1, axis=1), axis=2)
        nearest = np.hypot(faces[:, :, 1], faces[:, :, 2] + RADIUS).min(axis=1)
        # What is farther than its own size from the nearest corner found holds nothing nearer.
        keep = nearest - sides.max(axis=1) < nearest.min()
        if sides[keep].max() < 3.0:
            return float(nearest.min()) - RADIUS
        middles = (faces + np.roll(faces, -1, axis=1)) / 2
        corners = [np.stack([faces[:, k], middles[:, k], middles[:, k - 1]], axis=1) for k in range(3)]
        faces = np.concatenate([*(c[keep] for c in corners), middles[keep]])
    raise AssertionError("no triangles")


def stood(part: Part, tilt: tuple[float, float, float], out: float, above: float) -> Placed:
    """Stand a part over the roof, its lowest point about `above` it."""
    axis = math.hypot(*tilt)
    frame = turn(tilt, axis) if axis else Frame()
    points = frame.points(triangles(part).vertices)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    frame = Frame((LONG / 2 - middle[0], out - middle[1], 0.0), frame.x, frame.y, frame.z)
    points = frame.points(triangles(part).vertices)
    up = 0.0
    for _ in range(6):
        up += above + RADIUS - float(np.hypot(points[:, 1], points[:, 2] + up + RADIUS).min())
    return Placed("frame.bar[1]", part, frame.moved(frame.to_local_direction((0.0, 0.0, up))), "cross bar", 2)


def all_four(placed: Placed) -> float:
    force = by_force(placed)
    assert by_fcl(placed) == pytest.approx(force, abs=CHORD)
    assert by_kernel(placed) == pytest.approx(force, abs=CHORD)
    assert by_program(placed) == pytest.approx(force, abs=NEAR)
    assert force > 1.0
    return force


KINDS = {p.word: p.part for p in reversed(small_rack().placed)}


@pytest.mark.parametrize("word", sorted(KINDS))
@pytest.mark.parametrize(("tilt", "out"), [((4.0, 3.0, 8.0), 20.0), ((25.0, 10.0, 40.0), 180.0)])
def test_every_kind_of_part_over_a_round_roof(word: str, tilt: tuple[float, float, float], out: float) -> None:
    all_four(stood(KINDS[word], tilt, out, 25.0))


@pytest.mark.parametrize("out", [15.0, 120.0, 300.0])
def test_an_open_end_of_a_bent_tube_that_points_at_the_roof(out: float) -> None:
    """Its rim is what is nearest: a round cap past its end would reach nearer by most of its radius."""
    tube = BentTube(TUBE, Spine((150.0, 200.0), (Bend(90.0, 120.0),)))
    placed = stood(tube, (0.0, -75.0, 0.0), out, 20.0)
    gap = all_four(placed)
    _, y, z = placed.frame.origin
    cap = math.hypot(y, z + RADIUS) - RADIUS - 33.7 / 2
    assert gap > cap + 8.0
