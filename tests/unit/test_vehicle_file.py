"""The vehicle's file: tape readings become a surface in the vehicle frame, and each mistake is told at its place."""

import math
import re
from pathlib import Path

import pytest
from preset_texts import STRAIGHTEDGE, VEHICLE, line_of, mistakes_of, only, saved, swapped

from rackgen.spec.read import read_vehicle
from rackgen.spec.vehicle import FrontMount, Obstacle, RearMount, Vehicle


def read(folder: Path, text: str) -> Vehicle:
    return read_vehicle(saved(folder, text))


def height(vehicle: Vehicle, x: float, y: float) -> float:
    return float(vehicle.roof.height(x, y))


def test_a_vehicle_is_read(tmp_path: Path) -> None:
    vehicle = read(tmp_path, VEHICLE)
    assert (vehicle.name, vehicle.datum, vehicle.roof_limit) == ("Test wagon", "a seam on the middle", 120)
    section = vehicle.roof.sections[1]
    assert section.x == 600
    assert section.ys == (-600, -300, 0, 300, 600)
    assert section.zs == (-34, -7, 2, -7, -34)
    assert (section.left, section.right) == (620, 620)
    assert vehicle.rear[0] == RearMount("rear_left", (1250, -558, -64), 0, 45, 595, 68, 12, "pillar", 0.8)
    assert vehicle.obstacles == (Obstacle("aerial", (-150, 260, -15), (-90, 310, 180)),)


def test_mounts_come_left_before_right_whatever_their_order_in_the_file(tmp_path: Path) -> None:
    left = VEHICLE.index("[mounts.front_left]")
    right = VEHICLE.index("[mounts.front_right]")
    end = VEHICLE.index("[mounts.rear_left]")
    vehicle = read(tmp_path, VEHICLE[:left] + VEHICLE[right:end] + VEHICLE[left:right] + VEHICLE[end:])
    assert [m.name for m in vehicle.front] == ["front_left", "front_right"]
    assert [m.name for m in vehicle.rear] == ["rear_left", "rear_right"]


def test_left_and_right_are_kept_apart(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "drops = [9, 36]", "left_drops = [10, 40]\nright_drops = [8, 32]", 2)
    text = swapped(text, "half_width = 620", "left = 610\nright = 630", 2)
    section = read(tmp_path, text).roof.sections[1]
    assert section.zs == (-38, -8, 2, -6, -30)
    assert (section.left, section.right) == (610, 630)


def test_a_front_mount_without_height_and_tilt_lies_on_the_roof(tmp_path: Path) -> None:
    left, right = read(tmp_path, VEHICLE).front
    # Across, the drops 9 and 36 at 300 and 600 are the parabola y² / 10 000; fore and aft 0, 2, 0 is one too.
    z = 2 * (1 - (400 / 600) ** 2) - 47**2 / 100
    across = math.degrees(math.atan(2 * 470 / 10_000))
    along = math.degrees(math.atan(2 * 2 * 400 / 600**2))
    assert right.at == pytest.approx((200, 470, z))
    assert (right.roll, right.pitch) == pytest.approx((across, -along))
    assert left.at == pytest.approx((200, -470, z))
    assert (left.roll, left.pitch) == pytest.approx((-across, -along))


def test_a_front_mounts_own_readings_are_used(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "y = -470", "y = -470\nz = -20\nroll = -5\npitch = 1")
    assert read(tmp_path, text).front[0] == FrontMount("front_left", (200, -470, -20), -5, 1, (40, 30), "bow", 0.8)


def test_a_straightedge_without_its_slope_is_the_zero_of_height(tmp_path: Path) -> None:
    vehicle = read(tmp_path, STRAIGHTEDGE)
    assert [s.zs[2] for s in vehicle.roof.sections] == [0, 10, 0]
    assert any("roof.level" in note and "21 mm" in note for note in vehicle.notes)


def test_a_straightedge_that_falls_to_the_rear_lowers_the_rear(tmp_path: Path) -> None:
    text = swapped(STRAIGHTEDGE, "blocks = 40", "blocks = 40\nlevel = 1.5")
    vehicle = read(tmp_path, text)
    fall = math.tan(math.radians(1.5))
    assert [s.zs[2] for s in vehicle.roof.sections] == pytest.approx([0, 10 - 600 * fall, -1200 * fall])
    assert not any("roof.level" in note for note in vehicle.notes)


