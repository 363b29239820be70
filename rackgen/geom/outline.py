"""Closed contours of straight lines and true arcs, as a cutting table wants them.

A contour is a tuple of vertices, each with the bulge of the side that leaves it: tan(quarter of the arc's angle),
positive when the arc turns anticlockwise, 0 for a straight side (the convention of the DXF reference for polylines).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array

QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter turn."""


@dataclass(frozen=True)
class Vertex:
    """A corner, mm, and the bulge of the side that leaves it."""

    x: float
    y: float
    bulge: float = 0.0


Contour = tuple[Vertex, ...]


def rectangle(width: float, height: float, radius: float = 0.0, at: tuple[float, float] = (0.0, 0.0)) -> Contour:
    """Return an anticlockwise rectangle about `at`, `width` along X, with rounded corners; mm.

    A radius of half the shorter side gives an obround.
    """
    return rounded(
        [(at[0] + sx * width / 2, at[1] + sy * height / 2) for sx, sy in ((1, -1), (1, 1), (-1, 1), (-1, -1))], radius
    )


def rounded(corners: Sequence[tuple[float, float]], radius: float | Sequence[float]) -> Contour:
    """Return the contour through corners, each replaced by a tangent arc of its radius; mm. Sides may vanish."""
    n = len(corners)
    radii = [float(radius)] * n if isinstance(radius, int | float) else [float(r) for r in radius]
    out: list[Vertex] = []
    for i, (x, y) in enumerate(corners):
        p = np.array([x, y])
        before = np.array(corners[i - 1]) - p
        after = np.array(corners[(i + 1) % n]) - p
        if radii[i] <= 0:
            out.append(Vertex(x, y))
            continue
        a, b = before / np.linalg.norm(before), after / np.linalg.norm(after)
        cross = float(a[0] * b[1] - a[1] * b[0])
        swing = math.pi - math.acos(max(-1.0, min(1.0, float(a @ b))))
        cut = radii[i] * math.tan(swing / 2)
        start, end = p + a * cut, p + b * cut
        bulge = math.tan(swing / 4) * (-1.0 if cross > 0 else 1.0)
        out += [Vertex(float(start[0]), float(start[1]), bulge), Vertex(float(end[0]), float(end[1]))]
    return cleaned(tuple(out))


def cropped(corners: Sequence[tuple[float, float]], crop: float) -> Contour:
    """Return the contour through corners, each cropped by a straight cut `crop` mm along both sides."""
    out: list[Vertex] = []
    n = len(corners)
    for i, (x, y) in enumerate(corners):
        p = np.array([x, y])
        for other in (corners[i - 1], corners[(i + 1) % n]):
            side = np.array(other) - p
            at = p + side / np.linalg.norm(side) * crop
            out.append(Vertex(float(at[0]), float(at[1])))
    return tuple(out)


def cleaned(contour: Contour) -> Contour:
    """Return the contour without sides of no length."""
    n = len(contour)
    return tuple(
        v
        for i, v in enumerate(contour)
        if math.hypot(contour[(i + 1) % n].x - v.x, contour[(i + 1) % n].y - v.y) > 1e-9
    )


def sides(contour: Contour) -> list[tuple[Vertex, Vertex]]:
    """Return each vertex with the one after it."""
    return [(v, contour[(i + 1) % len(contour)]) for i, v in enumerate(contour)]


def arc(start: Vertex, end: Vertex) -> tuple[float, float, float, float]:
    """Return centre x, centre y, radius in mm and signed angle in radians of a side with a bulge."""
    angle = 4 * math.atan(start.bulge)
    dx, dy = end.x - start.x, end.y - start.y
    chord = math.hypot(dx, dy)
    k = (1 - start.bulge**2) / (4 * start.bulge)
    return (start.x + end.x) / 2 - dy * k, (start.y + end.y) / 2 + dx * k, chord / (2 * math.sin(abs(angle) / 2)), angle


def area(contour: Contour) -> float:
    """Return the signed area in mm², exact for arcs; positive when anticlockwise."""
    total = 0.0
    for a, b in sides(contour):
        total += (a.x * b.y - b.x * a.y) / 2
        if a.bulge:
            _, _, r, angle = arc(a, b)
            total += r * r / 2 * (angle - math.sin(angle))
    return total


def perimeter(contour: Contour) -> float:
    """Return the length all round, mm."""
    total = 0.0
    for a, b in sides(contour):
        if a.bulge:
            _, _, r, angle = arc(a, b)
            total += r * abs(angle)
        else:
            total += math.hypot(b.x - a.x, b.y - a.y)
    return total


def centroid(contour: Contour) -> tuple[float, float]:
    """Return the centroid of the enclosed area, mm, exact for arcs."""
    sx = sy = total = 0.0
    for a, b in sides(contour):
        cross = (a.x * b.y - b.x * a.y) / 2
        sx += cross * (a.x + b.x) / 3
        sy += cross * (a.y + b.y) / 3
        total += cross
        if a.bulge:
            cx, cy, r, angle = arc(a, b)
            segment = r * r / 2 * (angle - math.sin(angle))
            # Centroid of a circular segment, from its centre, toward the middle of its arc.
            reach = 4 * r * math.sin(abs(angle) / 2) ** 3 / (3 * (abs(angle) - math.sin(abs(angle))))
            start = math.atan2(a.y - cy, a.x - cx)
            sx += segment * (cx + reach * math.cos(start + angle / 2))
            sy += segment * (cy + reach * math.sin(start + angle / 2))
            total += segment
    return sx / total, sy / total


def polygon(contour: Contour, deviation: float = 0.02) -> Array:
    """Return points along the contour, shape (n, 2), mm, arcs within `deviation` of their chords."""
    out: list[tuple[float, float]] = []
    for a, b in sides(contour):
        out.append((a.x, a.y))
        if a.bulge:
            cx, cy, r, angle = arc(a, b)
            step = 2 * math.acos(max(0.0, 1 - min(deviation, r) / r))
            n = max(2, math.ceil(abs(angle) / step))
            start = math.atan2(a.y - cy, a.x - cx)
            out += [
                (cx + r * math.cos(start + angle * k / n), cy + r * math.sin(start + angle * k / n))
                for k in range(1, n)
            ]
    return np.array(out)


def moved(contour: Contour, dx: float, dy: float) -> Contour:
    """Return the contour moved by (dx, dy) mm."""
    return tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in contour)


def turned(contour: Contour, degrees: float) -> Contour:
    """Return the contour turned about the origin, positive anticlockwise."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple(Vertex(c * v.x - s * v.y, s * v.x + c * v.y, v.bulge) for v in contour)


def flipped(contour: Contour) -> Contour:
    """Return the contour mirrored in the X axis (y becomes -y), still running anticlockwise if it did."""
    n = len(contour)
    return tuple(Vertex(contour[-i % n].x, -contour[-i % n].y, contour[(-i - 1) % n].bulge) for i in range(n))
