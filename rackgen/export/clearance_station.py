"""The page of clearances: the gap map, what moves, the basket's room to slide, heights and view, to be measured at."""

from __future__ import annotations

import math
from itertools import groupby

from rackgen.check.cleared import FAR, Cleared
from rackgen.check.gap_map import GapMap
from rackgen.check.keepouts import Clear
from rackgen.check.slide import SlideRange
from rackgen.export.clearance_tables import (
    NEAREST,
    NOTES,
    balance_lines,
    distance,
    height_lines,
    passes,
    spoken,
    view_lines,
    when,
)
from rackgen.export.gap_map_drawing import gap_map_drawing
from rackgen.parts.names import part_name
from rackgen.sheets.pages import Block, Fields, Figure, Heading, Rows, Station, Text
from rackgen.sheets.table import Column, Table
from rackgen.spec.rack import Gaps
from rackgen.units import Unit

BOUNDS = 4
"""How many bounds of the basket's way are shown, the nearest first."""


def clearance_station(found: Cleared, drawn: GapMap, wish: Gaps, unit: Unit) -> Station:
    """Return the page of clearances.

    Args:
        found: clearances of the rack.
        drawn: its gaps to the roof in plan.
        wish: the gaps that were asked for.
        unit: of the shop.
    """
    blocks: list[Block] = []
    picture = gap_map_drawing(drawn, wish, unit)
    if picture is not None:
        caption = "Least gap to the roof, seen from above; a ring and a number at each of the five tightest"
        blocks.append(Figure(picture, caption, height=165.0))
    blocks += [_tight(found, unit), *_near(found, unit)]
    if found.slide is not None:
        blocks += [_slide(found.slide, unit), Text(_sentences(balance_lines(found, unit)))]
    blocks += [*_heights(found, unit), Heading("The driver's view"), Text(_sentences(view_lines(found)))]
    return Station("clearances", "What it stays clear of", tuple(blocks))


def _sentences(lines: list[str]) -> str:
    return " ".join(f"{line[0].upper()}{line[1:]}." for line in lines)


def _slide(slide: SlideRange, unit: Unit) -> Rows:
    """Return how far the basket may slide either way, and what comes next beyond that."""
    rows = tuple(
        (way if k == 0 else "", distance(bound.room, unit), bound.what)
        for way, bounds in (("forward", slide.forward), ("to the rear", slide.rearward))
        for k, bound in enumerate([b for b in bounds if math.isfinite(b.room)][:BOUNDS])
    )
    columns = (Column("way", "way"), Column("room", f"up to {unit}", True), Column("until", "until"))
    return Rows(Table("slide", "Sliding the basket on its frame, clamps and all", columns, rows))


def _heights(found: Cleared, unit: Unit) -> list[Block]:
    """Return the heights with boxes for what is measured, where a garage or trailer was asked about."""
    if found.heights is None or found.standing is None:
        return [Heading("Heights"), Text(_sentences(height_lines(found, unit)))]
    rows = [tuple(line.split(": ", 1)) for line in height_lines(found, unit)]
    return [Fields(tuple((f"{a[0].upper()}{a[1:]}", b) for a, b in rows), ("measured",), "Heights", "by calculation")]


def _tight(found: Cleared, unit: Unit) -> Block:
    """Return the tightest places over the roof, each with a box to tick when it was measured on the vehicle."""
    rows: list[tuple[str, ...]] = []
    for number, gap in enumerate(found.tight, 1):
        if gap.gap is None or gap.limit is None or gap.at is None:
            continue
        x, y, _ = gap.at
        rows.append(
            (
                str(number),
                f"{gap.mark} {part_name(gap.word, gap.part)}",
                distance(gap.gap, unit),
                distance(gap.limit, unit),
                distance(x, unit),
                f"{distance(abs(y), unit)} {'right' if y > 0 else 'left'}" if abs(y) >= 1 else "on it",
            )
        )
    columns = (
        Column("number", "no.", True),
        Column("part", "part"),
        Column("gap", f"gap {unit}", True),
        Column("wanted", f"wanted {unit}", True),
        Column("aft", f"aft of the datum {unit}", True),
        Column("aside", f"from the middle {unit}", True),
    )
    if not rows:
        return Text("No part of the rack stands over the measured roof.")
    return Rows(Table("tightest", "The tightest over the roof", columns, tuple(rows)), tick=True)


def _near(found: Cleared, unit: Unit) -> list[Block]:
    """Return the nearest parts of each thing that moves or stands, and what nothing comes near."""
    out: list[Block] = []

    def thing(row: Clear) -> str:
        return row.thing

    rows = tuple(
        (
            row.thing,
            f"{row.mark} {part_name(row.word, row.part)}",
            distance(row.gap, unit),
            distance(row.limit, unit),
            when(row, unit) or "always",
            "yes" if passes(row) else "NO",
        )
        for _, group in groupby(found.near, key=thing)
        for row in list(group)[:NEAREST]
    )
    columns = (
        Column("to", "to"),
        Column("part", "part"),
        Column("gap", f"gap {unit}", True),
        Column("wanted", f"wanted {unit}", True),
        Column("when", "when", True),
        Column("passes", "passes"),
    )
    if rows:
        title = "What moves, and what stands about: the nearest parts over the whole way"
        out.append(Rows(Table("near", title, columns, rows, NOTES), tick=True))
    if found.far:
        out.append(Text(f"Nothing of the rack comes within {spoken(FAR, unit)} of: {', '.join(found.far)}."))
    if not rows and not found.far:
        out.append(Text("No hatch, door, aerial or the like was measured: nothing is known of what moves.", "caution"))
    return out
