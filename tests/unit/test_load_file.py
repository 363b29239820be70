"""What a rack's file says about its load: the record it makes, and each mistake at its key."""

from pathlib import Path

import pytest
from preset_texts import RACK, mistakes_of, only, saved

from rackgen.spec.load import STANDARD, LoadCase, LoadWish, within
from rackgen.spec.read import read_rack

LOAD = """
[load]
moving = 70
parked = "400 lb"
centre_height = "12 in"
rough_track = false
road = 2.5
rebound = 0.5
speed = "70 mph"
head_wind = "40 km/h"
load_width = 800
load_height = 600
load_length = 900
long_item = 0.5
person = 90
strap_pull = 200
without = ["tie", "person-pulls", "lift"]

[[load.case]]
id = "ferry"
title = "Lashed on a ferry's deck"
state = "moving"
factors = { own-down = 1, payload-even = 1, own-sideways = 0.8, payload-sideways = 0.8 }
source = "the ferry's booking"

[[load.case]]
id = "brake"
title = "Braking on sand"
"""


def test_a_rack_that_says_nothing_of_its_load_has_a_load_all_the_same(tmp_path: Path) -> None:
    assert read_rack(saved(tmp_path, RACK)).load == LoadWish()


def test_everything_said_of_the_load_is_read(tmp_path: Path) -> None:
    assert read_rack(saved(tmp_path, RACK + LOAD)).load == LoadWish(
        moving=70.0,
        parked=pytest.approx(181.436948),
        centre_height=pytest.approx(304.8),
        rough_track=False,
        road=2.5,
        rebound=0.5,
        speed=pytest.approx(112.65408),
        head_wind=40.0,
        load_width=800.0,
        load_height=600.0,
        load_length=900.0,
        long_item=0.5,
        person=90.0,
        strap_pull=200.0,
        cases=(
            LoadCase(
                "ferry",
                "Lashed on a ferry's deck",
                "moving",
                (("own-down", 1.0), ("payload-even", 1.0), ("own-sideways", 0.8), ("payload-sideways", 0.8)),
                "the ferry's booking",
            ),
            LoadCase("brake", "Braking on sand"),
        ),
        without=("tie", "person-pulls", "lift"),
    )


CASE = '[[load.case]]\nid = "a"\ntitle = "A"\nstate = "event"\nfactors = { own-down = 2 }\n'
SECOND = CASE.replace('"a"', '"b"')


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ("[load]\nmoving = -70", "load.moving", "a mass from 1 to 2000 kg"),
        ("[load]\nmoving = 1e6", "load.moving", "too much to be true"),
        ('[load]\nparked = "5 tons"', "load.parked", "write kilograms"),
        ("[load]\nmoving = 120\nparked = 70", "load.parked", "what rides on the rack also stands on it parked"),
        ("[load]\ncentre_height = -20", "load.centre_height", "from 0 mm to 1500 mm"),
        ("[load]\ncentre_height = 500\nload_height = 400", "load.centre_height", "not above the top of the load, 400"),
        ('[load]\nrough_track = "yes"', "load.rough_track", "true or false"),
        ("[load]\nroad = 0.5", "load.road", "less is lighter"),
        ("[load]\nroad = 2.5\nrough = 2", "load.rough", "not less than on a road, 2.5"),
        ("[load]\nroad = 5", "load.road", "not more than on rough track, 3"),
        ("[load]\nrebound = -1", "load.rebound", "from 0.1 to 6"),
        ("[load]\nspeed = 110", "load.speed", 'with its unit, "110 km/h" or "70 mph"'),
        ('[load]\nspeed = "500 mph"', "load.speed", "a speed from 20 to 250 km/h"),
        ('[load]\nspeed = "70 knots"', "load.speed", "with its unit"),
        ("[load]\nlong_item = 1.5", "load.long_item", "from 0.05 to 1"),
        ("[load]\nperson = 5", "load.person", "from 30 to 250 kg"),
        ("[load]\nstrap_pull = 0", "load.strap_pull", "from 5 to 2500 kg"),
        ("[load]\nmovng = 70", "load.movng", "did you mean `moving`"),
        ('[load]\nwithout = ["rebund"]', "load.without[1]", "did you mean `rebound`"),
        ('[load]\nwithout = ["zzzz"]', "load.without[1]", "known are `parked-even`"),
        ('[load]\nwithout = ["parked"]', "load.without", "at least one parked case stays"),
        ('[load]\nwithout = ["road", "corner", "brake", "accelerate", "rebound", "wind"]\nrough_track = false',
         "load.without", "at least one moving case stays"),
        (f'[load]\nwithout = ["brake"]\n{CASE}'.replace('"a"', '"brake"').replace("event", "moving")
         .replace("own-down", "payload-even"), "load.without", "keep one of the two"),
        (CASE.replace("own-down", "own-dwn"), "load.case[1].factors.own-dwn", "did you mean `own-down`"),
        (CASE.replace("own-down", "zzzz"), "load.case[1].factors.zzzz", "known are `own-down`"),
        (CASE.replace("= 2", "= 0"), "load.case[1].factors", "leave `own-down` out"),
        (CASE.replace("= 2", "= 1e9"), "load.case[1].factors.own-down", "from -100000 to 100000"),
        (CASE.replace(" own-down = 2 ", ""), "load.case[1].factors", "a new case needs factors"),
        (CASE.replace('title = "A"\n', ""), "load.case[1].title", "needs a title"),
        (CASE.replace('state = "event"\n', ""), "load.case[1].state", "needs state"),
        (CASE.replace("event", "driving"), "load.case[1].state", '"moving" or "parked" or "event"'),
        (CASE.replace("event", "moving"), "load.case[1].factors", "name a payload- action"),
        (CASE.replace("own-down", "payload-even"), "load.case[1].factors", "an event carries no load"),
        (CASE.replace('"a"', '"tie-left"'), "load.case[1].id", "`strap_pull`"),
        (CASE.replace('"a"', '"a b"'), "load.case[1].id", "letters, digits"),
        (CASE + SECOND.replace('"b"', '"a"'), "load.case[2].id", "an earlier case has this id"),
        ('[[load.case]]\nid = "brake"\nstate = "parked"', "load.case[1].factors", "another state needs its own"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_load_is_told_at_its_key(tmp_path: Path, text: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_rack, saved(tmp_path, f"{RACK}\n{text}\n")))
    assert mistake.key == key
    assert says in mistake.wanted
    assert mistake.line > RACK.count("\n")


def test_an_entry_of_without_is_a_case_or_a_whole_group() -> None:
    assert [id for id in STANDARD if within(id, "rough")] == [id for id in STANDARD if id.startswith("rough-")]
    assert within("brake", "brake")
    assert not within("road-even", "r")
    assert within("tie-upright.left[2]", "tie")
    assert not within("person-middle", "person-on")


def test_a_factor_out_of_range_is_told_in_a_sentence(tmp_path: Path) -> None:
    told = mistakes_of(read_rack, saved(tmp_path, RACK + "\n[load]\nroad = 0\nrebound = -1\n"))
    assert (
        "write times standing weight (1 is standing still, less is lighter than that) as a plain number from 1 to 6"
        in str(told)
    )
    assert "write times standing weight as a plain number from 0.1 to 6" in str(told)
