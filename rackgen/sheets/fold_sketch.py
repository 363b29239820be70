"""Drawings for the folding bench: a flat blank with its running marks, and the finished shape seen from the side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom import outline
from rackgen.geom.breaks import Break, across
from rackgen.geom.fold import Fold
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.sheets.bent_sketch import Bent, bent_sketch
from rackgen.sheets.bent_views import View
from rackgen.sheets.board import SCALES, Board, text_width
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.flats import Blank
from rackgen.sheets.stick_drawing import spread
from rackgen.sheets.words import degrees, fine, radii, size
from rackgen.units import Unit

FIGURES = 2.4
"""Height of running dimensions, mm on paper."""

BESIDE = View("", np.array([1.0, 0, 0]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
"""From the side: the first flat along, its upper face up."""


@dataclass(frozen=True)
class FlatMark:
    """One running mark on a blank; mm.

    Attributes:
        at: along the blank from its left end.
        far: the same at the upper edge, where a mark runs aslant; as `at` for all others.
        what: is done there, in words.
        drawn: whether a line is drawn across the blank there: "" for none.
    """

    at: float
    far: float
    what: str
    drawn: str = ""


def marks_of_bar(blank: Blank, bar: FoldedBar, limits: Sequence[tuple[tuple[float, float], tuple[float, float]]],
                 unit: Unit) -> tuple[FlatMark, ...]:  # fmt: skip
    """Return the running marks of a bar from end A: ends, folds, holes.

    Args:
        blank: of the bar.
        bar: the bar.
        limits: of each fold: where it begins and where it ends, each at the lower and at the upper edge, mm.
        unit: the shop's.
    """
    points = outline.polygon(blank.outline)
    left, right = float(points[:, 0].min()), float(points[:, 0].max())
    out = [FlatMark(left, left, "end A"), FlatMark(right, right, "end B")]
    for n, (fold, line, (begin, end)) in enumerate(zip(bar.folds, blank.folds, limits, strict=True), 1):
        turned = f"fold {n}, {degrees(abs(fold.angle))}° {'up' if fold.angle > 0 else 'down'}, {radii(fold, unit)}"
        out.append(FlatMark(*begin, f"fold {n} begins", "thin"))
        out.append(FlatMark(line.start[0], line.end[0], f"middle of {turned}", "fold"))
        out.append(FlatMark(*end, f"fold {n} ends", "thin"))
    out += _hole_marks(blank, unit)
    return tuple(sorted((_from(m, left) for m in out), key=lambda m: (m.at, m.what)))


def marks_of_plate(blank: Blank, plate: CutPlate, unit: Unit) -> tuple[FlatMark, ...]:
    """Return the running marks of a plate from its left edge: edges and holes; breaks stand in the drawing."""
    points = outline.polygon(blank.outline)
    left, right = float(points[:, 0].min()), float(points[:, 0].max())
    out = [FlatMark(left, left, "left edge"), FlatMark(right, right, "right edge"), *_hole_marks(blank, unit)]
    out += [
        FlatMark(line.start[0], line.end[0], name)
        for line, name in zip(blank.folds, break_names(plate), strict=True)
        if abs(line.start[0] - line.end[0]) < 1e-6
    ]
    return tuple(sorted((_from(m, left) for m in out), key=lambda m: (m.at, m.what)))


def _from(mark: FlatMark, left: float) -> FlatMark:
    return FlatMark(mark.at - left + 0.0, mark.far - left + 0.0, mark.what, mark.drawn)


def _hole_marks(blank: Blank, unit: Unit) -> list[FlatMark]:
    """Return a mark for every place along that holes stand at, with their places across from the lower edge."""
    low = float(outline.polygon(blank.outline)[:, 1].min())
    same: dict[tuple[float, float], list[float]] = {}
    for hole in (*blank.holes, *blank.centres):
        same.setdefault((round(hole.x, 3), round(hole.diameter, 3)), []).append(hole.y - low)
    out: list[FlatMark] = []
    for (x, diameter), ys in same.items():
        count = f"{len(ys)} holes" if len(ys) > 1 else "hole"
        up = ", ".join(fine(y, unit) for y in sorted(ys))
        out.append(FlatMark(x, x, f"{count} {size(diameter, unit)}, {up} from the lower edge"))
    return out


def flat_drawing(
    blank: Blank, marks: tuple[FlatMark, ...], named: Sequence[str], unit: Unit, wide: float = 182.0, high: float = 75.0
) -> Drawing:
    """Return a blank as it is marked out: running dimensions from its left end below, places across beside it.

    Args:
        blank: the blank.
        marks: its running marks, numbered from 1 in this order.
        named: what is written at each fold or break.
        unit: the shop's.
        wide: room on paper, mm.
        high: the same.
    """
    points = outline.polygon(blank.outline)
    spans = np.ptp(points, axis=0)
    board = Board(SCALES[-1])
    for scale in SCALES:
        if scale > 1 or spans[0] * scale > wide - 30 or spans[1] * scale > high - 20:
            continue
        board = _flat(blank, marks, named, unit, scale)
        left, bottom, right, top = board.extent
        if right - left <= wide and top - bottom <= high:
            break
    return board.drawing


def _flat(blank: Blank, marks: tuple[FlatMark, ...], named: Sequence[str], unit: Unit, scale: float) -> Board:
    board = Board(scale)
    points = outline.polygon(blank.outline)
    (left, low), (right, top) = points.min(axis=0), points.max(axis=0)
    board.stroke(points, "edge", closed=True, fill="light")
    # The whole face is kept free of texts.
    board.take([(left, (low + top) / 2), (right, (low + top) / 2)], float(top - low) / 2)
    for opening in (*blank.openings, *blank.drilled):
        board.stroke(outline.polygon(opening), "edge", closed=True)
    for hole in (*blank.holes, *blank.centres):
        board.circle(hole.x, hole.y, hole.diameter / 2)
        arm = hole.diameter / 2 + 1.0 / scale
        board.stroke([(hole.x - arm, hole.y), (hole.x + arm, hole.y)], "thin", taken=False)
        board.stroke([(hole.x, hole.y - arm), (hole.x, hole.y + arm)], "thin", taken=False)
    for fold in blank.folds:
        board.stroke([fold.start, fold.end], "fold", taken=False)
        for limit in fold.limits:
            board.stroke(limit, "thin", taken=False)
    _ladder(board, marks, float(left), float(low), unit)
    board.dimension((right, low), (right, top), fine(float(top - low), unit), -1.0, near=7.0)
    heights = {round(h.y - float(low), 2) for h in (*blank.holes, *blank.centres)}
    heights |= {round(f.start[1] - float(low), 2) for f in blank.folds if abs(f.start[1] - f.end[1]) < 1e-6}
    for k, height in enumerate(sorted(heights)):
        board.dimension((left, low), (left, low + height), fine(height, unit), 1.0, near=7.0 + 6.0 * k)
    for said, fold in zip(named, blank.folds, strict=True):
        level = abs(fold.start[1] - fold.end[1]) < 1e-6
        # At the upper end, or at the right one of a line that lies level.
        at = max((fold.start, fold.end), key=lambda p, level=level: p[0] if level else p[1])
        board.words(said, at, (0.5, 1.0) if level else (0.0, 1.0), near=3.0)
    return board


def _ladder(board: Board, marks: tuple[FlatMark, ...], left: float, low: float, unit: Unit) -> None:
    """Write the running dimensions upright under the blank, spread so that each is read, with lines to their places."""
    scale = board.scale
    same: list[tuple[float, float, list[int]]] = []
    for n, mark in enumerate(marks, 1):
        if same and abs(same[-1][0] - mark.at) < 0.01 and abs(same[-1][1] - mark.far) < 0.01:
            same[-1][2].append(n)
        else:
            same.append((mark.at, mark.far, [n]))
    texts = [f"{', '.join(map(str, numbers))}:  {_place(at, far, unit)}" for at, far, numbers in same]
    pitch = FIGURES * 1.9
    room = max(pitch * len(same), (same[-1][0] * scale) + pitch)
    at = spread([(m[0] * scale + pitch / 2) for m in same], [pitch] * len(same), room)
    top = low * scale - 9.0
    for (x, _, _), place, text in zip(same, at, texts, strict=True):
        foot = left * scale + place - pitch / 2
        board.stroke([(left + x, low), (left + x, low - 2.0 / scale), (foot / scale, (top + 1.0) / scale)], "thin")
        board.upright(text, foot / scale, top / scale, text_width(text, FIGURES), FIGURES)


def _place(at: float, far: float, unit: Unit) -> str:
    low, high = fine(at, unit), fine(far, unit)
    return low if low == high else f"{low} / {high}"


def bar_shape(bar: FoldedBar, unit: Unit) -> Bent:
    """Return a folded bar as it is seen from its lower edge, end A to the left, its upper face up; at mid-width."""
    return Bent(
        _spine(bar.flats, bar.folds, bar.section.thickness),
        bar.section.thickness / 2,
        ("end A", "end B"),
        fold_names(bar, unit),
        lambda mm: fine(mm, unit),
        eye=(BESIDE,),
    )


def fold_names(bar: FoldedBar, unit: Unit) -> tuple[str, ...]:
    """Return what is written at each fold of a bar."""
    return tuple(_fold_words(i, f, unit) for i, f in enumerate(bar.folds, 1))


def break_names(plate: CutPlate) -> tuple[str, ...]:
    """Return what is written at each break of a plate."""
    many = len(plate.breaks) > 1
    return tuple(
        f"break{f' {n}' if many else ''}: {degrees(abs(b.angle))}° {'down' if b.angle > 0 else 'up'}"
        for n, b in enumerate(plate.breaks, 1)
    )


def _fold_words(number: int, fold: Fold, unit: Unit) -> str:
    radius = f"R{size(fold.middle_radius, unit)}" + (" at mid-width" if fold.far_radius is not None else "")
    way = "up" if fold.angle > 0 else "down"
    return f"fold {number}: {degrees(abs(fold.angle))}° {way}, inside {radius}"


def _spine(flats: tuple[float, ...], folds: tuple[Fold, ...], thickness: float) -> Spine:
    """Return the middle line of a bar at mid-width, its first fold toward +Z when it goes up."""
    bends: list[Bend] = []
    before = 0.0
    for fold in folds:
        clock = 0.0 if fold.angle > 0 else 180.0
        turn = clock - before
        bends.append(Bend(abs(fold.angle), fold.middle_radius + thickness / 2, 180.0 if turn == -180.0 else turn))
        before = clock
    return Spine(flats, tuple(bends))


def break_shape(plate: CutPlate, line: Break, name: str, unit: Unit) -> Bent:
    """Return a plate seen along one of its breaks, its upper face up; the left or the lower edge to the left."""
    way = across(line)[:2]
    if way[0] < -1e-9 or (abs(way[0]) <= 1e-9 and way[1] < 0):
        way = -way
    reach = (outline.polygon(plate.outline) - np.array(line.point)) @ way
    low, high = -float(reach.min()), float(reach.max())
    names = ("left edge", "right edge") if abs(way[0]) > abs(way[1]) else ("lower edge", "upper edge")
    bend = Bend(abs(line.angle), plate.thickness / 2 + 0.01, 180.0 if line.angle > 0 else 0.0)
    return Bent(
        Spine((low, high), (bend,)),
        plate.thickness / 2,
        names,
        (name,),
        lambda mm: fine(mm, unit),
        eye=(BESIDE,),
    )


def shape_drawing(shape: Bent, wide: float = 182.0, high: float = 80.0) -> Drawing:
    """Return the finished shape with its outside sizes and angles."""
    return bent_sketch(shape, wide, high)
