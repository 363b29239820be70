"""Portals, square and round-cornered, through the solver.

Square: Kleinlogel, Rahmenformeln, frame with fixed and with pinned feet (formulas from memory, worked figures below
confirmed by two solvers to 1e-4). h 300, L 1200, beam and columns alike, I 115 856 mm4, k 0.25, E 205 000 MPa,
w 1 N/mm, P 1000 N; nothing stretches.
Round-cornered (CLR 150): figures by the force method with quadrature along the axis, not published.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest

from rackgen.strength.model import Elastic, FrameModel, NodeLoad, Properties
from rackgen.strength.solve import Answer, solve
from tests.frames import FIXED, INF, STIFF, Vec, chain, end, everywhere, moved, sagging, with_

SPAN, HIGH, CLR = 1200.0, 300.0, 150.0
I = 115856.0  # noqa: E741
P = 1000.0

BESIDE = P / 2 * 1.0
"""The hoop's printed moments under the load are those 1 mm beside it: statics gives PL/4 - H h = 155 559 under it."""

PINNED = (INF, INF, INF, INF, 0.0, INF)
FEET = {"fixed": FIXED, "pinned": PINNED}

# up lies along +Y for all members: it is never along one.
UP = (0.0, 1.0, 0.0)
TUBE = Properties(STIFF, I, I, 2 * I)
STEEL = Elastic(205000.0, 81000.0)


@lru_cache
def portal(feet: str) -> Answer:
    points: list[Vec] = [(0, 0, 0), (0, 0, HIGH), (SPAN / 2, 0, HIGH), (SPAN, 0, HIGH), (SPAN, 0, 0)]
    model = chain(points, TUBE, STEEL, UP)
    beam = FrameModel(model.nodes, model.members[1:3], ())
    return solve(
        with_(
            model,
            {"0": FEET[feet], "4": FEET[feet]},
            everywhere(beam, (0.0, 0.0, -1.0)),
            [NodeLoad("2", (0.0, 0.0, -P))],
            [NodeLoad("1", (P, 0.0, 0.0))],
        )
    )


@pytest.mark.parametrize(
    ("feet", "action", "foot", "corner", "thrust", "middle"),
    [
        ("fixed", 0, 53333, -106667, 533.33, 73333),
        ("fixed", 1, 66667, -133333, 666.67, 166667),
        ("pinned", 0, 0, -102857, 342.86, 77143),
        ("pinned", 1, 0, -128571, 428.57, 171429),
    ],
)
def test_portal_under_load_on_its_beam(
    feet: str, action: int, foot: float, corner: float, thrust: float, middle: float
) -> None:
    found = portal(feet)
    moments = [sagging(found, *at, action) for at in (("m0", 0), ("m0", 1), ("m1", 0), ("m2", 1), ("m3", 0), ("m3", 1))]
    assert moments == pytest.approx([foot, corner, corner, corner, corner, foot], abs=0.6)
    assert sagging(found, "m1", 1, action) == pytest.approx(middle, abs=0.6)
    assert found.supports[:, 0, action] == pytest.approx([thrust, -thrust], abs=0.006)
    assert end(found, "m0", 0, action)[0] == pytest.approx(thrust, abs=0.006)


@pytest.mark.parametrize(
    ("feet", "foot", "corner", "lift", "sway"),
    [("fixed", 105000, 45000, 75.0, 0.10421), ("pinned", 0, 150000, 250.0, 0.56841)],
)
def test_portal_pushed_sideways(feet: str, foot: float, corner: float, lift: float, sway: float) -> None:
    found = portal(feet)
    moments = [sagging(found, *at, 2) for at in (("m0", 0), ("m0", 1), ("m2", 1), ("m3", 1))]
    assert moments == pytest.approx([-foot, corner, -corner, foot], abs=0.6)
    assert found.supports[:, 2, 2] == pytest.approx([-lift, lift], abs=0.006)
    assert moved(found, "1", 2)[0] == pytest.approx(sway, abs=6e-6)
    assert found.supports[:, 0, 2] == pytest.approx([-P / 2, -P / 2], rel=3e-6)


