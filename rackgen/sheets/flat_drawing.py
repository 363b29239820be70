"""Flat blanks as drawings at full size: outline, holes to drill, openings, fold lines, and where a text finds room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from rackgen.geom import outline
from rackgen.geom.frame import Array
from rackgen.geom.outline import Contour
from rackgen.sheets.drawing import Circle, Item, Point, Stroke, Words
from rackgen.sheets.flats import Blank, FoldLine, RoundHole
from rackgen.sheets.lettering import LEADING, SMALL, block, broken, depth, room
from rackgen.sheets.words import size
from rackgen.units import Unit

Box = tuple[float, float, float, float]
"""Left, bottom, right, top, mm."""

CROSS = 2.0
"""How far the cross of a hole goes beyond it, mm."""

AROUND = 1.5
"""Kept free between a text and what it must not touch, mm."""


LONG = 170.0
"""Pieces longer than this may be tiled, mm."""


def rim(contour: Contour) -> Array:
    """Return a contour as points, arcs within 0.02 mm, shape (n, 2)."""
    return outline.polygon(contour)


def box_of(points: Array) -> Box:
    """Return the box round points, mm."""
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def stroke(contour: Contour) -> Stroke:
    """Return a contour as a closed line to cut along."""
    return Stroke(tuple((float(x), float(y)) for x, y in rim(contour)), "cut", closed=True)


def flat_items(blank: Blank, unit: Unit) -> list[Item]:
    """Return the outline of a blank, its holes as circles with crosses and drill sizes, its openings with centres."""
    items: list[Item] = [stroke(blank.outline)]
    for opening in (*blank.openings, *blank.drilled):
        items += _opening(opening, unit)
    for hole in (*blank.holes, *blank.centres):
        items += drilled(hole, unit)
    return items


def drilled(hole: RoundHole, unit: Unit, label: str = "") -> list[Item]:
    """Return a hole's circle and cross, its drill below it and a label over it."""
    r = hole.diameter / 2
    items: list[Item] = [
        Circle(hole.x, hole.y, r, "mark"),
        Words(hole.x, hole.y - r, size(hole.diameter, unit), SMALL, shift=(0.0, -CROSS - 1.0 - SMALL / 2)),
    ]
    if label:
        items.append(Words(hole.x, hole.y + r, label, SMALL, shift=(0.0, CROSS + 1.0 + SMALL / 2), bold=True))
    return items


def _opening(contour: Contour, unit: Unit) -> list[Item]:
    x0, y0, x1, y1 = box_of(rim(contour))
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    sides = " × ".join(size(s, unit) for s in sorted((x1 - x0, y1 - y0), reverse=True))
    return [
        stroke(contour),
        Stroke(((x0 - CROSS, y), (x1 + CROSS, y)), "thin"),
        Stroke(((x, y0 - CROSS), (x, y1 + CROSS)), "thin"),
        Words(x, y0, sides, SMALL, shift=(0.0, -CROSS - 1.0 - SMALL / 2)),
    ]


def fold_items(fold: FoldLine, label: str) -> list[Item]:
    """Return a fold's middle dash-dotted, its edges thin, and its label along it, or over it where it is short.

    Args:
        fold: the fold.
        label: what is said along it, "" for nothing.
    """
    (ax, ay), (bx, by) = fold.start, fold.end
    long = math.hypot(bx - ax, by - ay)
    along = np.array([bx - ax, by - ay]) / long
    across = np.array([-along[1], along[0]])
    items: list[Item] = [Stroke((fold.start, fold.end), "fold")]
    items += [Stroke(limit, "thin") for limit in fold.limits]
    if not label:
        return items
    # Read from below or from the right, as every text on the page.
    angle = (math.degrees(math.atan2(along[1], along[0])) + 90.0 + 1e-6) % 180.0 - 90.0 - 1e-6
    if abs(angle) > 80:
        angle = 90.0
    if room(label, SMALL) <= long - 4.0:
        off = fold.width / 2 + 1.0 + SMALL / 2 if fold.width > 0.5 else 1.0 + SMALL / 2
        up = across if across[0] < 0 or (across[0] == 0 and across[1] > 0) else -across
        at = np.array([ax + bx, ay + by]) / 2
        items.append(
            Words(float(at[0]), float(at[1]), label, SMALL, angle=angle, shift=(float(up[0] * off), float(up[1] * off)))
        )
    else:
        x, y = max((fold.start, fold.end), key=lambda p: p[1])
        items.append(Words(x, y, label, SMALL, shift=(0.0, 3.0)))
    return items


