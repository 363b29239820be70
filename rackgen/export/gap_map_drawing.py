"""The gap map for paper: plan view, front up, in colours and in letters, so that a copy without colour says as much."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from rackgen.check.gap_map import GapMap
from rackgen.check.result import Gap
from rackgen.export.gap_map_svg import COLOURS, band_words, bands
from rackgen.sheets.board import SCALES, Board
from rackgen.sheets.drawing import Colour, Drawing, Point, Stroke, Words
from rackgen.spec.rack import Gaps
from rackgen.units import Unit, shown_step, write_length

WIDE, HIGH = 100.0, 130.0
"""Room for the plan, mm on paper: its labels and its key stand beside it."""

APART = 24.0
"""Least distance between two letters of one band, mm on paper."""

ROOMY = 1.3
"""A letter stands where its band is at least so wide to every side, mm on paper."""

OVER = 0.25
"""By how much patches overlap, mm of the drawn thing, so that no white shows between them."""

Grid = NDArray[np.int64]


def gap_map_drawing(drawn: GapMap, wish: Gaps, unit: Unit) -> Drawing | None:
    """Return the map, its five tightest places labelled with number and gap; None where nothing is over the roof.

    Args:
        drawn: the map.
        wish: wanted gaps, where bands change.
        unit: of the texts.
    """
    if not drawn.rows:
        return None
    ends = bands(wish)
    grid = banded(drawn, ends)
    high, wide = (n * drawn.cell for n in grid.shape)
    scale = next((s for s in SCALES if wide * s <= WIDE and high * s <= HIGH), SCALES[-1])
    board = Board(scale)
    board.items += _patches(grid, drawn.cell)
    board.items += [Stroke(line, "thin") for line in _borders(grid, drawn.cell)]
    # No label hides a place that is still to be labelled.
    for gap in drawn.tight:
        if gap.at is not None:
            board.circle(gap.at[1] - drawn.y, drawn.x - gap.at[0], 1.2 / board.scale)
    for number, gap in enumerate(drawn.tight, 1):
        _label(board, drawn, number, gap, wide, unit)
    board.items += _letters(board, grid, drawn.cell)
    _axes(board, drawn, wide, high)
    _key(board, ends, wide, unit)
    return board.drawing


def banded(drawn: GapMap, ends: tuple[float, ...]) -> Grid:
    """Return the band of every place of a map, -1 where nothing stands over the roof."""
    return np.array([[-1 if g is None else sum(g >= end for end in ends) for g in row] for row in drawn.rows])


def _patches(grid: Grid, cell: float) -> list[Stroke]:
    """Return the bands as rectangles, runs of one row joined with equal runs of the rows behind."""
    open_runs: dict[tuple[int, int, int], int] = {}
    found: list[tuple[int, int, int, int, int]] = []
    for i in range(len(grid) + 1):
        now = set(_runs(grid[i])) if i < len(grid) else set[tuple[int, int, int]]()
        for run in sorted(open_runs.keys() - now):
            found.append((*run, open_runs.pop(run), i))
        for run in now - open_runs.keys():
            open_runs[run] = i
    out: list[Stroke] = []
    for begin, end, band, first, last in sorted(found):
        x0, x1 = begin * cell - OVER, end * cell + OVER
        y0, y1 = -last * cell - OVER, -first * cell + OVER
        out.append(Stroke(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), "thin", True, inside=_rgb(COLOURS[band])))
    return out


def _rgb(colour: str) -> Colour:
    red, green, blue = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return red, green, blue


def _runs(row: Grid) -> list[tuple[int, int, int]]:
    """Return where a row has one band: from, to, and which."""
    cuts = [0, *(np.flatnonzero(np.diff(row)) + 1).tolist(), len(row)]
    return [(a, b, int(row[a])) for a, b in itertools.pairwise(cuts) if row[a] >= 0]


def _borders(grid: Grid, cell: float) -> list[tuple[Point, ...]]:
    """Return the lines between bands and round the rack, straight stretches joined."""
    out: list[tuple[Point, ...]] = []
    padded = np.pad(grid, 1, constant_values=-1)
    for across, lines in ((False, padded), (True, padded.T)):
        # Between a row and the one behind it, and the same the other way.
        change = lines[:-1, 1:-1] != lines[1:, 1:-1]
        for k, row in enumerate(change):
            edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
            for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
                p, q = (a * cell, -k * cell), (b * cell, -k * cell)
                out.append(((-p[1], -p[0]), (-q[1], -q[0])) if across else (p, q))
    return out


def _letters(board: Board, grid: Grid, cell: float) -> list[Words]:
    """Return every band's letter in its roomiest places, none near another of its kind or on a label."""
    out: list[Words] = []
    need, apart = ROOMY / board.scale / cell, APART / board.scale / cell
    taken = [(w.x / cell, -w.y / cell) for w in board.items if isinstance(w, Words)]
    for band in range(len(COLOURS)):
        room = _room(grid == band)
        spots = sorted(((-float(room[i, j]), i, j) for i, j in np.argwhere(room >= need).tolist()))
        mine: list[tuple[float, float]] = []
        for _, i, j in spots:
            x, y = j + 0.5, i + 0.5
            if all(np.hypot(x - a, y - b) >= apart for a, b in mine) and all(
                np.hypot((x - a) / 2, y - b) >= apart / 3 for a, b in taken
            ):
                mine.append((x, y))
        taken += mine
        out += [Words(x * cell, -y * cell, LETTERS[band], 2.2) for x, y in mine]
    return out


