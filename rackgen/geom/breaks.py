"""Where a point of a plate's flat blank lies once the plate is broken along its shallow lines.

Every half or quarter is a rigid piece: turned about the crossing of the lines so that its face takes the slope of
z = -tan(a / 2) |u| - tan(b / 2) |v|, with u and v counted from the lines. One break is exact; two do not unfold
exactly, and `closure` says by how much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array, Frame, turn, unit


@dataclass(frozen=True)
class Break:
    """A shallow fold right across a plate.

    Attributes:
        point: on the line, in the flat outline, mm.
        direction: of the line, degrees from +X.
        angle: how far both sides together fall away from +Z, degrees; negative lifts them.
    """

    point: tuple[float, float]
    direction: float
    angle: float


def across(line: Break) -> Array:
    """Return the unit vector across a line in the plate's plane, to its left."""
    a = math.radians(line.direction)
    return np.array([-math.sin(a), math.cos(a), 0.0])


def crossing(breaks: tuple[Break, ...]) -> tuple[float, float]:
    """Return the point that stays where it is: on the one line, or where the two cross, mm."""
    if len(breaks) < 2:
        return breaks[0].point if breaks else (0.0, 0.0)
    rows = np.array([across(b)[:2] for b in breaks])
    reach = np.array([float(across(b)[:2] @ np.array(b.point)) for b in breaks])
    x, y = np.linalg.solve(rows, reach)
    return float(x), float(y)


def folded_frame(breaks: tuple[Break, ...], thickness: float, x: float, y: float) -> Frame:
    """Return the rigid motion of the piece that holds the flat place (x, y), in the plate's frame.

    The lines are at mid-thickness; a place on a line belongs to the side to its left.
    """
    if not breaks:
        return Frame()
    cx, cy = crossing(breaks)
    slope = np.zeros(3)
    for line in breaks:
        side = float((np.array([x, y, 0.0]) - np.array([*line.point, 0.0])) @ across(line))
        slope += math.tan(math.radians(line.angle) / 2) * (1.0 if side >= 0 else -1.0) * across(line)
    normal = unit(slope + np.array([0.0, 0.0, 1.0]))
    axis = np.cross((0.0, 0.0, 1.0), normal)
    lean = math.degrees(math.asin(min(1.0, float(np.linalg.norm(axis)))))
    if lean < 1e-12:
        return Frame()
    about = Frame((cx, cy, thickness / 2))
    return about.then(turn(axis, lean)).then(about.inverse())


def closure(breaks: tuple[Break, ...], reach: float) -> float:
    """Return by how much two breaks fail to close at the plate's edge, mm.

    Args:
        breaks: none, one or two.
        reach: from the crossing to the edge along the longer half-break, mm.

    Four faces of slope tan(a / 2), tan(b / 2) meet at the crossing in corners of a little under 90 degrees; the missing
    angle of all four times the reach is what the blank has too much.
    """
    if len(breaks) < 2:
        return 0.0
    p, q = (math.tan(math.radians(b.angle) / 2) for b in breaks)
    u, v = unit((1.0, 0.0, -p)), unit((0.0, 1.0, -q))
    corner = math.acos(float(u @ v))
    return abs(2 * math.pi - 4 * corner) * reach
