"""Sheets and nests put together from pieces in their places, with what they use and what is left of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import area, box
from rackgen.sheets.nest_records import Laid, Leftover, Nest, PlateNest, PlateSheet
from rackgen.sheets.nest_rects import largest_free
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet

FINE = 100
"""Whole numbers of the sum in a millimetre."""


def up(mm: float) -> int:
    """Return mm in whole numbers of the sum, not less than it is."""
    return math.ceil(mm * FINE - 1e-6)


def down(mm: float) -> int:
    """Return mm in whole numbers of the sum, not more than it is."""
    return math.floor(mm * FINE + 1e-6)


def whole_nest(shop: Shop, layout: str, found: Iterable[PlateNest]) -> Nest:
    """Return the nest of a shop's plates, not yet checked."""
    table = shop.table
    return Nest(shop.unit, table.kerf, table.margin, table.rotations, layout, tuple(found))


def plate_nest(
    name: str,
    thickness: float,
    spacing: float,
    sheets: Sequence[PlateSheet],
    left_out: Sequence[str],
    group: Sequence[Blank],
    shop: Shop,
) -> PlateNest:
    """Return everything of one plate with the fewest fresh sheets that its area takes."""
    margin = shop.table.margin
    section = next(stock.section for stock in shop.stock if stock.name == name)
    assert isinstance(section, Sheet)

    def inside(length: float, width: float) -> float:
        return max(0.0, length - 2 * margin) * max(0.0, width - 2 * margin)

    needed = sum(area(b) * (b.quantity - list(left_out).count(b.mark)) for b in group)
    at_hand = sum(inside(r.length, r.width) * r.count for r in shop.sheet_remnants if r.plate == name)
    least = math.ceil(max(0.0, needed - at_hand) / max(1e-9, inside(section.length, section.width)) - 1e-9)
    return PlateNest(name, thickness, spacing, tuple(sheets), tuple(left_out), least)


def plate_sheet(
    number: int,
    length: float,
    width: float,
    fresh: bool,
    laid: Sequence[Laid],
    group: Sequence[Blank],
    spacing: float,
) -> PlateSheet:
    """Return a sheet with the area of its pieces and the largest rectangle that stays of it."""
    blank = {b.mark: b for b in group}
    taken: list[tuple[int, int, int, int]] = []
    for p in laid:
        left, low, right, high = box(blank[p.mark].cut, p.angle)
        far = p.x + right - left + spacing, p.y + high - low + spacing
        taken.append((down(p.x - spacing), down(p.y - spacing), up(far[0]), up(far[1])))
    free = largest_free((down(length), down(width)), taken)
    left_over = None
    if free is not None:
        x, y, far_x, far_y = (v / FINE for v in free)
        left_over = Leftover(x, y, far_x - x, far_y - y)
    pieces = tuple(sorted(laid, key=lambda p: (_natural(p.mark), p.number)))
    return PlateSheet(number, length, width, fresh, pieces, sum(area(blank[p.mark]) for p in laid), left_over)


def _natural(mark: str) -> tuple[str, int, str]:
    letters = mark.rstrip("0123456789")
    return letters, int(mark[len(letters) :] or 0), mark
