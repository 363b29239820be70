"""The shop's file: the record it makes, and each mistake at its key and line."""

import re
from pathlib import Path

import pytest
from preset_texts import RACK, SHOP, VEHICLE, line_of, mistakes_of, only, saved, swapped

from rackgen.spec import limits
from rackgen.spec.read import read_shop
from rackgen.spec.shop import Die, Measured, Remnant, Saw, Table
from rackgen.spec.stock import Expanded, Flat, Rivet, Round, Sheet, Stock


def test_a_shop_is_read(tmp_path: Path) -> None:
    shop = read_shop(saved(tmp_path, SHOP))
    assert (shop.name, shop.unit) == ("Test shop", "mm")
    assert [s.section for s in shop.stock] == [
        Round(33.7, 2.6),
        Round(28, 2),
        Flat(50, 5),
        Sheet(4, 1250, 2500),
        Expanded("raised", 23, 50, 1.5, 2.6, 5.3, 2.64, 1250, 2500),
    ]
    assert shop.stock[0] == Stock("33.7 x 2.6 tube", Round(33.7, 2.6), "steel", "S235JRH", "bare", 6000)
    assert shop.stock[3].stick == 0
    assert shop.dies == (Die("33.7 / 120", 33.7, 120, 90, 60),)
    assert shop.saw == Saw(3, 10)
    assert shop.table == Table(1.5, 8, True)
    assert shop.rivets == (Rivet("6.4", 6.4, 6.5, (3, 6), 13.4, 2.7, True),)
    assert (shop.u_bolts[0].inside_width, shop.u_bolts[0].torque) == (40, 12)
    assert (shop.fit_up_gap, shop.weld_shrinkage, shop.trim, shop.bedding, shop.isolator) == (0.5, 0.5, 10, 1.5, 3)


def test_bare_numbers_are_in_the_files_unit_and_texts_in_their_own(tmp_path: Path) -> None:
    text = SHOP.replace('units = "mm"', 'units = "in"')
    text = re.sub(r"^([a-z_]+) = ([0-9.]+)$", r'\1 = "\2 mm"', text, flags=re.M)
    for own, plain in (("format", "1"), ("mass_per_area", "2.64"), ("torque", "12")):
        text = text.replace(f'{own} = "{plain} mm"', f"{own} = {plain}")
    text = text.replace('isolator = "3 mm"', "isolator = 0.125")
    text = text.replace("grip = [3, 6]", 'grip = ["3 mm", "6 mm"]')
    inch, metric = read_shop(saved(tmp_path, text, "in.toml")), read_shop(saved(tmp_path, SHOP, "mm.toml"))
    assert inch.unit == "in"
    assert inch.isolator == 3.175
    assert inch.stock == metric.stock
    assert inch.u_bolts == metric.u_bolts


TAIL = "tail = 60"
TEST_BEND = '{ tube = "33.7 x 2.6 tube", springback = 1.5, elongation = 2 }'


def with_die(keys: str) -> str:
    """Give the shop with more keys in its die."""
    return swapped(SHOP, TAIL, f"{TAIL}\n{keys}")


def test_a_die_says_what_was_measured_on_it(tmp_path: Path) -> None:
    text = with_die(f'mark_at = "die mark"\ndie_mark_offset = 12\nkeep_clear = 200\nmeasured = [{TEST_BEND}]')
    (die,) = read_shop(saved(tmp_path, text)).dies
    measured = Measured("33.7 x 2.6 tube", 1.5, 2.0)
    assert die == Die("33.7 / 120", 33.7, 120, 90, 60, "die mark", 12, 200, (measured,))
    assert die.measured_for("33.7 x 2.6 tube") == measured
    assert die.measured_for("33.7 x 2 tube") == Measured("33.7 x 2 tube", None, None)


def test_half_a_test_bend_is_better_than_none(tmp_path: Path) -> None:
    (die,) = read_shop(saved(tmp_path, with_die('measured = [{ tube = "33.7 x 2.6 tube", elongation = -0.5 }]'))).dies
    assert die.measured == (Measured("33.7 x 2.6 tube", None, -0.5),)


