"""Where on a placed part a point of the vehicle frame lies."""

from __future__ import annotations

import math

from rackgen.geom import spine
from rackgen.geom.frame import Vec, clock_of
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Along, Placed


def nearest_along(placed: Placed, point: Vec) -> float:
    """Return how far along a tube's centreline, mm from its sawn end A, the place nearest to a point lies.

    Args:
        placed: a tube where it stands.
        point: in the vehicle frame, mm.

    Raises:
        TypeError: the part is not a tube.
    """
    if not isinstance(placed.part, BentTube):
        raise TypeError(f"{placed.id} is not a tube")
    # Plain numbers: resolving a rack asks this for every anchor, and an array costs more than its sums.
    local = placed.frame.inverse().point(point)
    best, gap = 0.0, math.inf
    for piece in spine.pieces(placed.part.spine):
        x, y, z = piece.frame.inverse().point(local)
        if piece.bend is None:
            s = min(max(x, 0.0), piece.length)
        else:
            a = math.radians(piece.bend.turn)
            angle = math.atan2(x, piece.bend.clr - (z * math.cos(a) - y * math.sin(a)))
            s = min(max(angle * piece.bend.clr, 0.0), piece.length)
        off = math.dist(spine.frame_at(placed.part.spine, piece.start + s).origin, local)
        if off < gap - 1e-9:
            best, gap = piece.start + s, off
    return best


def along(placed: Placed, point: Vec, toward: Vec) -> Along:
    """Return the anchor on a tube nearest to a point, with the clock that looks in a direction.

    Args:
        placed: a tube where it stands.
        point: in the vehicle frame, mm.
        toward: direction in the vehicle frame that the clock looks in, not along the tube.
    """
    at = nearest_along(placed, point)
    return Along(placed.id, at, clock_toward(placed, at, toward))


def clock_toward(placed: Placed, at: float, toward: Vec) -> float:
    """Return the clock at `at` mm along a tube that looks in a direction of the vehicle frame, degrees."""
    assert isinstance(placed.part, BentTube)
    here = placed.frame.then(spine.frame_at(placed.part.spine, at))
    return clock_of(here.to_local_direction(toward))
