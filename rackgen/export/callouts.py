"""Marks beside a picture: which place of a part is pointed at, and where its mark stands, all in pixels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.marks import Mark

COLUMN = 0.055
"""Width of the column of marks on either side, of the picture's width."""

LINE = 1.5
"""Height of a mark's line, of its letters' height."""


@dataclass(frozen=True)
class Callout:
    """A mark and what it points at; pixels from the lower left corner.

    Attributes:
        mark: the mark.
        at: the place on the part.
        label: middle of the mark's text.
    """

    mark: Mark
    at: tuple[float, float]
    label: tuple[float, float]


def callouts(places: Mapping[Mark, Array], size: tuple[int, int], height: float) -> tuple[Callout, ...]:
    """Return the marks in two columns beside what is drawn, in the order of the places that they point at.

    Args:
        places: of each mark the place on screen that is pointed at, shape (2,); marks that are not seen are left out.
        size: of the picture.
        height: of the letters.
    """
    wide, high = size
    sides: dict[bool, list[Mark]] = {False: [], True: []}
    # Half the marks go to either side, so that neither column is too full.
    order = sorted(places, key=lambda m: (float(places[m][0]), m))
    for n, mark in enumerate(order):
        sides[n >= (len(order) + 1) // 2].append(mark)
    out: list[Callout] = []
    for right, marks in sides.items():
        marks.sort(key=lambda m: (float(places[m][1]), m))
        heights = spaced([float(places[m][1]) for m in marks], LINE * height, height, high - height)
        x = wide * (1.0 - COLUMN / 2) if right else wide * COLUMN / 2
        out += [
            Callout(mark, (float(places[mark][0]), float(places[mark][1])), (x, y))
            for mark, y in zip(marks, heights, strict=True)
        ]
    return tuple(out)


def spaced(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return ascending heights at least a gap apart, as near the wanted ones as bounds and neighbours let them.

    Where there are too many for the bounds, they stand evenly within them.
    """
    if not wanted:
        return []
    if gap * (len(wanted) - 1) >= high - low:
        return [float(v) for v in np.linspace(low, high, len(wanted))]
    out: list[float] = []
    for y in wanted:
        out.append(max(y, out[-1] + gap if out else low))
    top = high
    for k in reversed(range(len(out))):
        out[k] = min(out[k], top)
        top = out[k] - gap
    return out


def pointed(spots: Array, seen: Array) -> Array | None:
    """Return the place of a part that is pointed at: of those that are seen the one nearest their middle.

    Args:
        spots: places of the part on screen, shape (n, 2).
        seen: which of them nothing stands before, shape (n,).
    """
    shown = spots[seen.astype(bool)]
    if not len(shown):
        return None
    off = np.linalg.norm(shown - shown.mean(axis=0), axis=1)
    return np.asarray(shown[int(off.argmin())])
