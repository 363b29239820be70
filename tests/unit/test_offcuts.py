"""The file of the offcuts at hand, and the command that asks what comes out of them."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from preset_texts import mistakes_of, only, saved, swapped

from rackgen.app.cli import main
from rackgen.spec.read import read_offcuts, read_shop
from rackgen.spec.shop import Remnant

HAVE = """\
format = 1
units = "mm"

[[remnant]]
stock = "33.7 x 2.6 tube"
length = 2200
count = 3

[[remnant]]
stock = "20 x 3 bar"
length = "20 in"
"""


def test_offcuts_are_read(tmp_path: Path) -> None:
    found = read_offcuts(saved(tmp_path, HAVE), read_shop("slipway-mm"))
    assert found == (Remnant("33.7 x 2.6 tube", 2200, 3), Remnant("20 x 3 bar", 508, 1))


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        ("format = 1", "format = 2", "format", "this program reads format 1"),
        ('units = "mm"', "", "units", "add `units`"),
        ("length = 2200", 'length = "long"', "remnant[1].length", "write a length"),
        ("count = 3", "count = 1.5", "remnant[1].count", "a whole number"),
        ("count = 3", "cuont = 3", "remnant[1].cuont", "did you mean `count`?"),
        ('"20 x 3 bar"', '"20 x 3 bat"', "remnant[2].stock", 'a tube or bar of the shop; did you mean "20 x 3 bar"?'),
        ('"20 x 3 bar"', '"3 mm plate"', "remnant[2].stock", "name a tube or bar of the shop"),
    ],
)
def test_a_mistake_is_told_at_its_key(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    shop = read_shop("slipway-mm")
    mistake = only(mistakes_of(read_offcuts, saved(tmp_path, swapped(HAVE, old, new)), shop))
    assert mistake.key == key
    assert says in mistake.wanted


def asked(*words: str) -> Result:
    return CliRunner().invoke(main, ["offcuts", "demo", *words])


def test_the_question_is_answered_as_text_csv_and_json(tmp_path: Path) -> None:
    have = ("--have", str(saved(tmp_path, HAVE)))
    text = asked(*have)
    assert text.exit_code == 0
    assert "remnant 2200 mm, left" in text.output
    assert "comes out of no remnant: 1 of T1 frame hoop, 33.7 x 2.6 tube" in text.output
    assert "fresh 6000" not in text.output
    made = json.loads(asked(*have, "--as", "json").output)
    stocks = {stock["stock"]: stock for stock in made["data"]["stocks"]}
    assert made["data"]["fresh"] is False
    assert [len(s["cuts"]) > 0 for s in stocks["33.7 x 2.6 tube"]["sticks"]] == [True] * 3
    assert stocks["28 x 2 tube"]["sticks"] == []
    assert len(stocks["28 x 2 tube"]["left_out"]) == 4
    rows = asked(*have, "--as", "csv").output.splitlines()
    assert rows[0].startswith("stock,stick,from,length,mark")
    assert len(rows) == 1 + sum(len(s["cuts"]) for stock in stocks.values() for s in stock["sticks"])


def test_without_a_file_it_is_the_shops_own_remnants() -> None:
    found = asked()
    assert found.exit_code == 0
    assert "0 of 49 pieces come out of the remnants at hand" in found.output


def test_a_file_that_is_not_there_is_told() -> None:
    found = asked("--have", "no-such.toml")
    assert found.exit_code == 2
    assert "no-such.toml" in found.output
