"""The weld map: every joint once, in the trade's order, none on the vehicle, and where no torch gets at it."""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from small_rack import small_rack

from rackgen.errors import Level
from rackgen.geom.cope import heights
from rackgen.job import design
from rackgen.made import Design
from rackgen.parts.kinds import BentTube
from rackgen.sheets.finishing import unvented
from rackgen.sheets.torch import ENOUGH
from rackgen.sheets.weld_lines import cope_length, end_curve, runs, stitches, welded_joints
from rackgen.sheets.weld_order import DRY_FIT, done_there, ranks, titled, waits
from rackgen.sheets.weld_rows import span, step_table, weld_notes, welds_table
from rackgen.sheets.welds import Weld, WeldMap, edge_leg, gap_limits, weld_map
from rackgen.spec.read import read_job

RACKS = ("demo", "survey-crew")
TEN = sorted((Path(__file__).parents[1] / "presets" / "ten" / "racks").glob("*.toml"))


@cache
def made(name: str) -> Design:
    return design(read_job(name))


@cache
def found(name: str) -> WeldMap:
    return weld_map(made(name).rack)[0]


def of(name: str, word: str) -> list[Weld]:
    return [w for w in found(name).welds if word in w.words]


@pytest.mark.parametrize("name", RACKS)
def test_every_welded_joint_stands_in_the_map_once_and_no_other(name: str) -> None:
    rack = made(name).rack
    kinds = {"coped weld", "plane weld", "butt with sleeve", "fillet", "plug weld"}
    wanted = sorted(j.id for j in rack.joints if j.kind in kinds)
    assert sorted(w.joint for w in found(name).welds) == wanted
    assert [w.id for w in found(name).welds] == [f"W{k + 1}" for k in range(len(wanted))]


@pytest.mark.parametrize("name", RACKS)
def test_every_weld_has_a_bead_of_some_length_and_metal(name: str) -> None:
    for weld in found(name).welds:
        assert 15 < weld.bead <= weld.length + 1e-6, weld
        assert weld.metal > 0


@pytest.mark.parametrize("name", RACKS)
def test_nothing_is_welded_on_the_vehicle(name: str) -> None:
    assert all(j.where == "bench" for j in welded_joints(made(name).rack))
    for row in welds_table(found(name), "mm").rows:
        assert row[10].startswith("bench")


@pytest.mark.parametrize("name", RACKS)
def test_what_is_cut_after_the_dry_fit_is_welded_after_it(name: str) -> None:
    late = [w.waits for w in found(name).welds]
    assert late == sorted(late)
    assert any(late)
    for weld in found(name).welds:
        assert weld.waits == (weld.step >= DRY_FIT)
        assert weld.waits == any(made(name).rack.part(p).stage == 3 for p in weld.parts)


@pytest.mark.parametrize("name", RACKS)
def test_pads_come_before_bearers_and_the_mesh_after_all_tubes_of_the_basket(name: str) -> None:
    number = {w.joint: int(w.id[1:]) for w in found(name).welds}
    pads = [number[w.joint] for w in of(name, "clamp pad")]
    bearers = [number[w.joint] for w in of(name, "bearer") if "floor panel" not in w.words]
    uprights = [number[w.joint] for w in of(name, "upright") if "side plate" not in w.words]
    mesh = [number[w.joint] for w in of(name, "floor panel")]
    assert max(pads) < min(bearers) <= max(bearers) < min(uprights) <= max(uprights) < min(mesh)


@pytest.mark.parametrize("name", RACKS)
def test_mesh_is_tacked_from_the_middle_outward(name: str) -> None:
    on_bearers = [w for w in of(name, "floor panel") if "bearer" in w.words]
    middle = np.mean([w.at[0] for w in on_bearers])
    away = [abs(w.at[0] - middle) for w in on_bearers]
    assert away == pytest.approx(sorted(away))


@pytest.mark.parametrize("name", RACKS)
def test_opposite_ends_of_bearers_are_welded_one_after_the_other(name: str) -> None:
    bearers = [w for w in of(name, "bearer") if w.kind == "all round"]
    middle = np.mean([w.at for w in bearers], axis=0)
    for one, other in zip(bearers[::2], bearers[1::2], strict=True):
        assert (np.array(one.at) + np.array(other.at)) / 2 == pytest.approx(middle, abs=1.0)


