"""A scan of a vehicle in the vehicle frame becomes the roof's one surface, with how well it is known."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array
from rackgen.geom.scan_field import Cells, Fitted, Index, Truth, cells_of, fitted, repicked
from rackgen.geom.surface import Roof, Section

CELL = 20.0
"""Side of a cell of the plan where points lie close, mm."""
RADII = (50.0, 80.0, 120.0)
"""How far round a place cells have a say, mm; the one whose neighbours foretell each cell best is taken."""
HOLE = 200.0
"""A hole is bridged from cells all round it within this distance, mm; a wider one is left open."""
STEEPEST = 30.0
"""Where the surface falls away steeper than this the roof ends, degrees: windscreen, sides, rear."""
STRAY = 6.0
"""Points further from the surface than so many times its roughness are strays ..."""
LEAST_STRAY = 4.0
"""... but none nearer than this, mm."""
AT_FIRST = ((3.0, 25.0), (2.0, 12.0), (1.0, LEAST_STRAY))
"""How far and how strictly cells are held against their neighbours, in radii and mm: from wide to narrow."""
AT_LAST = ((1.0, LEAST_STRAY),)
JUDGED = 20_000
"""Points, evenly taken, whose distances say how well the surface goes with them."""
COVERED = 0.5
"""Share of the roof that must hold points of its own."""
STATIONS = 80.0
"""Stations stand about so far apart, mm, and half as far where the surface is too lively for that."""
READINGS = 50.0
"""Readings across stand about so far apart, mm."""
BEYOND = 25.0
"""Readings stand at the same distances to both sides, so that one side may reach further by no more than this, mm."""
TRUE = 0.4
"""What the sections may be off the surface, root mean square, mm, before they are set closer."""
LENGTHS = (300.0, 7_000.0)
"""Least and greatest length of a roof, mm."""
WIDTHS = (400.0, 3_000.0)
"""Least and greatest width of a roof, mm."""
LONGEST = 12_000.0
"""A scan longer than this shows no vehicle, mm."""
FEWEST = 60
"""Points that a roof needs."""
HOLLOW = 15.0
"""A roof whose middle lies lower than its sides by more than this is upside down or a mirror image, mm."""


@dataclass(frozen=True)
class ScannedRoof:
    """The roof out of a scan, and how well the scan shows it.

    Attributes:
        roof: the surface.
        points: how many it was made of.
        strays: points that stood above it and were left out.
        rms: distance of the points from the sections' surface, root mean square, mm.
        within: 95 % of the points are no farther from it than this, mm.
        covered: share of the roof that holds points of its own.
        radius: how far round a place points had a say, mm.
        trimmed: by how much one side was cut to go with the other, the most at any station, mm.
    """

    roof: Roof
    points: int
    strays: int
    rms: float
    within: float
    covered: float
    radius: float
    trimmed: float


def scanned_roof(points: Array, first: float | None = None, last: float | None = None) -> ScannedRoof:
    """Return the roof out of points in the vehicle frame: the uppermost wide surface that faces up.

    Args:
        points: mm, shape (n, 3), finite.
        first: where the roof begins, x in mm; where the surface ends or falls away if left out.
        last: where it ends.

    Raises:
        GeometryError: no roof can be made of them; the message says why.
    """
    points = _of_size(points)
    low, high = (-math.inf if first is None else first), (math.inf if last is None else last)
    points = points[(points[:, 0] >= low) & (points[:, 0] <= high)]
    _enough(points)
    step = _step(points)
    cells = _settled(cells_of(points, step), _radii(step)[0], AT_FIRST)
    part = _uppermost(cells, _radii(step)[0])
    cells, near, strays = _upon(cells, part, points, _radii(step)[0])
    radius = min(_radii(step), key=lambda r: _foretold(cells, r))
    cells = _settled(cells, radius, AT_LAST)
    part = _uppermost(cells, radius)
    roof, trimmed = _sections(cells, part, near, radius)
    return _judged(roof, cells, near, strays, radius, trimmed)


def _of_size(points: Array) -> Array:
    """Return the points without those far away from all others; refuse what no vehicle's size is."""
    if len(points) < FEWEST:
        raise GeometryError(f"{len(points)} points are too few for a roof; {FEWEST} are the least")
    low, high = np.percentile(points, (1, 99), axis=0)
    size = high - low
    long = float(max(size[0], size[1]))
    if not LENGTHS[0] * 0.9 <= long <= LONGEST:
        raise GeometryError(
            f"what it shows is {long:.4g} mm long in the unit stated: that is no vehicle; is the unit right?"
        )
    narrow = float(np.sort(size)[1])
    if narrow < WIDTHS[0] * 0.9:
        raise GeometryError(f"what it shows is a strip, {long:.0f} mm long and {narrow:.0f} mm wide: that is no roof")
    room = 0.25 * size + 200
    return points[((points >= low - room) & (points <= high + room)).all(axis=1)]


