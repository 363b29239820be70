"""A line drawing of parts seen askew from above, hidden lines taken out: what a welder finds a joint by.

Tubes are their two sides and the curves at their ends, plates and bars their rims. What stands in front is reckoned
from capsules and boxes; expanded metal hides nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom import outline
from rackgen.geom.fold import after_fold, legs_and_arcs
from rackgen.geom.frame import Array, Vec, unit, vec
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import PartId, Placed
from rackgen.sheets.capsules import Body, body
from rackgen.sheets.weld_lines import end_curve, rims
from rackgen.spec.stock import Panel

STEP = 5.0
"""Spacing of the points at which a line is looked at, mm."""

BEHIND = 1.5
"""A line this much nearer to the eye than what it lies on is not hidden by it, mm."""

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class View:
    """A way of looking.

    Attributes:
        sight: unit vector from the eye into the drawing, vehicle frame.
        right: the drawing's X.
        up: the drawing's Y.
    """

    sight: Vec
    right: Vec
    up: Vec

    def flat(self, points: Array) -> Array:
        """Return points of the vehicle frame on the drawing, shape (n, 2), mm."""
        return points @ np.array([self.right, self.up]).T


def looking(along: Vec) -> View:
    """Return the view along a direction that is not upright, the vehicle's up being up."""
    sight = unit(along)
    right = unit(np.cross(sight, (0.0, 0.0, 1.0)))
    return View(vec(sight), vec(right), vec(np.cross(right, sight)))


FRONT_LEFT = (1.0, 0.62, -0.85)
"""From ahead, left and above: the front left corner is nearest."""


@dataclass(frozen=True, eq=False)
class Line:
    """A visible stretch of a line.

    Attributes:
        part: whose it is.
        points: on the drawing, mm, shape (n, 2).
        thin: whether it is of expanded metal.
    """

    part: PartId
    points: Array
    thin: bool


def lines(parts: Sequence[Placed], view: View, within: Callable[[Array], Bools] | None = None) -> tuple[Line, ...]:
    """Return the visible lines of parts.

    Args:
        parts: what is drawn.
        view: from where.
        within: which points, vehicle frame, are drawn at all; None for all.
    """
    bodies = {p.id: b for p in parts if (b := body(p)) is not None and not _mesh(p)}
    out: list[Line] = []
    for placed in parts:
        for points, seen in _edges(placed, view):
            good = seen & ~_hidden(points, placed.id, bodies, view)
            if within is not None:
                good &= within(points)
            flat = view.flat(points)
            for shown, group in itertools.groupby(range(len(points)), key=lambda k, g=good: bool(g[k])):
                index = list(group)
                if shown and len(index) > 1:
                    out.append(Line(placed.id, _straightened(flat[index]), _mesh(placed)))
    return tuple(out)


def _mesh(placed: Placed) -> bool:
    return isinstance(placed.part, CutPlate) and isinstance(placed.part.stock.section, Panel)


def _edges(placed: Placed, view: View) -> list[tuple[Array, Bools]]:
    """Return the lines that could be seen, each with the points that its own part does not turn away from the eye."""
    part, sight = placed.part, np.asarray(view.sight)
    out: list[tuple[Array, Bools]] = []
    if isinstance(part, BentTube):
        whole = body(placed)
        assert whole is not None
        row = np.concatenate([whole.begin, whole.end[-1:]])
        points = _dense(row)
        way = np.gradient(points, axis=0)
        side = np.cross(way, sight)
        size = np.linalg.norm(side, axis=1, keepdims=True)
        side = side / np.maximum(size, 1e-9) * part.fitted.od / 2
        for sign in (-1.0, 1.0):
            out.append((points + sign * side, np.ones(len(points), dtype=np.bool_)))
        for end in ("A", "B"):
            curve, normals = end_curve(placed, end, 72)
            closed = np.concatenate([curve, curve[:1]])
            facing = np.concatenate([normals, normals[:1]]) @ sight < 0.05
            out.append((closed, np.asarray(facing, dtype=np.bool_)))
        return out
    for frame, rim, half in rims(placed):
        toward = 1.0 if float(np.asarray(frame.z) @ sight) < 0 else -1.0
        faces = (toward,) if _mesh(placed) else (toward, -toward)
        for side in faces:
            ring = frame.points(np.column_stack([rim, np.full(len(rim), side * half)]))
            points = _dense(np.concatenate([ring, ring[:1]]))
            seen = np.ones(len(points), dtype=np.bool_)
            if side != toward:
                # Of the far face only the edges are seen that lie beside the near one.
                middle = points - points.mean(axis=0)
                seen = np.asarray((middle - np.outer(middle @ sight, sight)) @ (np.asarray(frame.z) * -toward) > 0)
            out.append((points, seen))
        if isinstance(part, CutPlate):
            for opening in part.openings:
                hole = outline.polygon(opening, 0.5)
                ring = frame.points(np.column_stack([hole, np.full(len(hole), toward * half)]))
                points = _dense(np.concatenate([ring, ring[:1]]))
                out.append((points, np.ones(len(points), dtype=np.bool_)))
    if isinstance(part, FoldedBar):
        out += _fold_edges(placed, part)
    return out


