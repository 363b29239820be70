"""A rack with its shop and its vehicle: where they are looked for, and mistakes across files."""

from pathlib import Path

import pytest
from preset_texts import RACK, SHOP, VEHICLE, line_of, mistakes_of, only, saved, swapped

from rackgen.spec.find import presets
from rackgen.spec.read import Sources, read_job, read_rack, read_shop, read_vehicle
from rackgen.spec.shipped import shipped


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """Give a folder with a rack, its shop and its vehicle in the folders where presets stand."""
    saved(tmp_path, SHOP, "shops/shed.toml")
    saved(tmp_path, VEHICLE, "vehicles/wagon.toml")
    saved(tmp_path, RACK, "racks/rack.toml")
    return tmp_path


def test_shop_and_vehicle_are_found_in_the_folders_beside_the_racks(bench: Path) -> None:
    job = read_job(bench / "racks" / "rack.toml")
    assert job.spec == read_rack(bench / "racks" / "rack.toml")
    assert job.shop == read_shop(bench / "shops" / "shed.toml")
    assert job.vehicle == read_vehicle(bench / "vehicles" / "wagon.toml")
    assert job.sources == Sources(
        bench / "racks" / "rack.toml", bench / "shops" / "shed.toml", bench / "vehicles" / "wagon.toml"
    )


def test_shop_and_vehicle_are_found_in_the_racks_own_folder(tmp_path: Path) -> None:
    for name, text in (("shed", SHOP), ("wagon", VEHICLE), ("rack", RACK)):
        saved(tmp_path, text, f"{name}.toml")
    assert read_job(tmp_path / "rack.toml").shop.name == "Test shop"