def _enough(points: Array) -> None:
    if len(points) < FEWEST:
        raise GeometryError(f"{len(points)} points are too few for a roof; {FEWEST} are the least")


def _step(points: Array) -> float:
    """Return the side of the cells: `CELL`, or as far apart as the points are where they are sparse."""
    size = np.ptp(points[:, :2], axis=0)
    wide = 60.0
    taken = len(np.unique(np.floor(points[:, :2] / wide).astype(np.int64), axis=0)) * wide**2
    area = min(taken, float(size[0] * size[1])) if len(points) > 2_000 else float(size[0] * size[1])
    return float(np.clip(0.8 * math.sqrt(area / len(points)), CELL, 120.0))


def _radii(step: float) -> tuple[float, ...]:
    return tuple(r for r in RADII if r >= 2.4 * step) or (3.2 * step,)


def _places(cells: Cells) -> tuple[Truth, Array]:
    full = cells.filled()
    return full, cells.mean[full][:, :2]


def _settled(cells: Cells, radius: float, looks: tuple[tuple[float, float], ...]) -> Cells:
    """Return the cells with those that do not go with their neighbours counting for nothing, from wide to narrow."""
    full, xy = _places(cells)
    own = cells.with_weight(np.ones_like(cells.weight))
    for reach, least in looks:
        off = np.abs(cells.mean[full][:, 2] - fitted(own, xy, reach * radius, rough=reach > 1).z)
        known = np.isfinite(off)
        if not known.any():
            raise GeometryError("its points lie too far apart for a surface")
        limit = max(least, STRAY * 1.4826 * float(np.median(off[known])))
        weight = np.zeros_like(cells.weight)
        # What has too few neighbours to be judged counts a little, so that a wider look still sees it.
        weight[full] = np.where(known, (1 - np.minimum(off / limit, 1) ** 2) ** 2, 0.1)
        own = cells.with_weight(weight)
    return own


def _field(cells: Cells, radius: float) -> tuple[Fitted, Truth]:
    """Return heights over the middle of every cell, known on and amid points that go together, and where those are."""
    xy = cells.middles().reshape(-1, 2)
    found = fitted(cells, xy, radius)
    shape = cells.weight.shape
    held = cells.weight > 0.05
    known = np.isfinite(found.z) & (held.ravel() | found.around)
    z, zx, zy = found.z.copy(), found.zx.copy(), found.zy.copy()
    for wider in (2.0 * radius, max(HOLE, 3.0 * radius)):
        open_ = np.flatnonzero(~known & _closed(held, int(wider / cells.step)).ravel())
        if len(open_):
            more = fitted(cells, xy[open_], wider)
            good = np.isfinite(more.z) & (more.around | held.ravel()[open_])
            at = open_[good]
            z[at], zx[at], zy[at], known[at] = more.z[good], more.zx[good], more.zy[good], True
    blank = np.where(known, 1.0, np.nan)
    z, zx, zy = ((a * blank).reshape(shape) for a in (z, zx, zy))
    return Fitted(z, zx, zy, known.reshape(shape)), held


def _grown(mask: Truth, by: int = 1) -> Truth:
    """Return the mask with its neighbours within so many cells along each axis."""
    out = mask
    for _ in range(2):
        total = np.cumsum(np.pad(out.astype(np.int64), ((by + 1, by), (0, 0))), axis=0)
        out = (total[2 * by + 1 :] - total[: -2 * by - 1] > 0).T
    return out


def _closed(mask: Truth, by: int) -> Truth:
    """Return the mask with its holes and notches up to twice so many cells wide."""
    return ~_grown(~_grown(mask, by), by)


def _uppermost(cells: Cells, radius: float) -> tuple[Fitted, Truth]:
    """Return the field and which cells of it belong to the uppermost wide surface that faces up."""
    field, held = _field(cells, radius)
    with np.errstate(invalid="ignore"):
        level = field.around & (np.hypot(field.zx, field.zy) <= math.tan(math.radians(STEEPEST)))
    # Beside a place where the surface falls away, what is known of it is blurred by the fall.
    fall = _grown(cells.filled() & ~level)
    level &= ~fall
    label = _joined(level, field.z, cells.step)
    sizes = np.bincount(label[label >= 0]) if (label >= 0).any() else np.zeros(0, dtype=np.int64)
    area = cells.step**2
    if not len(sizes) or sizes.max() * area < 0.5 * LENGTHS[0] * WIDTHS[0]:
        raise GeometryError(_no_roof(cells, held))
    wide = [k for k, n in enumerate(sizes) if n >= 0.25 * sizes.max()]
    best = max(wide, key=lambda k: float(np.median(field.z[label == k])))
    # A cell here and there without points of its own, at the edge, is no notch in it.
    whole = _closed(label == best, 2)
    return field, whole & np.isfinite(field.z) & ~fall


