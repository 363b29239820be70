"""Tubes as triangles: columns at fixed clocks, out along the outside, through the far end, back along the bore."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from rackgen.geom.cope import Cope, End, EndCut, heights, raw_heights
from rackgen.geom.frame import Array, clock_direction
from rackgen.geom.spine import length
from rackgen.mesh.mesh import Ints, Mesh
from rackgen.mesh.polygon import triangulate
from rackgen.mesh.sweep import along, bend_places
from rackgen.parts.kinds import BentTube

DEVIATION = 0.05
"""How far the flat facets may lie from the round surface, mm."""

WALL_STEPS = 6
"""Into how many rings a coped end is divided from the bore to the outside."""


def tube(part: BentTube, deviation: float = DEVIATION) -> Mesh:
    """Return the tube's surface in its own frame, without its small holes; a slit sleeve as it sits in its host.

    Args:
        part: the tube.
        deviation: how far facets may lie from the round surface, mm.
    """
    clocks, closed = columns(part, deviation)
    outer, inner = part.fitted.od / 2, part.fitted.od / 2 - part.fitted.wall
    between = bend_places(part.spine, outer, deviation)
    far, near = _wall(part.end_b, inner, outer), _wall(part.end_a, inner, outer)
    # A row is a ring of points: out along the outside, through the wall at B, back along the bore, through A's wall.
    rows = [
        end_ring(part, "A", outer, clocks),
        *_rings(part, between, outer, clocks),
        *end_rings(part, "B", far[::-1], clocks),
        *_rings(part, between[::-1], inner, clocks),
        *end_rings(part, "A", near[:-1], clocks),
    ]
    grid = np.array(rows)
    faces = _grid_faces(len(rows), len(clocks), closed=closed)
    if not closed:
        faces = np.concatenate([faces, _slit_faces(grid)])
    return Mesh(grid.reshape(-1, 3), faces)


@lru_cache(maxsize=512)
def columns(part: BentTube, deviation: float = DEVIATION) -> tuple[Array, bool]:
    """Return the clocks of the mesh's columns, degrees, and whether they run all round (a slit sleeve's do not)."""
    clocks, closed = _columns(part, deviation)
    clocks.setflags(write=False)
    return clocks, closed


def _columns(part: BentTube, deviation: float) -> tuple[Array, bool]:
    outer = part.fitted.od / 2
    if part.slit is not None:
        gap = slit_angle(part)
        n = _around(outer, deviation)
        # The slit is at clock 0, in the middle between the first and the last column.
        return np.linspace(gap / 2, 360.0 - gap / 2, n + 1), False
    n = _around(outer, deviation)
    grid = np.arange(n, dtype=np.float64) * (360.0 / n)
    kinks = np.array(
        [*_kinks(part.end_a, outer, outer - part.fitted.wall), *_kinks(part.end_b, outer, outer - part.fitted.wall)]
    )
    if len(kinks):
        away = np.abs((grid[:, None] - kinks[None, :] + 180.0) % 360.0 - 180.0).min(axis=1)
        grid = np.unique(np.concatenate([grid[away > 0.2], kinks]))
    return grid, True


def slit_angle(part: BentTube) -> float:
    """Return how much of the turn is open in a slit sleeve as fitted, degrees; 0 for whole tube."""
    if part.slit is None:
        return 0.0
    # The middle of the wall keeps its length as the sleeve closes to the bore.
    gap = part.slit.strip - math.pi * (part.section.od - part.slit.bore)
    return max(0.0, math.degrees(gap / ((part.fitted.od - part.fitted.wall) / 2)))


def end_ring(part: BentTube, end: str, rho: float, clocks: Array) -> Array:
    """Return where lines at radius `rho` and the given clocks end at end "A" or "B", part frame, mm, shape (n, 3)."""
    return end_rings(part, end, [rho], clocks)[0]


def end_rings(part: BentTube, end: str, radii: Sequence[float], clocks: Array) -> Array:
    """Return the same for several radii at once, shape (m, n, 3)."""
    total = length(part.spine)
    rho = np.asarray(radii, dtype=np.float64)[:, None]
    mine, other = (part.end_a, part.end_b) if end == "A" else (part.end_b, part.end_a)
    cut = heights(mine, rho, clocks)
    if not part.spine.bends and other:
        # On a stub shorter than its own cuts both ends meet halfway; the surface stays closed.
        cut = cut - np.maximum(0.0, cut + heights(other, rho, clocks) - total) / 2
    base = along(part.spine, [0.0 if end == "A" else total])
    axis, origin = base.axes[0], base.origins[0]
    sign = 1.0 if end == "A" else -1.0
    return origin + (sign * cut)[..., None] * axis[:, 0] + rho[..., None] * (clock_direction(clocks) @ axis.T)


def _around(outer: float, deviation: float) -> int:
    step = 2 * math.acos(1 - deviation / outer)
    return max(16, 8 * math.ceil(2 * math.pi / step / 8))


def _wall(end: End, inner: float, outer: float) -> list[float]:
    """Return radii through the wall, from the bore out; close together at the outside, where copes are steepest."""
    if not any(isinstance(cut, Cope) for cut in end):
        return [inner, outer]
    return [outer - (outer - inner) * (1 - k / WALL_STEPS) ** 2 for k in range(WALL_STEPS + 1)]


def _kinks(end: End, outer: float, inner: float) -> list[float]:
    """Return clocks at which an end's outside or inside curve has a corner, to within 0.001 deg."""
    out: list[float] = []
    for cut in end:
        out += [(cut.clock + quarter) % 360.0 for quarter in (0.0, 90.0, 180.0, 270.0)]
    cuts: tuple[EndCut, ...] = end
    if not cuts:
        return out

    def governs(rho: float, phi: ArrayLike) -> Ints:
        """Return which cut is the deepest at each clock; one more for the sawn end."""
        fields = [raw_heights((cut,), rho, phi) for cut in cuts]
        return np.argmax([*fields, np.zeros_like(fields[0])], axis=0)

    grid = np.arange(0.0, 360.5, 0.5) + 0.123
    for rho in (outer, inner):
        which = governs(rho, grid)
        k = np.flatnonzero(which[1:] != which[:-1])
        low, high, first = grid[k], grid[k + 1], which[k]
        for _ in range(10):
            middle = (low + high) / 2
            same = governs(rho, middle) == first
            low, high = np.where(same, middle, low), np.where(same, high, middle)
        out += ((low + high) / 2 % 360.0).tolist()
    out.sort()
    return [phi for k, phi in enumerate(out) if k == 0 or phi - out[k - 1] > 0.01]


