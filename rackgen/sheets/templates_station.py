"""The paper templates as a station: how they are printed and used, then each at full size."""

from __future__ import annotations

from rackgen.parts.rack import Rack
from rackgen.sheets.fold_gauges import fold_gauges
from rackgen.sheets.hole_saw import hole_saw_table, hole_saws
from rackgen.sheets.pages import Block, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.plate_templates import plate_templates
from rackgen.sheets.strip_templates import strip_templates
from rackgen.sheets.wrap_templates import how_to_wrap, wrap_templates
from rackgen.spec.shop import Shop

PRINT = (
    "Print the template pages at 100 %: no fit to page, no scaling, one side only.",
    "Measure the four check bars of a printed page, 100 mm and 4 in, across and up. A page where one is off by 0.5 mm "
    "(1/64 in) is not used.",
    "Join tiles on their numbered crosses: cut along one tile's edge, lay it on the next, cross on cross.",
)
"""How templates are printed."""

WITHOUT = "This rack has no part that a paper template helps with."


def templates_station(rack: Rack, shop: Shop) -> Station:
    """Return wraps, plates, strips and fold gauges at full size, with the copes by hole saw before them."""
    groups = (
        ("Wraps for coped and mitred tube ends", wrap_templates(rack, shop)),
        ("Plates", plate_templates(rack, shop)),
        ("Strips: folds and holes of flat bars", strip_templates(rack, shop)),
        ("Fold gauges", fold_gauges(rack, shop)),
    )
    if not any(found for _, found in groups):
        return Station("templates", "Paper templates", (Text(WITHOUT),))
    saws = hole_saws(rack, shop)
    wrapped = groups[0][1]
    blocks: list[Block] = [Heading("Printing"), Ticks(PRINT, numbered=True)]
    if wrapped:
        blocks += [Heading("How a wrap goes on"), Ticks(how_to_wrap(), numbered=True)]
    if saws:
        blocks += [Heading("Or by hole saw"), Rows(hole_saw_table(saws, shop.unit), tick=True)]
    for title, found in groups:
        if found:
            blocks += [Heading(title, new_page=True), *found]
    return Station("templates", "Paper templates", tuple(blocks))
