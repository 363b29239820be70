"""Statics that hold wherever mounts and loads are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackgen.sheets.shares import reactions

PLACE = st.tuples(st.floats(-2000, 2000), st.floats(-900, 900))


def spread(places: list[tuple[float, float]]) -> bool:
    """Return whether supports stand well apart in both ways."""
    middle = np.array(places) - np.mean(places, axis=0)
    return bool(np.linalg.svd(middle, compute_uv=False)[-1] > 50.0)


@given(st.lists(PLACE, min_size=3, max_size=6).filter(spread), PLACE, st.floats(0.1, 500))
def test_shares_sum_to_the_load_and_their_moments_to_its_own(
    places: list[tuple[float, float]], at: tuple[float, float], load: float
) -> None:
    found = reactions(places, at, load)
    assert len(found) == len(places)
    assert sum(found) == pytest.approx(load)
    for axis in (0, 1):
        moments = sum(f * p[axis] for f, p in zip(found, places, strict=True))
        assert moments == pytest.approx(load * at[axis], abs=1e-6 * load * 2000)


@given(st.lists(PLACE, min_size=4, max_size=6).filter(spread), PLACE)
def test_shares_lie_on_a_plane_over_the_plan(places: list[tuple[float, float]], at: tuple[float, float]) -> None:
    """Equal springs under a rigid body: what each gives way is linear in its place."""
    found = np.array(reactions(places, at, 10.0))
    plan = np.array([(1.0, *p) for p in places])
    plane, *_ = np.linalg.lstsq(plan, found, rcond=None)
    assert found == pytest.approx(plan @ plane, abs=1e-6)


@given(st.lists(PLACE, min_size=4, max_size=4).filter(spread), PLACE, st.floats(-3, 3))
def test_no_other_forces_in_balance_have_a_lesser_sum_of_squares(
    places: list[tuple[float, float]], at: tuple[float, float], more: float
) -> None:
    """Four supports leave one free choice: the forces that balance nothing. Adding any of it makes the sum larger."""
    found = np.array(reactions(places, at, 10.0))
    nothing = np.linalg.svd(np.array([(1.0, *p) for p in places]).T)[2][-1]
    assert ((found + more * nothing) ** 2).sum() >= (found**2).sum() - 1e-6


@given(st.lists(PLACE, min_size=3, max_size=5).filter(spread), PLACE, PLACE, st.floats(1, 50), st.floats(1, 50))
def test_two_loads_weigh_as_their_sum(
    places: list[tuple[float, float]], a: tuple[float, float], b: tuple[float, float], p: float, q: float
) -> None:
    both = ((a[0] * p + b[0] * q) / (p + q), (a[1] * p + b[1] * q) / (p + q))
    apart = np.array(reactions(places, a, p)) + np.array(reactions(places, b, q))
    assert np.array(reactions(places, both, p + q)) == pytest.approx(apart, abs=1e-5)
