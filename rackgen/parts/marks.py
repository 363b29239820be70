"""Marks: the short names that equal parts share on paper and steel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import assert_never

from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part
from rackgen.parts.measure import mass
from rackgen.parts.rack import PartId, Placed, Rack

Mark = str
"""T1 for tubes, B1 for bars, P1 for plates and panels, H1 for bought hardware, in cut-list order."""


@dataclass(frozen=True)
class Line:
    """Equal parts.

    Attributes:
        mark: their mark.
        part: their one description.
        placed: all of them, by id.
    """

    mark: Mark
    part: Part
    placed: tuple[Placed, ...]


def letter(part: Part) -> str:
    """Return the letter of a part's kind."""
    match part:
        case BentTube():
            return "T"
        case FoldedBar():
            return "B"
        case CutPlate():
            return "P"
        case Bought():
            return "H"
        case _:
            assert_never(part)


def lines(rack: Rack) -> tuple[Line, ...]:
    """Return the distinct parts in cut-list order: tubes, bars, plates, bought; within each by stage, then mass."""
    same: dict[Part, list[Placed]] = {}
    for placed in sorted(rack.placed, key=lambda p: p.id):
        same.setdefault(placed.part, []).append(placed)
    ranked = sorted(
        same.items(),
        key=lambda item: ("TBPH".index(letter(item[0])), min(p.stage for p in item[1]), -mass(item[0]), item[1][0].id),
    )
    out: list[Line] = []
    counts: dict[str, int] = {}
    for part, placed in ranked:
        kind = letter(part)
        counts[kind] = counts.get(kind, 0) + 1
        out.append(Line(f"{kind}{counts[kind]}", part, tuple(placed)))
    return tuple(out)


def marks(rack: Rack) -> Mapping[PartId, Mark]:
    """Return the mark of every part."""
    return {placed.id: line.mark for line in lines(rack) for placed in line.placed}
