"""Feet by themselves: what each is made of, where it lies, and what it leaves alone."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from foot_racks import (
    BED_RAIL,
    GUTTER,
    ONE_THREAD,
    PLACES,
    THREADS,
    TRACK,
    WIDE_RAIL,
    demo,
    mirrored,
    over,
    site_with,
    standing,
)

from rackgen.check.bodies import bodies
from rackgen.check.flats import bar_findings, plate_findings
from rackgen.check.folding import fold_findings
from rackgen.check.interference import interference_findings
from rackgen.check.landing import landing_findings
from rackgen.design.bolts import hole_for, ordered, shelf_bolt
from rackgen.design.choose import thickness
from rackgen.design.feet.bed_rail import FROM_POCKET
from rackgen.design.feet.gutter import DOOR_ROOM, jaw_of
from rackgen.design.foot import FEET, face_at, foot
from rackgen.errors import BadInput
from rackgen.export.apart import apart
from rackgen.mesh.triangles import triangles
from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.kinds import BoltShape, Bought, CutPlate, FoldedBar
from rackgen.parts.rack import Placed, Rack
from rackgen.spec.foot_place import FootPlace, GutterPlace, kind_of
from rackgen.spec.stock import Flat

IDS = [p.name for p in PLACES]
ACROSS, ALONG = (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)


def _shape(placed: Placed) -> BoltShape:
    assert isinstance(placed.part, Bought)
    assert isinstance(placed.part.shape, BoltShape)
    return placed.part.shape


def _points(rack: Rack, part: str) -> np.ndarray:
    placed = rack.part(part)
    return placed.frame.points(triangles(placed.part).vertices)


@pytest.mark.parametrize("place", PLACES, ids=IDS)
@pytest.mark.parametrize("way", [ACROSS, ALONG], ids=["under a cross bar", "under a side rail"])
def test_nothing_runs_through_anything_and_everything_meets(place: FootPlace, way: tuple[float, float, float]) -> None:
    rack, findings = standing(site_with(place), place, way)
    of = bodies(rack)
    assert findings == ()
    assert interference_findings(rack, of) == []
    assert landing_findings(rack, of) == []


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_left_is_right_in_a_mirror(place: FootPlace) -> None:
    site = site_with(place, mirrored(place))
    (right, _), (left, _) = (standing(site, p) for p in (place, mirrored(place)))
    assert len(right.placed) == len(left.placed)
    for one in right.placed:
        other = left.part(one.id.replace("right", "left"))
        assert canonical(mirror(one.part))[0] == canonical(other.part)[0], one.id
        middle = triangles(one.part).vertices.mean(axis=0)
        here = np.asarray(one.frame.point(middle)) * (1.0, -1.0, 1.0)
        there = np.asarray(other.frame.point(triangles(other.part).vertices.mean(axis=0)))
        if not isinstance(one.part, Bought):
            np.testing.assert_allclose(here, there, atol=0.5, err_msg=one.id)


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_the_face_is_known_before_the_frame(place: FootPlace) -> None:
    site = site_with(place)
    header = over(site, place, ACROSS)
    at, normal = face_at(place, site.shop, site.vehicle, site.choice, header.at[0])
    made = foot(site, place, header)
    np.testing.assert_allclose(made.at, at, atol=1e-9)
    np.testing.assert_allclose(made.normal, normal, atol=1e-9)
    np.testing.assert_allclose(np.cross(np.subtract(made.top, header.at), header.way), 0.0, atol=1e-9)


def test_every_kind_of_place_has_a_builder() -> None:
    assert {kind_of(p) for p in (*PLACES, demo().vehicle.front[0])} == set(FEET)


@pytest.mark.parametrize("place", [p for p in PLACES if not isinstance(p, GutterPlace)], ids=lambda p: p.name)
def test_a_flat_foot_lies_on_its_place(place: FootPlace) -> None:
    """Its plate is parallel to the place, as far off it as its bedding is thick; only what is behind it lies deeper."""
    site = site_with(place)
    rack, _ = standing(site, place)
    plate = next(p for p in rack.placed if p.word in ("foot pad", "track bracket", "rail plate"))
    assert not isinstance(place, GutterPlace)
    roll, pitch = (math.tan(math.radians(a)) for a in (place.roll, place.pitch))
    here = _points(rack, plate.id) - np.asarray(place.at)
    off = (here[:, 2] + pitch * here[:, 0] + roll * here[:, 1]) / math.sqrt(1 + pitch**2 + roll**2)
    bed = 0.0 if plate.word == "track bracket" else site.shop.bedding
    assert float(off.min()) == pytest.approx(bed, abs=1e-3)
    assert float(off.max()) == pytest.approx(bed + thickness(site.choice.mount_plate), abs=1e-3)


def test_bolts_of_pads_take_hold_of_their_threads_and_do_not_bottom() -> None:
    for place in (THREADS, ONE_THREAD):
        rack, _ = standing(site_with(place), place)
        bolts = [p for p in rack.placed if p.word == "bolt"]
        assert len(bolts) == (2 if place.apart else 1)
        for one in bolts:
            shape = _shape(one)
            engaged = -shape.tip - shape.grip
            assert shape.end == "thread"
            assert shape.diameter <= engaged <= place.depth


def test_the_foremost_pad_is_slotted_across_and_those_behind_it_fore_and_aft() -> None:
    site = site_with(THREADS, mirrored(THREADS), ONE_THREAD, mirrored(ONE_THREAD))
    for place, across in (
        (THREADS, True),
        (mirrored(THREADS), True),
        (ONE_THREAD, False),
        (mirrored(ONE_THREAD), False),
    ):
        made = foot(site, place, over(site, place, ACROSS))
        pad = next(m for m in made.group.members if m.word == "foot pad")
        assert isinstance(pad.part, CutPlate)
        slot = np.array([(v.x, v.y) for v in pad.part.openings[0]])
        long, wide = np.ptp(slot, axis=0)
        assert (wide > long) == across
        assert min(long, wide) == pytest.approx(hole_for(place.thread))
        assert abs(wide - long) == pytest.approx(8.0)


def test_bolt_heads_leave_room_for_a_ring_spanner_beside_the_stub() -> None:
    for place in (THREADS, ONE_THREAD, TRACK, BED_RAIL, WIDE_RAIL):
        rack, _ = standing(site_with(place), place)
        stub = rack.part(f"mount.{place.name}.saddle")
        foot_at = np.asarray(
            face_at(place, demo().shop, site_with(place).vehicle, site_with(place).choice, place.at[0])[0]
        )
        assert stub.word == "saddle"
        for one in (p for p in rack.placed if p.word == "bolt"):
            off = one.frame.to_local(foot_at)
            assert math.hypot(off[0], off[1]) - 33.7 / 2 >= 0.9 * _shape(one).head_across - 1e-6


def test_a_bracket_slides_along_its_track_and_stops_at_its_end() -> None:
    site = site_with(TRACK)
    for wanted, got in ((700.0, 700.0), (2000.0, 900.0), (-500.0, 300.0)):
        rack, _ = standing(site, TRACK, x=wanted)
        bolts = [p.frame.origin for p in rack.placed if p.word == "bolt"]
        assert np.mean([b[0] for b in bolts]) == pytest.approx(got, abs=0.5)
        # The track falls half a degree to the rear.
        fall = math.tan(math.radians(0.5)) * (got - TRACK.at[0])
        assert np.mean([b[2] for b in bolts]) == pytest.approx(TRACK.at[2] - fall + 4.0, abs=0.2)


def test_a_slot_nut_is_wider_than_its_slot_and_lower_than_its_room() -> None:
    rack, _ = standing(site_with(TRACK), TRACK)
    for one in (p for p in rack.placed if p.word == "bolt"):
        shape = _shape(one)
        assert shape.end == "slot nut"
        assert shape.nut_across > TRACK.slot
        assert shape.nut_height < TRACK.room
        assert shape.grip == pytest.approx(4.0 + TRACK.lip)


def test_a_rail_plates_holes_keep_off_the_stake_pockets() -> None:
    site = site_with(BED_RAIL)
    for wanted in np.arange(2060.0, 2340.0, 20.0):
        rack, findings = standing(site, BED_RAIL, x=float(wanted))
        holes = [p.frame.origin[0] for p in rack.placed if p.word == "bolt"]
        near = min(max(a - x, x - b) for x in holes for a, b in BED_RAIL.pockets)
        assert near >= FROM_POCKET - 0.5, wanted
        assert findings == ()
    boxed = dataclasses.replace(BED_RAIL, zone=0.0, pockets=((2230.0, 2240.0),))
    _, findings = standing(site_with(boxed), boxed)
    assert [f.code for f in findings] == ["hole-in-pocket"]


def test_a_rail_plate_is_backed_under_the_sheet_and_its_bolts_come_out_of_their_nuts() -> None:
    for place, many in ((BED_RAIL, 2), (WIDE_RAIL, 4)):
        rack, _ = standing(site_with(place), place)
        plate, backing = rack.part(f"mount.{place.name}.plate"), rack.part(f"mount.{place.name}.backing")
        assert canonical(plate.part)[0] == canonical(backing.part)[0]
        bolts = [p for p in rack.placed if p.word == "bolt"]
        assert len(bolts) == many
        for one in bolts:
            shape = _shape(one)
            assert shape.tip <= shape.low - 2.0
            z = [float(one.frame.to_local(p)[2]) for p in _points(rack, backing.id)]
            assert min(z) == pytest.approx(-shape.grip, abs=1e-6)
            assert max(z) == pytest.approx(-4.0 - site_with(place).shop.bedding - place.skin, abs=1e-6)


def _section(rack: Rack, part: str, place: GutterPlace) -> np.ndarray:
    """Return a part's points as (u, v): outboard of the lip's outer face, above its top edge; the rail is level."""
    points = _points(rack, part)
    return np.column_stack([np.abs(points[:, 1]) - abs(place.at[1]), points[:, 2] - place.at[2]])


def test_a_jaw_goes_round_the_gutter_without_cutting_into_it() -> None:
    """Outside the lip, above it, inside it and under the floor is steel; where the gutter's metal is there is none."""
    place = dataclasses.replace(GUTTER, pitch=0.0)
    rack, _ = standing(site_with(place), place)
    jaw, clamp = (_section(rack, f"mount.{place.name}.{p}", place) for p in ("jaw", "clamp"))
    for u, v in (*jaw, *clamp):
        in_lip = -place.metal + 1e-3 < u < -1e-3 and -place.depth - place.metal + 1e-3 < v < -1e-3
        in_floor = u < -1e-3 and -place.depth - place.metal + 1e-3 < v < -place.depth - 1e-3
        assert not in_lip
        assert not in_floor
    # It touches the lip on both sides, the floor from above and, at the hook's tip, from below.
    assert float(clamp[:, 0].max()) == pytest.approx(-place.metal, abs=1e-6)
    assert float(clamp[:, 1].min()) == pytest.approx(-place.depth, abs=1e-6)
    hook = jaw[(jaw[:, 0] < -place.metal) & (jaw[:, 1] < -place.depth)]
    assert float(hook[:, 1].max()) == pytest.approx(-place.depth - place.metal, abs=1e-3)
    # The hook is folded past square: its tip is the highest of it, and further in than where it is lowest.
    tip, low = hook[int(np.argmax(hook[:, 1]))], hook[int(np.argmin(hook[:, 1]))]
    assert tip[0] < low[0] - 5.0
    assert float(jaw[:, 0].min()) > -1000
    assert float(hook[:, 0].min()) > -place.width - place.metal


