"""Sheets as CSV and JSON files.

CSV carries the rows as the shop reads them, rounded in its own unit, and on every row the revision and whether the rack
is cleared, since rows get copied out of their file. JSON carries the numbers themselves: mm, kg, six decimals.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from decimal import Decimal
from enum import Enum
from typing import Any, cast

from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table import Table


def csv_bytes(table: Table, stamp: Stamp) -> bytes:
    """Return a sheet's rows as CSV (RFC 4180, UTF-8), keys of the columns first."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([*(c.key for c in table.columns), "revision", "state"])
    for row in table.rows:
        writer.writerow([*row, stamp.revision, stamp.state])
    return out.getvalue().encode("utf-8")


def json_bytes(name: str, sheet: object, stamp: Stamp) -> bytes:
    """Return a sheet's record as JSON with its stamp.

    Args:
        name: of the sheet.
        sheet: a frozen record of numbers, texts, tuples and records.
        stamp: of the rack.

    Raises:
        TypeError: the record holds something that has no place in a sheet.
    """
    head = {
        "sheet": name,
        "rack": stamp.rack,
        "revision": stamp.revision,
        "program": stamp.program,
        "state": stamp.state,
        "waived": list(stamp.waived),
        "lengths": "mm",
        "masses": "kg",
    }
    text = json.dumps(head | {"data": _plain(sheet)}, indent=1, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8")


def _plain(value: object) -> Any:
    """Return the value in JSON's own kinds."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: _plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, tuple):
        return [_plain(v) for v in cast("tuple[object, ...]", value)]
    if isinstance(value, Enum | Decimal):
        # Sums of money stay exact as texts.
        return str(value)
    if isinstance(value, float):
        return round(value, 6) + 0.0
    if value is None or isinstance(value, str | int):
        return value
    raise TypeError(f"{type(value).__name__} has no place in a sheet")
