"""What the rules place gives way to what stands there: bars, pads, bearers, uprights and legs beside one another."""

from __future__ import annotations

from pathlib import Path

import pytest

from rackgen import job
from rackgen.check.all import check
from rackgen.errors import BadInput, Finding, Level
from rackgen.made import Design
from tests.whole_design import Whole, read, table

STATIONS = "".join(
    f"[[roof.station]]\nx = {x}\ncrown = {c}\nhalf_width = 600\n"
    "offsets = [210, 420, 576]\ndrops = [4.0, 16.0, 30.1]\n\n"
    for x, c in ((0, -20), (500, -5), (1000, 0), (1500, -5), (2000, -20))
)
HEAD = 'format = 1\nname = "Plain wagon"\nunits = "mm"\ndatum = "a seam"\nroof_limit = 120\n\n[roof]\n' + (
    'reference = "level line"\nacross = "levelled"\n\n'
)


def wagon(*rows: float, corner: float = 560) -> str:
    """A wagon with pairs of plates on its roof, and rear corners."""
    text = HEAD + STATIONS
    for k, x in enumerate(rows):
        for side, sign in (("left", -1), ("right", 1)):
            text += table(f"mounts.row{k + 1}_{side}", {"kind": "roof", "x": x, "y": sign * 420, "zone": [40, 30],
                                                        "under": "bow", "skin": 0.8})  # fmt: skip
    for side, sign in (("left", -1), ("right", 1)):
        text += table(f"mounts.rear_{side}", {
            "kind": "rear corner", "x": 2020, "y": sign * (corner - 40), "lean": 0, "z": -85, "corner_radius": 40,
            "corner": corner, "to_shut_line": 200, "zone": 60, "under": "pillar", "skin": 0.8,
        })  # fmt: skip
    return text


def designed(folder: Path, vehicle: str, **tables: dict[str, object]) -> tuple[Design, tuple[Finding, ...]]:
    """Return a design, and what is found about it."""
    rack = 'format = 1\nname = "drawn"\nshop = "shop"\nvehicle = "vehicle"\nunits = "mm"\n\n'
    made = job.design(read(Whole((), vehicle, rack + "".join(table(n, k) for n, k in tables.items())), folder))
    return made, (*made.findings, *check(made.rack, made.job.shop, made.job.vehicle, made.job.spec)[1])


def bars(made: Design) -> list[float]:
    """Return X of the cross bars, vehicle frame."""
    return sorted(p.frame.origin[0] for p in made.rack.placed if p.word == "cross bar")


TRAY = {"kind": "tray", "width": 930, "length": 1200}
COLLIDES = {"runs-through", "cannot-cope", "lands-near-bend", "lands-near-butt", "root-gap"}


def codes(found: tuple[Finding, ...]) -> set[str]:
    return {f.code for f in found}


def test_no_bar_stands_on_a_hoops_front_bends(tmp_path: Path) -> None:
    """A frame whose front lies over its first feet has no bar there, and says what the feet lack."""
    _, found = designed(tmp_path, wagon(300, 1000), basket=TRAY, frame={"front": 200})
    assert not codes(found) & COLLIDES
    (said, _) = [f for f in found if f.code == "no-tube-over-mount"]
    assert "farther forward" in said.help


def test_a_bar_over_the_last_feet_ties_the_legs_at_the_straps(tmp_path: Path) -> None:
    made, found = designed(tmp_path, wagon(300, 1800), basket=TRAY)
    assert not codes(found) & COLLIDES
    assert min(b - a for a, b in zip(bars(made), bars(made)[1:], strict=False)) > 100
    assert "legs-untied" not in codes(found)


def test_legs_drop_behind_what_stands_on_a_foot(tmp_path: Path) -> None:
    """Saddles are cut to a bar in the frame's plane; a bar on legs that have dropped lies lower."""
    short = TRAY | {"length": 700, "forward": 200}
    made, _ = designed(tmp_path, wagon(300, 1500), basket=short, frame={"leg": "drop", "rake": -2})
    (x, z), *others = sorted((p.frame.origin[0], p.frame.origin[2]) for p in made.rack.placed if p.word == "cross bar")
    falls = [(b - z) / (a - x) for a, b in others]
    assert falls[1] == pytest.approx(falls[0], abs=1e-6)
    assert falls[2] < falls[0] - 0.01, "the bar at the straps has dropped"


