"""Which of a roof's readings does not go with the others, by leaving each out and asking the rest what it should be.

What a roof may look like is put as a covariance: how far two readings of a roof nobody has seen yet go together. A low
polynomial, broad in all its terms, carries the crown; what runs fore and aft at one place across (ribs, a gutter), what
changes from station to station, and shallow dents are added with the few millimetres that they have. Given that, the
other readings say what one should be and how sure they are of it, in closed form (leave-one-out of a Gaussian process:
Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, eq. 5.12, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.geom.frame import Array

TAPE = 1.2
"""Spread of a reading on a roof, mm: its rounding to 1/16 in or 1 mm, a tape's thickness, and its place a few
millimetres off on a slope (common practice, no source)."""

LEAST = 11.0
SIGMAS = 6.0
"""A reading is doubted that is farther than this from what the others say: mm, and times how sure they are of it."""

SMOOTHEST = 0.4
"""Share of the foreseen roughness that no roof is taken to be smoother than, however well its readings agree."""

ALONG = 0.6
"""The same of the heights along the middle, of which there are few."""

FEWEST = 3
"""Readings that cannot hold one of them to the others."""

MOST = 400
"""Readings that are held against each other at once."""


Indexes = NDArray[np.intp]


@dataclass(frozen=True)
class Odd:
    """A reading that does not go with the others.

    Attributes:
        index: which.
        around: what the others say it should be, mm.
        spread: of what they say, the reading's own included, mm.
    """

    index: int
    around: float
    spread: float


def odd_heights(x: ArrayLike, heights: ArrayLike) -> tuple[Odd, ...]:
    """Return the heights along the crown that do not go with the others.

    Toward an end a roof may fall away as steeply as it likes, to a windscreen or a spoiler: there only a height that is
    too high is odd.

    Args:
        x: where they were read, mm, increasing.
        heights: mm, upward.
    """
    t = np.asarray(x, dtype=float) / 1000.0
    cover = _crown_cover(t) + TAPE**2 * np.eye(len(t))
    return tuple(_odd(cover, np.asarray(heights, dtype=float), ALONG, ends_fall=True))


def spread_at(x: ArrayLike, y: ArrayLike, at: tuple[float, float]) -> float:
    """Return how sure the height of a place on the roof is from readings round it, one standard deviation, mm.

    Whoever measured has seen whether there are ribs, and read on and beside them; here none is taken to lie between.

    Args:
        x: of the readings of drops, mm; a crown's height was read at each of these stations.
        y: of the readings of drops, negative to the left, mm.
        at: the place, mm.
    """
    xs, ys = np.asarray(x, dtype=float) / 1000.0, np.asarray(y, dtype=float) / 1000.0
    near = np.argsort(np.hypot(xs - at[0] / 1000.0, ys - at[1] / 1000.0), kind="stable")[:MOST]
    drops = _roof_cover(np.append(xs[near], at[0] / 1000.0), np.append(ys[near], at[1] / 1000.0), ribs=False)
    stations = np.unique(xs[near])
    crowns = _crown_cover(np.append(stations, at[0] / 1000.0))
    return SMOOTHEST * float(np.sqrt(_left_open(drops) + _left_open(crowns)))


def _left_open(cover: Array) -> float:
    """Return the variance of the last value once the others have been read."""
    read = cover[:-1, :-1] + TAPE**2 * np.eye(len(cover) - 1)
    return float(cover[-1, -1] - cover[-1, :-1] @ np.linalg.solve(read, cover[:-1, -1]))


def odd_drops(x: ArrayLike, y: ArrayLike, drops: ArrayLike) -> tuple[Odd, ...]:
    """Return the drops across the roof that do not go with the others.

    Args:
        x: of their stations, mm.
        y: where they were read across, negative to the left, mm.
        drops: below the bar across, mm.
    """
    xs, ys, zs = (np.asarray(v, dtype=float) for v in (x, y, drops))
    out: list[Odd] = []
    for some in _lots(xs):
        cover = _roof_cover(xs[some] / 1000.0, ys[some] / 1000.0) + TAPE**2 * np.eye(len(some))
        found = _odd(cover, zs[some], SMOOTHEST, ends_fall=False)
        out += [Odd(int(some[o.index]), o.around, o.spread) for o in found]
    return tuple(out)


def _lots(x: Array) -> Iterator[Indexes]:
    """Return the readings in runs of whole stations, none of more than `MOST` where stations allow it."""
    order = np.argsort(x, kind="stable")
    start = 0
    while start < len(x):
        end = min(start + MOST, len(x))
        if end < len(x):
            whole = np.flatnonzero(np.diff(x[order[start : end + 1]]) > 0)
            end = start + int(whole[-1]) + 1 if len(whole) else end
        yield order[start:end]
        start = end


def _crown_cover(at: Array) -> Array:
    """Return how far the heights along the middle of some roof go together, mm²; places in metres."""
    t = at - (at.min() + at.max()) / 2
    return sum((s**2 * np.outer(t**n, t**n) for n, s in enumerate((500.0, 200.0, 120.0, 30.0))), _bell(t, t, 0.4, 3.0))


def _roof_cover(x: Array, y: Array, *, ribs: bool = True) -> Array:
    """Return how far the drops of some roof go together, mm²; x and y in metres; with ribs and gutters or without."""
    t, v = x - (x.min() + x.max()) / 2, y / 0.6
    # Of drops at the edge, 0.6 m out: crown, steep edges, tilt, and their change along the roof.
    terms = ((v**2, 150.0), (v**4, 80.0), (v**6, 30.0), (v, 20.0), (v**3, 8.0), (t * v, 10.0), (t * v**2, 40.0),
             (t * v**4, 20.0), (t**2 * v**2, 40.0), (t**3 * v**2, 20.0))  # fmt: skip
    cover = sum((s**2 * np.outer(f, f) for f, s in terms), np.zeros((len(x), len(x))))
    side, far = np.abs(y), v**2
    if ribs:
        cover += _bell(side, side, 0.05, 9.0) + _bell(y, y, 0.05, 4.0)
    cover += np.outer(far, far) * _bell(x, x, 0.25, 6.0) + np.outer(v, v) * _bell(x, x, 0.02, 4.0)
    return cover + _bell(x, x, 0.25, 1.0) * _bell(y, y, 0.15, 3.0)


def _bell(a: Array, b: Array, reach: float, spread: float) -> Array:
    """Return the covariance of what changes smoothly over `reach`, with a spread of its own."""
    return spread**2 * np.exp(-0.5 * ((a[:, None] - b[None, :]) / reach) ** 2)


def _odd(cover: Array, values: Array, least: float, *, ends_fall: bool) -> Iterator[Odd]:
    """Return the odd ones, the worst first; each is taken out before the others are asked again.

    Args:
        cover: covariance of the readings, mm².
        values: as read, mm.
        least: share of the foreseen spread that the others are taken to be sure within, at best.
        ends_fall: whether the first and the last of them may be as low as they like.
    """
    left = np.arange(len(values))
    while len(left) > FEWEST:
        off, spread = _alone(cover, values, left)
        # A wrong reading spoils what its neighbours are told too, but none more than itself for how sure that is.
        worst = int(np.argmax(np.abs(off) / spread))
        if abs(off[worst]) <= LEAST:
            return
        # How well the rest go together says how rough this roof is, and so how sure they are of the one in doubt.
        rest = np.delete(left, worst)
        others, foreseen = _alone(cover, values, rest)
        rough = max(least, 1.4826 * float(np.median(np.abs(others) / foreseen)))
        sure = max(TAPE, rough * float(spread[worst]))
        if abs(off[worst]) <= SIGMAS * sure:
            return
        index = int(left[worst])
        if not (ends_fall and worst in (0, len(left) - 1) and off[worst] < 0):
            yield Odd(index, float(values[index] - off[worst]), sure)
        left = rest


def _alone(cover: Array, values: Array, left: Indexes) -> tuple[Array, Array]:
    """Return how far each reading is from what the others that are left say of it, and the spread of that."""
    inverse = np.linalg.inv(cover[np.ix_(left, left)])
    alone = 1.0 / np.diag(inverse)
    return (inverse @ values[left]) * alone, np.sqrt(alone)
