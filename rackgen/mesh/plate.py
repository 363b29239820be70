"""Plates, pads and panels as triangles: the outline filled, cut along its breaks, folded, and walled round."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np

from rackgen.geom.breaks import Break, across, crossing, folded_frame
from rackgen.geom.frame import Array
from rackgen.geom.outline import Contour, polygon
from rackgen.mesh.mesh import Mesh
from rackgen.mesh.polygon import slab, split, triangulate
from rackgen.parts.kinds import CutPlate, PlateHole

DEVIATION = 0.02
"""How far chords may lie from arcs and round holes, mm."""


def plate(part: CutPlate) -> Mesh:
    """Return the plate's surface in its own frame; expanded metal as its plain envelope."""
    points, faces = triangulate(polygon(part.outline, DEVIATION), openings(part.holes, part.openings))
    for fold in part.breaks:
        points, faces = split(points, faces, fold.point, heading(fold))
    return slab(lifted(part, points, part.thickness), lifted(part, points, 0.0), faces)


def flat(outline: Contour, holes: Sequence[Contour], thickness: float) -> Mesh:
    """Return a flat body of an outline less its openings, from z = 0 up; mm."""
    points, faces = triangulate(polygon(outline, DEVIATION), openings((), holes))
    up = np.column_stack([points, np.full(len(points), thickness)])
    return slab(up, np.column_stack([points, np.zeros(len(points))]), faces)


def openings(holes: Sequence[PlateHole], others: Sequence[Contour]) -> list[Array]:
    """Return every hole as a row of points, shape (n, 2), mm."""
    return [circle(h.x, h.y, h.diameter / 2) for h in holes] + [polygon(c, DEVIATION) for c in others]


def circle(x: float, y: float, radius: float, deviation: float = DEVIATION) -> Array:
    """Return a circle as an anticlockwise row of points, shape (n, 2), mm; n a multiple of 4."""
    n = around(radius, deviation)
    a = np.arange(n) * (2 * math.pi / n)
    return np.column_stack([x + radius * np.cos(a), y + radius * np.sin(a)])


def around(radius: float, deviation: float = DEVIATION) -> int:
    """Return into how many chords a circle is divided, a multiple of 4."""
    step = 2 * math.acos(1 - min(deviation, radius / 2) / radius)
    return max(8, 4 * math.ceil(2 * math.pi / step / 4))


def lifted(part: CutPlate, points: Array, height: float) -> Array:
    """Return points of the flat outline where the finished plate has them.

    Args:
        part: the plate.
        points: in the flat outline, shape (n, 2), mm.
        height: from the lower face, square to the plate, 0 to its thickness, mm.

    Returns:
        Shape (n, 3), part frame, mm. Both sides of a break fall by half its angle from a line that stays at
        mid-thickness; with two, each quarter is turned about their crossing (see `geom.breaks`).
    """
    if not part.breaks:
        return np.column_stack([points, np.full(len(points), height)])
    middle, off = part.thickness / 2, height - part.thickness / 2
    flat = np.column_stack([points, np.full(len(points), middle)])
    lines = [across(fold) for fold in part.breaks]
    sides = np.array(
        [(points - np.array(fold.point)) @ line[:2] for fold, line in zip(part.breaks, lines, strict=True)]
    )
    sides[np.abs(sides) < 1e-6] = 0.0
    middle_of = np.array(crossing(part.breaks))
    total, count = np.zeros_like(flat), np.zeros(len(points))
    for signs in product((-1.0, 1.0), repeat=len(lines)):
        # A point on a break belongs to the pieces on both sides, and stays halfway between where they take it.
        here = np.all(sides * np.array(signs)[:, None] >= 0, axis=0)
        x, y = middle_of + sum(s * line[:2] for s, line in zip(signs, lines, strict=True))
        total[here] += folded_frame(part.breaks, part.thickness, float(x), float(y)).points(flat[here])
        count += here
    lean = [math.tan(math.radians(fold.angle) / 2) for fold in part.breaks]
    n = np.column_stack([np.zeros((len(points), 2)), np.ones(len(points))])
    for side, line, slope in zip(sides, lines, lean, strict=True):
        n += slope * np.sign(side)[:, None] * line
    # Along the normal of its piece, on a break along the mitre, so that both faces stay `off` from the middle.
    steep = math.sqrt(1 + sum(slope**2 for slope in lean))
    return total / count[:, None] + n * (off * steep / np.einsum("ij,ij->i", n, n))[:, None]


def heading(fold: Break) -> tuple[float, float]:
    """Return the direction of a break as a unit vector in the outline."""
    a = math.radians(fold.direction)
    return math.cos(a), math.sin(a)
