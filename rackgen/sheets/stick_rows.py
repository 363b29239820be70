"""The nest of sticks as the saw reads it: bars drawn in plain characters, and rows of text in the shop's own unit."""

from __future__ import annotations

from collections import Counter

from rackgen.sheets.stick_records import Stick, StickNest, StockNest
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import fine
from rackgen.units import Unit, shown_step, write_length

WIDTH = 96
"""Characters of the longest stick's bar."""


def sticks_table(nest: StickNest) -> Table:
    """Return every cut in order: running dimensions from the faced end, from exact lengths, never added up rounded."""
    unit = nest.unit
    columns = (
        Column("stock", "stock"),
        Column("stick", "stick", True),
        Column("from", "cut from"),
        Column("length", f"its length {unit}", True),
        Column("mark", "mark"),
        Column("part", "part"),
        Column("stage", "stage", True),
        Column("saw", f"saw {unit}", True),
        Column("start", f"starts at {unit}", True),
        Column("end", f"ends at {unit}", True),
    )
    rows = tuple(
        (
            one.stock,
            str(stick.number),
            "fresh stick" if stick.fresh else "remnant",
            _coarse(stick.length, unit),
            cut.piece.mark,
            cut.piece.word,
            str(cut.piece.stage),
            fine(cut.piece.saw, unit),
            fine(cut.start, unit),
            fine(cut.end, unit),
        )
        for one in nest.stocks
        for stick in one.sticks
        for cut in stick.cuts
    )
    notes = [
        "face a fresh stick at both ends; dimensions run from the faced end, the blade goes beyond each mark",
        "stage 2 is cut after measuring rings and frame, stage 3 after the dry fit: leave the rest of the stick whole",
    ]
    for one in nest.stocks:
        short = Counter((p.mark, p.word, fine(p.saw, unit)) for p in one.left_out)
        for (mark, word, length), count in short.items():
            no = "stick" if nest.fresh else "remnant"
            notes.append(f"comes out of no {no}: {count} of {mark} {word}, {one.stock}, {length} {unit}")
    return Table("sticks", "Cuts by stick", columns, rows, tuple(notes))


def bought_table(nest: StickNest) -> Table:
    """Return what is taken of each stock, how good that is, and what is left."""
    unit = nest.unit
    columns = (
        Column("stock", "stock"),
        Column("buy", "buy"),
        Column("price", "price", True),
        Column("remnants", "remnants used"),
        Column("pieces", "pieces", True),
        Column("sawn", f"sawn {unit}", True),
        Column("kept", f"kept {unit}", True),
        Column("scrap", f"scrap {unit}", True),
        Column("result", "result"),
    )
    rows = tuple(
        (
            one.stock,
            _counted([s for s in one.sticks if s.fresh], unit),
            "" if one.price is None else f"{one.price:.2f}",
            _counted([s for s in one.sticks if not s.fresh], unit),
            str(sum(len(s.cuts) for s in one.sticks)),
            _coarse(one.pieces, unit),
            _coarse(one.kept, unit),
            _coarse(one.scrap, unit),
            _result(one, unit),
        )
        for one in nest.stocks
    )
    prices = [one.price for one in nest.stocks if one.price is not None]
    notes = [
        f"kept: {_coarse(nest.least_remnant, unit)} {unit} and longer; scrap: trims, kerfs and shorter ends",
        f"the saw takes {write_length(nest.kerf, unit, 0.1 if unit == 'mm' else 1 / 64)} {unit} a cut",
    ]
    if not nest.fresh:
        there = sum(len(s.cuts) for one in nest.stocks for s in one.sticks)
        every = there + sum(len(one.left_out) for one in nest.stocks)
        notes.insert(0, f"{there} of {every} pieces come out of the remnants at hand")
    if prices:
        silent = sum(one.price is None for one in nest.stocks)
        notes.append(
            f"price {sum(prices):.2f} in all" + (f", without {silent} stocks of no known price" * bool(silent))
        )
    return Table("sticks-bought", "What it takes", columns, rows, tuple(notes))


def bars_text(nest: StickNest) -> str:
    """Return every stick as a bar to scale, pieces with their marks, dots for what is kept, x for scrap."""
    out = ["Sticks", ""]
    longest = max((s.length for one in nest.stocks for s in one.sticks), default=1.0)
    for one in nest.stocks:
        out.append(one.stock)
        for stick in one.sticks:
            name = "fresh" if stick.fresh else "remnant"
            tail = f"{_coarse(stick.left, nest.unit)} {nest.unit} {'to keep' if stick.kept else 'scrap'}"
            out.append(f"  {stick.number}  {name} {_coarse(stick.length, nest.unit)} {nest.unit}, left {tail}")
            out.append(f"     {_bar(stick, round(WIDTH * stick.length / longest))}")
        if not one.sticks:
            out.append("     nothing to cut")
        out.append("")
    return "\n".join([*out, "|T1--|: a piece with its mark; ...: left, to keep; xxx: left, scrap"]) + "\n"


def _bar(stick: Stick, width: int) -> str:
    """Return a bar; pieces are a mark cut to fit and dashes, each between strokes."""
    good = stick.length - 2 * stick.trim

    def column(mm: float) -> int:
        return round(mm / good * width)

    text = ""
    for cut in stick.cuts:
        room = max(1, column(cut.end) - len(text) - 1)
        text += "|" + cut.piece.mark[:room].ljust(room, "-")
    rest = ("." if stick.kept else "x") * max(1, width - len(text)) + "|" if stick.left else ""
    return f"{text}|{rest}"


def _counted(sticks: list[Stick], unit: Unit) -> str:
    lengths = [s.length for s in sticks]
    return ", ".join(f"{lengths.count(mm)} of {_coarse(mm, unit)}" for mm in sorted(set(lengths)))


def _result(one: StockNest, unit: Unit) -> str:
    """Return how near the best it is."""
    if one.proven:
        return "optimal"
    if one.measure == "price":
        return f"not under {one.least:.2f}, difference {one.cost - one.least:.2f}"
    return f"{one.measure} not under {_coarse(one.least, unit)}, difference {_coarse(one.cost - one.least, unit)}"


def _coarse(mm: float, unit: Unit) -> str:
    return write_length(mm, unit, shown_step(unit, fine=False))
