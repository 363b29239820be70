"""Marks of bent tubes: in order, complete, from one end, and mirrored when the tube is turned round."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest
from hypothesis import assume, given
from small_rack import MM, TUBE

from rackgen.geom import spine
from rackgen.geom.frame import Frame, clock_direction
from rackgen.geom.spine import Spine
from rackgen.parts.bend_order import turned_round
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.marks import Line
from rackgen.parts.rack import Placed
from rackgen.sheets.bends import BendSheet, bend_marks, bend_sheet
from rackgen.spec.shop import Die, Measured, Shop
from rackgen.spec.stock import Round
from tests.strategies import clocks, reals, spines


def shop_for(line: Spine, stretch: float, trim: float) -> Shop:
    """Give a shop whose one die bends a tube of the test's stock on the spine's radius."""
    section = TUBE.section
    assert isinstance(section, Round)
    die = Die("die", section.od, line.bends[0].clr, 0.0, 0.0, "centre", measured=(Measured(TUBE.name, 1.5, stretch),))
    return dataclasses.replace(MM, dies=(die,), trim=trim)


def sheet_of(part: BentTube, shop: Shop) -> BendSheet:
    """Give the sheet of one part as it is described."""
    return bend_sheet(Line("T1", part, (Placed("x", part, Frame(), "part", 1),)), shop)


@given(spines(), reals(0, 3), reals(0, 40))
def test_marks_rise_and_the_rest_makes_up_the_cut_length(line: spine.Spine, stretch: float, trim: float) -> None:
    """Bends follow each other, and what is left behind the last is its straight and the trim."""
    assume(line.bends)
    sheet = sheet_of(BentTube(TUBE, line), shop_for(line, stretch, trim))
    straights = line.straights if sheet.end == "A" else line.straights[::-1]
    places = [x for b in sheet.bends for x in (b.start, b.middle, b.end)]
    assert all(a <= b + 1e-9 for a, b in itertools.pairwise(places))
    assert sheet.bends[-1].end + straights[-1] + trim == pytest.approx(sheet.cut)
    angles = sum(b.angle for b in line.bends)
    assert sheet.cut == pytest.approx(spine.length(line) + 2 * trim - stretch * angles / 90)
    feeds = sum(b.feed for b in sheet.bends) + straights[-1] + trim
    assert feeds + sum(b.end - b.start for b in sheet.bends) == pytest.approx(sheet.cut)


@given(spines(), reals(0, 3), reals(0, 60), reals(0, 60))
def test_the_far_end_moves_no_mark(line: spine.Spine, stretch: float, near: float, longer: float) -> None:
    """A longer last straight or more trim there changes nothing before it."""
    assume(line.bends)
    far = Spine((*line.straights[:-1], line.straights[-1] + longer), line.bends)
    assert bend_marks(far, near, stretch, None, None) == bend_marks(line, near, stretch, None, None)


@given(spines(), reals(0, 3), reals(0, 40))
def test_turned_round_the_table_is_mirrored(line: spine.Spine, stretch: float, trim: float) -> None:
    """From the other end the same bends come in the other order, at what is left of the cut length."""
    assume(line.bends)
    shop = shop_for(line, stretch, trim)
    part = BentTube(TUBE, line)
    die = shop.dies[0]
    here = bend_marks(line, trim, stretch, 1.5, die)
    there = bend_marks(turned_round(part).spine, trim, stretch, 1.5, die)
    cut = sheet_of(part, shop).cut
    for one, other in zip(here, reversed(there), strict=True):
        assert one.angle == other.angle
        assert one.set_angle == other.set_angle
        assert one.start == pytest.approx(cut - other.end)
        assert one.middle == pytest.approx(cut - other.middle)
    assert [b.turn for b in here[1:]] == [b.turn for b in reversed(there[1:])]


@given(spines(), reals(0, 1), clocks)
def test_a_tube_turned_round_keeps_its_holes_in_the_metal(line: spine.Spine, share: float, clock: float) -> None:
    """A hole of the turned description stands at the same place of the same solid, looking the same way."""
    assume(line.bends)
    total = spine.length(line)
    part = BentTube(TUBE, line, holes=(TubeHole(share * total, clock, 5.0, "vent"),))
    other = turned_round(part)
    _, frame = spine.reverse(line)
    (hole,) = other.holes
    there = spine.frame_at(other.spine, hole.at)
    here = spine.frame_at(line, share * total)
    assert np.allclose(frame.point(there.origin), here.origin, atol=1e-4)
    outward = frame.direction(there.direction(clock_direction(hole.clock)))
    assert np.allclose(outward, here.direction(clock_direction(clock)), atol=1e-4)
