"""Rows of rivets down the body, and drop bends and tails of the legs."""

import dataclasses
from pathlib import Path

import pytest

from rackgen import job
from rackgen.design.choose import choose
from rackgen.design.rear import rows
from rackgen.errors import Level
from rackgen.geom import spine
from rackgen.made import Design
from rackgen.parts.kinds import BentTube
from rackgen.spec.read import read_job
from rackgen.spec.stock import Flat

pytestmark = pytest.mark.racks

TEN = Path(__file__).parents[1] / "presets" / "ten" / "racks"


@pytest.mark.parametrize("wide", [44.0, 45.0, 50.0, 50.8, 60.0, 80.0])
def test_two_rivets_go_through_the_wrap_and_two_through_the_packer(wide: float) -> None:
    """Whatever the wrap's width: below the upper end of the flat, holes 1.5 diameters of 6.5 from edges."""
    job_ = read_job("demo")
    choice = choose(job_.spec, job_.shop)
    row = rows(dataclasses.replace(choice, wrap=dataclasses.replace(choice.wrap, section=Flat(wide, 3.0))))
    assert row.wrap - wide / 2 > 0
    half = 45 / 2
    for at, middle, reach in ((row.rivets[:2], row.wrap, wide / 2), (row.rivets[2:], row.packer, half)):
        assert at[1] - at[0] >= 3 * 6.5
        assert min(a - (middle - reach) for a in at) >= 1.5 * 6.5
        assert min(middle + reach - a for a in at) >= 1.5 * 6.5
    assert row.packer - half > row.wrap + wide / 2
    assert row.packer + half < row.on_body


def test_the_usual_wrap_has_its_rivets_where_they_always_were() -> None:
    """Holes at 14, 38, 62 and 86 down the body, 100 of the strap on it (common practice, no source)."""
    job_ = read_job("demo")
    row = rows(choose(job_.spec, job_.shop))
    assert row.rivets == pytest.approx((14.0, 38.0, 62.0, 86.0))
    assert row.on_body == pytest.approx(100.0)


def fastback(**frame: object) -> Design:
    base = read_job(str(TEN / "fastback-drop.toml"))
    wish = dataclasses.replace(base.spec.frame, **frame)  # type: ignore[arg-type]
    return job.checked(job.design(dataclasses.replace(base, spec=dataclasses.replace(base.spec, frame=wish))))


def test_a_leg_left_straight_over_a_falling_roof_is_worth_a_look() -> None:
    codes = {f.code for f in fastback(leg="straight").findings if f.level > Level.NOTE}
    assert "leg-high" in codes
    assert "leg-high" not in {f.code for f in fastback().findings}


def test_the_drop_leaves_54_to_80_over_the_roof() -> None:
    """Leg to roof at the strap, off the rack as it stands; a drop is made where a leg would stand over 80."""
    made = fastback()
    roof = made.job.vehicle.roof
    for mount in made.job.vehicle.rear:
        strap = made.rack.part(f"mount.{mount.name}.strap").frame.origin
        assert 20.0 < float(roof.gap([strap])[0]) < 80.0


def test_a_hoop_too_long_for_short_sticks_gets_tails_that_carry_the_drop(tmp_path: Path) -> None:
    """The butt lies behind the last clamp and far enough ahead of the bend for the die."""
    text = (TEN / "fastback-drop.toml").read_text("utf-8")
    file = tmp_path / "racks" / "short-sticks.toml"
    file.parent.mkdir()
    for kind, name in (("shops", "pump-house-mm"), ("vehicles", "fastback-mm")):
        (tmp_path / kind).mkdir()
        (tmp_path / kind / f"{name}.toml").write_text((TEN.parent / kind / f"{name}.toml").read_text("utf-8"))
    file.write_text(text.replace("slipway-mm", "pump-house-mm").replace("42.4 x 2.6 tube", "30 x 2 tube"))
    made = job.checked(job.design(read_job(str(file))))
    assert [f for f in made.findings if f.level > Level.NOTE] == []
    die = made.job.shop.die_for(30.0)
    assert die is not None
    for side in ("left", "right"):
        tail = made.rack.part(f"frame.tail.{side}").part
        assert isinstance(tail, BentTube)
        assert len(tail.spine.bends) == 1
        assert min(tail.spine.straights) >= die.clamp
        assert spine.length(tail.spine) < 3000 - 10
