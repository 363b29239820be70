"""The rack's file: the record it makes, what may be left out, and each mistake at its key."""

from pathlib import Path

import pytest
from preset_texts import RACK, mistakes_of, only, saved, swapped

from rackgen.spec.rack import BasketWish, FrameWish, Gaps, MountWish, RackSpec, Waiver
from rackgen.spec.read import read_rack

LEAST = """\
format = 1
units = "in"
shop = "shed"
vehicle = "wagon"
basket = { width = 40, length = 42, height = 7 }
"""

FULL = """\
format = 1
name = "full-1"
title = "A whole rack"
units = "mm"
shop = "shed"
vehicle = "wagon"

[basket]
width = 1040
length = 1080
height = 184
ring_tube = "33.7 x 2.6 tube"
bar_tube = "26.9 x 2.6 tube"
bearers = [-314, -105, 105, 314]
side_uprights = [-210, 210]
end_uprights = [-260, 260]
floor = "mesh"
strip = "20 x 3 bar"
side_plates = 0
side_plate = "3 mm plate"
pads = [-300, 300]
forward = -20

[frame]
tube = "42.4 x 2.6 tube"
width = 1150
front = 50
cross_bars = [170, 1100]
leg = "tail"
left_leg = 1300
right_leg = 1290
rake = 0.5
roll = -0.3

[mounts]
tilt = "cope"
plate = "4 mm plate"
strap = "50 x 5 bar"
wrap = "50 x 3 bar"

[clearances]
tube = 30
tube_stop = 25
bow = 10
shut_line = 8

[[waiver]]
code = "shut-line"
part = "mount.rear_left.strap"
reason = "looked at"

[[waiver]]
code = "no-part"
reason = "why not"
"""


def test_a_basket_a_shop_and_a_vehicle_are_enough(tmp_path: Path) -> None:
    spec = read_rack(saved(tmp_path, LEAST, "my-first_rack.toml"))
    assert spec == RackSpec(
        "my-first_rack", "my-first_rack", "shed", "wagon", BasketWish(1016, pytest.approx(1066.8), pytest.approx(177.8))
    )
    assert (spec.frame, spec.mounts, spec.gaps, spec.waivers) == (FrameWish(), MountWish(), Gaps(), ())


def test_everything_that_can_be_said_arrives_in_the_record(tmp_path: Path) -> None:
    assert read_rack(saved(tmp_path, FULL)) == RackSpec(
        "full-1",
        "A whole rack",
        "shed",
        "wagon",
        BasketWish(
            1040, 1080, 184, "33.7 x 2.6 tube", "26.9 x 2.6 tube", (-314, -105, 105, 314), (-210, 210), (-260, 260),
            "mesh", "20 x 3 bar", 0, "3 mm plate", (-300, 300), -20,
        ),
        FrameWish("42.4 x 2.6 tube", 1150, 50, (170, 1100), "tail", 1300, 1290, 0.5, -0.3),
        MountWish("cope", "4 mm plate", "50 x 5 bar", "50 x 3 bar"),
        Gaps(30, 25, 10, 8),
        waivers=(Waiver("shut-line", "mount.rear_left.strap", "looked at"), Waiver("no-part", "", "why not")),
    )  # fmt: skip


def test_an_empty_list_is_not_the_same_as_none(tmp_path: Path) -> None:
    text = swapped(RACK, "[frame]", "side_uprights = []\n[frame]")
    assert read_rack(saved(tmp_path, text)).basket.side_uprights == ()
    assert read_rack(saved(tmp_path, RACK)).basket.side_uprights is None