def test_a_straightedge_is_measured_from_its_front_rest(tmp_path: Path) -> None:
    text = swapped(STRAIGHTEDGE, "blocks = 40", "blocks = 40\nlevel = 1")
    text = swapped(text, "rests = [0, 1200]", "rests = [600, 1200]").replace("down = 30", "down = 40")
    assert [s.zs[2] for s in read(tmp_path, text).roof.sections] == pytest.approx(
        [600 * math.tan(math.radians(1)), 0, -600 * math.tan(math.radians(1))]
    )


def test_a_straightedge_across_that_tilts_lowers_its_side(tmp_path: Path) -> None:
    text = swapped(STRAIGHTEDGE, "drops = [9, 36]", "left_drops = [9, 36]\nright_drops = [9, 36]\ncross_level = 0.5", 2)
    section = read(tmp_path, text).roof.sections[1]
    fall = 600 * math.tan(math.radians(0.5))
    assert (section.zs[0], section.zs[2], section.zs[-1]) == pytest.approx((-26 + fall, 10, -26 - fall))


STOOD = "[stood]\npitch = 2\nroll = 1\n\n[roof]"


def test_a_level_line_is_freed_of_how_the_vehicle_stood(tmp_path: Path) -> None:
    plain, stood = read(tmp_path, VEHICLE), read(tmp_path, swapped(VEHICLE, "[roof]", STOOD))
    down, right = math.tan(math.radians(2)), math.tan(math.radians(1))
    for x, y in ((0, 0), (600, 300), (1200, -600)):
        # The vehicle falls to the rear and to the right, so a level line overstates how low those are.
        assert height(stood, x, y) == pytest.approx(height(plain, x, y) + x * down + y * right)
    at, was = stood.rear[0].at, plain.rear[0].at
    assert at[2] == pytest.approx(was[2] + at[0] * down + at[1] * right)
    assert stood.rear[0].lean == plain.rear[0].lean + 2


def test_level_readings_at_mounts_are_freed_of_how_the_vehicle_stood(tmp_path: Path) -> None:
    text = swapped(VEHICLE, "y = -470", "y = -470\nroll = -5\npitch = 3")
    mount = read(tmp_path, swapped(text, "[roof]", STOOD)).front[0]
    assert (mount.roll, mount.pitch) == (-6, 1)


def test_a_straightedge_on_the_roof_moves_with_the_vehicle(tmp_path: Path) -> None:
    text = swapped(STRAIGHTEDGE, "blocks = 40", "blocks = 40\nlevel = 3.5")
    level = swapped(STRAIGHTEDGE, "blocks = 40", "blocks = 40\nlevel = 1.5")
    stood = read(tmp_path, swapped(text, "[roof]", STOOD))
    assert [s.zs for s in stood.roof.sections] == [s.zs for s in read(tmp_path, level).roof.sections]


def test_the_smallest_survey_is_read_and_says_what_it_leaves_open(tmp_path: Path) -> None:
    # Three stations, two offsets each, four mounts (shop practice 21).
    vehicle = read(tmp_path, VEHICLE)
    assert vehicle.notes == (
        "With 3 stations a wrong height along the middle cannot be told from a crowned roof (5 would show it): read "
        "those twice.",
        "The stations leave the roof's height at front_left, front_right open by up to 5 mm either way; a station "
        "through the mounts, or more offsets, would settle it.",
        "No hatch or rear door was measured: whether it opens clear of the rack is not known; add `[hatch]`.",
        "No level was read at front_left, front_right: their tilt comes from the roof's table, about half a degree "
        "less sure; hold each plate on the roof before its stub is cut.",
    )


def test_what_was_not_measured_is_noted(tmp_path: Path) -> None:
    text = STRAIGHTEDGE
    for nth in (1, 2):
        text = swapped(text, "drops = [9, 36]", "left_drops = [9, 36]\nright_drops = [8, 36]", nth)
    text = swapped(text, "x = 1250\ny = 558", "x = 1290\ny = 558")
    text = swapped(text, "y = 470", "y = 470\nz = -10\nroll = 5\npitch = 0")
    notes = "\n".join(read(tmp_path, text).notes)
    for says in (
        "roof.level",
        "cross_level) was not read at 2 of 3",
        "front_left: their tilt",
        "height read at front_right",
        "last 30 mm of the roof before rear_right",
    ):
        assert says in notes


