"""The saw's pages: three stages, what is measured first, and the sticks as bars."""

from __future__ import annotations

import re
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen import job
from rackgen.made import Design
from rackgen.parts.kinds import BentTube
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.drawing import Stroke, Words
from rackgen.sheets.measured_first import measured_first
from rackgen.sheets.pages import Fields, Figure, Rows
from rackgen.sheets.saw_station import TICK, saw_station
from rackgen.sheets.stick_drawing import spread
from rackgen.spec.read import read_job
from tests.drawn import text_boxes
from tests.strategies import reals


@cache
def made(name: str) -> Design:
    return job.design(read_job(name))


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_every_piece_has_its_box_in_its_stage(name: str) -> None:
    design = made(name)
    cuts, _ = cut_list(design.rack, design.job.shop)
    tables = [b.table for b in saw_station(design.rack, design.job.shop).blocks if isinstance(b, Rows)]
    for stage in (1, 2, 3):
        wanted = {line.mark: line.quantity for line in cuts.lines if line.stage == stage and line.kind != "bought"}
        found: dict[str, int] = {}
        for table in tables:
            if table.name in (f"saw-stage-{stage}", f"flat-stage-{stage}"):
                done = [c.key for c in table.columns].index("done")
                found |= {row[0]: row[done].count(TICK) for row in table.rows}
        assert found == wanted


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_what_is_measured_first_is_what_the_placed_tubes_leave_between_them(name: str) -> None:
    """Distance of the axes landed on, from where the parts stand, less half of each tube; nothing from the cut list."""
    design = made(name)
    cuts, _ = cut_list(design.rack, design.job.shop)
    waits = measured_first(design.rack, cuts.lines)
    words = {w.word for w in waits}
    assert {"cross bar", "bearer", "upright", "saddle", "floor panel"} <= words
    basket = design.job.spec.basket
    for wait in waits:
        if wait.word == "bearer":
            ring = next(p.part for p in design.rack.placed if p.id == "basket.lower.front")
            assert isinstance(ring, BentTube)
            assert wait.what.startswith("inside of the lower ring")
            assert wait.should == pytest.approx(basket.width - 2 * ring.section.od, abs=0.01)
        if wait.what == "lower ring, outside width":
            assert wait.should == pytest.approx(basket.width, abs=0.01)
        if wait.what == "lower ring, outside length":
            assert wait.should == pytest.approx(basket.length, abs=0.01)


def test_the_sum_on_paper_comes_out() -> None:
    for name, step in (("demo", 0.1), ("survey-crew", 1 / 64)):
        design = made(name)
        boxes = [b for b in saw_station(design.rack, design.job.shop).blocks if isinstance(b, Fields)]
        assert boxes
        for block in boxes:
            found = re.search(r" ([+-]) (\S+) (mm|in) = cut to$", block.title)
            assert found is not None
            add = _read(found.group(2)) * (1 if found.group(1) == "+" else -1)
            should, cut = (_read(t) for t in re.split(", cut ", block.rows[0][1]))
            assert abs(should + add - cut) < step / 100


def _read(text: str) -> float:
    total = 0.0
    for part in text.split("-"):
        over, _, under = part.partition("/")
        total += float(over) / float(under or 1)
    return total


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_bars_carry_every_piece_and_no_text_lies_on_another(name: str) -> None:
    design = made(name)
    cuts, _ = cut_list(design.rack, design.job.shop)
    sawn = sum(line.quantity for line in cuts.lines if line.kind in ("tube", "bar"))
    counted = 0
    for block in saw_station(design.rack, design.job.shop).blocks:
        if not isinstance(block, Figure):
            continue
        boxes = text_boxes(block.drawing)
        assert not [(a, b) for i, (a, one) in enumerate(boxes) for b, two in boxes[:i] if one.intersects(two)]
        for item in block.drawing.items:
            if isinstance(item, Words) and (said := re.fullmatch(r"(?:(\d+) × )?[TB]\d+ \S+", item.text)):
                counted += int(said.group(1) or 1)
        x = [p[0] for i in block.drawing.items if isinstance(i, Stroke) for p in i.points]
        assert (max(x) - min(x)) * block.drawing.scale <= 186.0
    assert counted == sawn


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(reals(0.0, 150.0), reals(5.0, 30.0)), min_size=1, max_size=6))
def test_spread_labels_keep_their_order_and_do_not_touch(things: list[tuple[float, float]]) -> None:
    things = sorted(things)
    wanted, widths = [at for at, _ in things], [wide for _, wide in things]
    found = spread(wanted, widths, 180.0)
    for k in range(len(found) - 1):
        assert found[k + 1] - found[k] >= (widths[k] + widths[k + 1]) / 2 - 1e-6
    if sum(widths) <= 180.0:
        assert found[0] - widths[0] / 2 >= -1e-6
        assert found[-1] + widths[-1] / 2 <= 180.0 + 1e-6
    if len(found) == 1:
        assert found[0] == pytest.approx(min(max(wanted[0], widths[0] / 2), max(180.0 - widths[0] / 2, widths[0] / 2)))