LETTERS = "ABCDEFGH"
"""Of the bands, the tightest first."""


def _room(inside: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return how many cells one may go from each cell before it is outside, in the nearest of four ways, halves."""
    steps = np.where(inside, np.inf, 0.0)
    padded = np.pad(steps, 1)
    for view in (padded, padded[::-1], padded.T, padded.T[::-1]):
        run = np.zeros(view.shape[1])
        for row in view:
            run = np.where(row > 0, run + 1, 0.0)
            np.minimum(row, run, out=row)
    return np.maximum(padded[1:-1, 1:-1] - 0.5, 0.0)


def _label(board: Board, drawn: GapMap, number: int, gap: Gap, wide: float, unit: Unit) -> None:
    """Write a tight place's number and gap beside it, on its own side of the middle, of those on it in turn."""
    if gap.at is None or gap.gap is None:
        return
    x, y = gap.at[1] - drawn.y, -(gap.at[0] - drawn.x)
    aside = -1.0 if x < wide / 2 - 1 or (abs(x - wide / 2) <= 1 and number % 2) else 1.0
    said = f"{number}: {write_length(gap.gap, unit, shown_step(unit, fine=True))}"
    board.words(said, (x, y), (aside, 0.3), bold=True, near=4.5)


def _axes(board: Board, drawn: GapMap, wide: float, high: float) -> None:
    """Draw the middle, which way is front, and the datum where it lies under the rack."""
    over = 4.0 / board.scale
    middle = -drawn.y
    board.items.append(Stroke(((middle, over), (middle, -high - over)), "centre"))
    board.items.append(Words(middle, over, "front", 2.4, shift=(0.0, 2.6), bold=True))
    if 0 <= -drawn.x <= high:
        y = drawn.x
        board.items.append(Stroke(((-over, y), (wide + over, y)), "centre"))
        board.items.append(Words(wide + over, y, "datum", 2.2, "left", shift=(1.0, 0.0)))


def _key(board: Board, ends: tuple[float, ...], wide: float, unit: Unit) -> None:
    """Draw the bands with their letters and what they stand for, and a length to measure by."""
    mm = 1 / board.scale
    x, y = wide + 24 * mm, 0.0
    board.items.append(Words(x, y, f"gap, {unit}", 2.4, "left", bold=True))
    for band in range(len(ends) + 1):
        y -= 6.5 * mm
        box = ((x, y - 2.5 * mm), (x + 9 * mm, y - 2.5 * mm), (x + 9 * mm, y + 2.5 * mm), (x, y + 2.5 * mm))
        board.items.append(Stroke(box, "thin", True, inside=_rgb(COLOURS[band])))
        board.items.append(Stroke(box, "thin", True))
        board.items.append(Words(x + 4.5 * mm, y, LETTERS[band], 2.2))
        board.items.append(Words(x + 11 * mm, y, band_words(ends, band, unit), 2.4, "left"))
    y -= 12 * mm
    long, said = (200.0, "200 mm") if unit == "mm" else (203.2, "8 in")
    board.items.append(Stroke(((x, y), (x + long, y)), "edge"))
    board.items += [Stroke(((x + k, y - mm), (x + k, y + mm)), "edge") for k in (0.0, long)]
    board.items.append(Words(x, y, said, 2.4, "left", shift=(0.0, -3.5)))
