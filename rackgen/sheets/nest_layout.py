"""A kept layout held against the blanks of today, and made the nest again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from rackgen.errors import BadInput, Mistake
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_check import wrongs
from rackgen.sheets.nest_fit import NEAR, angles, fits, sheet_sizes
from rackgen.sheets.nest_make import plate_nest, plate_sheet, whole_nest
from rackgen.sheets.nest_place import extent, plates, shape
from rackgen.sheets.nest_records import Laid, Nest, PlateNest, PlateSheet
from rackgen.sheets.words import size
from rackgen.spec.layout import KeptBlank, SheetLayout
from rackgen.spec.shop import Shop

CURE = "make the layout again, or build without it"


def kept_nest(layout: SheetLayout, flat: Sequence[Blank], shop: Shop) -> Nest:
    """Return the nest that a layout file holds, proved against the blanks and the shop of today.

    Raises:
        BadInput: the blanks have changed since, or the layout is not right; the message says everything that is.
    """
    wanted = plates(flat, shop)
    if stale := _stale(layout, wanted, shop):
        raise BadInput(stale)
    made = whole_nest(shop, layout.document.path.name, (_plate(n, g, layout, shop) for n, g in wanted.items()))
    if wrong := wrongs(made, wanted, shop):
        raise BadInput(layout.document.mistake((), f"{text}; {CURE}") for text in wrong)
    return made


def _stale(layout: SheetLayout, wanted: Mapping[str, tuple[Blank, ...]], shop: Shop) -> list[Mistake]:
    """Return what differs between the blanks of the file and those of today."""
    document = layout.document
    now = {b.mark: b for group in wanted.values() for b in group if _goes_on(b, shop)}
    out: list[Mistake] = []
    for k, kept in enumerate(layout.blanks):
        blank = now.get(kept.mark)
        if blank is None:
            text = f"the rack has no such blank of plate now; {CURE}"
            out.append(document.mistake(("blank", k, "mark"), text, f"{kept.mark} {kept.part}"))
            continue
        for key, read, text in _differences(kept, blank, shop):
            out.append(document.mistake(("blank", k, key), f"{kept.mark} {text}; {CURE}", read))
    known = {kept.mark for kept in layout.blanks}
    for mark, blank in now.items():
        if mark not in known:
            text = f"{mark} {blank.word}, {blank.quantity} off {blank.stock}, is not in the layout; {CURE}"
            out.append(document.mistake((), text))
    for k, sheet in enumerate(layout.sheets):
        if sheet.plate not in wanted:
            out.append(document.mistake(("sheet", k, "plate"), f"no blank is of this plate; {CURE}", sheet.plate))
            continue
        marks = {b.mark for b in wanted[sheet.plate]}
        for j, piece in enumerate(sheet.pieces):
            if piece.mark not in marks and piece.mark in known & now.keys():
                key = ("sheet", k, "piece", j, "mark")
                out.append(document.mistake(key, f"that blank is of {now[piece.mark].stock}; {CURE}", piece.mark))
            elif piece.mark not in known:
                key = ("sheet", k, "piece", j, "mark")
                out.append(document.mistake(key, f"no [[blank]] of this file has that mark; {CURE}", piece.mark))
    return out


def _goes_on(blank: Blank, shop: Shop) -> bool:
    """Return whether a blank goes on any sheet at all; one that does not is in no layout."""
    turned, margin = angles(shop.table), shop.table.margin
    return any(fits(blank, *one, turned, margin) for one in sheet_sizes(blank.stock, shop))


def _differences(kept: KeptBlank, blank: Blank, shop: Shop) -> list[tuple[str, str, str]]:
    """Return key, what was read and what is so now, for everything that has changed of a blank."""
    unit = shop.unit
    out: list[tuple[str, str, str]] = []
    if kept.plate != blank.stock:
        out.append(("plate", kept.plate, f"is of {blank.stock} now"))
    if kept.quantity != blank.quantity:
        out.append(("quantity", str(kept.quantity), f"is cut {blank.quantity} times now"))
    along, across = extent(blank)
    if max(abs(kept.along - along), abs(kept.across - across)) > NEAR:
        read = f"{size(kept.along, unit)} × {size(kept.across, unit)} {unit}"
        text = f"({blank.word}) measures {size(along, unit)} × {size(across, unit)} {unit} now"
        out.append(("along" if abs(kept.along - along) > NEAR else "across", read, text))
    elif kept.shape != shape(blank):
        out.append(("shape", kept.shape, f"({blank.word}) has the same box but another shape, or other holes, now"))
    return out


def _plate(name: str, group: Sequence[Blank], layout: SheetLayout, shop: Shop) -> PlateNest:
    thickness, spacing = group[0].thickness, shop.table.between(group[0].thickness)
    counted: Counter[str] = Counter()
    sheets: list[PlateSheet] = []
    of_plate = [sheet for sheet in layout.sheets if sheet.plate == name]
    for number, sheet in enumerate(sorted(of_plate, key=lambda s: s.fresh), 1):
        laid: list[Laid] = []
        for piece in sheet.pieces:
            counted[piece.mark] += 1
            laid.append(Laid(piece.mark, counted[piece.mark], piece.x, piece.y, piece.angle % 360.0))
        sheets.append(plate_sheet(number, sheet.length, sheet.width, sheet.fresh, laid, group, spacing))
    left_out = sorted(b.mark for b in group if not _goes_on(b, shop) for _ in range(b.quantity))
    return plate_nest(name, thickness, spacing, sheets, left_out, group, shop)
