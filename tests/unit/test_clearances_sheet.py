"""The sheet of clearances, and sliding the basket: every pair is there, bounds hold, words say what numbers say."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from rackgen import job, paper
from rackgen.check.bodies import bodies
from rackgen.check.cleared import FAR, cleared
from rackgen.check.gap_map import gap_map
from rackgen.check.keepouts import KeepOut, clearances, keep_outs
from rackgen.check.slide import first_meeting, moves, slide_range
from rackgen.check.sweep import Thing, box, nearest
from rackgen.export.clearance_tables import balance_lines, spoken
from rackgen.export.gap_map_svg import COLOURS, gap_map_svg
from rackgen.export.tables import json_bytes
from rackgen.mesh.triangles import triangles
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks


@pytest.fixture(scope="module")
def made():
    return job.checked(job.design(read_job("demo")))


@pytest.fixture(scope="module")
def found(made):
    asked = made.job
    return cleared(made.rack, asked.shop, asked.vehicle, asked.spec, made.checked.gaps)


def test_every_part_is_held_to_everything(made, found) -> None:
    """Bought parts included, no pair twice; the nearest of each thing comes first, and what is left out is far off."""
    asked = made.job
    things = keep_outs(asked.vehicle, asked.spec.gaps)
    of = bodies(made.rack)
    assert len({(c.thing, c.part) for c in found.near}) == len(found.near) > 10
    assert set(found.far) == {t.name for t in things} - {c.thing for c in found.near}
    listed = {(c.thing, c.part): c.gap for c in found.near}
    assert all(gap <= FAR for gap in listed.values())
    whole = clearances(made.rack, of, things[:1], reach=math.inf)
    assert len(whole) == len(made.rack.placed)
    for one in whole:
        if one.gap < FAR - 0.2:
            assert listed[one.thing, one.part] == pytest.approx(one.gap, abs=0.2)
        elif one.gap > FAR + 0.2:
            assert (one.thing, one.part) not in listed
    for thing in things:
        gaps = [c.gap for c in found.near if c.thing == thing.name]
        assert gaps == sorted(gaps)


def test_the_sheet_says_it_in_words_and_numbers(made) -> None:
    """Table, text and JSON come from one record."""
    table, text, record = paper.SHEETS["clearances"](made)
    assert table is not None
    assert len(table.rows) == len(record.near)  # type: ignore[attr-defined]
    for heading in ("Nearest the roof", "Sliding the basket", "Heights", "The driver's view", "clamp pair 1"):
        assert heading in text
    assert json.loads(json_bytes("clearances", record, made.stamp))


def test_sliding_past_a_bound_brings_what_it_says(made, found) -> None:
    """Asked for again a little beyond its overhang, the basket has that finding; a little short of it, it has not."""
    asked = made.job
    usual = next(b for b in found.slide.rearward if "beyond its frame" in b.what)

    def codes(by: float) -> set[str]:
        basket = replace(asked.spec.basket, forward=-by)
        return {f.code for f in job.design(replace(asked, spec=replace(asked.spec, basket=basket))).findings}

    assert "basket-overhangs" in codes(usual.room + 2)
    assert "basket-overhangs" not in codes(usual.room - 2)


def test_the_best_place_is_within_reach_and_better(found) -> None:
    """The load on the foremost mounts comes nearer half; the place is within both bounds."""
    slide = found.slide
    assert -slide.forward[0].room <= slide.best <= slide.rearward[0].room
    assert abs(slide.best_share[1] - 0.5) < abs(slide.share[1] - 0.5)
    assert all(b.room >= 0 for b in (*slide.forward, *slide.rearward))


def test_the_balance_is_reckoned_with_the_load_that_it_is_rated_for_where_that_is_known(made) -> None:
    """Else with what the roof limit leaves, and it says which."""
    asked = made.job
    rated = cleared(made.rack, asked.shop, asked.vehicle, asked.spec, made.checked.gaps, 63.0)
    assert rated.slide is not None
    assert rated.slide.load == 63.0
    assert "under 63 kg, the load it is rated for, moving" in balance_lines(rated, "mm")[0]
    _, text, _ = paper.SHEETS["clearances"](made)
    assert "under 72 kg, what the roof limit leaves; it may be rated for less" in text


@pytest.mark.parametrize(("mm", "unit", "said"), [
    (2116.2, "mm", "2116 mm"), (99.8, "mm", "100.0 mm"), (23.3, "mm", "23.5 mm"), (2116.2, "in", "83-5/16 in"),
    (25.6, "in", "1 in"),
])  # fmt: skip
def test_what_a_tape_reads_is_not_told_finer_than_a_tape_reads_it(mm: float, unit, said: str) -> None:
    assert spoken(mm, unit) == said


def test_the_first_meeting_is_where_small_steps_find_it(made) -> None:
    """A box behind the basket: the way until the wanted gap is used up, against steps of a quarter millimetre."""
    of = {k: b for k, b in bodies(made.rack).items() if moves(k)}
    aft = max(float(b.high[0]) for b in of.values())
    block = Thing((box((aft + 40.0, -100.0, 100.0), (aft + 90.0, 100.0, 300.0)),))
    thing = KeepOut("box", block, 25.0, 25.0, "", "keep_out")
    got = first_meeting(of, thing, (1.0, 0.0, 0.0), 200.0)
    assert got is not None
    near = [b for b in of.values() if b.high[0] > aft - 60]
    for way in np.arange(0.0, 60.0, 0.25):
        step, gaps = np.array([way, 0.0, 0.0]), []
        for b in near:
            mesh = triangles(b.placed.part)
            faces = (b.placed.frame.points(mesh.vertices) + step)[mesh.faces]
            hit = nearest(b.low + step, b.high + step, faces, block, 25.0)
            gaps.append(25.0 if hit is None else hit.gap)
        if min(gaps) < 25.0:
            assert got == pytest.approx(way, abs=0.3)
            return
    pytest.fail("never met")


def test_a_hatch_behind_the_basket_bounds_its_way(made) -> None:
    """One that leans far forward when it is open is among what stops the basket to the rear."""
    asked = made.job
    hatch = replace(asked.vehicle.keep_outs.hatch, opens=175.0)
    vehicle = replace(asked.vehicle, keep_outs=replace(asked.vehicle.keep_outs, hatch=hatch))
    things = keep_outs(vehicle, asked.spec.gaps)
    found = slide_range(made.rack, bodies(made.rack), things, asked.shop, vehicle, asked.spec)
    assert any("hatch" in b.what for b in found.rearward)
    assert not any("hatch" in b.what for b in found.forward)


def test_the_gap_map_agrees_with_the_check(made) -> None:
    """Its least gap is that of the nearest part that is held to one; the picture names the five tightest."""
    drawn = gap_map(made.rack, made.job.vehicle.roof, made.checked.gaps)
    seen = [g for row in drawn.rows for g in row if g is not None]
    held = [g for g in made.checked.gaps if g.limit is not None and g.gap is not None]
    assert min(seen) == pytest.approx(held[0].gap, abs=0.3)
    assert drawn.tight == tuple(held[:5])
    text = gap_map_svg(drawn, made.job.spec.gaps, made.job.shop.unit, "demo").decode()
    assert all(g.part in text for g in drawn.tight)
    assert text == gap_map_svg(drawn, made.job.spec.gaps, made.job.shop.unit, "demo").decode()


def test_the_colours_are_told_apart_by_everyone() -> None:
    """They are those of matplotlib's cividis, which is made for colour-blind readers, and rise evenly in lightness."""
    from matplotlib import colormaps

    wanted = colormaps["cividis"]
    n = len(COLOURS)
    for k, colour in enumerate(COLOURS):
        rgb = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
        assert rgb == pytest.approx(np.array(wanted(k / (n - 1))[:3]), abs=0.02)
    light = [0.2126 * int(c[1:3], 16) + 0.7152 * int(c[3:5], 16) + 0.0722 * int(c[5:7], 16) for c in COLOURS]
    assert light == sorted(light)
