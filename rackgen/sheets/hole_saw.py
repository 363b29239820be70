"""Copes by hole saw: which saw, how the tube stands in the jig, and where the wrap is needed instead."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.geom.cope import Cope
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.sheets.table import Column, Table
from rackgen.sheets.tube_ends import TubeEnd, planes, tube_ends
from rackgen.sheets.words import SAW_SLACK, degrees, fine, hole_saw_depth, size, small
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit

METRIC = (
    14.0, 16.0, 17.0, 19.0, 20.0, 21.0, 22.0, 24.0, 25.0, 27.0, 29.0, 30.0, 32.0, 33.0, 35.0, 37.0, 38.0, 40.0, 41.0,
    43.0, 44.0, 46.0, 48.0, 51.0, 52.0, 54.0, 57.0, 59.0, 60.0, 64.0, 65.0, 67.0, 68.0, 70.0, 73.0, 76.0, 79.0, 83.0,
    86.0, 89.0, 92.0, 95.0, 98.0, 102.0, 105.0, 108.0, 111.0, 114.0, 121.0, 127.0, 140.0, 152.0,
)  # fmt: skip
"""Diameters of bi-metal hole saws in trade, mm (common practice, no source)."""

SIXTEENTHS = (
    9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 32, 33, 34, 36, 37, 38, 40,
    41, 42, 43, 44, 46, 48, 50, 52, 54, 56, 58, 60, 62, 64, 66, 68, 70, 72, 76, 80, 88, 96,
)  # fmt: skip
"""The same in sixteenths of an inch (common practice, no source)."""

SAME = 0.05
"""A saw that is smaller than the header by no more than this is of its size, mm."""


@dataclass(frozen=True)
class HoleSaw:
    """How one cope is sawn.

    Attributes:
        header: OD of the tube that it sits on, mm.
        saw: diameter of the saw, mm.
        angle: between the axes of saw and tube, degrees.
        offset: by which the saw's axis passes beside the tube's, mm.
        toward: clock to whose side it passes, degrees; of no account without offset.
        beyond: how far beyond the sawn end the saw's axis crosses the tube's, mm; negative where inside the tube.
        depth: that the saw goes from first touch until it is through, mm.
        clock: line of the tube that the saw's axis leans to, degrees; at 90 it lies along it.
    """

    header: float
    saw: float
    angle: float
    offset: float
    toward: float
    beyond: float
    depth: float
    clock: float


def saw_for(header: float, unit: Unit) -> float | None:
    """Return the least hole saw in trade that is no smaller than a header's OD, mm; None over the largest."""
    sizes = METRIC if unit == "mm" else tuple(s / 16 * INCH for s in SIXTEENTHS)
    return next((s for s in sizes if s >= header - SAME), None)


def hole_saw(end: TubeEnd, shop: Shop) -> HoleSaw | str:
    """Return how an end is sawn by hole saw, or why it is not, in words."""
    copes = [c for c in end.gapped(shop.fit_up_gap) if isinstance(c, Cope)]
    if not copes:
        return "no cope, a mitre: saw it"
    if len(copes) > 1 or planes(end.cuts):
        return "more than one cut on this end"
    (cut,) = copes
    unit, outer = shop.unit, end.tube.section.od / 2
    least, most = number("hole-saw-angle").value, number("hole-saw-depth").value
    if cut.angle < least - 1e-6:
        return f"axes at {degrees(cut.angle)} deg, under {degrees(least)}"
    depth = hole_saw_depth(cut, outer)
    if depth > most + SAW_SLACK:
        return f"{small(depth, unit)} {unit} deep, over {small(most, unit)}"
    saw = saw_for(cut.header_od, unit)
    if saw is None:
        return f"no hole saw of {size(cut.header_od, unit)} {unit} or over"
    # The saw's axis is set so that its cut is as deep as the wrap's, whatever the saw is larger than the header.
    beyond = cut.at + ((saw - cut.header_od) / 2 - cut.gap) / math.sin(math.radians(cut.angle))
    toward = (cut.clock + (90.0 if cut.offset < 0 else 270.0)) % 360.0
    return HoleSaw(cut.header_od, saw, cut.angle, abs(cut.offset), toward, beyond, depth, cut.clock)


