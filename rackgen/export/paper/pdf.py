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
from rackgen.export.paper.tiles import template_sheet, tile_count
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Template, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.units import Unit

__all__ = ["Paper", "pdf_bytes", "tile_count"]


SHORT = 35.0
"""Height up to which a paragraph stays with what it leads to, mm."""


def pdf_bytes(stations: Sequence[Station], stamp: Stamp, unit: Unit, paper: Paper, title: str) -> bytes:
    """Return stations as one PDF, each from a new page; the same stations give the same bytes.

    Args:
        stations: in work order.
        stamp: what every page carries.
        unit: of the shop, named on every page.
        paper: "A4" or "letter".
        title: of the file, at the foot of every page.
    """
    banner = stamp.state != "cleared"
    upright, sideways = sheet(paper, banner=banner), sheet(paper, banner=banner, landscape=True)
    full_size = template_sheet(paper)
    pages = [page for station in stations for page in _pages(station, upright, sideways, full_size)]
    ink = Ink(f"{stamp.rack}: {title}" if title else stamp.rack, stamp.program)
    for n, page in enumerate(pages):
        ink.page(page.sheet.wide, page.sheet.high, page.chapter)
        dress(ink, page, stamp, unit, title, n + 1, len(pages))
        for paint in page.paint:
            paint(ink)
        ink.end_page()
    return ink.finished()


def _pages(station: Station, upright: Sheet, sideways: Sheet, full_size: Sheet) -> list[Page]:
    flow = Flow(station.title)
    before = station.title
    for run in _runs(station.blocks):
        last = run[-1]
        if isinstance(last, Template):
            under = run[0].text if isinstance(run[0], Heading) else ""
            for paint in template_pages([b for b in run if isinstance(b, Template)], full_size):
                flow.whole(full_size, paint, under)
            continue
        # What leads up to a table stands on the table's own page.
        sheet = chosen(last, upright, sideways) if isinstance(last, Rows) else upright
        for block in run:
            _set(flow, block, before, sheet)
            if len(run) > 1 and block is run[-2] and not isinstance(last, Heading | Text):
                flow.hold(SHORT)
            before = block.text if isinstance(block, Heading) else before
    flow.turn()
    return flow.pages


def _runs(blocks: Sequence[Block]) -> list[Sequence[Block]]:
    """Return blocks in runs that share a page where they can.

    A run is a block with the headings and paragraphs right before it, or templates that follow one another with the
    heading right before them, which names their pages.
    """
    out: list[Sequence[Block]] = []
    start = 0
    while start < len(blocks):
        main = start
        while main < len(blocks) - 1 and isinstance(blocks[main], Heading | Text):
            main += 1
        end = main + 1
        if isinstance(blocks[main], Template):
            first = main - 1 if main > start and isinstance(blocks[main - 1], Heading) else main
            if first > start:
                out.append(blocks[start:first])
            start = first
            while end < len(blocks) and isinstance(blocks[end], Template):
                end += 1
        out.append(blocks[start:end])
        start = end
    return out


def _set(flow: Flow, block: Block, before: str, sheet: Sheet) -> None:
    match block:
        case Heading():
            if block.new_page:
                flow.turn()
            flow.add(heading(block), sheet)
        case Text():
            if block.kind == "small":
                # A source stays with what it is the source of.
                flow.hold(SHORT)
            flow.add(text(block, sheet), sheet)
        case Ticks():
            flow.add(ticks(block, sheet), sheet)
        case Fields():
            flow.add(fields(block, sheet), sheet)
        case Figure():
            flow.add(figure(block, sheet), sheet)
        case Rows():
            flow.add(rows(block, sheet, titled=block.table.title != before), sheet)
        case Template():
            raise AssertionError("templates have pages of their own")
        case _:
            assert_never(block)
