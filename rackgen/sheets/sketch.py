"""The sketch of a bent tube: what the bender sees beside the running marks, numbered alike."""

from __future__ import annotations

from rackgen.geom import spine
from rackgen.geom.spine import Spine
from rackgen.parts.bend_order import turned_round
from rackgen.parts.kinds import BentTube
from rackgen.sheets.bend_rows import places
from rackgen.sheets.bends import BendSheet
from rackgen.sheets.bent_sketch import Bent, bent_sketch
from rackgen.sheets.drawing import Drawing
from rackgen.sheets.words import degrees, fine, size
from rackgen.units import Unit


def tube_sketch(part: BentTube, sheet: BendSheet, unit: Unit, wide: float = 180.0, high: float = 120.0) -> Drawing:
    """Return the sketch of one bent tube as it is bent, seen from the end that goes into the clamp first.

    Args:
        part: the tube.
        sheet: its bend sheet.
        unit: the shop's.
        wide: room on paper, mm.
        high: the same.
    """
    return bent_sketch(bent_tube(part, sheet, unit), wide, high)


def bent_tube(part: BentTube, sheet: BendSheet, unit: Unit) -> Bent:
    """Return what is drawn of a tube: marks numbered as the rows of its bend sheet, begin at the clamped end."""
    seen = seen_part(part, sheet)
    far = "B" if sheet.end == "A" else "A"
    marks = tuple(
        (on_axis(at, seen.spine, sheet), str(number)) for number, (at, _) in enumerate(places(sheet, unit), 1)
    )
    return Bent(
        line=seen.spine,
        half=seen.section.od / 2,
        ends=(f"end {sheet.end}, first", f"end {far}"),
        bends=tuple(
            f"bend {i}: {degrees(b.angle)}°, CLR {size(b.clr, unit)}" for i, b in enumerate(seen.spine.bends, 1)
        ),
        shown=lambda mm: fine(mm, unit),
        trims=(sheet.trim, sheet.trim),
        marks=marks,
        holes=tuple((h.at, h.clock, h.diameter) for h in seen.holes),
        seam=sheet.seam.clock,
    )


def seen_part(part: BentTube, sheet: BendSheet) -> BentTube:
    """Return the tube as its bend sheet runs."""
    return part if sheet.end == "A" else turned_round(part)


def on_axis(at: float, line: Spine, sheet: BendSheet) -> float:
    """Return where a running mark lies along the bent centreline, mm from its begin.

    The stretch of a bend is shared out evenly over it.
    """
    before = sheet.bends[0].start - line.straights[0]
    s = at - before
    for bend, mark in zip(line.bends, sheet.bends, strict=True):
        used, arc = mark.end - mark.start, spine.arc_length(bend)
        if at <= mark.start:
            break
        s += (arc - used) * min(1.0, (at - mark.start) / used)
    return s
