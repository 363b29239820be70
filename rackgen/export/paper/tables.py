"""Tables as pieces of a page: columns by what is in them, titles again on every page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rackgen.export.paper.blocks import BODY, MOST, SMALL, TICK, lines, parts
from rackgen.export.paper.flow import Piece, kept, space
from rackgen.export.paper.fonts import LEADING, POINT, longest_word, width, wrapped
from rackgen.export.paper.ink import Ink, baseline
from rackgen.export.paper.sheet import Sheet
from rackgen.sheets.pages import Rows
from rackgen.sheets.table import Table

SIDE, OVER = 1.2, 0.9
"""Room beside and over the text of a cell, mm."""

DEEP = 4
"""Lines of a cell from which a table is better on a page turned sideways."""

WORD = 26.0
"""Longest word that a column is made to fit where it could be broken, mm."""

LARGE, LEAST = 9.0, 8.5
"""Sizes that are tried, points."""


@dataclass(frozen=True)
class Columns:
    """How a table is set.

    Attributes:
        size: of its text, points.
        at: which of the table's columns stand side by side.
        widths: of those, mm.
        fits: whether no word had to be broken for want of room.
        deepest: lines of the deepest cell.
    """

    size: float
    at: tuple[int, ...]
    widths: tuple[float, ...]
    fits: bool
    deepest: int


def columns(block: Rows, room: float, size: float) -> Columns:
    """Return a table's columns in a room, mm: as wide as their texts, shared out where that is too much."""
    table = block.table
    room -= TICK + 3.0 if block.tick else 0.0
    used = tuple(
        i for i, c in enumerate(table.columns) if c.key not in block.below and any(row[i] for row in table.rows)
    )
    used = used or tuple(i for i, c in enumerate(table.columns) if c.key not in block.below)
    whole: list[float] = []
    least: list[float] = []
    for i in used:
        title, texts = table.columns[i].title, {row[i] for row in table.rows}
        word = max(longest_word(t, size, WORD) for t in ("", *texts))
        least.append(max(word, longest_word(title, size, WORD, bold=True)) + 2 * SIDE + 0.1)
        whole.append(max([least[-1], *(width(t, size) + 2 * SIDE + 0.1 for t in texts)]))
    fits = sum(least) <= room
    titled = [
        max(w, width(table.columns[i].title, size, bold=True) + 2 * SIDE + 0.1)
        for i, w in zip(used, whole, strict=True)
    ]
    if sum(titled) <= room:
        widths = titled
    elif sum(whole) <= room:
        widths = whole
    elif fits:
        share = (room - sum(least)) / max(1e-9, sum(whole) - sum(least))
        widths = [a + (b - a) * share for a, b in zip(least, whole, strict=True)]
    else:
        widths = [room * a / sum(least) for a in least]
    deepest = max(
        (len(wrapped(row[i], size, w - 2 * SIDE)) for row in table.rows for i, w in zip(used, widths, strict=True)),
        default=1,
    )
    return Columns(size, used, tuple(widths), fits, deepest)


def chosen(block: Rows, upright: Sheet, sideways: Sheet) -> Sheet:
    """Return the page of a table: upright when it reads well there."""
    return _best(block, (upright, sideways))[0]


def _best(block: Rows, sheets: Sequence[Sheet]) -> tuple[Sheet, Columns]:
    tried = [(s, columns(block, s.room, size)) for s in sheets for size in (LARGE, LEAST)]
    for sheet, found in tried:
        if found.fits and found.deepest <= DEEP:
            return sheet, found
    # All are deep: the small type, or sideways, only where that makes them much less so.
    fitting = [(s, f) for s, f in tried if f.fits] or tried[-1:]
    shallow = min(f.deepest for _, f in fitting)
    return next((s, f) for s, f in fitting if f.deepest <= 1.6 * shallow)


def rows(block: Rows, sheet: Sheet, *, titled: bool = True) -> list[Piece]:
    """Return a table as pieces: title, column titles, a piece a row, notes."""
    table = block.table
    found = _best(block, (sheet,))[1]
    head = _head(table, found, block.tick)
    out: list[Piece] = [space(2.0)]
    if titled:
        out += [*lines(table.title, BODY, room=sheet.room, bold=True, stays=True), space(0.8, stays=True)]
    if not table.rows:
        return [*out, *lines("nothing to list", SMALL), *_notes(table, sheet), space(2.5)]
    out.append(head)
    out += kept([piece for row in table.rows for piece in _row(block, row, sheet, found, head)])
    notes = _notes(table, sheet)
    if sum(n.height for n in notes) < sheet.depth / 3:
        # Few notes go to the next page with the last row, not alone.
        out[-1] = replace(out[-1], stays=bool(notes))
        notes = [*(replace(n, stays=True) for n in notes[:-1]), *notes[-1:]]
    return [*out, *notes, space(2.5)]


