"""The sheets as rows of text in the shop's own unit. Lengths are rounded here, each from the exact one, never twice."""

from __future__ import annotations

from rackgen.sheets.cutlist import CutLine, CutList
from rackgen.sheets.shares import LOAD, Carried
from rackgen.sheets.table import Column, Table
from rackgen.sheets.weights import Weights
from rackgen.units import Unit, shown_step, write_length

ALONE = 25.0
"""What one person lifts at most, kg (common practice, no source)."""


def cut_table(cuts: CutList) -> Table:
    """Return the cut list as the shop reads it, to what a tape shows, as the saw's own pages say it."""
    unit = cuts.unit
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("quantity", "qty", True),
        Column("stage", "stage", True),
        Column("stock", "stock"),
        Column("saw", f"saw {unit}", True),
        Column("width", f"width {unit}", True),
        Column("long_point", f"long point {unit}", True),
        Column("throat", f"throat {unit}", True),
        Column("centres", f"centre to centre {unit}", True),
        Column("allowed", f"allowed {unit}"),
        Column("ends", "ends A / B"),
        Column("mass", "kg each", True),
        Column("notes", "notes"),
    )
    rows = tuple(
        (
            line.mark,
            line.called,
            str(line.quantity),
            str(line.stage) if line.stage else "",
            line.stock,
            _length(line.saw, unit, fine=True),
            _length(line.width, unit, fine=True),
            _length(line.long_point, unit, fine=True) if line.kind in ("tube", "bar") else "",
            _length(line.throat, unit, fine=True),
            _length(line.centres, unit, fine=True),
            _allowed(line, unit),
            line.ends,
            f"{line.mass:.3f}",
            "; ".join(line.notes),
        )
        for line in cuts.lines
    )
    notes = (
        "stage 1: hoops; 2: after measuring rings and frame; 3: after the dry fit",
        "saw: what comes off the stick, over the longest lines; trim is cut off after bending",
        "throat: between the deepest points on the outside; centre to centre: as it stands in the finished rack",
        "allowed: fit-up gap taken off, weld shrinkage put on (long point and throat); trim put on each end (saw), "
        "stretch of the bends taken off (saw)",
        "bar lengths are flat blanks over the longer edge; each fold names what says how much goes into it: this "
        "shop's own test strip, DIN 6935, or the handbook's constant",
        "clock: degrees round a tube, clockwise seen from end A; 0 at the inside of the first bend, else on one line "
        "that both ends share; a cope's clock is its acute side, at 90 the way the tube landed on runs",
        "holes in tubes are measured from end A as sawn, after trimming; vents and drains are drilled before welding",
        "bars: +Z is the face seen on the marked drawing, +Y its upper edge (the drawing's, not the vehicle's); a "
        "fold up comes toward you",
    )
    if any(line.hand for line in cuts.lines):
        notes += ("left, right: the side it stands on as the driver sits; the two are mirror images",)
    return Table("cut-list", "Cut list", columns, rows, notes)


def totals_table(cuts: CutList) -> Table:
    """Return what each line of stock adds up to, without kerfs and stick ends."""
    columns = (
        Column("stock", "stock"),
        Column("kind", "kind"),
        Column("pieces", "pieces", True),
        Column("length", f"length {cuts.unit}", True),
        Column("area", "area m2" if cuts.unit == "mm" else "area ft2", True),
        Column("mass", "kg", True),
    )
    square = 1e6 if cuts.unit == "mm" else (12 * 25.4) ** 2
    rows = tuple(
        (
            total.stock,
            total.kind,
            str(total.pieces),
            _length(total.length, cuts.unit, fine=False),
            f"{total.area / square:.3f}" if total.area else "",
            f"{total.mass:.2f}",
        )
        for total in cuts.totals
    )
    return Table("totals", "Totals by stock", columns, rows, (f"whole rack {cuts.mass:.1f} kg",))


