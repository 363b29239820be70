"""The shape of one bow over a van: legs up from its feet, and a back of straights that follows the roof's crown.

A bow stands upright through both its feet; seen from ahead its legs may lean inboard. Its back is a row of straights,
each touching the wanted gap over the roof's own section, with a shallow bend from each to the next: the more straights,
the more even the gap.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array, Vec, vec
from rackgen.geom.surface import Roof
from rackgen.spec.foot_place import FootPlace
from rackgen.spec.shop import Die

EVEN = 10.0
COUNTS = (1, 3, 5)
LEAST_BEND = 0.5
ACROSS = 10.0
EDGE = 0.92
"""By how much the gap over the crown may change along a bow that is called even, mm; how many straights a back has,
odd so that its middle is flat; a bend shallower than this is not made, degrees; spacing of the places at which the
roof is felt, mm; how much of its half width counts for its crown, for at the very edge it turns down (common practice,
no source)."""

LIFT = 5.0
MOST_LIFTS = 80
"""Step in which a bow is lifted so that its legs are long enough for the die, mm, and how often at most."""

LEANS = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
"""How far legs may lean inboard so that they are long enough for the die, degrees; upright first."""


@dataclass(frozen=True)
class Bow:
    """One bow, vehicle frame, mm.

    Attributes:
        left: place of its left foot.
        right: place of its right foot.
        points: its axis from the left foot's face to the right one's, at the corners of its bends.
        even: by how much its gap over the roof's crown changes.
        lifted: how much higher than wanted it stands so that the die finds room on its legs.
    """

    left: FootPlace
    right: FootPlace
    points: tuple[Vec, ...]
    even: float
    lifted: float


def bow_shape(
    roof: Roof,
    left: FootPlace,
    right: FootPlace,
    feet: tuple[Vec, Vec],
    gap: float,
    od: float,
    die: Die,
    trim: float,
    least_lift: float = 0.0,
) -> Bow:
    """Return a bow between two feet.

    Args:
        roof: the vehicle's roof.
        left: place of the left foot.
        right: place of the right foot.
        feet: where its legs' axes meet their feet, left and right, vehicle frame.
        gap: wanted between tube and roof.
        od: of the tube.
        die: that bends it.
        trim: left on each end until after bending.
        least_lift: how much higher than wanted it stands at least, so that bows lie in one line.

    The fewest straights are taken that make the gap even within `EVEN`; where the die leaves no room for so many
    bends, as many as it does.
    """
    felt, least = _over(roof, feet, gap, od)
    need = max(die.tail, die.clamp) - trim

    def short(back: list[Array]) -> float:
        return need - min(_leg(feet[0], back[0], back[1], die), _leg(feet[1], back[-1], back[-2], die))

    # Legs lean in as far as that saves height; then the whole bow is lifted.
    tries = ((lean, 0.0) for lean in LEANS), ((LEANS[-1], LIFT * k) for k in range(1, MOST_LIFTS + 1))
    back, even, lifted = list[Array](), 0.0, 0.0
    for lean, more in itertools.chain(*tries):
        lifted = least_lift + more
        back, even = _back(felt, least + lifted, feet, die, lean)
        if short(back) <= 0:
            break
    way = np.subtract(feet[1], feet[0])

    def stands(y: float, z: float) -> Vec:
        return vec((feet[0][0] + float(way[0]) * (y - feet[0][1]) / float(way[1]), y, z))

    return Bow(left, right, (feet[0], *(stands(float(p[0]), float(p[1])) for p in back), feet[1]), even, lifted)


def _back(y: Array, high: Array, feet: tuple[Vec, Vec], die: Die, lean: float) -> tuple[list[Array], float]:
    """Return a bow's corners from shoulder to shoulder, each as y, z, and by how much its gap changes.

    Args:
        y: places across the crown.
        high: how high the axis lies there at least.
        feet: left and right.
        die: that bends it.
        lean: of the legs inboard, degrees.
    """
    best: tuple[list[Array], float] | None = None
    for count in COUNTS:
        points = _corners(_touching(y, high, count, feet[0][1], feet[1][1]), feet, lean)
        if best is not None and not _bendable(points, die, lean):
            break
        ys, zs = np.array(points).T
        there = (y >= ys[0]) & (y <= ys[-1])
        over = np.asarray(np.interp(y[there], ys, zs), dtype=np.float64) - high[there]
        above = float(np.max(over, initial=0.0))
        best = points, above
        if above <= EVEN:
            break
    assert best is not None
    return best


def _leg(foot: Vec, shoulder: Array, inward: Array, die: Die) -> float:
    """Return how long a leg is from its foot to its bend, mm."""
    leg = shoulder - np.asarray(foot[1:])
    run = inward - shoulder
    long = float(np.linalg.norm(leg))
    turn = math.acos(float(np.clip(leg @ run / (long * float(np.linalg.norm(run))), -1.0, 1.0)))
    return long - die.clr * math.tan(turn / 2)


def _over(roof: Roof, feet: tuple[Vec, Vec], gap: float, od: float) -> tuple[Array, Array]:
    """Return places across the crown, and how high the axis lies there at least; alike to both sides of the middle."""
    a, b = feet
    middle = (a[0] + b[0]) / 2
    half = EDGE * min(float(roof.half_width(middle, side)) for side in (-1.0, 1.0))
    half = min(half, abs(a[1]), abs(b[1]))
    y = np.linspace(-half, half, 2 * max(2, round(half / ACROSS)) + 1)
    x = a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
    zx, zy = roof.slope(x, y)
    high = roof.height(x, y) + (gap + od / 2) * np.sqrt(1 + zx**2 + zy**2)
    high = np.fmax(high, high[::-1])
    measured = np.isfinite(high)
    return y[measured], high[measured]


def _touching(y: Array, high: Array, count: int, a: float, b: float) -> list[tuple[float, float]]:
    """Return slope and height at the middle of each straight: each lies on the wanted height, and nowhere below it."""
    curve = -float(np.polyfit(y**2, high, 1)[0]) if np.ptp(y) > 0 else 0.0
    half = min(abs(a), abs(b))
    spots = [0.0] if count == 1 or curve <= 0 else [half * (2 * (k + 0.5) / count - 1) for k in range(count)]
    slopes = [-2 * curve * s for s in spots]
    return [(s, float(np.max(high - s * y))) for s in slopes]


def _corners(lines: Sequence[tuple[float, float]], feet: tuple[Vec, Vec], lean: float) -> list[Array]:
    """Return the shoulders, where the legs meet the back, and where its straights meet one another; each as y, z."""
    off = math.tan(math.radians(lean))

    def shoulder(foot: Vec, line: tuple[float, float], inboard: float) -> Array:
        # The leg: y = foot + inboard * off * (z - foot).
        (s, c), (_, y, z) = line, foot
        up = (s * y + c - z) / (1 - s * inboard * off)
        return np.array((y + inboard * off * up, z + up))

    between = [np.array((y := (d - c) / (s - t), s * y + c)) for (s, c), (t, d) in itertools.pairwise(lines)]
    return [shoulder(feet[0], lines[0], 1.0), *between, shoulder(feet[1], lines[-1], -1.0)]


def _bendable(points: Sequence[Array], die: Die, lean: float) -> bool:
    """Return whether every straight of the back is long enough for the clamp, and every bend is worth making."""
    ways = [b - a for a, b in itertools.pairwise(points)]
    angles = [math.atan2(float(w[1]), float(w[0])) for w in ways]
    upright = math.pi / 2 - math.radians(lean)
    turns = [upright - angles[0], *(a - b for a, b in itertools.pairwise(angles)), upright + angles[-1]]
    backs = [die.clr * math.tan(abs(t) / 2) for t in turns]
    if any(math.degrees(t) < LEAST_BEND for t in turns[1:-1]) or any(float(w[0]) <= 0 for w in ways):
        return False
    long = [float(np.linalg.norm(w)) - a - b for w, (a, b) in zip(ways, itertools.pairwise(backs), strict=True)]
    return min(long) >= die.clamp
