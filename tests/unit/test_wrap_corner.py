"""Rear corners that are tighter lower down: what the vehicle's file says, and that the wrap lies on body and strap."""

import dataclasses
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from preset_texts import VEHICLE, mistakes_of, only, saved, swapped

from rackgen import job
from rackgen.design.wrap import corner_findings
from rackgen.errors import GeometryError
from rackgen.geom.circle import fitted
from rackgen.geom.fold import cone_of, legs_and_arcs
from rackgen.geom.frame import Array, Frame
from rackgen.made import Design
from rackgen.parts.hands import hands
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Placed
from rackgen.spec.read import read_job, read_vehicle
from rackgen.spec.vehicle import RearMount

RADIUS = "corner_radius = 45\n"
TAPERED = "corner_radius = 45\ncorner_radius_low = 38\nz_low = -114\n"


def arc(radius: float, at: tuple[float, float], off: float = 0.0, span: float = 80.0) -> list[list[float]]:
    """Give points of a corner on the right, every other one off its circle."""
    turns = np.radians(np.linspace(45 - span / 2, 45 + span / 2, 9))
    reach = [radius + off * (-1) ** i for i in range(len(turns))]
    return [
        [round(at[0] + r * math.cos(t), 6), round(at[1] + r * math.sin(t), 6)]
        for r, t in zip(reach, turns, strict=True)
    ]


def contour(z: float, points: list[list[float]]) -> str:
    return f"{{ z = {z}, points = {points} }}"


def with_right(text: str) -> str:
    """Give the vehicle with other keys for the radius of its right corner."""
    return swapped(VEHICLE, RADIUS, text, 2)


def right(folder: Path, text: str) -> RearMount:
    return read_vehicle(saved(folder, with_right(text))).rear[1]


# The rear face at x 1250 is flat up to 595 from the middle.
MEASURED = f"corner_contour = [{contour(-64, arc(45, (1205.0, 595.0)))}, {contour(-114, arc(38, (1212.0, 602.0)))}]\n"


def test_a_second_radius_lower_down_is_read(tmp_path: Path) -> None:
    mount = right(tmp_path, TAPERED)
    assert (mount.corner_radius, mount.taper) == (45.0, pytest.approx(-0.14))
    assert mount.radius_at(50.0) == pytest.approx(38.0)
    plain = read_vehicle(saved(tmp_path, VEHICLE)).rear[1]
    assert (plain.taper, plain.radius_at(70.0), plain.fits) == (0.0, 45.0, ())


def test_a_measured_round_gives_the_same_radii_and_no_finding(tmp_path: Path) -> None:
    mount = right(tmp_path, MEASURED)
    assert mount.corner_radius == pytest.approx(45.0, abs=1e-4)
    assert mount.taper == pytest.approx(-0.14, abs=1e-5)
    assert [f.corner for f in mount.fits] == pytest.approx([595.0, 602.0], abs=1e-3)
    assert max(f.off for f in mount.fits) < 1e-4
    assert corner_findings(mount, "wrap") == []


@pytest.mark.parametrize(
    ("points", "says"),
    [
        (arc(45, (1205.0, 595.0), off=1.6), "mm off its circle, not 1"),
        (arc(45, (1205.0, 595.0), span=30.0), "its points span 30 degrees of the circle, not 45"),
        (arc(45, (1205.0, 589.0)), "meets the rear face 589.0 mm from the middle, `corner` makes it 595.0"),
    ],
)
def test_a_bad_fit_is_worth_a_look(tmp_path: Path, points: list[list[float]], says: str) -> None:
    text = f"corner_contour = [{contour(-64, points)}, {contour(-114, arc(38, (1212.0, 602.0)))}]\n"
    # A wrong radius at one height may make the tangent at the other look wrong too.
    finding, *_ = corner_findings(right(tmp_path, text), "wrap")
    assert says in finding.text
    assert finding.keys == ("mounts.rear_right.corner_contour",)


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ("", "corner_radius", "add `corner_radius`"),
        (RADIUS + MEASURED, "corner_radius", "keep one"),
        (RADIUS + "corner_radius_low = 38\n", "z_low", "it goes with corner_radius_low"),
        (RADIUS + "z_low = -114\n", "z_low", "it goes with corner_radius_low"),
        (RADIUS + "corner_radius_low = 38\nz_low = -60\n", "z_low", "lower than z"),
        (RADIUS + "corner_radius_low = 21\nz_low = -114\n", "corner_radius_low", "shrink to nothing"),
        (RADIUS + "corner_radius_low = 80\nz_low = -84\n", "corner_radius_low", "no more than 0.5 mm"),
        (f"corner_contour = [{contour(-64, arc(45, (1205.0, 595.0)))}]\n", "corner_contour", "at two heights"),
        (MEASURED.replace("-114", "-66"), "corner_contour", "two heights, apart by 5 mm"),
    ],
)
def test_what_does_not_go_together_is_told_at_its_key(tmp_path: Path, text: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_vehicle, saved(tmp_path, with_right(text))))
    assert mistake.key == f"mounts.rear_right.{key}"
    assert says in mistake.wanted


def test_points_on_a_line_are_no_round(tmp_path: Path) -> None:
    straight = [[1250.0 - i, 600.0 + i] for i in range(5)]
    text = f"corner_contour = [{contour(-64, straight)}, {contour(-114, arc(38, (1212.0, 602.0)))}]\n"
    mistake = only(mistakes_of(read_vehicle, saved(tmp_path, with_right(text))))
    assert mistake.key == "mounts.rear_right.corner_contour[1].points"