@lru_cache
def hoop(feet: str, chords: int) -> tuple[Answer, str, str]:
    """The same with corners of CLR 150 to the axis; also the member left of the middle and the middle node."""
    turns = np.linspace(0.0, math.pi / 2, chords + 1)
    leg = HIGH - CLR
    left = [(CLR - CLR * math.cos(a), 0.0, leg + CLR * math.sin(a)) for a in turns]
    flat = [(x, 0.0, HIGH) for x in np.linspace(CLR, SPAN / 2, 40)[1:]]
    half: list[Vec] = [(0.0, 0.0, 0.0), *left, *flat]
    points = half + [(SPAN - x, y, z) for x, y, z in reversed(half[:-1])]
    model = chain(points, TUBE, STEEL, UP)
    top = str(len(half) - 1)
    # Along the developed length would load the bends; w is along the span, as on a portal.
    per_span = [
        load
        for member in model.members
        for load in everywhere(FrameModel(model.nodes, (member,), ()), (0.0, 0.0, -_share(model, member.id)))
    ]
    found = solve(
        with_(
            model,
            {"0": FEET[feet], model.nodes[-1].id: FEET[feet]},
            per_span,
            [NodeLoad(top, (0.0, 0.0, -P))],
            [NodeLoad(top, (P, 0.0, 0.0))],
        )
    )
    return found, f"m{int(top) - 1}", top


def _share(model: FrameModel, member: str) -> float:
    """How much of a member's length lies across the span."""
    n = int(member[1:])
    (x, _, z), (u, _, w) = model.nodes[n].at, model.nodes[n + 1].at
    return abs(u - x) / math.hypot(u - x, w - z)


def all_moments(found: Answer, action: int) -> list[float]:
    return [sagging(found, m.id, which, action) for m in found.model.members for which in (0, 1)]


def test_the_hoops_developed_length() -> None:
    assert 2 * (HIGH - CLR) + math.pi * CLR + SPAN - 2 * CLR == pytest.approx(1671.239, abs=5e-4)


def test_pinned_hoop_load_at_the_middle() -> None:
    found, left, top = hoop("pinned", 60)
    assert found.supports[0, 0, 1] == pytest.approx(481.47, rel=2e-4)
    assert sagging(found, left, 1, 1) == pytest.approx(155060 + BESIDE, rel=2e-4)
    assert min(all_moments(found, 1)) == pytest.approx(-101335, rel=3e-4)
    assert -moved(found, top, 1)[2] == pytest.approx(0.4179, rel=4e-4)


def test_pinned_hoop_even_load() -> None:
    found, left, top = hoop("pinned", 60)
    assert found.supports[0, 0, 0] == pytest.approx(385.92, rel=3e-4)
    assert sagging(found, left, 1, 0) == pytest.approx(64224, rel=3e-4)
    assert min(all_moments(found, 0)) == pytest.approx(-75197, rel=4e-4)
    assert -moved(found, top, 0)[2] == pytest.approx(0.2573, rel=4e-4)


def test_pinned_hoop_pushed_sideways() -> None:
    found, _, top = hoop("pinned", 60)
    moments = all_moments(found, 2)
    assert (max(moments), min(moments)) == pytest.approx((121351, -121351), rel=4e-4)
    assert moved(found, top, 2)[0] == pytest.approx(0.4233, rel=4e-4)


def test_fixed_hoop() -> None:
    found, left, top = hoop("fixed", 60)
    assert found.supports[0, 0, 1] == pytest.approx(762.95, rel=3e-4)
    assert sagging(found, "m0", 0, 1) == pytest.approx(77685, rel=4e-4)
    assert sagging(found, left, 1, 1) == pytest.approx(148301 + BESIDE, rel=2e-4)
    assert -moved(found, top, 1)[2] == pytest.approx(0.3690, rel=4e-4)
    assert found.supports[0, 0, 0] == pytest.approx(606.29, rel=3e-4)
    assert sagging(found, "m0", 0, 0) == pytest.approx(60818, rel=4e-4)
    assert abs(sagging(found, "m0", 0, 2)) == pytest.approx(96350, rel=4e-4)
    assert abs(found.supports[0, 2, 2]) == pytest.approx(89.42, rel=4e-4)
    assert moved(found, top, 2)[0] == pytest.approx(0.08675, rel=4e-4)


def test_chords_of_six_degrees_are_enough_for_a_hoop() -> None:
    for feet in FEET:
        fine, coarse = hoop(feet, 60), hoop(feet, 15)
        for action in range(3):
            assert coarse[0].supports[:, :, action] == pytest.approx(fine[0].supports[:, :, action], rel=5e-3, abs=1e-3)
            assert moved(*coarse[::2], action) == pytest.approx(moved(*fine[::2], action), rel=5e-3, abs=1e-6)


def test_square_corners_are_not_round_ones() -> None:
    """The square portal has 11 % less pinned thrust and 34 % more sway than the hoop."""
    found, _, top = hoop("pinned", 60)
    square = portal("pinned")
    assert square.supports[0, 0, 1] / found.supports[0, 0, 1] == pytest.approx(0.89, abs=0.005)
    assert moved(square, "1", 2)[0] / moved(found, top, 2)[0] == pytest.approx(1.34, abs=0.005)