def test_a_relative_path_is_enough(bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(bench / "racks")
    assert read_job("rack.toml").sources.shop == Path("../shops/shed.toml")
    monkeypatch.chdir(bench)
    assert read_job("racks/rack.toml").sources.shop == Path("shops/shed.toml")


def test_a_word_names_a_shipped_rack() -> None:
    assert read_job("demo").sources.rack == shipped() / "racks" / "demo.toml"


def test_a_file_of_ones_own_may_use_shipped_presets(tmp_path: Path) -> None:
    text = swapped(swapped(RACK, '"shed"', '"slipway-mm"'), '"wagon"', '"boxy-wagon-mm"')
    job = read_job(saved(tmp_path, text))
    assert job.sources.shop == shipped() / "shops" / "slipway-mm.toml"


def test_a_neighbour_goes_before_a_shipped_preset_of_its_name(bench: Path) -> None:
    saved(bench, SHOP, "shops/slipway-mm.toml")
    saved(bench, swapped(RACK, '"shed"', '"slipway-mm"'), "racks/rack.toml")
    assert read_job(bench / "racks" / "rack.toml").shop.name == "Test shop"


def test_the_same_rack_can_be_made_elsewhere(bench: Path) -> None:
    rack = bench / "racks" / "rack.toml"
    by_name = read_job(rack, shop="slipway-mm")
    assert by_name.spec.shop == "slipway-mm"
    assert by_name.shop.name == "Slipway shed"
    by_path = read_job(rack, shop=shipped() / "shops" / "slipway-mm.toml", vehicle=str(bench / "vehicles/wagon.toml"))
    assert by_path.shop == by_name.shop
    assert by_path.spec.vehicle == "wagon"


def test_an_override_may_be_a_neighbour_of_the_rack(bench: Path) -> None:
    saved(bench, SHOP.replace("Test shop", "Other"), "shops/other.toml")
    assert read_job(bench / "racks" / "rack.toml", shop="other").shop.name == "Other"


def test_an_override_stands_in_for_a_shop_that_is_not_there(bench: Path) -> None:
    (bench / "shops" / "shed.toml").unlink()
    assert read_job(bench / "racks" / "rack.toml", shop="slipway-mm").shop.name == "Slipway shed"


def test_an_unknown_shop_is_told_in_the_rack_file_with_the_nearest(bench: Path) -> None:
    text = swapped(RACK, '"shed"', '"shde"')
    mistake = only(mistakes_of(read_job, saved(bench, text, "racks/rack.toml")))
    assert (mistake.key, mistake.line, mistake.read) == ("shop", line_of(text, "shop ="), '"shde"')
    assert 'did you mean "shed"?' in mistake.wanted
    assert "slipway-mm" in mistake.wanted


@pytest.mark.parametrize(("named", "kind"), [("shop", "shop"), ("vehicle", "vehicle")])
def test_an_unknown_override_is_told_with_the_nearest(bench: Path, named: str, kind: str) -> None:
    mistake = only(mistakes_of(read_job, bench / "racks" / "rack.toml", **{named: "boxy-wagon-m"}))
    assert mistake.file == "boxy-wagon-m"
    assert f"no such {kind}" in mistake.wanted
    assert ('did you mean "boxy-wagon-mm"?' in mistake.wanted) == (kind == "vehicle")


def test_an_unknown_rack_names_those_that_are_known() -> None:
    mistake = only(mistakes_of(read_job, "dmeo"))
    assert 'did you mean "demo"?' in mistake.wanted
    assert "survey-crew" in mistake.wanted


@pytest.mark.parametrize(
    ("key", "name", "says"),
    [
        ("basket.ring_tube", "33.7 x 2.6 tub", 'did you mean "33.7 x 2.6 tube"?'),
        ("basket.ring_tube", "50 x 5 bar", "is no tube"),
        ("basket.bar_tube", "zzz", 'it has "33.7 x 2.6 tube", "28 x 2 tube"'),
        ("basket.floor", "mash", 'did you mean "mesh"?'),
        ("basket.floor", "4 mm plate", "is no mesh"),
        ("basket.strip", "50 x 4 bar", 'did you mean "50 x 5 bar"?'),
        ("basket.side_plate", "mesh", "is no plate"),
        ("mounts.plate", "5 mm plate", 'did you mean "4 mm plate"?'),
        ("mounts.strap", "28 x 2 tube", "is no bar"),
        ("mounts.wrap", "zzz", 'has no such bar; it has "50 x 5 bar"'),
    ],
)
def test_stock_that_the_shop_does_not_have_is_told_in_the_rack_file(
    bench: Path, key: str, name: str, says: str
) -> None:
    table, last = key.split(".")
    text = swapped(RACK, f"[{table}]", f'[{table}]\n{last} = "{name}"')
    mistake = only(mistakes_of(read_job, saved(bench, text, "racks/rack.toml")))
    assert (mistake.key, mistake.line) == (key, line_of(text, f"{last} = "))
    assert mistake.file.endswith("rack.toml")
    assert says in mistake.wanted


def test_a_frame_tube_that_the_shop_does_not_have_is_told(bench: Path) -> None:
    text = swapped(RACK, '"33.7 x 2.6 tube"', '"42.4 x 2.6 tube"')
    assert only(mistakes_of(read_job, saved(bench, text, "racks/rack.toml"))).key == "frame.tube"


def test_blanks_in_a_stocks_name_do_not_matter(bench: Path) -> None:
    text = swapped(RACK, '"33.7 x 2.6 tube"', '" 33.7 x  2.6 tube"')
    assert read_job(saved(bench, text, "racks/rack.toml")).spec.frame.tube == "33.7 x 2.6 tube"


def test_every_mistake_in_all_three_files_is_told_at_once(bench: Path) -> None:
    saved(bench, swapped(SHOP, "wall = 2\n", "wall = 20\n"), "shops/shed.toml")
    saved(bench, swapped(VEHICLE, "lean = 0", "lean = 90"), "vehicles/wagon.toml")
    saved(bench, swapped(RACK, "height = 200", "height = 2"), "racks/rack.toml")
    mistakes = mistakes_of(read_job, bench / "racks" / "rack.toml")
    assert [(Path(m.file).name, m.key) for m in mistakes] == [
        ("rack.toml", "basket.height"),
        ("shed.toml", "tube[2].wall"),
        ("wagon.toml", "mounts.rear_left.lean"),
    ]


def test_a_rack_file_with_mistakes_still_leads_to_its_shop(bench: Path) -> None:
    text = swapped(RACK, "height = 200", 'strip = "x"')
    keys = {m.key for m in mistakes_of(read_job, saved(bench, text, "racks/rack.toml"))}
    assert keys == {"basket.height", "basket.strip"}


def test_what_can_be_read_is_read_beside_what_is_not_toml(bench: Path) -> None:
    saved(bench, "not toml", "vehicles/wagon.toml")
    saved(bench, swapped(SHOP, "kerf = 3", "kerf = -3"), "shops/shed.toml")
    assert {Path(m.file).name for m in mistakes_of(read_job, bench / "racks" / "rack.toml")} == {
        "shed.toml",
        "wagon.toml",
    }


def test_mistakes_name_the_file_as_the_user_did(bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(bench)
    saved(bench, swapped(RACK, "height = 200", "height = 2"), "racks/rack.toml")
    text = str(only(mistakes_of(read_job, "racks/rack.toml")))
    line = line_of(RACK, "height")
    assert text == f"racks/rack.toml:{line}: basket.height: read 2; write a length from 40 mm to 1000 mm"


def test_shipped_presets_are_listed_with_their_titles() -> None:
    found = [(p.kind, p.name, p.title) for p in presets()]
    assert ("shop", "slipway-mm", "Slipway shed") in found
    assert ("vehicle", "boxy-wagon-mm", "Boxy five-door wagon") in found
    assert ("rack", "demo", "Trail crew's half-length rack") in found
    assert [kind for kind, _, _ in found] == sorted((k for k, _, _ in found), key=["shop", "vehicle", "rack"].index)
