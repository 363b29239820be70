"""Loads on toy frames: the worked values of the regulations and of hand statics, and where each load comes on."""

import math
from dataclasses import replace

import numpy as np
import pytest
from toy_floors import PER_MM, basket, named, total, two_rows

from rackgen.errors import RackgenError
from rackgen.spec.load import ACTIONS, LoadWish
from rackgen.strength.actions import actions
from rackgen.strength.air import outside_diameter, pressure, tube_drag
from rackgen.strength.load_nodes import split_for_load
from rackgen.strength.model import GRAVITY, Deck, FrameModel, NodeLoad, Places, Properties


def test_every_action_has_its_words_and_there_are_not_many() -> None:
    found = actions(basket(), LoadWish())
    assert [a.id for a in found if not a.id.startswith("tie-")] == [id for id in ACTIONS if id != "person-ladder"]
    assert [a.id for a in found if a.id.startswith("tie-")] == ["tie-ul0", "tie-ur0", "tie-ur3", "tie-ul3"]
    assert all(a.text and (a.nodes or a.lines) for a in found)
    assert len({a.id for a in found}) == len(found) < 60


@pytest.mark.parametrize(
    ("kmh", "pa"),
    # 0.5 x 1.225 kg/m3 x v2, computed; 70 mph is 12.53 psf in the rule psf = 0.00256 V2 (from memory).
    [(80, 302.5), (100, 472.6), (110, 571.9), (120, 680.6), (130, 798.7), (60 * 1.609344, 440.7),
     (65 * 1.609344, 517.2), (70 * 1.609344, 599.8), (75 * 1.609344, 688.5), (80 * 1.609344, 783.4)],
)  # fmt: skip
def test_pressure_of_a_speed(kmh: float, pa: float) -> None:
    assert pressure(kmh) == pytest.approx(pa, abs=0.05)


def test_drag_of_a_tube_and_of_a_plate() -> None:
    # 48.3 mm tube across 130 km/h: 46.3 N/m; plate of 0.36 m2, Cd 1.2: 345 N (computed from q C A).
    assert tube_drag(48.3) * pressure(130) * 1000 == pytest.approx(46.3, abs=0.05)
    wish = LoadWish(load_width=900, load_height=400, load_length=1000)
    found = actions(two_rows(), wish)
    force, moment = total(two_rows(), named(found, "wind-load"), (600.0, 0.0, 0.0))
    assert force * pressure(130) == pytest.approx([345.0, 0.0, 0.0], abs=0.05)
    # At half the load's height over the floor; a head wind tips the load rearward, so its moment about Y is positive.
    assert moment == pytest.approx([0.0, 200.0 * force[0], 0.0])
    assert total(two_rows(), named(found, "lift-load"))[0] == pytest.approx([0.0, 0.0, 1.0 * 1.0 * 0.9])


def test_a_tubes_diameter_out_of_its_section() -> None:
    od, wall = 48.3, 3.2
    inside = od - 2 * wall
    area, i = math.pi / 4 * (od**2 - inside**2), math.pi / 64 * (od**4 - inside**4)
    assert outside_diameter(Properties(area, i, i, 2 * i)) == pytest.approx(od)


def test_wind_presses_on_tubes_across_and_spares_those_along() -> None:
    model = basket(skew=0.0)
    found = named(actions(model, LoadWish()), "wind-tubes")
    assert {"row#0", "bar0", "post.l0"} <= {line.member for line in found.lines}
    drag = {line.member: np.array(line.force) for line in found.lines}
    od = outside_diameter(model.members[0].properties)
    assert drag["bar0"] == pytest.approx([1.2 * od * 1e-6, 0.0, 0.0])
    # The ring's sides run fore and aft.
    assert "ring#1" not in drag
    assert "ring#3" not in drag


def test_wind_on_a_tube_aslant_is_what_is_square_to_it() -> None:
    model = two_rows()
    slant = replace(model, nodes=(replace(model.nodes[0], at=(-1000.0, -500.0, 0.0)), *model.nodes[1:]))
    line = next(w for w in named(actions(slant, LoadWish()), "wind-tubes").lines if w.member == "front")
    od = outside_diameter(slant.members[0].properties)
    # 45 degrees: speed square to the tube is cos 45, its pressure half; the force is square to the tube.
    assert np.linalg.norm(line.force) == pytest.approx(1.2 * od * 1e-6 / 2)
    assert line.force[0] == pytest.approx(-line.force[1])


@pytest.mark.parametrize(
    ("id", "g", "newtons"),
    # 49 CFR 393.102(a) on 125 kg (regulation's text; newtons computed with 9.80665 m/s2).
    [("payload-forward", 0.8, 980.7), ("payload-sideways", 0.5, 612.9), ("payload-forward", 0.435, 533.2),
     ("payload-sideways", 0.25, 306.5), ("payload-even", 0.2, 245.2)],
)  # fmt: skip
def test_forces_of_the_regulation(id: str, g: float, newtons: float) -> None:
    force, _ = total(two_rows(), named(actions(two_rows(), LoadWish()), id))
    assert np.linalg.norm(force) * g * 125 == pytest.approx(newtons, abs=0.05)


def test_braking_presses_286_newtons_on_the_front_row_and_lifts_the_rear_row_by_them() -> None:
    # Hand statics: 0.8 x 1225.83 N x 0.35 m / 1.2 m = 286.0 N on each row of feet.
    model = two_rows()
    thrown = named(actions(model, LoadWish(centre_height=350.0)), "payload-forward")
    rows = {id: np.zeros(3) for id in ("front", "rear")}
    for line in thrown.lines:
        rows[line.member] += np.array(line.force) * 1000.0 * 0.8 * 125
    assert rows["front"] == pytest.approx([-490.33, 0.0, -286.03], abs=0.01)
    assert rows["rear"] == pytest.approx([-490.33, 0.0, 286.03], abs=0.01)
    assert thrown.nodes == ()


