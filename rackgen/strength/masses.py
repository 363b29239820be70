"""Mass of what weighs and does not carry, laid on the frame's nodes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts import measure
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.parts.rack import Placed
from rackgen.strength.model import Lump, Node


def lumps_of(placed: Iterable[Placed], nodes: Sequence[Node]) -> tuple[Lump, ...]:
    """Return the mass of parts, each bit of it at the node nearest to it.

    Args:
        placed: the parts.
        nodes: those that may carry; the first of two that are as near.
    """
    places = np.array([n.at for n in nodes])
    carried: dict[str, float] = defaultdict(float)
    for one in placed:
        for point, mass in _bits(one):
            nearest = int(np.argmin(((places - point) ** 2).sum(1)))
            carried[nodes[nearest].id] += mass
    return tuple(Lump(node, mass) for node, mass in sorted(carried.items()))


def _bits(placed: Placed) -> list[tuple[Array, float]]:
    """Return a part's mass in bits small enough to lie where it is: a panel in squares, a long bar in lengths."""
    part, mass = placed.part, measure.mass(placed.part)
    if isinstance(part, CutPlate) and not part.breaks:
        corners = np.array([(v.x, v.y) for v in part.outline])
        low, high = corners.min(axis=0), corners.max(axis=0)
        size = high - low
        shares = [[(i + 0.5) / n for i in range(n)] for n in (max(1, round(float(length) / 100.0)) for length in size)]
        spots = placed.frame.points(
            [(low[0] + u * size[0], low[1] + v * size[1], 0) for u in shares[0] for v in shares[1]]
        )
        return [(spot, mass / len(spots)) for spot in spots]
    if isinstance(part, FoldedBar) and len(part.flats) == 1:
        count = max(1, round(part.flats[0] / 100.0))
        spots = placed.frame.points([((i + 0.5) * part.flats[0] / count, 0.0, 0.0) for i in range(count)])
        return [(spot, mass / count) for spot in spots]
    return [(np.asarray(placed.frame.point(measure.centroid(part))), mass)]
