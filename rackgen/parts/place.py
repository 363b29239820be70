"""Where on a placed part a point of the vehicle frame lies."""

from __future__ import annotations

import math

import numpy as np

from rackgen.geom import spine
from rackgen.geom.frame import Vec, clock_direction, clock_of
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
    local = placed.frame.to_local(point)
    best, gap = 0.0, math.inf
    for piece in spine.pieces(placed.part.spine):
        p = piece.frame.to_local(local)
        if piece.bend is None:
            s = float(np.clip(p[0], 0.0, piece.length))
        else:
            toward = clock_direction(piece.bend.turn)
            angle = math.atan2(float(p[0]), piece.bend.clr - float(p @ toward))
            s = float(np.clip(angle * piece.bend.clr, 0.0, piece.length))
        off = float(np.linalg.norm(np.asarray(spine.frame_at(placed.part.spine, piece.start + s).origin) - local))
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
