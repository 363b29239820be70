"""Meshes kind by kind: what is in them, what is left out, and what is refused."""

import dataclasses
import math

import numpy as np
import pytest
from small_rack import BAR, INNER, MESH, PLATE, THIN, TUBE

from rackgen.errors import GeometryError
from rackgen.geom.cope import Cope, Plane
from rackgen.geom.fold import Fold
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.mesh.edges import edges
from rackgen.mesh.mesh import normals, volume
from rackgen.mesh.polygon import triangulate
from rackgen.mesh.sweep import along, evenly
from rackgen.mesh.triangles import triangles
from rackgen.mesh.tube import columns, slit_angle
from rackgen.parts.kinds import (
    BarEnd,
    BarHole,
    BentTube,
    BoltShape,
    Bought,
    CapShape,
    CutPlate,
    FoldedBar,
    PadShape,
    PlateHole,
    RivetShape,
    Slit,
    TubeHole,
    UBoltShape,
)
from rackgen.parts.measure import volume as measured

U_BOLT = UBoltShape(8.0, 40.0, 20.0, 16.85, 75.0, 24.85, 16.0, 1.6, 13.0, 6.5)
BOUGHT = [
    U_BOLT,
    RivetShape(6.4, 5.0, 13.0, 3.0, 9.0, 8.0),
    BoltShape(8.0, 30.0, 12.0, 13.0, 5.3, 16.0, 1.6, "nut", 13.0, 6.8),
    BoltShape(8.0, 25.0, 8.0, 13.0, 5.3, 16.0, 1.6, "slot nut", 20.0, 6.0),
    BoltShape(6.0, 20.0, 6.5, 10.0, 4.0, 12.0, 1.6, "rivet nut", 9.0, 14.0),
    BoltShape(10.0, 25.0, 7.0, 16.0, 6.4, 20.0, 2.0, "thread", 0.0, 0.0),
    CapShape(33.7, 3.0, 28.5, 12.0),
    PadShape(rectangle(120.0, 90.0, 5.0), (rectangle(14.0, 9.0, 4.5, (25.0, 20.0)),), 3.0),
]


@pytest.mark.parametrize("shape", BOUGHT, ids=lambda s: type(s).__name__)
def test_bought_parts_are_closed_and_of_their_volume(shape) -> None:
    part = Bought("one", shape, 7850.0)
    mesh = triangles(part)
    sides = np.concatenate([mesh.faces[:, [0, 1]], mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]]])
    assert len(np.unique(sides, axis=0)) == len(sides)
    assert {tuple(s) for s in sides} == {tuple(s) for s in sides[:, ::-1]}
    assert math.isclose(volume(mesh), measured(part), rel_tol=0.015)


def test_the_bow_of_a_u_bolt_touches_the_tube_it_holds_and_its_legs_pass_it() -> None:
    rod = triangles(Bought("one", U_BOLT, 7850.0)).vertices
    assert math.isclose(float(np.hypot(rod[:, 1], rod[:, 2])[rod[:, 2] < 0].min()), U_BOLT.drop, abs_tol=1e-9)
    assert math.isclose(float(rod[:, 2].max()), U_BOLT.leg - U_BOLT.drop)
    assert math.isclose(float(rod[:, 2].min()), -U_BOLT.drop - U_BOLT.rod)


def test_a_flat_bow_has_corners_of_its_radius() -> None:
    flat = Bought("one", dataclasses.replace(U_BOLT, bow=10.0), 7850.0)
    rod = triangles(flat).vertices
    bottom = rod[np.abs(rod[:, 2] + U_BOLT.drop + U_BOLT.rod) < 1e-6]
    assert math.isclose(float(np.ptp(bottom[:, 1])), 2 * (24.0 - 14.0), abs_tol=1e-6)


