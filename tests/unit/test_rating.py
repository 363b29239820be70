"""The rating of a frame whose checks are known in closed form."""

import math
from dataclasses import replace

import numpy as np
import pytest
from toy_strength import CASES, held, limit, spot, straight

from rackgen.errors import RackgenError
from rackgen.strength.most_used import most_used
from rackgen.strength.rating import Caps, largest, rate

FREE = Caps(None, 40.0)


def test_the_structural_payload_is_where_the_first_check_is_used_up():
    tube = straight("tube", 0.2, (0.004, 0.002, 0.001, 0.0))
    rivet = straight("rivet", 0.1, (0.001, 0.005, 0.002, 0.0))
    found = rate([held(tube, rivet)], CASES, FREE)
    assert found.moving.structure == pytest.approx(0.9 / 0.005, rel=2e-6)
    assert found.parked.structure == pytest.approx(0.9 / 0.002, rel=2e-6)
    assert found.moving.used[0].limit == "rivet"
    assert found.moving.used[0].case == "brake"
    assert 0.999 <= found.moving.used[0].use <= 1.0


@pytest.mark.parametrize(
    "use",
    [
        lambda p: 0.3 + 0.002 * p,
        lambda p: math.hypot(0.4, 0.01 * p),
        lambda p: max(0.1 + 0.001 * p, 0.009 * p - 1.0),
        lambda p: (p / 37.0) ** 6,
        lambda p: 2e-5 * p,
        lambda p: 0.9 + p,
        lambda p: 0.5 - 0.004 * p if p < 100 else 0.1 + 0.02 * (p - 100),
        lambda p: 0.2 if p < 55.5 else 3.0,
        lambda p: 0.2 + 0.001 * p if p < 55.5 else math.inf,
    ],
)
def test_the_search_ends_just_below_what_is_used_up(use):
    asked = []
    found = largest(lambda p: asked.append(p) or use(p))
    assert use(found) <= 1.0
    assert use(found * (1 + 3e-6)) > 1.0
    assert len(asked) < 60


def test_a_hump_below_what_was_bracketed_is_seen():
    # Over 1 between 40 and 90 kg, under it again up to 400 kg.
    def use(p):
        return 0.2 + 0.002 * p + (1.0 if 40 < p < 90 else 0.0)

    assert largest(use) == pytest.approx(40.0, rel=2e-6)


def test_an_empty_rack_over_its_limit_is_rated_nought_and_the_check_is_named():
    found = rate([held(straight("tube", 1.2, (0.001, 0.0, -0.001, 0.0)))], CASES, FREE)
    assert found.moving.structure == found.moving.rack == 0.0
    assert found.moving.used[0].limit == "tube"
    assert found.moving.used[0].use == pytest.approx(1.2)


def test_caps_are_the_lowest_of_structure_own_limit_and_what_the_roof_leaves():
    frame = [held(straight("tube", 0.0, (0.01, 0.0, 0.005, 0.0)))]
    for caps, rack, vehicle, by in (
        (Caps(120.0, 48.0), 100.0, 72.0, "roof limit"),
        (Caps(220.0, 48.0), 100.0, 100.0, "structure"),
        (Caps(120.0, 48.0, moving=60.0), 60.0, 60.0, "limit asked for"),
        (Caps(120.0, 48.0, moving=90.0), 90.0, 72.0, "roof limit"),
        (Caps(40.0, 48.0), 100.0, 0.0, "roof limit"),
        (Caps(None, 48.0), 100.0, None, "structure"),
        (Caps(None, 48.0, moving=80.0), 80.0, None, "limit asked for"),
    ):
        found = rate(frame, CASES, caps).moving
        assert found.structure == pytest.approx(100.0, rel=2e-6)
        assert found.rack == pytest.approx(rack, rel=2e-6)
        assert found.vehicle == (None if vehicle is None else pytest.approx(vehicle, rel=2e-6))
        assert found.by == by
    parked = rate(frame, CASES, Caps(None, 48.0, moving=60.0, parked=150.0)).parked
    assert parked.rack == pytest.approx(150.0)
    assert parked.by == "limit asked for"


