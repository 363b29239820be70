"""A nest as a layout file, which a later build takes as it is."""

from __future__ import annotations

import json
from collections.abc import Mapping

from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_place import extent, shape
from rackgen.sheets.nest_records import Nest
from rackgen.sheets.nest_rows import all_sheets
from rackgen.sheets.stamp import Stamp


def layout_bytes(nest: Nest, blanks: Mapping[str, Blank], stamp: Stamp) -> bytes:
    """Return a nest as TOML, in mm.

    Args:
        nest: the nest; pieces that it leaves out are not in the file.
        blanks: by mark.
        stamp: of the rack.
    """
    lines = [
        f"# Where the plate of {stamp.rack} lies on its sheets, made by {stamp.program}.",
        "# x and y: from the sheet's datum corner, along its length and across, to the left and lower edge of a piece",
        "# as it lies; angle: by which its own drawing is turned anticlockwise.",
        "",
        "format = 1",
        'units = "mm"',
        f"rack = {_text(stamp.rack)}",
        f"revision = {_text(stamp.revision)}",
    ]
    laid = {p.mark: plate.plate for plate, sheet in all_sheets(nest) for p in sheet.pieces}
    for mark, plate in laid.items():
        blank = blanks[mark]
        along, across = extent(blank)
        lines += [
            "",
            "[[blank]]",
            f"mark = {_text(mark)}",
            f"part = {_text(blank.word)}",
            f"plate = {_text(plate)}",
            f"quantity = {blank.quantity}",
            f"along = {_number(along)}",
            f"across = {_number(across)}",
            f"shape = {_text(shape(blank))}",
        ]
    for plate, sheet in all_sheets(nest):
        lines += [
            "",
            "[[sheet]]",
            f"plate = {_text(plate.plate)}",
            f"length = {_number(sheet.length)}",
            f"width = {_number(sheet.width)}",
            f"remnant = {'false' if sheet.fresh else 'true'}",
            "piece = [",
        ]
        for p in sheet.pieces:
            place = f"x = {_number(p.x)}, y = {_number(p.y)}, angle = {_number(p.angle)}"
            lines.append(f"  {{ mark = {_text(p.mark)}, {place} }},")
        lines.append("]")
    return ("\n".join(lines) + "\n").encode("utf-8")


def _text(value: str) -> str:
    # What JSON escapes, TOML reads the same; DEL alone needs it in TOML and not in JSON, and no name holds it.
    return json.dumps(value, ensure_ascii=False)


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")
