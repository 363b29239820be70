"""Laws of the rating, for checks of any convex course in the payload."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from toy_strength import CASES, held, limit, spot

from rackgen.strength.limits import Limit, Loaded
from rackgen.strength.model import Case
from rackgen.strength.rating import Caps, Held, Rated, rate

FREE = Caps(None, 40.0)
COURSE = st.tuples(
    st.floats(0.0, 0.9), st.floats(1e-4, 0.05), st.floats(0.0, 1e-4), st.floats(0.0, 500.0), st.floats(0.0, 0.05)
)
"""What is used empty, a kg, a kg², and from which payload on how much more a kg."""


def share(course: tuple[float, float, float, float, float], payload: float) -> float:
    own, slope, square, kink, more = course
    return own + slope * payload + square * payload**2 + more * max(0.0, payload - kink)


def frame(courses: list[tuple[float, float, float, float, float]], scale: float = 1.0) -> Held:
    """Return a frame with a check for each course; braking uses two thirds, parked a third of it."""

    def check(course: tuple[float, float, float, float, float]):
        return lambda p: [[scale * f * share(course, p) for f in (1.0, 0.67, 0.33, 0.1)]]

    return held(*(limit(f"c{n}", check(c), [spot(f"place {n}")]) for n, c in enumerate(courses)))


def rated(one: Held, caps: Caps = FREE) -> Rated:
    return rate([one], CASES, caps)


@given(st.lists(COURSE, min_size=1, max_size=5))
def test_at_the_structural_payload_the_most_used_check_is_at_one_and_none_is_higher(courses):
    found = rated(frame(courses))
    for state in (found.moving, found.parked):
        assert 0.999 <= state.used[0].use <= 1.0
        assert all(u.use <= 1.0 for u in state.used)


@given(st.lists(COURSE, min_size=1, max_size=4), st.floats(1.0, 3.0))
def test_a_lower_limit_never_raises_the_rating(courses, scale):
    was, now = rated(frame(courses)), rated(frame(courses, scale))
    assert now.moving.structure <= was.moving.structure * (1 + 2e-6)
    assert now.parked.structure <= was.parked.structure * (1 + 2e-6)


@given(st.lists(COURSE, min_size=1, max_size=4), COURSE)
def test_one_more_check_never_raises_the_rating(courses, more):
    was, now = rated(frame(courses)), rated(frame([*courses, more]))
    assert now.moving.structure <= was.moving.structure * (1 + 2e-6)


@given(st.lists(COURSE, min_size=1, max_size=4), st.floats(0.0, 3.0))
def test_one_more_case_never_raises_the_rating(courses, factor):
    cases = (*CASES, Case("more", "one more", (), (), "moving", "test"))

    def wider(one: Held) -> Held:
        count = len(cases)

        def loaded(payload: float) -> Loaded:
            numbers = np.tile(np.arange(count, dtype=float), (1, 6, 1))
            return Loaded(payload, np.zeros((0, 2, 6, count)), numbers, np.zeros((0, 6, count)))

        def check(was: Limit) -> Limit:
            def use(at: Loaded) -> np.ndarray:
                had = was.use(one.loaded(at.payload))
                return np.column_stack([had, factor * had[:, 0]])[:, at.supports[0, 0].astype(int)]

            return replace(was, use=use)

        return Held("", loaded, tuple(check(c) for c in one.limits))

    was, now = rated(frame(courses)), rate([wider(frame(courses))], cases, FREE)
    assert now.moving.structure <= was.moving.structure * (1 + 2e-6)
    assert abs(now.parked.structure - was.parked.structure) <= 2e-6 * was.parked.structure


@given(st.lists(COURSE, min_size=1, max_size=3), st.lists(st.lists(COURSE, min_size=1, max_size=3), max_size=3))
def test_a_clamp_loose_never_raises_the_rating_and_the_worst_is_kept(courses, others):
    built = frame(courses)
    loose = [Held(f"bolt {n}", one.loaded, one.limits) for n, one in enumerate(map(frame, others))]
    found = rate([built, *loose], CASES, FREE)
    alone = [rated(one).moving.structure for one in (built, *loose)]
    assert abs(found.moving.structure - min(alone)) <= 3e-6 * max(alone)
    if loose:
        assert found.loose is not None
        assert abs(found.loose[0] - min(alone[1:])) <= 3e-6 * max(alone)
    else:
        assert found.loose is None


@given(st.lists(COURSE, min_size=1, max_size=3), st.floats(0.0, 400.0), st.none() | st.floats(0.0, 300.0))
def test_nothing_is_rated_above_its_caps(courses, roof, own):
    found = rated(frame(courses), Caps(roof, 40.0, own, own))
    for state in (found.moving, found.parked):
        assert state.vehicle is not None
        assert 0.0 <= state.vehicle <= state.rack <= state.structure
        assert state.vehicle <= max(0.0, roof - 40.0)
        assert own is None or state.rack <= own
