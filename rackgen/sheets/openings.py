"""Vents, drains and caps: which tube breathes where, and which side it looks to on the vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom import spine
from rackgen.geom.frame import clock_direction
from rackgen.parts.kinds import BentTube, Bought, CapShape
from rackgen.parts.marks import marks
from rackgen.parts.rack import Rack
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, size
from rackgen.units import Unit

SIDES = (((0, 0, -1), "down"), ((0, 0, 1), "up"), ((-1, 0, 0), "front"), ((1, 0, 0), "rear"), ((0, -1, 0), "left"),
         ((0, 1, 0), "right"))  # fmt: skip
"""Directions of the vehicle frame and what they are called."""


@dataclass(frozen=True)
class Opening:
    """Equal holes of equal tubes.

    Attributes:
        mark: of the tube.
        word: what the shop calls it.
        quantity: how many tubes.
        purpose: "vent" or "drain".
        diameter: mm.
        at: from end A as sawn, trimmed, mm.
        clock: degrees.
        looks: where it looks to on the vehicle, one word for each of the tubes' ways, "down" first.
    """

    mark: str
    word: str
    quantity: int
    purpose: str
    diameter: float
    at: float
    clock: float
    looks: tuple[str, ...]


def openings(rack: Rack) -> tuple[Opening, ...]:
    """Return every vent and drain, equal ones together, in cut-list order."""
    named = marks(rack)
    found: dict[tuple[str, str, str, float, float, float], list[str]] = {}
    for placed in rack.placed:
        if not isinstance(placed.part, BentTube):
            continue
        for hole in placed.part.holes:
            if hole.purpose == "plug weld":
                continue
            here = placed.frame.then(spine.frame_at(placed.part.spine, hole.at))
            way = np.asarray(here.direction(clock_direction(hole.clock)))
            looks = max(SIDES, key=lambda s: float(np.asarray(s[0]) @ way))[1]
            key = (named[placed.id], placed.word, hole.purpose, hole.diameter, round(hole.at, 3), round(hole.clock, 2))
            found.setdefault(key, []).append(looks)
    rows = [
        Opening(mark, word, len(looks), purpose, diameter, at, clock,
                tuple(s for _, s in SIDES if s in looks))
        for (mark, word, purpose, diameter, at, clock), looks in found.items()
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda o: (o.mark[0], int(o.mark[1:]), o.at, o.clock)))


def caps(rack: Rack) -> tuple[tuple[str, int], ...]:
    """Return every kind of end cap as it is ordered, and how many."""
    names = [p.part.name for p in rack.placed if isinstance(p.part, Bought) and isinstance(p.part.shape, CapShape)]
    return tuple((name, names.count(name)) for name in dict.fromkeys(names))


def openings_table(found: Sequence[Opening], unit: Unit) -> Table:
    """Return vents and drains as rows."""
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("quantity", "tubes", True),
        Column("purpose", "what"),
        Column("diameter", f"hole {unit}", True),
        Column("at", f"from end A {unit}", True),
        Column("clock", "clock", True),
        Column("looks", "looks on the vehicle"),
    )
    rows = tuple(
        (o.mark, o.word, str(o.quantity), o.purpose, size(o.diameter, unit), fine(o.at, unit), degrees(o.clock),
         " or ".join(o.looks))
        for o in found
    )  # fmt: skip
    return Table("openings", "Vents and drains, open before any heat", columns, rows)
