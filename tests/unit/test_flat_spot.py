"""Mounts go within their zones to where their plates lie, and stay where they lie already."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from rackgen.design.breaks import GAP
from rackgen.design.choose import choose
from rackgen.design.flat_spot import flattest, open_by
from rackgen.design.seat import Carrier
from rackgen.design.skin import Skin
from rackgen.geom.surface import Roof, Section
from rackgen.spec.read import read_job

JOB = read_job("demo")
CHOICE = choose(JOB.spec, JOB.shop)
FRONT_X, LEG_Y = 200.0, 520.0

Shape = Callable[[float], float]


def roof(shape: Shape) -> Roof:
    ys = [float(y) for y in np.arange(-600.0, 601.0, 10.0)]
    return Roof(tuple(Section(x, tuple(ys), tuple(shape(y) for y in ys), 600.0, 600.0) for x in (0.0, 400.0, 800.0)))


def over(shape: Shape, y: float, zone: float = 60.0) -> Carrier:
    """Give a mount on a bar, read as the roof is, level by level and at its height."""
    surface = roof(shape)
    foot = 50.0
    roll = math.degrees(math.atan2(shape(y - foot) - shape(y + foot), 2 * foot))
    base = next(m for m in JOB.vehicle.front if m.at[1] * y > 0)
    mount = replace(base, at=(400.0, y, shape(y)), roll=roll, pitch=0.0, zone=(20.0, zone))
    return Carrier(mount, "bar", 0, 200.0, y, Skin(surface, mount))


def moved_to(carrier: Carrier) -> tuple[float, list[str]]:
    (found,), notes = flattest(CHOICE, LEG_Y, FRONT_X, (200.0,), (carrier,))
    return found.y, [n.code for n in notes]


def bead(y: float) -> float:
    """Give a flat roof with a bead 6 mm high and 40 mm wide at 300 to each side."""
    off = abs(abs(y) - 300.0)
    return 3.0 * (1 + math.cos(math.pi * off / 20.0)) if off < 20.0 else 0.0


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_mount_beside_a_bead_moves_off_it_no_farther_than_it_needs(side: float) -> None:
    at, said = moved_to(over(bead, side * 335.0))
    # Half the plate and half the bead.
    assert 300.0 + 50.0 + 15.0 <= abs(at) <= 300.0 + 50.0 + 25.0
    assert at * side > 0
    assert said == ["mount-moved"]


def test_it_moves_inboard_where_that_is_nearer() -> None:
    at, _ = moved_to(over(bead, 265.0))
    assert 225.0 <= at <= 235.0


@pytest.mark.parametrize("shape", [lambda y: 0.0, lambda y: -(y**2) / 6000.0])
def test_where_a_plate_lies_its_mount_stays(shape: Shape) -> None:
    assert moved_to(over(shape, 335.0)) == (335.0, [])


def test_a_mount_whose_zone_is_too_small_goes_where_it_stands_open_least() -> None:
    was = over(bead, 335.0, zone=12.0)
    (found,), (note,) = flattest(CHOICE, LEG_Y, FRONT_X, (200.0,), (was,))
    assert abs(found.y - 335.0) <= 12.0
    assert GAP <= open_by(FRONT_X, found) <= open_by(FRONT_X, was)
    assert note.got == pytest.approx(open_by(FRONT_X, found))


def test_a_level_across_a_rib_is_no_tilt_of_the_roof() -> None:
    """Read over 100 mm beside a bead; the surface's own slope there is much steeper."""
    carrier = over(bead, 310.0)
    skin = carrier.skin
    assert abs(float(skin.roof.slope(400.0, 310.0)[1])) > 0.25
    for y in (200.0, 250.0, 300.0, 310.0, 350.0, 420.0):
        assert float(skin.height(400.0, y)) == pytest.approx(bead(y), abs=0.1)