def test_small_holes_in_tubes_are_left_out_and_drawn() -> None:
    plain = BentTube(TUBE, Spine((400.0,)))
    holed = dataclasses.replace(plain, holes=(TubeHole(100.0, 180.0, 5.0, "vent"),))
    assert volume(triangles(plain)) == volume(triangles(holed))
    ring = edges(holed)[-1]
    assert math.isclose(float(np.ptp(ring[:, 0])), 5.0)
    assert np.allclose(np.hypot(ring[:, 1], ring[:, 2]), 16.85)
    assert np.all(ring[:, 2] < 0)


def test_vertices_of_a_bent_tube_lie_on_its_outside_or_in_its_bore() -> None:
    line = Spine((150.0, 200.0, 180.0), (Bend(90.0, 120.0), Bend(45.0, 120.0, 60.0)))
    ends = along(line, evenly(line, 0.5))
    for p in triangles(BentTube(TUBE, line)).vertices[::97]:
        off = float(np.linalg.norm(ends.origins - p, axis=1).min())
        assert min(abs(off - 16.85), abs(off - 14.25)) < 0.01


def test_a_coped_end_lies_on_its_header() -> None:
    cut = Cope(42.4, 10.0, 50.0, 3.0, 70.0)
    part = BentTube(TUBE, Spine((200.0,)), (cut,))
    mesh = triangles(part)
    # The header's axis: the crossing lies `at` before the sawn end, beside it by the offset along clock + 90.
    lean = math.radians(cut.angle)
    acute = np.array([0.0, -math.sin(math.radians(70.0)), math.cos(math.radians(70.0))])
    beside = np.array([0.0, -math.sin(math.radians(160.0)), math.cos(math.radians(160.0))])
    axis = math.cos(lean) * np.array([1.0, 0, 0]) + math.sin(lean) * acute
    origin = np.array([-cut.at, 0, 0]) - cut.offset * beside
    off = mesh.vertices - origin
    from_axis = np.linalg.norm(off - np.outer(off @ axis, axis), axis=1)
    assert from_axis.min() > 21.2 - 1e-6
    end = mesh.vertices[:, 0] < 100.0
    assert np.count_nonzero(np.abs(from_axis[end] - 21.2) < 1e-6) > 0.9 * np.count_nonzero(end)


def test_corners_of_the_end_curves_have_their_own_columns() -> None:
    part = BentTube(THIN, Spine((200.0,)), (Cope(26.9, 0.0, 90.0, 0.0, 10.0), Plane(3.0, 30.0, 100.0)))
    clocks, closed = columns(part)
    assert closed
    for quarter in (10.0, 100.0, 190.0, 280.0):
        assert np.abs((clocks - quarter + 180.0) % 360.0 - 180.0).min() < 1e-6


def test_a_slit_sleeve_is_open_at_clock_zero_by_what_is_left_of_the_strip() -> None:
    part = BentTube(INNER, Spine((100.0,)), slit=Slit(18.0, 28.5))
    gap = 18.0 - math.pi * (33.7 - 28.5)
    assert math.isclose(slit_angle(part), math.degrees(gap / ((28.5 - 2.0) / 2)))
    mesh = triangles(part)
    assert math.isclose(volume(mesh), measured(part), rel_tol=0.005)
    top = mesh.vertices[np.argmax(mesh.vertices[:, 2])]
    assert math.isclose(math.degrees(math.atan2(abs(top[1]), top[2])), slit_angle(part) / 2, abs_tol=1e-6)
    assert math.isclose(float(np.hypot(mesh.vertices[:, 1], mesh.vertices[:, 2]).max()), 14.25)


def test_a_stub_shorter_than_its_copes_still_closes() -> None:
    cut = Cope(33.7, 0.0, 90.0)
    mesh = triangles(BentTube(TUBE, Spine((20.0,)), (cut,), (cut,)))
    sides = np.concatenate([mesh.faces[:, [0, 1]], mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]]])
    assert {tuple(s) for s in sides} == {tuple(s) for s in sides[:, ::-1]}
    assert volume(mesh) > 0