@pytest.mark.parametrize(
    ("keys", "key", "says"),
    [
        ('mark_at = "middle"', "die[1].mark_at", '"start" or "centre" or "die mark"'),
        ('mark_at = "die mark"', "die[1].mark_at", "give die_mark_offset"),
        ("die_mark_offset = 12", "die[1].die_mark_offset", "it goes with mark_at"),
        ('mark_at = "start"\ndie_mark_offset = 12', "die[1].die_mark_offset", "it goes with mark_at"),
        ("keep_clear = -1", "die[1].keep_clear", "from 0 mm"),
        ("measured = 3", "die[1].measured", "[[measured]]"),
        ('measured = [{ tube = "33.7 x 2.6 tube" }]', "die[1].measured[1].tube", "give springback, elongation or both"),
        ("measured = [{ springback = 1 }]", "die[1].measured[1].tube", "add `tube`"),
        (f"measured = [{TEST_BEND.replace('1.5', '21')}]", "die[1].measured[1].springback", "from 0 to 20"),
        (f"measured = [{TEST_BEND.replace('= 2 ', '= 51 ')}]", "die[1].measured[1].elongation", "from -10 mm to 50 mm"),
        (f"measured = [{TEST_BEND.replace('2.6 tube', '2.6 tub')}]", "die[1].measured[1].tube", "did you mean"),
        (f"measured = [{TEST_BEND.replace('33.7 x 2.6', '28 x 2')}]", "die[1].measured[1].tube", "that this die takes"),
        (f"measured = [{TEST_BEND}, {TEST_BEND}]", "die[1].measured[2].tube", "test bend already"),
    ],
)
def test_wrong_die_data_is_told_at_its_key(tmp_path: Path, keys: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_shop, saved(tmp_path, with_die(keys))))
    assert mistake.key == key
    assert says in mistake.wanted


def test_one_shipped_shop_made_its_test_bends_and_the_other_did_not() -> None:
    inch, metric = read_shop("threshing-barn-inch"), read_shop("slipway-mm")
    bent = [(die, stock) for die in inch.dies for stock, tube in inch.tubes() if abs(tube.od - die.tube_od) < 0.05]
    assert len(bent) == 6
    for die, stock in bent:
        found = die.measured_for(stock.name)
        assert found.springback is not None
        assert found.elongation is not None
        assert die.mark_at
        assert die.keep_clear
    assert not any(die.measured or die.mark_at or die.keep_clear for die in metric.dies)


STICK = 'stick = "6 m"'
REMNANT = '\n[[remnant]]\nstock = "50 x 5 bar"\nlength = 740\n'


def test_a_shop_says_what_it_buys_and_what_is_left(tmp_path: Path) -> None:
    text = swapped(SHOP, STICK, STICK + '\nlengths = ["3 m", 6000]\nprices = [31, 58.5]')
    text = swapped(text, "end_trim = 10", "end_trim = 10\nleast_remnant = 450") + REMNANT + "count = 2\n" + REMNANT
    shop = read_shop(saved(tmp_path, text))
    assert (shop.stock[0].lengths, shop.stock[0].prices, shop.stock[0].sticks) == (
        (3000, 6000),
        (31, 58.5),
        (3000, 6000),
    )
    assert (shop.stock[1].lengths, shop.stock[1].prices, shop.stock[1].sticks) == ((), (), (6000,))
    assert shop.stock[3].sticks == ()
    assert shop.saw == Saw(3, 10, 450)
    assert shop.remnants == (Remnant("50 x 5 bar", 740, 2), Remnant("50 x 5 bar", 740, 1))


def test_the_only_length_may_have_its_price(tmp_path: Path) -> None:
    shop = read_shop(saved(tmp_path, swapped(SHOP, STICK, STICK + "\nprices = [58.5]")))
    assert (shop.stock[0].sticks, shop.stock[0].prices) == ((6000,), (58.5,))


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        (STICK, STICK + "\nlengths = []", "tube[1].lengths", "1 to 20 entries"),
        (STICK, STICK + "\nlengths = [6000, 3000]", "tube[1].lengths", "rising order"),
        (STICK, STICK + "\nlengths = [3000, 5000]", "tube[1].lengths", "the last of them is `stick`, 6000 mm"),
        (STICK, STICK + "\nlengths = [6, 6000]", "tube[1].lengths[1]", "from 500 mm"),
        (STICK, STICK + "\nprices = [30, 60]", "tube[1].prices", "one for each length, 1 in all"),
        (STICK, STICK + "\nlengths = [3000, 6000]\nprices = [60]", "tube[1].prices", "one for each length, 2 in all"),
        (STICK, STICK + '\nprices = ["60"]', "tube[1].prices[1]", "write a price as a plain number"),
        (STICK, STICK + "\nprices = [0]", "tube[1].prices[1]", "from 0.01"),
        ("end_trim = 10", "end_trim = 10\nleast_remnant = -1", "saw.least_remnant", "from 0 mm"),
        ("length = 740", "length = 9", "remnant[1].length", "from 10 mm"),
        ("length = 740", "length = 740\ncount = 0", "remnant[1].count", "from 1 to 1000"),
        ('"50 x 5 bar"\nlength', '"50 x 5 bars"\nlength', "remnant[1].stock", 'did you mean "50 x 5 bar"?'),
        ('"50 x 5 bar"\nlength', '"4 mm plate"\nlength', "remnant[1].stock", "name a tube or bar of this file"),
    ],
)
def test_wrong_sticks_and_remnants_are_told_at_their_key(
    tmp_path: Path, old: str, new: str, key: str, says: str
) -> None:
    mistake = only(mistakes_of(read_shop, saved(tmp_path, swapped(SHOP + REMNANT, old, new))))
    assert mistake.key == key
    assert says in mistake.wanted


