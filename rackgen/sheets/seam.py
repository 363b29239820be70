"""Where the weld seam of a tube goes when it is bent: beside the bend, where metal is neither stretched nor pressed.

Common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NEAR_HOLE = 30.0
"""A seam nearer to a hole's clock than this is put elsewhere if it can be, degrees."""


@dataclass(frozen=True)
class Seam:
    """A seam's place.

    Attributes:
        clock: degrees in [0, 360).
        off: of the neutral line of the sharp bend that it suits least, degrees in [0, 90].
    """

    clock: float
    off: float


GENTLE = 0.5
"""Bends of less than this share of the sharpest one's angle have no say."""


def seam(bends: tuple[tuple[float, float], ...], holes: tuple[float, ...]) -> Seam:
    """Return where the seam goes: nearest to the neutral line of every sharp bend, then clear of the holes.

    Args:
        bends: clock that comes inside each bend, and its angle, degrees.
        holes: clocks of holes, degrees.
    """
    sharpest = max((angle for _, angle in bends), default=0.0)
    sharp = [clock for clock, angle in bends if angle >= GENTLE * sharpest]

    def off(clock: float) -> float:
        return max((_off_neutral(clock - b) for b in sharp), default=0.0)

    def from_holes(clock: float) -> float:
        apart = min((abs((clock - h + 180.0) % 360.0 - 180.0) for h in holes), default=180.0)
        return min(apart, NEAR_HOLE)

    best = min((float(c) for c in range(360)), key=lambda c: (round(off(c), 6), -from_holes(c), c))
    return Seam(best, off(best))


def _off_neutral(degrees: float) -> float:
    """Return how far a line at this angle from the inside of a bend is off its neutral line, degrees."""
    return math.degrees(math.asin(min(1.0, abs(math.cos(math.radians(degrees))))))
