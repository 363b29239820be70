"""Parts as capsules and boxes: how far a point is from them, good to a few tenths, quick enough to ask often.

A tube is a row of round-ended rods, a bend so many chords; a bar or plate is one box a flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.geom import outline, spine
from rackgen.geom.fold import after_fold, legs_and_arcs
from rackgen.geom.frame import Array, Frame
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import Placed

CHORD = 6.0
"""A bend is cut into chords of at most so many degrees: 0.16 mm off an arc of 120 mm radius."""

FOLD_CHORD = 20.0
"""A fold of a bar likewise, degrees."""


@dataclass(frozen=True, eq=False)
class Box:
    """A box.

    Attributes:
        frame: of its middle, vehicle frame.
        half: half its sizes along that frame's axes, mm.
    """

    frame: Frame
    half: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Body:
    """A part where it stands, as capsules or boxes.

    Attributes:
        begin: of each rod's axis, vehicle frame, mm, shape (n, 3).
        end: of each rod's axis.
        radius: of the rods, mm.
        boxes: in their places.
        low: least coordinates of the whole, mm, shape (3,).
        high: largest coordinates.
    """

    begin: Array
    end: Array
    radius: float
    boxes: tuple[Box, ...]
    low: Array
    high: Array


def body(placed: Placed) -> Body | None:
    """Return a part's body, None for a bought part."""
    part = placed.part
    match part:
        case BentTube():
            points = placed.frame.points(chords(part.spine))
            r = part.fitted.od / 2
            return Body(points[:-1], points[1:], r, (), points.min(axis=0) - r, points.max(axis=0) + r)
        case FoldedBar():
            return _boxed(tuple(_flat_boxes(placed, part)))
        case CutPlate():
            rim = outline.polygon(part.outline, 0.5)
            low, high = rim.min(axis=0), rim.max(axis=0)
            middle, t = (low + high) / 2, part.thickness
            size = (float(high[0] - low[0]) / 2, float(high[1] - low[1]) / 2, t / 2)
            return _boxed((Box(placed.frame.moved((float(middle[0]), float(middle[1]), t / 2)), size),))
        case _:
            return None


def chords(line: spine.Spine) -> Array:
    """Return points of a spine in its own frame, mm, shape (n, 3): ends of straights, and chords along bends."""
    at = [0.0]
    for piece in spine.pieces(line):
        n = 1 if piece.bend is None else math.ceil(piece.bend.angle / CHORD)
        at += [piece.start + piece.length * k / n for k in range(1, n + 1)]
    return np.array([spine.frame_at(line, s).origin for s in at])


def _flat_boxes(placed: Placed, part: FoldedBar) -> list[Box]:
    w, t = part.section.width, part.section.thickness
    out: list[Box] = []
    for frame, length, fold in legs_and_arcs(part.flats, part.folds, t, part.section.width):
        n = 1 if fold is None else math.ceil(abs(fold.angle) / FOLD_CHORD)
        for k in range(n):
            if fold is None:
                middle = frame.moved((length / 2, 0.0, 0.0))
            else:
                middle = after_fold(frame, fold, t, part.section.width, abs(fold.angle) * (k + 0.5) / n)
            out.append(Box(placed.frame.then(middle), (length / n / 2, w / 2, t / 2)))
    return out


def _boxed(boxes: tuple[Box, ...]) -> Body:
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
    corners = np.concatenate([b.frame.points(signs * np.array(b.half)) for b in boxes])
    none = np.zeros((0, 3))
    return Body(none, none, 0.0, boxes, corners.min(axis=0), corners.max(axis=0))


def distance(one: Body, points: Array) -> Array:
    """Return how far points are outside a body, mm, negative inside.

    Args:
        one: the body.
        points: vehicle frame, mm, shape (n, 3).
    """
    best = np.full(len(points), np.inf)
    if len(one.begin):
        best = np.linalg.norm(points - nearest(one, points), axis=1) - one.radius
    for box in one.boxes:
        q = np.abs(box.frame.to_local(points)) - np.array(box.half)
        outside = np.linalg.norm(np.maximum(q, 0.0), axis=1)
        best = np.minimum(best, outside + np.minimum(q.max(axis=1), 0.0))
    return best


def nearest(one: Body, points: Array) -> Array:
    """Return the points of a tube's centreline that are nearest to points, vehicle frame, mm, shape (n, 3)."""
    way = one.end - one.begin
    off = points[:, None, :] - one.begin[None, :, :]
    share = np.clip(np.einsum("mni,ni->mn", off, way) / np.einsum("ni,ni->n", way, way), 0.0, 1.0)
    there = one.begin[None, :, :] + share[:, :, None] * way[None, :, :]
    gaps = np.einsum("mni,mni->mn", points[:, None, :] - there, points[:, None, :] - there)
    return there[np.arange(len(points)), gaps.argmin(axis=1)]


def near(one: Body, low: Array, high: Array, room: float) -> Body | None:
    """Return what of a body comes within `room` mm of a box along the vehicle's axes, None when nothing does."""
    if not (np.all(one.low <= high + room) and np.all(one.high >= low - room)):
        return None
    if not len(one.begin):
        return one
    reach = room + one.radius
    keep = np.all(np.minimum(one.begin, one.end) <= high + reach, axis=1)
    keep &= np.all(np.maximum(one.begin, one.end) >= low - reach, axis=1)
    if not keep.any():
        return None
    return Body(one.begin[keep], one.end[keep], one.radius, one.boxes, one.low, one.high)