def test_two_stations_with_one_offset_make_a_roof(tmp_path: Path) -> None:
    text = re.sub(r"\[\[roof.station\]\]\nx = 600.*?\n\n", "", VEHICLE, flags=re.DOTALL)
    text = text.replace("offsets = [300, 600]", "offsets = [550]").replace("drops = [9, 36]", "drops = [30]")
    vehicle = read(tmp_path, text)
    assert height(vehicle, 600, 275) == pytest.approx(-7.5)
    assert len(vehicle.notes) == 6


def test_a_roof_limit_may_be_unknown_or_in_pounds(tmp_path: Path) -> None:
    assert read(tmp_path, swapped(VEHICLE, "roof_limit = 120\n", "")).roof_limit is None
    text = swapped(VEHICLE, "roof_limit = 120", 'roof_limit = "265 lb"')
    assert read(tmp_path, text).roof_limit == pytest.approx(120.2, abs=0.01)


STATION = "[[roof.station]]\nx = 600\ncrown = 2\nhalf_width = 620\noffsets = [300, 600]\ndrops = [9, 36]\n"

SPOILT = [
    # old, new, nth, key, what the message says
    ('datum = "a seam on the middle"\n', "", 1, "datum", "in words"),
    ('reference = "level line"\n', "", 1, "roof.reference", "set a level line or a laser"),
    ('reference = "level line"', 'reference = "laser"', 1, "roof.reference", 'write "level line" or "straightedge"'),
    ('across = "levelled"\n', "", 1, "roof.across", "whether the transverse straightedge"),
    ("crown = 2\n", "", 1, "roof.station[2].crown", "at every station"),
    ("crown = 2", "down = 2", 1, "roof.station[2].down", "has `crown`"),
    ("crown = 2", "crown = 2\ndown = 2", 1, "roof.station[2].down", "not both"),
    ("x = 600", "x = 0", 1, "roof.station[2].x", "front to rear"),
    ("x = 600", "x = -600", 1, "roof.station[2].x", "front to rear"),
    ("x = 600", "x = 1195", 1, "roof.station[3].x", "at least 10 mm behind"),
    ("half_width = 620\n", "", 2, "roof.station[2].half_width", "both `left` and `right`"),
    ("half_width = 620", "left = 620", 2, "roof.station[2].half_width", "both `left` and `right`"),
    ("half_width = 620", "half_width = 620\nleft = 620\nright = 620", 2, "roof.station[2].half_width", "both `left`"),
    ("half_width = 620", "half_width = 6200", 2, "roof.station[2].half_width", "from 100 mm to 1500 mm"),
    ("half_width = 620", "half_width = 590", 2, "roof.station[2].offsets", "within the half width of 590 mm"),
    ("half_width = 620", "half_width = 721", 2, "roof.station[2].offsets", "further out: the last offset is 121 mm"),
    ("half_width = 620", "left = 620\nright = 725", 2, "roof.station[2].offsets", "measure further out"),
    ("offsets = [300, 600]", "offsets = [600, 300]", 2, "roof.station[2].offsets", "rising order"),
    ("offsets = [300, 600]", "offsets = [-300, 600]", 2, "roof.station[2].offsets[1]", "from 20 mm"),
    ("offsets = [300, 600]", "offsets = []", 2, "roof.station[2].offsets", "1 to 50 entries"),
    ("offsets = [300, 600]", "offsets = 600", 2, "roof.station[2].offsets", "a list in [ ]"),
    ("drops = [9, 36]\n", "", 2, "roof.station[2].drops", "both `left_drops` and `right_drops`"),
    ("drops = [9, 36]", "left_drops = [9, 36]", 2, "roof.station[2].drops", "both `left_drops` and `right_drops`"),
    ("drops = [9, 36]", "drops = [9]", 2, "roof.station[2].drops", "one drop for each of the 2 offsets"),
    (
        "drops = [9, 36]",
        "left_drops = [9]\nright_drops = [9, 36]",
        2,
        "roof.station[2].left_drops",
        "one drop for each",
    ),
    ("drops = [9, 36]", "drops = [9, 36]\ncross_level = 1", 2, "roof.station[2].cross_level", "has no tilt"),
    ("[roof]", "[roof]\nrests = [0, 1200]", 1, "roof.rests", "belongs to a straightedge"),
    ("[roof]", "[roof]\nblocks = 40", 1, "roof.blocks", "belongs to a straightedge"),
    ("[roof]", "[roof]\nlevel = 1", 1, "roof.level", "belongs to a straightedge"),
    ("[roof]", "[stood]\npitch = 20\n[roof]", 1, "stood.pitch", "degrees as a plain number from -15 to 15"),
    ("[roof]", '[stood]\npitch = "2 deg"\n[roof]', 1, "stood.pitch", "degrees as a plain number"),
    ("[roof]", "[stood]\npitch = true\n[roof]", 1, "stood.pitch", "degrees as a plain number"),
    ('kind = "roof"\n', "", 1, "mounts.front_left.kind", 'add kind = "roof" or "rear corner"'),
    ('kind = "roof"', 'kind = "drip rail"', 1, "mounts.front_left.kind", 'write "roof" or "rear corner"'),
    ('kind = "roof"', "kind = []", 1, "mounts.front_left.kind", 'write "roof" or "rear corner"'),
    ("y = -470", "y = 0", 1, "mounts.front_left.y", "to the left (negative) or to the right"),
    ("y = -470", "y = 470", 1, "mounts", 'kind "roof" to the left'),
    ("y = -470", "y = -640", 1, "mounts.front_left.x", "stands on the measured roof"),
    ("x = 200", "x = 1400", 1, "mounts.front_left.x", "stands on the measured roof"),
    ("y = -470", "y = -470\nz = 10", 1, "mounts.front_left.z", "roof's table is 30.98 mm lower there"),
    ("y = -470", "y = -470\nz = -50", 1, "mounts.front_left.z", "higher there"),
    ("zone = [40, 30]", "zone = 40", 1, "mounts.front_left.zone", "a list in [ ]"),
    ("zone = [40, 30]", "zone = [40]", 1, "mounts.front_left.zone", "exactly 2 entries"),
    ("zone = [40, 30]", "zone = [40, -3]", 1, "mounts.front_left.zone[2]", "from 0 mm"),
    ('under = "bow"', 'under = "glass"', 1, "mounts.front_left.under", '"pillar" or "rail" or "bow" or "skin"'),
    ("skin = 0.8", "skin = 8", 1, "mounts.front_left.skin", "from 0.3 mm to 6 mm"),
    ("y = -558", "y = -600", 1, "mounts.rear_left.y", "527 mm to 595 mm from the middle"),
    ("y = -558", "y = -520", 1, "mounts.rear_left.y", "between shut line and corner"),
    ("x = 1250", "x = 1100", 1, "mounts.rear_left.x", "last station, at 1200 mm"),
    ("lean = 0\n", "", 1, "mounts.rear_left.lean", "positive when its top leans forward"),
    ("to_shut_line = 68", "to_shut_line = 600", 1, "mounts.rear_left.to_shut_line", "less than `corner`"),
    ("corner_radius = 45", "radius = 45", 1, "mounts.rear_left.radius", "did you mean `corner_radius`?"),
    ("[mounts.front_left]", '[mounts."front left"]', 1, 'mounts."front left"', "letters, digits"),
    ("high = [-90, 310, 180]", "high = [-90, 310]", 1, "obstacle[1].high", "exactly 3 entries"),
    ("high = [-90, 310, 180]", "high = [-90, 260, 180]", 1, "obstacle[1].high", "larger than that of `low`"),
    ("roof_limit = 120", "roof_limit = -5", 1, "roof_limit", "from 1 to 5000 kg"),
    ("roof_limit = 120", 'roof_limit = "heavy"', 1, "roof_limit", "write kilograms"),
]


