"""Meshes of all parts: closed, outward, of the right volume, and the same for mirror images."""

import dataclasses
import math

import numpy as np
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import PLATE

from rackgen.geom.frame import turn
from rackgen.geom.outline import area, rectangle
from rackgen.mesh.edges import edges
from rackgen.mesh.mesh import Mesh, centroid, normals, placed, shrunk, volume
from rackgen.mesh.points import points
from rackgen.mesh.polygon import signed_area, split, triangulate
from rackgen.mesh.triangles import triangles
from rackgen.parts.canonical import mirror
from rackgen.parts.kinds import BentTube, Break, CutPlate, Part
from rackgen.parts.measure import centroid as measured_centroid
from rackgen.parts.measure import volume as measured

few = settings(deadline=None, derandomize=True, max_examples=40)

directions = st.tuples(*[strategies.reals(-1.0, 1.0)] * 3).filter(lambda a: math.hypot(*a) > 0.01)


def open_sides(mesh: Mesh) -> int:
    """Count the sides of triangles that are not there exactly once each way."""
    sides = np.concatenate([mesh.faces[:, [0, 1]], mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]]])
    size = len(mesh.vertices)
    there, back = sides[:, 0] * size + sides[:, 1], sides[:, 1] * size + sides[:, 0]
    return len(there) - len(np.unique(there)) + int(np.count_nonzero(~np.isin(there, back)))


def off(mesh: Mesh, p: np.ndarray) -> float:
    """Give the distance of a point from the nearest facet of a mesh."""
    corners = mesh.vertices[mesh.faces]
    best = np.inf
    for k in range(3):
        a, d = corners[:, k], corners[:, (k + 1) % 3] - corners[:, k]
        t = np.clip(np.einsum("ij,ij->i", p - a, d) / np.maximum(np.einsum("ij,ij->i", d, d), 1e-18), 0.0, 1.0)
        best = min(best, float(np.linalg.norm(a + t[:, None] * d - p, axis=1).min()))
    plane = normals(mesh)
    inside = np.ones(len(corners), dtype=bool)
    for k in range(3):
        a, d = corners[:, k], corners[:, (k + 1) % 3] - corners[:, k]
        inside &= np.einsum("ij,ij->i", np.cross(d, p - a), plane) >= 0
    height = np.abs(np.einsum("ij,ij->i", p - corners[:, 0], plane))
    return min(best, float(height[inside].min())) if inside.any() else best


def unholed(part: Part) -> Part:
    """Leave a tube's small holes out, as meshes do."""
    return dataclasses.replace(part, holes=()) if isinstance(part, BentTube) else part


@few
@given(strategies.parts)
def test_every_side_belongs_to_two_triangles_that_run_it_opposite_ways(part: Part) -> None:
    assert open_sides(triangles(part)) == 0


@few
@given(strategies.parts)
def test_volume_is_the_measured_one_but_for_the_chords(part: Part) -> None:
    # A regular polygon of n sides in a circle lacks (2 pi / n)^2 / 6 of its area; 40 sides and more give 0.41 %.
    assert math.isclose(volume(triangles(part)), measured(unholed(part)), rel_tol=0.006)


@few
@given(strategies.parts)
def test_centroid_is_the_measured_one(part: Part) -> None:
    mesh = triangles(part)
    size = float(np.ptp(mesh.vertices, axis=0).max())
    assert math.dist(centroid(mesh), measured_centroid(unholed(part))) < 0.004 * size


@few
@given(strategies.parts)
def test_a_mirrored_part_has_the_same_volume(part: Part) -> None:
    # Columns fall on other clocks in the mirror image, so chords differ a little.
    assert math.isclose(volume(triangles(part)), volume(triangles(mirror(part))), rel_tol=0.002)


@few
@given(strategies.parts)
def test_drawing_the_skin_in_takes_off_its_area_times_the_depth(part: Part) -> None:
    mesh, by = triangles(part), 0.025
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    skin = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2
    assert math.isclose(volume(mesh) - volume(shrunk(mesh, by)), skin * by, rel_tol=0.05)


@few
@given(
    strategies.parts,
    st.tuples(*[strategies.reals(-1.0, 1.0)] * 3).filter(lambda a: math.hypot(*a) > 0.01),
    strategies.reals(-180.0, 180.0),
)
def test_volume_stays_when_the_part_is_placed(part: Part, axis: tuple[float, float, float], angle: float) -> None:
    mesh = triangles(part)
    moved = placed(mesh, turn(axis, angle).moved((300.0, -200.0, 100.0)))
    assert math.isclose(volume(moved), volume(mesh), rel_tol=1e-9)


@settings(deadline=None, derandomize=True, max_examples=14)
@given(strategies.parts)
def test_spread_points_and_drawn_lines_lie_on_the_mesh(part: Part) -> None:
    mesh = triangles(part)
    for cloud in (points(part, 40.0), np.concatenate(edges(unholed(part)))):
        for k in np.linspace(0, len(cloud) - 1, 12).astype(int):
            assert off(mesh, cloud[k]) < 0.06


@few
@given(
    strategies.reals(60.0, 200.0),
    strategies.reals(60.0, 200.0),
    st.lists(st.tuples(st.integers(-3, 3), st.integers(-3, 3)), unique=True, max_size=12),
    strategies.reals(0.0, 360.0),
    strategies.reals(-0.4, 0.4),
)
def test_filling_an_outline_keeps_its_area(
    width: float, height: float, places: list[tuple[int, int]], way: float, off: float
) -> None:
    step = np.array([width, height]) / 8
    a = np.linspace(0.0, 2 * math.pi, 13)[:-1]
    disc = 0.4 * step.min() * np.column_stack([np.cos(a), np.sin(a)])
    holes = [disc + step * place for place in places]
    outer = np.array([(-width, -height), (width, -height), (width, height), (-width, height)]) / 2
    flat, faces = triangulate(outer, holes)
    want = width * height - len(holes) * abs(signed_area(disc))
    heading = (math.cos(math.radians(way)), math.sin(math.radians(way)))
    cut, halves = split(flat, faces, (off * width, off * height), heading)
    for where, which in ((flat, faces), (cut, halves)):
        each = [signed_area(where[face]) for face in which]
        assert min(each) > -1e-9
        assert math.isclose(sum(each), want, rel_tol=1e-9)
    beside = (cut[:, 0] - off * width) * heading[1] - (cut[:, 1] - off * height) * heading[0]
    sides = beside[halves]
    assert not np.any((sides.min(axis=1) < -1e-6) & (sides.max(axis=1) > 1e-6))


@few
@given(strategies.reals(-5.0, 5.0), strategies.reals(-5.0, 5.0), strategies.reals(-15.0, 15.0))
def test_a_broken_plate_keeps_its_thickness_and_nearly_its_volume(first: float, second: float, off: float) -> None:
    breaks = (Break((off, 0.0), 90.0, first), Break((0.0, off), 0.0, second))
    plate = CutPlate(PLATE, rectangle(120.0, 100.0, 12.0), breaks=breaks)
    mesh = triangles(plate)
    assert open_sides(mesh) == 0
    # Two breaks do not unfold exactly: the parts where they meet are short of a sliver that grows with both angles.
    assert math.isclose(volume(mesh), area(plate.outline) * 4.0, rel_tol=0.002)
