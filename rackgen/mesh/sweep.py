"""Points along the centreline of a tube, many at once, and the frames that stand there."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.geom.frame import Array, turn
from rackgen.geom.spine import Spine, length, pieces


@dataclass(frozen=True, eq=False)
class Stations:
    """Frames along a spine, in the spine's own frame.

    Attributes:
        s: from sawn end A, mm, shape (n,).
        origins: on the centreline, mm, shape (n, 3).
        axes: rotations, shape (n, 3, 3), columns X along the tube, Y, and Z at clock 0.
    """

    s: Array
    origins: Array
    axes: Array


def along(spine: Spine, s: ArrayLike) -> Stations:
    """Return the frames at places `s` from end A, mm, shape (n,). Beyond an end its straight or arc is continued."""
    at = np.atleast_1d(np.asarray(s, dtype=float))
    origins, axes = np.zeros((len(at), 3)), np.zeros((len(at), 3, 3))
    parts = pieces(spine)
    if not parts:
        origins[:, 0], axes[:] = at, np.eye(3)
        return Stations(at, origins, axes)
    begins = np.array([p.start for p in parts])
    which = np.clip(np.searchsorted(begins, at, side="right") - 1, 0, len(parts) - 1)
    for k in np.unique(which):
        piece, here = parts[int(k)], which == k
        into = at[here] - piece.start
        base, origin = piece.frame.rotation(), np.asarray(piece.frame.origin)
        if piece.bend is None:
            origins[here] = origin + into[:, None] * base[:, 0]
            axes[here] = base
            continue
        # In the plane of the bend: X along, Z toward its centre.
        swing = turn((1, 0, 0), piece.bend.turn).rotation()
        plane = base @ swing
        a, r = into / piece.bend.clr, piece.bend.clr
        c, z = np.cos(a), np.sin(a)
        origins[here] = origin + (r * z)[:, None] * plane[:, 0] + (r * (1 - c))[:, None] * plane[:, 2]
        bent = np.zeros((len(a), 3, 3))
        bent[:, 0, 0], bent[:, 0, 2], bent[:, 1, 1], bent[:, 2, 0], bent[:, 2, 2] = c, -z, 1.0, z, c
        axes[here] = plane @ bent @ swing.T
    return Stations(at, origins, axes)


def bend_places(spine: Spine, outer: float, deviation: float) -> Array:
    """Return the places where bends begin, end and are divided, so that chords stay within `deviation` mm.

    Args:
        spine: the centreline.
        outer: the tube's outside radius, mm; the chords on the outside of the bend are the longest.
        deviation: mm.
    """
    out: list[float] = []
    for piece in pieces(spine):
        if piece.bend is not None:
            step = 2 * math.acos(1 - deviation / (piece.bend.clr + outer))
            n = max(2, math.ceil(math.radians(piece.bend.angle) / step))
            out += [piece.start + piece.length * k / n for k in range(n + 1)]
    places: Array = np.unique(np.array(out, dtype=np.float64))
    return places


def evenly(spine: Spine, spacing: float, begin: float = 0.0, end: float | None = None) -> Array:
    """Return places from `begin` to `end` no more than `spacing` mm apart, both ends included."""
    last = length(spine) if end is None else end
    return np.linspace(begin, last, max(2, math.ceil(max(0.0, last - begin) / spacing) + 1))