def _no_roof(cells: Cells, held: Truth) -> str:
    """Say why nothing in a scan is a roof."""
    at = cells.mean[held]
    if len(at) < 3:
        return "nowhere on it do neighbouring points go together as a surface"
    _, _, axes = np.linalg.svd(at - at.mean(axis=0), full_matrices=False)
    lean = math.degrees(math.acos(min(1.0, abs(float(axes[2, 2])))))
    return (
        f"nowhere on it is a surface that faces up, as wide as a roof and sloping less than {STEEPEST:g}°; what "
        f"it shows leans {lean:.0f}° from level: is it a side of the vehicle, or are landmarks or frame mistaken?"
    )


def _joined(level: Truth, z: Array, step: float) -> Index:
    """Return the number of the connected part that each cell belongs to, -1 where it is in none."""
    label = np.full(level.shape, -1, dtype=np.int64)
    most = step * math.tan(math.radians(STEEPEST + 10)) + 2
    rows, columns = level.shape
    part = 0
    heights, may = z.tolist(), level.tolist()
    done: set[tuple[int, int]] = set()
    for row, column in np.argwhere(level).tolist():
        seed = (int(row), int(column))
        if seed in done:
            continue
        done.add(seed)
        queue = deque([seed])
        while queue:
            i, j = queue.popleft()
            label[i, j] = part
            for a, b in ((i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)):
                inside = 0 <= a < rows and 0 <= b < columns
                if inside and may[a][b] and (a, b) not in done and abs(heights[a][b] - heights[i][j]) < most:
                    done.add((a, b))
                    queue.append((a, b))
        part += 1
    return label


def _upon(cells: Cells, part: tuple[Fitted, Truth], points: Array, radius: float) -> tuple[Cells, Array, int]:
    """Return the cells made anew of the points on the surface alone, those points, and how many stood above it."""
    off, inner, over = _off(cells, part, points)
    rough = 1.4826 * float(np.median(np.abs(off[inner & (np.abs(off) < 2 * LEAST_STRAY)])))
    limit = max(LEAST_STRAY, STRAY * rough)
    near = over & (np.abs(off) <= limit)
    # Below is another surface too, lining or floor: only what stands above counts as stray.
    strays = int((inner & (off > limit)).sum())
    where = cells.at(points[near, :2])
    outer, apart = _outer_skin(off[near], where[:, 0] * cells.weight.shape[1] + where[:, 1])
    if apart > 0:
        skin = _settled(repicked(cells, points[near][outer]), radius, AT_FIRST)
        off, _, over = _off(skin, _uppermost(skin, radius), points)
        near = over & (np.abs(off) <= apart / 2)
    if int(near.sum()) < FEWEST:
        raise GeometryError(f"{int(near.sum())} points are too few for a roof; {FEWEST} are the least")
    return repicked(cells, points[near]), points[near], strays


def _off(cells: Cells, part: tuple[Fitted, Truth], points: Array) -> tuple[Array, Truth, Truth]:
    """Return how far points stand above the field, which are over the roof, and which over it or its edge."""
    field, belongs = part
    where = cells.at(points[:, :2])
    i, j = where[:, 0], where[:, 1]
    out = points[:, :2] - cells.middles()[i, j]
    height = field.z[i, j] + field.zx[i, j] * out[:, 0] + field.zy[i, j] * out[:, 1]
    return points[:, 2] - height, belongs[i, j], _grown(belongs)[i, j] & np.isfinite(field.z[i, j])


