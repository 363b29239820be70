"""Folded bars as triangles: the strip along mid-thickness filled, cut at its folds, and bent."""

from __future__ import annotations

import math

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.fold import Fold, cone_of, legs_and_arcs, slant
from rackgen.geom.frame import Array, Frame
from rackgen.geom.outline import polygon, rounded
from rackgen.mesh.mesh import Ints, Mesh
from rackgen.mesh.plate import DEVIATION, circle
from rackgen.mesh.polygon import slab, triangulate
from rackgen.parts.kinds import BarEnd, FoldedBar


def bar(part: FoldedBar) -> Mesh:
    """Return the bar's surface in its own frame, with folds, holes, bevelled, skewed and rounded ends.

    Raises:
        GeometryError: an end cut or a hole that reaches into a fold.
    """
    half = part.section.width / 2
    sheets = [
        triangulate(rim, [h for k, h in holes(part) if k == flat]) for flat, rim in enumerate(flat_outlines(part))
    ]
    for low, high in zip(fold_lines(part, -half), fold_lines(part, half), strict=True):
        n = len(low)
        k = np.arange(n - 1)
        strip = np.concatenate([low, high])
        sides = [np.stack([k, k + 1, k + 1 + n], axis=1), np.stack([k, k + 1 + n, k + n], axis=1)]
        sheets.append((strip, np.concatenate(sides)))
    points, faces = _welded(sheets)
    up = part.section.thickness / 2
    return slab(bent(part, points, up), bent(part, points, -up), faces)


def _welded(sheets: list[tuple[Array, Ints]]) -> tuple[Array, Ints]:
    """Return neighbouring sheets as one, the points that they share (to 1e-6 mm) made one."""
    points = np.concatenate([p for p, _ in sheets])
    starts = np.cumsum([0] + [len(p) for p, _ in sheets])
    faces = np.concatenate([f + int(n) for (_, f), n in zip(sheets, starts[:-1], strict=True)])
    _, first, same = np.unique(np.round(points, 6), axis=0, return_index=True, return_inverse=True)
    return points[first], same.reshape(-1)[faces]


def mid_length(part: FoldedBar) -> float:
    """Return the length along mid-thickness at mid-width, mm."""
    return sum(length for _, length, _ in _pieces(part))


def flat_outlines(part: FoldedBar) -> list[Array]:
    """Return the outline of every flat on the strip unrolled along mid-thickness: X along, Y across; mm, (n, 2) each.

    Raises:
        GeometryError: an end cut that reaches into a fold, or two folds aslant that meet.
    """
    half, last = part.section.width / 2, len(part.flats) - 1
    slants = [slant(fold, part.section.thickness, part.section.width) for fold in part.folds]
    out: list[Array] = []
    for k, (begin, length) in enumerate(zip(flat_begins(part), part.flats, strict=True)):
        a = math.tan(math.radians(part.end_a.skew)) * half if k == 0 else -slants[k - 1] * half
        b = math.tan(math.radians(part.end_b.skew)) * half if k == last else -slants[k] * half
        low, high = part.end_a.radius if k == 0 else 0.0, part.end_b.radius if k == last else 0.0
        end = begin + length
        corners = [(begin + a, -half), (end - b, -half), (end + b, half), (begin - a, half)]
        rim = polygon(rounded(corners, [low, high, high, low]), DEVIATION)
        if length - abs(a) - abs(b) - low - high <= 0:
            raise GeometryError(f"flat {k + 1} of a bar, {length:.1f} mm, is shorter than the cuts at its end")
        out.append(rim)
    return out


def holes(part: FoldedBar) -> list[tuple[int, Array]]:
    """Return the flat and the row of points on the unrolled strip, shape (n, 2), mm, of every hole."""
    begins = flat_begins(part)
    return [(h.flat, circle(begins[h.flat] + h.along, h.across, h.diameter / 2)) for h in part.holes]


def flat_begins(part: FoldedBar) -> list[float]:
    """Return where each flat begins along mid-thickness, mm from end A."""
    out: list[float] = []
    at = 0.0
    for _, length, fold in _pieces(part):
        if fold is None:
            out.append(at)
        at += length
    return out