SPOILT = [
    ('shop = "shed"\n', "", "shop", "name of the shop's preset"),
    ('shop = "shed"', 'shop = "../shed"', "shop", "without .toml"),
    ('shop = "shed"', 'shop = "shed.toml"', "shop", "without .toml"),
    ('shop = "shed"', 'shop = ""', "shop", "write a name"),
    ('shop = "shed"', "shop = 5", "shop", "write a name"),
    ('vehicle = "wagon"\n', "", "vehicle", "add `vehicle`"),
    ('vehicle = "wagon"', 'vehicel = "wagon"', "vehicel", "did you mean `vehicle`?"),
    ("units", 'name = "con"\nunits', "name", "write a name"),
    ("units", 'name = "a b"\nunits', "name", "write a name"),
    ("units", 'name = "a/b"\nunits', "name", "write a name"),
    ("units", 'name = ".."\nunits', "name", "write a name"),
    ("units", f'name = "{"n" * 61}"\nunits', "name", "at most 60"),
    ("units", 'title = ""\nunits', "title", "not empty"),
    ("width = 1000\n", "", "basket.width", "outside width"),
    ("width = 1000", "widht = 1000", "basket.widht", "did you mean `width`?"),
    ("width = 1000", 'width = "1000 in"', "basket.width", "from 200 mm to 3000 mm"),
    ("width = 1000", "width = -1000", "basket.width", "from 200 mm to 3000 mm"),
    ("height = 200", "height = 20", "basket.height", "from 40 mm to 1000 mm"),
    ("height = 200", "height = 200\nbearers = [100, -100]", "basket.bearers", "rising order"),
    ("height = 200", "height = 200\nbearers = [100, 100]", "basket.bearers", "rising order"),
    ("height = 200", "height = 200\nbearers = [-500, 100]", "basket.bearers", "within 500 mm"),
    ("height = 200", "height = 200\nside_uprights = [600]", "basket.side_uprights", "within 500 mm"),
    ("height = 200", "height = 200\nend_uprights = [600]", "basket.end_uprights", "within 500 mm"),
    ("height = 200", "height = 200\npads = [600]", "basket.pads", "within 500 mm"),
    ("height = 200", "height = 200\nside_plates = 1.5", "basket.side_plates", "a whole number from 0 to 100"),
    ("height = 200", "height = 200\nside_plates = -1", "basket.side_plates", "a whole number from 0 to 100"),
    ("height = 200", "height = 200\nside_plates = true", "basket.side_plates", "a whole number from 0 to 100"),
    ("height = 200", "height = 200\nring_tube = 33.7", "basket.ring_tube", "a text in quotes"),
    ("[frame]", "[frame]\ncross_bars = [-5]", "frame.cross_bars[1]", "from 1 mm"),
    ("[frame]", '[frame]\nleg = "bent"', "frame.leg", '"auto" or "straight" or "drop" or "tail"'),
    ("[frame]", "[frame]\nrake = 30", "frame.rake", "from -10 to 10"),
    ("[frame]", "[frmae]", "frmae", "did you mean `frame`?"),
    ('tilt = "foot"', 'tilt = "head"', "mounts.tilt", '"foot" or "cope"'),
    ("tube = 25", "tube = 15", "clearances.tube_stop", "not more than `tube`, 15 mm"),
    ("tube = 25", "tube = 25\ntube_stop = 26", "clearances.tube_stop", "not more than `tube`, 25 mm"),
    ("tube = 25", "tube = -1", "clearances.tube", "from 0 mm"),
    ('reason = "looked at"\n', "", "waiver[1].reason", "why it is accepted"),
    ('code = "shut-line"\n', "", "waiver[1].code", "code of the finding"),
    ("[[waiver]]", "[waiver]", "waiver", "write [[waiver]] for each"),
]


@pytest.mark.parametrize(("old", "new", "key", "says"), SPOILT, ids=[f"{s[2]}: {s[1][:30]!r}" for s in SPOILT])
def test_one_mistake_is_told_at_its_key(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_rack, saved(tmp_path, swapped(RACK, old, new))))
    assert mistake.key == key
    assert says in mistake.wanted


