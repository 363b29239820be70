"""Laws of loads on any floor: what acts comes to what its words say, at the place they say, to the last newton."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from toy_floors import basket, named, total

from rackgen.geom.frame import Array
from rackgen.spec.load import LoadWish
from rackgen.strength.actions import actions
from rackgen.strength.load_nodes import split_for_load
from rackgen.strength.model import GRAVITY, FrameModel


@st.composite
def floors(draw: st.DrawFn) -> FrameModel:
    """Give a basket of two to seven rows, aslant and of any widths, split for load or not."""
    gaps = draw(st.lists(st.floats(80, 400), min_size=1, max_size=6))
    rows = np.cumsum([draw(st.floats(-800, 800)), *gaps])
    widths = draw(st.lists(st.floats(20, 400), min_size=len(rows), max_size=len(rows)))
    skew = draw(st.sampled_from([0.0, 12.0]))
    made = basket(tuple(map(float, rows)), tuple(widths), draw(st.floats(200, 800)), skew, draw(st.floats(0, 60)))
    return split_for_load(made) if draw(st.booleans()) else made


wishes = st.builds(
    LoadWish,
    centre_height=st.floats(0, 900),
    load_width=st.none() | st.floats(100, 2000),
    load_height=st.none() | st.floats(900, 2000),
    load_length=st.none() | st.floats(100, 2000),
)


def points(model: FrameModel) -> tuple[Array, Array]:
    """Return many points of the floor's members, and how much of the floor each stands for: the other road."""
    at = {n.id: np.array(n.at) for n in model.nodes}
    members = {m.id: m for m in model.members}
    share = (np.arange(4000) + 0.5) / 4000
    found: list[Array] = []
    weights: list[Array] = []
    for deck in model.places.floor:
        a, b = at[members[deck.member].a], at[members[deck.member].b]
        found.append(a + share[:, None] * (b - a))
        weights.append(np.full(len(share), deck.width * float(np.linalg.norm(b - a)) / len(share)))
    return np.concatenate(found), np.concatenate(weights)


@given(floors(), wishes)
def test_every_action_comes_to_what_it_says(model: FrameModel, wish: LoadWish) -> None:
    found = actions(model, wish)
    at, weight = points(model)
    centre = (weight[:, None] * at).sum(axis=0) / weight.sum()
    height = model.places.top + (wish.centre_height or 0.0)
    for id, force, place in (
        ("payload-even", (0.0, 0.0, -GRAVITY), centre),
        ("payload-forward", (-GRAVITY, 0.0, 0.0), (centre[0], centre[1], height)),
        ("payload-sideways", (0.0, GRAVITY, 0.0), (centre[0], centre[1], height)),
    ):
        got, moment = total(model, named(found, id), tuple(place))
        assert got == pytest.approx(force, abs=1e-9), id
        assert moment == pytest.approx([0.0, 0.0, 0.0], abs=1e-5), id
    for id, axis, sign in (("front", 0, 1), ("rear", 0, -1), ("left", 1, 1), ("right", 1, -1)):
        inside = sign * (at[:, axis] - _middle(model)[axis]) < 0
        middle = (weight[inside, None] * at[inside]).sum(axis=0) / weight[inside].sum()
        got, moment = total(model, named(found, f"payload-{id}-half"), tuple(middle))
        assert got == pytest.approx([0.0, 0.0, -GRAVITY], abs=1e-9), id
        # The other road's points are a quarter of a millimetre apart; they cannot tell a row that lies on the edge.
        if axis == 1 or not np.any(np.abs(at[:, axis] - _middle(model)[axis]) < 1.0):
            assert moment == pytest.approx([0.0, 0.0, 0.0], abs=GRAVITY * 1.0), id
    force, moment = total(model, named(found, "straps"))
    assert force == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert moment == pytest.approx([0.0, 0.0, 0.0], abs=1e-3)
    for action in found:
        if action.id.startswith(("person-", "tie-")):
            assert np.linalg.norm(total(model, action)[0]) == pytest.approx(1000.0), action.id
    assert total(model, named(found, "payload-long-item"), (40.0, 0.0, 0.0))[1] == pytest.approx([0, 0, 0], abs=1e-6)
    force, moment = total(model, named(found, "wind-load"), (*centre[:2], model.places.top))
    tall = wish.load_height or 2 * (wish.centre_height or 0.0)
    wide = wish.load_width or float(np.ptp([n.at[1] for n in model.nodes if n.id[0] in "lr"]))
    assert force == pytest.approx([1.2e-6 * tall * wide, 0.0, 0.0], rel=1e-9, abs=1e-9)
    assert moment == pytest.approx([0.0, force[0] * tall / 2, 0.0], rel=1e-6, abs=1e-6)


def _middle(model: FrameModel) -> Array:
    members = {m.id: m for m in model.members}
    at = {n.id: np.array(n.at) for n in model.nodes}
    ends = np.array([at[e] for d in model.places.floor for e in (members[d.member].a, members[d.member].b)])
    return (ends.min(axis=0) + ends.max(axis=0)) / 2


@given(floors(), wishes, st.floats(0.1, 10))
def test_loads_are_linear(model: FrameModel, wish: LoadWish, times: float) -> None:
    """Twice the mass weighs twice; widths count against each other only; a higher centre turns over by as much."""
    one = actions(model, wish)
    heavy = replace(
        model,
        members=tuple(replace(m, mass_per_mm=m.mass_per_mm * times) for m in model.members),
        lumps=tuple(replace(lump, mass=lump.mass * times) for lump in model.lumps),
        places=replace(model.places, floor=tuple(replace(d, width=d.width * times) for d in model.places.floor)),
    )
    for before, after in zip(one, actions(heavy, wish), strict=True):
        by = times if before.id.startswith("own-") else 1.0
        for a, b in zip(total(model, before), total(model, after), strict=True):
            assert b == pytest.approx(by * a, rel=1e-9, abs=1e-6), before.id
    higher = replace(wish, centre_height=(wish.centre_height or 0.0) + 100.0)
    _, low = total(model, named(one, "payload-forward"))
    _, high = total(model, named(actions(model, higher), "payload-forward"))
    assert high - low == pytest.approx([0.0, -100.0 * GRAVITY, 0.0], abs=1e-5)


@given(floors())
def test_both_halves_together_are_the_whole(model: FrameModel) -> None:
    found = actions(model, LoadWish())
    at, weight = points(model)
    for one, other, axis in (("front", "rear", 0), ("left", "right", 1)):
        share = float(weight[at[:, axis] < _middle(model)[axis]].sum() / weight.sum())
        _, whole = total(model, named(found, "payload-even"))
        first, second = (total(model, named(found, f"payload-{h}-half"))[1] for h in (one, other))
        edge = np.abs(at[:, axis] - _middle(model)[axis]) < 1.0
        if axis == 1 or not edge.any():
            assert share * first + (1 - share) * second == pytest.approx(whole, abs=GRAVITY * 1.0)


@given(floors())
def test_nodes_for_load_change_neither_mass_nor_what_the_floor_is(model: FrameModel) -> None:
    split = split_for_load(model)
    for id in ("own-down", "payload-even", "payload-left-half", "payload-forward", "payload-long-item"):
        before, after = (total(m, named(actions(m, LoadWish()), id)) for m in (model, split))
        assert after[0] == pytest.approx(before[0], abs=1e-9)
        assert after[1] == pytest.approx(before[1], abs=1e-5)
    assert split_for_load(split) == split