def test_blanks_in_names_are_evened_out(tmp_path: Path) -> None:
    text = SHOP.replace('name = "Test shop"', 'name = """Test\n   shop  """')
    assert read_shop(saved(tmp_path, text)).name == "Test shop"


@pytest.mark.parametrize("none", ["mesh", "u_bolt", "rivet"])
def test_a_shop_may_lack_bought_parts(tmp_path: Path, none: str) -> None:
    start = SHOP.index(f"[[{none}]]")
    text = SHOP[:start] + SHOP[SHOP.index("\n[", start + 2) + 1 :]
    read_shop(saved(tmp_path, text))


SPOILT = [
    # old, new, key, what the message says
    ("format = 1", "", "format", "add format = 1 at the top"),
    ("format = 1", "format = 2", "format", "this program reads format 1"),
    ("format = 1", "format = true", "format", "write 1"),
    ("format = 1", "format = 1.0", "format", "write 1"),
    ("format = 1", 'format = "1"', "format", "write 1"),
    ('units = "mm"', "", "units", "add `units`"),
    ('units = "mm"', 'units = "cm"', "units", 'write "mm" or "in"'),
    ('units = "mm"', 'units = "MM"', "units", 'write "mm" or "in"'),
    ('units = "mm"', "units = 1", "units", 'write "mm" or "in"'),
    ('units = "mm"', "units = []", "units", 'write "mm" or "in"'),
    ('name = "Test shop"', "", "name", "add `name`"),
    ('name = "Test shop"', "name = 5", "name", "a text in quotes"),
    ('name = "Test shop"', 'name = ""', "name", "not empty"),
    ('name = "Test shop"', 'name = "  \\n "', "name", "not empty"),
    ('name = "Test shop"', 'name = "a\\u0007b"', "name", "control"),
    ('name = "Test shop"', 'name = "a\\u202Eb"', "name", "control"),
    ("od = 33.7", "od = true", "tube[1].od", "write a length"),
    ("od = 33.7", "od = [33.7]", "tube[1].od", "write a length"),
    ("od = 33.7", 'od = "big"', "tube[1].od", "write a length"),
    ("od = 33.7", 'od = "33,7"', "tube[1].od", "decimal point"),
    ("od = 33.7", "od = 1979-05-27", "tube[1].od", "write a length"),
    ("od = 33.7", "od = -33.7", "tube[1].od", "from 6 mm to 200 mm"),
    ("od = 33.7", "od = 0", "tube[1].od", "from 6 mm to 200 mm"),
    ("od = 33.7", 'od = "33.7 in"', "tube[1].od", "from 6 mm to 200 mm"),
    ("od = 33.7", "od = 99999999", "tube[1].od", "check the unit"),
    ("od = 33.7", "od = 99999999999999999999999999999999999", "tube[1].od", "check the unit"),
    ("od = 33.7\n", "", "tube[1].od", "add `od`: outside diameter"),
    ("od = 33.7", "outer = 33.7\nod = 33.7", "tube[1].outer", "no such key here; known are"),
    ("wall = 2.6", "wal = 2.6", "tube[1].wal", "did you mean `wall`?"),
    ("wall = 2.6", "Wall = 2.6", "tube[1].Wall", "did you mean `wall`?"),
    ("wall = 2.6", "wall = 16.85", "tube[1].wall", "less than half"),
    ("wall = 2.6", "wall = 18", "tube[1].wall", "less than half"),
    ('grade = "S235JRH"\n', "", "tube[1].grade", "add `grade`"),
    (
        'coating = "bare"',
        'coating = "bare"\nmaterial = "brass"',
        "tube[1].material",
        '"steel" or "stainless" or "aluminium"',
    ),
    ('stick = "6 m"', 'stick = "6 mm"', "tube[1].stick", "from 500 mm"),
    ('"28 x 2 tube"', '"33.7 x 2.6 tube"', "tube[2].name", "has this name already"),
    ('"50 x 5 bar"', '"28  x 2 tube"', "bar[1].name", "has this name already"),
    ("thickness = 5\n", "thickness = 51\n", "bar[1].thickness", "from 1 mm to 40 mm"),
    ("width = 50\nthickness = 5", "width = 5\nthickness = 6", "bar[1].thickness", "no thicker than"),
    ("[[bar]]", "[bar]", "bar", "write [[bar]] for each"),
    ("[[bar]]", "[[baar]]", "baar", "did you mean `bar`?"),
    ("[saw]", "[[saw]]", "saw", "write a table"),
    ("[saw]", "[swa]", "swa", "did you mean `saw`?"),
    ("swd = 23", "swd = 50", "mesh[1].swd", "less than the long way"),
    ("overall = 5.3", "overall = 1", "mesh[1].overall", "not less than strand_thickness"),
    ("strand_width = 2.6", "strand_width = 11.5", "mesh[1].strand_width", "less than half of swd"),
    ('style = "raised"', 'style = "Raised"', "mesh[1].style", '"raised" or "flattened"'),
    ("mass_per_area = 2.64", 'mass_per_area = "2.64"', "mesh[1].mass_per_area", "kilograms a square metre"),
    ("mass_per_area = 2.64", "mass_per_area = 26.4", "mesh[1].mass_per_area", "about 2.66 kg/m2"),
    ("mass_per_area = 2.64", "mass_per_area = -1", "mesh[1].mass_per_area", "from 0.1 to 100 kg/m2"),
    ("clr = 120", "clr = 30", "die[1].clr", "not less than the tube's diameter"),
    ("clamp = 90", "clamp = -1", "die[1].clamp", "from 0 mm"),
    ("can_mark = true", 'can_mark = "yes"', "table.can_mark", "true or false"),
    ("can_mark = true", "can_mark = 1", "table.can_mark", "true or false"),
    ("kerf = 3", "kerf = 30", "saw.kerf", "from 0 mm to 20 mm"),
    ("torque = 12", 'torque = "12 kg"', "u_bolt[1].torque", "newton metres"),
    ("torque = 12", "torque = 0", "u_bolt[1].torque", "from 0.5 to 200 N m"),
    ("thread = 30", "thread = 60", "u_bolt[1].thread", "shorter than the leg"),
    ("nut_across = 13", "nut_across = 8", "u_bolt[1].nut_across", "wider than its rod"),
    ("washer = 16", "washer = 8", "u_bolt[1].washer", "wider than its rod"),
    ("hole = 6.5", "hole = 6.3", "rivet[1].hole", "not less than the body"),
    ("head = 13.4", "head = 6", "rivet[1].head", "wider than the hole"),
    ("grip = [3, 6]", "grip = [6, 3]", "rivet[1].grip", "rising order"),
    ("grip = [3, 6]", "grip = [3, 3]", "rivet[1].grip", "rising order"),
    ("grip = [3, 6]", "grip = [3]", "rivet[1].grip", "exactly 2 entries"),
    ("grip = [3, 6]", "grip = 3", "rivet[1].grip", "a list in [ ]"),
    ("grip = [3, 6]", "grip = [3, true]", "rivet[1].grip[2]", "write a length"),
    ("bedding = 1.5", "bedding = 6", "allowances.bedding", "from 0 mm to 5 mm"),
]


