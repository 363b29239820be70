"""The change sheet as rows of text: which marks and cuts are made anew, and which are kept."""

from __future__ import annotations

from rackgen.parts.compare import Change, ChangeSheet, Redone
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees
from rackgen.units import Unit, shown_step, write_length


def changes_table(sheet: ChangeSheet, unit: Unit) -> Table:
    """Return one row for parts that change alike."""
    columns = (
        Column("before", "mark before"),
        Column("after", "mark now"),
        Column("part", "part"),
        Column("quantity", "qty", True),
        Column("state", "do"),
        Column("redo", f"redo ({unit}, deg)"),
        Column("keep", "keep"),
    )
    rows = tuple(
        (
            change.before,
            change.after,
            change.word,
            str(len(change.ids)),
            change.state,
            "; ".join(_redone(r, unit) for r in change.redo),
            _kept(change),
        )
        for change in sheet.changes
    )
    notes = (
        "bend starts and saw lengths are from the finished end, without trim and stretch; the bend sheet has them in",
        "keep: what already was sawn, marked, bent, coped or drilled so stays good",
    )
    return Table("changes", "Changes", columns, rows, notes)


def _redone(redone: Redone, unit: Unit) -> str:
    if redone.before is None and redone.after is None:
        return redone.what
    angle = redone.what.endswith(("angle", "turn"))

    def text(value: float | None) -> str:
        if value is None:
            return "none"
        return degrees(value) if angle else write_length(value, unit, shown_step(unit, fine=True))

    longer = redone.what == "saw length" and (redone.after or 0.0) > (redone.before or 0.0)
    more = ", what is sawn is too short for it now" if longer else ""
    return f"{redone.what} {text(redone.before)} -> {text(redone.after)}{more}"


def _kept(change: Change) -> str:
    return "all" if change.state == "keep" else ", ".join(change.keep)
