"""Gutters, threads, tracks and bed rails in a vehicle's file: what is read, and every mistake at its key."""

from __future__ import annotations

from pathlib import Path

import pytest
from filled_form import filled
from preset_texts import VEHICLE, mistakes_of, only, saved, swapped

from rackgen.spec.foot_place import (
    BedRailPlace,
    FootKind,
    GutterPlace,
    ThreadsPlace,
    TrackPlace,
    kind_of,
    under_of,
    zone_of,
)
from rackgen.spec.measuring_form import Form, foot_mounts, groups
from rackgen.spec.read import read_vehicle
from rackgen.spec.readings import read_readings
from rackgen.spec.vehicle import Vehicle

BODY = VEHICLE[: VEHICLE.index("[mounts.front_left]")]
"""A vehicle's file without any mounts."""

OBSTACLE = VEHICLE[VEHICLE.index("[[obstacle]]") :]

ROWS = {
    "gutter": 'kind = "gutter"\nx = 300\ny = {y}\nz = -60\npitch = 1\nwidth = 22\ndepth = 12\n'
    "metal = 3\nbelow = 25\nzone = 200\n",
    "threads": 'kind = "threads"\nx = 300\ny = {y}\nz = -30\nroll = {roll}\nthread = "M8"\napart = 80\ndepth = 20\n'
    "width = 60\nlength = 160\n",
    "track": 'kind = "track"\nx = 300\ny = {y}\nz = -10\nwidth = 34\nslot = 11\nthread = "M8"\n'
    "lip = 3\nroom = 8\nzone = 300\n",
    "bed rail": 'kind = "bed rail"\nx = 2200\ny = {y}\nz = -400\nwidth = 70\nskin = 1\nzone = 150\n'
    "pockets = [[2100, 2150], [2500, 2550]]\n",
}


def pair(kind: str, name: str = "foot") -> str:
    """Give a left and a right place of a kind."""
    return "".join(
        f"[mounts.{name}_{side}]\n" + ROWS[kind].format(y=sign * 560, roll=sign * 5) + "\n"
        for side, sign in (("left", -1), ("right", 1))
    )


def read(folder: Path, text: str) -> Vehicle:
    return read_vehicle(saved(folder, text))


@pytest.mark.parametrize(
    ("kind", "record"),
    [
        ("gutter", GutterPlace("foot_left", (300, -560, -60), 1, 22, 12, 3, 25, 200)),
        ("threads", ThreadsPlace("foot_left", (300, -560, -30), -5, 0, 8, 80, 20, 60, 160)),
        ("track", TrackPlace("foot_left", (300, -560, -10), 0, 0, 34, 11, 8, 3, 8, 300)),
        ("bed rail", BedRailPlace("foot_left", (2200, -560, -400), 0, 0, 70, 1, 150, ((2100, 2150), (2500, 2550)))),
    ],
)
def test_a_pair_of_each_kind_is_read_alone(tmp_path: Path, kind: str, record: object) -> None:
    vehicle = read(tmp_path, BODY + pair(kind) + OBSTACLE)
    assert vehicle.front == ()
    assert vehicle.rear == ()
    left, right = vehicle.feet
    assert left == record
    assert (left.name, right.name) == ("foot_left", "foot_right")
    assert kind_of(left) == kind
    assert zone_of(left)[1] == 0
    assert under_of(left) == "rail"
    assert vehicle.foot_places == vehicle.feet


def test_kinds_stand_beside_roof_mounts_and_corners(tmp_path: Path) -> None:
    vehicle = read(tmp_path, VEHICLE.replace(OBSTACLE, pair("gutter") + pair("track", "on_track") + OBSTACLE))
    assert [kind_of(p) for p in vehicle.foot_places] == ["roof", "roof", *(["gutter", "track"] * 2)]
    assert [p.at[1] < 0 for p in vehicle.feet] == [True, True, False, False]
    assert len(vehicle.rear) == 2


def test_levels_are_freed_of_how_the_vehicle_stood(tmp_path: Path) -> None:
    text = BODY.replace("[roof]", "[stood]\npitch = 0.5\nroll = 1\n\n[roof]", 1)
    left = read(tmp_path, text + pair("threads") + OBSTACLE).feet[0]
    assert isinstance(left, ThreadsPlace)
    assert (left.roll, left.pitch) == (pytest.approx(-6), 0)
    gutter = read(tmp_path, text + pair("gutter") + OBSTACLE).feet[0]
    assert gutter.pitch == pytest.approx(0.5)


