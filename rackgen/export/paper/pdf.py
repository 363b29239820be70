"""Stations as one PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import assert_never

from rackgen.export.paper.blocks import fields, figure, heading, text, ticks
from rackgen.export.paper.flow import Flow
from rackgen.export.paper.ink import Ink
from rackgen.export.paper.sheet import Page, Paper, Sheet, dress, sheet
from rackgen.export.paper.tables import chosen, rows
from rackgen.export.paper.templates import template_pages
from rackgen.export.paper.tiles import tile_count
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Template, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.units import Unit

__all__ = ["Paper", "pdf_bytes", "tile_count"]


def pdf_bytes(stations: Sequence[Station], stamp: Stamp, unit: Unit, paper: Paper, title: str) -> bytes:
    """Return stations as one PDF, each from a new page; the same stations give the same bytes.

    Args:
        stations: in work order.
        stamp: what every page carries.
        unit: of the shop, named on every page.
        paper: "A4" or "letter".
        title: of the file, at the foot of every page.
    """
    upright, sideways = sheet(paper, stamp), sheet(paper, stamp, landscape=True)
    pages = [page for station in stations for page in _pages(station, upright, sideways)]
    ink = Ink(f"{stamp.rack}: {title}" if title else stamp.rack, stamp.program)
    for n, page in enumerate(pages):
        ink.page(page.sheet.wide, page.sheet.high, page.station if page.first else "")
        dress(ink, page, stamp, unit, title, n + 1, len(pages))
        for paint in page.paint:
            paint(ink)
        ink.end_page()
    return ink.finished()


def _pages(station: Station, upright: Sheet, sideways: Sheet) -> list[Page]:
    flow = Flow(station.title)
    waiting: list[Template] = []
    before = station.title
    for block in station.blocks:
        if isinstance(block, Template):
            waiting.append(block)
            continue
        for paint in template_pages(waiting, upright):
            flow.whole(upright, paint)
        waiting.clear()
        _set(flow, block, before, upright, sideways)
        before = block.text if isinstance(block, Heading) else before
    for paint in template_pages(waiting, upright):
        flow.whole(upright, paint)
    flow.turn()
    return flow.pages


def _set(flow: Flow, block: Block, before: str, upright: Sheet, sideways: Sheet) -> None:
    match block:
        case Heading():
            if block.new_page:
                flow.turn()
            flow.add(heading(block), upright)
        case Text():
            flow.add(text(block, upright), upright)
        case Ticks():
            flow.add(ticks(block, upright), upright)
        case Fields():
            flow.add(fields(block, upright), upright)
        case Figure():
            flow.add(figure(block, upright), upright)
        case Rows():
            sheet, found = chosen(block, upright, sideways)
            flow.add(rows(block, sheet, found, titled=block.table.title != before), sheet)
        case Template():
            raise AssertionError("templates have pages of their own")
        case _:
            assert_never(block)
