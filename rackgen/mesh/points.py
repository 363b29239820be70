"""Points spread over a part's true surface, and along a tube's centreline: what clearances are read at."""

from __future__ import annotations

import math
from typing import assert_never

import numpy as np

from rackgen.geom.cope import heights
from rackgen.geom.frame import Array, clock_direction
from rackgen.geom.outline import Contour, polygon
from rackgen.geom.spine import length
from rackgen.mesh.bar import bent, flat_outlines, fold_lines, holes
from rackgen.mesh.plate import DEVIATION, lifted, openings
from rackgen.mesh.polygon import inside
from rackgen.mesh.sweep import along, evenly
from rackgen.mesh.triangles import triangles
from rackgen.mesh.tube import columns, end_ring
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, PadShape, Part


def points(part: Part, spacing: float) -> Array:
    """Return points of the part's surface no more than about `spacing` mm apart, in its own frame, mm, shape (n, 3).

    Both faces of bars and plates with their rims, the outside of tubes with the curves at their ends, the mesh of
    bought parts.
    """
    match part:
        case BentTube():
            return _tube(part, spacing)
        case FoldedBar():
            return np.concatenate([flat_points(part, k, spacing) for k in range(len(part.flats))] + [_folds(part)])
        case CutPlate():
            plane = _filled(polygon(part.outline, DEVIATION), openings(part.holes, part.openings), spacing)
            return np.concatenate([lifted(part, plane, 0.0), lifted(part, plane, part.thickness)])
        case Bought():
            mesh = triangles(part).vertices
            if not isinstance(part.shape, PadShape):
                return mesh
            plane = _filled(polygon(part.shape.outline, DEVIATION), _rows(part.shape.holes), spacing)
            low = np.column_stack([plane, np.zeros(len(plane))])
            return np.concatenate([mesh, low, low + np.array([0.0, 0.0, part.shape.thickness])])
        case _:
            assert_never(part)


def flat_points(part: FoldedBar, flat: int, spacing: float) -> Array:
    """Return points of both faces of one flat of a bar, with its rim; as `points`."""
    rim = flat_outlines(part)[flat]
    plane = _filled(rim, [h for k, h in holes(part) if k == flat], spacing)
    half = part.section.thickness / 2
    return np.concatenate([bent(part, plane, half), bent(part, plane, -half)])


def end_curves(part: BentTube) -> Array:
    """Return the outside curves of both ends of a tube every degree or so, in its own frame, mm, shape (n, 3)."""
    clocks, _ = columns(part)
    outer = part.fitted.od / 2
    return np.concatenate([end_ring(part, end, outer, clocks) for end in ("A", "B")])


def _tube(part: BentTube, spacing: float) -> Array:
    outer = part.fitted.od / 2
    n = max(8, math.ceil(2 * math.pi * outer / spacing))
    clocks = np.arange(n) * (360.0 / n)
    here = along(part.spine, evenly(part.spine, spacing))
    grid = here.origins[:, None, :] + outer * np.einsum("nij,kj->nki", here.axes, clock_direction(clocks))
    total = length(part.spine)
    left = here.s[:, None] >= heights(part.end_a, outer, clocks)[None, :]
    left &= here.s[:, None] <= total - heights(part.end_b, outer, clocks)[None, :]
    return np.concatenate([grid[left], end_curves(part)])


def _folds(part: FoldedBar) -> Array:
    half, width = part.section.thickness / 2, part.section.width / 2
    out = [np.zeros((0, 3))]
    for y in (-width, 0.0, width):
        for line in fold_lines(part, y):
            out += [bent(part, line, half), bent(part, line, -half)]
    return np.concatenate(out)


def _rows(contours: tuple[Contour, ...]) -> list[Array]:
    return [polygon(c, DEVIATION) for c in contours]


def _filled(rim: Array, gaps: list[Array], spacing: float) -> Array:
    """Return a grid of points inside a rim and outside its gaps, with the points of all their outlines."""
    low, high = rim.min(axis=0), rim.max(axis=0)
    n = np.maximum(1, np.ceil((high - low) / spacing)).astype(int)
    xs = np.linspace(float(low[0]), float(high[0]), int(n[0]) + 1)
    ys = np.linspace(float(low[1]), float(high[1]), int(n[1]) + 1)
    grid = np.column_stack([np.repeat(xs, len(ys)), np.tile(ys, len(xs))])
    keep = inside(grid, rim)
    for gap in gaps:
        keep &= ~inside(grid, gap)
    outlines = [_divided(row, spacing) for row in (rim, *gaps)]
    return np.concatenate([grid[keep], *outlines])


def _divided(row: Array, spacing: float) -> Array:
    """Return a closed row of points with long sides divided."""
    side = np.roll(row, -1, axis=0) - row
    n = np.maximum(1, np.ceil(np.hypot(side[:, 0], side[:, 1]) / spacing)).astype(int)
    within = np.arange(int(n.sum())) - np.repeat(np.cumsum(n) - n, n)
    return np.repeat(row, n, axis=0) + np.repeat(side, n, axis=0) * (within / np.repeat(n, n))[:, None]
