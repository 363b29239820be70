"""Load cases: what acts together, how much of it, from where, and what the user changes of it."""

from dataclasses import replace

import numpy as np
import pytest
from toy_floors import basket, total, two_rows

from rackgen.errors import RackgenError
from rackgen.spec.load import STANDARD, LoadCase, LoadWish, within
from rackgen.strength.actions import actions
from rackgen.strength.air import pressure
from rackgen.strength.cases import air_speed, cases, tie_words
from rackgen.strength.model import GRAVITY, Case, FrameModel, Places


def by_id(wish: LoadWish, model: FrameModel | None = None) -> dict[str, Case]:
    return {case.id: case for case in cases(wish, model or basket())}


def force(model: FrameModel, case: Case, wish: LoadWish, payload: float) -> np.ndarray:
    """Return the sum of all forces of a case."""
    acts = {a.id: total(model, a)[0] for a in actions(model, wish)}
    out = sum((f * acts[id] for id, f in case.always), np.zeros(3))
    return out + payload * sum((f * acts[id] for id, f in case.per_kg), np.zeros(3))


def test_every_case_is_sound_and_there_are_not_many() -> None:
    model = basket()
    eight = replace(model, places=replace(model.places, ties=tuple((f"p{k}", f"ul{0}") for k in range(8))))
    found = cases(LoadWish(), eight)
    acts = {a.id for a in actions(eight, LoadWish())}
    assert len(found) == len({c.id for c in found}) < 40
    for case in found:
        assert case.title
        assert case.source
        assert {id for id, _ in (*case.always, *case.per_kg)} <= acts
        assert all(factor for _, factor in (*case.always, *case.per_kg))
        assert (case.per_kg == ()) == (case.state == "event")
        assert case.id.startswith("tie-") or STANDARD[case.id] == case.state
        assert all(id.startswith("payload-") for id, _ in case.per_kg)


def test_with_and_without_rough_track_every_standard_case_is_there() -> None:
    rough, road = by_id(LoadWish()), by_id(LoadWish(rough_track=False))
    assert set(STANDARD) == {id for id in (rough | road) if not id.startswith("tie-")} | {"person-on-ladder"}
    assert not [id for id in road if within(id, "rough")]
    assert [id for id in rough if within(id, "road")] == ["road-even"]


def test_a_person_on_a_ladder_hangs_on_its_clamps_and_is_pulled_aft_by_what_the_feet_press() -> None:
    """1 kN, half a kN a clamp; with 300 from the clamps to the stiles and feet 600 below, 0.5 N aft for 1 N down."""
    model = basket()
    hung = replace(model, places=replace(model.places, hung=(("ul0", 0.5), ("ur0", 0.5))))
    made = {a.id: a for a in actions(hung, LoadWish())}["person-ladder"]
    assert [(n.node, n.force) for n in made.nodes] == [("ul0", (250.0, 0.0, -500.0)), ("ur0", (250.0, 0.0, -500.0))]
    case = by_id(LoadWish(person=90.0), hung)["person-on-ladder"]
    assert case.state == "event"
    assert dict(case.always)["person-ladder"] == pytest.approx(90.0 * 9.80665 / 1000.0)
    own = LoadCase("paint", "Two on it", "moving", (("person-ladder", 2.0),))
    with pytest.raises(RackgenError, match="case paint has person-ladder"):
        cases(LoadWish(cases=(own,)), model)


@pytest.mark.parametrize(
    ("id", "expected"),
    # 49 CFR 393.102(a)(1) (regulation's text) and EN 12195-1 (quoted) on 125 kg: 0.8 g is 980.7 N, 0.5 g is 612.9 N.
    [("brake", (-980.67, 0, -1225.83)), ("accelerate", (612.92, 0, -1225.83)), ("corner-left", (0, -612.92, -1225.83)),
     ("corner-right", (0, 612.92, -1225.83)), ("road-even", (0, 0, -2451.66)), ("rough-even", (0, 0, -3677.49)),
     ("rough-front-half", (0, 0, -3677.49)), ("rough-long-item", (0, 0, -3677.49)),
     ("parked-left-half", (0, 0, -1225.83)), ("rebound", (0, 0, 1225.83))],
)  # fmt: skip
def test_what_125_kg_do_in_each_case(id: str, expected: tuple[float, float, float]) -> None:
    model, wish = basket(), LoadWish()
    weightless = replace(model, members=tuple(replace(m, mass_per_mm=0.0) for m in model.members), lumps=())
    case = by_id(wish, weightless)[id]
    case = replace(case, always=tuple(a for a in case.always if not a[0].startswith("own-")))
    assert force(model, case, wish, 125.0) == pytest.approx(expected, abs=0.01)


