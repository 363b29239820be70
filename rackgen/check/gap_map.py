"""The clearance over the roof in plan: of every place under the rack the least gap of what stands over it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rackgen.check.clearance import on_the_body, roof_gap
from rackgen.check.result import Gap
from rackgen.geom.surface import Roof
from rackgen.mesh.points import points
from rackgen.parts.rack import Rack

CELL = 20.0
"""Size of a place, mm."""

SPACING = 10.0
"""Spacing of the points that are looked at, mm."""

TIGHTEST = 5
"""How many parts are named."""


@dataclass(frozen=True)
class GapMap:
    """Gaps to the roof in plan; mm.

    Attributes:
        x: aft, of the first row's front edge.
        y: to the right, of the first column's left edge.
        cell: size of a place.
        rows: front to rear, of each the places from left to right: the least gap, or None where nothing of the rack
            stands over the measured roof.
        tight: the tightest parts of those that are held to a gap, the tightest first.
    """

    x: float
    y: float
    cell: float
    rows: tuple[tuple[float | None, ...], ...]
    tight: tuple[Gap, ...]


@lru_cache(maxsize=4)
def gap_map(rack: Rack, roof: Roof, gaps: tuple[Gap, ...]) -> GapMap:
    """Return the map of a rack; what sits on the body by design is left out.

    Args:
        rack: the rack.
        roof: under it.
        gaps: of every part, as the check has them.
    """
    clouds = [p.frame.points(points(p.part, SPACING)) for p in rack.placed if not on_the_body(p)]
    tight = tightest(gaps)
    if not clouds:
        return GapMap(0.0, 0.0, CELL, (), tight)
    cloud = np.concatenate(clouds)
    cloud = cloud[np.isfinite(roof.height(cloud[:, 0], cloud[:, 1]))]
    if not len(cloud):
        return GapMap(0.0, 0.0, CELL, (), tight)
    # The middle column lies over the middle, so that a rack alike on both sides is drawn alike.
    cells = np.floor(cloud[:, :2] / CELL + 0.5).astype(int)
    low = cells.min(axis=0)
    count = cells.max(axis=0) - low + 1
    place = (cells[:, 0] - low[0]) * count[1] + cells[:, 1] - low[1]
    # Of each place only the lowest points can be the nearest to a roof that slopes gently within it.
    least = np.full(int(count[0] * count[1]), np.inf)
    drop = cloud[:, 2] - roof.height(cloud[:, 0], cloud[:, 1])
    np.minimum.at(least, place, drop)
    near = drop <= least[place] + CELL / 2
    out = np.full(len(least), np.inf)
    np.minimum.at(out, place[near], roof_gap(cloud[near], roof))
    rows = [
        tuple(round(float(g), 1) + 0.0 if math.isfinite(g) else None for g in row)
        for row in out.reshape(int(count[0]), int(count[1]))
    ]
    return GapMap(float((low[0] - 0.5) * CELL), float((low[1] - 0.5) * CELL), CELL, tuple(rows), tight)


def tightest(gaps: tuple[Gap, ...]) -> tuple[Gap, ...]:
    """Return the parts nearest the roof of those that are held to a gap; the check has the nearest first."""
    return tuple(g for g in gaps if g.limit is not None and g.gap is not None)[:TIGHTEST]
