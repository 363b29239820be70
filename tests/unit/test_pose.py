"""The frame's plane: level or as asked, and what is given up where gap, roll and rake disagree."""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rackgen import job
from rackgen.design.choose import choose
from rackgen.design.pose import LONGEST_STUB
from rackgen.errors import Level
from rackgen.geom import spine
from rackgen.geom.surface import Roof
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.spec.read import Job, read_job
from rackgen.spec.vehicle import Vehicle

FASTBACK = "tests/presets/ten/racks/fastback-drop.toml"
read = cache(read_job)


def reshaped(vehicle: Vehicle, rise: Callable[[float, float], float]) -> Vehicle:
    """Give a vehicle whose roof, mounts and rear corners lie higher by a function of x and y."""
    old = vehicle.roof
    roof = Roof(
        tuple(replace(s, zs=tuple(z + rise(s.x, y) for y, z in zip(s.ys, s.zs, strict=True))) for s in old.sections),
        old.margin,
    )
    front = tuple(
        replace(
            m,
            at=(m.at[0], m.at[1], float(roof.height(*m.at[:2]))),
            pitch=-math.degrees(math.atan(float(roof.slope(*m.at[:2])[0]))),
            roll=-math.degrees(math.atan(float(roof.slope(*m.at[:2])[1]))),
        )
        for m in vehicle.front
    )
    rear = tuple(replace(m, at=(m.at[0], m.at[1], m.at[2] + rise(m.at[0], m.at[1]))) for m in vehicle.rear)
    return replace(vehicle, roof=roof, front=front, rear=rear)


def made(name: str, rise: Callable[[float, float], float] | None = None, **wish: float) -> Design:
    asked: Job = read(name)
    spec = replace(asked.spec, frame=replace(asked.spec.frame, **wish))  # type: ignore[arg-type]
    vehicle = asked.vehicle if rise is None else reshaped(asked.vehicle, rise)
    return job.checked(job.design(replace(asked, spec=spec, vehicle=vehicle)))


def saddles(design: Design) -> list[float]:
    """Give how high the saddles stand under their tubes, left first."""
    tube = choose(design.job.spec, design.job.shop).frame_od / 2
    found = sorted((p for p in design.rack.placed if p.word == "saddle"), key=lambda p: p.frame.origin[1])
    return [spine.length(p.part.spine) - tube for p in found if isinstance(p.part, BentTube)]


def tilt(design: Design) -> tuple[float, float]:
    """Give the fall of the basket's lower front hoop to the rear and to the right, degrees."""
    placed = design.rack.part("basket.lower.front")
    assert isinstance(placed.part, BentTube)
    line = placed.part.spine
    points = np.array(
        [placed.frame.then(spine.frame_at(line, s)).origin for s in np.linspace(0, spine.length(line), 30)]
    )
    up = np.linalg.svd(points - points.mean(axis=0))[2][2]
    up = up * math.copysign(1.0, up[2])
    return math.degrees(math.atan2(up[0], up[2])), math.degrees(math.atan2(up[1], up[2]))


def codes(design: Design) -> set[str]:
    return {f.code for f in design.findings if f.level > Level.NOTE}


def test_a_rack_on_a_roof_that_leans_to_one_side_lies_level_and_its_saddles_make_up_for_it() -> None:
    leaning = made("demo", lambda x, y: -0.05 * y)
    assert tilt(leaning) == pytest.approx((0.0, 0.0), abs=1e-9)
    low, high = saddles(leaning)
    # The feet are 0.05 times their distance apart; the plates' own stack is upright on neither side.
    apart = abs(leaning.job.vehicle.front[1].at[1] - leaning.job.vehicle.front[0].at[1])
    assert high - low == pytest.approx(0.05 * apart, abs=4.0)
    assert not {f.code for f in leaning.findings if f.level is Level.STOP}
    assert "gave-up-roll" not in codes(leaning)


@pytest.mark.parametrize("name", ["demo", FASTBACK])
def test_a_roll_that_is_asked_for_is_had_and_everything_still_lies_where_it_should(name: str) -> None:
    """A leg that drops off a rolled frame runs askew over its strap, whose body flat lies on the body all the same."""
    rolled = made(name, roll=2.0)
    assert tilt(rolled) == pytest.approx((rolled.job.spec.frame.rake, 2.0), abs=1e-9)
    assert not [f.text for f in rolled.findings if f.level is Level.STOP]
    for mount in rolled.job.vehicle.rear:
        placed = rolled.rack.part(f"mount.{mount.name}.strap")
        strap = placed.part
        assert isinstance(strap, FoldedBar)
        # Across, a strap lies level: along the body's rear face.
        assert placed.frame.y[2] == pytest.approx(0.0, abs=1e-12)
        assert abs(placed.frame.y[1]) == pytest.approx(1.0, abs=1e-12)


def test_where_a_saddle_would_stand_too_high_rake_is_given_up_before_roll_and_the_gap_is_kept() -> None:
    nose_up = made("demo", lambda x, y: 0.15 * x)
    assert "gave-up-rake" in codes(nose_up)
    assert "gave-up-roll" not in codes(nose_up)
    said = next(f for f in nose_up.findings if f.code == "gave-up-rake")
    rake, roll = tilt(nose_up)
    assert said.got == pytest.approx(rake, abs=1e-6)
    assert roll == pytest.approx(0.0, abs=1e-9)
    assert max(saddles(nose_up)) <= LONGEST_STUB + 3.0
    # A step less would not have done.
    less = made("demo", lambda x, y: 0.15 * x, rake=rake + 0.1)
    assert "gave-up-rake" in codes(less)
    for design in (nose_up, less):
        assert not [f for f in design.findings if f.level is Level.STOP]
        assert design.checked is not None
        tubes = [g for g in design.checked.gaps if g.part.startswith("frame.") and g.gap is not None]
        assert min(g.gap for g in tubes if g.gap is not None) >= design.job.spec.gaps.tube - 0.01


def test_roll_is_given_up_only_where_rake_alone_does_not_do() -> None:
    leaning = made("demo", lambda x, y: -0.15 * y)
    assert "gave-up-roll" in codes(leaning)
    said = next(f for f in leaning.findings if f.code == "gave-up-roll")
    _, roll = tilt(leaning)
    assert 0 < roll < 5
    assert said.got == pytest.approx(roll, abs=1e-6)
    assert not [f for f in leaning.findings if f.level is Level.STOP]


def test_what_is_given_up_is_said_of_the_rails_that_a_frame_has() -> None:
    """Of a frame in two rails, found among random racks, it was said of a hoop that was not there."""
    steep = made("market-gardener", rake=-5.0)
    said = next(f for f in steep.findings if f.code == "gave-up-rake")
    assert set(said.parts) == {"frame.rail.left", "frame.rail.right"}
    assert set(said.parts) <= {p.id for p in steep.rack.placed}
