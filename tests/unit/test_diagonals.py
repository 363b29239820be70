"""Cross diagonals find the mount that was read wrong; three points stand in for a level; a straightedge reaches."""

import math
from pathlib import Path

import numpy as np
import pytest
from preset_texts import STRAIGHTEDGE, VEHICLE, mistakes_of, only, saved, swapped

from rackgen.errors import GeometryError
from rackgen.geom.three_points import slope_of
from rackgen.spec.read import read_vehicle
from rackgen.spec.vehicle import Vehicle

PAIRS = [
    ("datum", "front_left"),
    ("datum", "front_right"),
    ("datum", "rear_left"),
    ("datum", "rear_right"),
    ("front_left", "rear_right"),
    ("front_right", "rear_left"),
]


def taped(folder: Path, *, odd: dict[int, float] | None = None) -> str:
    """Return the vehicle's text with its six true diagonals, some of them changed by so much."""
    vehicle = read_vehicle(saved(folder, VEHICLE))
    at = {m.name: m.at for m in (*vehicle.front, *vehicle.rear)} | {"datum": (0.0, 0.0, 0.0)}
    rows = [
        f'[[diagonal]]\nbetween = ["{a}", "{b}"]\nlength = {math.dist(at[a], at[b]) + (odd or {}).get(n, 0.0):.1f}\n'
        for n, (a, b) in enumerate(PAIRS)
    ]
    return VEHICLE + "\n" + "\n".join(rows)


def read(folder: Path, text: str) -> Vehicle:
    return read_vehicle(saved(folder, text))


def test_diagonals_that_agree_raise_no_doubt(tmp_path: Path) -> None:
    assert read(tmp_path, taped(tmp_path)).doubts == ()


def test_a_mount_read_too_far_forward_is_the_one_that_is_named(tmp_path: Path) -> None:
    text = swapped(taped(tmp_path), "x = 200\ny = -470", "x = 160\ny = -470")
    doubts = read(tmp_path, text).doubts
    assert [d.name for d in doubts] == ["diagonal[1].length", "diagonal[5].length"]
    assert all("measure x, y and z of front_left again" in d.text for d in doubts)


def test_a_diagonal_that_is_wrong_alone_is_to_be_taped_again(tmp_path: Path) -> None:
    (doubt,) = read(tmp_path, taped(tmp_path, odd={4: 30.0})).doubts
    assert doubt.name == "diagonal[5].length"
    assert "tape this one again" in doubt.text
    assert doubt.off == pytest.approx(30, abs=0.1)


def test_a_diagonal_to_a_mount_that_is_not_there_is_refused(tmp_path: Path) -> None:
    text = swapped(taped(tmp_path), '["datum", "front_left"]', '["datum", "frontleft"]')
    mistake = only(mistakes_of(lambda: read(tmp_path, text)))
    assert mistake.key == "diagonal[1].between[2]"
    assert 'did you mean "front_left"?' in mistake.wanted


def test_three_points_give_the_plane_that_they_were_taken_from() -> None:
    rng = np.random.default_rng(4)
    for _ in range(50):
        a, b, c = rng.uniform(-0.5, 0.5), rng.uniform(-0.5, 0.5), rng.uniform(-100, 100)
        middle = rng.uniform(-500, 500, 2)
        turn = rng.uniform(0, 2 * math.pi)
        xy = [middle + 60 * np.array([math.cos(turn + t), math.sin(turn + t)]) for t in (0.0, 2.0, 4.0)]
        found = slope_of([(x, y, a * x + b * y + c) for x, y in xy])
        assert found == pytest.approx((a, b, c), abs=1e-9)


def test_three_points_nearly_on_one_line_give_no_slope() -> None:
    with pytest.raises(GeometryError, match="one line"):
        slope_of([(0, 0, 0), (50, 5, 1), (100, 10, 2)])


def test_a_mounts_tilt_from_three_points(tmp_path: Path) -> None:
    roll, pitch = 5.0, -1.5
    fall = -math.tan(math.radians(roll)), -math.tan(math.radians(pitch))
    xy = ((150, -430), (250, -430), (200, -520))
    points = [[x, y, -20 + (y + 470) * fall[0] + (x - 200) * fall[1]] for x, y in xy]
    vehicle = read(tmp_path, swapped(VEHICLE, "y = -470", f"y = -470\npoints = {points}"))
    assert (vehicle.front[0].roll, vehicle.front[0].pitch) == pytest.approx((roll, pitch))
    # The triangle is 90 mm high over its longest side, 102.96: its least height is 87.4 mm, and atan(1 / 87.4) is 0.66.
    assert any("front_left comes from three points" in n and "up to 0.7 degrees" in n for n in vehicle.notes)


@pytest.mark.parametrize(
    ("points", "wanted"),
    [
        ("[[0, 0, 0], [100, 100, 5]]", "exactly 3"),
        ("[[0, 0, 0], [100, 100, 5], [200, 200, 9]]", "nearly on one line"),
    ],
)
def test_points_that_give_no_tilt_are_refused(tmp_path: Path, points: str, wanted: str) -> None:
    text = swapped(VEHICLE, "y = -470", f"y = -470\npoints = {points}")
    assert wanted in only(mistakes_of(lambda: read(tmp_path, text))).wanted


def test_points_and_level_readings_are_not_both_given(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "y = -470", "y = -470\nroll = 1\npoints = [[0, 0, 0], [100, 0, 5], [0, 100, 9]]")
    assert "not both" in only(mistakes_of(lambda: read(tmp_path, text))).wanted


def test_a_straightedge_shorter_than_the_roof_is_refused(tmp_path: Path) -> None:
    text = swapped(STRAIGHTEDGE, "blocks = 40", "blocks = 40\nedge_along = 1000\nedge_across = 1100")
    found = mistakes_of(lambda: read(tmp_path, text))
    assert {m.key for m in found} == {"roof.edge_along", "roof.edge_across"}
    assert all("shorter than the 1200 mm" in m.wanted for m in found)


def test_a_level_read_with_the_wrong_sign_is_doubted(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "y = -470", "y = -470\nroll = 5.2\npitch = -0.2")
    (doubt,) = read(tmp_path, text).doubts
    assert (doubt.name, doubt.read) == ("mounts.front_left.roll", "5.2 degrees")
    assert doubt.text == "the roof's table says -5.4 degrees there; is its sign right?"
    assert read(tmp_path, swapped(text, "roll = 5.2", "roll = -5.2")).doubts == ()


def test_a_level_far_off_the_table_is_doubted(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "y = -470", "y = -470\nroll = -5.2\npitch = 21")
    assert [d.name for d in read(tmp_path, text).doubts] == ["mounts.front_left.pitch"]
