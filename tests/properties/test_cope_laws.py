"""Laws of the cut at a tube's end. The law of the wrap itself is in tests/roads/test_wrap_law.py."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackgen.errors import GeometryError
from rackgen.geom import cope
from rackgen.geom.frame import Frame, turn
from tests.strategies import clocks, copes, planes, reals, tubes

PHI = np.arange(0.0, 360.0, 1.0)


@given(tubes, st.data(), clocks)
def test_turning_a_cut_turns_its_curve(size: tuple[float, float], data: st.DataObject, by: float) -> None:
    """A cut turned by an angle has at clock phi what it had at phi less that angle."""
    cut = data.draw(copes(size[0]) | planes)
    there = cope.raw_heights((cope.turned(cut, by),), size[0] / 2, PHI)
    assert np.allclose(there, cope.raw_heights((cut,), size[0] / 2, PHI - by), atol=1e-3)


@given(tubes, st.data())
def test_mirroring_a_cut_mirrors_its_curve(size: tuple[float, float], data: st.DataObject) -> None:
    """Mirrored, a cut has at clock phi what it had at minus phi; twice, it is itself."""
    cut = data.draw(copes(size[0]) | planes)
    there = cope.raw_heights((cope.mirrored(cut),), size[0] / 2, PHI)
    assert np.allclose(there, cope.raw_heights((cut,), size[0] / 2, -PHI), atol=1e-3)
    twice = cope.raw_heights((cope.mirrored(cope.mirrored(cut)),), size[0] / 2, PHI)
    assert np.allclose(twice, cope.raw_heights((cut,), size[0] / 2, PHI), atol=1e-3)


@given(tubes, st.data())
def test_wrap_is_the_largest_height_over_the_wall(size: tuple[float, float], data: st.DataObject) -> None:
    """The closed form of the wrap template agrees with trying 400 radii between ID and OD."""
    od, wall = size
    end = tuple(data.draw(st.lists(copes(od) | planes, min_size=1, max_size=2)))
    found = cope.wrap_heights(end, od / 2 - wall, od / 2, PHI)
    tried = cope.heights(end, np.linspace(od / 2 - wall, od / 2, 400)[:, None], PHI[None, :]).max(axis=0)
    assert np.all(found >= tried - 1e-9)
    assert np.allclose(found, tried, atol=2e-3)


@given(tubes, st.data())
def test_long_point_is_the_least_height_over_the_wall(size: tuple[float, float], data: st.DataObject) -> None:
    """Nothing of the wall ends beyond the long point of the outside curve."""
    od, wall = size
    cut = data.draw(copes(od) | planes)
    lowest = cope.raw_heights((cut,), np.linspace(od / 2 - wall, od / 2, 40)[:, None], PHI[None, :]).min()
    assert cope.long_point((cut,), od / 2) <= lowest + 1e-3


@given(tubes, st.data(), reals(-100, 100), clocks, clocks)
def test_cut_found_from_axes_is_the_cut_that_was_meant(
    size: tuple[float, float], data: st.DataObject, far: float, about: float, spin: float
) -> None:
    """A header placed as a cut says gives that cut back, from either end, wherever the two stand."""
    od = size[0]
    cut = data.draw(copes(od))
    place = Frame((far, far / 2, -far)).then(turn((1, 1, 0.3), about)).then(turn((1, 0, 0), spin))
    for end, inward in (("A", 1.0), ("B", -1.0)):
        # The header's axis: through the crossing, leaning toward the acute side, beside the tube's axis by the offset.
        local = place.then(turn((1, 0, 0), cut.clock))
        lean = math.radians(cut.angle)
        direction = local.direction((inward * math.cos(lean), 0.0, math.sin(lean)))
        through = local.point((-inward * cut.at, cut.offset, 0.0))
        header = Frame.of(through, direction, local.y)
        found = cope.cope_of(place, place.direction((inward, 0, 0)), od / 2, header, cut.header_od)
        mine, theirs = (cope.raw_heights((c,), od / 2 * 0.97, PHI) for c in (found, cut))
        assert np.allclose(mine, theirs, atol=1e-4), end


@given(tubes, reals(0, 200), reals(0, 90), clocks)
def test_any_header_gives_a_cut_or_a_reason(size: tuple[float, float], off: float, angle: float, about: float) -> None:
    """Never NaN: a header that is missed, too narrow or too near parallel is refused in words."""
    od = size[0]
    tube = turn((1, 0, 0), about)
    lean = math.radians(angle)
    header = Frame.of(tube.point((0, off, 0)), tube.direction((math.cos(lean), 0, math.sin(lean))), tube.y)
    fits = off + od / 2 <= 24.15 + cope.TANGENT and angle >= cope.LEAST_ANGLE
    if not fits:
        with pytest.raises(GeometryError, match=r"mm|deg"):
            cope.cope_of(tube, tube.x, od / 2, header, 48.3)
        return
    cut = cope.cope_of(tube, tube.x, od / 2, header, 48.3)
    assert np.isfinite(cope.heights((cut,), od / 2, PHI)).all()


def test_square_cope_has_one_description() -> None:
    """At 90 degrees the acute side may be either; the description is the same."""
    assert cope.normal(cope.Cope(48.3, 0, 90, 0, 200)) == cope.normal(cope.Cope(48.3, 0, 90, 0, 20))
    assert cope.normal(cope.Cope(48.3, 0, 90, -3, 200)) == cope.normal(cope.Cope(48.3, 0, 90, 3, 20))


def test_missing_and_wide_say_how_much() -> None:
    """The message carries the numbers that a fabricator would move things by."""
    with pytest.raises(GeometryError, match="misses"):
        cope.cope_of(Frame(), (1, 0, 0), 13.45, Frame.of((0, 40, 0), (0, 0, 1), (1, 0, 0)), 33.7)
    with pytest.raises(GeometryError, match="beyond the header's side"):
        cope.cope_of(Frame(), (1, 0, 0), 24.15, Frame.of((0, 0, 0), (0, 0, 1), (1, 0, 0)), 33.7)
    with pytest.raises(GeometryError, match="deg"):
        cope.cope_of(Frame(), (1, 0, 0), 13.45, Frame.of((0, 0, 0), (1, 0, 0.1), (0, 1, 0)), 33.7)
