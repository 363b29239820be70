"""The layout of an assembly on its table: tubes from above, stop blocks, diagonals, and what stands where."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rackgen.geom.frame import vec
from rackgen.parts.rack import Rack
from rackgen.sheets.board import SCALES, Board
from rackgen.sheets.drawing import Dimension, Drawing, Item, Stroke, Words
from rackgen.sheets.fit_up import WEDGE, Assembly, StationMark, running
from rackgen.sheets.isometric import View, lines
from rackgen.sheets.words import fine
from rackgen.units import Unit

WIDE = 178.0
"""Room on either paper, mm."""

AROUND = (84.0, 58.0)
"""Of it, what dimensions and stations take across and up, mm."""

LINE = 4.0
"""From one line of stations to the next, mm on paper."""

OUT = 12.0
"""From the outside of the assembly to the texts of its stations, mm on paper."""

SHOWN = 5.5
"""Side of a stop block as it is drawn, so that its number is read inside it, mm on paper."""

OFF = 11.0
"""From the outside to the overall dimensions, mm on paper: past the blocks."""

CORNER = 12.0
"""Length of the two lines that show the table's corner, mm on paper."""


def layout_drawing(rack: Rack, one: Assembly, unit: Unit, margin: float, high: float = 165.0) -> Drawing:
    """Return the layout of an assembly, front at the top, right at the right.

    Args:
        rack: the rack.
        one: the assembly.
        unit: of the shop.
        margin: of the fit-up sheet, mm.
        high: room on paper, mm.
    """
    x, y, z = one.table.x, one.table.y, one.table.z
    view = View(vec(-np.asarray(z)), y, vec(-np.asarray(x)))
    origin = view.flat(np.asarray(one.table.origin)[None, :])[0]
    parts = [p for p in rack.placed if p.id in one.parts]
    shown = [line.points - origin for line in lines(parts, view)]
    scale = next(
        (s for s in SCALES if one.width * s <= WIDE - AROUND[0] and one.length * s <= high - AROUND[1]), SCALES[-1]
    )
    board = Board(scale)
    for points in shown:
        board.stroke(points, "edge")
    for block in one.blocks:
        _block(board, block.side, block.aft, block.across, block.id)
    corners = [np.array([c[1], -c[0]]) for c in one.corners]
    for a, b in ((0, 2), (1, 3)):
        board.stroke([corners[a], corners[b]], "centre", taken=False)
    left, top = float(np.vstack(shown)[:, 0].min()), float(np.vstack(shown)[:, 1].max())
    right, low = left + one.width, top - one.length
    items: list[Item] = list(board.drawing.items)
    x, y = (float(v) for v in np.mean(corners, axis=0))
    bars = [-margin - s.at for s in one.stations if s.what.startswith("cross bar")]
    room = one.tube / 2 + LINE / scale
    tried = (y + side * k * LINE / scale for k in range(1, 20) for side in (1.0, -1.0))
    items.append(Words(x, next((t for t in tried if all(abs(t - b) > room for b in bars)), y), _diagonals(one, unit)))
    items.append(Dimension((left, top), (right, top), fine(one.width, unit), OFF))
    items.append(Dimension((left, low), (left, top), fine(one.length, unit), OFF))
    blocks = [-b.aft for b in one.blocks if b.side == "right"]
    items += _aft(running(one.stations, "aft"), right, top, blocks, scale, unit)
    items += _across(running(one.stations, "across"), left, low, scale, unit)
    edge = CORNER / scale
    items.append(Stroke(((0.0, -edge), (0.0, 0.0), (edge, 0.0)), "edge"))
    items.append(Words(0.0, 0.0, "table's corner", 2.4, "right", shift=(-1.5, 0.0)))
    return Drawing(tuple(items), scale)


def _block(board: Board, side: str, aft: float, across: float, name: str) -> None:
    half = SHOWN / 2 / board.scale
    middle = {
        "left": (across - half, -aft), "right": (across + half, -aft),
        "front": (across, -aft + half), "rear": (across, -aft - half),
    }[side]  # fmt: skip
    x, y = middle
    ring = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    board.stroke(ring, "thin", closed=True, fill="light")
    board.items.append(Words(x, y, name, 2.2, "centre", bold=True))


def _diagonals(one: Assembly, unit: Unit) -> str:
    first, second = (fine(d, unit) for d in one.diagonals)
    return f"both diagonals {first}" if first == second else f"diagonals {first} from left front, {second}"


def spaced(places: Sequence[float], least: float) -> list[float]:
    """Return places, rising, moved apart to `least` from each other and no farther from where they were than needed."""
    heaps: list[list[float]] = []
    for p in places:
        heaps.append([p])
        while len(heaps) > 1 and _middle(heaps[-2]) + least * (len(heaps[-2]) + len(heaps[-1])) / 2 > _middle(
            heaps[-1]
        ):
            last = heaps.pop()
            heaps[-1] += last
    return [_middle(h) + least * (k - (len(h) - 1) / 2) for h in heaps for k in range(len(h))]


def _middle(heap: Sequence[float]) -> float:
    return sum(heap) / len(heap)


def _aft(stations: Sequence[StationMark], right: float, top: float, blocks: Sequence[float], scale: float, unit: Unit
         ) -> list[Stroke | Words]:  # fmt: skip
    """Return running dimensions from the front outside, at the right."""
    out: list[Stroke | Words] = []
    rows = spaced([s.at * scale for s in stations], LINE)
    for station, row in zip(stations, rows, strict=True):
        y, there = top - station.at, top - row / scale
        # A line does not run through a block that stands there.
        past = WEDGE * scale + SHOWN if any(abs(y - b) * scale < SHOWN / 2 + 0.5 for b in blocks) else 0.0
        begin, knee, end = (right + d / scale for d in (past + 1.0, past + 2.5, OUT))
        out.append(Stroke(((begin, y), (knee, y), (end, there)), "thin"))
        out.append(Words(end, there, f"{fine(station.at, unit)}  {station.what}", 2.4, "left", shift=(1.0, 0.0)))
    if stations:
        x = right + OUT / scale
        out.append(Words(x, top, "from the front outside", 2.2, "left", shift=(1.0, LINE * 1.2)))
    return out


def _across(stations: Sequence[StationMark], left: float, low: float, scale: float, unit: Unit
            ) -> list[Stroke | Words]:  # fmt: skip
    """Return running dimensions from the left outside, below, one line each so that no text meets the next."""
    out: list[Stroke | Words] = []
    for k, station in enumerate(stations):
        x = left + station.at
        down = low - (OUT + LINE * (len(stations) - 1 - k)) / scale
        out.append(Stroke(((x, low - 1.0 / scale), (x, down)), "thin"))
        out.append(Words(x, down, f"{fine(station.at, unit)}  {station.what}", 2.4, "left", shift=(1.0, 0.6)))
    if stations:
        down = low - (OUT + LINE * len(stations)) / scale
        out.append(Words(left, down, "from the left outside", 2.2, "left", shift=(0.0, 0.0)))
    return out
