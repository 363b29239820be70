"""Edge nicks, and where a line crosses a contour."""

from __future__ import annotations

import math
from collections.abc import Iterable

from rackgen.geom import outline
from rackgen.geom.outline import Contour, Vertex, arc, sides

Point = tuple[float, float]


def crossings(contour: Contour, point: Point, direction: float) -> tuple[Point, ...]:
    """Return where a whole line crosses a contour, in order along the line, mm.

    Args:
        contour: closed.
        point: on the line, mm.
        direction: of the line, degrees from +X.
    """
    c, s = math.cos(math.radians(direction)), math.sin(math.radians(direction))

    def seen(x: float, y: float) -> Point:
        """Give a point along the line and off it."""
        return (x - point[0]) * c + (y - point[1]) * s, (y - point[1]) * c - (x - point[0]) * s

    found: list[float] = []
    for a, b in sides(contour):
        if a.bulge:
            cx, cy, r, angle = arc(a, b)
            along, off = seen(cx, cy)
            if abs(off) > r:
                continue
            half = math.sqrt(r * r - off * off)
            start = math.atan2(a.y - cy, a.x - cx)
            for at in (along - half, along + half):
                x, y = point[0] + at * c, point[1] + at * s
                swing = (math.atan2(y - cy, x - cx) - start) * math.copysign(1.0, angle) % (2 * math.pi)
                if swing <= abs(angle) + 1e-9 or 2 * math.pi - swing < 1e-9:
                    found.append(at)
        else:
            (t0, d0), (t1, d1) = seen(a.x, a.y), seen(b.x, b.y)
            if d0 != d1 and min(d0, d1) <= 0 <= max(d0, d1):
                found.append(t0 + (t1 - t0) * d0 / (d0 - d1))
    found.sort()
    apart = [t for i, t in enumerate(found) if i == 0 or t - found[i - 1] > 1e-6]
    return tuple((point[0] + t * c, point[1] + t * s) for t in apart)


def nicked(contour: Contour, points: Iterable[Point], size: float) -> Contour:
    """Return an anticlockwise contour with a V `size` mm wide and deep cut into its edge at each point, mm."""
    for point in points:
        contour = _one_nick(contour, point, size)
    return contour


def _one_nick(contour: Contour, point: Point, size: float) -> Contour:
    total = outline.perimeter(contour)
    at = _nearest(contour, point)
    contour = _split(_split(contour, (at - size / 2) % total), (at + size / 2) % total)
    first, last, middle = (_at(contour, s % total)[0] for s in (at - size / 2, at + size / 2, at))
    along = math.atan2(last[1] - first[1], last[0] - first[0])
    # Left of an anticlockwise edge is the metal.
    tip = (middle[0] - size * math.sin(along), middle[1] + size * math.cos(along))
    begin = _vertex_at(contour, first)
    turned = contour[begin:] + contour[:begin]
    end = _vertex_at(turned, last)
    return (Vertex(first[0], first[1]), Vertex(tip[0], tip[1]), *turned[end:])


def _length(a: Vertex, b: Vertex) -> float:
    if a.bulge:
        _, _, r, angle = arc(a, b)
        return r * abs(angle)
    return math.hypot(b.x - a.x, b.y - a.y)


def _point_on(a: Vertex, b: Vertex, share: float) -> Point:
    if a.bulge:
        cx, cy, r, angle = arc(a, b)
        start = math.atan2(a.y - cy, a.x - cx) + angle * share
        return cx + r * math.cos(start), cy + r * math.sin(start)
    return a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share


def _at(contour: Contour, s: float) -> tuple[Point, int, float]:
    """Return the point `s` mm along a contour, the side it lies on and its share of that side."""
    last = len(contour) - 1
    for i, (a, b) in enumerate(sides(contour)):
        length = _length(a, b)
        if s <= length or i == last:
            share = min(1.0, s / length)
            return _point_on(a, b, share), i, share
        s -= length
    raise ValueError("a contour without sides")


def _split(contour: Contour, s: float) -> Contour:
    """Return the contour with a vertex `s` mm along it."""
    (x, y), i, share = _at(contour, s)
    a = contour[i]
    b = contour[(i + 1) % len(contour)]
    if min(math.dist((x, y), (a.x, a.y)), math.dist((x, y), (b.x, b.y))) < 1e-7:
        return contour
    quarter = math.atan(a.bulge)
    before, after = Vertex(a.x, a.y, math.tan(quarter * share)), Vertex(x, y, math.tan(quarter * (1 - share)))
    return (*contour[:i], before, after, *contour[i + 1 :])


def _vertex_at(contour: Contour, point: Point) -> int:
    return min(range(len(contour)), key=lambda i: math.dist(point, (contour[i].x, contour[i].y)))


def _nearest(contour: Contour, point: Point) -> float:
    """Return how far along a contour its nearest place to a point lies, mm."""
    best, gap, run = 0.0, math.inf, 0.0
    for a, b in sides(contour):
        length = _length(a, b)
        if a.bulge:
            cx, cy, _, angle = arc(a, b)
            start = math.atan2(a.y - cy, a.x - cx)
            swing = (math.atan2(point[1] - cy, point[0] - cx) - start) * math.copysign(1.0, angle) % (2 * math.pi)
            share = swing / abs(angle) if swing <= abs(angle) else 0.0
        else:
            share = ((point[0] - a.x) * (b.x - a.x) + (point[1] - a.y) * (b.y - a.y)) / length**2
        share = max(0.0, min(1.0, share))
        off = math.dist(point, _point_on(a, b, share))
        if off < gap - 1e-9:
            best, gap = run + share * length, off
        run += length
    return best
