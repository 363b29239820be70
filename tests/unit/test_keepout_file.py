"""What a vehicle's file says of hatch, doors, roof panel, aerial, eye and heights, and what is refused of it."""

from pathlib import Path

import pytest
from preset_texts import VEHICLE, mistakes_of, saved, swapped

from rackgen.spec.keepouts import Aerial, Box, Cylinder, KeepOuts
from rackgen.spec.read import read_vehicle

MORE = """
[[keep_out]]
kind = "box"
name = "roof rail"
low = [0, 600, -40]
high = [900, 640, 20]

[[keep_out]]
kind = "cylinder"
name = "lamp"
start = [-200, -300, 20]
end = [-200, 300, 20]
radius = 20
gap = 30

[[keep_out]]
kind = "aerial"
foot = [-100, 400, 0]
tip = [200, 400, 400]
radius = 3

[hatch]
hinge = [[1240, -500, -30], [1240, 500, -30]]
width = 1040
height = 700
lean = 10
thickness = 60
opens = 88

[opening_roof]
kind = "tilt"
outline = [[100, -300, 0], [100, 300, 0], [500, 300, 0], [500, -300, 0]]
thickness = 20
edge = [[100, -300, 0], [100, 300, 0]]
opens = 6

[[door]]
name = "left front door"
hinge = [[-700, -700, -900], [-700, -700, -300]]
edge = [[-500, -640, -60], [200, -640, -50]]
opens = 70

[eye]
at = [-400, -350, -250]
glass_top = [-700, -350, -60]

[heights]
floor_to_datum = 1850
garage = 2200
sag_per_100kg = 12
load = 60
load_height = 300
"""
TEXT = VEHICLE + MORE


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """Every kind is read with its own gap or the usual one."""
    found = read_vehicle(saved(tmp_path, TEXT)).keep_outs
    assert found.fixed == (
        Box("roof rail", (0, 600, -40), (900, 640, 20), 20),
        Cylinder("lamp", (-200, -300, 20), (-200, 300, 20), 20, 30),
        Aerial("aerial", (-100, 400, 0), (200, 400, 400), 3, 20),
    )
    hatch = found.hatch
    assert hatch is not None
    assert hatch.gap == 25
    top_left, top_right, low_right, low_left = hatch.outline
    assert top_left == (1240, -520, -30)
    assert top_right == (1240, 520, -30)
    # A top that leans forward by 10 degrees: 700 down the face are 121.6 aft and 689.4 down.
    assert low_right == pytest.approx((1361.55, 520, -719.37), abs=0.01)
    assert low_left == pytest.approx((1361.55, -520, -719.37), abs=0.01)
    assert found.opening_roof is not None
    assert found.opening_roof.by == 6
    assert found.doors[0].name == "left front door"
    assert found.eye is not None
    assert found.heights is not None
    assert found.heights.trailer is None
    assert found.eye.look_up == 15


def test_a_vehicle_without_them_has_none(tmp_path: Path) -> None:
    """All of it may be left out."""
    assert read_vehicle(saved(tmp_path, VEHICLE)).keep_outs == KeepOuts()


@pytest.mark.parametrize(
    ("old", "new", "key", "wanted"),
    [
        ("[1240, 500, -30]]", "[1240, -500, -30]]", "hatch.hinge", "or they give no direction"),
        ("opens = 88", "opens = 288", "hatch.opens", "from 1 to 200"),
        ("width = 1040\n", "", "hatch.width", "add it with height"),
        ("width = 1040\n", "width = 1040\noutline = [[0,0,0],[1000,0,0],[0,1000,0]]\n", "hatch.outline", "not both"),
        ("[500, 300, 0], [500, -300, 0]]", "[500, 300, 0]]\n#", None, None),
        ("[500, 300, 0], [500, -300, 0]]", "[100, 500, 0]]\n#", "opening_roof.outline", "on one line"),
        ("[100, 300, 0], [500, 300, 0], [500", "[100, 300, 0], [500, 300, 200], [500", "opening_roof.outline",
         "off one plane"),
        ("[500, 300, 0], [500, -300, 0]]", "[500, -300, 0], [500, 300, 0]]", "opening_roof.outline", "sides cross"),
        ("edge = [[100, -300, 0], [100, 300, 0]]", "edge = [[100, -300, 0], [100, -300, 5]]", "opening_roof.edge",
         "give no direction"),
        ('kind = "tilt"', 'kind = "fold"', "opening_roof.kind", "write"),
        ("outline = [[100, -300, 0], [100, 300, 0], [500, 300, 0], [500, -300, 0]]",
         "outline = [[100, -300, 0], [100, 300, 0]]", "opening_roof.outline", "3 to 60 entries"),
        ("[-700, -700, -300]]", "[-700, -700, -900]]", "door[1].hinge", "give no direction"),
        ("end = [-200, 300, 20]", "end = [-200, -300, 20]", "keep_out[2].end", "apart"),
        ("tip = [200, 400, 400]", "tip = [-100, 400, 0]", "keep_out[3].tip", "apart"),
        ("high = [900, 640, 20]", "high = [900, 640, -50]", "keep_out[1].high", "larger"),
        ("glass_top = [-700, -350, -60]", "glass_top = [-300, -350, -60]", "eye.glass_top", "ahead of the eye"),
        ("glass_top = [-700, -350, -60]", "glass_top = [-700, -350]", "eye.glass_top", "exactly 3"),
        ("garage = 2200", "garage = nan", "heights.garage", "finite"),
        ("sag_per_100kg = 12", "sag_per_100kg = -1", "heights.sag_per_100kg", "from 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_place(
    tmp_path: Path, old: str, new: str, key: str | None, wanted: str | None
) -> None:
    """Each mistake is told at its key; what is right passes."""
    text = TEXT.replace(old, new, 1)
    assert text != TEXT
    if key is None or wanted is None:
        read_vehicle(saved(tmp_path, text))
        return
    found = mistakes_of(lambda: read_vehicle(saved(tmp_path, text)))
    assert [m.key for m in found] == [key], found
    assert wanted in found[0].wanted


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    """A hinge, a door and a roof panel that are wrong give three mistakes."""
    text = swapped(TEXT, "[1240, 500, -30]]", "[1240, -500, -30]]", 1)
    text = swapped(text, "[-700, -700, -300]]", "[-700, -700, -900]]", 1)
    text = swapped(text, "opens = 6", "opens = 600", 1)
    found = mistakes_of(lambda: read_vehicle(saved(tmp_path, text)))
    assert {m.key for m in found} == {"hatch.hinge", "door[1].hinge", "opening_roof.opens"}
    assert all(m.line for m in found)
