"""The cut list: what is sawn and cut, from which stock, in which order.

Lengths of tubes are developed lengths along the centreline. The shop's fit-up gap at every coped end is taken off and
the weld shrinkage of bearers is put on, here and in the wraps and nowhere else; each line says by how much. The length
between axes is the design's own, without either, for that is what the tape finds on the finished rack.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, assert_never

import numpy as np

from rackgen.errors import Finding, Level
from rackgen.geom import cope, outline, spine
from rackgen.geom.cope import Cope
from rackgen.parts import measure
from rackgen.parts.hands import called, hands, twins
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.allowance import gapped, move_in, shrinkage, stretch
from rackgen.sheets.flats import flattened
from rackgen.sheets.words import (
    bar_end_words,
    bar_notes,
    bought_notes,
    end_words,
    hole_notes,
    opening_notes,
    tube_notes,
)
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Panel, Perforated
from rackgen.units import Unit

Kind = Literal["tube", "bar", "plate", "mesh", "bought"]


@dataclass(frozen=True)
class CutLine:
    """One line: equal parts of one name and stage. Lengths in mm, not rounded.

    Attributes:
        kind: how they are made.
        stock: name on the shelf; what to order for bought parts.
        mass: of one, kg.
        mark: of the parts.
        word: what the shop calls them.
        quantity: how many.
        stage: when they are cut; 0 for bought parts.
        ids: part ids, sorted.
        saw: length to saw or to cut out of the stock, trim of bent tubes included; 0 for bought parts.
        width: of plates and mesh, across `saw`; 0 for the others.
        long_point: developed length over the longest lines, or over the longer edge of a bar.
        throat: between the deepest points of the outside curves, when an end is coped.
        centres: between the axes landed on, straight tubes with a coped end; a sawn end counts where it stands.
        trim: on each end of a bent tube, cut off after bending.
        gap: taken off `long_point` for fit-up gaps.
        shrinkage: put on `long_point` for weld shrinkage.
        stretch: taken off `saw` because bends lengthen the tube, where the shop has measured by how much.
        ends: what is cut at end A and end B.
        notes: folds, bends, holes.
        hand: "left" or "right" as the driver sits, of mirror images on either side; "" for all others.
    """

    kind: Kind
    stock: str
    mass: float
    mark: str = ""
    word: str = ""
    quantity: int = 0
    stage: int = 0
    ids: tuple[str, ...] = ()
    saw: float = 0.0
    width: float = 0.0
    long_point: float = 0.0
    throat: float | None = None
    centres: float | None = None
    trim: float = 0.0
    gap: float = 0.0
    shrinkage: float = 0.0
    stretch: float = 0.0
    ends: str = ""
    notes: tuple[str, ...] = ()
    hand: str = ""

    @property
    def called(self) -> str:
        """Name and hand."""
        return called(self.word, self.hand)


@dataclass(frozen=True)
class Total:
    """What one line of stock adds up to.

    Attributes:
        stock: name on the shelf.
        kind: how it is made.
        pieces: count.
        length: of tubes and bars as sawn, without kerfs, mm.
        area: of plates' and meshes' boxes, mm².
        mass: of the parts, kg.
    """

    stock: str
    kind: Kind
    pieces: int
    length: float
    area: float
    mass: float


@dataclass(frozen=True)
class CutList:
    """The whole list.

    Attributes:
        unit: the shop's.
        lines: tubes, bars, plates, bought; within each by stage, then mass.
        totals: by stock, in the order of the lines.
        mass: of the whole rack, kg.
    """

    unit: Unit
    lines: tuple[CutLine, ...]
    totals: tuple[Total, ...]
    mass: float


def cut_list(rack: Rack, shop: Shop) -> tuple[CutList, tuple[Finding, ...]]:
    """Return the cut list, and a look for every mark that would be cut to two lengths."""
    out: list[CutLine] = []
    findings: list[Finding] = []
    distinct = lines(rack)
    sides, mirrored = hands(distinct), twins(distinct)
    for line in distinct:
        same: dict[tuple[int, str], list[Placed]] = {}
        for placed in line.placed:
            same.setdefault((placed.stage, placed.word), []).append(placed)
        made = [_line(line, word, stage, placed, shop) for (stage, word), placed in sorted(same.items())]
        if len({round(m.saw, 3) for m in made}) > 1:
            findings.append(_two_lengths(line, made))
        hand, twin = sides.get(line.mark, ""), mirrored.get(line.mark)
        if twin:
            made = [replace(m, hand=hand, notes=(*m.notes, f"mirror image of {twin}")) for m in made]
        out += made
    return CutList(shop.unit, tuple(out), _totals(out), sum(m.mass * m.quantity for m in out)), tuple(findings)


def _two_lengths(line: Line, made: list[CutLine]) -> Finding:
    lengths = " and ".join(f"{m.saw:.1f} mm as {m.word}" for m in made)
    return Finding(
        "mark-two-lengths",
        Level.LOOK,
        tuple(p.id for p in line.placed),
        f"{line.mark} is cut to {lengths}, for shrinkage is added to bearers alone",
        help="write the length beside the mark on the steel",
        keys=("weld_shrinkage",),
    )


def _line(line: Line, word: str, stage: int, placed: list[Placed], shop: Shop) -> CutLine:
    part = line.part
    match part:
        case BentTube():
            made = _tube_line(part, word, shop)
        case FoldedBar():
            made = _bar_line(part, shop)
        case CutPlate():
            made = _plate_line(part, shop)
        case Bought():
            made = CutLine("bought", part.name, measure.mass(part), notes=bought_notes(part.name, shop))
        case _:
            assert_never(part)
    return replace(made, mark=line.mark, word=word, quantity=len(placed), stage=stage, ids=tuple(p.id for p in placed))


def _bar_line(bar: FoldedBar, shop: Shop) -> CutLine:
    flat = flattened(bar, shop.folding)
    long = float(np.ptp(outline.polygon(flat.outline)[:, 0]))
    return CutLine(
        "bar",
        bar.stock.name,
        measure.mass(bar),
        saw=long,
        long_point=long,
        ends=f"{bar_end_words(bar.end_a, shop.unit)} / {bar_end_words(bar.end_b, shop.unit)}",
        notes=bar_notes(bar, tuple(at for at, _ in flat.folds), shop.unit, flat.by),
    )


def _plate_line(plate: CutPlate, shop: Shop) -> CutLine:
    box = np.ptp(outline.polygon(plate.outline), axis=0)
    expanded = isinstance(plate.stock.section, Panel)
    # The long way of expanded metal lies along X; of a plate the longer side is called its length.
    length, width = (float(b) for b in (box if expanded else sorted(box, reverse=True)))
    notes = hole_notes(tuple(h.diameter for h in plate.holes), shop.unit)
    notes += opening_notes(plate.openings, shop.unit)
    if plate.breaks:
        notes += (f"{len(plate.breaks)} {'break' if len(plate.breaks) == 1 else 'breaks'}",)
    if expanded:
        rows = isinstance(plate.stock.section, Perforated)
        notes += ("rows of holes along the first size" if rows else "long way along the first size",)
    return CutLine(
        "mesh" if expanded else "plate",
        plate.stock.name,
        measure.mass(plate),
        saw=length,
        width=width,
        notes=notes,
    )


def _tube_line(tube: BentTube, word: str, shop: Shop) -> CutLine:
    unit, outer, ends = shop.unit, tube.section.od / 2, (tube.end_a, tube.end_b)
    taken = sum(move_in(end, shop.fit_up_gap) for end in ends)
    added = shrinkage(word, *ends, shop.weld_shrinkage)
    # Cuts that take something all round leave a longest line shorter than the spine.
    waste = sum(max(0.0, cope.long_point(end, outer)) for end in ends)
    long = spine.length(tube.spine) - waste - taken + added
    throat = centres = None
    if any(isinstance(cut, Cope) for end in ends for cut in end):
        after_gap = (gapped(end, shop.fit_up_gap) for end in ends)
        throat = spine.length(tube.spine) - taken + added - sum(cope.throat(end, outer) for end in after_gap)
        centres = None if tube.spine.bends else measure.centre_length(tube)
    trim = shop.trim_of(word) if tube.spine.bends else 0.0
    longer = stretch(tube, shop) or 0.0
    return CutLine(
        "tube",
        tube.stock.name,
        measure.mass(tube),
        saw=long + 2 * trim - longer,
        long_point=long,
        throat=throat,
        centres=centres,
        trim=trim,
        gap=taken,
        shrinkage=added,
        stretch=longer,
        ends=f"{end_words(tube.end_a, unit)} / {end_words(tube.end_b, unit)}",
        notes=tube_notes(tube, unit, trim),
    )


def _totals(made: Iterable[CutLine]) -> tuple[Total, ...]:
    same: dict[tuple[Kind, str], list[CutLine]] = {}
    for line in made:
        same.setdefault((line.kind, line.stock), []).append(line)
    return tuple(
        Total(
            stock,
            kind,
            sum(m.quantity for m in group),
            sum(m.saw * m.quantity for m in group) if kind in ("tube", "bar") else 0.0,
            sum(m.saw * m.width * m.quantity for m in group),
            sum(m.mass * m.quantity for m in group),
        )
        for (kind, stock), group in same.items()
    )