@pytest.mark.parametrize(("old", "new", "nth", "key", "says"), SPOILT, ids=[f"{s[3]}: {s[1][:30]!r}" for s in SPOILT])
def test_one_mistake_is_told_at_its_key(tmp_path: Path, old: str, new: str, nth: int, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_vehicle, saved(tmp_path, swapped(VEHICLE, old, new, nth))))
    assert mistake.key == key
    assert says in mistake.wanted
    assert mistake.line > 0 or key == "datum"


SPOILT_STRAIGHTEDGE = [
    ("rests = [0, 1200]\n", "", "roof.rests", "add `rests`"),
    ("rests = [0, 1200]", "rests = [0]", "roof.rests", "exactly 2 entries"),
    ("rests = [0, 1200]", "rests = [1200, 0]", "roof.rests", "rising order"),
    ("rests = [0, 1200]", "rests = [-50, 1200]", "roof.rests", "first station, at 0 mm, and the last, at 1200 mm"),
    ("blocks = 40", "blocks = 30", "roof.blocks", "`down` is 10 mm more"),
    ("blocks = 40\n", "", "roof.blocks", "`down` is 40 mm more"),
    ("down = 30\n", "", "roof.station[2].down", "at every station"),
    ("down = 30", "crown = 30", "roof.station[2].crown", "has `down`"),
    ("down = 30", "down = -3", "roof.station[2].down", "from 0 mm"),
]


