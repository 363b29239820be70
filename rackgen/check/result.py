"""What a check hands on besides its findings: the gap of every part to the roof."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.geom.frame import Vec
from rackgen.parts.marks import Mark
from rackgen.parts.rack import PartId


@dataclass(frozen=True)
class Gap:
    """How far one part stays from the roof.

    Attributes:
        part: its id.
        mark: its mark.
        word: what the shop calls it.
        gap: least distance from the roof's skin, mm, negative below it; None where it is not over the measured roof.
        at: the place of the part where that is, vehicle frame, mm; None where `gap` is.
        limit: the gap that it is held to, mm; None for what sits on the body by design.
    """

    part: PartId
    mark: Mark
    word: str
    gap: float | None
    at: Vec | None
    limit: float | None


@dataclass(frozen=True)
class CheckResult:
    """The numbers of a check.

    Attributes:
        gaps: of every part, bought ones included, nearest the roof first, those not over the roof last.
    """

    gaps: tuple[Gap, ...]