def test_one_thread_alone_has_nothing_apart(tmp_path: Path) -> None:
    left = read(tmp_path, BODY + pair("threads").replace("apart = 80\n", "") + OBSTACLE).feet[0]
    assert isinstance(left, ThreadsPlace)
    assert left.apart == 0


@pytest.mark.parametrize(
    ("kind", "old", "new", "key", "wanted"),
    [
        ("gutter", "y = -560", "y = 0", "mounts.foot_left.y", "to the left (negative) or to the right"),
        ("gutter", "width = 22", "width = 2", "mounts.foot_left.width", "5 mm to 80 mm"),
        ("gutter", "metal = 3\n", "", "mounts.foot_left.metal", "all layers"),
        ("gutter", "depth = 12", "deep = 12", "mounts.foot_left.deep", "did you mean `depth`"),
        ("threads", 'thread = "M8"', 'thread = "M7"', "mounts.foot_left.thread", '"M6" or "M8" or "M10"'),
        ("threads", "apart = 80", "apart = 10", "mounts.foot_left.apart", "20 mm apart or more"),
        ("threads", "length = 160", "length = 60", "mounts.foot_left.length", "not less than `apart`"),
        ("track", "slot = 11", "slot = 7", "mounts.foot_left.slot", "wider than the bolt"),
        ("track", "slot = 11", "slot = 40", "mounts.foot_left.slot", "narrower than the track"),
        ("bed rail", "[2100, 2150]", "[2150, 2100]", "mounts.foot_left.pockets[1]", "rising order"),
        ("bed rail", "[2100, 2150]", "[2150]", "mounts.foot_left.pockets[1]", "exactly 2"),
    ],
)
def test_one_mistake_is_told_at_its_key(tmp_path: Path, kind: str, old: str, new: str, key: str, wanted: str) -> None:
    text = swapped(BODY + pair(kind) + OBSTACLE, old, new)
    mistake = only(mistakes_of(read, tmp_path, text))
    assert mistake.key == key
    assert wanted in mistake.wanted


def test_a_kind_on_one_side_only_is_refused(tmp_path: Path) -> None:
    one = pair("track")
    text = BODY + one[: one.index("[mounts.foot_right]")] + OBSTACLE
    mistake = only(mistakes_of(read, tmp_path, text))
    assert (mistake.key, mistake.wanted) == ("mounts", 'a rack needs a mount of kind "track" to the right; add it')


def test_a_vehicle_without_any_mounts_is_refused(tmp_path: Path) -> None:
    mistake = only(mistakes_of(read, tmp_path, BODY + "[mounts]\n\n" + OBSTACLE))
    assert mistake.wanted == 'a rack needs a mount of kind "roof" to the left and the right; add it'


@pytest.mark.parametrize("kind", list(ROWS))
def test_the_measuring_form_has_a_box_for_every_key_of_a_kind(kind: FootKind) -> None:
    form = Form(feet=(kind, kind))
    found = {g.name: g for g in groups(form)}
    word = kind.replace(" ", "_")
    assert foot_mounts(form) == tuple(f"{word}_{k}_{side}" for k in (1, 2) for side in ("left", "right"))
    asked = {line.partition(" ")[0] for line in ROWS[kind].splitlines()}
    boxes = {b.key.split(".")[2].partition("[")[0] for b in found[f"{word}_1_left"].boxes}
    assert asked <= boxes


def test_a_filled_form_with_a_pair_of_gutters_gives_them_to_the_vehicle(tmp_path: Path) -> None:
    change: dict[str, str] = {}
    for side, sign in (("left", -1), ("right", 1)):
        for line in ROWS["gutter"].format(y=sign * 640, roll=0).splitlines():
            key, _, value = line.partition(" = ")
            change[f"mounts.gutter_1_{side}.{key}"] = value.strip('"')
    vehicle = read_readings(filled(tmp_path, change)).vehicle
    assert [p.name for p in vehicle.feet] == ["gutter_1_left", "gutter_1_right"]
    assert isinstance(vehicle.feet[0], GutterPlace)
    assert vehicle.feet[0].metal == 3