LADDER = 'format = 1\nshop = "shed"\nvehicle = "wagon"\nunits = "mm"\n[frame]\nkind = "ladder"\n'
BOWS, BED = LADDER.replace("ladder", "bows"), LADDER.replace('"ladder"', '"bed"\nheight = 600')

APART = [
    (RACK, "[mounts]\n", "[mounts]\npairs = 3\n", "mounts.pairs", "every foot"),
    (RACK, "[mounts]\n", '[mounts]\nrear = "gutter"\n', "mounts.rear", "end on straps"),
    (RACK, "[frame]", "[floor]\ngap = 40\n[frame]", "floor.gap", 'add kind = "slats"'),
    (LADDER, "", '[mounts]\nrear = "rear corner"\n', "mounts.rear", "stands on feet"),
    (LADDER, "", '[mounts]\nwrap = "60 x 5 bar"\n', "mounts.wrap", "under a hoop's strap"),
    (LADDER, "", '[mounts]\nstrap = "60 x 5 bar"\n', "mounts.strap", "knee braces of bar"),
    (BED, "", '[mounts]\nstrap = "60 x 5 bar"\n', "mounts.strap", "knee braces of bar"),
    (BED, "", '[mounts]\nfront = "roof"\n', "mounts.front", "stands on bed rails"),
    (BED, "", '[mounts]\nrear = "roof"\n', "mounts.rear", "stands on bed rails"),
    (BOWS, "", '[mounts]\ntilt = "cope"\n', "mounts.tilt", "cut to their feet"),
    (BOWS, "", "rake = 1\n", "frame.rake", "leave `rake` out"),
    (BOWS, "", "roll = 1\n", "frame.roll", "leave `roll` out"),
    (BOWS, "", 'leg = "drop"\n', "frame.leg", "only a hoop's legs drop"),
    (BOWS, "", 'leg = "tail"\n', "frame.leg", 'this frame is a "bows"'),
    (LADDER, "", '[floor]\nkind = "slats"\n', "floor.kind", "there is no floor"),
]


@pytest.mark.parametrize(("text", "old", "new", "key", "says"), APART, ids=[f"{a[3]}: {a[4]}" for a in APART])
def test_what_does_not_go_together_is_told_at_its_own_line(
    tmp_path: Path, text: str, old: str, new: str, key: str, says: str
) -> None:
    whole = swapped(text, old, new) if old else text + new
    mistake = only(mistakes_of(read_rack, saved(tmp_path, whole)))
    assert mistake.key == key
    assert says in mistake.wanted
    assert mistake.read
    line = whole.splitlines()[mistake.line - 1]
    assert line.startswith(f"{key.rpartition('.')[2]} =")


def test_numbers_without_end_are_told_with_whatever_else_is_wrong(tmp_path: Path) -> None:
    text = swapped(swapped(RACK, "width = 1000", "width = nan"), "height = 200", 'height = "high"')
    found = mistakes_of(read_rack, saved(tmp_path, text))
    assert [(m.key, m.read) for m in found] == [("basket.width", "nan"), ("basket.height", '"high"')]
    assert "finite" in found[0].wanted


@pytest.mark.parametrize("file", ["my rack.toml", "räck.toml", "-x.toml", "nul.toml"])
def test_a_file_whose_own_name_is_no_name_must_give_one(tmp_path: Path, file: str) -> None:
    assert "add `name`" in only(mistakes_of(read_rack, saved(tmp_path, RACK, file))).wanted
    named = swapped(RACK, "format = 1", 'format = 1\nname = "rack"')
    assert read_rack(saved(tmp_path, named, file)).name == "rack"


def test_more_parts_than_any_rack_has_are_refused(tmp_path: Path) -> None:
    many = ", ".join(str(i * 10) for i in range(-299, 300))
    text = swapped(RACK, "length = 1000", f"length = 6000\nbearers = [{many}]\nside_uprights = [{many}]")
    assert "at most 1,000 parts" in only(mistakes_of(read_rack, saved(tmp_path, text))).wanted