@pytest.mark.parametrize("pads", [[-330.0, 0.0, 330.0], [-400.0, 120.0]])
def test_bars_keep_off_pads_placed_by_hand(tmp_path: Path, pads: list[float]) -> None:
    _, found = designed(tmp_path, wagon(300), basket=TRAY | {"pads": pads})
    assert not codes(found) & COLLIDES
    _, found = designed(tmp_path, wagon(300, 1600), basket=TRAY | {"pads": pads}, frame={"kind": "ladder"})
    assert not codes(found) & COLLIDES


def test_a_pad_by_hand_that_is_not_free_is_told_where_it_is(tmp_path: Path) -> None:
    made, found = designed(tmp_path, wagon(300, 1000), basket=TRAY | {"pads": [-300.0, 300.0]})
    middle = sum(p.frame.origin[0] for p in made.rack.placed if p.word == "ring hoop") / 2
    on_bar = round(bars(made)[1] - middle - 25)
    _, found = designed(tmp_path, wagon(300, 1000), basket=TRAY | {"pads": [-300.0, float(on_bar)]})
    (said,) = [f for f in found if f.code == "pad-not-free"]
    there = float(said.help.split("place is ")[1].split(" mm")[0])
    _, found = designed(tmp_path, wagon(300, 1000), basket=TRAY | {"pads": [-300.0, there]})
    assert not codes(found) & {*COLLIDES, "pad-not-free"}


@pytest.mark.parametrize("by_hand", ["bearers", "side_uprights"])
def test_bearers_and_uprights_make_room_for_one_another(tmp_path: Path, by_hand: str) -> None:
    for at in (100.0, 172.0, 200.0, 240.0):
        basket = {"kind": "basket", "width": 930, "length": 1200, "height": 200, by_hand: [-at, at]}
        made, found = designed(tmp_path, wagon(300), basket=basket)
        assert not codes(found) & COLLIDES, at
        assert sum(p.word == "bearer" for p in made.rack.placed) >= 2


def test_slats_of_tube_make_room_for_uprights_placed_by_hand(tmp_path: Path) -> None:
    for at in (120.0, 150.0, 190.0):
        basket = {"kind": "basket", "width": 930, "length": 1200, "height": 200, "side_uprights": [-at, at]}
        made, found = designed(tmp_path, wagon(300), basket=basket, floor={"kind": "slats", "gap": 60})
        assert not codes(found) & COLLIDES, at
        assert sum(p.word == "slat" for p in made.rack.placed) >= 10


def test_a_short_basket_has_uprights_between_slats(tmp_path: Path) -> None:
    basket = {"kind": "basket", "width": 930, "length": 680, "height": 200}
    made, found = designed(tmp_path, wagon(300), basket=basket, floor={"kind": "slats"})
    assert not codes(found) & COLLIDES
    assert sum(p.word == "upright" for p in made.rack.placed) >= 8


def test_no_two_bearers_of_close_bays_are_in_one_place(tmp_path: Path) -> None:
    floor = {"kind": "slats", "gap": 60}
    _, found = designed(tmp_path, wagon(300), basket=TRAY | {"length": 700, "floor": "20 x 3 bar"}, floor=floor)
    assert not codes(found) & COLLIDES


def test_a_bar_beyond_its_rails_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="straight and free from"):
        designed(tmp_path, wagon(300, 1600), frame={"kind": "ladder", "length": 1700, "cross_bars": [400.0, 1690.0]})


def test_an_even_bar_right_over_a_foot_is_one_bar(tmp_path: Path) -> None:
    frame = {"kind": "ladder", "front_end": "open", "bar_count": 3, "width": 1090}
    made, found = designed(tmp_path, wagon(300, 1000, 1700), basket=TRAY, frame=frame)
    assert len(bars(made)) == 3
    assert not codes(found) & COLLIDES


def test_one_bar_is_over_two_pairs_that_can_meet_under_it(tmp_path: Path) -> None:
    """A gutter and a roof row 10 mm apart fore and aft, both inboard of rails that are asked to lie far out."""
    gutters = "".join(
        table(f"mounts.rail{k}_{side}", {"kind": "gutter", "x": x, "y": sign * 600, "z": -60, "pitch": 0, "width": 36,
                                         "depth": 10, "metal": 3, "below": 30, "zone": 120})
        for k, x in ((1, 310), (2, 1600))
        for side, sign in (("left", -1), ("right", 1))
    )  # fmt: skip
    frame = {"kind": "ladder", "front_end": "open", "width": 1410}
    made, found = designed(tmp_path, wagon(300) + gutters, frame=frame, mounts={"front": "roof", "rear": "gutter"})
    assert sum(p.word == "saddle" for p in made.rack.placed) == 6
    assert not codes(found) & {*COLLIDES, "no-tube-over-mount"}
    assert min(b - a for a, b in zip(bars(made), bars(made)[1:], strict=False)) > 80