def weights_table(sheet: Weights, unit: Unit) -> Table:
    """Return mass by mark, then by group, then the whole with its centre of mass, and what of it hangs where."""
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("quantity", "qty", True),
        Column("each", "kg each", True),
        Column("all", "kg", True),
        Column("of_load", f"of {LOAD:g} kg load", True),
    )
    rows = [(p.mark, p.word, str(p.quantity), f"{p.each:.3f}", f"{p.all:.3f}", "") for p in sheet.parts]
    rows += [("", f"all of {name}", "", "", f"{mass:.3f}", "") for name, mass in sheet.groups]
    rows.append(("", "whole rack", "", "", f"{sheet.total:.3f}", ""))
    x, y, z = (_length(c, unit, fine=False, zero=True) for c in sheet.centre)
    notes = (
        f"centre of mass {x} aft of the datum, {y} to the right of the middle, "
        f"{z} above the level that its heights are measured from ({unit})",
        "without weld metal, coating and load",
    )
    if sheet.carried is not None:
        rows += carried_rows(sheet.carried)
        notes += carried_notes(sheet.carried, unit)
    return Table("weights", "Weight and centre of mass", columns, tuple(rows), notes)


def carried_rows(found: Carried) -> list[tuple[str, ...]]:
    """Return a row for every mount and for both ends of every lift, under the columns of the weights."""
    rows = [("", f"on mount {m.mount}", "", "", f"{m.own:.1f}", f"{m.load:.1f}") for m in found.mounts]
    for lift in found.lifts:
        rows.append(("", f"lifting the {lift.what}, front", "", "", f"{lift.front:.1f}", ""))
        rows.append(("", f"lifting the {lift.what}, rear", "", "", f"{lift.rear:.1f}", ""))
    return rows


def carried_notes(found: Carried, unit: Unit) -> tuple[str, ...]:
    """Return what the shares rest on, heights, and the finished mass, in sentences."""

    def high(mm: float) -> str:
        return f"{_length(mm, unit, fine=False, zero=True)} {unit}"

    notes = [
        f"finished about {found.finished:.1f} kg, with {found.finish:.2f} kg of coating and {found.weld:.2f} kg of "
        "weld metal",
        f"highest point {high(found.top)} above the level that the vehicle's heights are measured from",
    ]
    if found.above_roof is not None and found.centre_above_roof is not None:
        notes.append(
            f"above the highest measured place of the roof under the rack: highest point {high(found.above_roof)}, "
            f"centre of mass {high(found.centre_above_roof)}"
        )
    if found.mounts:
        notes.append(
            "shares on the mounts: standing still and level, the rack rigid and the mounts giving way equally; "
            f"of {LOAD:g} kg in the middle of the floor, or of the bars where there is none"
        )
        if any(m.own < 0 or m.load < 0 for m in found.mounts):
            notes.append("a negative share pulls that mount up: move the rack or the load toward it")
    else:
        notes.append("the mounts do not hold the rack level by themselves, so no shares are given")
    if any(max(lift.front, lift.rear) > ALONE for lift in found.lifts):
        notes.append(f"more than {ALONE:g} kg at an end: call a third person (common practice, no source)")
    return tuple(notes)


def _length(mm: float | None, unit: Unit, *, fine: bool, zero: bool = False) -> str:
    """Return a rounded length; nothing for None, and for 0 unless it is wanted."""
    if mm is None or (mm == 0.0 and not zero):
        return ""
    return write_length(mm, unit, shown_step(unit, fine=fine))


def _allowed(line: CutLine, unit: Unit) -> str:
    step = 0.1 if unit == "mm" else 1 / 64
    given = (
        ("gap -", line.gap),
        ("shrinkage +", line.shrinkage),
        ("trim +", line.trim),
        ("stretch -" if line.stretch > 0 else "stretch +", abs(line.stretch)),
    )
    return ", ".join(f"{name}{write_length(mm, unit, step)}" for name, mm in given if mm)