def test_the_racks_own_mass_goes_with_its_load() -> None:
    for case in cases(LoadWish(), basket()):
        ways = {"down": "payload-even", "forward": "payload-forward", "sideways": "payload-sideways"}
        own = {id.removeprefix("own-"): f for id, f in case.always if id.startswith("own-")}
        assert "down" in own
        if case.state == "moving" and "long" not in case.id and "half" not in case.id:
            assert dict(case.per_kg) == {ways[way]: f for way, f in own.items()}


def test_each_figure_is_the_users_or_is_named_as_assumed() -> None:
    assumed, own = by_id(LoadWish()), by_id(
        LoadWish(centre_height=300, road=2.5, rough=4, rebound=0.5, speed=100, head_wind=20, load_width=900,
                 load_height=700, load_length=900, long_item=0.5, person=80, strap_pull=150)
    )  # fmt: skip
    says = {"road-even": "2 times", "rough-even": "3 times", "brake": "250 mm", "rebound": "1 g", "wind": "120 km/h",
            "straps": "100 kg", "person-middle": "100 kg", "rough-long-item": "100%"}  # fmt: skip
    for id, words in says.items():
        assert words in assumed[id].assumed, id
        assert words not in own[id].assumed, id
    assert dict(own["rough-even"].always)["own-down"] == 4
    assert dict(own["rough-long-item"].per_kg) == {"payload-long-item": 2.0, "payload-even": 2.0}
    assert dict(own["person-middle"].always)["person-middle"] == pytest.approx(80 * GRAVITY / 1000)
    assert dict(own["tie-ul0"].always)["tie-ul0"] == pytest.approx(150 * GRAVITY / 1000)
    assert own["person-middle"].source == "the rack's file"
    assert "memory" in assumed["wind"].source


def test_wind_is_at_the_speed_of_the_air() -> None:
    wish = LoadWish(speed=100.0, head_wind=8.0, load_width=900, load_height=400)
    assert air_speed(wish) == pytest.approx(108 * 1.2)
    found = by_id(wish)
    q = 1.225 / 2 * (108 * 1.2 / 3.6) ** 2
    assert q == pytest.approx(pressure(108 * 1.2)) == pytest.approx(793.8)
    assert dict(found["wind"].always) == pytest.approx({"own-down": 1.0, "wind-tubes": q, "wind-load": q})
    assert dict(found["lift"].always)["lift-load"] == pytest.approx(q)
    assert dict(found["wind"].per_kg) == {"payload-even": 1.0}


def test_what_was_said_in_miles_and_inches_is_told_without_a_tail_of_figures() -> None:
    found = by_id(LoadWish(speed=70 * 1.609344, head_wind=20 * 1.609344, centre_height=9.37 * 25.4))
    assert "112.7 km/h against 32.2 km/h" in found["wind"].title
    assert "centre 238 mm" in found["brake"].title


def test_cases_are_left_out_changed_and_added() -> None:
    wish = LoadWish(
        without=("tie", "rough", "lift"),
        cases=(
            LoadCase("brake", "Braking on sand"),
            LoadCase("rebound", None, None, (("own-down", -2.0), ("payload-even", -2.0)), "a log of the track"),
            LoadCase(
                "ferry", "On a ferry", "moving", (("own-sideways", 0.8), ("payload-sideways", 0.8)), "its booking"
            ),
        ),
    )
    standard, found = by_id(LoadWish()), by_id(wish)
    assert {id for id in standard if id not in found} == {
        id for id in standard if within(id, "tie") or within(id, "rough") or id == "lift"
    }
    assert found["brake"] == replace(standard["brake"], title="Braking on sand")
    assert found["rebound"] == replace(
        standard["rebound"], always=(("own-down", -2.0),), per_kg=(("payload-even", -2.0),), assumed="",
        source="a log of the track",
    )  # fmt: skip
    assert found["ferry"] == Case(
        "ferry", "On a ferry", (("own-sideways", 0.8),), (("payload-sideways", 0.8),), "moving", "its booking"
    )


def test_a_case_that_this_rack_has_no_place_for_is_refused() -> None:
    bare = replace(basket(), places=Places(basket().places.floor))
    assert not [id for id in by_id(LoadWish(), bare) if "long-item" in id or id == "straps" or id.startswith("tie")]
    own = LoadCase("pole", "A pole", "moving", (("payload-long-item", 2.0),))
    with pytest.raises(RackgenError, match="case pole has payload-long-item"):
        cases(LoadWish(cases=(own,)), two_rows())
    with pytest.raises(RackgenError, match="rough-even is changed, and this rack has no such case"):
        cases(LoadWish(rough_track=False, cases=(LoadCase("rough-even", "Sand"),)), basket())


@pytest.mark.parametrize(
    ("name", "words"),
    [("upright.rear[2]", "rear upright 2"), ("upright.left", "left upright"), ("bar[1]", "bar[1]"), ("p3", "p3")],
)
def test_a_straps_place_reads_as_words(name: str, words: str) -> None:
    assert tie_words(name) == words
