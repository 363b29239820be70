"""Lines that a drawing of a part shows: outlines, holes, fold lines, the curves at a tube's ends."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import assert_never

import numpy as np

from rackgen.geom.frame import Array, clock_direction
from rackgen.geom.outline import polygon
from rackgen.mesh.bar import bent, flat_outlines, fold_lines, holes
from rackgen.mesh.bought import bolt_rows, cap_profile, rivet_profile, u_bolt_path
from rackgen.mesh.plate import DEVIATION, circle, heading, lifted, openings
from rackgen.mesh.polygon import inside
from rackgen.mesh.sweep import along
from rackgen.mesh.tube import columns, end_ring, slit_angle
from rackgen.parts.kinds import (
    BentTube,
    BoltShape,
    Bought,
    CapShape,
    CutPlate,
    FoldedBar,
    PadShape,
    Part,
    RivetShape,
    Shape,
    UBoltShape,
)
from rackgen.spec.stock import Expanded, Perforated

MOST_HOLES = 900
"""About how many holes of a perforated sheet are drawn."""

Line = Array
"""A row of points, shape (n, 3), mm; the last repeats the first when it closes."""


@lru_cache(maxsize=1024)
def edges(part: Part) -> tuple[Line, ...]:
    """Return the part's feature lines in its own frame. Silhouettes depend on the view and are not among them.

    A tube's small holes are circles on its outside; expanded metal shows its strands, perforated
    sheet some of its holes.
    """
    match part:
        case BentTube():
            lines = _tube(part)
        case FoldedBar():
            lines = _bar(part)
        case CutPlate():
            lines = _plate(part)
        case Bought():
            lines = _bought(part.shape)
        case _:
            assert_never(part)
    for line in lines:
        line.setflags(write=False)
    return tuple(lines)


def _closed(points: Array) -> Array:
    return np.concatenate([points, points[:1]])


def _tube(part: BentTube) -> list[Line]:
    clocks, closed = columns(part)
    outer, inner = part.fitted.od / 2, part.fitted.od / 2 - part.fitted.wall
    out: list[Line] = []
    for end in ("A", "B"):
        for rho in (outer, inner):
            ring = end_ring(part, end, rho, clocks)
            out.append(_closed(ring) if closed else ring)
    if not closed:
        sides = np.array([slit_angle(part) / 2, -slit_angle(part) / 2])
        near, far = (end_ring(part, end, outer, sides) for end in ("A", "B"))
        out += [np.stack([near[k], far[k]]) for k in range(2)]
    for hole in part.holes:
        a = np.linspace(0.0, 2 * math.pi, 25)
        # On the unrolled outside a hole square through the wall is its circle, a little longer round the tube.
        places = hole.at + hole.diameter / 2 * np.cos(a)
        swing = np.degrees(np.arcsin(np.clip(hole.diameter / 2 * np.sin(a) / outer, -1.0, 1.0)))
        here = along(part.spine, places)
        out.append(here.origins + outer * np.einsum("nij,nj->ni", here.axes, clock_direction(hole.clock + swing)))
    return out


def _bar(part: FoldedBar) -> list[Line]:
    half, up = part.section.width / 2, part.section.thickness / 2
    out: list[Line] = []
    rims = [_closed(r) for r in flat_outlines(part)] + [_closed(h) for _, h in holes(part)]
    for off in (up, -up):
        out += [bent(part, rim, off) for rim in rims]
        for y in (-half, half):
            out += [bent(part, line, off) for line in fold_lines(part, y)]
    return out


def _plate(part: CutPlate) -> list[Line]:
    rims = [_closed(polygon(part.outline, DEVIATION)), *(_closed(o) for o in openings(part.holes, part.openings))]
    # Where a rim crosses a break it gets a point there, so that the line follows the fold.
    for fold in part.breaks:
        rims = [_through(rim, fold.point, heading(fold)) for rim in rims]
    out = [lifted(part, rim, height) for height in (part.thickness, 0.0) for rim in rims]
    section = part.stock.section
    if isinstance(section, Expanded):
        lattice = strands(rims[0], section)
        out += [lifted(part, line, part.thickness) for line in lattice]
    if isinstance(section, Perforated):
        out += [lifted(part, line, part.thickness) for line in punched(rims[0], section)]
    for fold in part.breaks:
        for line in _chords(rims[0], fold.point, heading(fold)):
            out.append(lifted(part, line, part.thickness))
    return out


def strands(rim: Array, section: Expanded) -> list[Array]:
    """Return the strands of expanded metal as straight lines along both sides of its diamonds, within a closed rim.

    Args:
        rim: closed row of points, shape (n, 2), mm; the long way of the diamonds lies along X.
        section: of the expanded metal.
    """
    low, high = rim.min(axis=0), rim.max(axis=0)
    out: list[Array] = []
    for sign in (1.0, -1.0):
        slope = sign * section.swd / section.lwd
        # Lines y = slope x + c, one short way apart.
        reach = abs(slope) * max(abs(low[0]), abs(high[0]))
        first, last = math.floor((low[1] - reach) / section.swd), math.ceil((high[1] + reach) / section.swd)
        for k in range(first, last + 1):
            out += _chords(rim, (0.0, k * section.swd), (1.0, slope))
    return out


def punched(rim: Array, section: Perforated) -> list[Array]:
    """Return holes of perforated sheet as closed rows of points, those that lie whole within a closed rim.

    Of very many only every second, third ... of every second, third ... row is drawn, as draughtsmen do.

    Args:
        rim: closed row of points, shape (n, 2), mm; the rows of holes lie along X.
        section: of the sheet.
    """
    low: Array = rim.min(axis=0)
    high: Array = rim.max(axis=0)
    rise = section.cell / section.pitch
    thin = max(1, math.ceil(math.sqrt(float(np.prod(high - low)) / section.cell / MOST_HOLES)))
    first, last = math.ceil(float(low[1]) / rise), math.floor(float(high[1]) / rise)
    rows: Array = np.arange(first, last + 1, thin, dtype=float)
    first, last = math.ceil(float(low[0]) / section.pitch) - 1, math.floor(float(high[0]) / section.pitch)
    columns: Array = np.arange(first, last + 1, thin, dtype=float)
    shift: Array = (rows % 2) * (section.pitch / 2 if section.pattern == "staggered" else 0.0)
    x: Array = (columns[None, :] * section.pitch + shift[:, None]).ravel()
    middles = np.column_stack([x, np.repeat(rows * rise, len(columns))])
    a = np.arange(13) * (math.pi / 6)
    rings = middles[:, None] + section.hole / 2 * np.column_stack([np.cos(a), np.sin(a)])
    whole = inside(rings.reshape(-1, 2), rim[:-1]).reshape(len(middles), -1).all(axis=1)
    return list(rings[whole])


def _chords(rim: Array, at: tuple[float, float], toward: tuple[float, float]) -> list[Array]:
    """Return the pieces of a straight line inside a closed rim, shape (2, 2) each."""
    d = np.asarray(toward) / math.hypot(*toward)
    off = (rim[:, 1] - at[1]) * d[0] - (rim[:, 0] - at[0]) * d[1]
    s = (rim[:, 0] - at[0]) * d[0] + (rim[:, 1] - at[1]) * d[1]
    crossed = (off[:-1] > 0) != (off[1:] > 0)
    a, b = off[:-1][crossed], off[1:][crossed]
    cuts = np.sort(s[:-1][crossed] + a / (a - b) * (s[1:][crossed] - s[:-1][crossed]))
    return [np.asarray(at) + np.outer(pair, d) for pair in cuts[: len(cuts) // 2 * 2].reshape(-1, 2)]


def _through(rim: Array, at: tuple[float, float], toward: tuple[float, float]) -> Array:
    """Return a rim with a point let in wherever it crosses a straight line."""
    off = (rim[:, 1] - at[1]) * toward[0] - (rim[:, 0] - at[0]) * toward[1]
    out: list[Array] = [rim[0]]
    for k in range(len(rim) - 1):
        if off[k] * off[k + 1] < 0:
            out.append(rim[k] + off[k] / (off[k] - off[k + 1]) * (rim[k + 1] - rim[k]))
        out.append(rim[k + 1])
    return np.array(out)


def _bought(shape: Shape) -> list[Line]:
    match shape:
        case RivetShape():
            return [_ring(r, z) for r, z in rivet_profile(shape)]
        case BoltShape():
            return [
                np.column_stack([_closed(border), np.full(len(border) + 1, z)])
                for border, high, low in bolt_rows(shape)
                for z in (high, low)
            ]
        case CapShape():
            return [_ring(r, z) for r, z in cap_profile(shape)]
        case PadShape():
            return [
                np.column_stack([_closed(polygon(c, DEVIATION)), np.full(len(polygon(c, DEVIATION)) + 1, z)])
                for c in (shape.outline, *shape.holes)
                for z in (0.0, shape.thickness)
            ]
        case UBoltShape():
            return _u_bolt(shape)
        case _:
            assert_never(shape)


def _ring(radius: float, z: float, y: float = 0.0) -> Line:
    points = _closed(circle(0.0, y, radius))
    return np.column_stack([points, np.full(len(points), z)])


def _u_bolt(shape: UBoltShape) -> list[Line]:
    path, _ = u_bolt_path(shape)
    half = (shape.inside_width + shape.rod) / 2
    on = shape.seat + shape.washer_thickness
    a = np.arange(7) * (math.pi / 3)
    hexagon = shape.nut_across / math.sqrt(3) * np.column_stack([np.cos(a), np.sin(a)])
    out: list[Line] = []
    for y in (half, -half):
        out.append(_ring(shape.rod / 2, float(path[0, 2]), y))
        out += [_ring(shape.washer / 2, z, y) for z in (shape.seat, on)]
        out += [np.column_stack([hexagon[:, 0], hexagon[:, 1] + y, np.full(7, z)]) for z in (on, on + shape.nut_height)]
    return out
