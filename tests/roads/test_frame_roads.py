"""Frames solved by stiffness, by how members give, and by the library as a whole: the same forces."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from Pynite import FEModel3D

from rackgen.geom.frame import Array
from rackgen.strength.loosened import loosened
from rackgen.strength.model import Action, Elastic, FrameModel, LineLoad, Member, Node, NodeLoad, Properties, Support
from rackgen.strength.solve import solve
from tests.frame_solver import solved
from tests.frames import FIXED, INF, chain, everywhere, with_
from tests.strategies import frames

CLOSE = 1e-6


ARM = 400.0
"""How long members are, about, mm: a pure moment leaves forces that are only rounding, and the other way about."""


def apart(one: Array, other: Array, arm: float = ARM) -> float:
    """Return the largest difference as a share of the largest force, or moment by its arm; moments likewise.

    Under 1 N by 1 N: a load straight into a support leaves members nothing but the last bits of it.
    """
    force, moment = (np.abs(other[..., rows, :]).max(initial=0.0) for rows in (slice(0, 3), slice(3, 6)))
    force = max(force, moment / arm, 1.0)
    off = [np.abs(one - other)[..., rows, :].max(initial=0.0) for rows in (slice(0, 3), slice(3, 6))]
    return float(max(off[0] / force, off[1] / (force * arm)))


def ways_apart(one: Array, other: Array) -> float:
    """The same of movements, where a turn is a way over an arm."""
    return apart(one * 1e6, other * 1e6, 1.0 / ARM)


@given(frames())
def test_what_members_give_agrees_with_how_stiff_they_are(model: FrameModel) -> None:
    first, second = solve(model), solved(model)
    assert apart(first.ends, second.ends) < CLOSE
    assert ways_apart(first.moved, second.moved) < CLOSE
    assert apart(first.supports, second.supports) < CLOSE


@given(frames())
def test_a_member_loose_in_the_solved_frame_is_a_frame_without_it(model: FrameModel) -> None:
    """The last member closes a loop where there are any; then all stands without it."""
    last = model.members[-1]
    assume(len(model.members) >= len(model.nodes))
    actions = tuple(replace(a, lines=tuple(x for x in a.lines if x.member != last.id)) for a in model.actions)
    model = replace(model, actions=actions)
    quick = loosened(solve(model), last.id)
    anew = solve(replace(model, members=model.members[:-1]))
    assert apart(quick.ends[:-1], anew.ends) < CLOSE
    assert apart(quick.supports, anew.supports) < CLOSE
    assert ways_apart(quick.moved, anew.moved) < CLOSE
    assert not quick.ends[-1].any()


def test_both_ways_agree_on_a_bent_tube_on_springs_with_a_rigid_arm() -> None:
    """As a rack has them: chords of a bend, an arm a thousand times as stiff, springs between rigid and soft."""
    tube = Properties(453.4, 115857.0, 115857.0, 231714.0)
    points = [(0, 0, 0), (0, 0, 200)]
    points += [(100 - 100 * math.cos(t), 0, 200 + 100 * math.sin(t)) for t in np.radians(np.arange(6, 91, 6))]
    points += [(600.0, 0.0, 300.0), (600.0, 400.0, 300.0)]
    model = chain(points, tube, Elastic(210000.0, 81000.0), (0.3, 1.0, 0.2))
    arm = Member(
        "arm", "0", "foot", "link", Properties(2e8 * 30 / 2e5, 2e11 * 30 / 2e5, 2e11 * 30 / 2e5, 4e11 * 30 / 2e5),
        Elastic(200000.0, 77000.0), (1.0, 0.0, 0.0),
    )  # fmt: skip
    clamp = Member(
        "clamp", model.nodes[-1].id, "over", "clamp", Properties(50.0, 400.0, 400.0, 50.0),
        Elastic(200000.0, 77000.0), (1.0, 0.0, 0.0), free_b=("dz", "rx", "ry", "rz"),
    )  # fmt: skip
    model = FrameModel(
        (*model.nodes, Node("foot", (0.0, 0.0, -30.0)), Node("over", (600.0, 400.0, 330.0))),
        (*model.members, arm, clamp),
        (
            Support("foot", (2e3, 2e3, 8e2, 1e7, 1e7, 1e7), (1.0, 0.0, 0.1), (-0.1, 0.0, 1.0)),
            Support("over", (INF, INF, 1e5, 1e8, 1e8, INF), (0.0, 1.0, 0.0), (0.0, 0.1, 1.0)),
        ),
        actions=(
            Action("down", "", lines=tuple(everywhere(model, (0.0, 0.0, -1.0)))),
            Action("aside", "", (NodeLoad("5", (300.0, 400.0, -100.0), (1e4, 0.0, -2e4)),)),
        ),
    )
    first, second = solve(model), solved(model)
    assert apart(first.ends, second.ends) < CLOSE
    assert apart(first.supports, second.supports) < CLOSE
    assert ways_apart(first.moved, second.moved) < CLOSE


def test_the_library_as_a_whole_finds_the_same() -> None:
    """PyNite's own assembly, supports, line loads and recovery; members along X, for which its axes are ours."""
    grid = [(300.0 * n, 0.0, 0.0) for n in range(4)]
    flat = Properties(400.0, 9000.0, 21000.0, 15000.0)
    steel = Elastic(210000.0, 81000.0)
    # Its z for a member along X is the vehicle's Z.
    model = chain(grid, flat, steel)
    loads = [*everywhere(model, (0.5, -1.0, -2.0)), NodeLoad("1", (10.0, 200.0, -300.0), (4e3, 5e3, 6e3))]
    model = with_(model, {"0": FIXED, "3": (0.0, 1e3, INF, 0.0, 0.0, 0.0)}, loads)
    theirs = FEModel3D()
    theirs.add_material("steel", steel.e, steel.g, 0.3, 0.0)
    theirs.add_section("flat", flat.area, flat.iy, flat.iz, flat.j)
    for node in model.nodes:
        theirs.add_node(node.id, *node.at)
    for member in model.members:
        theirs.add_member(member.id, member.a, member.b, "steel", "flat")
    theirs.def_support("0", True, True, True, True, True, True)
    theirs.def_support("3", False, False, True)
    theirs.def_support_spring("3", "DY", 1e3)
    for load in model.actions[0].lines:
        for way, size in zip(("FX", "FY", "FZ"), load.force, strict=True):
            theirs.add_member_dist_load(load.member, way, size, size)
    one = model.actions[0].nodes[0]
    for way, size in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), (*one.force, *one.moment), strict=True):
        theirs.add_node_load(one.node, way, size)
    theirs.analyze_linear()
    found = solve(model)
    for n, member in enumerate(model.members):
        book = np.asarray(theirs.members[member.id].f()).reshape(2, 6)
        assert found.ends[n, :, :, 0] == pytest.approx(book, rel=1e-7, abs=1e-4)


def test_the_second_way_knows_a_cantilever() -> None:
    """So that two wrongs do not make a right: P L3 / 3 E I, and P L at the foot."""
    model = chain([(0, 0, 0), (1000, 0, 0)], Properties(400.0, 9000.0, 21000.0, 15000.0), Elastic(210000.0, 81000.0))
    found = solved(with_(model, {"0": FIXED}, [NodeLoad("1", (0.0, 0.0, -100.0))], [LineLoad("m0", (0.0, -1.0, 0.0))]))
    assert found.moved[1, 2, 0] == pytest.approx(-100 * 1e9 / (3 * 210000 * 9000))
    assert found.ends[0, 0, :, 0] == pytest.approx([0, 0, 100, 0, -1e5, 0], abs=1e-6)
    assert found.moved[1, 1, 1] == pytest.approx(-1e12 / (8 * 210000 * 21000))
    assert found.ends[0, 0, :, 1] == pytest.approx([0, 1000, 0, 0, 0, 5e5], abs=1e-6)