def test_a_jaw_cannot_let_go_sideways_while_its_clamp_is_in_the_trough() -> None:
    """To come off, the hook's tip has to pass the lip's outside; the clamp, bolted to the jaw, meets its inside."""
    place = dataclasses.replace(GUTTER, pitch=0.0)
    rack, _ = standing(site_with(place), place)
    hook = _section(rack, f"mount.{place.name}.jaw", place)
    tip = hook[hook[:, 1] < -place.depth][:, 0].min()
    clamp = _section(rack, f"mount.{place.name}.clamp", place)
    play = -place.metal - float(clamp[:, 0].max())
    assert tip < -10.0
    assert play < 0.01
    assert float(clamp[:, 1].min()) < -place.depth / 2


def test_pulled_apart_a_clamp_comes_out_of_its_jaw_and_a_backing_out_from_under_its_plate() -> None:
    rack, _ = standing(site_with(GUTTER), GUTTER)
    off = apart(rack)
    inside = [
        np.subtract(off[f"mount.{GUTTER.name}.{p}"], off[f"mount.{GUTTER.name}.jaw"])[1] for p in ("heel", "clamp")
    ]
    assert -200 < inside[1] < inside[0] < -30
    rack, _ = standing(site_with(BED_RAIL), BED_RAIL)
    off = apart(rack)
    assert off[f"mount.{BED_RAIL.name}.backing"][2] < off[f"mount.{BED_RAIL.name}.plate"][2] - 50