@pytest.mark.parametrize("name", RACKS)
def test_a_torch_reaches_every_weld_of_the_shipped_racks(name: str) -> None:
    _, findings = weld_map(made(name).rack)
    assert findings == ()
    assert all(w.reached is not None and w.reached >= ENOUGH for w in found(name).welds)


def test_pads_after_bearers_are_shut_off_and_the_finding_says_what_helps() -> None:
    rack = made("demo").rack
    order = ranks(rack, {p.id: p for p in rack.placed})
    late = {k: 4.5 if k.endswith("].pad") else r for k, r in order.items()}
    welds, findings = weld_map(rack, order=late)
    assert {f.code for f in findings} == {"no-torch-access"}
    assert {f.level for f in findings} == {Level.LOOK}
    blocked = {p for f in findings for p in f.parts if "clamp" in p}
    assert len(blocked) == 4
    for finding in findings:
        assert "bearer" in finding.text
        assert finding.got is not None
        assert finding.limit is not None
        assert finding.got < finding.limit
        assert finding.help == "weld it before the bearer goes on"
    assert [w.step for w in welds.welds] == sorted(w.step for w in welds.welds)


def test_the_cure_is_taken_when_the_order_is_free(monkeypatch: pytest.MonkeyPatch) -> None:
    import rackgen.sheets.welds as module

    rack = made("demo").rack
    order = ranks(rack, {p.id: p for p in rack.placed})
    late = {k: 4.5 if k.endswith("].pad") else r for k, r in order.items()}
    monkeypatch.setattr(module, "ranks", lambda _rack, _members: dict(late))
    module._weld_map.cache_clear()
    welds, findings = weld_map(rack)
    module._weld_map.cache_clear()
    assert findings == ()
    assert len(welds.moved) == 4
    pads = [int(w.id[1:]) for w in welds.welds if "clamp pad" in w.words]
    bearers = [int(w.id[1:]) for w in welds.welds if "bearer" in w.words]
    assert max(pads) < min(bearers)


def test_a_square_cope_on_a_header_without_curve_is_a_circle_and_an_equal_one_is_the_elliptic_integral() -> None:
    """Two mitres of 45 deg at equal diameters: 4 √2 E(1/2) r, 1.21601 of the girth (exact; reference values 4)."""
    bar = made("demo").rack.part("frame.bar[2]")
    assert isinstance(bar.part, BentTube)
    girth = math.pi * bar.part.section.od
    # The tangent cope's ears are cut off square 2 mm short of their tips, which takes a little off.
    assert 0.97 * 1.21601 * girth < cope_length(bar, "A") < 1.21601 * girth
    butt = next(j for j in welded_joints(made("demo").rack) if j.kind == "butt with sleeve")
    members = {p.id: p for p in made("demo").rack.placed}
    assert runs(butt, members)[0].length == pytest.approx(girth, rel=1e-5)


def test_a_cope_s_length_is_the_integral_along_its_height_field() -> None:
    upright = made("demo").rack.part("basket.upright.left[1]")
    assert isinstance(upright.part, BentTube)
    r = upright.part.section.od / 2
    phi = np.linspace(0.0, 360.0, 7201)
    z = heights(upright.part.end_a, r, phi)
    slope = np.gradient(z, np.radians(phi))
    wanted = float(np.trapezoid(np.sqrt(r * r + slope * slope), np.radians(phi)))
    assert cope_length(upright, "A") == pytest.approx(wanted, rel=1e-4)


def test_points_of_a_cope_lie_on_the_header() -> None:
    rack = made("demo").rack
    bearer, ring = rack.part("basket.lower.bearer[2]"), rack.part("basket.lower.front")
    assert isinstance(ring.part, BentTube)
    points, normals = end_curve(bearer, "A", 90)
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0)
    y, z = ring.frame.origin[1], ring.frame.origin[2]
    off = np.hypot(points[:, 1] - y, points[:, 2] - z)
    assert off == pytest.approx(ring.part.section.od / 2, abs=0.25)


