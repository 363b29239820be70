"""Small templates side by side and under each other on one page, in the order they came."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rackgen.export.paper.fonts import LEADING, POINT, width, wrapped
from rackgen.export.paper.ink import Ink, baseline
from rackgen.export.paper.painter import extent, paint
from rackgen.export.paper.sheet import Sheet
from rackgen.export.paper.tiles import AIR, BARS_ACROSS, BARS_UP, NOTE, TITLE, Plan, text_height
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.pages import Template

APART = 5.0
"""Between two templates, mm."""

NARROW = 50.0
"""Least width of notes beside a drawing, mm."""

ASIDE = 4.0
"""Between a drawing and the notes beside it, mm."""


@dataclass(frozen=True)
class Cell:
    """A template on a page that it may share.

    Attributes:
        template: with its title and notes.
        drawing: as it is printed.
        x: of the upper left corner on the page, mm.
        y: of the same.
        wide: mm.
        high: mm.
        head: height over the drawing, of the title and of notes that are not beside it, mm.
        aside: where notes beside the drawing begin, from the left edge, mm; 0 when they are over it.
    """

    template: Template
    drawing: Drawing
    x: float
    y: float
    wide: float
    high: float
    head: float
    aside: float


def placed(template: Template, found: Plan, shelf: Sequence[Cell], page: Sheet) -> Cell | None:
    """Return a template's place behind those already on the page, None when the page is full."""
    room, bottom = page.room - BARS_UP, page.bottom + BARS_ACROSS
    wide = max(found.wide, 70.0, width(template.title, TITLE, bold=True) + 1.0)
    if wide > (room - APART) / 2:
        # Nothing else stands beside it: its notes do where that is lower, else they take the whole width over it.
        wide = room
    title = text_height((template.title,), TITLE, wide, bold=True) + 1.0
    head = title + text_height(template.notes, NOTE, wide) + 1.0
    high, aside = head + found.high, 0.0
    beside = wide - found.wide - ASIDE
    if template.notes and beside >= NARROW:
        lower = title + max(found.high, text_height(template.notes, NOTE, beside))
        if lower < high:
            head, high, aside = title, lower, found.wide + ASIDE
    x, y = page.left, page.top
    if shelf:
        last = shelf[-1]
        x, y = last.x + last.wide + APART, last.y
        if x + wide > page.left + room + 1e-9:
            x, y = page.left, min(c.y - c.high for c in shelf if c.y == last.y) - APART
    cell = Cell(template, found.drawing, x, y, wide, high, head, aside)
    return cell if y - high >= bottom - 1e-9 else None


def paint_cells(ink: Ink, cells: Sequence[Cell], page: Sheet) -> None:
    """Paint the templates of a page, thin lines between them."""
    for cell in cells:
        template = cell.template
        y = paint_text(ink, (template.title,), TITLE, cell.x, cell.y, cell.wide, bold=True)
        if cell.aside:
            y = cell.y - cell.head
        paint_text(ink, template.notes, NOTE, cell.x + cell.aside, y, cell.wide - cell.aside)
        x0, _, _, y1 = extent(cell.drawing)
        paint(ink, cell.drawing, 1.0, cell.x + AIR / 2 - x0, cell.y - cell.head - AIR / 2 - y1)
    for before, cell in pairwise(cells):
        if cell.y == before.y:
            low = min(c.y - c.high for c in cells if c.y == cell.y)
            ink.line(cell.x - APART / 2, cell.y, cell.x - APART / 2, low, 0.1, grey=0.5)
        else:
            edge = cell.y + APART / 2
            ink.line(page.left, edge, page.right - BARS_UP, edge, 0.1, grey=0.5)


def paint_text(
    ink: Ink, texts: Sequence[str], size: float, x: float, y: float, room: float, *, bold: bool = False
) -> float:
    """Write paragraphs under each other from the top `y`, points and mm; return where they end."""
    step = size * LEADING * POINT
    for text in texts:
        for line in wrapped(text, size, room, bold):
            ink.text(x, baseline(y, size, step), line, size, bold=bold)
            y -= step
    return y