@pytest.mark.parametrize(("old", "new", "key", "says"), SPOILT, ids=[f"{s[2]}: {s[1][:30]!r}" for s in SPOILT])
def test_one_mistake_is_told_once_at_its_key_and_line(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    text = swapped(SHOP, old, new)
    mistake = only(mistakes_of(read_shop, saved(tmp_path, text)))
    assert mistake.key == key
    assert says in mistake.wanted
    last = key.rpartition(".")[2].partition("[")[0]
    if last in new:
        before = SHOP[: SHOP.index(old)] + new[: new.index(last)]
        assert mistake.line == before.count("\n") + 1
        assert mistake.read


def test_a_missing_key_is_told_at_its_table(tmp_path: Path) -> None:
    text = swapped(SHOP, "wall = 2\n", "")
    mistake = only(mistakes_of(read_shop, saved(tmp_path, text)))
    assert (mistake.key, mistake.line, mistake.read) == ("tube[2].wall", line_of(text, "[[tube]]", 2), "")


def test_a_missing_table_is_told_without_a_line(tmp_path: Path) -> None:
    text = SHOP[: SHOP.index("[allowances]")]
    mistake = only(mistakes_of(read_shop, saved(tmp_path, text)))
    assert (mistake.key, mistake.line) == ("allowances", 0)


def test_two_dies_for_one_tube_are_told_even_with_other_mistakes(tmp_path: Path) -> None:
    text = SHOP + '\n[[die]]\nname = "second"\ntube_od = "33.7 mm"\nclr = true\nclamp = 90\ntail = 60\n'
    mistakes = mistakes_of(read_shop, saved(tmp_path, text))
    assert [(m.key, m.line) for m in mistakes] == [
        ("die[2].tube_od", line_of(text, 'tube_od = "33.7 mm"')),
        ("die[2].clr", line_of(text, "clr = true")),
    ]
    assert f"line {line_of(text, 'tube_od = 33.7')}" in mistakes[0].wanted


def test_names_given_twice_on_one_line_are_told(tmp_path: Path) -> None:
    rivet = '{name = "r", diameter = 6, hole = 6, grip = [1, 2], head = 9, head_height = 1, closed_end = true}'
    start = SHOP.index("[[rivet]]")
    text = swapped(SHOP, "\n\n", f"\nrivet = [{rivet}, {rivet}]\n\n")
    text = text.replace(SHOP[start : SHOP.index("[allowances]")], "")
    assert only(mistakes_of(read_shop, saved(tmp_path, text))).key == "rivet[2].name"


def test_an_unknown_unit_is_told_once_and_not_for_every_length(tmp_path: Path) -> None:
    text = swapped(SHOP, 'units = "mm"', 'units = "ft"').replace("hole = 6.5", 'hole = "big"')
    mistakes = mistakes_of(read_shop, saved(tmp_path, text))
    assert [m.key for m in mistakes] == ["units", "rivet[1].hole"]


def test_messages_are_in_the_files_own_unit(tmp_path: Path) -> None:
    text = swapped(SHOP, 'units = "mm"', 'units = "in"')
    mistakes = mistakes_of(read_shop, saved(tmp_path, text))
    assert next(m for m in mistakes if m.key == "tube[1].od").wanted == "write a length from 0.236 in to 7.874 in"


def test_every_mistake_is_told_at_once_in_line_order(tmp_path: Path) -> None:
    text = SHOP
    for old, new in (
        ("wall = 2.6", "wall = 20"),
        ('name = "28 x 2 tube"', 'name = "33.7 x 2.6 tube"'),
        ("kerf = 3", "kerf = -3"),
        ("tail = 60", "tale = 60"),
        ("closed_end = true", 'closed_end = "yes"'),
        ("trim = 10\nb", "b"),
    ):
        text = swapped(text, old, new)
    mistakes = mistakes_of(read_shop, saved(tmp_path, text))
    assert [m.key for m in mistakes] == [
        "tube[1].wall",
        "tube[2].name",
        "die[1].tale",
        "saw.kerf",
        "rivet[1].closed_end",
        "allowances.trim",
    ]
    assert [m.line for m in mistakes] == sorted(m.line for m in mistakes)


@pytest.mark.parametrize(("text", "kind"), [(VEHICLE, "vehicle"), (RACK, "rack")])
def test_a_file_of_another_kind_is_told_in_one_sentence(tmp_path: Path, text: str, kind: str) -> None:
    assert f"this is a {kind}'s file" in only(mistakes_of(read_shop, saved(tmp_path, text))).wanted


def test_too_many_entries_are_refused(tmp_path: Path) -> None:
    bar = SHOP[SHOP.index("[[bar]]") : SHOP.index("[[plate]]")]
    text = SHOP + "".join(bar.replace("50 x 5 bar", f"bar {i}") for i in range(limits.PARTS))
    assert "1,000 entries" in only(mistakes_of(read_shop, saved(tmp_path, text))).wanted


def test_mistakes_beyond_the_limit_are_counted(tmp_path: Path) -> None:
    text = SHOP + "".join(f"x{i} = 1\n" for i in range(500))
    mistakes = mistakes_of(read_shop, saved(tmp_path, text))
    assert len(mistakes) == limits.MISTAKES + 1
    assert any("and 300 mistakes more" in m.wanted for m in mistakes)