def test_stitches_stand_at_both_ends_and_no_farther_apart_than_asked() -> None:
    assert [stitches(x, (25.0, 75.0)) for x in (20.0, 25.0, 26.0, 100.0, 101.0, 193.0)] == [1, 1, 2, 2, 3, 4]


def test_leg_and_gap_follow_the_thinner_wall() -> None:
    pads = of("demo", "clamp pad")
    assert {w.leg for w in pads} == {2.6}
    assert {round(w.leg_most, 3) for w in pads} == {3.12}
    assert gap_limits(2.6) == (1.3, 1.6)
    assert gap_limits(1.5) == (0.75, 0.75)
    assert gap_limits(4.0) == (1.6, 1.6)


def test_a_lap_along_a_thick_edge_stops_short_of_it() -> None:
    """AISC 360 J2.2b: under 1/4 in the thickness, from 1/4 in on 1/16 in less."""
    assert edge_leg(5.0) == 5.0
    assert edge_leg(6.35) == pytest.approx(4.75)


def test_a_rack_of_unknown_words_has_its_welds_too() -> None:
    rack = small_rack()
    welds, _ = weld_map(rack)
    assert sorted(w.joint for w in welds.welds) == sorted(j.id for j in welded_joints(rack))
    members = {p.id: p for p in rack.placed}
    assert all(w.waits == waits(next(j for j in rack.joints if j.id == w.joint), members) for w in welds.welds)


@pytest.mark.parametrize(("name", "unit"), [("demo", "mm"), ("survey-crew", "in")])
def test_tables_name_every_joint_in_the_shop_s_unit(name: str, unit: str) -> None:
    assert made(name).job.shop.unit == unit
    welds = found(name)
    u = made(name).job.shop.unit
    assert [row[0] for row in welds_table(welds, u).rows] == [w.id for w in welds.welds]
    rows = [row for step in sorted({w.step for w in welds.welds}) for row in step_table(welds, step, u).rows]
    assert sum(int(row[5]) for row in rows) == len(welds.welds)
    said = " ".join(weld_notes(welds, u))
    assert "Nothing is welded on the vehicle" in said
    assert (" ft of weld" in said) == (unit == "in")


def test_ids_are_said_in_short() -> None:
    assert span(("W3", "W5", "W4", "W9")) == "W3-W5, W9"


@pytest.mark.racks
@pytest.mark.parametrize("file", TEN, ids=lambda f: f.stem)
def test_every_weld_of_ten_racks_has_its_bead_and_room_for_a_torch(file: Path) -> None:
    rack = design(read_job(file)).rack
    welds, findings = weld_map(rack)
    assert sorted(w.joint for w in welds.welds) == sorted(j.id for j in welded_joints(rack))
    assert all(w.bead > 15 and w.metal > 0 for w in welds.welds)
    assert findings == ()
    assert all(u.how for u in unvented(rack))


def test_a_slat_that_ends_aslant_over_a_ring_s_bend_has_its_weld_there() -> None:
    """As long as its end lies within a fillet's reach of the tube: some of its width, never none and never more."""
    rack = design(read_job("core-boxes")).rack
    members = {p.id: p for p in rack.placed}
    over = [j for j in welded_joints(rack) if j.fixing == "fillet across its end and under it"]
    assert len(over) == 18
    for joint in over:
        bead = sum(r.bead for r in runs(joint, members))
        assert 10.0 < bead <= 110.0, joint.id


def test_step_titles_name_what_there_is() -> None:
    assert titled(4, ("bearer",)) == "Basket: bearers"
    assert titled(4, ("bearer", "upright")) == "Basket: bearers and uprights"
    assert titled(9, ("bow", "gutter jaw")) == "After the dry fit: legs of bows"
    assert titled(9, ("saddle", "knee brace")) == "After the dry fit: saddles, knee braces"
    assert "upright" not in done_there(4, ("bearer",), ())
    assert "ladder" not in done_there(12, ("tie-down loop",), ())
    assert "ladder lies flat" in done_there(12, ("ladder rung",), ())
