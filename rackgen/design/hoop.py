"""A hoop: leg, bend, back, bend, leg, solved from the outside size that is wanted."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.geom.frame import Frame, Vec
from rackgen.geom.spine import Spine, from_points


@dataclass(frozen=True)
class Drop:
    """A bend in a leg that leaves the hoop's plane downward.

    Attributes:
        at: from the back's axis to the corner of the drop, mm.
        angle: below the hoop's plane, degrees.
    """

    at: float
    angle: float


@dataclass(frozen=True)
class Leg:
    """One leg of a hoop.

    Attributes:
        reach: from the back's outside to the leg's end, measured along the hoop's X, mm.
        bend: angle between back and leg's bend, degrees; 90 is square, less splays the leg outward.
        drop: a drop bend, or None.
    """

    reach: float
    bend: float = 90.0
    drop: Drop | None = None


def corners(width: float, left: Leg, right: Leg, od: float) -> list[Vec]:
    """Return the axis points of a hoop from its left leg's end to its right leg's end.

    Frame of the hoop: origin in the middle of the back's axis, X toward the legs' ends, Y to the right, Z up.

    Args:
        width: outside width over the back, mm.
        left: the left leg.
        right: the right leg.
        od: of the tube, mm.
    """
    half = (width - od) / 2
    out: list[Vec] = []
    for side, leg in ((-1.0, left), (1.0, right)):
        a = math.radians(leg.bend)
        run = leg.reach - od / 2
        splay = -math.cos(a) / math.sin(a) * -side
        end: list[Vec] = [(run, side * half + splay * run, 0.0)]
        if leg.drop is not None:
            at = leg.drop.at
            fall = (run - at) * math.tan(math.radians(leg.drop.angle))
            end = [(run, side * half + splay * run, -fall), (at, side * half + splay * at, 0.0)]
        corner: Vec = (0.0, side * half, 0.0)
        out += [*end, corner] if side < 0 else [corner, *reversed(end)]
    return out


def hoop(width: float, left: Leg, right: Leg, od: float, clr: float) -> tuple[Spine, Frame]:
    """Return a hoop's spine, from the left leg's end, and where it stands in the hoop's frame (see `corners`).

    Raises:
        GeometryError: the bends do not fit the width or a leg.
    """
    return from_points(corners(width, left, right, od), clr)