def kept_clear(items: Iterable[Item]) -> list[Box]:
    """Return boxes that a text must stay out of: holes, openings, their sizes, labels of folds."""
    out: list[Box] = []
    for item in items:
        if isinstance(item, Circle):
            r = item.radius + CROSS
            out.append((item.x - r, item.y - r, item.x + r, item.y + r))
        elif isinstance(item, Words):
            half, high = room(item.text, item.height, bold=item.bold) / 2, item.height * 0.75
            turned = abs(item.angle) > 45
            w, h = (high, half) if turned else (half, high)
            x, y = item.x + item.shift[0], item.y + item.shift[1]
            out.append((x - w, y - h, x + w, y + h))
        elif isinstance(item, Stroke) and item.style in ("fold", "thin"):
            out.append(box_of(np.array(item.points)))
    return out


def free_place(edge: Array, taken: Sequence[Box], wide: float, high: float) -> Point | None:
    """Return the middle of a place inside an outline for a block, nearest to the outline's own middle, or None.

    Args:
        edge: the outline, shape (n, 2), mm.
        taken: boxes to stay out of.
        wide: of the block, mm.
        high: of the block, mm.
    """
    x0, y0, x1, y1 = box_of(edge)
    half, up = wide / 2 + AROUND, high / 2 + AROUND
    if x1 - x0 < 2 * half or y1 - y0 < 2 * up:
        return None
    # A long piece is tiled, and a tile's edge may run through its middle.
    mid = np.array(
        [x0 + (x1 - x0) * (0.25 if x1 - x0 > LONG else 0.5), y0 + (y1 - y0) * (0.75 if y1 - y0 > LONG else 0.5)]
    )
    xs = np.linspace(x0 + half, x1 - half, max(2, math.ceil((x1 - x0 - 2 * half) / 2.0) + 1))
    ys = np.linspace(y0 + up, y1 - up, max(2, math.ceil((y1 - y0 - 2 * up) / 2.0) + 1))
    spots = np.array([(x, y) for x in (*xs, mid[0]) for y in (*ys, mid[1])])
    good = np.ones(len(spots), dtype=bool)
    for bx0, by0, bx1, by1 in taken:
        x, y = spots[:, 0], spots[:, 1]
        good &= (x + half <= bx0) | (x - half >= bx1) | (y + up <= by0) | (y - up >= by1)
    for sx in (-half, half):
        for sy in (-up, up):
            good &= _inside(edge, spots + np.array([sx, sy]))
    if not good.any():
        return None
    near = np.linalg.norm(spots - mid, axis=1) + np.where(good, 0.0, np.inf)
    x, y = spots[int(np.argmin(near))]
    return float(x), float(y)


def _inside(edge: Array, points: Array) -> Array:
    """Return which points lie inside a closed row of points, by counting the sides that a ray crosses."""
    (ax, ay), (bx, by) = edge.T, np.roll(edge, -1, axis=0).T
    x, y = points[:, :1], points[:, 1:]
    astride = (ay > y) != (by > y)
    rise = np.where(by == ay, 1.0, by - ay)
    return np.asarray(np.count_nonzero(astride & (x < ax + (y - ay) * (bx - ax) / rise), axis=1) % 2 == 1)


def titled(
    edge: Array,
    items: Sequence[Item],
    texts: Sequence[tuple[str, float, bool]],
    widths: Sequence[float],
    above: float = 6.0,
) -> list[Item]:
    """Return the words that a piece carries, inside its outline where they find room, else above it.

    Args:
        edge: its outline, shape (n, 2), mm.
        items: what they must not touch.
        texts: each with the height of its capitals and whether it is bold.
        widths: widths of the block to try, the best first, mm.
        above: how far over the piece the lowest line stands where none fits inside, mm.
    """
    taken = kept_clear(items)
    for width in widths:
        lines = [(line, h, bold) for text, h, bold in texts for line in broken(text, width, h, bold=bold)]
        wide = max(room(line, h, bold=bold) for line, h, bold in lines)
        high = depth(texts, width)
        place = free_place(edge, taken, wide, high)
        if place is not None:
            words, _ = block(texts, place[0], place[1] + high / 2, width)
            return list(words)
    x0, _, x1, y1 = box_of(edge)
    out: list[Item] = []
    for k, (text, height, bold) in enumerate(reversed(texts)):
        out.append(Words((x0 + x1) / 2, y1, text, height, shift=(0.0, above + k * SMALL * LEADING), bold=bold))
    return out
