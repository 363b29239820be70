"""What `rackgen nest` does: the nest of a design, worked out, tightened or taken from a layout file, and kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from rackgen.errors import BadInput, Finding, Level, NestError, PackError
from rackgen.made import Design
from rackgen.sheets.nest_records import Nest
from rackgen.sheets.table import Table


@dataclass(frozen=True)
class NestSheet:
    """The nest's sheet.

    Attributes:
        nest: its numbers.
        table: every piece.
        text: all of it.
        findings: what comes out of no sheet; waivers applied.
        said: what else there is to tell.
    """

    nest: Nest
    table: Table
    text: str
    findings: tuple[Finding, ...]
    said: tuple[str, ...]

    @property
    def stopped(self) -> bool:
        """Whether a stop was found."""
        return any(f.level is Level.STOP for f in self.findings)


def nest_sheet(made: Design, seconds: int | None, keep: Path | None, said: Callable[[str], None]) -> NestSheet:
    """Return the nest of a design and keep its layout when that is wanted.

    Args:
        made: the design, with its layout file where one is given.
        seconds: how long a tighter way is sought for every sheet; None for the usual nest.
        keep: file for the layout; None to keep none.
        said: called with what is being made.

    Raises:
        BadInput: the layout file does not go with the rack, or a tighter nest was asked beside one.
        NestError: the tighter nest failed, or there is nothing to keep.
        PackError: the layout cannot be kept there.
    """
    from rackgen.check.waive import waive
    from rackgen.export.layout import layout_bytes
    from rackgen.export.text import findings_text, table_text
    from rackgen.sheets.nest import nest
    from rackgen.sheets.nest_rows import pieces_table, sheets_table

    shop = made.job.shop
    if keep is not None:
        _check_place(keep)
    found, flat, stops = nest(made.rack, shop, made.layout)
    told: list[str] = []
    if seconds is not None:
        from rackgen.sheets.nest_tighter import tighter_nest

        found, better = tighter_nest(found, tuple(flat.values()), shop, seconds, said)
        usual = [one.plate for one in found.plates if one.plate not in better]
        told += [f"tighter: {plate}" for plate in better]
        told += [f"nothing tighter was found for {plate}: the usual nest is kept" for plate in usual]
        if keep is None and better:
            told.append("not kept: a tighter nest does not come out the same twice; ask for it again with --keep FILE")
    if keep is not None:
        if not any(one.sheets for one in found.plates):
            raise NestError("there is no layout to keep: nothing of plate comes out of any sheet")
        _keep(keep, layout_bytes(found, flat, made.stamp))
        told.append(f"the layout is kept in {keep}; build with --layout {keep}")
    named = tuple(w for w in made.job.spec.waivers if any(f.code == w.code for f in stops))
    findings, _ = waive(stops, named)
    parts = [table_text(sheets_table(found)), table_text(pieces_table(found, flat))]
    if findings:
        parts.append(findings_text(findings))
    return NestSheet(found, pieces_table(found, flat), "\n".join(parts), findings, tuple(told))


def _check_place(path: Path) -> None:
    """Refuse to write a layout over a file that is none."""
    from rackgen.spec.read import read_layout

    if not path.exists():
        return
    try:
        read_layout(path)
    except BadInput:
        raise PackError(f"{path} is there and is no layout file; name another") from None


def _keep(path: Path, content: bytes) -> None:
    from rackgen.export.single import write_single

    write_single(path.absolute().parent, {path.name: content})
