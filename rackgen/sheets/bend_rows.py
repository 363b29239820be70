"""The bend sheets as rows of text in the shop's own unit, each place rounded from the exact one."""

from __future__ import annotations

from rackgen.refs.registry import number
from rackgen.sheets.bends import BendMark, BendSheet
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, size, small
from rackgen.spec.shop import BOW, FRAME_HOOP
from rackgen.spec.stock import Round
from rackgen.units import Unit

Row = tuple[float, tuple[str, ...]]
"""A place along the tube, mm, and the texts of the columns that follow it."""


def bends_table(sheets: tuple[BendSheet, ...], unit: Unit) -> Table:
    """Return every running dimension of every bent tube, one row each."""
    columns = (Column("mark", "mark"), Column("part", "part"), *_columns(unit))
    rows = tuple((s.mark, s.word, *row) for s in sheets for row in _rows(s, unit))
    return Table("bends", "Bend sheets", columns, rows)


def bend_tables(sheets: tuple[BendSheet, ...], unit: Unit) -> tuple[Table, ...]:
    """Return one table a bent tube, with what a person at the bender needs to know below it."""
    return tuple(Table(f"bends-{s.mark}", _title(s, unit), _columns(unit), _rows(s, unit), _notes(s, unit))
                 for s in sheets)  # fmt: skip


READING = (
    "at: from the named end as sawn, trim counted in; running dimensions, none is chained: hook the tape there once",
    "feed: straight tube between two bends; of the first, from the end as sawn to where the bend starts; bend by the "
    "marks, feeds are for a bender with a stop",
    "turn: of the bend's plane from the bend before it, clockwise as seen from that end; the tube itself is turned the "
    "other way in the bender",
    "clock: degrees round the tube, clockwise as seen from that end; 0 is the line that comes inside the first bend; "
    "draw it along the tube",
    "set: angle to bend to, so that it springs back to the finished one",
)
"""How to read a bend sheet."""


def _columns(unit: Unit) -> tuple[Column, ...]:
    return (
        Column("number", "no.", True),
        Column("at", f"at {unit}", True),
        Column("what", "what"),
        Column("clock", "clock", True),
        Column("feed", f"feed {unit}", True),
        Column("turn", "turn", True),
        Column("angle", "finished", True),
        Column("set", "set", True),
        Column("band", "shops see", True),
    )


def _title(sheet: BendSheet, unit: Unit) -> str:
    die = f"die {sheet.die.name}" if sheet.die else "no die in this shop"
    return (
        f"{sheet.mark} {sheet.word}, {sheet.quantity} of {sheet.stock.name}, {die}, CLR {size(sheet.clr, unit)}: "
        f"cut {fine(sheet.cut, unit)} {unit}, end {sheet.end} into the clamp first"
    )


def _rows(sheet: BendSheet, unit: Unit) -> tuple[tuple[str, ...], ...]:
    return tuple((str(n), fine(at, unit), *texts) for n, (at, texts) in enumerate(places(sheet, unit), 1))


def places(sheet: BendSheet, unit: Unit) -> tuple[Row, ...]:
    """Return every running mark in order from the named end, as its sheet and its sketch number them from 1."""
    far = "B" if sheet.end == "A" else "A"
    found: list[Row] = [(0.0, (f"end {sheet.end} as sawn", *_EMPTY)), (sheet.cut, (f"end {far} as sawn", *_EMPTY))]
    if sheet.trim:
        # A frame's legs keep their trim until they are seen on the vehicle.
        when = "the dry fit" if sheet.word in (FRAME_HOOP, BOW) else "bending"
        line = f"trim line, sawn off after {when}"
        found += [(at, (line, *_EMPTY)) for at in (sheet.trim, sheet.cut - sheet.trim)]
    for hole in sheet.holes:
        # Behind a bend of unknown stretch only the far end is sure.
        back = f", {fine(sheet.cut - hole.at, unit)} from end {far}" if hole.after and sheet.stretch is None else ""
        when = f"drill after bending{back}" if hole.after else "drill before bending"
        what = f"{hole.purpose} hole {size(hole.diameter, unit)}, {when}"
        found.append((hole.at, (what, degrees(hole.clock), *_EMPTY[1:])))
    for bend in sheet.bends:
        found += _bend_rows(sheet, bend, unit)
    return tuple(sorted(found, key=lambda row: row[0]))


_EMPTY = ("",) * 6


def _bend_rows(sheet: BendSheet, bend: BendMark, unit: Unit) -> list[Row]:
    """Return the row of the mark, or of start and middle where the shop does not say what its mark means."""
    measured = sheet.springback_from == "test bend"
    data = (
        degrees(bend.clock),
        fine(bend.feed, unit),
        degrees(bend.turn) if bend.number > 1 else "",
        degrees(bend.angle),
        "" if bend.set_angle is None else degrees(bend.set_angle),
        "" if measured else f"{degrees(bend.band[0])} to {degrees(bend.band[1])}",
    )
    if bend.mark is None or sheet.die is None:
        middle = (bend.middle, (f"bend {bend.number} middle", *_EMPTY))
        return [(bend.start, (f"bend {bend.number} starts", *data)), middle]
    means = {"start": "starts here", "centre": "middle", "die mark": "to the die's own mark"}
    return [(bend.mark, (f"MARK bend {bend.number}: {means[sheet.die.mark_at or 'start']}", *data))]


def _notes(sheet: BendSheet, unit: Unit) -> tuple[str, ...]:
    out: list[str] = []
    if sheet.springback_from == "test bend":
        out.append(f"set: by the test bend, {degrees(sheet.springback or 0.0)} deg beyond 90")
    else:
        least, most = number("springback-least").value, number("springback-most").value
        said = f"set: an estimate of {sheet.springback:.1f} deg beyond 90 ({sheet.source}), shops see" if (
            sheet.springback is not None
        ) else "set: nothing to estimate it from, shops see"  # fmt: skip
        out.append(
            f"{said} {least:g} to {most:g}. Stop at the finished angle, release, read, creep up; note what it took"
        )
    if sheet.stretch is None:
        out.append(
            "stretch of the bends is not measured: the length and every place behind the first bend are without it; "
            "holes behind a bend are drilled after bending, measured back from the far end"
        )
    else:
        out.append(f"stretch of the bends, {fine(sheet.stretch, unit)} {unit} by the test bend, is taken off")
    if sheet.die is not None and sheet.die.mark_at is None:
        out.append("the shop's file does not say what a mark means on this die: start and middle are given")
    off = "" if sheet.seam.off < 0.5 else f", {sheet.seam.off:.0f} deg off it at worst"
    out.append(
        f"seam: a welded tube's at clock {degrees(sheet.seam.clock)}, on the neutral line of its sharpest bends{off}"
    )
    names = (sheet.end, "B" if sheet.end == "A" else "A")
    cut = [name for name, has in zip(names, sheet.ends, strict=True) if has]
    if cut:
        out.append(f"end {' and '.join(cut)}: cut to the wrap after bending, at the trim line")
    od = _od(sheet)
    look, most = (number(n).value for n in ("bend-ovality-look", "bend-ovality"))
    out.append(
        f"in each bend, largest less smallest diameter: good to {small(od * look / 100, unit)} {unit} ({look:g} %), "
        f"never over {small(od * most / 100, unit)} {unit} ({most:g} %); the wall outside gets {sheet.thinning:.0f} % "
        "thinner"
    )
    return tuple(out)


def _od(sheet: BendSheet) -> float:
    assert isinstance(sheet.stock.section, Round)
    return sheet.stock.section.od