def _outer_skin(off: Array, cell: Index) -> tuple[Truth, float]:
    """Return which points are of the outer skin for certain where both faces of a sheet were scanned, and the sheet.

    Args:
        off: how far the points stand above the surface through all of them, mm.
        cell: the cell of each.

    Returns:
        All of the points and 0 where there is one skin only.
    """
    order = np.lexsort((off, cell))
    c, d = cell[order], off[order]
    starts = np.flatnonzero(np.r_[True, np.diff(c) != 0])
    ends = np.r_[starts[1:], len(c)]
    count = ends - starts
    apart = np.r_[0.0, np.diff(d)]
    apart[starts] = 0.0
    widest = np.maximum.reduceat(apart, starts)
    cut = np.flatnonzero(apart == np.repeat(widest, count))
    cut = cut[np.r_[True, np.diff(c[cut]) != 0]]
    # Both layers hold a fair share of the cell, and are thin against what parts them.
    share = (cut - starts) / count
    thin = (d[cut - 1] - d[starts] < 0.7 * widest) & (d[ends - 1] - d[cut] < 0.7 * widest)
    split = (widest > 1.0) & (share >= 0.25) & (share <= 0.75) & thin
    judged = count >= 6
    out = np.ones(len(off), dtype=bool)
    if not judged.any() or split[judged].mean() < 0.5:
        return out, 0.0
    upper = np.repeat(split & judged, count) & (np.arange(len(c)) >= np.repeat(cut, count))
    out[order] = upper
    return out, float(np.median(widest[split & judged]))


def _foretold(cells: Cells, radius: float) -> float:
    """Return how far cells are from what their neighbours foretell, mm."""
    full, xy = _places(cells)
    off = np.abs(cells.mean[full][:, 2] - fitted(cells, xy, radius, without_own=True).z)
    known = off[np.isfinite(off)]
    if len(known) < 0.5 * len(off):
        return math.inf
    return float(np.sqrt(np.mean(np.minimum(known, np.percentile(known, 95)) ** 2)))


def _sections(cells: Cells, part: tuple[Fitted, Truth], near: Array, radius: float) -> tuple[Roof, float]:
    """Return the roof as sections, close enough to be true to the surface, and what was trimmed."""
    ends = _halves(cells, part[1], near)
    roof, trimmed = _sampled(cells, ends, radius, STATIONS, READINGS)
    field, belongs = part
    xy = cells.middles()[belongs]
    off = roof.height(xy[:, 0], xy[:, 1]) - field.z[belongs]
    off = off[np.isfinite(off)]
    if len(off) and float(np.sqrt(np.mean(off**2))) > TRUE:
        roof, trimmed = _sampled(cells, ends, radius, STATIONS / 2, READINGS / 2)
    return roof, trimmed


def _halves(cells: Cells, belongs: Truth, near: Array) -> tuple[Array, Array, Array]:
    """Return x of the rows of cells that reach over the middle, and their half widths left and right, mm."""
    middles = cells.middles()
    ys = middles[0, :, 1]
    if not ys[0] < 0 < ys[-1]:
        raise GeometryError(
            f"it does not reach over the vehicle's middle: y from {ys[0]:.0f} to {ys[-1]:.0f} mm; "
            "are landmarks or frame mistaken?"
        )
    centre = int(np.argmin(np.abs(ys)))
    rows: list[tuple[float, float, float]] = []
    for i, row in enumerate(belongs):
        if not row[centre]:
            continue
        off_right, off_left = np.flatnonzero(~row[centre:]), np.flatnonzero(~row[centre::-1])
        right = ys[centre + (int(off_right[0]) if len(off_right) else len(ys) - centre) - 1]
        left = -ys[centre - (int(off_left[0]) if len(off_left) else centre + 1) + 1]
        rows.append((float(middles[i, 0, 0]), float(left), float(right)))
    wide = [r for r in rows if min(r[1], r[2]) >= WIDTHS[0] / 2]
    if len(wide) < 3:
        raise GeometryError(f"no part of it reaches {WIDTHS[0] / 2:.0f} mm to both sides of the vehicle's middle")
    x, left, right = (np.array(v) for v in zip(*wide, strict=True))
    # A ragged edge is not followed cell by cell: where neighbouring rows reach further, so does the surface.
    left, right = np.maximum(left, _middling(left)), np.maximum(right, _middling(right))
    # Nor does a station stand on the rags of the front or rear edge.
    kept = slice(_rags(np.minimum(left, right)), len(x) - _rags(np.minimum(left, right)[::-1]))
    x, left, right = x[kept], left[kept], right[kept]
    # A cell at the edge may hold points in a part of it only: the roof ends where its points end.
    reach = 1.5 * cells.step
    for k, at in enumerate(x):
        y = near[np.abs(near[:, 0] - at) <= reach, 1]
        left[k] = min(left[k] + cells.step / 2, max(-float(y.min(initial=0.0)), left[k] - cells.step / 2))
        right[k] = min(right[k] + cells.step / 2, max(float(y.max(initial=0.0)), right[k] - cells.step / 2))
    x[0], x[-1] = max(x[0], float(near[:, 0].min())), min(x[-1], float(near[:, 0].max()))
    return x, left, right


