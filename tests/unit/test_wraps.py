"""Wraps as data."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import MM, small_rack

from rackgen.geom.cope import Cope, Plane, heights, mirrored, wrap_heights
from rackgen.sheets.allowance import gapped, move_in, shrinkage
from rackgen.sheets.wraps import Wrap, developed, thinned, wraps

INCHES = dataclasses.replace(MM, unit="in")


WRAPS = wraps(small_rack(), MM)


def wrap(mark: str, end: str) -> Wrap:
    return next(w for w in WRAPS if (w.mark, w.end) == (mark, end))


def test_every_coped_end_of_every_distinct_tube_has_a_wrap() -> None:
    rack = small_rack()
    stub = next(p for p in rack.placed if p.word == "saddle").part
    coped = "A" if any(isinstance(c, Cope) for c in stub.end_a) else "B"
    assert [(w.mark, w.end) for w in WRAPS] == [
        ("T2", "A"), ("T2", "B"), ("T3", "A"), ("T3", "B"), ("T5", coped)
    ]  # fmt: skip
    assert wrap("T3", "A").quantity == 2


def test_a_wrap_goes_round_exactly_once_and_closes() -> None:
    for w in WRAPS:
        for curve in (w.template, w.outside):
            assert curve[0][0] == 0.0
            assert curve[-1][0] == w.girth
            assert curve[0][1] == curve[-1][1]
        od = 26.9 if w.mark == "T3" else 33.7
        assert w.girth == pytest.approx(math.pi * od)


def test_clocks_run_to_the_right_at_a_and_to_the_left_at_b() -> None:
    assert [c for _, c in wrap("T2", "A").clocks] == [0, 90, 180, 270, 0]
    assert [c for _, c in wrap("T2", "B").clocks] == [0, 270, 180, 90, 0]
    girth = wrap("T2", "A").girth
    assert [x for x, _ in wrap("T2", "A").clocks] == pytest.approx([girth * k / 4 for k in range(5)])


def test_the_label_says_what_a_welder_needs() -> None:
    text = "\n".join(wrap("T3", "A").label)
    for word in ("T3 end A", "bearer", "2 off", "26.9 × 2.6", "cope 33.7 at 90 offset", "0.5 mm", "waste at the ears"):
        assert word in text
    assert "shared with the other end" in text
    inches = "\n".join(wraps(small_rack(), INCHES)[0].label)
    # 0.5 mm is 0.0197 in, to 1/64: 1/64.
    assert "fit-up gap 1/64 in" in inches
    # π × 33.7 mm is 4.168 in: the check of the paper's scale with an inch tape.
    assert "girth 105.87 mm (4.168 in)" in inches


def test_waste_and_top_are_the_templates_own() -> None:
    for w in WRAPS:
        heights_ = [y for _, y in w.template]
        assert (w.waste, w.top) == (min(heights_), max(heights_))


@settings(deadline=None, derandomize=True, max_examples=30)
@given(
    st.floats(30, 90), st.floats(-5, 5), st.floats(0, 360), st.sampled_from([0.0, 0.5]), st.sampled_from(["A", "B"])
)  # fmt: skip
def test_the_thinned_curves_stray_less_than_a_hundredth(
    angle: float, offset: float, clock: float, gap: float, name: str
) -> None:
    end = (Cope(48.3, 30.0, angle, offset, clock), Plane(2.0, 20.0, clock + 100.0))
    cuts = gapped(end, gap)
    outside, template = (np.array(c) for c in developed(end, 33.7, 2.6, name, gap))
    phi = np.linspace(0, 360, 7001)
    seen = phi if name == "A" else 360 - phi
    x = math.pi * 33.7 * phi / 360
    for line, exact in ((outside, heights(cuts, 16.85, seen)), (template, wrap_heights(cuts, 14.25, 16.85, seen))):
        # Distance from the exact curve's points to the drawn line, across its slope.
        k = np.clip(np.searchsorted(line[:, 0], x), 1, len(line) - 1)
        a, b = line[k - 1], line[k]
        d = b - a
        off = np.abs((x - a[:, 0]) * d[:, 1] - (exact - a[:, 1]) * d[:, 0]) / np.linalg.norm(d, axis=1)
        assert float(off.max()) < 0.01


@settings(deadline=None, derandomize=True, max_examples=20)
@given(st.floats(30, 90), st.floats(-5, 5), st.floats(0, 360))
def test_end_b_is_end_a_of_the_tube_turned_round(angle: float, offset: float, clock: float) -> None:
    # Turned about its Z the tube keeps clock 0, and clocks run the other way.
    cut = Cope(48.3, 40.0, angle, offset, clock)
    at_b = developed((cut,), 33.7, 2.6, "B", 0.5)
    at_a = developed((mirrored(cut),), 33.7, 2.6, "A", 0.5)
    x = np.linspace(0, math.pi * 33.7, 999)
    for one, other in zip(at_b, at_a, strict=True):
        assert np.interp(x, *np.array(one).T) == pytest.approx(np.interp(x, *np.array(other).T), abs=0.05)


def test_thinning_keeps_corners_and_ends() -> None:
    x = np.linspace(0, 10, 1001)
    points = np.column_stack([x, np.abs(x - 5)])
    assert thinned(points, 0.004).tolist() == [[0, 5], [5, 0], [10, 5]]
    assert len(thinned(points[:2], 0.004)) == 2


def test_only_ends_cut_by_copes_alone_move_in() -> None:
    square, slant = Cope(48.3, 30.0, 90.0), Cope(48.3, 30.0, 30.0)
    assert move_in((), 0.5) == 0.0
    assert move_in((Plane(1.0, 5.0),), 0.5) == 0.0
    assert move_in((square,), 0.5) == pytest.approx(0.5)
    assert move_in((slant,), 0.5) == pytest.approx(1.0)
    assert move_in((square, slant), 0.5) == pytest.approx(0.5)
    assert move_in((square, Plane(1.0, 5.0)), 0.5) == 0.0
    assert gapped((Plane(1.0, 5.0),), 0.5) == (Plane(1.0, 5.0),)


def test_shrinkage_is_the_bearers() -> None:
    cut = (Cope(48.3, 30.0, 90.0),)
    assert shrinkage("bearer", cut, cut, 0.5) == 1.0
    assert shrinkage("bearer", cut, (), 0.5) == 0.5
    assert shrinkage("upright", cut, cut, 0.5) == 0.0
