"""What must hold of the checks of members whatever the forces."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.geom.frame import Array
from rackgen.strength.bar_limits import bar_limits
from rackgen.strength.bent_limits import bent_limits
from rackgen.strength.chord_limits import chord_limits
from rackgen.strength.cuts import cuts_of, forces
from rackgen.strength.limits import Limit, Loaded
from rackgen.strength.model import FrameModel
from rackgen.strength.plate_limits import plate_limits
from rackgen.strength.tube_limits import tube_limits
from tests.small_frames import bar, bent_tube, even, loaded, plate_strip, straight_tube, tee
from tests.strategies import reals

EN = "S235JRH EN 10219-1"
laws = settings(deadline=None, derandomize=True, max_examples=60)
newtons, moments = reals(-2e4, 2e4), reals(-4e5, 4e5)
cut_forces = st.tuples(newtons, newtons, newtons, moments, moments, moments)
ends_of = st.tuples(cut_forces, cut_forces)


def frames() -> list[tuple[FrameModel, tuple[Limit, ...]]]:
    out: list[tuple[FrameModel, tuple[Limit, ...]]] = []
    for make, check in (
        (straight_tube(33.7, 2.6, EN, 800.0), tube_limits),
        (bent_tube(33.7, 2.6, 120.0, EN), bent_limits),
        (bar(50.0, 5.0, "S235JR EN 10025-2", fold=8.0), bar_limits),
        (plate_strip(30.0, 4.0, 40.0, "S235JR EN 10025-2"), plate_limits),
        (tee((48.3, 3.2), (33.7, 2.6), EN, angle=60.0), chord_limits),
    ):
        model, rack, shop = make
        out.append((model, tuple(x for x in check(model, rack, shop) if x.id != "tube-wall")))
    return out


FRAMES = frames()


def with_ends(model: FrameModel, ends: Array) -> Loaded:
    return Loaded(0.0, ends, np.zeros((0, 6, ends.shape[-1])), np.zeros((len(model.nodes), 6, ends.shape[-1])))


def by_member(limit: Limit, use: Array) -> Array:
    """The most of a member's three places: where a largest moment lies at an end, rounding says between or at it."""
    return use.reshape(-1, 3, use.shape[1]).max(axis=1) if limit.id.endswith("combined") else use


def drawn(model: FrameModel, rows: list[tuple[tuple[float, ...], tuple[float, ...]]]) -> Array:
    return np.array([rows[i % len(rows)] for i in range(len(model.members))])[..., None]


@laws
@given(st.lists(ends_of, min_size=1, max_size=3), reals(0.1, 10.0))
def test_so_many_times_the_forces_use_so_many_times_as_much(
    rows: list[tuple[tuple[float, ...], tuple[float, ...]]], factor: float
) -> None:
    for model, limits in FRAMES:
        ends = drawn(model, rows)
        for limit in limits:
            one, many = (by_member(limit, limit.use(with_ends(model, s * ends))) for s in (1.0, factor))
            if limit.id.startswith("chord"):
                # A header's own compression takes from its wall, so more grows faster still.
                assert np.all(np.sign(factor - 1) * (many - factor * one) >= -1e-9 * (1 + many))
            else:
                assert many == pytest.approx(factor * one, rel=1e-9, abs=1e-12)


@laws
@given(cut_forces)
def test_bending_and_twisting_the_other_way_use_the_same(cut: tuple[float, ...]) -> None:
    n, t, my, mz = (cut[k] for k in (0, 3, 4, 5))
    for model, limits in FRAMES:
        for limit in limits:
            if limit.id.startswith("chord"):
                continue
            both = [
                loaded(model, {m.id: even((n, 0, 0, s * t, s * my, s * mz)) for m in model.members}) for s in (1, -1)
            ]
            assert limit.use(both[0]) == pytest.approx(limit.use(both[1]), rel=1e-9, abs=1e-12)


@laws
@given(st.lists(ends_of, min_size=2, max_size=3), reals(-180.0, 180.0))
def test_turning_a_round_tube_about_its_axis_changes_nothing(
    rows: list[tuple[tuple[float, ...], tuple[float, ...]]], degrees: float
) -> None:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    for model, limits in FRAMES[:2]:
        ends = drawn(model, rows)
        # No load between, so that the cuts stay the same however it is turned.
        ends[:, 1, :3] = -ends[:, 0, :3]
        both = np.concatenate([ends, np.zeros_like(ends)], axis=-1)
        for part in (slice(0, 3), slice(3, 6)):
            both[:, :, part, 1] = ends[:, :, part, 0] @ turn.T
        for limit in limits:
            use = limit.use(with_ends(model, both))
            assert use[:, 0] == pytest.approx(use[:, 1], rel=1e-9, abs=1e-12)


@laws
@given(ends_of, reals(100.0, 2000.0))
def test_cuts_agree_with_both_ends_of_a_balanced_member(
    given_ends: tuple[tuple[float, ...], tuple[float, ...]], length: float
) -> None:
    model, _, _ = straight_tube(33.7, 2.6, EN, 2 * length)
    a, w = np.array(given_ends[0]), np.array(given_ends[1][:3]) / length
    # The end that balances begin and even load: forces, then moments about the end.
    b = np.empty(6)
    b[:3] = -(a[:3] + w * length)
    arm = np.array([-length, 0.0, 0.0])
    b[3:] = -(a[3:] + np.cross(arm, a[:3]) + np.cross(arm / 2, w * length))
    ends = np.zeros((2, 2, 6, 1))
    ends[0, :, :, 0] = a, b
    x, f = forces(cuts_of(model, lambda m: m.id == "t#0"), ends)
    size = 1 + np.abs(f[0, :, :, 0]).max(axis=0)
    assert np.abs(f[0, 0, :, 0] + a) / size == pytest.approx(np.zeros(6), abs=1e-9)
    assert np.abs(f[0, -1, :, 0] - b) / size == pytest.approx(np.zeros(6), abs=1e-9)
    # No cut of many bears a larger moment than those that are looked at, in either plane.
    for k, force, load in ((4, a[2], w[2]), (5, -a[1], -w[1])):
        s = np.linspace(0.0, length, 201)
        moment = -(a[k] + s * force + s**2 / 2 * load)
        assert np.abs(f[0, :, k, 0]).max() >= np.abs(moment).max() - 1e-9 * size[k]
    assert ((x >= 0) & (x <= length)).all()


@laws
@given(cut_forces, reals(1.01, 3.0))
def test_more_load_never_uses_less(cut: tuple[float, ...], factor: float) -> None:
    for model, limits in FRAMES:
        given_forces = {m.id: even(cut) for m in model.members}
        more = {m.id: even([factor * c for c in cut]) for m in model.members}
        for limit in limits:
            assert np.all(limit.use(loaded(model, more)) >= limit.use(loaded(model, given_forces)) - 1e-12)
