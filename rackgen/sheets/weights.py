"""What the rack weighs, where its weight hangs, and what each of its groups brings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Vec, vec
from rackgen.parts import measure
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.sheets.shares import Carried


@dataclass(frozen=True)
class PartWeight:
    """Equal parts: what one and all of them weigh, kg."""

    mark: str
    word: str
    quantity: int
    each: float

    @property
    def all(self) -> float:
        """Mass of all of them, kg."""
        return self.each * self.quantity


@dataclass(frozen=True)
class Weights:
    """The rack's weight; without weld metal, coating and load.

    Attributes:
        parts: by mark, in cut-list order.
        groups: first word of the part ids, and the mass of its parts, kg, heaviest first.
        total: kg.
        centre: centre of mass, vehicle frame, mm.
        carried: shares on the mounts, lifts and heights, where they were asked for.
    """

    parts: tuple[PartWeight, ...]
    groups: tuple[tuple[str, float], ...]
    total: float
    centre: Vec
    carried: Carried | None = None


def weights(rack: Rack) -> Weights:
    """Return the masses of a rack and its centre of mass.

    Raises:
        ValueError: the rack has no parts.
    """
    if not rack.placed:
        raise ValueError("a rack without parts weighs nothing and has no centre of mass")
    parts = tuple(
        PartWeight(line.mark, line.placed[0].word, len(line.placed), measure.mass(line.part)) for line in lines(rack)
    )
    groups: dict[str, float] = {}
    moment = np.zeros(3)
    for placed in rack.placed:
        mass = measure.mass(placed.part)
        group = placed.id.partition(".")[0]
        groups[group] = groups.get(group, 0.0) + mass
        moment += mass * np.asarray(placed.frame.point(measure.centroid(placed.part)))
    total = sum(groups.values())
    ranked = tuple(sorted(groups.items(), key=lambda g: (-round(g[1], 6), g[0])))
    return Weights(parts, ranked, total, vec(moment / total))