def fold_lines(part: FoldedBar, across: float) -> list[Array]:
    """Return, for each fold, where it begins, is divided and ends on the strip unrolled along mid-thickness.

    Args:
        part: the bar.
        across: from mid-width, mm; as many points as for any other.

    Returns:
        Points along and across, mm, shape (n, 2) for each fold.
    """
    out: list[Array] = []
    at = 0.0
    for _, length, fold in _pieces(part):
        if fold is not None and length > 0:
            outside = max(fold.inside_radius, fold.far_radius or 0.0) + part.section.thickness
            step = 2 * math.acos(1 - DEVIATION / outside)
            n = max(2, math.ceil(math.radians(abs(fold.angle)) / step))
            share = np.arange(n + 1) / n
            bent_on = cone_of(fold, part.section.thickness, part.section.width)
            if bent_on is None:
                places = at + length * share
            else:
                places = at + length / 2 + (bent_on.apex + across) * np.tan(bent_on.spread * (2 * share - 1))
            out.append(np.column_stack([places, np.full(n + 1, across)]))
        at += length
    return out


def bent(part: FoldedBar, points: Array, off: float) -> Array:
    """Return points of the unrolled strip where the folded bar has them, part frame, mm, shape (n, 3).

    Args:
        part: the bar.
        points: along and across, shape (n, 2), mm.
        off: from mid-thickness toward the +Z face, mm.
    """
    s = points[:, 0] + off * _bevel(part, points)
    out = np.zeros((len(points), 3))
    at, parts = 0.0, _pieces(part)
    slants = [0.0 if fold is None else slant(fold, part.section.thickness, part.section.width) for _, _, fold in parts]
    for k, (begin, length, fold) in enumerate(parts):
        # Limits of a fold lean outward by its slant, and those of the flats beside it with them.
        out_low, out_high = (slants[k - 1] if k else 0.0) - slants[k], slants[k] - sum(slants[k + 1 : k + 2])
        low = -np.inf if k == 0 else at + out_low * points[:, 1] - 1e-9
        high = np.inf if k == len(parts) - 1 else at + length + out_high * points[:, 1] + 1e-9
        here = (s >= low) & (s <= high)
        into, y = s[here] - at, points[here, 1]
        bent_on = None if fold is None else cone_of(fold, part.section.thickness, part.section.width)
        if fold is None:
            local = np.column_stack([into, y, np.full(len(y), off)])
        elif bent_on is not None:
            local = bent_on.middle().points(bent_on.points(into - length / 2, y, off))
        else:
            side = math.copysign(1.0, fold.angle)
            r = fold.inside_radius + part.section.thickness / 2
            a = into / r
            # The middle of the fold lies r off mid-thickness on its hollow side.
            reach = r - side * off
            local = np.column_stack([reach * np.sin(a), y, side * (r - reach * np.cos(a))])
        out[here] = begin.points(local)
        at += length
    return out


def _bevel(part: FoldedBar, points: Array) -> Array:
    """Return by how much each point moves along per mm off mid-thickness: points of a bevelled end only."""
    slope = np.zeros(len(points))
    end = mid_length(part)
    for cut, at, sign in ((part.end_a, 0.0, -1.0), (part.end_b, end, 1.0)):
        if cut.bevel:
            y = points[:, 1]
            beyond = sign * (points[:, 0] - at) - y * math.tan(math.radians(cut.skew))
            slope += np.where(beyond > -_corner(cut) - 1e-6, sign * math.tan(math.radians(cut.bevel)), 0.0)
    return slope


def _corner(cut: BarEnd) -> float:
    """Return how far the rounded corners of an end reach back along the bar, mm."""
    return cut.radius * math.tan(math.radians(90 + abs(cut.skew)) / 2) if cut.radius else 0.0


def _pieces(part: FoldedBar) -> list[tuple[Frame, float, Fold | None]]:
    """Return flats and folds in order: frame at their begin, length on mid-thickness, the fold or None."""
    return legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