def _fold_edges(placed: Placed, part: FoldedBar) -> list[tuple[Array, Bools]]:
    """Return the four long edges of every fold."""
    w, half = part.section.width / 2, part.section.thickness / 2
    out: list[tuple[Array, Bools]] = []
    for frame, _, fold in legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width):
        if fold is None:
            continue
        turns = [
            after_fold(frame, fold, part.section.thickness, part.section.width, a)
            for a in np.linspace(0.0, abs(fold.angle), 9)
        ]
        for y in (-w, w):
            for z in (-half, half):
                row = _dense(placed.frame.points(np.array([f.point((0.0, y, z)) for f in turns])))
                out.append((row, np.ones(len(row), dtype=np.bool_)))
    return out


def _dense(row: Array) -> Array:
    out = [row[:1]]
    for a, b in itertools.pairwise(row):
        n = max(1, int(np.ceil(float(np.linalg.norm(b - a)) / STEP)))
        out.append(a + (b - a) * (np.arange(1, n + 1) / n)[:, None])
    return np.concatenate(out)


def _hidden(points: Array, own: PartId, bodies: dict[PartId, Body], view: View) -> Bools:
    sight = np.asarray(view.sight)
    flat, depth = view.flat(points), points @ sight
    low, high = flat.min(axis=0), flat.max(axis=0)
    out = np.zeros(len(points), dtype=np.bool_)
    for part, one in bodies.items():
        if len(one.begin) and part != own:
            a, b = view.flat(one.begin), view.flat(one.end)
            keep = np.all(np.minimum(a, b) <= high + one.radius, axis=1)
            keep &= np.all(np.maximum(a, b) >= low - one.radius, axis=1)
            if keep.any():
                rods = Body(one.begin[keep], one.end[keep], one.radius, (), one.low, one.high)
                out |= _behind_rods(flat, depth, rods, view)
        for box in one.boxes:
            local, way = box.frame.to_local(points), box.frame.to_local_direction(-sight)
            # Slabs of a box along the way back to the eye.
            safe = np.where(np.abs(way) < 1e-9, 1e-9, way)
            t1, t2 = (-np.array(box.half) - local) / safe, (np.array(box.half) - local) / safe
            enter, leave = np.minimum(t1, t2).max(axis=1), np.maximum(t1, t2).min(axis=1)
            out |= (leave > np.maximum(enter, 0.0) + 0.05) & (leave > BEHIND)
    return out


def _behind_rods(flat: Array, depth: Array, one: Body, view: View) -> Bools:
    a, b = view.flat(one.begin), view.flat(one.end)
    deep_a, deep_b = one.begin @ np.asarray(view.sight), one.end @ np.asarray(view.sight)
    way = b - a
    square = np.maximum(np.einsum("ni,ni->n", way, way), 1e-9)
    share = np.einsum("mni,ni->mn", flat[:, None] - a[None], way) / square
    inside = (share >= 0) & (share <= 1)
    share = np.clip(share, 0, 1)
    off = np.linalg.norm(flat[:, None] - (a[None] + share[:, :, None] * way[None]), axis=2)
    lean = np.sqrt(square) / np.linalg.norm(one.end - one.begin, axis=1)
    bulge = np.sqrt(np.maximum(one.radius**2 - off**2, 0.0)) / np.maximum(lean, 0.2)
    front = deep_a[None] + share * (deep_b - deep_a)[None] - bulge
    return np.asarray((inside & (off < one.radius - 0.05) & (front < depth[:, None] - BEHIND)).any(axis=1))


def _straightened(points: Array) -> Array:
    """Return a row of points without those that lie on the line of their neighbours, to 0.3 mm."""
    kept = [0]
    for k in range(1, len(points) - 1):
        way = points[k + 1] - points[kept[-1]]
        off = points[kept[-1] + 1 : k + 1] - points[kept[-1]]
        size = float(np.linalg.norm(way))
        if size < 1e-9 or float(np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]).max()) / size > 0.3:
            kept.append(k)
    return points[[*kept, len(points) - 1]]
