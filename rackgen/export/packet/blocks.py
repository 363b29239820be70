"""Blocks of a station as HTML: what is ticked and written in on paper is ticked and written in on screen."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from html import escape
from typing import assert_never
from urllib.parse import quote

from rackgen.export.packet.figure import figure, svg
from rackgen.parts.marks import Mark
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Template, Text, Ticks
from rackgen.sheets.table import Table

MARK_KEYS = ("mark", "marks", "parts")
"""Columns in which marks are made to show the part in the view."""

STACKED = 3
"""From so many columns on a table is set as one block a row on a phone."""

LONG = 28
"""A column with a text of so many letters is kept wide enough to read."""

SHORT = 9
"""A table of so many rows is printed on one page."""

AWAY = ' class="away"'
NUMBER, HAS_BELOW = ' class="n"', ' class="has-below"'

Keep = Callable[[], str]
"""Gives the next name under which a box's content is kept."""


def station(one: Station, marks: Collection[Mark], files: Collection[str] = ()) -> str:
    """Return a station's blocks as HTML; `files` are the names of the pack's."""
    names = _names(one.name)
    over = ""
    out: list[str] = []
    for b in one.blocks:
        if isinstance(b, Heading):
            over = b.text
        out.append(block(b, marks, files, lambda: next(names), over))
    return "".join(out)


def _names(station_name: str) -> Iterator[str]:
    n = 0
    while True:
        yield f"{station_name}-{n}"
        n += 1


def block(one: Block, marks: Collection[Mark], files: Collection[str], keep: Keep, over: str = "") -> str:
    """Return one block as HTML.

    Args:
        one: the block.
        marks: of the rack, which become buttons in tables.
        files: names of the pack's files, which templates are linked to.
        keep: names the boxes.
        over: the heading that it stands under.
    """
    match one:
        case Heading():
            return f"<h3>{escape(one.text)}</h3>"
        case Text():
            return _text(one)
        case Ticks():
            return _ticks(one, keep)
        case Fields():
            return _fields(one, keep)
        case Rows():
            return table(one.table, marks, tick=keep if one.tick else None, below=one.below, over=over)
        case Figure():
            return figure(one)
        case Template():
            return _template(one, files)
        case _:
            assert_never(one)


def beside(name: str) -> str:
    """Return a link to a file of the pack's folder; the view saves the packet's own copy where it holds one."""
    return f'<a class="file" data-file="{escape(name)}" href="{escape(f"./{quote(name)}")}">{escape(name)}</a>'


def _template(one: Template, files: Collection[str]) -> str:
    """Return a template in small, with the files that hold it at full size."""
    notes = "".join(f"<li>{escape(note)}</li>" for note in one.notes)
    sources = ["templates.pdf", *(f"{stem}-{end}.dxf" for stem in one.files for end in ("cut", "marked"))]
    held = ", ".join(beside(name) for name in sources if name in files)
    full = f" At full size: {held}." if held else ""
    return (
        f'<figure class="drawing template">{svg(one.drawing, 1.0, one.title)}<figcaption><strong>{escape(one.title)}'
        f"</strong>, not at its size here: cut nothing by this.{full}</figcaption></figure>"
        f'<ul class="small">{notes}</ul>'
    )


def _text(one: Text) -> str:
    if one.kind == "caution":
        return f'<p class="caution"><strong>Caution.</strong> {escape(one.text)}</p>'
    small = ' class="small"' if one.kind == "small" else ""
    return f"<p{small}>{escape(one.text)}</p>"


def _ticks(one: Ticks, keep: Keep) -> str:
    tag = "ol" if one.numbered else "ul"
    items = "".join(
        f'<li><label><input type="checkbox" data-keep="{escape(keep())}">'
        f"<span>{str(n) + '. ' if one.numbered else ''}{escape(item)}</span></label></li>"
        for n, item in enumerate(one.items, 1)
    )
    return f'<{tag} class="ticks">{items}</{tag}>'


