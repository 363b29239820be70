"""Ten unlike racks, written as a fabricator with a tape measure writes them: each is cleared, or stopped for a reason.

Limits of how such racks are built are common practice, no source.
"""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rackgen import job, paper
from rackgen.errors import Level
from rackgen.geom import spine
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import clock_direction
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Along, AtEnd, Placed
from rackgen.parts.resolve import end_frame
from rackgen.spec.read import read_job
from rackgen.spec.vehicle import RearMount

pytestmark = pytest.mark.racks

RACKS = Path(__file__).with_name("ten") / "racks"

EXPECTED: dict[str, list[tuple[Level, str]]] = {
    # A barrel or an egg of a roof lets no bar lie between legs that drop beside it.
    "barrel-cab": [(Level.LOOK, "legs-untied")],
    # Its legs pass over the outer holes of plates that lean a good 20 degrees.
    "egg-basket": [(Level.LOOK, "hole-behind-tube"), (Level.LOOK, "hole-behind-tube"), (Level.LOOK, "legs-untied")],
    "bent-estate": [],
    # Two bearers pass close over a roof vent.
    "camper-cap": [(Level.LOOK, "near-obstacle"), (Level.LOOK, "near-obstacle")],
    "fastback-drop": [],
    # Its middle uprights, placed by hand, stand on the butts of both rings.
    "heavy-hand": [(Level.STOP, "lands-near-butt")] * 4,
    "long-ladder": [],
    "nose-up-tails": [],
    "post-round": [],
    "rail-rider": [],
}
# Tests take them with `scope="module"`: rack after rack, so that two processes do not both design all of them.
NAMES = sorted(EXPECTED)


@cache
def made(name: str) -> Design:
    return job.checked(job.design(read_job(str(RACKS / f"{name}.toml"))))


def word(name: str, what: str) -> list[Placed]:
    return [p for p in made(name).rack.placed if p.word == what]


def tube(placed: Placed) -> BentTube:
    assert isinstance(placed.part, BentTube)
    return placed.part


def plate(placed: Placed) -> CutPlate:
    assert isinstance(placed.part, CutPlate)
    return placed.part


def hung(name: str) -> list[tuple[RearMount, Placed]]:
    rack = made(name)
    return [(m, rack.rack.part(f"mount.{m.name}.strap")) for m in rack.job.vehicle.rear]


def outward(mount: RearMount) -> np.ndarray:
    """Give the unit normal of a rear face: level when it is plumb, looking up when its top leans forward."""
    lean = math.radians(mount.lean)
    return np.array([math.cos(lean), 0.0, math.sin(lean)])


