"""Drawings of the folding bench for any bar and any broken plate: nothing over anything, sizes the part's own."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.geom.breaks import Break
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import CutPlate, FoldedBar, PlateHole
from rackgen.parts.marks import Line
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.bent_views import outside_legs
from rackgen.sheets.drawing import Drawing, Stroke
from rackgen.sheets.flats import Blank, blanks
from rackgen.sheets.fold_sketch import bar_shape, shape_drawing
from rackgen.sheets.fold_station import bar_blocks, fold_order, plate_blocks
from rackgen.sheets.pages import Fields, Figure, Rows
from rackgen.spec.shop import Shop
from rackgen.units import Unit
from tests.drawn import mishaps
from tests.small_rack import MM, PLATE
from tests.strategies import folded_bars, reals

LAW = settings(max_examples=25, deadline=None, derandomize=True)
units = st.sampled_from(["mm", "in"])


def shop(unit: Unit) -> Shop:
    return dataclasses.replace(MM, unit=unit)


def lone(part: FoldedBar | CutPlate) -> tuple[Line, Rack]:
    placed = Placed("x", part, Frame(), "part", 3)
    return Line("X1", part, (placed,)), Rack((placed,), ())


def blank_of(rack: Rack, made: Shop) -> Blank:
    (blank,), _ = blanks(rack, made)
    return blank


def finite(drawing: Drawing) -> bool:
    return all(math.isfinite(c) for i in drawing.items if isinstance(i, Stroke) for p in i.points for c in p)


@LAW
@given(folded_bars(), units)
def test_no_text_of_a_bars_pages_is_on_another_or_on_the_bar(bar: FoldedBar, unit: Unit) -> None:
    line, rack = lone(bar)
    for block in bar_blocks(line, bar, blank_of(rack, shop(unit)), shop(unit)):
        if isinstance(block, Figure):
            assert finite(block.drawing)
            assert mishaps(block.drawing) == []


@LAW
@given(folded_bars())
def test_the_side_view_is_the_bar_as_it_is_folded(bar: FoldedBar) -> None:
    """Its box against the box of the folded bar's own frames, each flat and arc swept by half the thickness."""
    t = bar.section.thickness
    points: list[np.ndarray] = []
    for frame, long, fold in legs_and_arcs(bar.flats, bar.folds, t, bar.section.width):
        if fold is None:
            points += [np.array(frame.point((x, 0, z))) for x in (0.0, long) for z in (-t / 2, t / 2)]
            continue
        r, side = fold.middle_radius + t / 2, math.copysign(1.0, fold.angle)
        for a in np.radians(np.linspace(0.0, abs(fold.angle), 400)):
            for z in (-t / 2, t / 2):
                inward = r - side * z
                points.append(np.array(frame.point((inward * math.sin(a), 0.0, side * (r - inward * math.cos(a))))))
    box = np.ptp(np.array(points)[:, [0, 2]], axis=0)
    drawn = np.vstack([np.array(i.points) for i in shape_drawing(bar_shape(bar, "mm")).items
                       if isinstance(i, Stroke) and i.closed and i.style == "edge"])  # fmt: skip
    # A fold with two radii is a cone: its side view is that of a plain fold at mid-width, near enough to look at.
    coned = any(f.far_radius is not None for f in bar.folds)
    assert np.allclose(np.ptp(drawn, axis=0), box, atol=1.0 if coned else 0.1)


@LAW
@given(folded_bars())
def test_marks_run_from_end_a_and_every_fold_is_made_once(bar: FoldedBar) -> None:
    line, rack = lone(bar)
    blocks = bar_blocks(line, bar, blank_of(rack, MM), MM)
    (table,) = (b.table for b in blocks if isinstance(b, Rows))
    at = [float(row[1]) for row in table.rows]
    assert at == sorted(at)
    assert at[0] == 0.0
    assert sorted(fold_order(bar)) == list(range(len(bar.folds)))
    asked = [b for b in blocks if isinstance(b, Fields)]
    assert bool(asked) == bool(bar.folds)
    if asked:
        legs = outside_legs(bar_shape(bar, "mm").line, bar.section.thickness / 2)
        assert [v for n, v in asked[0].rows if " to " in n] == [f"{round(x * 2) / 2:.1f} mm" for x in legs]


@LAW
@given(reals(80.0, 200.0), reals(60.0, 150.0), st.lists(reals(-6.0, 6.0), min_size=1, max_size=2), units)
def test_no_text_of_a_broken_plates_pages_is_on_another(
    wide: float, high: float, angles: list[float], unit: Unit
) -> None:
    angles = [a if abs(a) > 0.5 else 1.0 for a in angles]
    breaks = tuple(Break((0.0, 0.0), d, a) for d, a in zip((0.0, 90.0), angles, strict=False))
    holes = tuple(PlateHole(x * wide, y * high, 6.5) for x in (-0.35, 0.35) for y in (-0.3, 0.0, 0.3))
    plate = CutPlate(PLATE, rectangle(wide, high, 12.0), holes, (), breaks)
    _, rack = lone(plate)
    blocks = plate_blocks(plate, blank_of(rack, shop(unit)), unit)
    figures = [b for b in blocks if isinstance(b, Figure)]
    assert len(figures) == 1 + len(breaks)
    for figure in figures:
        assert mishaps(figure.drawing) == []
