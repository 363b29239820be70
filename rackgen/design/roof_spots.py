"""Where the roof is felt by a rack, and what each reading of it counts there.

A roof is a cubic across and a cubic fore and aft: what it is off by at a place is linear in what its readings are off
by. So gaps need their slope to the few places that are felt, not to every reading, of which a scan has hundreds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.design.as_made import Source
from rackgen.design.fit_up import Bench
from rackgen.design.settle import Height, Truth, over_straps
from rackgen.geom.frame import Array
from rackgen.geom.spline import Cubic
from rackgen.geom.surface import Roof
from rackgen.parts.kinds import CutPlate


@dataclass(frozen=True, eq=False)
class Spots:
    """Places on the roof.

    Attributes:
        x: aft of the datum, mm, shape (n,).
        y: to the right, mm, shape (n,).
    """

    x: Array
    y: Array


def felt(on: Bench) -> Spots:
    """Return where a rack as drawn feels the roof: under the holes of its mount plates, and where its rear is held."""
    found: list[Array] = []
    for placed in on.rack.placed:
        if placed.word == "mount plate" and isinstance(placed.part, CutPlate):
            holes = [(h.x, h.y, 0.0) for h in placed.part.holes] or [(0.0, 0.0, 0.0)]
            found.append(placed.frame.points(holes))
    found += [np.array([on.drawn(p).origin]) for p in over_straps(on)]
    every = np.concatenate(found) if found else np.zeros((0, 3))
    roof = on.vehicle.roof
    x = np.clip(every[:, 0], roof.sections[0].x, roof.sections[-1].x)
    side = roof.half_width(x, every[:, 1])
    return Spots(x, np.clip(every[:, 1], -side, side))


def bumped(roof: Roof, spots: Spots, which: int, by: float) -> Truth:
    """Return a roof that is higher by some mm about one of the spots, up to half way to the others."""

    def height(x: ArrayLike, y: ArrayLike) -> Array:
        far = np.hypot(np.subtract.outer(x, spots.x), np.subtract.outer(y, spots.y))
        return roof.height(x, y) + by * (np.argmin(far, axis=-1) == which)

    as_height: Height = height
    return Truth(as_height)


def counts(roof: Roof, spots: Spots, sources: Sequence[Source]) -> Array:
    """Return how much higher the roof is at each spot for each mm that its readings are off, shape (sources, n).

    Args:
        roof: as measured.
        spots: where it is felt.
        sources: readings of it: a station's crown, which all of its heights follow, or one drop.
    """
    share = Cubic([s.x for s in roof.sections], np.eye(len(roof.sections)))(spots.x)
    across = [Cubic(s.ys, np.eye(len(s.ys)))(spots.y) for s in roof.sections]
    rows: list[Array] = []
    for source in sources:
        station = station_of(source)
        one = 1.0 if source.kind == "crown" else across[station][:, source.index]
        rows.append(share[:, station] * one)
    return np.array(rows).reshape(len(sources), len(spots.x))


def station_of(source: Source) -> int:
    """Return the number of the station that a reading belongs to, from 0."""
    return source.index if source.kind == "crown" else int(source.owner[len("roof.station[") : -1]) - 1
