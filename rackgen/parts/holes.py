"""Holes of one tube that would run into one another."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rackgen.parts.kinds import TubeHole

WEB = 1.0
"""Metal between the edges of two holes, mm: less breaks out under the drill (common practice, no source)."""

RANK = {"plug weld": 0, "vent": 1, "drain": 2}
"""Whose hole stays: a plug weld's always, and a vent before a drain."""


def apart(holes: Sequence[TubeHole], outer: float) -> tuple[TubeHole, ...]:
    """Return the holes in their order, without vents and drains that another vent or drain already stands for.

    Two branches that land beside one another on the same line open into the header through one hole.

    Args:
        holes: of one tube.
        outer: its outside radius, mm.
    """
    kept: list[TubeHole] = []
    for hole in sorted(holes, key=lambda h: RANK[h.purpose]):
        if hole.purpose == "plug weld" or not any(
            other.purpose != "plug weld" and _meet(hole, other, outer) for other in kept
        ):
            kept.append(hole)
    return tuple(h for h in holes if any(h is k for k in kept))


def _meet(a: TubeHole, b: TubeHole, outer: float) -> bool:
    turned = math.radians((a.clock - b.clock + 180.0) % 360.0 - 180.0)
    return math.hypot(a.at - b.at, outer * turned) < (a.diameter + b.diameter) / 2 + WEB
