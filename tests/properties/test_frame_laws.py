"""What holds for every frame, whatever it looks like."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from rackgen.geom.frame import Array, Frame, Vec, turn, vec
from rackgen.strength.model import Action, Case, FrameModel, LineLoad, NodeLoad, axes
from rackgen.strength.pieces import pieces
from rackgen.strength.solve import Answer, solve
from tests.strategies import frames, reals

CLOSE = 1e-7
turns = st.builds(
    lambda a, b, c: turn((0, 0, 1), a).then(turn((0, 1, 0), b)).then(turn((1, 0, 0), c)),
    reals(-180.0, 180.0), reals(-180.0, 180.0), reals(-180.0, 180.0),
)  # fmt: skip


TRIFLE = 1e-7
"""Newtons that are nothing, where loads of up to 1000 N go straight into a support and members carry none."""

ARM = 400.0
"""How long members are, about, mm: a pure moment leaves forces that are only rounding, and the other way about."""


def same(one: Array, other: Array, arm: float = ARM) -> None:
    """Hold arrays of six rows to each other: forces by the largest force, or moment by its arm; moments likewise."""
    force, moment = (np.abs(other[..., rows, :]).max(initial=0.0) for rows in (slice(0, 3), slice(3, 6)))
    force = max(force, moment / arm)
    for rows, size in ((slice(0, 3), force), (slice(3, 6), force * arm)):
        assert np.abs(one[..., rows, :] - other[..., rows, :]).max(initial=0.0) <= CLOSE * size + TRIFLE * max(arm, 1.0)


def same_ways(one: Array, other: Array) -> None:
    """The same of movements, where a turn is a way over an arm."""
    same(one * 1e6, other * 1e6, 1.0 / ARM)


def total_load(model: FrameModel, action: Action) -> Array:
    """Force and moment about the origin of all that an action puts on."""
    at = {n.id: np.array(n.at) for n in model.nodes}
    ends = {m.id: (at[m.a], at[m.b]) for m in model.members}
    out = np.zeros(6)
    for load in action.nodes:
        out[:3] += load.force
        out[3:] += np.cross(at[load.node], load.force) + load.moment
    for load in action.lines:
        a, b = ends[load.member]
        force = np.multiply(load.force, np.linalg.norm(b - a))
        out[:3] += force
        out[3:] += np.cross((a + b) / 2, force)
    return out


@given(frames())
def test_the_whole_is_at_rest(model: FrameModel) -> None:
    found = solve(model)
    at = {n.id: np.array(n.at) for n in model.nodes}
    for n, action in enumerate(model.actions):
        load = total_load(model, action)
        given_back = np.zeros(6)
        for support, reaction in zip(model.supports, found.supports[:, :, n], strict=True):
            z = np.array(support.z) / np.linalg.norm(support.z)
            y = np.cross(z, support.x) / np.linalg.norm(np.cross(z, support.x))
            rows = np.array([np.cross(y, z), y, z])
            force, moment = rows.T @ reaction[:3], rows.T @ reaction[3:]
            given_back[:3] += force
            given_back[3:] += moment + np.cross(at[support.node], force)
        one, other = load[:, None], -given_back[:, None]
        reactions = np.abs(found.supports[:, :, n]).max(axis=0, initial=0.0)
        # Reactions may be far larger than what they come to.
        whole = max(
            reactions[:3].max(), reactions[3:].max() / ARM, np.abs(load[:3]).max(), np.abs(load[3:]).max() / ARM
        )
        assert np.abs(one - other)[:3].max() <= CLOSE * whole + TRIFLE
        assert np.abs(one - other)[3:].max() <= CLOSE * whole * 1000.0 + TRIFLE * ARM


@given(frames())
def test_every_member_is_at_rest(model: FrameModel) -> None:
    found = solve(model)
    at = {n.id: np.array(n.at) for n in model.nodes}
    for m, member in enumerate(model.members):
        length = float(np.linalg.norm(at[member.b] - at[member.a]))
        rows = axes(vec(at[member.a]), vec(at[member.b]), member.up)
        for n, action in enumerate(model.actions):
            line = sum((np.array(load.force) for load in action.lines if load.member == member.id), np.zeros(3))
            q = rows @ line
            a, b = found.ends[m, 0, :, n], found.ends[m, 1, :, n]
            ends = np.abs(found.ends[..., n])
            scale = max(ends[:, :, :3].max(), ends[:, :, 3:].max() / ARM) + TRIFLE / CLOSE
            assert np.abs(a[:3] + b[:3] + q * length).max() <= CLOSE * scale
            x = np.array([length, 0.0, 0.0])
            turning = a[3:] + b[3:] + np.cross(x, b[:3]) + np.cross(x / 2, q * length)
            assert np.abs(turning).max() <= CLOSE * scale * 1000.0
        free = [*member.free_a, *member.free_b]
        held = pieces(model).stiff[m]
        assert not free or (np.abs(held).sum(axis=1) == 0.0).sum() >= len(free)


@given(frames(), reals(-3.0, 3.0), reals(-3.0, 3.0))
def test_loads_add_up(model: FrameModel, one: float, other: float) -> None:
    first, last = model.actions[0], model.actions[-1]
    both = Action(
        "both", "",
        tuple(
            NodeLoad(x.node, vec(np.multiply(x.force, k)), vec(np.multiply(x.moment, k)))
            for action, k in ((first, one), (last, other)) for x in action.nodes
        ),
        tuple(
            LineLoad(x.member, vec(np.multiply(x.force, k)))
            for action, k in ((first, one), (last, other)) for x in action.lines
        ),
    )  # fmt: skip
    cases = (Case("c", "c", ((first.id, one), (last.id, other)), (), "moving", ""),)
    found = solve(replace(model, actions=(*model.actions, both), cases=cases))
    loaded = found.loaded(100.0)
    # Held to what the parts are, for they may cancel.
    size = (abs(one) + abs(other)) * np.abs(found.ends[..., :-1]).max() + 100.0
    assert np.abs(loaded.ends[..., 0] - found.ends[..., -1]).max() <= 1e-9 * size
    size = (abs(one) + abs(other)) * np.abs(found.moved[..., :-1]).max() + 1e-6
    assert np.abs(loaded.moved[..., 0] - found.moved[..., -1]).max() <= 1e-9 * size


@given(frames(), st.data())
def test_maxwells_two_movements_are_the_same(model: FrameModel, data: st.DataObject) -> None:
    """The way of A along i by a force on B along j is that of B along j by the same force on A along i."""
    ids = [n.id for n in model.nodes]
    one, other = (data.draw(st.tuples(st.sampled_from(ids), st.integers(0, 5))) for _ in range(2))
    found = solve(replace(model, actions=(_unit("one", *one), _unit("other", *other)), cases=()))
    here = found.moved[ids.index(one[0]), one[1], 1]
    there = found.moved[ids.index(other[0]), other[1], 0]
    own = np.sqrt(abs(found.moved[ids.index(one[0]), one[1], 0] * found.moved[ids.index(other[0]), other[1], 1]))
    assert abs(here - there) <= 1e-8 * own + 1e-18
    # What is loaded gives way to the load, never against it.
    assert found.moved[ids.index(one[0]), one[1], 0] >= 0.0


def _unit(name: str, node: str, freedom: int) -> Action:
    six = [0.0] * 6
    six[freedom] = 1.0
    return Action(name, name, (NodeLoad(node, vec(six[:3]), vec(six[3:])),))


def placed(model: FrameModel, where: Frame, mirror: bool = False) -> FrameModel:
    """The whole frame, supports and loads somewhere else; or in the mirror Y -> -Y first."""
    flip = np.array([1.0, -1.0, 1.0]) if mirror else np.ones(3)

    def point(v: Vec) -> Vec:
        return where.point(np.multiply(v, flip))

    def way(v: Vec) -> Vec:
        return vec(where.direction(np.multiply(v, flip)))

    def turning(v: Vec) -> Vec:
        return vec(where.direction(np.multiply(v, flip) * (-1.0 if mirror else 1.0)))

    return replace(
        model,
        nodes=tuple(replace(n, at=point(n.at)) for n in model.nodes),
        members=tuple(replace(m, up=way(m.up)) for m in model.members),
        supports=tuple(replace(s, x=way(s.x), z=way(s.z)) for s in model.supports),
        actions=tuple(
            replace(
                a,
                nodes=tuple(replace(x, force=way(x.force), moment=turning(x.moment)) for x in a.nodes),
                lines=tuple(replace(x, force=way(x.force)) for x in a.lines),
            )
            for a in model.actions
        ),
    )


@given(frames(), turns, st.tuples(reals(-500.0, 500.0), reals(-500.0, 500.0), reals(-500.0, 500.0)))
def test_the_whole_frame_turned_has_the_same_forces(model: FrameModel, how: Frame, shift: Vec) -> None:
    where = replace(how, origin=shift)
    first, second = solve(model), solve(placed(model, where))
    same(second.ends, first.ends)
    same(second.supports, first.supports)
    turned = np.kron(np.eye(2), where.rotation()) @ first.moved
    same_ways(second.moved, turned)


# In a mirror y = z x x changes its side: what is along y, and turns about x and z, change sign.
MIRRORED = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])


@given(frames())
def test_a_mirrored_frame_has_mirrored_forces(model: FrameModel) -> None:
    first, second = solve(model), solve(placed(model, Frame(), mirror=True))
    same(second.ends, MIRRORED[:, None] * first.ends)
    same(second.supports, MIRRORED[:, None] * first.supports)
    same_ways(second.moved, MIRRORED[:, None] * first.moved)


@given(frames())
def test_a_frame_carried_rigidly_is_not_strained(model: FrameModel) -> None:
    """Any small shift and turn of the whole leaves no force in any member."""
    members = pieces(model)
    shift, angle = np.array([3.0, -2.0, 1.0]), np.array([0.02, -0.01, 0.03])
    ways = np.concatenate([shift + np.cross(angle, members.at), np.tile(angle, (len(members.at), 1))], axis=1)
    local = members.turns @ ways[members.ends].reshape(-1, 12, 1)
    strained = members.stiff @ local
    # By what the member would give if its ends held all: a member that is free throughout has only last bits left.
    whole = pieces(replace(model, members=tuple(replace(m, free_a=(), free_b=()) for m in model.members))).stiff
    assert np.abs(strained).max() <= 1e-12 * np.abs(whole).max() * np.abs(local).max()


@given(frames())
def test_the_same_model_has_the_same_answer_to_the_last_bit(model: FrameModel) -> None:
    def bits(found: Answer) -> bytes:
        return found.ends.tobytes() + found.supports.tobytes() + found.moved.tobytes()

    assert bits(solve(model)) == bits(solve(model))