def test_no_bar_stands_on_a_drop_bend(tmp_path: Path) -> None:
    ahead = TRAY | {"length": 1000, "forward": 250}
    _, found = designed(tmp_path, wagon(300), basket=ahead, frame={"leg": "drop", "rake": -2})
    assert not codes(found) & COLLIDES


def test_a_short_basket_moves_to_where_its_pads_find_room(tmp_path: Path) -> None:
    """The bar asked for stands where a pad would: the basket lies a little farther along, and that is said."""
    short = TRAY | {"length": 640}
    frame = {"kind": "ladder", "width": 1090, "cross_bars": [950.0]}
    _, found = designed(tmp_path, wagon(300, 1700), basket=short, frame=frame)
    assert "basket-moved" in codes(found)
    assert not codes(found) & {*COLLIDES, "no-place-for-pad"}


def test_a_foot_between_leg_and_bar_moves_the_leg(tmp_path: Path) -> None:
    """A plate at 420 mm is carried by a leg within 30 mm, or by a bar whose legs are two diameters farther out."""
    _, found = designed(tmp_path, wagon(300, corner=555), basket={"kind": "tray", "width": 800, "length": 1200})
    assert "no-tube-over-mount" not in codes(found)


def pickup(*rows: float, pitch: float = 0.0, **keys: object) -> str:
    """A cab's roof, and pairs of places on the rails of the bed behind it."""
    text = HEAD + STATIONS
    for k, x in enumerate(rows):
        for side, sign in (("left", -1), ("right", 1)):
            text += table(f"mounts.bed{k + 1}_{side}", {
                "kind": "bed rail", "x": x, "y": sign * 650, "z": -400, "pitch": pitch, "roll": 0, "width": 90,
                "skin": 1, "zone": 120, **keys,
            })  # fmt: skip
    return text


BED = {"kind": "bed", "height": 500}


def test_a_flat_brace_ends_on_the_wall_of_a_post_whose_foot_slopes(tmp_path: Path) -> None:
    for pitch in (-2.0, 2.0):
        made, found = designed(tmp_path, pickup(2300, 3300, pitch=pitch), frame=BED | {"knee_braces": "bar"})
        assert sum(p.word == "knee brace" for p in made.rack.placed) == 4
        assert not codes(found) & COLLIDES


def test_braces_of_near_posts_do_not_cross(tmp_path: Path) -> None:
    for between in (300.0, 420.0, 520.0):
        vehicle = pickup(2300, 2300 + between, 2300 + 2 * between)
        _, found = designed(tmp_path, vehicle, frame=BED | {"knee_braces": "bar", "bar_count": 2})
        assert not codes(found) & COLLIDES, between


def test_a_post_moves_with_its_plate_off_a_stake_pocket(tmp_path: Path) -> None:
    """Under a post where its frame would have it lies a pocket; the plate moves, and the post stands on it."""
    made, found = designed(tmp_path, pickup(2200, 2900, pockets=[[2180, 2225]]), frame={"kind": "bed", "height": 200})
    assert not codes(found) & {*COLLIDES, "hole-in-pocket"}
    at = {p.id: p.frame for p in made.rack.placed}
    assert at["mount.bed1_left.post"].x[2] == pytest.approx(1.0, abs=1e-3), "it stands upright, seen from the side"


def test_more_rivets_keep_a_plate_farther_from_the_leg(tmp_path: Path) -> None:
    basket = {"kind": "tray", "width": 960, "length": 1200}
    _, found = designed(tmp_path, wagon(300), basket=basket, mounts={"plate_rivets": 10})
    assert "hole-behind-tube" not in codes(found)


def test_a_strap_brace_ends_above_the_wrap(tmp_path: Path) -> None:
    for z in (-26, -18):
        low = wagon(300).replace("z = -85", f"z = {z}")
        _, found = designed(tmp_path, low, basket=TRAY, frame={"rake": 0, "leg": "straight"})
        assert not codes(found) & COLLIDES, z


@pytest.mark.parametrize(("height", "said"), [(150, "post-short"), (220, "post-unbraced"), (400, "")])
def test_a_post_as_short_as_a_saddle_needs_no_brace(tmp_path: Path, height: int, said: str) -> None:
    _, found = designed(tmp_path, pickup(2300, 3300), frame=BED | {"height": height})
    assert codes(found) & {"post-short", "post-unbraced"} == ({said} if said else set())
    assert "post-short" not in {f.code for f in found if f.level > Level.NOTE}