def _rings(part: BentTube, places: Array, rho: float, clocks: Array) -> list[Array]:
    """Return whole rings of points at the places along the spine."""
    if not len(places):
        return []
    here = along(part.spine, places)
    return list(here.origins[:, None, :] + rho * np.einsum("nij,kj->nki", here.axes, clock_direction(clocks)))


def _grid_faces(rows: int, around: int, *, closed: bool) -> Ints:
    """Return triangles of a grid of points whose rows close on themselves, and whose columns do when `closed`."""
    row = np.arange(rows)[:, None]
    column = np.arange(around if closed else around - 1)[None, :]
    a, b = row * around + column, row * around + (column + 1) % around
    c, d = (row + 1) % rows * around + column, (row + 1) % rows * around + (column + 1) % around
    return np.concatenate([np.stack([a, b, d], axis=-1).reshape(-1, 3), np.stack([a, d, c], axis=-1).reshape(-1, 3)])


def _slit_faces(grid: Array) -> Ints:
    """Return the two edges of a slit, each the flat figure of one outer column (slit sleeves are straight)."""
    rows, around = grid.shape[:2]
    flat = np.stack([grid[:, 0, 0], np.hypot(grid[:, 0, 1], grid[:, 0, 2])], axis=1)
    # Out along the outside and back along the bore runs clockwise; triangulate numbers its points the other way.
    _, faces = triangulate(flat)
    first = (rows - 1 - faces) * around
    return np.concatenate([first[:, ::-1], first + around - 1])