def test_cornering_presses_the_outer_feet_by_hand_statics() -> None:
    # 0.5 x 1225.83 N x 0.35 m / 1.0 m = 214.5 N in all, about the frame's middle line.
    model = two_rows()
    thrown = named(actions(model, LoadWish(centre_height=350.0)), "payload-sideways")
    force, moment = total(model, thrown, (600.0, 0.0, 0.0))
    assert force * 0.5 * 125 == pytest.approx([0.0, 612.92, 0.0], abs=0.01)
    assert moment * 0.5 * 125 / 1000.0 == pytest.approx([-214.52, 0.0, 0.0], abs=0.01)
    ends = {"left": 0.0, "right": 0.0}
    for load in thrown.nodes:
        ends[load.node.split(".")[1]] += load.force[2] * 0.5 * 125
    assert ends == pytest.approx({"left": 214.52, "right": -214.52}, abs=0.01)


def test_own_weight_is_that_of_members_and_lumps() -> None:
    model = basket()
    at = {n.id: np.array(n.at) for n in model.nodes}
    mass = sum(PER_MM * float(np.linalg.norm(at[m.b] - at[m.a])) for m in model.members) + 0.7
    found = actions(model, LoadWish())
    assert total(model, named(found, "own-down"))[0] == pytest.approx([0.0, 0.0, -mass * GRAVITY])
    assert total(model, named(found, "own-forward"))[0] == pytest.approx([-mass * GRAVITY, 0.0, 0.0])
    assert total(model, named(found, "own-sideways"))[0] == pytest.approx([0.0, mass * GRAVITY, 0.0])


def test_one_side_of_a_bearer_that_spans_both_loads_that_side() -> None:
    model = two_rows()
    left = named(actions(model, LoadWish()), "payload-left-half")
    force, moment = total(model, left, (600.0, -250.0, 0.0))
    assert force == pytest.approx([0.0, 0.0, -GRAVITY])
    assert moment == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


def test_a_bearer_between_the_halves_counts_half_in_each() -> None:
    model = basket((-400.0, 0.0, 400.0), (100.0, 300.0, 100.0))
    found = actions(model, LoadWish())
    front = {line.member: line.force[2] for line in named(found, "payload-front-half").lines}
    assert set(front) == {"row#0", "row#1"}
    assert front["row#1"] == pytest.approx(1.5 * front["row#0"])


def test_a_person_and_a_long_item_stand_on_nodes_that_are_made_for_them() -> None:
    model = split_for_load(basket((-400.0, 0.0, 400.0), (100.0, 300.0, 100.0)))
    found = actions(model, LoadWish())
    assert named(found, "person-middle").nodes == (NodeLoad("row#1.middle", (0.0, 0.0, -1000.0)),)
    half = (0.0, 0.0, -GRAVITY / 2)
    assert named(found, "payload-long-item").nodes == (NodeLoad("bar0.middle", half), NodeLoad("bar1.middle", half))
    assert not named(found, "payload-long-item").lines


def test_without_such_nodes_they_spread_along_the_member_they_stand_on() -> None:
    found = actions(basket((-400.0, 0.0, 400.0), (100.0, 300.0, 100.0)), LoadWish())
    assert [line.member for line in named(found, "person-middle").lines] == ["row#1"]
    assert [line.member for line in named(found, "payload-long-item").lines] == ["bar0", "bar1"]


def test_people_stand_at_the_corners_and_pull_outward() -> None:
    found = actions(basket(), LoadWish())
    nodes = {"front-left": "ul0", "front-right": "ur0", "rear-left": "ul3", "rear-right": "ur3"}
    for corner, node in nodes.items():
        assert named(found, f"person-on-{corner}").nodes == (NodeLoad(node, (0.0, 0.0, -1000.0)),)
        (pull,) = named(found, f"person-pulls-{corner}").nodes
        outward = -1.0 if "left" in corner else 1.0
        assert pull.node == node
        assert pull.force == pytest.approx((0.0, outward * 1000 / math.sqrt(2), -1000 / math.sqrt(2)))


def test_straps_pull_up_and_inward() -> None:
    model = basket()
    for name, node in model.places.ties:
        (pull,) = named(actions(model, LoadWish()), f"tie-{name}").nodes
        at = next(n.at for n in model.nodes if n.id == node)
        assert np.linalg.norm(pull.force) == pytest.approx(1000.0)
        assert pull.force[2] == pytest.approx(1000.0 / math.sqrt(2))
        # The toy's ring lies about x 0, y 15.
        assert pull.force[0] * at[0] < 0
        assert pull.force[1] * (at[1] - 15.0) < 0


def test_a_rack_without_floor_is_loaded_on_its_bars_and_one_without_either_is_refused() -> None:
    model = basket()
    bare = replace(model, places=Places((), model.places.bars))
    found = actions(bare, LoadWish())
    assert {line.member for line in named(found, "payload-even").lines} == {"bar0", "bar1"}
    assert not [a for a in found if a.id.startswith("tie") or a.id == "straps"]
    with pytest.raises(RackgenError, match="neither a floor nor cross bars"):
        actions(replace(model, places=Places()), LoadWish())


def test_a_floor_of_one_tube_cannot_keep_its_load_from_turning_over() -> None:
    model = two_rows()
    single = FrameModel(model.nodes, model.members, model.supports, places=Places((Deck("front", 100.0),)))
    with pytest.raises(RackgenError, match="too narrow"):
        actions(single, LoadWish())