def test_these_are_ten() -> None:
    assert sorted(p.stem for p in RACKS.glob("*.toml")) == NAMES
    assert len(NAMES) == 10


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_each_is_cleared_or_stopped_for_what_a_fabricator_would_say(name: str) -> None:
    found = [(f.level, f.code) for f in made(name).findings if f.level > Level.NOTE]
    assert found == EXPECTED[name], [f.text for f in made(name).findings]
    assert made(name).cleared == all(level is not Level.STOP for level, _ in EXPECTED[name])


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_straps_lie_on_wrap_and_packer_and_these_on_their_bed(name: str) -> None:
    rack, shop = made(name).rack, made(name).job.shop
    for mount, strap in hung(name):
        face, out = np.array(mount.at), outward(mount)
        for part_id in (f"mount.{mount.name}.wrap", f"mount.{mount.name}.packer", strap.id):
            part = rack.part(part_id).part
            assert isinstance(part, FoldedBar)
            t = part.section.thickness
            under = shop.bedding
            if part_id == strap.id:
                wrap = rack.part(f"mount.{mount.name}.wrap").part
                assert isinstance(wrap, FoldedBar)
                under += wrap.section.thickness
            flats = [
                rack.part(part_id).frame.then(f)
                for f, _, bend in legs_and_arcs(part.flats, part.folds, t, part.section.width)
                if not bend
            ]
            on_body = [f for f in flats if abs(float(np.asarray(f.z) @ out)) > 0.999]
            assert len(on_body) == 1, part_id
            middle = np.asarray(on_body[0].point((1.0, 0.0, 0.0)))
            assert float((middle - face) @ out) == pytest.approx(under + t / 2, abs=0.01), part_id


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_the_leg_lies_along_its_strap_and_ends_a_little_past_it(name: str) -> None:
    rack = made(name).rack
    for mount, strap in hung(name):
        side = "left" if mount.at[1] < 0 else "right"
        joint = next(j for j in rack.joints if j.id == f"{strap.id}")
        assert isinstance(joint.b, Along)
        leg = rack.part(joint.b.part)
        part = tube(leg)
        axis = leg.frame.then(spine.frame_at(part.spine, joint.b.at))
        bar = strap.part
        assert isinstance(bar, FoldedBar)
        flats = [
            strap.frame.then(f)
            for f, _, bend in legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width)
            if not bend
        ]
        along = max(flats, key=lambda f: abs(float(np.asarray(f.x) @ np.asarray(axis.x))))
        assert abs(float(np.asarray(along.x) @ np.asarray(axis.x))) == pytest.approx(1.0, abs=1e-9)
        gap = np.asarray(along.origin) - np.asarray(axis.origin)
        gap -= np.asarray(axis.x) * float(gap @ np.asarray(axis.x))
        assert float(np.linalg.norm(gap)) == pytest.approx(part.section.od / 2 + bar.section.thickness / 2, abs=0.01)
        cap = np.asarray(rack.part(f"frame.cap.{side}").frame.origin)
        stack = made(name).job.shop.bedding + 2 * bar.section.thickness
        # Measured along the leg from the strap's outer face; the wrap is no thicker than the strap.
        past = float((cap - np.array(mount.at)) @ outward(mount)) / float(np.asarray(axis.x) @ outward(mount))
        assert abs(past) == pytest.approx(25.0 + stack, abs=12.0)


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_water_runs_out_of_every_vent_and_drain(name: str) -> None:
    """Level tubes are vented on their low side, uprights in their lower half; legs drain at their ends."""
    down = -np.asarray(made(name).rack.part("basket.lower.front").frame.z)
    if down[2] > 0:
        down = -down
    for placed in made(name).rack.placed:
        if not isinstance(placed.part, BentTube):
            continue
        part = placed.part
        for hole in part.holes:
            at = placed.frame.then(spine.frame_at(part.spine, hole.at))
            looks = np.asarray(at.direction(clock_direction(hole.clock)))
            if hole.purpose == "plug weld":
                continue
            if placed.word == "upright":
                ends = [placed.frame.point((x, 0.0, 0.0))[2] for x in (0.0, spine.length(part.spine))]
                assert at.origin[2] - min(ends) <= 0.55 * (max(ends) - min(ends)), placed.id
            else:
                assert looks[2] < -0.8, (placed.id, hole)


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_butts_line_up(name: str) -> None:
    """The ends of two butted tubes share a point and look into each other."""
    rack = made(name).rack
    butts = [j for j in rack.joints if j.kind == "butt with sleeve"]
    assert len(butts) == (6 if word(name, "leg tail") else 4)
    for joint in butts:
        assert isinstance(joint.a, AtEnd)
        assert isinstance(joint.b, AtEnd)
        (one, inward), (other, back) = (end_frame(rack.part(a.part), a.end) for a in (joint.a, joint.b))
        assert math.dist(one.origin, other.origin) < 1e-6
        assert float(np.asarray(inward) @ np.asarray(back)) == pytest.approx(-1.0, abs=1e-12)


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_cross_bars_lie_level_across_and_clear_of_the_roof(name: str) -> None:
    rack, roof = made(name).rack, made(name).job.vehicle.roof
    for bar in word(name, "cross bar"):
        part = tube(bar)
        assert abs(bar.frame.x[2]) < 1e-9
        axis = bar.frame.points(np.column_stack([np.linspace(0, spine.length(part.spine), 41), *np.zeros((2, 41))]))
        assert roof.gap(axis).min() - part.section.od / 2 >= made(name).job.spec.gaps.tube_stop
    assert rack.part("frame.bar[1]").frame.origin[0] < rack.part("frame.bar[2]").frame.origin[0]


def test_a_long_rack_gets_tails_more_pads_more_bars_and_a_floor_in_two() -> None:
    rack = made("long-ladder")
    assert len(word("long-ladder", "leg tail")) == 2
    assert len(word("long-ladder", "clamp pad")) == 8
    assert len(word("long-ladder", "cross bar")) == 5
    panels = word("long-ladder", "floor panel")
    assert len(panels) == 2
    ends = [[v.x for v in plate(p).outline] for p in panels]
    joints = sorted(p.frame.point((x, 0, 0))[0] for p, xs in zip(panels, ends, strict=True) for x in (min(xs), max(xs)))
    assert joints[1] == pytest.approx(joints[2])
    bearers = [b.frame.origin[0] for b in word("long-ladder", "bearer")]
    assert min(abs(x - joints[1]) for x in bearers) < 1e-6
    # Nothing on that shelf slides into anything: every sleeve is slit.
    assert all(tube(s).slit is not None for s in word("long-ladder", "sleeve"))
    assert rack.job.vehicle.roof_limit == 150


