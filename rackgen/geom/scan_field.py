"""A height over every place of a plan, from points that are noisy, doubled, full of holes and partly stray.

The plan is cut into square cells, and each holds the mean of the points of its uppermost layer. Through the cells
round a place goes the quadratic that fits them best (moving least squares); a cell that does not go with its
neighbours counts for nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array

LAYER = 15.0
"""Two layers are told apart when they lie further from each other than this, mm: a skin and the lining under it."""
NEEDED = 9
"""Cells that a quadratic is put through at least; it has six unknowns."""
ROUGH = 60
"""Cells that are enough for a first look."""
CHUNK = 100_000
"""Cells that are gathered at one time, which bounds the memory."""

Index = NDArray[np.int64]
Truth = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Cells:
    """A plan cut into square cells.

    Attributes:
        low: corner nearest to front and left, mm.
        step: side of a cell, mm.
        mean: mean of the points of each cell, shape (nx, ny, 3); NaN where there are none.
        weight: how much each counts, 0 to 1, shape (nx, ny); 0 where there are none.
    """

    low: tuple[float, float]
    step: float
    mean: Array
    weight: Array

    def filled(self) -> Truth:
        """Return which cells hold points."""
        return np.isfinite(self.mean[..., 2])

    def middles(self) -> Array:
        """Return the middle of every cell, mm, shape (nx, ny, 2)."""
        nx, ny = self.weight.shape
        count = np.moveaxis(np.indices((nx, ny)), 0, -1).astype(np.float64)
        return np.asarray(self.low, dtype=np.float64) + (count + 0.5) * self.step

    def with_weight(self, weight: Array) -> Cells:
        """Return the same cells, each counting so much."""
        return Cells(self.low, self.step, self.mean, np.where(self.filled(), weight, 0.0))

    def at(self, xy: Array) -> Index:
        """Return the cell of each place, shape (n, 2); it may lie beside the plan."""
        return np.floor((xy - np.asarray(self.low)) / self.step).astype(np.int64)


def cells_of(points: Array, step: float) -> Cells:
    """Return the cells over points, each with the mean of its uppermost layer.

    Args:
        points: mm, shape (n, 3), n at least 1.
        step: side of a cell, mm.
    """
    low = points[:, :2].min(axis=0) - step / 2
    shape = np.floor((points[:, :2].max(axis=0) - low) / step).astype(np.int64) + 1
    where = np.floor((points[:, :2] - low) / step).astype(np.int64)
    cell = where[:, 0] * shape[1] + where[:, 1]
    order = np.lexsort((points[:, 2], cell))
    cell, p = cell[order], points[order]
    fresh = np.r_[True, np.diff(cell) != 0]
    parted = fresh | np.r_[True, np.diff(p[:, 2]) > LAYER]
    layer = np.cumsum(parted) - 1
    first = np.flatnonzero(parted)
    count, of = np.bincount(layer), cell[first]
    # The uppermost layer that goes on in the cells beside it, however few its points; where none does, the fullest.
    # How many points it holds says nothing: over a large triangle they are sparse, on a pillar under it dense.
    ends = np.r_[first[1:], len(p)]
    i, j = of // shape[1], of % shape[1]
    beside = _beside(where, points[:, 2], shape, step)
    good = np.flatnonzero(beside(i, j, p[first + (ends - first) // 2, 2]) >= 2)
    chosen = np.full(int(shape[0] * shape[1]), -1)
    by_count = np.argsort(count, kind="stable")
    chosen[of[by_count]] = by_count
    chosen[of[good]] = good
    top = p[first + (0.9 * (count - 1)).astype(np.int64), 2]
    near = (chosen[cell] == layer) & (np.abs(p[:, 2] - top[layer]) <= 10.0)
    return _averaged(p[near], cell[near], (float(low[0]), float(low[1])), step, (int(shape[0]), int(shape[1])))


def _beside(where: Index, z: Array, shape: Index, step: float) -> Callable[[Index, Index, Array], Index]:
    """Return what counts, of the eight cells round one, those that hold points at about a height."""
    thick = max(step, LAYER)
    low = float(z.min()) - 2 * thick
    k = np.floor((z - low) / thick).astype(np.int64)
    held = np.zeros((int(shape[0]) + 2, int(shape[1]) + 2, int(k.max()) + 3), dtype=bool)
    for up in (-1, 0, 1):
        held[where[:, 0] + 1, where[:, 1] + 1, k + up] = True

    def count(i: Index, j: Index, at: Array) -> Index:
        level = np.floor((at - low) / thick).astype(np.int64)
        total = np.zeros(len(i), dtype=np.int64)
        for a in (0, 1, 2):
            for b in (0, 1, 2):
                if (a, b) != (1, 1):
                    total += held[i + a, j + b, level]
        return total

    return count


def repicked(cells: Cells, points: Array) -> Cells:
    """Return the same plan of cells with the means of other points, all of which lie over it."""
    nx, ny = cells.weight.shape
    where = cells.at(points[:, :2])
    return _averaged(points, where[:, 0] * ny + where[:, 1], cells.low, cells.step, (nx, ny))


def _averaged(points: Array, cell: Index, low: tuple[float, float], step: float, shape: tuple[int, int]) -> Cells:
    size = shape[0] * shape[1]
    count = np.bincount(cell, minlength=size)
    sums = np.stack([np.bincount(cell, points[:, k], size) for k in range(3)], axis=1)
    mean = np.full((size, 3), np.nan)
    full = count > 0
    mean[full] = sums[full] / count[full, None]
    return Cells(low, step, mean.reshape(*shape, 3), (count / (count + 1.0)).reshape(shape))


@dataclass(frozen=True, eq=False)
class Fitted:
    """What moving least squares gives at places.

    Attributes:
        z: heights, mm; NaN where too few cells are near.
        zx: slopes aft.
        zy: slopes to the right.
        around: whether cells stand on all four sides.
    """

    z: Array
    zx: Array
    zy: Array
    around: Truth


def fitted(cells: Cells, xy: Array, radius: float, *, without_own: bool = False, rough: bool = False) -> Fitted:
    """Return heights and slopes at places, from the cells within a radius.

    Args:
        cells: with their weights.
        xy: places, mm, shape (n, 2).
        radius: mm.
        without_own: leave out the cell that a place stands in, to see whether its neighbours foretell it.
        rough: look at about `ROUGH` of the cells only, evenly spread.
    """
    reach = int(np.ceil(radius / cells.step)) + 1
    offsets = np.indices((2 * reach + 1, 2 * reach + 1)).reshape(2, -1).T - reach
    offsets = offsets[(np.hypot(*offsets.T) - 1.5) * cells.step <= radius]
    if rough and len(offsets) > ROUGH:
        offsets = offsets[(offsets @ np.array([1, 3])) % (len(offsets) // ROUGH) == 0]
    size = max(1, CHUNK // len(offsets))
    parts = [_chunk(cells, xy[k : k + size], radius, offsets, without_own) for k in range(0, max(len(xy), 1), size)]
    return Fitted(
        np.concatenate([p.z for p in parts]),
        np.concatenate([p.zx for p in parts]),
        np.concatenate([p.zy for p in parts]),
        np.concatenate([p.around for p in parts]),
    )


def _chunk(cells: Cells, xy: Array, radius: float, offsets: Index, without_own: bool) -> Fitted:
    nx, ny = cells.weight.shape
    at = cells.at(xy)[:, None, :] + offsets
    beside = (at < 0).any(axis=2) | (at[..., 0] >= nx) | (at[..., 1] >= ny)
    i, j = at[..., 0].clip(0, nx - 1), at[..., 1].clip(0, ny - 1)
    flat = i * ny + j
    weight = np.where(beside, 0.0, cells.weight.ravel()[flat])
    if without_own:
        weight = np.where((offsets == 0).all(axis=1), 0.0, weight)
    columns = [np.where(cells.filled(), cells.mean[..., k], 0.0).ravel()[flat] for k in range(3)]
    u, v = (columns[0] - xy[:, 0, None]) / radius, (columns[1] - xy[:, 1, None]) / radius
    far = u * u + v * v
    use = (weight > 0) & (far < 1)
    w = np.where(use, weight * (1 - far) ** 2, 0.0)
    total = w.sum(axis=1)
    middle = (w * columns[2]).sum(axis=1) / np.maximum(total, 1e-12)
    # Single precision is enough for terms no greater than 1 and heights against their middle, and half the work.
    terms = np.empty((*u.shape, 7), dtype=np.float32)
    terms[..., 0] = 1
    terms[..., 1], terms[..., 2] = u, v
    terms[..., 3], terms[..., 4], terms[..., 5] = u * u, u * v, v * v
    terms[..., 6] = columns[2] - middle[:, None]
    sums = np.matmul((terms[..., :6] * w.astype(np.float32)[..., None]).transpose(0, 2, 1), terms).astype(np.float64)
    normal, right = sums[..., :6], sums[..., 6]
    # Where cells lie to one side only, their curvature is not known: a trace of stiffness keeps it from running off.
    stiff = np.array([1e-9, 1e-6, 1e-6, 1e-4, 1e-4, 1e-4])
    normal += np.eye(6) * (stiff * np.maximum(total, 1e-6)[:, None])[:, None, :]
    found = np.asarray(np.linalg.solve(normal, right[..., None])[..., 0], dtype=np.float64)
    enough = (use & (weight > 0.05)).sum(axis=1) >= NEEDED
    ahead, across = use & (np.abs(u) > np.abs(v)), use & (np.abs(u) < np.abs(v))
    around = enough & (ahead & (u > 0)).any(axis=1) & (ahead & (u < 0)).any(axis=1)
    around &= (across & (v > 0)).any(axis=1) & (across & (v < 0)).any(axis=1)
    known = np.where(enough, 1.0, np.nan)
    return Fitted((middle + found[:, 0]) * known, found[:, 1] / radius * known, found[:, 2] / radius * known, around)
