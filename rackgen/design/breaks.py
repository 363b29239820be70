"""How many shallow breaks a mount plate needs to lie on the roof, and how steep."""

from __future__ import annotations

import math

import numpy as np

from rackgen.geom.breaks import Break, folded_frame
from rackgen.geom.frame import Frame
from rackgen.geom.surface import Roof

GAP = 1.0
STEEPEST = 5.0
"""Gap that no break is needed for, mm, and the steepest break, degrees (common practice, no source)."""


def breaks_for(
    roof: Roof, frame: Frame, half_x: float, half_y: float, bedding: float
) -> tuple[tuple[Break, ...], tuple[tuple[str, float], ...]]:
    """Return the breaks of a plate on the roof: none while its gap is under `GAP`, then one, then two.

    Args:
        roof: the measured surface.
        frame: the plate's frame on its bedding, vehicle frame.
        half_x: half the plate along its X, mm.
        half_y: half along its Y, mm.
        bedding: mm.

    Returns:
        The breaks, and a text with its gap where the gap stays over `GAP` all the same.
    """
    curve = [_curvature(roof, frame, axis, half) for axis, half in ((0, half_x), (1, half_y))]
    if not np.isfinite(curve).all():
        return (), ()
    # A roof of curvature k falls away by k h² / 2 at h from the middle; a break of slope k h / 2 leaves a quarter.
    halves = (half_x, half_y)
    worse = 0 if curve[0] * half_x**2 >= curve[1] * half_y**2 else 1
    lines: list[Break] = []
    for axis in (worse, 1 - worse):
        fits = 2 * math.degrees(math.atan(curve[axis] * halves[axis] / 2))
        lines.append(Break((0.0, 0.0), (90.0, 0.0)[axis], round(min(STEEPEST, fits), 1)))
    tries: list[tuple[Break, ...]] = [(), (lines[0],), (lines[0], lines[1])]
    for breaks in tries:
        if any(b.angle <= 0 for b in breaks):
            continue
        gap = gap_under(roof, frame, breaks, half_x, half_y, bedding)
        if gap < GAP:
            return breaks, ()
    best = min(
        (b for b in tries if all(line.angle > 0 for line in b)),
        key=lambda b: (gap_under(roof, frame, b, half_x, half_y, bedding), len(b)),
    )
    left = gap_under(roof, frame, best, half_x, half_y, bedding)
    return best, ((f"the plate leaves a gap of {left:.1f} mm to the roof", left),)


def gap_under(
    roof: Roof, frame: Frame, breaks: tuple[Break, ...], half_x: float, half_y: float, bedding: float
) -> float:
    """Return the largest gap left under a plate beyond its bedding once it touches somewhere, mm."""
    xs, ys = np.linspace(-half_x, half_x, 13), np.linspace(-half_y, half_y, 13)
    under = np.array(
        [
            frame.then(folded_frame(breaks, 0.0, float(x), float(y))).point((float(x), float(y), -bedding))
            for x in xs
            for y in ys
        ]
    )
    gap = under[:, 2] - roof.height(under[:, 0], under[:, 1])
    return float(np.nanmax(gap) - np.nanmin(gap)) if np.isfinite(gap).any() else math.nan


def _curvature(roof: Roof, frame: Frame, axis: int, half: float) -> float:
    """Return the roof's curvature along one axis of a plate, 1/mm, positive where it falls away on both sides."""
    step = np.zeros(3)
    step[axis] = half
    points = np.array([frame.point(-step), frame.origin, frame.point(step)])
    fall = points[:, 2] - roof.height(points[:, 0], points[:, 1])
    return float(fall[0] + fall[2] - 2 * fall[1]) / half**2
