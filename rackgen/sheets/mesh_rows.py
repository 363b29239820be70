"""Panels of expanded metal as the shear reads them: rows of text in the shop's own unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from rackgen.sheets.flats import Blank
from rackgen.sheets.mesh_layout import MeshNest, MeshSheet
from rackgen.sheets.nest_rows import down
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import fine
from rackgen.units import Unit


def mesh_table(nests: Sequence[MeshNest], words: Mapping[str, Blank], unit: Unit) -> Table:
    """Return every panel with its place and every cut in order; blanks by mark."""
    columns = (
        Column("mesh", "floor metal"),
        Column("sheet", "sheet", True),
        Column("name", "panel"),
        Column("part", "part"),
        Column("x", f"x {unit}", True),
        Column("y", f"y {unit}", True),
        Column("along", f"along {unit}", True),
        Column("across", f"across {unit}", True),
    )
    rows = tuple(
        (
            one.mesh,
            str(sheet.number),
            f"{p.mark}.{p.number}",
            words[p.mark].word,
            *(fine(mm, unit) for mm in (p.x, p.y, p.along, p.across)),
        )
        for one in nests
        for sheet in one.sheets
        for p in sheet.panels
    )
    notes = [
        f"{one.mesh}, sheet {sheet.number}, cut {k}: {cut}"
        for one in nests
        for sheet in one.sheets
        for k, cut in enumerate(sheet.cuts, 1)
    ]
    for one in nests:
        for mark, count in Counter(one.left_out).items():
            notes.append(f"comes out of no sheet: {count} of {mark} {words[mark].word}, {one.mesh}")
    kept = any(sheet.diamonds for one in nests for sheet in one.sheets)
    way = "long way of the diamonds along x on every panel; " if kept else ""
    notes.append(f"{way}corners and notches are cut afterwards")
    return Table("mesh", "Expanded metal and perforated sheet on their sheets", columns, rows, tuple(notes))


def mesh_left_words(sheet: MeshSheet, unit: Unit) -> str:
    """Return the piece that stays whole, the long way first, or "" where nothing does."""
    return "" if sheet.left is None else f"{down(sheet.left.length, unit)} × {down(sheet.left.width, unit)}"
