"""Bender and folding bench: every bent, folded, drilled and broken part of the shipped racks has its page."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from rackgen import job
from rackgen.export.paper.blocks import SCALES
from rackgen.export.paper.painter import extent
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.marks import lines
from rackgen.sheets import board
from rackgen.sheets.bend_station import bend_station
from rackgen.sheets.drawing import Dimension, Drawing, Stroke, Words
from rackgen.sheets.fold_station import fold_station
from rackgen.sheets.pages import Fields, Figure, Heading, Rows, Station, Text
from rackgen.spec.read import read_job
from tests.drawn import mishaps

TEN = sorted((Path(__file__).parents[1] / "presets" / "ten" / "racks").glob("*.toml"))
SHIPPED = ["demo", "survey-crew"]
WIDE = 186.0
"""Room on A4 between its margins, mm; Letter has more."""


@cache
def made(name: str) -> Design:
    return job.design(read_job(name))


def stations(design: Design) -> tuple[Station, Station]:
    return bend_station(design.rack, design.job.shop), fold_station(design.rack, design.job.shop)


def check_figures(station: Station) -> int:
    """Every figure fits the page at the scale that it was laid out for, and nothing on it touches."""
    figures = [b for b in station.blocks if isinstance(b, Figure)]
    for figure in figures:
        left, bottom, right, top = extent(figure.drawing, figure.drawing.scale)
        assert right - left <= WIDE
        assert top - bottom <= figure.height
        assert mishaps(figure.drawing) == []
        assert all(i.height >= 2.2 for i in figure.drawing.items if isinstance(i, Words | Dimension))
    return len(figures)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_part_has_its_heading_its_figure_and_its_boxes(name: str) -> None:
    design = made(name)
    bender, bench = stations(design)
    bent = {x.mark for x in lines(design.rack) if isinstance(x.part, BentTube) and x.part.spine.bends}
    bars = {x.mark for x in lines(design.rack) if isinstance(x.part, FoldedBar) and (x.part.folds or x.part.holes)}
    plates = {x.mark for x in lines(design.rack) if isinstance(x.part, CutPlate) and x.part.breaks}
    assert bent <= headed(bender)
    assert bars | plates <= headed(bench)
    assert check_figures(bender) == len(bent)
    assert check_figures(bench) >= len(bars | plates)


@pytest.mark.racks
@pytest.mark.parametrize("path", TEN, ids=lambda p: p.stem)
def test_the_figures_of_ten_unlike_racks_fit_and_are_clear(path: Path) -> None:
    for station in stations(made(str(path))):
        check_figures(station)


def headed(station: Station) -> set[str]:
    return {b.text.split()[0] for b in station.blocks if isinstance(b, Heading)}


def test_without_a_test_bend_the_form_comes_first_and_the_page_says_creep_up() -> None:
    without = stations(made("demo"))[0]
    first = without.blocks[0]
    assert isinstance(first, Heading)
    assert first.text.startswith("Test bend")
    cautions = [b.text for b in without.blocks if isinstance(b, Text) and b.kind == "caution"]
    assert len(cautions) == 2
    assert all("release, read, creep up" in c for c in cautions)
    asked = next(b for b in without.blocks if isinstance(b, Fields))
    assert [row[0][0] for row in asked.rows] == list("LmSFabDd")
    measured = stations(made("survey-crew"))[0]
    assert not [b for b in measured.blocks if isinstance(b, Text) and b.kind == "caution"]
    assert not [b for b in measured.blocks if isinstance(b, Heading) and b.text.startswith("Test bend")]


def test_the_sketchs_numbers_are_those_of_the_rows_and_its_sizes_those_of_the_boxes() -> None:
    bender = stations(made("demo"))[0]
    figures = [b.drawing for b in bender.blocks if isinstance(b, Figure)]
    tables = [b.table for b in bender.blocks if isinstance(b, Rows)]
    boxes = [b for b in bender.blocks if isinstance(b, Fields) and "as bent" in b.title]
    for drawing, table, box in zip(figures, tables, boxes, strict=True):
        numbers = [int(n) for i in drawing.items if isinstance(i, Words) and i.bold
                   for n in i.text.split(", ") if n.isdigit()]  # fmt: skip
        assert sorted(numbers) == [int(row[0]) for row in table.rows]
        drawn = {i.text for i in drawing.items if isinstance(i, Dimension)}
        asked = {value.removesuffix(" mm") for _, value in box.rows}
        assert drawn <= asked


def test_a_text_on_another_is_seen() -> None:
    words = Words(0.0, 0.0, "1300.0")
    steel = Stroke(((10.0, -5.0), (30.0, -5.0), (30.0, 5.0), (10.0, 5.0)), "edge", closed=True)
    assert mishaps(Drawing((words, Words(2.0, 1.0, "10")), 1.0)) == ["10 on 1300.0"]
    assert mishaps(Drawing((steel, Words(20.0, 0.0, "10")), 1.0)) == ["10 on steel"]
    assert mishaps(Drawing((steel, words), 1.0)) == []


def test_drawings_are_laid_out_for_scales_that_pages_have() -> None:
    assert set(board.SCALES) <= set(SCALES)
