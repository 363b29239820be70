"""What a shop's file may say about money, and what of it is refused."""

from pathlib import Path

import pytest
from preset_texts import SHOP

from rackgen.errors import BadInput
from rackgen.export.revision import spelled
from rackgen.spec.money import Coating, Labour, Money, Supplies
from rackgen.spec.read import read_shop
from rackgen.spec.stock import Round, Stock

MONEY = """
[money]
currency = "EUR"
margin = 20
quantity = 3

[labour]
rate = 40
[labour.minutes]
weld = 6
coat = 9
bend = 5
[labour.set_up]
bend = 20

[coating]
name = "green"
thickness = "0.06 mm"
price_per_mass = 10
price_per_area = 20

[supplies]
isolator = 3
"""


def read(folder: Path, text: str) -> object:
    path = folder / "shop.toml"
    path.write_text(text, "utf-8")
    return read_shop(path)


def test_a_silent_file_gives_nothing(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(SHOP, "utf-8")
    shop = read_shop(tmp_path / "shop.toml")
    assert (shop.money, shop.labour, shop.finish, shop.supplies) == (Money(), Labour(), Coating(), Supplies())


def test_what_is_said_is_read_a_metre_and_a_kilogram(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(SHOP + MONEY, "utf-8")
    shop = read_shop(tmp_path / "shop.toml")
    assert (shop.money.currency, shop.money.margin, shop.money.quantity, shop.money.valid_days) == ("EUR", 20.0, 3, 30)
    assert shop.labour.rate == 40.0
    assert (shop.labour.minutes_of("weld"), shop.labour.minutes_of("fold")) == (6.0, None)
    assert (shop.labour.set_up_of("bend"), shop.labour.set_up_of("saw")) == (20.0, None)
    assert shop.finish.thickness == pytest.approx(0.06)
    assert shop.supplies.isolator == 3.0


def test_inch_files_speak_of_feet_and_pounds(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(_inch(SHOP) + MONEY, "utf-8")
    shop = read_shop(tmp_path / "shop.toml")
    assert shop.labour.minutes_of("weld") == pytest.approx(6 / 0.3048)
    assert shop.labour.minutes_of("coat") == pytest.approx(9 / 0.3048**2)
    assert shop.labour.minutes_of("bend") == 5.0
    assert shop.finish.price_per_mass == pytest.approx(10 / 0.45359237)
    assert shop.finish.price_per_area == pytest.approx(20 / 0.3048**2)
    assert shop.supplies.isolator == pytest.approx(3 / 0.3048)


def _inch(text: str) -> str:
    """Return the shop as one in inches: bare numbers become millimetres in words."""
    out: list[str] = []
    bare = ("od", "wall", "width", "thickness", "length", "swd", "lwd", "strand_thickness", "strand_width", "overall",
            "tube_od", "clr", "clamp", "tail", "kerf", "end_trim", "smallest_hole", "rod", "inside_width", "leg",
            "thread", "nut_height", "nut_across", "washer", "washer_thickness", "diameter", "hole", "head",
            "head_height", "fit_up_gap", "weld_shrinkage", "trim", "bedding", "isolator")  # fmt: skip
    for line in text.splitlines():
        key, equals, value = line.partition(" = ")
        if equals and key in bare and value.replace(".", "").isdigit():
            line = f'{key} = "{value} mm"'
        if equals and key == "grip":
            low, high = value.strip("[]").split(",")
            line = f'grip = ["{low.strip()} mm", "{high.strip()} mm"]'
        out.append(line.replace('units = "mm"', 'units = "in"'))
    return "\n".join(out) + "\n"


@pytest.mark.parametrize(
    ("line", "key", "said"),
    [
        ("[money]\nmargin = 100", "money.margin", "from 0 to 95"),
        ("[money]\nquantity = 0", "money.quantity", "whole number from 1"),
        ("[money]\ncurency = 'EUR'", "money.curency", "did you mean `currency`?"),
        ("[labour]\nrate = '40'", "labour.rate", "plain number"),
        ("[labour.minutes]\nwelding = 3", "labour.minutes.welding", "no such key"),
        ("[labour.set_up]\nbend = -1", "labour.set_up.bend", "from 0"),
        ("[coating]\nmethod = 'dip'", "coating.method", "hot dip"),
        ("[coating]\nefficiency = 0", "coating.efficiency", "from 5 to 100"),
        ("[supplies]\ncap = true", "supplies.cap", "plain number"),
    ],
)
def test_wrong_values_are_told_with_their_key(tmp_path: Path, line: str, key: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(tmp_path, SHOP + "\n" + line + "\n")
    (mistake,) = caught.value.mistakes
    assert mistake.key == key
    assert said in mistake.wanted


def test_a_sheet_and_a_rivet_may_have_a_price(tmp_path: Path) -> None:
    text = SHOP.replace('name = "4 mm plate"', 'name = "4 mm plate"\nprice = 99.5').replace(
        'name = "mesh"', 'name = "mesh"\nprice = 60'
    )
    (tmp_path / "shop.toml").write_text(text, "utf-8")
    shop = read_shop(tmp_path / "shop.toml")
    prices = {stock.name: stock.prices for stock in shop.stock}
    assert (prices["4 mm plate"], prices["mesh"]) == ((99.5,), (60.0,))


def test_a_price_is_no_part_of_what_is_made() -> None:
    """Stock of another price is the same stock, and gives the same revision."""
    cheap = Stock("t", Round(30.0, 2.0), "steel", "", "", 6000.0, (), (30.0,))
    dear = Stock("t", Round(30.0, 2.0), "steel", "", "", 6000.0, (), (40.0,))
    assert cheap == dear
    assert spelled(cheap) == spelled(dear)
