"""A reading that does not belong is named; roofs that are odd all over raise no alarm."""

import math
import random
import tomllib
from pathlib import Path

import pytest
from filled_form import filled
from preset_texts import STRAIGHTEDGE, VEHICLE, mistakes_of, only, saved, swapped
from ten_roofs import TAPE, TEN, stations_text

from rackgen.geom.outlier import odd_drops, odd_heights, spread_at
from rackgen.spec.read import read_vehicle
from rackgen.spec.readings import read_readings
from rackgen.spec.vehicle import Vehicle

SMOOTHER = sorted(set(TEN) - {"dented"})
"""Its dent, 14 mm deep and two hands wide, is as sharp as a wrong reading, and may be asked about."""

HEAD = (
    'format = 1\nname = "x"\nunits = "mm"\ndatum = "here"\n\n[roof]\nreference = "level line"\nacross = "levelled"\n\n'
)
LOWER = (
    "[[roof.station]]\nx = 1800\ndown = 40\nhalf_width = 620\noffsets = [300, 600]\ndrops = [9, 36]\n\n"
    "[mounts.front_left]"
)
MOUNTS = VEHICLE[VEHICLE.index("[mounts.front_left]") :].replace("470", "400")


def read(folder: Path, name: str, stations: str) -> Vehicle:
    """Give the vehicle of some stations; its rear mounts stand behind them."""
    return read_vehicle(
        saved(folder, HEAD + stations + "\n" + MOUNTS.replace("x = 1250", f"x = {TEN[name].length + 20}"))
    )


def arrays(stations: str) -> tuple[list[float], list[float], list[float], list[float], list[float]]:
    """Give x, y and drop of every reading across, and x and height of every crown."""
    found = tomllib.loads(stations)["roof"]["station"]
    rows = [
        (s["x"], side * y, drop)
        for s in found
        for side, key in ((-1, "left_drops"), (1, "right_drops"))
        for y, drop in zip(s["offsets"], s[key], strict=True)
    ]
    x, y, drop = (list(column) for column in zip(*rows, strict=True))
    return x, y, drop, [s["x"] for s in found], [s["crown"] for s in found]


@pytest.mark.parametrize("name", sorted(TEN))
def test_no_roof_with_a_formula_raises_a_doubt(tmp_path: Path, name: str) -> None:
    for stations, offsets in ((3, 2), (4, 3), (5, 3), (6, 4), (8, 5)):
        for step in (TAPE, 1.0):
            assert read(tmp_path, name, stations_text(name, stations, offsets, step)).doubts == ()


@pytest.mark.parametrize("name", SMOOTHER)
def test_tape_error_raises_hardly_any_doubt(name: str) -> None:
    rng = random.Random(4)
    odd = 0
    for _ in range(25):
        x, y, drop, at, crown = arrays(stations_text(name, 6, 4, error=lambda: rng.gauss(0.0, 0.8)))
        odd += len(odd_drops(x, y, drop)) + len(odd_heights(at, crown))
    assert odd <= 1


@pytest.mark.parametrize("name", SMOOTHER)
def test_every_reading_across_that_is_two_digits_wrong_is_named_and_no_other(name: str) -> None:
    rng = random.Random(7)
    x, y, drop, _, _ = arrays(stations_text(name, 6, 4, error=lambda: rng.gauss(0.0, 0.5)))
    for k in range(len(drop)):
        wrong = [d + (18.0 if n == k else 0.0) for n, d in enumerate(drop)]
        found = odd_drops(x, y, wrong)
        assert [o.index for o in found] == [k]
        assert found[0].around == pytest.approx(drop[k], abs=7.0)


def test_a_sharp_dent_is_asked_about_once_and_only_where_it_is() -> None:
    rng = random.Random(4)
    for _ in range(25):
        x, y, drop, at, crown = arrays(stations_text("dented", 6, 4, error=lambda: rng.gauss(0.0, 0.8)))
        found = odd_drops(x, y, drop)
        assert len(found) <= 1
        assert all(math.hypot(x[o.index] - 900, y[o.index] - 330) < 120 for o in found)
        assert odd_heights(at, crown) == ()


