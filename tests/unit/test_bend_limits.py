"""Tight bends, thin walls, and bends that run into the bender."""

import dataclasses
import math

import pytest
from small_rack import MM, TUBE

from rackgen.check.bend_limits import least_clr
from rackgen.check.makeable import part_findings
from rackgen.errors import Level
from rackgen.geom.cope import Cope
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.bend_order import first_end, near_bender, turned_round
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.rack import Placed
from rackgen.spec.shop import Die, Shop
from rackgen.spec.stock import Round


def u(clr: float, *straights: float, turns: tuple[float, ...] = (0.0, 0.0)) -> BentTube:
    return BentTube(TUBE, Spine(straights, tuple(Bend(90.0, clr, t) for t in turns)))


def shop(clr: float, keep_clear: float | None = None) -> Shop:
    return dataclasses.replace(MM, dies=(Die("die", 33.7, clr, 90.0, 60.0, keep_clear=keep_clear),))


def codes(part: BentTube, made_in: Shop) -> dict[str, Level]:
    return {f.code: f.level for f in part_findings(Placed("x", part, Frame(), "part", 1), made_in)}


@pytest.mark.parametrize(
    ("od", "wall", "times"),
    [
        (33.7, 2.6, 2.0),  # 13.0
        (42.4, 2.6, 3.0),  # 16.3
        (38.1, 2.1082, 3.0),  # 1-1/2 x 0.083 in: 18.07
        (44.45, 2.413, 3.0),  # 1-3/4 x 0.095 in: 18.4
        (48.3, 2.6, None),  # 18.6
    ],
)
def test_usual_least_radius_by_od_and_wall(od: float, wall: float, times: float | None) -> None:
    assert least_clr(od, wall) == (None if times is None else pytest.approx(times * od))


def test_a_radius_under_the_usual_one_is_worth_a_look() -> None:
    thin = dataclasses.replace(TUBE, section=Round(33.7, 2.0))  # 16.9: three diameters, 101.1
    for clr, found in ((101.1, {}), (100.0, {"clr-tight": Level.LOOK})):
        assert codes(dataclasses.replace(u(clr, 400.0, 700.0, 400.0), stock=thin), shop(clr)) == found


def test_a_wall_that_loses_more_than_the_tables_allow_is_worth_a_look() -> None:
    # Two diameters thin it by 20 %, the largest that ASME B31.1 table 102.4.5 allows for.
    assert codes(u(67.4, 400.0, 700.0, 400.0), shop(67.4)) == {}
    assert codes(u(66.0, 400.0, 700.0, 400.0), shop(66.0)) == {
        "clr-tight": Level.LOOK,
        "bend-thins-wall": Level.LOOK,
    }


def test_a_thin_wall_is_worth_a_note() -> None:
    thin = dataclasses.replace(TUBE, section=Round(33.7, 1.5))
    part = dataclasses.replace(u(120.0, 400.0, 700.0, 400.0), stock=thin)
    assert codes(part, shop(120.0)) == {"wall-thin-to-bend": Level.NOTE}


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0])
def test_what_was_bent_before_keeps_its_distance_from_the_die(turn: float) -> None:
    # Nearest is the end of the first bend: one straight along and one CLR across from the second bend's centre.
    near = near_bender(u(120.0, 400.0, 100.0, 400.0, turns=(0.0, turn)).spine, 10.0)
    assert near == pytest.approx((math.hypot(100.0, 120.0),))


def test_a_leg_that_swings_past_the_die_is_seen() -> None:
    # Three bends of 90 deg, the first two 20 apart: in the plane the third bend's centre stands 20 + 120 beside the
    # first leg, which is long enough to pass it.
    line = Spine((400.0, 20.0, 300.0, 400.0), tuple(Bend(90.0, 120.0) for _ in range(3)))
    assert near_bender(line, 10.0)[1] == pytest.approx(140.0, abs=0.01)
    # A leg that ends 100 short of it is farther off, its trim counted in.
    short = dataclasses.replace(line, straights=(190.0, 20.0, 300.0, 400.0))
    assert near_bender(short, 10.0)[1] == pytest.approx(math.hypot(140.0, 100.0), abs=0.01)


def test_a_bend_too_near_the_one_before_hits_the_bender() -> None:
    gap = math.hypot(100.0, 120.0) - 33.7 / 2
    part = u(120.0, 400.0, 100.0, 400.0)
    assert codes(part, shop(120.0)) == {}
    assert codes(part, shop(120.0, gap - 0.1)) == {}
    assert codes(part, shop(120.0, gap + 0.1)) == {"bend-hits-bender": Level.LOOK}


def test_bending_begins_where_there_is_straight_to_clamp() -> None:
    die = Die("die", 33.7, 120.0, 90.0, 60.0)
    assert first_end(u(120.0, 400.0, 700.0, 400.0), die, 10.0) == "A"
    assert first_end(u(120.0, 50.0, 700.0, 400.0), die, 10.0) == "B"
    assert first_end(u(120.0, 400.0, 700.0, 50.0), die, 10.0) == "A"


def test_a_tube_turned_round_is_the_same_tube() -> None:
    part = dataclasses.replace(
        u(120.0, 300.0, 500.0, 200.0, turns=(0.0, 37.0)),
        end_a=(Cope(33.7, 0.0, 80.0, clock=20.0),),
        holes=(TubeHole(50.0, 10.0, 5.0, "vent"), TubeHole(600.0, 200.0, 8.0, "plug weld")),
    )
    other = turned_round(part)
    assert other.spine.straights == (200.0, 500.0, 300.0)
    assert other.end_b
    assert not other.end_a
    assert canonical(other)[0] == canonical(part)[0]
    assert canonical(turned_round(other))[0] == canonical(part)[0]