def test_a_jaw_clears_the_roof_beside_its_gutter() -> None:
    vehicle = demo().vehicle
    low = dataclasses.replace(GUTTER, at=(500.0, 640.0, -60.0), pitch=0.0)
    for place in (low, dataclasses.replace(low, at=(500.0, 630.0, -110.0))):
        rack, _ = standing(site_with(place), place)
        points = _points(rack, f"mount.{place.name}.jaw")
        over_lip = [p for p in points if p[2] > place.at[2] and math.isfinite(float(vehicle.roof.height(*p[:2])))]
        above = [z - float(vehicle.roof.height(x, y)) for x, y, z in over_lip]
        assert min(above) >= 7.5


def test_a_gutter_that_is_too_narrow_or_over_a_door_is_a_stop() -> None:
    for change, code in (({"width": 8.0}, "gutter-narrow"), ({"below": 6.0}, "hook-in-door")):
        place = dataclasses.replace(GUTTER, **change)
        _, findings = standing(site_with(place), place)
        assert code in [f.code for f in findings], change


@pytest.mark.parametrize("grade", ["S235JR EN 10025-2", "S275JR EN 10025-2", "S355J2 EN 10025-2", "ASTM A36"])
def test_a_jaw_is_folded_on_what_its_grade_allows(grade: str) -> None:
    site = site_with(GUTTER)
    shop = dataclasses.replace(site.shop, stock=tuple(dataclasses.replace(s, grade=grade) for s in site.shop.stock))
    rack, _ = standing(dataclasses.replace(site, shop=shop), GUTTER)
    jaw = rack.part(f"mount.{GUTTER.name}.jaw")
    assert isinstance(jaw.part, FoldedBar)
    assert jaw.part.stock.grade == grade
    assert "fold-tight" not in [f.code for f in fold_findings(jaw, jaw.part, shop)]