def test_the_circle_is_the_nearest_one() -> None:
    # Sum of squared distances: no circle beside the fitted one has less.
    points = [(x, y) for x, y in arc(40.0, (10.0, -5.0), off=0.8)]

    def sum_of_squares(x: float, y: float, r: float) -> float:
        return sum((math.dist((x, y), p) - r) ** 2 for p in points)

    found = fitted(points)
    best = sum_of_squares(found.x, found.y, found.radius)
    for step in (0.05, -0.05):
        for by in ((step, 0, 0), (0, step, 0), (0, 0, step)):
            assert sum_of_squares(found.x + by[0], found.y + by[1], found.radius + by[2]) > best
    with pytest.raises(GeometryError, match="three points"):
        fitted([(0.0, 0.0), (1.0, 0.0)])


@cache
def tapered(lean: float) -> Design:
    """Give the demo on a body whose rear corners are tighter lower down, its rear face leaning."""
    asked = read_job("demo")
    rear = tuple(dataclasses.replace(m, taper=-0.14, lean=lean) for m in asked.vehicle.rear)
    return job.design(dataclasses.replace(asked, vehicle=dataclasses.replace(asked.vehicle, rear=rear)))


def flats(placed: Placed) -> list[tuple[Frame, float]]:
    bar = placed.part
    assert isinstance(bar, FoldedBar)
    pieces = legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width)
    return [(placed.frame.then(f), n) for f, n, fold in pieces if fold is None]


def faces(made: Design, name: str) -> tuple[RearMount, Array, float]:
    """Give a rear mount, the unit vector out of its rear face, and its side."""
    mount = next(m for m in made.job.vehicle.rear if m.name == name)
    lean = math.radians(mount.lean)
    return mount, np.array([math.cos(lean), 0.0, math.sin(lean)]), math.copysign(1.0, mount.at[1])


@pytest.mark.parametrize("name", ["rear_left", "rear_right"])
@pytest.mark.parametrize("lean", [0.0, 6.0])
def test_both_flats_lie_on_their_bedding(name: str, lean: float) -> None:
    made = tapered(lean)
    mount, out, side = faces(made, name)
    wrap, bed = made.rack.part(f"mount.{name}.wrap"), made.job.shop.bedding
    bar = wrap.part
    assert isinstance(bar, FoldedBar)
    assert cone_of(bar.folds[0], bar.section.thickness, bar.section.width) is not None
    on_rear, on_side = 0, 0
    for flat, length in flats(wrap):
        for z in (-bar.section.thickness / 2, bar.section.thickness / 2):
            corners = flat.points([(x, y, z) for x in (0.0, length) for y in (-20.0, 20.0)])
            rear = (corners - np.array(mount.at)) @ out
            beside = side * corners[:, 1] - mount.corner - mount.corner_radius
            on_rear += bool(np.allclose(rear, bed, atol=2e-3))
            on_side += bool(np.allclose(beside, bed, atol=2e-3))
    assert (on_rear, on_side) == (1, 1)


@pytest.mark.parametrize("name", ["rear_left", "rear_right"])
def test_holes_meet_through_strap_wrap_bedding_and_rivets(name: str) -> None:
    rack = tapered(0.0).rack

    def holes(part: str) -> list[Array]:
        placed = rack.part(f"mount.{name}.{part}")
        assert isinstance(placed.part, FoldedBar)
        return [np.array(flats(placed)[h.flat][0].point((h.along, h.across, 0.0))) for h in placed.part.holes]

    rivets = [rack.part(f"mount.{name}.rivet[{i}]") for i in (1, 2, 5, 6)]
    for rivet in rivets:
        z = np.array(rivet.frame.z)
        off = [h - np.array(rivet.frame.origin) for h in holes("wrap")]
        assert min(float(np.linalg.norm(o - (o @ z) * z)) for o in off) < 2e-3
    off = [h - np.array(rivets[0].frame.origin) for h in holes("strap")]
    z = np.array(rivets[0].frame.z)
    assert min(float(np.linalg.norm(o - (o @ z) * z)) for o in off) < 2e-3
    heights = [float(r.frame.origin[2]) for r in rivets]
    assert heights[0] > heights[1]
    assert heights[2] > heights[3]


@pytest.mark.parametrize("name", ["rear_left", "rear_right"])
def test_the_wrap_has_the_bodys_radius_at_the_height_of_each_edge(name: str) -> None:
    made = tapered(0.0)
    mount, _, _ = faces(made, name)
    wrap = made.rack.part(f"mount.{name}.wrap")
    bar = wrap.part
    assert isinstance(bar, FoldedBar)
    bent_on = cone_of(bar.folds[0], bar.section.thickness, bar.section.width)
    assert bent_on is not None
    begin, length = flats(wrap)[0]
    middle = begin.moved((length, 0.0, 0.0)).then(bent_on.middle())
    for y, radius in ((-25.0, bar.folds[0].inside_radius), (25.0, bar.folds[0].far_radius)):
        down = mount.at[2] - middle.point((0.0, y, 0.0))[2]
        assert radius == pytest.approx(mount.radius_at(down), abs=0.25)


def test_the_two_wraps_are_left_and_right() -> None:
    found = lines(tapered(0.0).rack)
    named = {line.placed[0].id: hands(found).get(line.mark) for line in found}
    assert (named["mount.rear_left.wrap"], named["mount.rear_right.wrap"]) == ("left", "right")


def test_a_rack_on_tapered_corners_checks_as_clean_as_on_plain_ones() -> None:
    plain = job.checked(job.design(read_job("demo")))
    assert {f.code for f in job.checked(tapered(0.0)).findings} == {f.code for f in plain.findings}