def _rags(halves: Array) -> int:
    """Return how many of the first rows reach far less to the side than those behind them."""
    k = 0
    while k < min(5, len(halves) - 8) and halves[k] < 0.8 * float(np.median(halves[k + 1 : k + 6])):
        k += 1
    return k


def _middling(halves: Array) -> Array:
    """Return the median of five neighbours each."""
    padded = np.pad(halves, 2, mode="edge")
    return np.asarray(np.median(np.stack([padded[k : k + len(halves)] for k in range(5)]), axis=0), dtype=np.float64)


def _sampled(
    cells: Cells, ends: tuple[Array, Array, Array], radius: float, apart: float, across: float
) -> tuple[Roof, float]:
    x, left, right = ends
    length = float(x[-1] - x[0])
    if not LENGTHS[0] <= length <= LENGTHS[1]:
        raise GeometryError(f"the roof on it is {length:.0f} mm long; is the unit right?")
    count = max(3, round(length / apart) + 1)
    sections: list[Section] = []
    trimmed = 0.0
    for k in range(count):
        wanted = float(x[0]) + length * k / (count - 1)
        nearest = int(np.argmin(np.abs(x - wanted)))
        if abs(float(x[nearest]) - wanted) > 0.75 * cells.step:
            continue
        halves = float(left[nearest]), float(right[nearest])
        near, far = min(halves), min(max(halves), min(halves) + BEYOND)
        trimmed = max(trimmed, max(halves) - far)
        section = _section(cells, wanted, near, radius, across, (min(halves[0], far), min(halves[1], far)))
        if section is not None:
            sections.append(section)
    if len(sections) < 2:
        raise GeometryError("fewer than two stations of it could be read right across")
    gaps = np.diff([s.x for s in sections])
    if float(gaps.max()) > 2 * HOLE:
        behind = sections[int(gaps.argmax())].x
        raise GeometryError(f"nothing is known of the roof's middle for {gaps.max():.0f} mm behind x = {behind:.0f} mm")
    return Roof(tuple(sections)), trimmed


def _section(
    cells: Cells, x: float, near: float, radius: float, across: float, halves: tuple[float, float]
) -> Section | None:
    """Return one cross section, or None where a hole in the scan is too wide to read it."""
    n = max(2, round(near / across))
    offsets = [near * k / n for k in range(1, n + 1)]
    ys = np.array([*(-o for o in reversed(offsets)), 0.0, *offsets])
    xy = np.stack([np.full_like(ys, x), ys], axis=1)
    z = np.full(len(ys), np.nan)
    for reach in (radius, 2 * radius, max(HOLE, 3 * radius)):
        open_ = np.isnan(z)
        if open_.any():
            z[open_] = fitted(cells, xy[open_], reach).z
    if np.isnan(z).any():
        return None
    return Section(x, tuple(float(y) for y in ys), tuple(float(v) for v in z), *halves)


def _judged(roof: Roof, cells: Cells, near: Array, strays: int, radius: float, trimmed: float) -> ScannedRoof:
    width = max(s.left + s.right for s in roof.sections)
    if not WIDTHS[0] <= width <= WIDTHS[1]:
        raise GeometryError(f"the roof on it is {width:.0f} mm wide; is the unit right?")
    hollow = [(s.zs[0] + s.zs[-1]) / 2 - s.zs[len(s.zs) // 2] for s in roof.sections]
    if float(np.median(hollow)) > HOLLOW:
        raise GeometryError(
            f"its middle lies {np.median(hollow):.0f} mm lower than its sides, which no roof's does: is it upside down "
            "or a mirror image?"
        )
    middles = cells.middles()
    first, last = roof.sections[0].x, roof.sections[-1].x
    inside = roof.over(middles[..., 0], middles[..., 1]) & (middles[..., 0] >= first) & (middles[..., 0] <= last)
    covered = float(cells.filled()[inside].mean())
    if covered < COVERED:
        raise GeometryError(
            f"only {covered:.0%} of the roof holds points, in cells of {cells.step:.0f} mm; {COVERED:.0%} is the least"
        )
    count, near = len(near), near[:: -(-len(near) // JUDGED)]
    off = roof.height(near[:, 0], near[:, 1]) - near[:, 2]
    zx, zy = roof.slope(near[:, 0], near[:, 1])
    off = np.abs(off / np.sqrt(1 + zx**2 + zy**2))
    off = off[np.isfinite(off)]
    rms = float(np.sqrt(np.mean(off**2)))
    return ScannedRoof(roof, count, strays, rms, float(np.percentile(off, 95)), covered, radius, trimmed)
