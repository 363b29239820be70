"""Frames that cannot be solved say why, part by part; those that can pass."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from rackgen.errors import FrameError
from rackgen.strength import faults, mechanism
from rackgen.strength.model import (
    Action,
    Case,
    Elastic,
    FrameModel,
    LineLoad,
    Lump,
    Node,
    NodeLoad,
    Properties,
    Support,
)
from rackgen.strength.solve import solve
from tests.frames import BALL, FIXED, INF, chain, moved, with_

TUBE = Properties(453.4, 115857.0, 115857.0, 231714.0)
STEEL = Elastic(210000.0, 81000.0)
ROLLER = (0.0, INF, INF, 0.0, 0.0, 0.0)


def beam(count: int = 2) -> FrameModel:
    return chain([(500.0 * n, 0.0, 0.0) for n in range(count + 1)], TUBE, STEEL)


def refused(model: FrameModel) -> str:
    with pytest.raises(FrameError) as found:
        solve(model)
    assert "singular" not in str(found.value).lower()
    assert found.value.reasons
    return str(found.value)


def freed(model: FrameModel, member: str, **ends: tuple[str, ...]) -> FrameModel:
    return replace(model, members=tuple(replace(m, **ends) if m.id == member else m for m in model.members))  # type: ignore[arg-type]


# ---- what moves freely -----------------------------------------------------------------------------------------------


def test_a_frame_that_stands_passes() -> None:
    mechanism.refuse(with_(beam(), {"0": FIXED}))


def test_no_supports() -> None:
    assert refused(beam()) == "part m0, part m1: nothing holds it to the vehicle; the frame has no supports"
    assert "no supports" in refused(with_(beam(), {"0": (0.0,) * 6}))


def test_a_part_that_is_not_joined_is_named_and_no_other() -> None:
    model = with_(beam(), {"0": FIXED})
    lost = replace(chain([(0, 300, 0), (100, 300, 0)], TUBE, STEEL, name="stray"))
    nodes = tuple(replace(n, id="s" + n.id) for n in lost.nodes)
    members = tuple(replace(m, a="s" + m.a, b="s" + m.b) for m in lost.members)
    told = refused(replace(model, nodes=model.nodes + nodes, members=model.members + members))
    assert told == "part stray0: not joined to anything that the vehicle holds"


def test_two_stray_parts_are_told_apart() -> None:
    model = with_(beam(4), {"0": FIXED})
    told = refused(replace(model, members=(model.members[0], model.members[1], model.members[3])))
    assert told == "part m3: not joined to anything that the vehicle holds"


def test_a_beam_on_two_balls_can_spin() -> None:
    told = refused(with_(beam(), {"0": BALL, "2": BALL}))
    assert re.fullmatch(
        r"part m0, part m1: nothing keeps it from turning about the vehicle's X near .*; too few supports .*", told
    )


def test_a_beam_on_rollers_slides() -> None:
    told = refused(with_(beam(), {"0": (0.0, INF, INF, INF, 0.0, 0.0), "2": ROLLER}))
    assert "part m0, part m1: nothing keeps it from sliding along the vehicle's X" in told


def test_a_spring_is_a_hold_however_soft() -> None:
    model = with_(beam(), {"0": (1e-3, INF, INF, INF, 0.0, 0.0), "2": ROLLER}, [NodeLoad("1", (1.0, 0.0, 0.0))])
    assert moved(solve(model), "1")[0] == pytest.approx(1000.0, rel=1e-6)


def test_a_single_ball_leaves_three_ways() -> None:
    assert "part m0, part m1: can move in 3 ways" in refused(with_(beam(), {"0": BALL}))


def test_a_free_hinge_is_named_by_what_meets_there() -> None:
    """Both members let the node between them turn about Y, and nothing else holds it."""
    model = with_(beam(), {"0": FIXED, "2": FIXED})
    hinge = freed(freed(model, "m0", free_b=("ry",)), "m1", free_a=("ry",))
    told = refused(hinge)
    assert told == (
        "part m0, part m1: free hinge at (500, 0, 0): no piece that meets there keeps it from turning about "
        "the vehicle's Y"
    )
    # One of them holding it is a plain hinge.
    solve(freed(model, "m0", free_b=("ry",)))


def test_three_hinges_in_a_row_fold() -> None:
    model = with_(beam(3), {"0": BALL, "3": (INF, INF, INF, INF, 0.0, INF)})
    loose = freed(freed(model, "m0", free_b=("ry",)), "m1", free_b=("ry",))
    told = refused(loose)
    assert "part m0, part m1, part m2" in told
    assert "fold" in told or "ways" in told


def test_two_things_that_move_are_two_reasons() -> None:
    model = with_(beam(5), {"0": FIXED, "5": FIXED})
    hinges = freed(freed(model, "m0", free_b=("ry",)), "m1", free_a=("ry",))
    hinges = freed(freed(hinges, "m3", free_b=("rz",)), "m4", free_a=("rz",))
    reasons = refused(hinges).splitlines()
    assert len(reasons) == 2
    assert reasons[0].startswith("part m0, part m1: free hinge at (500, 0, 0)")
    assert reasons[1].startswith("part m3, part m4: free hinge at (2000, 0, 0)")


@pytest.mark.parametrize(
    ("free_a", "free_b", "told"),
    [
        (("rx",), ("rx",), "turns about its own length"),
        (("dx",), ("dx",), "slides along its own length"),
        (("dz",), ("dz",), "moves sideways"),
        (("ry", "dz"), ("ry",), "swings"),
        (("rz",), ("dy", "rz"), "swings"),
        (("rq",), (), "is no freedom"),
    ],
)
def test_a_member_that_is_itself_free(free_a: tuple[str, ...], free_b: tuple[str, ...], told: str) -> None:
    model = with_(beam(), {"0": FIXED, "2": FIXED})
    assert told in refused(freed(model, "m0", free_a=free_a, free_b=free_b))


def test_a_strut_pinned_at_both_ends_is_sound() -> None:
    model = with_(beam(), {"0": FIXED, "2": FIXED})
    solve(freed(model, "m0", free_a=("ry", "rz"), free_b=("rx", "ry", "rz")))


@pytest.mark.parametrize("count", [50, 400])
def test_a_long_soft_chain_is_not_taken_for_a_mechanism(count: int) -> None:
    """The softest that a rack could be, by far: hundreds of members one after the other, held at one end."""
    model = with_(beam(count), {"0": FIXED}, [NodeLoad(str(count), (0.0, 0.0, -1.0))])
    found = solve(model)
    length = 500.0 * count
    book = length**3 / (3 * STEEL.e * TUBE.iy)
    assert -moved(found, str(count))[2] == pytest.approx(book, rel=1e-4)


def test_not_even_the_longest_chain_is_taken_for_a_mechanism() -> None:
    mechanism.refuse(with_(beam(1500), {"0": FIXED}))


def test_a_long_chain_that_is_loose_is_found_out() -> None:
    spun = freed(freed(with_(beam(400), {"0": FIXED, "400": FIXED}), "m200", free_b=("rx",)), "m201", free_a=("rx",))
    assert "part m200, part m201: free hinge" in refused(spun)
    told = refused(freed(freed(with_(beam(400), {"0": FIXED}), "m200", free_b=("rx",)), "m201", free_a=("rx",)))
    assert "ways" in told
    assert told.startswith("part m200, part m201")


def test_stiff_arms_do_not_hide_or_feign_a_mechanism() -> None:
    stiff = Properties(*(1e6 * v for v in (TUBE.area, TUBE.iy, TUBE.iz, TUBE.j)))
    model = with_(beam(3), {"0": FIXED}, [NodeLoad("3", (0.0, 0.0, -10.0))])
    arms = replace(model, members=tuple(replace(m, properties=stiff) if m.id == "m1" else m for m in model.members))
    found = solve(arms)
    # The arm turns rigidly: bent over the first 500 and the last 500 alone.
    ei = STEEL.e * TUBE.iy
    book = 10.0 * (1500.0**3 - 1000.0**3 + 500.0**3) / (3 * ei)
    assert -moved(found, "3")[2] == pytest.approx(book, rel=2e-6)
    loose = freed(freed(arms, "m1", free_b=("ry",)), "m2", free_a=("ry",))
    assert "part m2" in refused(loose)


def test_stiffnesses_too_far_apart_are_refused_and_not_reckoned() -> None:
    stiff = Properties(*(1e14 * v for v in (TUBE.area, TUBE.iy, TUBE.iz, TUBE.j)))
    model = with_(beam(3), {"0": FIXED}, [NodeLoad("3", (0.0, 0.0, -10.0))])
    arms = replace(model, members=tuple(replace(m, properties=stiff) if m.id == "m1" else m for m in model.members))
    assert "less stiff" in refused(arms)


# ---- what is wrong in itself -----------------------------------------------------------------------------------------


def sound() -> FrameModel:
    model = with_(beam(), {"0": FIXED}, [NodeLoad("2", (0.0, 0.0, -1.0)), LineLoad("m0", (0.0, 0.0, -1.0))])
    return replace(model, lumps=(Lump("1", 1.0),), cases=(Case("c", "", (("a0", 1.0),), (), "moving", ""),))


def member(model: FrameModel, **changes: object) -> FrameModel:
    return replace(model, members=(replace(model.members[0], **changes), *model.members[1:]))  # type: ignore[arg-type]


def force(*loads: NodeLoad | LineLoad) -> FrameModel:
    return with_(beam(), {"0": FIXED}, loads)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: FrameModel((), (), ()), "the frame has no members"),
        (lambda: member(sound(), id="m1"), "member m1: 2 have this name"),
        (lambda: member(sound(), a="9"), r"m0\): ends at node 9, which is not in the frame"),
        (lambda: replace(sound(), nodes=(*sound().nodes, Node("x", (0, 0, 9)))), "node x at .*: no part ends there"),
        (lambda: replace(sound(), nodes=(Node("0", (math.nan, 0, 0)), *sound().nodes[1:])), "node 0: its place"),
        (lambda: replace(sound(), nodes=(Node("0", (500, 0, 0)), *sound().nodes[1:])), "both its ends are at"),
        (lambda: member(sound(), up=(1.0, 0.0, 0.0)), "its direction up, .*, lies along it"),
        (lambda: member(sound(), up=(0.0, 0.0, 0.0)), "its direction up"),
        (lambda: member(sound(), properties=Properties(1.0, 0.0, 1.0, 1.0)), "its iy is 0.0; it must be more than 0"),
        (lambda: member(sound(), properties=Properties(-1.0, 1.0, 1.0, 1.0)), "its area is -1.0"),
        (lambda: member(sound(), elastic=Elastic(math.nan, 1.0)), "its E is nan"),
        (lambda: member(sound(), elastic=Elastic(1.0, math.inf)), "its G is inf"),
        (lambda: replace(sound(), supports=(Support("9", FIXED),)), "node 9 is not in the frame"),
        (lambda: replace(sound(), supports=(Support("0", (-1.0, *FIXED[1:])),)), "must be 0 or more each"),
        (lambda: replace(sound(), supports=(Support("0", (math.nan, *FIXED[1:]), mount="rear left"),)), "rear left"),
        (lambda: replace(sound(), supports=(Support("0", FIXED, (0, 0, 2.0)),)), "two different directions"),
        (lambda: replace(sound(), lumps=(Lump("1", -1.0),)), "the mass at node 1 is -1.0 kg"),
        (lambda: replace(sound(), lumps=(Lump("1", math.nan),)), "the mass at node 1 is nan kg"),
        (lambda: replace(sound(), lumps=(Lump("9", 1.0),)), "node 9 is not in the frame"),
        (lambda: force(NodeLoad("9", (0, 0, 1.0))), "loads node 9, which is not"),
        (lambda: force(LineLoad("9", (0, 0, 1.0))), "loads member 9, which is not"),
        (lambda: force(NodeLoad("1", (0, 0, math.nan))), r"a force of \(0, 0, nan\) N on 1"),
        (lambda: force(NodeLoad("1", (0, 0, -1e9))), "a force of .* on 1; it must be a number up to 1e\\+07"),
        (lambda: force(NodeLoad("1", (0, 0, 0), (math.inf, 0, 0))), "a moment of"),
        (lambda: force(LineLoad("m1", (0, 0, -1e9))), "a line load of .* on m1"),
        (lambda: replace(sound(), actions=(Action("a0", ""), Action("a0", ""))), "action a0: 2 have this name"),
        (lambda: replace(sound(), cases=(Case("c", "", (("z", 1.0),), (), "moving", ""),)), "action z is not"),
        (lambda: replace(sound(), cases=(Case("c", "", (), (("a0", math.nan),), "moving", ""),)), "a0 is nan"),
    ],
)
def test_what_is_wrong_is_told(wrong: Callable[[], FrameModel], told: str) -> None:
    solve(sound())
    assert re.search(told, refused(wrong()))


def test_every_mistake_is_told_at_once() -> None:
    model = member(sound(), elastic=Elastic(0.0, -1.0))
    model = replace(model, lumps=(Lump("1", -1.0),))
    with pytest.raises(FrameError) as found:
        faults.refuse(model)
    assert len(found.value.reasons) == 3


@pytest.mark.parametrize("payload", [-1.0, math.nan, math.inf, 1e9])
def test_an_absurd_payload(payload: float) -> None:
    with pytest.raises(FrameError, match="payload"):
        solve(sound()).loaded(payload)


def test_cases_are_put_together_from_actions_and_payload() -> None:
    model = with_(beam(), {"0": FIXED}, [NodeLoad("2", (0.0, 0.0, -10.0))], [NodeLoad("2", (0.0, 1.0, 0.0))])
    cases = (
        Case("own", "", (("a0", 2.0),), (), "event", ""),
        Case("both", "", (("a0", 1.0), ("a0", 0.5)), (("a1", 3.0),), "moving", ""),
    )
    found = solve(replace(model, cases=cases)).loaded(100.0)
    assert found.payload == 100.0
    assert found.supports[0, 1:3, 0] == pytest.approx([0.0, 20.0], abs=1e-9)
    assert found.supports[0, 1:3, 1] == pytest.approx([-300.0, 15.0])
    assert found.ends.shape == (2, 2, 6, 2)
    assert found.moved.shape == (3, 6, 2)


def test_rigid_supports_on_one_node_share_alike() -> None:
    model = with_(beam(), {"0": FIXED}, [NodeLoad("2", (0.0, 0.0, -10.0))])
    twice = replace(model, supports=(*model.supports, Support("0", (0.0, 0.0, INF, 0.0, 0.0, 0.0))))
    assert solve(twice).supports[:, 2, 0] == pytest.approx([5.0, 5.0])


def test_a_model_without_actions_has_an_empty_answer() -> None:
    found = solve(with_(beam(), {"0": FIXED}))
    assert found.ends.shape == (2, 2, 6, 0)
