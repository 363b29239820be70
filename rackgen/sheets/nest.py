"""Blanks of plate nested on sheets, remnants on hand first: the repeatable way, by the boxes round the pieces.

The same rack and shop give the same nest every time. A tighter one can be asked for; its layout is then kept as a file
and comes back through `nest_layout`.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackgen.errors import Finding
from rackgen.parts.rack import Rack
from rackgen.sheets.flats import Blank, blanks
from rackgen.sheets.nest_check import check_nest
from rackgen.sheets.nest_fit import HALVES, angles, fits, plates_too_big
from rackgen.sheets.nest_layout import kept_nest
from rackgen.sheets.nest_make import FINE, down, plate_nest, plate_sheet, up, whole_nest
from rackgen.sheets.nest_place import extent, plates
from rackgen.sheets.nest_plan import Offer, plan
from rackgen.sheets.nest_records import WORKED_OUT, Laid, Nest, PlateNest, PlateSheet
from rackgen.spec.layout import SheetLayout
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet


def nest(
    rack: Rack, shop: Shop, layout: SheetLayout | None = None
) -> tuple[Nest, dict[str, Blank], tuple[Finding, ...]]:
    """Return all blanks of plate on sheets, every blank by its mark, and a stop for each that is too big.

    Args:
        rack: the rack.
        shop: its plates, remnants and table.
        layout: kept from before, to be used as it is; None to work it out.

    Raises:
        BadInput: the layout does not go with the blanks of today, or is not right.
        NestError: the result is not what was asked for; a mistake of this program.
    """
    flat, _ = blanks(rack, shop)
    made = nest_blanks(flat, shop) if layout is None else kept_nest(layout, flat, shop)
    return made, {blank.mark: blank for blank in flat}, plates_too_big(rack, flat, shop)


def nest_blanks(flat: Sequence[Blank], shop: Shop) -> Nest:
    """Return all blanks of plate on sheets; what is bigger than every sheet is left out.

    Raises:
        NestError: the result is not what was asked for; a mistake of this program.
    """
    wanted = plates(flat, shop)
    made = whole_nest(shop, WORKED_OUT, (_plate(name, group, shop) for name, group in wanted.items()))
    check_nest(made, wanted, shop)
    return made


def _plate(name: str, group: Sequence[Blank], shop: Shop) -> PlateNest:
    table = shop.table
    thickness, spacing = group[0].thickness, table.between(group[0].thickness)
    pieces = [(blank, k + 1) for blank in group for k in range(blank.quantity)]
    remnants = [r for r in shop.sheet_remnants if r.plate == name for _ in range(r.count)]
    section = next(stock.section for stock in shop.stock if stock.name == name)
    assert isinstance(section, Sheet)
    sizes = [(r.length, r.width) for r in remnants] + [(section.length, section.width)]
    fitting = [p for p in pieces if any(fits(p[0], *s, angles(table), table.margin) for s in sizes)]
    sizes += [sizes[-1]] * (len(fitting) - 1)
    offers = [
        Offer((_room(along, table.margin, spacing), _room(across, table.margin, spacing)), k >= len(remnants))
        for k, (along, across) in enumerate(sizes)
    ]
    boxes = {blank.mark: extent(blank) for blank in group}
    items = [(up(boxes[b.mark][0] + spacing), up(boxes[b.mark][1] + spacing)) for b, _ in fitting]
    filled = plan(items, offers, turn=angles(table) != HALVES)
    sheets: list[PlateSheet] = []
    for number, one in enumerate(filled, 1):
        laid = [
            Laid(
                fitting[put.item][0].mark,
                fitting[put.item][1],
                table.margin + put.x / FINE,
                table.margin + put.y / FINE,
                90.0 if put.turned else 0.0,
            )
            for put in one.puts
        ]
        fresh = offers[one.sheet].fresh
        sheets.append(plate_sheet(number, *sizes[one.sheet], fresh, laid, group, spacing))
    there = {(p.mark, p.number) for s in sheets for p in s.pieces}
    left_out = sorted(blank.mark for blank, number in pieces if (blank.mark, number) not in there)
    return plate_nest(name, thickness, spacing, sheets, left_out, group, shop)


def _room(side: float, margin: float, spacing: float) -> int:
    return max(0, down(side - 2 * margin + spacing))
