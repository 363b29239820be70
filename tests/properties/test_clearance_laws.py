"""Laws of clearance: lifting, mirroring and moving along."""

import dataclasses
import math

import numpy as np
import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.check.clearance import gaps, roof_gap
from rackgen.geom.frame import Frame, turn
from rackgen.geom.surface import Roof, Section
from rackgen.parts.kinds import Part
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.rack import Gaps

law = settings(deadline=None, derandomize=True, max_examples=30)

WIDE = 6000.0
directions = st.tuples(*[strategies.reals(-1.0, 1.0)] * 3).filter(lambda a: math.hypot(*a) > 0.01)
stances = st.builds(turn, directions, strategies.reals(-180.0, 180.0))


def plain(pitch: float = 0.0, roll: float = 0.0) -> Roof:
    """A flat roof far larger than any part, falling to the rear by `pitch` and to the right by `roll`, mm per mm."""
    ys = (-WIDE, 0.0, WIDE)
    return Roof(tuple(Section(x, ys, tuple(-pitch * x - roll * y for y in ys), WIDE, WIDE) for x in (-WIDE, 0.0, WIDE)))


def curved(crown: float) -> Roof:
    ys = (-1000.0, -400.0, 0.0, 400.0, 1000.0)
    row = tuple(-crown * (y / 1000.0) ** 2 for y in ys)
    return Roof(tuple(Section(x, ys, row, 1000.0, 1000.0) for x in (-3000.0, -1000.0, 1000.0, 3000.0)))


def gap(part: Part, stance: Frame, up: float, roof: Roof) -> float:
    x, y, z = stance.origin
    lifted = dataclasses.replace(stance, origin=(x, y, z + up))
    row = gaps(Rack((Placed("a", part, lifted, "part", 1),), ()), roof, Gaps())[0]
    assert row.gap is not None
    return row.gap


@law
@given(strategies.parts, stances, strategies.reals(0.0, 500.0))
def test_lifted_over_a_level_roof_a_part_gains_what_it_is_lifted(part: Part, stance: Frame, lift: float) -> None:
    assert gap(part, stance, 2000.0 + lift, plain()) - gap(part, stance, 2000.0, plain()) == pytest.approx(
        lift, abs=0.002
    )


@law
@given(
    strategies.parts, stances, strategies.reals(0.0, 500.0), strategies.reals(-0.4, 0.4), strategies.reals(-0.4, 0.4)
)
def test_over_a_sloping_roof_it_gains_the_share_square_to_the_roof(
    part: Part, stance: Frame, lift: float, pitch: float, roll: float
) -> None:
    roof = plain(pitch, roll)
    gained = gap(part, stance, 4000.0 + lift, roof) - gap(part, stance, 4000.0, roof)
    assert gained == pytest.approx(lift / math.sqrt(1 + pitch**2 + roll**2), abs=0.002)


@law
@given(
    strategies.cut_plates() | strategies.folded_bars(),
    stances,
    strategies.reals(1.0, 200.0),
    strategies.reals(0.0, 150.0),
)
def test_over_a_crowned_roof_it_never_gains_more_than_it_is_lifted(
    part: Part, stance: Frame, lift: float, crown: float
) -> None:
    over = Rack((Placed("a", part, dataclasses.replace(stance, origin=(0.0, 0.0, 900.0)), "part", 1),), ())
    low = gaps(over, curved(crown), Gaps())[0].gap
    assert low is not None
    high = gap(part, stance, 900.0 + lift, curved(crown))
    assert -0.01 < high - low <= lift + 0.01


@law
@given(strategies.parts, stances, strategies.reals(-800.0, 800.0))
def test_over_a_roof_of_one_section_it_may_be_moved_fore_and_aft(part: Part, stance: Frame, along: float) -> None:
    def at(x: float) -> float:
        return gap(part, dataclasses.replace(stance, origin=(x, 0.0, 0.0)), 3000.0, plain(0.0, 0.2))

    assert at(along) == pytest.approx(at(0.0), abs=0.002)


@law
@given(st.lists(st.tuples(strategies.reals(-900.0, 900.0), strategies.reals(-950.0, 950.0)), min_size=1, max_size=8),
       strategies.reals(0.0, 150.0), strategies.reals(1.0, 300.0))  # fmt: skip
def test_left_and_right_are_alike_on_an_even_roof(places: list[tuple[float, float]], crown: float, up: float) -> None:
    p = np.array([(x, y, up) for x, y in places])
    assert roof_gap(p, curved(crown)) == pytest.approx(roof_gap(p * (1.0, -1.0, 1.0), curved(crown)), abs=1e-6)
