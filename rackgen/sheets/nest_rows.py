"""The nest of plate as the table reads it: rows of text in the shop's own unit, and the names of its files."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import extent
from rackgen.sheets.nest_records import WORKED_OUT, Laid, Nest, PlateNest, PlateSheet
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, size
from rackgen.units import Unit, shown_step, write_length

TURNED = "turned anticlockwise from how the blank's own drawing shows it"

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


def piece_name(piece: Laid) -> str:
    """Return what stands on a piece: its mark and which of that mark it is, "P3.1"."""
    return f"{piece.mark}.{piece.number}"


def pieces_table(nest: Nest, words: Mapping[str, Blank]) -> Table:
    """Return every piece with its place; blanks by mark."""
    unit = nest.unit
    columns = (
        Column("plate", "plate"),
        Column("sheet", "sheet", True),
        Column("mark", "mark"),
        Column("piece", "piece", True),
        Column("part", "part"),
        *_places(unit),
    )
    rows: list[tuple[str, ...]] = []
    for one in nest.plates:
        for sheet in one.sheets:
            for p in sheet.pieces:
                place = _place(p, words[p.mark], unit)
                rows.append((one.plate, str(sheet.number), p.mark, str(p.number), words[p.mark].word, *place))
    notes = [ZERO, TURNED]
    for one in nest.plates:
        for mark, count in Counter(one.left_out).items():
            notes.append(f"comes out of no sheet: {count} of {mark} {words[mark].word}, {one.plate}")
    return Table("nest", "Pieces on sheets", columns, tuple(rows), tuple(notes))


def sheet_pieces_table(nest: Nest, sheet: PlateSheet, words: Mapping[str, Blank]) -> Table:
    """Return the pieces of one sheet with their places; blanks by mark."""
    columns = (Column("name", "piece"), Column("part", "part"), *_places(nest.unit))
    rows = tuple((piece_name(p), words[p.mark].word, *_place(p, words[p.mark], nest.unit)) for p in sheet.pieces)
    return Table("nest-pieces", "Pieces", columns, rows)


def _places(unit: Unit) -> tuple[Column, ...]:
    return (
        Column("x", f"x {unit}", True),
        Column("y", f"y {unit}", True),
        Column("angle", "turned deg", True),
        Column("along", f"along {unit}", True),
        Column("across", f"across {unit}", True),
    )


def _place(piece: Laid, blank: Blank, unit: Unit) -> tuple[str, ...]:
    along, across = extent(blank, piece.angle)
    return fine(piece.x, unit), fine(piece.y, unit), degrees(piece.angle), coarse(along, unit), coarse(across, unit)


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