@pytest.mark.parametrize(("old", "new", "key", "says"), SPOILT_STRAIGHTEDGE)
def test_one_mistake_with_a_straightedge_is_told(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    mistakes = mistakes_of(read_vehicle, saved(tmp_path, swapped(STRAIGHTEDGE, old, new)))
    assert any(m.key == key and says in m.wanted for m in mistakes), "\n".join(map(str, mistakes))


@pytest.mark.parametrize("text", [re.sub(r"crown = .*\n", "", VEHICLE), re.sub(r"down = .*\n", "", STRAIGHTEDGE)])
def test_a_roof_without_heights_fore_and_aft_is_refused_with_how_to_measure_them(tmp_path: Path, text: str) -> None:
    mistake = only(mistakes_of(read_vehicle, saved(tmp_path, text)))
    assert mistake.key == "roof"
    assert mistake.line == line_of(text, "[roof]")
    for word in ("level line or a laser", "straightedge on two equal blocks", "`crown`", "`down`", "`rests`"):
        assert word in mistake.wanted


def test_a_roof_of_one_station_is_refused(tmp_path: Path) -> None:
    text = re.sub(r"\[\[roof.station\]\]\nx = (?:600|1200).*?\n\n", "", VEHICLE, flags=re.DOTALL)
    mistakes = mistakes_of(read_vehicle, saved(tmp_path, text))
    assert any(m.key == "roof.station" and "2 to 200 entries" in m.wanted for m in mistakes)


def test_more_stations_than_the_limit_are_refused(tmp_path: Path) -> None:
    many = "".join(STATION.replace("x = 600", f"x = {1300 + 10 * i}") for i in range(198))
    text = swapped(VEHICLE, "[mounts.front_left]", f"{many}\n[mounts.front_left]")
    assert any("200 entries" in m.wanted for m in mistakes_of(read_vehicle, saved(tmp_path, text)))


def test_a_file_without_units_may_hold_no_bare_length_and_says_so_once(tmp_path: Path) -> None:
    text = swapped(VEHICLE, 'units = "mm"\n', "")
    mistake = only(mistakes_of(read_vehicle, saved(tmp_path, text)))
    assert mistake.line == line_of(text, "x = 0")
    assert mistake.key == "roof.station[1].x"
    assert 'units = "mm"' in mistake.wanted
    assert "so do 5" in mistake.wanted


def test_a_file_without_units_may_hold_lengths_with_their_own(tmp_path: Path) -> None:
    text = swapped(VEHICLE, 'units = "mm"\n', "")
    text = re.sub(
        r"^(x|y|z|crown|half_width|corner|corner_radius|to_shut_line|skin) = (\S+)$", r'\1 = "\2 mm"', text, flags=re.M
    )
    text = re.sub(r"^zone = (\d+)$", r'zone = "\1 mm"', text, flags=re.M)
    text = re.sub(
        r"^(\w+) = \[(.*)\]$",
        lambda m: f"{m[1]} = [" + ", ".join(f'"{n} mm"' for n in m[2].split(", ")) + "]",
        text,
        flags=re.M,
    )
    assert read(tmp_path, text) == read(tmp_path, VEHICLE)


def test_many_mistakes_in_many_tables_are_told_together(tmp_path: Path) -> None:
    text = VEHICLE
    for old, new, nth in (
        ("crown = 2\n", "", 1),
        ("x = 1200", "x = 500", 1),
        ("drops = [9, 36]", "drops = [9]", 1),
        ("y = -470", "y = true", 1),
        ('kind = "rear corner"', 'kind = "corner"', 2),
        ("[obstacle]", "[obstacel]", 1),
    ):
        text = swapped(text, old, new, nth)
    keys = [m.key for m in mistakes_of(read_vehicle, saved(tmp_path, text))]
    assert keys == [
        "roof.station[1].drops",
        "roof.station[2].crown",
        "roof.station[3].x",
        "mounts.front_left.y",
        "mounts.rear_right.kind",
        "obstacel",
    ]
