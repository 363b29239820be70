"""Templates on pages: full size, check bars on every page, small ones side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rackgen.export.paper.fonts import fitted, width
from rackgen.export.paper.ink import Ink
from rackgen.export.paper.painter import Box, paint
from rackgen.export.paper.sheet import Sheet
from rackgen.export.paper.shelf import Cell, paint_cells, paint_text, placed
from rackgen.export.paper.tiles import BARS_UP, LAP, MAP, MAP_ROOM, NOTE, TITLE, Plan, plan, tile_name
from rackgen.sheets.pages import Template

INCHES = 101.6
"""4 in, mm."""

SAID = "print at 100 %, no fit to page"

Paint = Callable[[Ink], None]


def template_pages(templates: Sequence[Template], page: Sheet) -> list[Paint]:
    """Return what is painted on each page of templates that follow one another."""
    out: list[Paint] = []
    shelf: list[Cell] = []
    for template in templates:
        found = plan(template, page)
        if found.across * found.up > 1:
            out += _flushed(shelf, page)
            out += [_tile(template, found, page, row, column) for row, column in found.tiles]
            continue
        cell = placed(template, found, shelf, page)
        if cell is None:
            out += _flushed(shelf, page)
            cell = placed(template, found, shelf, page)
        if cell is None:
            # Alone it fits, title and notes over the page's whole width: that is what the plan has counted.
            out.append(_tile(template, found, page, 0, 0))
        else:
            shelf.append(cell)
    return out + _flushed(shelf, page)


def _flushed(shelf: list[Cell], page: Sheet) -> list[Paint]:
    cells = tuple(shelf)
    shelf.clear()
    if not cells:
        return []

    def draw(ink: Ink) -> None:
        check_bars(ink, page)
        paint_cells(ink, cells, page)

    return [draw]


def _tile(template: Template, found: Plan, page: Sheet, row: int, column: int) -> Paint:
    several = found.across * found.up > 1

    def draw(ink: Ink) -> None:
        check_bars(ink, page)
        room = page.room - BARS_UP
        title = template.title
        if several:
            last = tile_name(found.up - 1, found.across - 1)
            title = f"{tile_name(row, column)} of A1 to {last}: {title}"
            room -= MAP_ROOM
            _map(ink, found, page.right - BARS_UP, page.top - 0.5, row, column)
        notes = paint_text(ink, (title,), TITLE, page.left, page.top, room, bold=True)
        paint_text(ink, template.notes, NOTE, page.left, notes, room)
        wide, high = found.tile
        x, y = page.left, page.top - found.head - high
        cx, cy = found.corner(row, column)
        if not several:
            paint(ink, found.drawing, 1.0, x, y)
            return
        others = tuple(_window(found, r, c, x - cx, y - cy) for r, c in found.tiles if (r, c) != (row, column))
        with ink.within(x, y, wide, high):
            paint(ink, found.drawing, 1.0, x - cx, y - cy, (x, y, x + wide, y + high), others)
        ink.box(x, y, wide, high, 0.1, grey=0.5)
        for n, (mx, my) in enumerate(found.crosses):
            if cx <= mx <= cx + wide and cy <= my <= cy + high:
                _cross(ink, mx - cx + x, my - cy + y, str(n + 1))

    return draw


def _window(found: Plan, row: int, column: int, dx: float, dy: float) -> Box:
    """Return what a tile shows, moved, mm."""
    x, y = found.corner(row, column)
    return x + dx, y + dy, x + dx + found.tile[0], y + dy + found.tile[1]


def _cross(ink: Ink, x: float, y: float, number: str) -> None:
    arm = LAP / 2 - 1.0
    ink.line(x - arm, y, x + arm, y, 0.15)
    ink.line(x, y - arm, x, y + arm, 0.15)
    ink.circle(x, y, 2.0, 0.15)
    ink.text(x + 2.0, y + 2.0, number, 8)


def _map(ink: Ink, found: Plan, right: float, top: float, row: int, column: int) -> None:
    """Paint where this tile lies among the others."""
    high = min(MAP / found.up, 7.0)
    wide = min(9.0, (MAP_ROOM - 4.0) / found.across)
    left = right - wide * found.across
    for r, c in found.tiles:
        here = (r, c) == (row, column)
        x, y = left + c * wide, top - (r + 1) * high
        ink.box(x, y, wide, high, 0.2, fill=0.0 if here else 1.0)
        name = tile_name(r, c)
        if high >= 4.0 and width(name, 8) < wide - 1:
            ink.text(x + wide / 2, y + high / 2 - 1.0, name, 8, align="centre", grey=1.0 if here else 0.0)


def check_bars(ink: Ink, page: Sheet) -> None:
    """Paint bars of 100 mm and 4 in, across and up, and how the page is to be printed."""
    x, y = page.left, page.bottom
    for at, long, said in ((y + 9.0, 100.0, "100 mm"), (y + 2.0, INCHES, "4 in")):
        ink.line(x, at, x + long, at, 0.15)
        for end in (x, x + long):
            ink.line(end, at - 1.5, end, at + 1.5, 0.15)
        ink.text(x + long / 2, at + 1.2, f"measure this: {said}", 8.5, align="centre")
    ink.text(x + INCHES + 6, y + 9.5, fitted(SAID, 10, page.room - INCHES - 6, bold=True), 10, bold=True)
    ink.text(x + INCHES + 6, y + 3.5, "measure all four bars before cutting", 8.5)
    x = page.right - 1.0
    for at, long, said in ((y, 100.0, "100 mm"), (y + 103.0, INCHES, "4 in")):
        ink.line(x - 1.0, at, x - 1.0, at + long, 0.15)
        for end in (at, at + long):
            ink.line(x - 2.5, end, x + 0.5, end, 0.15)
        ink.text(x - 2.4, at + long / 2, f"measure this: {said}", 8.5, align="centre", angle=90.0)