def test_a_round_roof_wants_two_breaks_a_barrel_one_and_no_rivet_lies_on_one() -> None:
    for name, count in (("egg-basket", 2), ("barrel-cab", 1), ("fastback-drop", 0)):
        for one in word(name, "mount plate"):
            part = plate(one)
            assert len(part.breaks) == count
            assert all(0 < abs(line.angle) <= 5.0 for line in part.breaks)
            for line in part.breaks:
                a = math.radians(line.direction)
                off = [abs(h.y * math.cos(a) - h.x * math.sin(a)) for h in part.holes]
                assert min(off) > 6.7


def test_both_cures_of_a_tilted_plate() -> None:
    """Barrel: a square foot and a saddle that leans. Egg: an upright saddle and a mitred foot."""
    for saddle in word("barrel-cab", "saddle"):
        assert math.degrees(math.acos(abs(saddle.frame.x[2]))) > 15
    for saddle in word("egg-basket", "saddle"):
        assert abs(saddle.frame.x[2]) == pytest.approx(1.0)


def test_unequal_rear_corners_give_unequal_legs() -> None:
    rack = made("bent-estate").rack
    left, right = (rack.part(f"frame.cap.{side}").frame.origin[0] for side in ("left", "right"))
    assert 30 < right - left < 45
    # The right front mount moves 10 mm inboard, where the roof is as high as under the left one: saddles are alike.
    low, high = (spine.length(tube(s).spine) for s in word("bent-estate", "saddle"))
    assert high == pytest.approx(low, abs=1e-3)
    assert [f.code for f in made("bent-estate").findings].count("sides-alike") == 1
    # On a roof that is 13 mm higher to the right they cannot be.
    low, high = (spine.length(tube(s).spine) for s in word("nose-up-tails", "saddle"))
    assert abs(high - low) > 10


def test_legs_drop_alike_behind_a_roof_that_falls_away() -> None:
    rack = made("fastback-drop").rack
    bends = tube(rack.part("frame.hoop")).spine.bends
    assert [round(b.angle, 6) for b in bends][1:3] == [90.0, 90.0]
    assert bends[0].angle == pytest.approx(bends[3].angle)
    assert 10 < bends[0].angle < 25
    caps = [rack.part(f"frame.cap.{side}").frame.origin for side in ("left", "right")]
    assert caps[0][2] == pytest.approx(caps[1][2])
    assert rack.part("frame.bar[1]").frame.origin[2] - caps[0][2] > 80


def test_tails_that_are_asked_for_are_made_and_stay_straight() -> None:
    tails = word("nose-up-tails", "leg tail")
    assert len(tails) == 2
    assert all(not tube(t).spine.bends for t in tails)
    fall = [math.degrees(math.asin(-abs(t.frame.x[2]))) for t in tails]
    assert fall == pytest.approx([-1.5, -1.5], abs=1e-6)
    assert made("nose-up-tails").stamp.waived == ("rake frame.hoop: the vehicle stands nose up; the frame follows it",)
    # 1-1/2 slides into 1-3/4 × 0.120: whole sleeves.
    slits = [tube(s).slit for s in word("nose-up-tails", "sleeve") if s.id.startswith("frame.")]
    assert slits == [None, None]


def test_mounts_outboard_are_carried_by_the_hoop() -> None:
    rack = made("rail-rider").rack
    tops = {j.a.part: j.b.part for j in rack.joints if j.id.endswith("saddle.top")}
    assert len(tops) == 4
    assert set(tops.values()) == {"frame.hoop"}
    holes = [h for h in tube(rack.part("frame.hoop")).holes if h.purpose == "vent"]
    assert len(holes) == 4


def test_one_upright_in_the_middle_of_each_end() -> None:
    ids = {p.id for p in word("post-round", "upright")}
    assert {i for i in ids if "front" in i or "rear" in i} == {
        "basket.upright.front[1]",
        "basket.upright.rear[1]",
    }
    assert not word("post-round", "side plate")


def test_a_roof_whose_limit_nobody_knows_is_said() -> None:
    assert made("camper-cap").job.vehicle.roof_limit is None
    text = paper.SHEETS["cautions"](made("camper-cap"))[1]
    assert "roof" in text.lower()
    assert "limit" in text.lower()


@pytest.mark.kernel
@pytest.mark.parametrize("name", ["egg-basket", "bent-estate", "nose-up-tails", "long-ladder", "rail-rider"])
def test_the_most_unlike_are_solid(name: str) -> None:
    """Every solid is proved against its description as it is made."""
    from rackgen.solid.build import proved_solids

    distinct = lines(made(name).rack)
    assert set(proved_solids(distinct)) == {line.mark for line in distinct}
