"""What `rackgen measure` and `rackgen vehicle` do: the form out, the filled form in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal
from zlib import crc32

from rackgen import __version__
from rackgen.errors import PackError
from rackgen.spec.measuring_form import Form, empty_csv, is_empty_form


def write_form(form: Form, pdf: Path, table: Path | None, paper: Literal["A4", "letter"]) -> tuple[Path, ...]:
    """Write the measuring sheet and its table, and return their paths.

    Args:
        form: what is to be measured.
        pdf: file for the sheet.
        table: file for the table to fill in; beside the sheet, by its name, when None.
        paper: that it is printed on.

    Raises:
        PackError: a file that is there may hold somebody's work, or the system refuses to write.
    """
    from rackgen.export.paper.pdf import pdf_bytes
    from rackgen.export.single import write_single
    from rackgen.sheets.measuring_station import measuring_station
    from rackgen.sheets.stamp import Stamp

    table = pdf.with_suffix(".csv") if table is None else table
    if table.absolute() == pdf.absolute():
        raise PackError(f"{pdf}: sheet and table need two names")
    _free(pdf, lambda content: content.startswith(b"%PDF"), "is no PDF")
    _free(table, is_empty_form, "is no empty measuring form: it may hold readings")
    blank = empty_csv(form).encode()
    # The same boxes have the same revision, so that a table can be told from another sheet's.
    stamp = Stamp("Measuring sheet", f"{crc32(blank):08x}", f"rackgen {__version__}")
    sheet = pdf_bytes((measuring_station(form),), stamp, form.unit, paper, "measuring sheet")
    # A byte order mark keeps spreadsheets from taking the text for another alphabet's.
    rows = b"\xef\xbb\xbf" + empty_csv(form).encode()
    folder = pdf.absolute().parent
    if table.absolute().parent == folder:
        return write_single(folder, {table.name: rows, pdf.name: sheet})
    return (
        *write_single(table.absolute().parent, {table.name: rows}),
        *write_single(folder, {pdf.name: sheet}),
    )


def write_vehicle(readings: Path, out: Path) -> tuple[str, ...]:
    """Write the vehicle file of a filled form, and return what was not read and what that costs.

    Raises:
        BadInput: every mistake in the form; nothing is written.
        PackError: a file that is there was not made so, or the system refuses to write.
    """
    from rackgen.export.single import write_single
    from rackgen.spec.readings import read_readings
    from rackgen.spec.vehicle_text import MADE, vehicle_text

    if out.suffix != ".toml":
        raise PackError(f"{out}: a vehicle file's name ends with .toml")
    _free(out, lambda content: content.startswith(MADE.encode()), "was not converted from readings")
    found = read_readings(readings)
    text = vehicle_text(found.data, readings.name, found.notes, found.vehicle.notes)
    write_single(out.absolute().parent, {out.name: text.encode()})
    return found.vehicle.notes


def _free(path: Path, ours: Callable[[bytes], bool], why: str) -> None:
    """Refuse to write over a file that somebody may want to keep."""
    try:
        if path.exists() and not (path.is_file() and ours(path.read_bytes())):
            raise PackError(f"{path} is there and {why}; name another")
    except OSError as error:
        raise PackError(f"{path} cannot be written: {error.strerror or error}") from error
