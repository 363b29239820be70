"""Which pages a template takes at full size: one, or tiles that lap over each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rackgen.export.paper.fonts import LEADING, POINT, wrapped
from rackgen.export.paper.painter import extent
from rackgen.export.paper.sheet import Paper, Sheet, sheet
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Point, Stroke, Words
from rackgen.sheets.pages import Template

LAP = 12.0
"""By how much neighbouring tiles lap over each other, mm."""

BARS_UP, BARS_ACROSS = 8.0, 16.0
"""Room for the check bars at the right and the lower edge of a template's page, mm."""

TITLE, NOTE = 12.0, 9.0
"""Sizes of a template's title and notes, points."""

MAP, MAP_ROOM = 16.0, 60.0
"""Height of the map of tiles, and the width that is kept for it, mm."""

AIR = 2.0
"""Round a template on its page, mm."""


@dataclass(frozen=True)
class Plan:
    """How a template lies on its tiles.

    Attributes:
        drawing: at full size, turned as it is printed, its lower left corner with its texts at the origin; mm.
        wide: of the drawing with its texts.
        high: of the same.
        across: tiles side by side.
        up: tiles over each other.
        tile: width and height of what a tile shows, mm.
        head: height that title and notes take over it, mm.
    """

    drawing: Drawing
    wide: float
    high: float
    across: int
    up: int
    tile: Point
    head: float

    @property
    def tiles(self) -> tuple[tuple[int, int], ...]:
        """Row from the top and column from the left of every tile, in reading order."""
        return tuple((r, c) for r in range(self.up) for c in range(self.across))

    def corner(self, row: int, column: int) -> Point:
        """Return the lower left corner of what a tile shows, mm on the drawing."""
        return column * (self.tile[0] - LAP), (self.up - 1 - row) * (self.tile[1] - LAP)

    @property
    def crosses(self) -> tuple[Point, ...]:
        """Registration crosses, mm on the drawing: two on every lap, in reading order."""
        wide, high = self.tile
        spots: list[Point] = []
        for row, column in self.tiles:
            x, y = self.corner(row, column)
            if column + 1 < self.across:
                spots += [(x + wide - LAP / 2, y + high * part) for part in (0.8, 0.2)]
            if row + 1 < self.up:
                spots += [(x + wide * part, y + LAP / 2) for part in (0.2, 0.8)]
        return tuple(spots)


def tile_name(row: int, column: int) -> str:
    """Return a tile's name: rows A, B, ... from the top, columns 1, 2, ... from the left."""
    letters = ""
    n = row
    while n >= 0:
        letters = chr(ord("A") + n % 26) + letters
        n = n // 26 - 1
    return f"{letters}{column + 1}"


def text_height(texts: Sequence[str], size: float, room: float, *, bold: bool = False) -> float:
    """Return how high paragraphs are under each other, points and mm."""
    return sum(len(wrapped(text, size, room, bold)) for text in texts) * size * LEADING * POINT


def _head_height(template: Template, room: float, before: str = "") -> float:
    title = text_height((before + template.title,), TITLE, room, bold=True)
    return title + text_height(template.notes, NOTE, room) + 2.0


def plan(template: Template, page: Sheet) -> Plan:
    """Return how a template lies on a kind of page, turned by 90° where that takes fewer tiles."""
    room = page.room - BARS_UP
    most = page.depth - BARS_ACROSS
    x0, y0, x1, y1 = extent(template.drawing)
    head = _head_height(template, room)
    sizes = ((x1 - x0 + AIR, y1 - y0 + AIR), (y1 - y0 + AIR, x1 - x0 + AIR))

    def tiled(head: float) -> list[tuple[int, int]]:
        return [(_count(w, room), _count(h, most - head)) for w, h in sizes]

    counts = tiled(head)
    if min(a * b for a, b in counts) > 1:
        # Tiles carry their name before the title and a map beside it, which may be taller than title and notes.
        head = max(_head_height(template, room - MAP_ROOM, "AA00 of A1 to AA00: "), MAP + 2.0)
        counts = tiled(head)
    turn = counts[1][0] * counts[1][1] < counts[0][0] * counts[0][1]
    drawing = quarter_turned(template.drawing) if turn else template.drawing
    x0, y0, _, _ = extent(drawing)
    wide, high = sizes[turn]
    across, up = counts[turn]
    tile = ((wide + (across - 1) * LAP) / across, (high + (up - 1) * LAP) / up)
    return Plan(drawing.moved(AIR / 2 - x0, AIR / 2 - y0), wide, high, across, up, tile, head)


def template_sheet(paper: Paper) -> Sheet:
    """Return the page of templates: room for the rack's state is always kept, so that tiles never change with it."""
    return sheet(paper, banner=True)


def tile_count(template: Template, paper: Paper) -> int:
    """Return on how many pages a template is printed; 1 when it needs no tiles."""
    found = plan(template, template_sheet(paper))
    return found.across * found.up


def quarter_turned(drawing: Drawing) -> Drawing:
    """Return a drawing turned by 90° anticlockwise about its origin."""
    return Drawing(tuple(_turned(item) for item in drawing.items))


def _turned(item: Item) -> Item:
    match item:
        case Stroke():
            return Stroke(tuple((-y, x) for x, y in item.points), item.style, item.closed, item.fill)
        case Circle():
            return Circle(-item.y, item.x, item.radius, item.style)
        case Words():
            sx, sy = item.shift
            return Words(
                -item.y, item.x, item.text, item.height, item.align, item.angle + 90.0, (-sy, sx), item.bold
            )  # fmt: skip
        case Dimension():
            (ax, ay), (bx, by) = item.start, item.end
            return Dimension((-ay, ax), (-by, bx), item.text, item.offset, item.height)


def _count(long: float, room: float) -> int:
    """Return how many tiles of a room a length takes."""
    return 1 if long <= room else math.ceil((long - LAP) / max(room - LAP, 1.0))
