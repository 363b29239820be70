"""Which templates are larger than a page at full size and come in tiles: a note, with the sizes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType

import numpy as np

from rackgen.errors import Finding, Level
from rackgen.geom.outline import polygon
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.sheets.flats import Blank
from rackgen.sheets.tube_ends import cut
from rackgen.sheets.words import fine
from rackgen.spec.paper import PaperSize
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet

LARGEST = 600.0
"""Plates longer than this are laid out with tape and square, mm (common practice, no source)."""

TAB = 9.0
"""Width of the tab of a wrap that is glued under the other edge, mm."""

PRINTED: Mapping[PaperSize, tuple[float, float]] = MappingProxyType({"A4": (182.0, 205.0), "letter": (187.9, 187.0)})
"""What of a page is left for a template beside margins, check bars, title and notes, mm."""

AROUND = 20.0
"""What dimensions and words beside a template add to its width and to its height, mm."""


def has_template(plate: CutPlate) -> bool:
    """Return whether a plate is of sheet and small enough to be laid out by a template; expanded metal has none."""
    return isinstance(plate.stock.section, Sheet) and float(np.ptp(polygon(plate.outline), axis=0).max()) <= LARGEST


def is_marked(bar: FoldedBar) -> bool:
    """Return whether there is anything to mark on a bar: a fold or a hole."""
    return bool(bar.folds or bar.holes)


def fits(wide: float, high: float, paper: PaperSize) -> bool:
    """Return whether a piece goes on one page with what is written beside it, upright or turned, mm."""
    a, b = PRINTED[paper]
    w, h = wide + AROUND, high + AROUND
    return (w <= a and h <= b) or (h <= a and w <= b)


def tiled(rack: Rack, flat: Iterable[Blank], shop: Shop, size: PaperSize | None = None) -> tuple[Finding, ...]:
    """Return a note naming every template that does not go on one page.

    Args:
        rack: the rack.
        flat: its blanks.
        shop: for its paper.
        size: of the pages, None for the shop's own.
    """
    paper, unit = size or shop.paper.size, shop.unit
    blanks = {b.mark: b for b in flat}
    found = [
        (line, piece)
        for line in lines(rack)
        if (piece := _size(line, blanks, shop.paper.thickness)) is not None and not fits(*piece, paper)
    ]
    if not found:
        return ()
    said = ", ".join(f"{line.mark} {fine(w, unit)} × {fine(h, unit)}" for line, (w, h) in found)
    a, b = PRINTED[paper]
    return (
        Finding(
            "template-tiled",
            Level.NOTE,
            tuple(p.id for line, _ in found for p in line.placed),
            f"templates larger than one {paper} page prints at full size ({fine(a, unit)} × {fine(b, unit)} {unit}) "
            f"come in tiles: {said}",
            got=max(max(piece) for _, piece in found),
            limit=b,
            keys=("paper.size",),
            help="join the tiles on their numbered crosses and measure the check bars before cutting",
        ),
    )


def _size(line: Line, blanks: Mapping[str, Blank], thickness: float) -> tuple[float, float] | None:
    """Return width and height of a line's largest template without what is written beside it, mm; None without one."""
    part = line.part
    if isinstance(part, BentTube):
        # How high a wrap is counts only where its girth is near a page's width; then it is about the girth again.
        girth = math.pi * (part.section.od + thickness) + TAB
        return (girth, girth / 2) if cut(part.end_a) or cut(part.end_b) else None
    if (isinstance(part, CutPlate) and has_template(part)) or (isinstance(part, FoldedBar) and is_marked(part)):
        wide, high = np.ptp(polygon(blanks[line.mark].outline), axis=0)
        return float(wide), float(high)
    return None
