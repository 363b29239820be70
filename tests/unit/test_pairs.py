"""Left and right mounts get the same parts where the skin allows it; and plates get the breaks that fit best."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rackgen import job
from rackgen.design.breaks import GAP, breaks_for, gap_under
from rackgen.design.skin import Skin
from rackgen.geom.breaks import Break
from rackgen.geom.frame import Array, Frame
from rackgen.geom.surface import Roof, Section
from rackgen.made import Design
from rackgen.parts.canonical import canonical, mirror
from rackgen.spec.read import read_job
from rackgen.spec.vehicle import FrontMount
from tests.unit.test_pose import reshaped

read = cache(read_job)
ALIKE = "plate", "saddle"


def made(rise: float, dent: float = 0.0) -> Design:
    """Give the demo with its right side higher by `rise` mm, and a dent under the right front mount."""
    asked = read("demo")

    def raised(x: float, y: float) -> float:
        return (rise if y > 100 else 0.0) - (dent if y > 300 and abs(x - 220) < 50 else 0.0)

    return job.design(replace(asked, vehicle=reshaped(asked.vehicle, raised)))


def same(design: Design, what: str) -> bool:
    """Tell whether both sides' parts are equal or mirror images."""
    left, right = (canonical(design.rack.part(f"mount.front_{side}.{what}").part)[0] for side in ("left", "right"))
    return right in (left, canonical(mirror(left))[0])


def said(design: Design) -> list[str]:
    return [f.code for f in design.findings if f.code.startswith("sides-")]


def test_sides_as_measured_alike_need_no_note() -> None:
    assert all(same(made(0.0), what) for what in ALIKE)
    assert said(made(0.0)) == []


def test_what_a_tape_cannot_tell_apart_is_made_alike_and_said_with_its_size() -> None:
    near = made(0.8)
    assert all(same(near, what) for what in ALIKE)
    (note,) = [f for f in near.findings if f.code == "sides-alike"]
    assert note.got == pytest.approx(0.8, abs=0.3)
    # Both lie at the mean: half of the difference off either side's reading.
    left, right = (near.rack.part(f"mount.front_{side}.plate").frame.origin[2] for side in ("left", "right"))
    assert left == pytest.approx(right, abs=1e-9)


def test_what_differs_by_more_is_made_to_each_side_and_said() -> None:
    for unlike in (made(8.0), made(0.0, dent=6.0)):
        assert not same(unlike, "saddle")
        assert said(unlike) == ["sides-unlike"]


def test_a_mount_moves_in_its_zone_to_where_the_other_side_is_alike() -> None:
    """The right side 1.6 mm lower on a roof that falls outward: a little inboard it is as high as the left."""
    asked = read("tests/presets/ten/racks/bent-estate.toml")
    moved = job.design(asked)
    assert said(moved) == ["sides-alike"]
    for what in ALIKE:
        assert same(moved, what)
    for mount in asked.vehicle.front:
        at = moved.rack.part(f"mount.{mount.name}.plate").frame.origin
        assert abs(at[0] - mount.at[0]) <= mount.zone[0] + 2
        assert abs(at[1] - mount.at[1]) <= mount.zone[1] + 2
    assert "is moved" in next(f.text for f in moved.findings if f.code == "sides-alike")


def test_a_rack_that_is_to_lean_keeps_its_sides() -> None:
    asked = read("demo")
    leaning = job.design(replace(asked, spec=replace(asked.spec, frame=replace(asked.spec.frame, roll=1.0))))
    assert said(leaning) == []
    assert not same(leaning, "saddle")


def test_the_skin_goes_through_what_was_read_at_the_mount_and_turns_as_the_roof_turns() -> None:
    ys = (-500.0, 0.0, 500.0)
    roof = Roof(tuple(Section(x, ys, (-50.0, 0.0, -50.0), 600, 600) for x in (0.0, 500.0, 1000.0)))
    mount = FrontMount("front_left", (300.0, -250.0, -10.0), -4.0, 1.0, (30.0, 30.0), "bow", 0.8)
    skin = Skin(roof, mount)
    assert float(skin.height(300.0, -250.0)) == pytest.approx(-10.0)
    assert skin.slopes(300.0, -250.0) == pytest.approx((-math.tan(math.radians(1)), math.tan(math.radians(4))))
    step = 0.01
    for x, y in ((320.0, -280.0), (290.0, -200.0)):
        zx = float(skin.height(x + step, y) - skin.height(x - step, y)) / (2 * step)
        zy = float(skin.height(x, y + step) - skin.height(x, y - step)) / (2 * step)
        assert skin.slopes(x, y) == pytest.approx((zx, zy), abs=1e-6)
    # Beside the roof it goes on as the plane that was read.
    assert float(skin.height(300.0, -650.0)) == pytest.approx(-10.0 - 400 * math.tan(math.radians(4)))


def bowl(kx: float, ky: float, tilt: float = 0.0):
    def skin(x: Array, y: Array) -> Array:
        return -kx * np.asarray(x) ** 2 / 2 - ky * np.asarray(y) ** 2 / 2 + tilt * np.asarray(x)

    return skin


def test_a_plate_gets_as_few_breaks_as_do_and_the_steepness_that_leaves_least() -> None:
    flat = Frame()
    assert breaks_for(bowl(1e-4, 1e-4), flat, 60, 50, 1.5) == ((), ())
    (one,), said_of = breaks_for(bowl(1.4e-3, 0.0), flat, 60, 50, 1.5)
    assert said_of == ()
    assert one.direction == 90.0
    # A parabola of curvature k is fitted best by k h / 2 on each side: a quarter of the sag is left.
    assert one.angle == pytest.approx(2 * math.degrees(math.atan(1.4e-3 * 60 / 2)), abs=0.11)
    best = gap_under(bowl(1.4e-3, 0.0), flat, (one,), 60, 50, 1.5)
    for more in (-0.3, 0.3):
        other = Break((0.0, 0.0), 90.0, one.angle + more)
        assert gap_under(bowl(1.4e-3, 0.0), flat, (other,), 60, 50, 1.5) > best
    two, _ = breaks_for(bowl(1.4e-3, 1.4e-3), flat, 60, 50, 1.5)
    assert len(two) == 2


def test_a_hollow_lifts_the_sides_and_a_gap_that_stays_is_said() -> None:
    (one,), _ = breaks_for(bowl(0.0, -2e-3), Frame(), 60, 50, 1.5)
    assert one.angle < 0
    (steep, *_), said_of = breaks_for(bowl(8e-3, 0.0), Frame(), 60, 50, 1.5)
    assert steep.angle == 5.0
    ((text, gap),) = said_of
    assert gap > GAP
    assert f"{gap:.1f} mm" in text