def test_the_worst_loose_clamp_sets_the_rating_and_is_named():
    built = held(straight("tube", 0.0, (0.004, 0.0, 0.002, 0.0)))
    loose = [
        held(straight("pad", 0.0, (slope, 0.0, 0.001, 0.0)), words=f"U-bolt {n}")
        for n, slope in enumerate((0.003, 0.008, 0.005))
    ]
    found = rate([built, *loose], CASES, FREE)
    assert found.moving.structure == pytest.approx(125.0, rel=2e-6)
    assert found.loose == (found.moving.structure, "U-bolt 1")
    assert found.moving.used[0].loose == "U-bolt 1"
    assert found.parked.structure == pytest.approx(500.0, rel=2e-6)
    kinder = rate([built, loose[0]], CASES, FREE)
    assert kinder.moving.structure == pytest.approx(250.0, rel=2e-6)
    assert kinder.loose == (pytest.approx(1000 / 3, rel=2e-6), "U-bolt 0")


def test_events_are_told_each_by_its_most_used_check():
    found = rate([held(straight("tube", 0.1, (0.01, 0, 0.01, 0)), straight("mesh", 0.4, (0, 0, 0, 0)))], CASES, FREE)
    assert [(e.limit, e.case, e.use) for e in found.events] == [("mesh", "person", 0.4)]


@pytest.mark.parametrize(
    ("frames", "cases", "said"),
    [
        ([held()], CASES, "without checks"),
        ([], CASES, "without checks"),
        ([held(straight("a", 0, (0.01, 0, 0.01, 0)))], CASES[:2] + CASES[3:] + CASES[3:], "no case of a parked load"),
        ([held(straight("a", 0, (0.0, 0, 0.01, 0)))], CASES, "does not reach the frame"),
        ([held(straight("a", math.nan, (0.01, 0, 0.01, 0)))], CASES, "check a gives no number"),
        ([held(straight("a", 0.0, (0.01,)))], CASES, "check a gives no number"),
    ],
)
def test_what_cannot_be_rated_is_refused(frames, cases, said):
    with pytest.raises(RackgenError, match=said):
        rate(frames, cases, FREE)


def test_the_list_has_one_line_for_a_check_and_place_and_for_mirrored_twins():
    def use(p):
        return [[0.01 * p * k, 0.0, 0.001 * p, 0.0] for k in (0.8, 1.0, 0.999, 0.5, 0.7)]

    spots = [
        spot("leg"),
        spot("strap's fold, left side", -400.0, "a"),
        spot("strap's fold, right side", 400.0, "b"),
        spot("leg"),
        spot("brace, left", -300.0, "c"),
    ]
    found = rate([held(limit("bar", use, spots))], CASES, FREE).moving
    assert [u.what for u in found.used] == [
        "strap's fold, left side", "strap's fold, right side", "leg", "brace, left",
    ]  # fmt: skip
    shown = most_used(found.used)
    assert [u.what for u in shown] == ["strap's fold, both sides", "leg", "brace, left"]
    assert shown[0].parts == ("a", "b")
    many = [replace(found.used[2], what=f"place {n}", parts=(f"p{n}",), use=1.0 - n / 100) for n in range(30)]
    again = [replace(one, what=f"elsewhere on it {n}") for n, one in enumerate(many)]
    assert [u.what for u in most_used([u for pair in zip(many, again, strict=True) for u in pair])] == [
        f"place {n}" for n in range(10)
    ]


def test_equal_use_on_one_side_of_the_rack_is_no_pair_of_twins():
    one = rate([held(straight("a", 0.0, (0.01, 0, 0.01, 0), y=200.0))], CASES, FREE).moving.used[0]
    other = replace(one, what="elsewhere", parts=("rear",), at=(one.at[0] + 50.0, -200.0, one.at[2]))
    assert [u.what for u in most_used([one, other])] == ["a", "elsewhere"]
    assert np.isfinite(one.use)
