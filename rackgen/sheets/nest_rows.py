"""The nest of plate as the table reads it: rows of text in the shop's own unit, and the names of its files."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import extent
from rackgen.sheets.nest_records import WORKED_OUT, Nest, PlateNest, PlateSheet
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, size
from rackgen.units import Unit, shown_step, write_length

ZERO = "x along the length and y across, from the datum corner to the left and lower edge of the piece as it lies"


def plate_names(nest: Nest) -> dict[str, str]:
    """Return a name safe for files for every plate, no two the same."""
    out: dict[str, str] = {}
    for one in nest.plates:
        base = re.sub(r"[^a-z0-9]+", "-", one.plate.lower()).strip("-")[:40] or "plate"
        name, k = base, 1
        while name in out.values():
            k += 1
            name = f"{base}-{k}"
        out[one.plate] = name
    return out


def file_name(nest: Nest, plate: PlateNest, sheet: PlateSheet) -> str:
    """Return the name of a sheet's cutting file."""
    return f"nest-{plate_names(nest)[plate.plate]}-{sheet.number}-cut.dxf"


def kerf_file_name(nest: Nest, plate: PlateNest, sheet: PlateSheet) -> str:
    """Return the name of the file of the same sheet in which the kerf is drawn."""
    return file_name(nest, plate, sheet).replace("-cut.dxf", "-kerf-drawn.dxf")


def coarse(mm: float, unit: Unit) -> str:
    """Return a length to 1 mm or 1/16 in."""
    return write_length(mm, unit, shown_step(unit, fine=False))


def down(mm: float, unit: Unit) -> str:
    """Return a length rounded down to 1 mm or 1/16 in: what is left is never less than what is written on it."""
    step = shown_step(unit, fine=False) * (25.4 if unit == "in" else 1.0)
    return write_length(mm // step * step if mm % step < step - 1e-6 else mm, unit, shown_step(unit, fine=False))


def sheet_words(sheet: PlateSheet, unit: Unit) -> str:
    """Return what a sheet is: "fresh sheet 2500 × 1250 mm"."""
    kind = "fresh sheet" if sheet.fresh else "remnant"
    return f"{kind} {size(sheet.length, unit)} × {size(sheet.width, unit)} {unit}"


def left_words(sheet: PlateSheet, unit: Unit) -> str:
    """Return the rectangle that is left of a sheet, or "" where it is nothing to keep."""
    if sheet.left is None:
        return ""
    return f"{down(sheet.left.length, unit)} × {down(sheet.left.width, unit)}"


def pieces_table(nest: Nest, words: Mapping[str, Blank], only: PlateSheet | None = None) -> Table:
    """Return every piece with its place.

    Args:
        nest: the nest.
        words: blanks by mark.
        only: the one sheet whose pieces are wanted; all when left out.
    """
    unit = nest.unit
    columns = (
        Column("plate", "plate"),
        Column("sheet", "sheet", True),
        Column("mark", "mark"),
        Column("piece", "piece", True),
        Column("part", "part"),
        Column("x", f"x {unit}", True),
        Column("y", f"y {unit}", True),
        Column("angle", "turned deg", True),
        Column("along", f"along {unit}", True),
        Column("across", f"across {unit}", True),
    )
    rows: list[tuple[str, ...]] = []
    for one in nest.plates:
        for sheet in one.sheets:
            if only is not None and sheet is not only:
                continue
            for p in sheet.pieces:
                along, across = extent(words[p.mark], p.angle)
                place = (fine(p.x, unit), fine(p.y, unit), degrees(p.angle), coarse(along, unit), coarse(across, unit))
                rows.append((one.plate, str(sheet.number), p.mark, str(p.number), words[p.mark].word, *place))
    notes = [ZERO, "turned anticlockwise from how the blank's own drawing shows it"] if only is None else []
    if only is None:
        for one in nest.plates:
            for mark, count in Counter(one.left_out).items():
                notes.append(f"comes out of no sheet: {count} of {mark} {words[mark].word}, {one.plate}")
    return Table("nest", "Pieces on sheets", columns, tuple(rows), tuple(notes))


def sheets_table(nest: Nest) -> Table:
    """Return every sheet with its file, how much of it becomes pieces, and what is left of it."""
    unit = nest.unit
    columns = (
        Column("plate", "plate"),
        Column("sheet", "sheet", True),
        Column("from", "cut from"),
        Column("pieces", "pieces", True),
        Column("used", "becomes pieces", True),
        Column("left", f"left whole {unit}"),
        Column("left_share", "of the sheet", True),
        Column("most_left", "no layout leaves more than", True),
        Column("file", "file"),
    )
    rows: list[tuple[str, ...]] = []
    for one in nest.plates:
        for sheet in one.sheets:
            whole = sheet.length * sheet.width
            left = 0.0 if sheet.left is None else sheet.left.length * sheet.left.width
            rows.append(
                (
                    one.plate,
                    str(sheet.number),
                    sheet_words(sheet, unit),
                    str(len(sheet.pieces)),
                    percent(sheet.share),
                    left_words(sheet, unit),
                    percent(left / whole),
                    percent(1 - sheet.share),
                    file_name(nest, one, sheet),
                )
            )
    return Table("nest-sheets", "Sheets", columns, tuple(rows), tuple(_notes(nest)))


def percent(share: float) -> str:
    """Return a share to a tenth of a per cent."""
    return f"{100 * share:.1f} %"


def _notes(nest: Nest) -> list[str]:
    unit = nest.unit
    out = [bought_words(one) for one in nest.plates if one.fresh]
    out += [
        f"{one.plate}: {size(one.spacing, unit)} {unit} or more between pieces, {size(nest.margin, unit)} {unit} or "
        "more to the edges"
        for one in nest.plates
        if one.sheets
    ]
    out.append(f"turned: {nest.rotations}; layout {nest.layout if nest.layout == WORKED_OUT else f'of {nest.layout}'}")
    out.append(
        f"kerf is not drawn: the table's own program takes its {size(nest.kerf, unit)} {unit} off and adds lead-ins"
    )
    return out


def bought_words(plate: PlateNest) -> str:
    """Return how many fresh sheets are used, and the fewest that can be."""
    bound = "no layout takes fewer" if plate.fresh == plate.least else f"by area alone {plate.least} or more"
    return f"{plate.plate}: {plate.fresh} fresh {'sheet' if plate.fresh == 1 else 'sheets'}; {bound}"


def all_sheets(nest: Nest) -> Sequence[tuple[PlateNest, PlateSheet]]:
    """Return every sheet with its plate, in order."""
    return tuple((one, sheet) for one in nest.plates for sheet in one.sheets)
