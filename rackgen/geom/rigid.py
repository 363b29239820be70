"""Places a scan on the vehicle: the rigid motion that carries named landmarks on their places, or a stated frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, Frame, vec

OFF_LINE = 0.05
"""Landmarks spread across their longest direction by less than this share of it lie on one line."""
SQUARE = 5.0
"""How far from square to each other the two directions of a frame may be, degrees."""


@dataclass(frozen=True)
class Placing:
    """Where a scan lies on the vehicle.

    Attributes:
        frame: the scan's own axes in the vehicle frame, mm.
        off: distance of each landmark from its place once moved, mm, in the order given.
        scale: how many times longer the places lie apart than the scan's landmarks; 1 for a scan in its stated unit.
        mirrored: by what share a mirrored scan would fit better: 1 would be all, 0 nothing; below 0 worse.
    """

    frame: Frame
    off: tuple[float, ...]
    scale: float
    mirrored: float

    @property
    def rms(self) -> float:
        """Root mean square of the distances, mm."""
        return math.sqrt(sum(d * d for d in self.off) / len(self.off))


def placed_by_landmarks(scan: ArrayLike, places: ArrayLike) -> Placing:
    """Return the rigid motion, turned and shifted only, that brings landmarks nearest to their places.

    Least squares after Kabsch (Acta Cryst. A32 (1976) 922) with the reflection kept out as Umeyama does
    (IEEE PAMI 13 (1991) 376); no scaling.

    Args:
        scan: landmarks as the scan has them, mm, shape (n, 3).
        places: where they are on the vehicle, mm, shape (n, 3).

    Raises:
        GeometryError: fewer than three, or nearly on one line in either.
    """
    p, q = np.asarray(scan, dtype=float), np.asarray(places, dtype=float)
    if len(p) < 3:
        raise GeometryError(f"three landmarks or more are needed, not {len(p)}")
    a, b = p - p.mean(axis=0), q - q.mean(axis=0)
    for points, where in ((a, "in the scan"), (b, "on the vehicle")):
        spread = np.linalg.svd(points, compute_uv=False)
        if not spread[1] > OFF_LINE * spread[0]:
            raise GeometryError(f"the landmarks lie on one line {where}; take one well to the side")
    u, s, vt = np.linalg.svd(b.T @ a)
    handed = 1.0 if np.linalg.det(u @ vt) > 0 else -1.0
    turned = u @ np.diag([1.0, 1.0, handed]) @ vt
    origin = q.mean(axis=0) - turned @ p.mean(axis=0)
    off = np.linalg.norm(p @ turned.T + origin - q, axis=1)
    scale = math.sqrt(float((b**2).sum() / (a**2).sum()))
    # The mirror image is as near as the sum of all three singular values says, the turn as the sum with its sign.
    apart = float((a**2).sum() + (b**2).sum())
    ours = apart - 2 * float(s[0] + s[1] + handed * s[2])
    other = apart - 2 * float(s[0] + s[1] - handed * s[2])
    better = 0.0 if ours <= 1e-9 * apart else 1 - max(other, 0.0) / ours
    return Placing(_frame(turned, origin), tuple(float(d) for d in off), scale, better)


def placed_by_frame(origin: ArrayLike, aft: ArrayLike, up: ArrayLike) -> Placing:
    """Return the motion that puts a stated frame of the scan on the vehicle's.

    Args:
        origin: the point of the scan that is the vehicle's datum, mm.
        aft: direction to the rear, as the scan has it; kept as given.
        up: direction upward; squared to `aft`.

    Raises:
        GeometryError: a direction has no length, or the two are not square to each other within `SQUARE`.
    """
    x, z = np.asarray(aft, dtype=float), np.asarray(up, dtype=float)
    lengths = float(np.linalg.norm(x)), float(np.linalg.norm(z))
    if not min(lengths) > 0:
        raise GeometryError("a direction of the frame has no length")
    lean = abs(math.degrees(math.asin(min(1.0, abs(float(x @ z)) / (lengths[0] * lengths[1])))))
    if lean > SQUARE:
        raise GeometryError(f"aft and up are {lean:.1f}° from square to each other; {SQUARE:g}° is the most")
    return Placing(Frame.of(origin, x / lengths[0], z / lengths[1]).inverse(), (), 1.0, 0.0)


def _frame(turned: Array, origin: Array) -> Frame:
    return Frame(vec(origin), vec(turned[:, 0]), vec(turned[:, 1]), vec(turned[:, 2]))
