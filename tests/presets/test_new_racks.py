"""`rackgen new` over every shop and vehicle that comes with the program: what is written checks without a stop."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from rackgen import job
from rackgen.app.new import Asked, make_new, write_new
from rackgen.app.new_wish import LOADS, Load, offers
from rackgen.errors import BadInput, Level
from rackgen.spec.find import presets
from rackgen.spec.read import read_job, read_rack, read_vehicle
from rackgen.strength.rating_plate import is_rated

pytestmark = pytest.mark.racks

SHOPS, VEHICLES = (tuple(p.name for p in presets() if p.kind == kind) for kind in ("shop", "vehicle"))


@pytest.mark.parametrize("vehicle", VEHICLES)
@pytest.mark.parametrize("shop", SHOPS)
def test_every_shop_makes_what_every_vehicle_carries(shop: str, vehicle: str, tmp_path: Path) -> None:
    """For all loads; nothing stops any of them, and the file that is written gives the rack that was told."""
    for load in LOADS:
        file = tmp_path / f"{load}.toml"
        text, made = make_new(Asked(file, vehicle, shop, load))
        assert not [f.text for f in made.findings if f.level is Level.STOP], load
        write_new(text, file)
        again = job.design(read_job(file))
        assert again.stamp.revision == made.stamp.revision
        assert (again.job.spec.shop, again.job.spec.vehicle) == (shop, vehicle)


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_it_carries_something_in_whichever_shop(vehicle: str, tmp_path: Path) -> None:
    """One load in each shop, all of them in turn over the vehicles."""
    turn = VEHICLES.index(vehicle)
    for n, shop in enumerate(SHOPS):
        asked = Asked(tmp_path / "new.toml", vehicle, shop, list(LOADS)[(turn + n) % len(LOADS)])
        _, rated = make_new(asked, rated=True)
        assert not [f.text for f in rated.findings if f.level is Level.STOP], (shop, rated.job.spec.title)
        assert rated.strength is not None
        assert is_rated(rated.strength)


TURNS = [(vehicle, load) for n, vehicle in enumerate(VEHICLES) for load in (*LOADS, *LOADS)[n % 3 : n % 3 + 2]]
"""Two loads for each vehicle, all of them in turn."""


@pytest.mark.parametrize(("vehicle", "load"), TURNS)
def test_every_line_behind_a_number_sign_can_be_taken(vehicle: str, load: Load, tmp_path: Path) -> None:
    """Alone and all together; sizes that follow give the same rack when they are written down."""
    file = tmp_path / "new.toml"
    text, made = make_new(Asked(file, vehicle, SHOPS[0], load))
    lines = text.splitlines()
    keys = [n for n, line in enumerate(lines) if re.match(r"# (\w+ = |\[\[)", line)]
    fitting = [n for n in keys if n >= lines.index("# [[fitting]]")]
    for taken in ([n] for n in keys if n not in fitting):
        file.write_text("\n".join(line[2:] if n in taken else line for n, line in enumerate(lines)), "utf-8")
        read_rack(file)
    file.write_text("\n".join(line[2:] if n in keys else line for n, line in enumerate(lines)), "utf-8")
    assert tomllib.loads(file.read_text("utf-8"))["fitting"]
    read_rack(file)
    plain = [n for n in keys if n not in fitting and re.match(r"# (cross_bars|bearers|pads|pairs|width)\b", lines[n])]
    file.write_text("\n".join(line[2:] if n in plain else line for n, line in enumerate(lines)), "utf-8")
    same = job.design(read_job(file))
    assert [p.id for p in same.rack.placed] == [p.id for p in made.rack.placed]
    assert not [f.text for f in same.findings if f.level is Level.STOP]


def test_what_the_vehicles_offer_is_what_they_were_measured_for() -> None:
    found = {v: [(o.frame, o.feet, o.pairs) for o in offers(read_vehicle(v))] for v in VEHICLES}
    assert found["boxy-wagon-mm"] == [("hoop", "roof", 1)]
    assert found["farm-pickup-inch"] == [("bed", "bed rail", 3)]
    assert found["high-roof-van-mm"] == [("ladder", "gutter", 4), ("bows", "gutter", 4)]
    assert found["small-camper-inch"] == [("ladder", "threads", 2), ("hoop", "threads", 2), ("bows", "threads", 2)]


REFUSED = {
    "a hoop without corners": (("high-roof-van-mm", "gear"), {"frame": "hoop"}, "--frame", "4 pairs"),
    "bows on one pair": (("boxy-wagon-mm", "ladders"), {"frame": "bows"}, "--frame", "rear corners"),
    "gutters on none": (("boxy-wagon-mm", "gear"), {"mounts": "gutter"}, "--mounts", '1 pair of kind "roof"'),
    "a bed on a wagon": (("boxy-wagon-mm", "ladders"), {"frame": "bed"}, "--frame", "rear corners"),
    "a ladder on plates of a camper": (("small-camper-inch", "gear"), {"mounts": "track"}, "--mounts", "threads"),
    "a basket on bows": (("high-roof-van-mm", "gear"), {"frame": "bows", "top": "basket"}, "--top", "crown"),
    "bars on a hoop": (("boxy-wagon-mm", "gear"), {"top": "bars"}, "--top", "legs"),
    "a length of bows": (("high-roof-van-mm", "ladders"), {"length": "2000"}, "--length", "where the feet are"),
    "a height of bars": (("long-estate-mm", "boats"), {"height": "200"}, "--height", "basket"),
    "a floor of bars": (("long-estate-mm", "boats"), {"floor": "slats"}, "--floor", "none"),
    "no length": (("long-estate-mm", "gear"), {"width": "wide"}, "--width", "length"),
    "a width of nothing": (("long-estate-mm", "gear"), {"width": "12 mm"}, "--width", "200"),
    "a basket too small to bend": (("long-estate-mm", "gear"), {"width": "250"}, "basket.width", "at least"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_with_what_can(name: str, tmp_path: Path) -> None:
    (vehicle, load), options, key, says = REFUSED[name]
    with pytest.raises(BadInput) as refusal:
        make_new(Asked(tmp_path / "new.toml", vehicle, "slipway-mm", load, **options))
    assert any(m.key == key and says in m.wanted for m in refusal.value.mistakes), str(refusal.value)
    assert not list(tmp_path.iterdir())


def test_sizes_and_kinds_that_are_asked_for_are_had(tmp_path: Path) -> None:
    asked = Asked(tmp_path / "own.toml", "small-camper-inch", "threshing-barn-inch", "gear")
    sizes = {"width": "40", "length": "3 ft 10 in", "height": "6-1/2 in"}
    kinds = {"frame": "hoop", "mounts": "threads", "top": "basket", "floor": "slats", "title": 'Drover\'s "own"'}
    _, made = make_new(replace(asked, **sizes, **kinds))
    spec = made.job.spec
    assert (spec.basket.width, spec.basket.length, spec.basket.height) == pytest.approx((1016.0, 1168.4, 165.1))
    assert (spec.frame.kind, spec.mounts.front, spec.floor.kind) == ("hoop", "threads", "slats")
    assert spec.title == 'Drover\'s "own"'
    bed = Asked(tmp_path / "bed.toml", "farm-pickup-inch", "slipway-mm", "crates", height="500", length="1800")
    assert make_new(bed)[1].job.spec.frame.height == 500


@pytest.mark.parametrize(
    ("vehicle", "top", "length", "feet"),
    [
        ("high-roof-van-mm", "bars", "1062 mm", ("rail2", "rail3")),
        ("high-roof-van-mm", "bars", "2171 mm", ("rail1", "rail2", "rail3")),
        ("farm-pickup-inch", "tray", "1000 mm", ("bed1", "bed2")),
        ("long-estate-mm", "basket", "700 mm", ("track1", "track2")),
    ],
)
def test_a_half_length_rack_stands_on_the_feet_under_it(
    vehicle: str, top: str, length: str, feet: tuple[str, ...], tmp_path: Path
) -> None:
    _, made = make_new(Asked(tmp_path / "half.toml", vehicle, "slipway-mm", "gear", top=top, length=length))
    assert not [f.text for f in made.findings if f.level is Level.STOP]
    stood = {p.id.split(".")[1] for p in made.rack.placed if p.word in ("saddle", "post")}
    assert stood == {f"{foot}_{side}" for foot in feet for side in ("left", "right")}


def test_a_frame_too_short_for_two_pairs_is_refused_with_its_least_length(tmp_path: Path) -> None:
    asked = Asked(tmp_path / "short.toml", "high-roof-van-mm", "slipway-mm", "ladders", frame="ladder", length="600 mm")
    with pytest.raises(BadInput, match="at least 672 mm long"):
        make_new(asked)