def test_a_wide_jaw_has_two_bolts_and_a_narrow_one_has_one() -> None:
    site = site_with(GUTTER)
    wide = dataclasses.replace(next(s for s in site.shop.stock if s.name == "50 x 5 bar"), name="80 x 5 bar",
                               section=Flat(80.0, 5.0))  # fmt: skip
    stock = tuple(s for s in site.shop.stock if (s.name != "50 x 5 bar" and "bar" in s.name) or "bar" not in s.name)
    for shop, many in ((site.shop, 1), (dataclasses.replace(site.shop, stock=(*stock, wide)), 2)):
        rack, findings = standing(dataclasses.replace(site, shop=shop), GUTTER)
        assert findings == ()
        assert sum(p.word == "bolt" for p in rack.placed) == many
        for placed in rack.placed:
            if isinstance(placed.part, FoldedBar):
                # A short hook is folded in a vice, which a look says.
                assert {f.code for f in bar_findings(placed, placed.part, shop)} <= {"leg-short", "test-strip"}
            elif isinstance(placed.part, CutPlate):
                assert plate_findings(placed, placed.part) == []
        assert interference_findings(rack, bodies(rack)) == []


def test_thinner_bar_is_taken_where_a_hook_of_the_usual_does_not_fit() -> None:
    site = site_with(GUTTER)

    def jaw(below: float) -> float:
        place = dataclasses.replace(GUTTER, below=below)
        return jaw_of(place, site.shop, site.choice, site.vehicle.roof, place.at[0]).t

    assert jaw(25.0) == 5.0
    assert jaw(10.0) < 5.0
    assert jaw_of(GUTTER, site.shop, site.choice, site.vehicle.roof, 500.0).low + DOOR_ROOM <= GUTTER.below


def test_without_bolts_on_the_shelf_a_foot_is_refused_by_name() -> None:
    for place in PLACES:
        site = site_with(place)
        bare = dataclasses.replace(site, shop=dataclasses.replace(site.shop, bolts=()))
        with pytest.raises(BadInput) as told:
            foot(bare, place, over(site, place, ACROSS))
        assert place.name in told.value.mistakes[0].wanted


def test_a_bolt_is_ordered_by_its_length() -> None:
    shop = demo().shop
    assert ordered(shop, shelf_bolt(shop, 8.0, ""), 30.0) == "M8 8.8 × 30 mm"
    inch = dataclasses.replace(shop, unit="in")
    assert ordered(inch, shelf_bolt(shop, 8.0, ""), 25.4) == "M8 8.8 × 1 in"


def test_a_heel_is_as_thick_as_the_lip_or_a_finding_says_so() -> None:
    rack, _ = standing(site_with(GUTTER), GUTTER)
    heel = rack.part("mount.gutter_right.heel").part
    assert isinstance(heel, CutPlate)
    assert heel.thickness == GUTTER.metal
    thin = dataclasses.replace(GUTTER, metal=1.2)
    rack, findings = standing(site_with(thin), thin)
    assert [f.code for f in findings] == ["gutter-heel"]
    assert not [p for p in rack.placed if p.word == "gutter heel"]
    assert isinstance(rack.part("mount.gutter_right.jaw").part, FoldedBar)