def saw_words(found: HoleSaw | str, unit: Unit) -> str:
    """Return a sentence of what `hole_saw` gives."""
    if isinstance(found, str):
        return f"Not by hole saw, use the wrap: {found}."
    aside = f"{size(found.offset, unit)} toward clock {degrees(found.toward)} and " if found.offset > 0.05 else ""
    side = "beyond" if found.beyond >= 0 else "inside"
    return (
        f"Hole saw instead: {size(found.saw, unit)} {unit}, jig {degrees(found.angle)} deg between the axes, saw's "
        f"axis {aside}{fine(abs(found.beyond), unit)} {side} the sawn end, {fine(found.depth, unit)} deep, along the "
        f"tube's line {degrees(found.clock)}."
    )


@dataclass(frozen=True)
class SawnCope:
    """One row of the sheet.

    Attributes:
        mark: of the tube.
        end: "A" or "B".
        part: what the shop calls it, with its side where all of them are on one.
        quantity: how many ends.
        stock: of the tube.
        saw: how it is sawn, None where the wrap is used.
        wrap: why the wrap is used instead, "" where it is sawn.
    """

    mark: str
    end: str
    part: str
    quantity: int
    stock: str
    saw: HoleSaw | None
    wrap: str


def hole_saws(rack: Rack, shop: Shop) -> tuple[SawnCope, ...]:
    """Return every coped end and how it is sawn, in cut-list order."""
    out: list[SawnCope] = []
    for end in tube_ends(rack, shop):
        if any(isinstance(c, Cope) for c in end.cuts):
            found = hole_saw(end, shop)
            said = isinstance(found, str)
            out.append(
                SawnCope(
                    end.mark, end.end, end.part, end.quantity, end.tube.stock.name, None if said else found,
                    found if said else ""
                )
            )  # fmt: skip
    return tuple(out)


def hole_saw_table(found: tuple[SawnCope, ...], unit: Unit) -> Table:
    """Return the sheet `hole-saw`, a row an end."""
    columns = (
        Column("mark", "mark"),
        Column("end", "end"),
        Column("part", "part"),
        Column("quantity", "ends", True),
        Column("stock", "tube"),
        Column("saw", f"hole saw {unit}", True),
        Column("angle", "jig angle", True),
        Column("offset", f"offset {unit}", True),
        Column("toward", "toward clock", True),
        Column("beyond", f"past end {unit}", True),
        Column("depth", f"depth {unit}", True),
        Column("clock", "clock", True),
        Column("else", "or"),
    )
    return Table("hole-saw", "Copes by hole saw", columns, tuple(_row(f, unit) for f in found), NOTES)


def _row(cope: SawnCope, unit: Unit) -> tuple[str, ...]:
    head = (cope.mark, cope.end, cope.part, str(cope.quantity), cope.stock)
    saw = cope.saw
    if saw is None:
        return (*head, *("",) * 7, f"use the wrap: {cope.wrap}")
    beside = saw.offset > 0.05
    return (
        *head,
        size(saw.saw, unit),
        degrees(saw.angle),
        size(saw.offset, unit) if beside else "",
        degrees(saw.toward) if beside else "",
        fine(saw.beyond, unit),
        fine(saw.depth, unit),
        degrees(saw.clock),
        "",
    )


NOTES = (
    "hole saw: the size in trade next at or above the OD of the tube that is landed on",
    "jig angle: between the axes of saw and tube; a jig that reads off square is set to 90 less it",
    "offset: how far the saw's axis passes beside the tube's, toward the line at that clock",
    "past end: how far beyond the cut list's sawn end the saw's axis crosses the tube's, fit-up gap counted in",
    "clock: line of the tube that the saw's axis leans to, at 90 runs along; counted as on the wraps",
    "depth: from first touch until it is through",
)
"""How to read the sheet."""