def _fields(one: Fields, keep: Keep) -> str:
    wanted = any(value for _, value in one.rows)
    heads = ["", *([one.wanted] if wanted else []), *(b or "write in" for b in one.boxes)]
    body: list[str] = []
    for asked, should in one.rows:
        cells = [f'<th scope="row">{escape(asked)}</th>']
        if wanted:
            cells.append(f'<td data-h="{escape(one.wanted or "value")}">{escape(should)}</td>')
        cells += [
            f'<td data-h="{escape(box)}"><input class="write" type="text" data-keep="{escape(keep())}" '
            f'aria-label="{escape(f"{asked}: {box}")}"></td>'
            for box in one.boxes
        ]
        body.append(f"<tr>{''.join(cells)}</tr>")
    caption = f"<caption>{escape(one.title)}</caption>" if one.title else ""
    head = "".join(f'<th scope="col">{escape(h)}</th>' if h else "<td></td>" for h in heads)
    stack = " stack" if len(heads) > STACKED else ""
    return (
        f'<div class="roll{_few(one.rows)}"><table class="sheet fields{stack}">{caption}<thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def table(
    one: Table,
    marks: Collection[Mark],
    *,
    tick: Keep | None = None,
    below: tuple[str, ...] = (),
    name: str = "",
    over: str = "",
) -> str:
    """Return a table as HTML; columns without any text are left out.

    Args:
        one: its rows.
        marks: of the rack, which become buttons.
        tick: names a box to tick before each row, None for none.
        below: keys of columns that are set under the row.
        name: of the sheet, by which it is found; "" for none.
        over: the heading that it stands under.
    """
    used = [i for i in range(len(one.columns)) if any(row[i] for row in one.rows)]
    beside = [i for i in used if one.columns[i].key not in below]
    under = [i for i in used if one.columns[i].key in below]
    # What stands over it already is not said twice.
    caption = f"<caption{AWAY if name or one.title == over else ''}>{escape(one.title)}</caption>"
    notes = "".join(f'<p class="small">{escape(note)}</p>' for note in one.notes)
    if not one.rows:
        return f"<p><strong>{escape(one.title)}</strong>: nothing to list.</p>{notes}"
    long = {i for i in beside if max(len(row[i]) for row in one.rows) >= LONG}
    head = "".join(
        f'<th scope="col"{NUMBER if one.columns[i].number else ""}>{escape(one.columns[i].title)}</th>' for i in beside
    )
    if tick is not None:
        head = f'<th scope="col">done</th>{head}'
    body: list[str] = []
    for row in one.rows:
        cells = "".join(_cell(one, i, row[i], marks, long=i in long) for i in beside)
        if tick is not None:
            label = escape(" ".join(row[i] for i in beside[:2]))
            cells = f'<td><input type="checkbox" data-keep="{escape(tick())}" aria-label="done: {label}"></td>{cells}'
        more = [
            f'<tr class="below"><td colspan="{len(beside) + (tick is not None)}">'
            f"{escape(one.columns[i].title)}: {escape(row[i])}</td></tr>"
            for i in under
            if row[i]
        ]
        body.append(f"<tr{HAS_BELOW if more else ''}>{cells}</tr>{''.join(more)}")
    stack = " stack" if len(beside) > STACKED or (len(beside) == STACKED and long) else ""
    named = f' data-sheet="{escape(name)}"' if name else ""
    return (
        f'<div class="roll{_few(one.rows)}"><table class="sheet{stack}"{named}>{caption}<thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>{notes}"
    )


def _few(rows: Sequence[object]) -> str:
    return " few" if len(rows) <= SHORT else ""


def _cell(one: Table, i: int, text: str, marks: Collection[Mark], *, long: bool) -> str:
    column = one.columns[i]
    kind = ' class="n"' if column.number else ' class="long"' if long else ""
    inside = _marked(text, marks) if column.key in MARK_KEYS else escape(text)
    return f'<td{kind} data-h="{escape(column.title)}">{inside}</td>'


def _marked(text: str, marks: Collection[Mark]) -> str:
    """Return a text whose words that are marks are buttons which show the part."""
    words = text.split(" ")
    if not any(word in marks for word in words):
        return escape(text)
    return " ".join(
        f'<button type="button" class="mark" data-mark="{word}">{word}</button>' if word in marks else escape(word)
        for word in words
    )