def _notes(table: Table, sheet: Sheet) -> list[Piece]:
    out: list[Piece] = [space(1.2)] if table.notes else []
    for note in table.notes:
        out += lines(note, SMALL, room=sheet.room)
    return out


def _head(table: Table, found: Columns, tick: bool) -> Piece:
    step = found.size * LEADING * POINT
    titles = [
        wrapped(table.columns[i].title, found.size, w - 2 * SIDE, bold=True)
        for i, w in zip(found.at, found.widths, strict=True)
    ]
    deep = max((len(t) for t in titles), default=1)
    high = deep * step + 2 * OVER
    start = TICK + 3.0 if tick else 0.0

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.box(x, y - high, start + sum(found.widths), high, 0, fill=0.9)
        ink.line(x, y - high, x + start + sum(found.widths), y - high, 0.4)
        x += start
        for i, w, title in zip(found.at, found.widths, titles, strict=True):
            _cell(ink, x, y - (deep - len(title)) * step, w, title, found.size, table.columns[i].number, bold=True)
            x += w

    return Piece(high, draw, stays=True)


def _row(block: Rows, row: tuple[str, ...], sheet: Sheet, found: Columns, head: Piece) -> list[Piece]:
    """Return a row: one piece, or several where a cell is longer than a page bears."""
    table, size = block.table, found.size
    start = TICK + 3.0 if block.tick else 0.0
    cells = [wrapped(row[i], size, w - 2 * SIDE) for i, w in zip(found.at, found.widths, strict=True)]
    indent = start + 6.0
    under: list[str] = []
    for i, column in enumerate(table.columns):
        if column.key in block.below and row[i]:
            under += wrapped(f"{column.title}: {row[i]}", size, sheet.room - indent - SIDE)
    right = max(start + sum(found.widths), sheet.room if under else 0.0)
    depth = max((len(c) for c in cells), default=1)
    out: list[Piece] = []
    for k in range(0, depth, MOST):
        out.append(_slice(block, [cell[k : k + MOST] for cell in cells], found, head, first=k == 0))
    for part in parts(under, MOST) if under else ():
        out += lines("\n".join(part), size, room=sheet.room, indent=indent)
    if len(out) > 1 and depth + len(under) <= MOST:
        out = [_over(out, head)]

    def rule(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y - OVER, x + right, y - OVER, 0.18, grey=0.45)

    return [*out[:-1], _over((out[-1], Piece(OVER, rule)), head)]


def _over(pieces: Sequence[Piece], head: Piece) -> Piece:
    """Return pieces as one, under the table's column titles where it begins a page."""

    def draw(ink: Ink, x: float, y: float) -> None:
        for piece in pieces:
            piece.draw(ink, x, y)
            y -= piece.height

    return Piece(sum(p.height for p in pieces), draw, again=head)


def _slice(block: Rows, cells: list[tuple[str, ...]], found: Columns, head: Piece, *, first: bool) -> Piece:
    """Return so many lines of every cell of a row."""
    size = found.size
    step = size * LEADING * POINT
    start = TICK + 3.0 if block.tick else 0.0
    deep = max((len(c) for c in cells), default=1)
    high = max(deep * step, TICK - 0.4 if block.tick else 0.0) + OVER

    def draw(ink: Ink, x: float, y: float) -> None:
        if block.tick and first:
            ink.box(x + 0.6, y - 0.7 - TICK, TICK, TICK, 0.3)
        x += start
        for i, w, cell in zip(found.at, found.widths, cells, strict=True):
            _cell(ink, x, y, w, cell, size, block.table.columns[i].number)
            x += w

    return Piece(high, draw, again=head)


def _cell(
    ink: Ink, x: float, y: float, wide: float, cell: Sequence[str], size: float, number: bool, *, bold: bool = False
) -> None:
    step = size * LEADING * POINT
    for k, line in enumerate(cell):
        at = baseline(y - OVER - k * step, size, step)
        if number:
            ink.text(x + wide - SIDE, at, line, size, bold=bold, align="right")
        else:
            ink.text(x + SIDE, at, line, size, bold=bold)