def test_two_wrong_readings_are_both_named() -> None:
    x, y, drop, _, _ = arrays(stations_text("crowned", 6, 4))
    wrong = list(drop)
    wrong[10] += 27.0
    wrong[30] -= 27.0
    assert sorted(o.index for o in odd_drops(x, y, wrong)) == [10, 30]


def test_a_wrong_height_along_the_middle_is_named_from_five_stations_on() -> None:
    _, _, _, x, crown = arrays(stations_text("crowned", 5, 2))
    for k in (1, 2, 3):
        assert [o.index for o in odd_heights(x, [c + 27.0 * (n == k) for n, c in enumerate(crown)])] == [k]
    assert odd_heights(x[:3], [crown[0], crown[1] + 27.0, crown[2]]) == ()


def test_a_roof_may_fall_away_to_its_ends_but_not_rise_there() -> None:
    x, crown = [0.0, 300.0, 600.0, 900.0, 1200.0, 1500.0], [-102.0, -6.0, 0.0, 0.0, -3.0, -12.0]
    assert odd_heights(x, crown) == ()
    assert [o.index for o in odd_heights(x, [102.0, *crown[1:]])] == [0]


def test_heights_below_a_straightedge_are_taken_upward(tmp_path: Path) -> None:
    text = STRAIGHTEDGE.replace("x = 1250", "x = 2500")
    for n in range(4):
        text = text.replace("[mounts.front_left]", swapped(LOWER, "x = 1800", f"x = {1500 + 300 * n}"), 1)
    assert read_vehicle(saved(tmp_path, text)).doubts == ()
    text = swapped(text, "x = 1800\ndown = 40", "x = 1800\ndown = 4")
    (doubt,) = read_vehicle(saved(tmp_path, text)).doubts
    assert (doubt.name, doubt.text.endswith("is its decimal point right?")) == ("roof.station[5].down", True)


def test_many_stations_are_looked_at_in_lots() -> None:
    x, y, drop, _, _ = arrays(stations_text("long", 120, 5))
    wrong = [d + (40.0 if n == 777 else 0.0) for n, d in enumerate(drop)]
    assert [o.index for o in odd_drops(x, y, wrong)] == [777]


def test_more_readings_leave_a_place_less_open() -> None:
    def at(stations: int, offsets: int) -> float:
        x, y, _, _, _ = arrays(stations_text("crowned", stations, offsets))
        return spread_at(x, y, (320.0, 450.0))

    assert at(3, 2) > at(5, 4) > at(9, 8) > 0.2


def test_ninety_one_typed_for_nineteen(tmp_path: Path) -> None:
    text = stations_text("crowned", 6, 4, 1.0)
    assert arrays(text)[2][1] == 19.0
    (doubt,) = read(tmp_path, "crowned", text.replace("19.0", "91.0", 1)).doubts
    assert doubt.text == "the readings round it say 19 mm; typed the wrong way round?"
    assert (doubt.read, doubt.name) == ("91 mm", "roof.station[1].left_drops[2]")


def test_a_filled_form_with_a_wrong_reading_is_refused_until_it_was_made_sure_of(tmp_path: Path) -> None:
    wrong = {"roof.station[2].drops[1]": "41"}
    mistake = only(mistakes_of(lambda: read_readings(filled(tmp_path, wrong))))
    assert (mistake.key, mistake.read) == ("roof.station[2].drops[1]", "41 mm")
    assert "say 9 mm" in mistake.wanted
    sure = read_readings(filled(tmp_path, wrong, {"roof.station[2].drops[1]": "read twice, Sure"})).vehicle
    assert [d.name for d in sure.doubts] == ["roof.station[2].drops[1]"]
