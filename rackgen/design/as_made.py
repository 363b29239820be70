"""Parts as they come off the saw, the bender and the vice: every size that may come out a little other than drawn.

A deviation is what was made less what was drawn. Spreads are standard deviations.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BentTube, FoldedBar, Part
from rackgen.parts.rack import PartId, Rack
from rackgen.spec.shop import BOW
from rackgen.spec.spread import Spreads

Kind = Literal["straight", "bend", "turn", "flat", "fold", "pull", "crown", "drop", "scan", "face", "lean"]


@dataclass(frozen=True)
class Source:
    """One size that may come out other than drawn.

    Attributes:
        owner: part id, joint id, or the place on the vehicle that was measured.
        kind: what of it; "scan" stands for all readings of a scanned roof together where they are ranked.
        index: which straight, bend, flat, fold, station or reading, 0 first.
        spread: standard deviation, mm or degrees.
    """

    owner: str
    kind: Kind
    index: int
    spread: float

    @property
    def unit(self) -> Literal["mm", "deg"]:
        """Unit of the spread."""
        return "deg" if self.kind in ("bend", "turn", "fold", "lean") else "mm"


Deviations = Mapping[Source, float]
"""By how much each source came out other than drawn; what is not named came out as drawn."""


def part_sources(rack: Rack, spreads: Spreads) -> tuple[Source, ...]:
    """Return every size of the rack's tubes and bars that may deviate, in order of the parts."""
    out: list[Source] = []
    for placed in rack.placed:
        part = placed.part
        if isinstance(part, BentTube):
            out += [Source(placed.id, "straight", i, spreads.length) for i in range(len(part.spine.straights))]
            out += _bend_sources(placed.id, part.spine, spreads, trued=placed.word == BOW)
        elif isinstance(part, FoldedBar):
            out += [Source(placed.id, "flat", i, spreads.length) for i in range(len(part.flats))]
            out += [Source(placed.id, "fold", i, spreads.fold) for i in range(len(part.folds))]
    return tuple(out)


def _bend_sources(owner: PartId, line: Spine, spreads: Spreads, *, trued: bool) -> list[Source]:
    """Return bends and turns; those next to an end are off by no more than the leg's end may be after squaring.

    A bow is trued flat on the table and to its spread, so that none of its bends throws an end off farther.
    """
    last = len(line.bends) - 1
    out: list[Source] = []
    runs = list(itertools.accumulate(line.straights))
    for i in range(len(line.bends)):
        legs = [line.straights[end] for at, end in ((0, 0), (last, -1)) if i == at]
        if trued:
            legs = [min(runs[i], runs[-1] - runs[i])]
        square = math.degrees(spreads.square / max(*legs, 1.0)) if legs else math.inf
        out.append(Source(owner, "bend", i, min(spreads.bend, square)))
        if i:
            out.append(Source(owner, "turn", i, min(spreads.turn, square)))
    return out


def as_made(part: Part, owner: PartId, deviations: Deviations) -> Part:
    """Return the part with its deviations; one that would not exist keeps its least size.

    Args:
        part: as drawn.
        owner: its id.
        deviations: those of other owners are left aside.
    """
    mine = {(s.kind, s.index): d for s, d in deviations.items() if s.owner == owner}
    if not mine:
        return part
    if isinstance(part, BentTube):
        straights = tuple(max(0.0, s + mine.get(("straight", i), 0.0)) for i, s in enumerate(part.spine.straights))
        bends = tuple(
            Bend(b.angle + mine.get(("bend", i), 0.0), b.clr, b.turn + mine.get(("turn", i), 0.0))
            for i, b in enumerate(part.spine.bends)
        )
        return dataclasses.replace(part, spine=Spine(straights, bends))
    if isinstance(part, FoldedBar):
        flats = tuple(max(0.0, f + mine.get(("flat", i), 0.0)) for i, f in enumerate(part.flats))
        folds = tuple(
            dataclasses.replace(f, angle=f.angle + mine.get(("fold", i), 0.0)) for i, f in enumerate(part.folds)
        )
        return dataclasses.replace(part, flats=flats, folds=folds)
    return part