def test_expanded_metal_is_its_envelope_and_shows_its_strands() -> None:
    panel = CutPlate(MESH, rectangle(300.0, 200.0))
    assert math.isclose(volume(triangles(panel)), 300.0 * 200.0 * 5.3)
    strands = [line for line in edges(panel) if len(line) == 2]
    # Two families, one short way (23 mm) apart across a panel 200 high plus what their slope adds over 300.
    assert len(strands) == pytest.approx(2 * (200 + 300 * 23 / 50) / 23, abs=4)
    for line in strands:
        rise = (line[1] - line[0])[1] / (line[1] - line[0])[0]
        assert math.isclose(abs(rise), 23.0 / 50.0)


def test_a_bevelled_and_skewed_end_keeps_the_longer_face_and_edge() -> None:
    part = FoldedBar(BAR, (100.0,), end_b=BarEnd(bevel=30.0, skew=10.0))
    p = triangles(part).vertices
    for y, z in ((25.0, 2.5), (-25.0, 2.5), (25.0, -2.5), (-25.0, -2.5)):
        corner = p[(np.abs(p[:, 1] - y) < 1e-6) & (np.abs(p[:, 2] - z) < 1e-6), 0].max()
        assert math.isclose(
            corner, 100.0 + y * math.tan(math.radians(10.0)) + z * math.tan(math.radians(30.0)), abs_tol=1e-6
        )


def test_a_fold_of_ninety_degrees_stands_its_second_flat_up() -> None:
    part = FoldedBar(BAR, (100.0, 60.0), (Fold(90.0, 8.0),))
    p = triangles(part).vertices
    # 100 + inside radius + thickness to the outside; 60 + the same up.
    assert math.isclose(float(p[:, 0].max()), 113.0, abs_tol=1e-6)
    assert math.isclose(float(p[:, 2].max()), 8.0 + 2.5 + 60.0, abs_tol=1e-6)
    assert math.isclose(float(p[:, 2].min()), -2.5, abs_tol=1e-6)


@pytest.mark.parametrize(
    "part",
    [
        CutPlate(PLATE, rectangle(100.0, 50.0), (PlateHole(60.0, 0.0, 6.5),)),
        CutPlate(PLATE, rectangle(100.0, 50.0), (PlateHole(0.0, 0.0, 6.5), PlateHole(3.0, 0.0, 6.5))),
        FoldedBar(BAR, (100.0, 60.0), (Fold(90.0, 8.0),), holes=(BarHole(0, 98.0, 0.0, 6.5),)),
        FoldedBar(BAR, (8.0, 60.0), (Fold(90.0, 8.0),), end_a=BarEnd(skew=30.0)),
    ],
    ids=["hole outside", "holes that meet", "hole in a fold", "end cut into a fold"],
)
def test_impossible_figures_are_refused(part) -> None:
    with pytest.raises(GeometryError):
        triangles(part)


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(GeometryError):
        triangulate(np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (10.0, 10.0)]))


def test_normals_look_outward() -> None:
    mesh = triangles(Bought("cap", CapShape(33.7, 3.0, 28.5, 12.0), 1000.0))
    centre = np.array([0.0, 0.0, 1.0])
    head = np.all(mesh.vertices[mesh.faces][:, :, 2] > 2.9, axis=1)
    assert np.allclose(normals(mesh)[head], (0.0, 0.0, 1.0))
    assert np.all(np.einsum("ij,ij->i", mesh.vertices[mesh.faces[head, 0]] - centre, normals(mesh)[head]) > 0)


def test_meshes_are_shared_and_cannot_be_written_to() -> None:
    part = BentTube(TUBE, Spine((400.0,)))
    assert triangles(part) is triangles(BentTube(TUBE, Spine((400.0,))))
    with pytest.raises(ValueError, match="read-only"):
        triangles(part).vertices[0, 0] = 1.0
