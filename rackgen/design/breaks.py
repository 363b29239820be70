"""How many shallow breaks a mount plate needs to lie on the roof, and how steep."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from rackgen.geom.breaks import Break, folded_frame
from rackgen.geom.frame import Array, Frame

Skin = Callable[[Array, Array], Array]
"""Height of the skin at x and y, vehicle frame, mm; NaN where it was not measured."""

GAP = 1.0
STEEPEST = 5.0
STEP = 0.1
"""Gap that no break is needed for, mm; the steepest break and the steps of breaks, degrees (common practice, no
source)."""

GRID = 13


def breaks_for(
    skin: Skin, frame: Frame, half_x: float, half_y: float, bedding: float
) -> tuple[tuple[Break, ...], tuple[tuple[str, float], ...]]:
    """Return the breaks of a plate on the roof: none while its gap is under `GAP`, then the best one, then two.

    Args:
        skin: the measured surface.
        frame: the plate's frame on its bedding, vehicle frame.
        half_x: half the plate along its X, mm.
        half_y: half along its Y, mm.
        bedding: mm.

    Returns:
        The breaks, and a text with its gap where the gap stays over `GAP` all the same.
    """
    places = _grid(half_x, half_y)
    flat = under_plate(skin, frame, (), places, -bedding) * frame.z[2]
    measured = np.isfinite(flat)
    if not measured.all():
        return (), ()
    u, v = np.abs(places).T

    def gap(along: int, across: int) -> float:
        """Return the gap with breaks of so many steps; what turning moves sideways is nothing on so shallow a slope."""
        slopes = (math.tan(math.radians(k * STEP) / 2) for k in (along, across))
        off = flat - sum(slope * far for slope, far in zip(slopes, (u, v), strict=True))
        return float(off.max() - off.min())

    if gap(0, 0) < GAP:
        return (), ()
    one = min((_steepness(lambda k: gap(k, 0)), 0), (0, _steepness(lambda k: gap(0, k))), key=lambda t: gap(*t))
    best = one
    if gap(*one) >= GAP:
        along, across = one
        for _ in range(2):
            across = _steepness(lambda k, a=along: gap(a, k))
            along = _steepness(lambda k, a=across: gap(k, a))
        # A break more is worth its while only where it does better.
        best = min(((0, 0), one, (along, across)), key=lambda t: (round(gap(*t), 1), sum(k != 0 for k in t)))
    breaks = _lines(*best)
    under = under_plate(skin, frame, breaks, places, -bedding)
    left = float(under.max() - under.min())
    if left < GAP:
        return breaks, ()
    (bears_x, bears_y, _), (open_x, open_y, _) = (
        frame.point((*places[k].tolist(), 0.0)) for k in (int(under.argmin()), int(under.argmax()))
    )
    text = (
        f"the plate leaves a gap of {left:.1f} mm to the roof: it bears at x {bears_x:.0f}, y {bears_y:.0f} and stands "
        f"open at x {open_x:.0f}, y {open_y:.0f}"
    )
    return breaks, ((text, left),)


def _grid(half_x: float, half_y: float) -> Array:
    xs, ys = np.linspace(-half_x, half_x, GRID), np.linspace(-half_y, half_y, GRID)
    return np.array([(x, y) for x in xs for y in ys])


def _lines(along: int, across: int) -> tuple[Break, ...]:
    """Return the breaks of so many steps: one that lets the plate fall away along its X, one along its Y."""
    both = ((along, 90.0), (across, 0.0))
    return tuple(Break((0.0, 0.0), way, round(steps * STEP, 1)) for steps, way in both if steps)


def _steepness(gap: Callable[[int], float]) -> int:
    """Return the steps of a break that leave the least gap.

    The gap is a convex function of the slope, so that a search by halves finds it.
    """
    most = round(STEEPEST / STEP)
    low, high = -most, most
    while high - low > 2:
        a = (low + high) // 2
        if gap(a) <= gap(a + 1):
            high = a + 1
        else:
            low = a
    return min(range(low, high + 1), key=lambda k: (gap(k), abs(k)))


def under_plate(
    skin: Skin, frame: Frame, breaks: tuple[Break, ...], places: Array, z: float, thickness: float = 0.0
) -> Array:
    """Return how high points of a plate or its bedding lie above the skin, plumb, mm; negative inside it.

    Args:
        skin: the surface.
        frame: the plate's frame, vehicle frame.
        breaks: of the plate.
        places: of its flat blank, shape (n, 2), mm.
        z: of the points in the plate's frame: of a bedding under it, less than nothing, mm.
        thickness: of the plate, at whose middle it is broken, mm.
    """
    flat = np.column_stack([places, np.full(len(places), z)])
    under = np.empty_like(flat)
    # Places on the same side of every break belong to one rigid piece.
    sides = [(places - np.array(b.point)) @ _across(b) >= 0 for b in breaks]
    piece = sum((2**i * side.astype(int) for i, side in enumerate(sides)), np.zeros(len(places), dtype=int))
    for k in np.unique(piece):
        mine = piece == k
        x, y = (float(v) for v in places[mine][0])
        under[mine] = frame.then(folded_frame(breaks, thickness, x, y)).points(flat[mine])
    return under[:, 2] - skin(under[:, 0], under[:, 1])


def gap_under(
    skin: Skin, frame: Frame, breaks: tuple[Break, ...], half_x: float, half_y: float, bedding: float
) -> float:
    """Return the largest gap left under a plate beyond its bedding once it touches somewhere, mm."""
    gap = under_plate(skin, frame, breaks, _grid(half_x, half_y), -bedding)
    return float(np.nanmax(gap) - np.nanmin(gap)) if np.isfinite(gap).any() else math.nan


def _across(line: Break) -> Array:
    a = math.radians(line.direction)
    return np.array([-math.sin(a), math.cos(a)])
