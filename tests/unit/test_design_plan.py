"""Where tubes, saddles, pads and bars stand."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.check.held import tied
from rackgen.design.choose import choose
from rackgen.design.plan import Plan, plan
from rackgen.design.slat_places import end_reach
from rackgen.design.span import wide_bays
from rackgen.design.spread import pads
from rackgen.parts.kinds import CutPlate
from rackgen.spec.read import Job, read_job

pytestmark = pytest.mark.racks

TEN = Path(__file__).parents[1] / "presets" / "ten" / "racks"


def read(name: str) -> Job:
    return read_job(str(TEN / f"{name}.toml"))


def planned(given: Job) -> Plan:
    return plan(given.spec, given.shop, given.vehicle, choose(given.spec, given.shop))[0]


def test_a_bar_over_each_pair_of_mounts_carries_it_when_other_bars_stand_between() -> None:
    given = read("long-ladder")
    found = planned(given)
    assert len(found.bars) == 5
    assert list(found.bars) == sorted(found.bars)
    for carrier in found.carriers:
        assert carrier.kind == "bar"
        assert found.bars[carrier.bar] == carrier.x
        assert abs(found.frame.origin[0] + carrier.x - carrier.mount.at[0]) <= carrier.mount.zone[0]


def test_a_leg_beside_a_cross_bar_is_no_place_for_a_saddle() -> None:
    """Mounts near the legs keep to the bar: on the leg the stub would run into the bar's end."""
    found = planned(read("bent-estate"))
    assert {c.kind for c in found.carriers} == {"bar"}


def test_a_long_basket_gets_four_pads_a_side_clear_of_bars_and_of_one_another() -> None:
    given = read("long-ladder")
    found = planned(given)
    assert len(found.pads) == 4
    assert min(np.diff(found.pads)) >= 90 + 20
    for pad in found.pads:
        bolts = [found.middle + pad - 25, found.middle + pad + 25]
        assert min(abs(b - x) for b in bolts for x in found.bars) >= 42.4 / 2 + 8
    assert found.butt is not None
    assert found.butt >= found.middle + max(found.pads) + 45 + 1.5 * 42.4


@pytest.mark.parametrize(("length", "count"), [(1080.0, 2), (1600.0, 2), (1700.0, 4), (2600.0, 4)])
def test_pads_are_at_most_1200_apart(length: float, count: int) -> None:
    given = read_job("demo")
    spec = dataclasses.replace(given.spec, basket=dataclasses.replace(given.spec.basket, length=length, pads=None))
    found, said = pads(spec, choose(spec, given.shop), (), 3000.0, 6000.0)
    assert not said
    assert len(found) == count
    assert max(np.diff(found)) <= 1200.0 or count == 4


@pytest.mark.parametrize(("bearers", "wide"), [((-314.0, -105.0, 105.0, 314.0), False), ((-200.0, 200.0), True)])
def test_a_floor_that_spans_far_is_worth_a_look(bearers: tuple[float, ...], wide: bool) -> None:
    given = read_job("demo")
    choice = choose(given.spec, given.shop)
    assert bool(wide_bays(given.spec, choice, bearers, end_reach(given.spec, choice))) is wide


def test_no_bar_goes_through_a_crowned_roof() -> None:
    """Between legs that drop beside a barrel roof the last bar stays ahead of the bend, an OD off its tangent."""
    for name in ("barrel-cab", "egg-basket"):
        found = planned(read(name))
        od = choose(read(name).spec, read(name).shop).frame_od
        end = found.rear[0]
        assert end.drop is not None
        assert max(found.bars) <= end.flat_to - od + 1e-9


def test_the_frame_is_seated_over_the_highest_place_a_bar_may_stand_on() -> None:
    """A roof that rises behind its front mounts lifts the frame."""
    given = read_job("demo")
    sections = tuple(
        dataclasses.replace(s, zs=tuple(z + (60.0 if s.x > 600 else 0.0) for z in s.zs))
        for s in given.vehicle.roof.sections
    )
    roof = dataclasses.replace(given.vehicle.roof, sections=sections)
    wish = dataclasses.replace(given.spec.frame, cross_bars=None)
    spec = dataclasses.replace(given.spec, frame=wish)
    low = planned(dataclasses.replace(given, spec=spec))
    high = planned(dataclasses.replace(given, spec=spec, vehicle=dataclasses.replace(given.vehicle, roof=roof)))
    assert high.frame.origin[2] - low.frame.origin[2] >= 50.0


def test_holes_of_a_plate_on_a_bar_keep_off_the_leg_where_the_zone_allows() -> None:
    """25 mm from hole to leg, seen straight down; the plates of the fastback move inward for it."""
    made = job.design(read("fastback-drop"))
    leg = planned(made.job).leg_y
    for placed in made.rack.placed:
        if placed.word == "mount plate":
            assert isinstance(placed.part, CutPlate)
            holes = [placed.frame.point((h.x, h.y, 0.0)) for h in placed.part.holes]
            assert min(leg - 42.4 / 2 - abs(p[1]) for p in holes) >= 25.0


def test_the_plate_is_under_the_foot_of_its_saddle_also_on_a_raked_frame() -> None:
    given = read_job("demo")
    for tilt in ("foot", "cope"):
        spec = dataclasses.replace(
            given.spec,
            frame=dataclasses.replace(given.spec.frame, rake=3.0),
            mounts=dataclasses.replace(given.spec.mounts, tilt=tilt),
        )
        rack = job.design(dataclasses.replace(given, spec=spec)).rack
        for side in ("left", "right"):
            plate, saddle = (rack.part(f"mount.front_{side}.{what}") for what in ("plate", "saddle"))
            ends = (saddle.frame.origin, saddle.frame.point((60.0, 0.0, 0.0)))
            foot = plate.frame.to_local(min(ends, key=lambda p: p[2]))
            assert abs(float(foot[0])) < 1.5
            assert abs(float(foot[1])) < 1.5


def test_every_part_is_tied_to_the_rest_and_what_is_not_is_found() -> None:
    rack = job.design(read_job("demo")).rack
    assert len(tied(rack)) == 1
    under = ("basket.upright", "basket.plate")
    cut = dataclasses.replace(rack, joints=tuple(j for j in rack.joints if not j.id.startswith(under)))
    loose = tied(cut)[1:]
    assert {"basket.upper.front", "basket.upper.rear"} <= set(loose[0])
    assert len(loose) == 1 + 8 + 2


@pytest.mark.parametrize(
    ("name", "isolator"), [("demo", "38 × 90 × 3 mm"), ("survey-crew", "1-25/32 × 3-17/32 × 1/8 in")]
)
def test_bought_parts_are_named_in_the_shops_unit(name: str, isolator: str) -> None:
    names = {getattr(p.part, "name", "") for p in job.design(read_job(name)).rack.placed}
    assert f"isolator strip {isolator}" in names, names
