"""Fit-up as one table: every size that is checked on the table, its limit, every block and every station."""

from __future__ import annotations

import math

from rackgen.sheets.fit_up import SQUARE, TWIST, WEDGE, Assembly, FitUp, linear_b, running, straight_f
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import fine
from rackgen.units import INCH, Unit

Size = tuple[str, str, str]
"""What is measured, what it should be, and within what."""


def limit(mm: float, unit: Unit) -> str:
    """Return a limit as a tape reads it, rounded to the safe side in inches: "2.0 mm", "1/16 in"."""
    steps = mm if unit == "mm" else math.floor(mm / INCH * 32 + 1e-9) / 32 * INCH
    return f"{steps:g} mm" if unit == "mm" else f"{fine(steps, unit)} in"


def within(mm: float, unit: Unit) -> str:
    """Return a tolerance either way: "± 2 mm" or "± 1/16 in"."""
    return f"± {limit(mm, unit)}"


def sizes(one: Assembly, unit: Unit) -> tuple[Size, ...]:
    """Return what is checked of an assembly before anything is welded out, and again after."""
    longest = max(one.width, one.length)
    return (
        ("outside width", fine(one.width, unit), within(SQUARE, unit)),
        ("outside length", fine(one.length, unit), within(linear_b(one.length), unit)),
        ("diagonal, left front to right rear", fine(one.diagonals[0], unit), f"alike to {limit(SQUARE, unit)}"),
        ("diagonal, right front to left rear", fine(one.diagonals[1], unit), f"alike to {limit(SQUARE, unit)}"),
        ("twist: gap under the fourth corner, three pressed down", "0", f"to {limit(TWIST, unit)}"),
        ("straightness of a side, straightedge or string", "0", f"to {limit(straight_f(longest), unit)}"),
    )


def basket_sizes(found: FitUp, unit: Unit) -> tuple[Size, ...]:
    """Return what is checked of the basket when it is tacked up; empty without a basket of two rings."""
    one = found.basket
    if one is None:
        return ()
    alike = f"alike to {limit(SQUARE, unit)}"
    corners = ("left front", "right front", "right rear", "left rear")
    high = within(linear_b(one.height), unit)
    rows = [(f"height outside, {c} corner", fine(one.height, unit), high) for c in corners]
    for name, pair in (("each side", one.side), ("each end", one.end)):
        rows.append((f"both diagonals of {name}, lower corner point to upper", fine(pair[0], unit), alike))
    return tuple(rows)


def fit_up_table(found: FitUp, unit: Unit) -> Table:
    """Return the whole fit-up sheet."""
    columns = (
        Column("assembly", "assembly"),
        Column("what", "what"),
        Column("size", f"should be ({unit})", number=True),
        Column("across", f"across ({unit})", number=True),
        Column("within", "within, or how"),
    )
    rows: list[tuple[str, ...]] = []
    for one in found.assemblies:
        rows += [(one.title, what, size, "", limit) for what, size, limit in sizes(one, unit)]
        rows += [
            (one.title, f"stop block {b.id}, {b.side}", fine(b.aft, unit), fine(b.across, unit), block_words(b.wedge))
            for b in one.blocks
        ]
        for along, text in (("aft", "from the front outside"), ("across", "from the left outside")):
            rows += [(one.title, s.what, fine(s.at, unit), "", text) for s in running(one.stations, along)]
    rows += [("basket", what, size, "", limit) for what, size, limit in basket_sizes(found, unit)]
    return Table("fit-up", f"Fit-up ({unit})", columns, tuple(rows), fit_up_notes(found, unit))


def block_words(wedge: bool) -> str:
    """Return how a block holds the work."""
    return "with a wedge" if wedge else "fixed, tube against it"


def blocks_table(one: Assembly, unit: Unit) -> Table:
    """Return the stop blocks of an assembly."""
    columns = (
        Column("block", "block"),
        Column("side", "outside of"),
        Column("aft", f"aft of the table's front edge ({unit})", number=True),
        Column("across", f"from its left edge ({unit})", number=True),
        Column("how", "how"),
    )
    rows = tuple((b.id, b.side, fine(b.aft, unit), fine(b.across, unit), block_words(b.wedge)) for b in one.blocks)
    return Table(f"blocks-{one.name}", f"Stop blocks, {one.title}", columns, rows)


def fit_up_notes(found: FitUp, unit: Unit) -> tuple[str, ...]:
    """Return how it is measured."""
    laid = (
        f"Table: front and left outside stand {fine(found.margin, unit)} {unit} from its front and left edge. A "
        "block's place is the middle of the face toward the tube, on straights only, clear of bends, butts, pads "
        f"and stops; those with a wedge stand {fine(WEDGE, unit)} {unit} off, so that the work comes "
        "out after it has shrunk.",
        "Corner points of the diagonals: outside of the leg where its bend begins, as marked on the bend sheet; at the "
        "frame's rear opposite the rear cross bar's axis. Punch them: the same points are used on every card.",
    )
    return (
        *(laid if found.assemblies else ()),
        f"Widths, diagonals and twist: {limit(SQUARE, unit)}, common practice. Lengths and heights ISO 13920 "
        "class B, straightness class F (from memory).",
        *(
            ["Of rails without bends the corner points are the outside of their ends."]
            if any(a.measured_at[0].startswith("outside of the rail") for a in found.assemblies)
            else []
        ),
        *(
            [
                f"The frame's legs are {fine(found.leg_trim, unit)} {unit} longer than the length given, until the dry "
                "fit."
            ]
            if found.leg_trim
            else []
        ),
        *(
            f"Bow {bow.mark}, flat on the table, legs cut to length: the ends of its axis {fine(bow.spread, unit)} "
            f"{unit} apart, its back {fine(bow.height, unit)} {unit} over their line, alike to {limit(SQUARE, unit)}; "
            "no light under it anywhere."
            for bow in found.bows
        ),
    )
