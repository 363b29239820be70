"""Jaws, bolts and threads by hand, each with where the figures are from."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from foot_racks import GUTTER, ONE_THREAD, THREADS, TRACK, WIDE_RAIL, demo, site_with, standing

from rackgen.refs.fasteners import stress_area
from rackgen.strength.foot_bolts import foot_bolts
from rackgen.strength.foot_limits import foot_limits, hook_reach, jaws_of
from rackgen.strength.foot_statics import (
    floor_bends,
    held_along,
    hook_bends,
    levered,
    lips_shear,
    preload,
    thread_strips,
)
from rackgen.strength.frame_model import frame_model
from rackgen.strength.limits import Loaded


def test_a_hook_by_hand() -> None:
    """50 × 5 of S235, bearing 20 mm from the middle of its web: Z = 50·25/4 = 312.5 mm³, Mp = 73.4 N·m, so 3.67 kN.

    Section modulus of a rectangle in full plasticity b t² / 4 (any handbook); S235: EN 10025-2.
    """
    assert hook_bends(235.0, 50.0, 5.0, 20.0) == pytest.approx(3671.9, abs=0.1)
    # First yield is at two thirds of it: W = b t² / 6.
    assert hook_bends(235.0, 50.0, 5.0, 20.0) * 2 / 3 == pytest.approx(235.0 * 50.0 * 25.0 / 6 / 20.0)


def test_a_bolts_preload_by_hand() -> None:
    """M8 at 16 N·m: 16000 / (0.2·8) = 10 kN, 47 % of the proof load of class 8.8, 580 MPa on 36.6 mm² (ISO 898-1)."""
    assert preload(16.0, 8.0) == pytest.approx(10000.0)
    assert preload(16.0, 8.0) / (580.0 * stress_area(8.0)) == pytest.approx(0.47, abs=0.01)
    # Two bolts, two faces at 0.15.
    assert held_along(16.0, 8.0, 2) == pytest.approx(6000.0)


def test_lips_and_threads_by_hand() -> None:
    """Lips of 3 mm along a nut of 19 mm in aluminium of 160 MPa: 2·19·3·0.6·160; M8 over 8 mm in 270 MPa."""
    assert lips_shear(19.0, 3.0, 160.0) == pytest.approx(10944.0)
    assert thread_strips(8.0, 8.0, 270.0) == pytest.approx(math.pi * 8 * 8 / 2 * 162.0)


def test_a_gutters_floor_by_hand() -> None:
    """A strip 60 mm wide and 3 mm thick at 140 MPa, 5 mm out: 140·60·9/4 / 5 = 3.78 kN; at no lever it only shears."""
    assert floor_bends(140.0, 50.0, 3.0, 5.0) == pytest.approx(3780.0)
    assert floor_bends(140.0, 50.0, 3.0, 0.0) == math.inf


def test_a_lever_by_hand() -> None:
    """A pad 20 mm behind its bolt, its stub 30 mm ahead: the bolt holds 50/20 of the pull (moments about its toe)."""
    assert levered(30.0, 20.0) == pytest.approx(2.5)


def _loaded(many: int, supports: list[tuple[float, float, float]]) -> Loaded:
    forces = np.zeros((many, 6, 1))
    for i, force in enumerate(supports):
        forces[i, :3, 0] = force
    return Loaded(0.0, np.zeros((0, 2, 6, 1)), forces, np.zeros((0, 6, 1)))


def test_a_jaws_use_is_its_lift_over_what_its_hook_bears() -> None:
    site = site_with(GUTTER)
    rack, _ = standing(site, GUTTER)
    model = frame_model(rack, site.vehicle)
    # A bar 50 mm wide has room for one bolt.
    assert len(model.supports) == 1
    (jaw,) = jaws_of(foot_bolts(model, rack, site.vehicle, site.shop), rack)
    bears = hook_reach(jaw.placed, GUTTER)
    stock = next(s for s in site.shop.stock if s.name == "50 x 5 bar")
    assert "S235" in stock.grade
    assert jaw.hook == pytest.approx(235.0 * 50.0 * 25.0 / 4 / (bears + 2.5), rel=1e-6)
    limits = {lim.id: lim for lim in foot_limits(model, rack, site.vehicle, site.shop)}
    # The vehicle holds the jaw down with 1 kN and along with 600 N.
    use = {name: float(lim.use(_loaded(1, [(600.0, 0.0, -1000.0)])).max()) for name, lim in limits.items()}
    assert use["jaw-hook"] == pytest.approx(1.67 * 1000.0 / jaw.hook)
    assert use["jaw-slide"] == pytest.approx(1.5 * 600.0 / 3000.0)
    # The bolt shears with the resultant of both: 0.45·800·50.27 mm² = 18.1 kN, factor 2.
    assert use["foot-bolt"] == pytest.approx(2.0 * math.hypot(600, 1000) / (0.45 * 800 * math.pi * 16), rel=1e-6)
    # What presses down does not open the hook.
    assert float(limits["jaw-hook"].use(_loaded(1, [(0.0, 0.0, 500.0)])).max()) == 0.0


def test_a_supports_axes_at_a_jaw_are_along_the_gutter_and_up() -> None:
    place = dataclasses.replace(GUTTER, pitch=0.0)
    site = site_with(place)
    rack, _ = standing(site, place)
    for support in frame_model(rack, site.vehicle).supports:
        assert abs(support.x[0]) == pytest.approx(1.0)
        assert support.z == pytest.approx((0.0, 0.0, 1.0))
    nodes = {n.id: n.at for n in frame_model(rack, site.vehicle).nodes}
    at = np.mean([nodes[s.node] for s in frame_model(rack, site.vehicle).supports], axis=0)
    # In the middle of the lip's metal, halfway down the trough.
    np.testing.assert_allclose(at, np.add(place.at, (0.0, -place.metal / 2, -place.depth / 2)), atol=0.01)


def test_feet_of_every_kind_are_held_at_their_bolts() -> None:
    for place, many in ((THREADS, 2), (ONE_THREAD, 1), (TRACK, 2), (WIDE_RAIL, 4)):
        site = site_with(place)
        rack, _ = standing(site, place)
        model = frame_model(rack, site.vehicle)
        bolts = foot_bolts(model, rack, site.vehicle, site.shop)
        assert len(model.supports) == len(bolts) == many
        assert {s.mount for s in model.supports} == {place.name}
        assert all(b.pried >= 1.0 for b in bolts)


def test_a_bolt_without_a_grade_counts_as_the_weakest() -> None:
    shop = dataclasses.replace(
        demo().shop, bolts=tuple(dataclasses.replace(b, grade="") for b in demo().shop.bolts)
    )  # fmt: skip
    site = dataclasses.replace(site_with(TRACK), shop=shop)
    rack, _ = standing(site, TRACK)
    bolts = foot_bolts(frame_model(rack, site.vehicle), rack, site.vehicle, shop)
    # Class 4.6, 400 MPa: 0.75·400·50.27 mm² (AISC 360 J3.6, from memory).
    assert bolts[0].tension == pytest.approx(0.75 * 400 * math.pi * 16)
    assert "no grade" in bolts[0].source
    assert bolts[0].tag == "assumed"
