"""The convex hull of a handful of points, and convex figures cut along a line."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, unit

Ints = NDArray[np.int64]


def hull(points: ArrayLike) -> Ints:
    """Return the triangles of the convex hull of a few dozen points, as rows of three indices, outward side out.

    Every plane through three points that has all others on one side is a face; its points are fanned in order.

    Args:
        points: shape (n, 3), not all in one plane.

    Raises:
        GeometryError: they have no volume.
    """
    p = np.asarray(points, dtype=float)
    size = float(np.ptp(p, axis=0).max())
    _, first = np.unique(np.round(p / max(size, 1e-9), 9), axis=0, return_index=True)
    kept = np.sort(first)
    q = p[kept]
    triples = np.array(list(combinations(range(len(q)), 3)), dtype=np.int64).reshape(-1, 3)
    a, b, c = (q[triples[:, k]] for k in range(3))
    n: Array = np.cross(b - a, c - a)
    long = np.linalg.norm(n, axis=1)
    sound = long > 1e-7 * size * size
    triples, a, n = triples[sound], a[sound], n[sound] / long[sound, None]
    off = n @ q.T - np.einsum("ni,ni->n", n, a)[:, None]
    tolerance = 1e-6 * size
    above, below = (off <= tolerance).all(axis=1), (off >= -tolerance).all(axis=1)
    if not (above ^ below).any() or (above & below).any():
        raise GeometryError("points in one plane enclose nothing")
    outward: Array = np.where(below[:, None], -n, n)
    face = np.flatnonzero(above | below)
    on = np.abs(off[face]) <= tolerance
    _, distinct = np.unique(on, axis=0, return_index=True)
    out: list[tuple[int, int, int]] = []
    for k in np.sort(distinct):
        rim = np.flatnonzero(on[k])
        normal = outward[face[k]]
        middle = q[rim].mean(axis=0)
        x = unit(q[rim[0]] - middle)
        y = np.cross(normal, x)
        order = rim[np.argsort([math.atan2(float(v @ y), float(v @ x)) for v in q[rim] - middle])]
        out += [(int(kept[order[0]]), int(kept[i]), int(kept[j])) for i, j in pairwise(order[1:])]
    return np.array(out, dtype=np.int64)


def is_convex(loop: ArrayLike) -> bool:
    """Return whether a closed row of points, shape (n, 2), turns one way at every corner."""
    p = np.asarray(loop, dtype=float)
    to, on = np.roll(p, -1, axis=0) - p, np.roll(p, -2, axis=0) - np.roll(p, -1, axis=0)
    turns = to[:, 0] * on[:, 1] - to[:, 1] * on[:, 0]
    return bool((turns >= -1e-9).all() or (turns <= 1e-9).all())


def halves(loop: ArrayLike, side: ArrayLike) -> list[Array]:
    """Return a convex closed row of points cut where `side` is 0: the part where it is positive, and the other.

    Args:
        loop: shape (n, k), mm.
        side: signed distance of each point from the cut, mm, shape (n,).

    Returns:
        One row where the cut leaves less than 0.001 mm to a side.
    """
    p, s = np.asarray(loop, dtype=float), np.asarray(side, dtype=float)
    out: list[Array] = []
    for sign in (1.0, -1.0):
        if (sign * s).max() < 1e-3:
            continue
        row: list[Array] = []
        for i in range(len(p)):
            j = (i + 1) % len(p)
            a, b = sign * float(s[i]), sign * float(s[j])
            if a >= 0:
                row.append(p[i])
            if (a > 0 > b) or (a < 0 < b):
                row.append(p[i] + (p[j] - p[i]) * (a / (a - b)))
        out.append(np.array(row))
    return out
