"""Plane figures to triangles: holes bridged to the outside, ears clipped, and cuts along straight lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array
from rackgen.mesh.mesh import Ints, Mesh


def signed_area(points: Array) -> float:
    """Return the area inside a closed row of points, shape (n, 2), mm²; positive when anticlockwise."""
    x, y = points[:, 0], points[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def inside(points: Array, loop: Array) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return which points, shape (n, 2), lie inside a closed row of points, shape (m, 2), by even and odd crossings."""
    x, y = points[:, 0, None], points[:, 1, None]
    a, b = loop, np.roll(loop, -1, axis=0)
    spans = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    crossing = a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    return np.count_nonzero(spans & (crossing > x), axis=1) % 2 == 1


def triangulate(outer: Array, holes: Sequence[Array] = ()) -> tuple[Array, Ints]:
    """Return the points of all rows, shape (n, 2), and anticlockwise triangles that fill the outer row less the holes.

    Args:
        outer: closed row of points, either way round.
        holes: closed rows inside it, apart from one another and from the outer row.

    Raises:
        GeometryError: rows that cross or touch, or a hole that is not inside.
    """
    rows = [outer if signed_area(outer) > 0 else outer[::-1]]
    rows += [h if signed_area(h) < 0 else h[::-1] for h in holes]
    points = np.concatenate(rows)
    starts = np.cumsum([0] + [len(r) for r in rows])
    loops = [list(range(int(a), int(b))) for a, b in pairwise(starts)]
    loop = _bridged(points, loops)
    faces = _clipped(points, loop)
    want = sum(signed_area(r) for r in rows)
    a, b, c = (points[faces[:, k]] for k in range(3))
    got = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    if got.min() < -1e-6 or abs(got.sum() / 2 - want) > 1e-6 * max(1.0, abs(want)):
        raise GeometryError("an outline crosses itself or its holes, so it cannot be filled")
    return points, faces


def _cross(o: Array, a: Array, b: Array) -> Array:
    """Return twice the signed area of triangles o, a, b, broadcast over leading axes."""
    return (a[..., 0] - o[..., 0]) * (b[..., 1] - o[..., 1]) - (a[..., 1] - o[..., 1]) * (b[..., 0] - o[..., 0])


def _bridged(points: Array, loops: list[list[int]]) -> list[int]:
    """Return one row of indices: the outer loop with every hole let in through a doubled bridge."""
    loop = loops[0]
    # The hole that reaches furthest to +X sees the outer loop from there, once those beyond it are let in.
    todo = sorted(loops[1:], key=lambda h: -float(points[h, 0].max()))
    for k, hole in enumerate(todo):
        begin = int(np.argmax(points[hole, 0]))
        m = hole[begin]
        tails = np.array([e for row in (loop, *todo[k:]) for e in row])
        heads = np.array([e for row in (loop, *todo[k:]) for e in (*row[1:], row[0])])
        near = np.argsort(np.linalg.norm(points[loop] - points[m], axis=1), kind="stable")
        at = next((int(i) for i in near if _sees(points, loop, int(i), m, tails, heads)), None)
        if at is None:
            raise GeometryError("a hole is not inside its outline")
        loop = [*loop[: at + 1], *hole[begin:], *hole[:begin], m, *loop[at:]]
    return loop


def _sees(points: Array, loop: list[int], i: int, m: int, tails: Ints, heads: Ints) -> bool:
    """Return whether the bridge from loop place `i` to point `m` runs inside and meets no side on its way."""
    v = loop[i]
    before, after = points[loop[i - 1]], points[loop[(i + 1) % len(loop)]]
    here, there = points[v], points[m]
    left, right = float(_cross(here, after, there)), float(_cross(here, there, before))
    convex = float(_cross(before, here, after)) > 0
    if not (left > 0 and right > 0 if convex else left > 0 or right > 0):
        return False
    free = (tails != v) & (heads != v) & (tails != m) & (heads != m)
    a, b = points[tails[free]], points[heads[free]]
    apart = _cross(a, b, here) * _cross(a, b, there) > 0
    beside = _cross(here, there, a) * _cross(here, there, b) > 0
    return bool(np.all(apart | beside))


def _clipped(points: Array, loop: list[int]) -> Ints:
    """Return the ears of one row of indices, which may pass a point twice, cut off one after the other."""
    n = len(loop)
    index = np.array(loop)
    x, y = points[index, 0], points[index, 1]
    xs, ys = x.tolist(), y.tolist()
    before, after = [n - 1, *range(n - 1)], [*range(1, n), 0]
    size = max(float(np.ptp(x)), float(np.ptp(y)))
    eps = 1e-12 * size * size

    def turn(i: int) -> float:
        a, c = before[i], after[i]
        return (xs[i] - xs[a]) * (ys[c] - ys[a]) - (ys[i] - ys[a]) * (xs[c] - xs[a])

    # Only corners that turn inward, or run straight on, can lie inside an ear.
    inward = np.array([turn(i) <= eps for i in range(n)])

    def ear(i: int) -> bool:
        a, c = before[i], after[i]
        ax, ay, bx, by, cx, cy = xs[a], ys[a], xs[i], ys[i], xs[c], ys[c]
        hit = inward & ((bx - ax) * (y - ay) - (by - ay) * (x - ax) >= -eps)
        hit &= (cx - bx) * (y - by) - (cy - by) * (x - bx) >= -eps
        hit &= (ax - cx) * (y - cy) - (ay - cy) * (x - cx) >= -eps
        if not hit.any():
            return True
        own = (index[a], index[i], index[c])
        return all(index[k] in own for k in np.flatnonzero(hit))

    faces: list[tuple[int, int, int]] = []
    left, i, missed = n, 0, 0
    while left > 3:
        turned = turn(i)
        # After a fruitless round, a straight corner may go too: its ear has no area but keeps the sides joined.
        if (turned > eps or (missed > left and turned > -eps)) and ear(i):
            a, c = before[i], after[i]
            faces.append((loop[a], loop[i], loop[c]))
            after[a], before[c] = c, a
            inward[i] = False
            inward[a], inward[c] = turn(a) <= eps, turn(c) <= eps
            left, missed, i = left - 1, 0, c
        else:
            missed += 1
            if missed > 2 * left:
                raise GeometryError("an outline crosses itself, so it cannot be filled")
        i = after[i]
    faces.append((loop[before[i]], loop[i], loop[after[i]]))
    return np.array(faces, dtype=np.int64)


def split(points: Array, faces: Ints, at: tuple[float, float], along: tuple[float, float]) -> tuple[Array, Ints]:
    """Return the triangles cut along a straight line, so that none lies on both sides of it.

    Args:
        points: shape (n, 2), mm; those within 1e-7 mm of the line count as on it.
        faces: triangles, shape (m, 3).
        at: a point on the line.
        along: its direction.
    """
    d = np.asarray(along) / np.hypot(*along)
    off = (points[:, 1] - at[1]) * d[0] - (points[:, 0] - at[0]) * d[1]
    off[np.abs(off) < 1e-7] = 0.0
    side = np.sign(off)[faces]
    crossed = (side.min(axis=1) < 0) & (side.max(axis=1) > 0)
    if not crossed.any():
        return points, faces
    new: dict[tuple[int, int], int] = {}
    extra: list[Array] = []

    def middle(a: int, b: int) -> int:
        key = (a, b) if a < b else (b, a)
        if key not in new:
            t = off[key[0]] / (off[key[0]] - off[key[1]])
            new[key] = len(points) + len(extra)
            extra.append(points[key[0]] + t * (points[key[1]] - points[key[0]]))
        return new[key]

    out = faces[~crossed].tolist()
    for face in faces[crossed].tolist():
        s = [float(np.sign(off[v])) for v in face]
        if 0.0 in s:
            k = s.index(0.0)
            a, b, c = face[k], face[(k + 1) % 3], face[(k + 2) % 3]
            m = middle(b, c)
            out += [(a, b, m), (a, m, c)]
        else:
            k = next(k for k in range(3) if s[k] != s[(k + 1) % 3] and s[k] != s[(k + 2) % 3])
            a, b, c = face[k], face[(k + 1) % 3], face[(k + 2) % 3]
            p, q = middle(a, b), middle(a, c)
            out += [(a, p, q), (p, b, c), (p, c, q)]
    return np.concatenate([points, np.array(extra).reshape(-1, 2)]), np.array(out, dtype=np.int64)


def rim(faces: Ints) -> Ints:
    """Return the sides that belong to one triangle only, as they run in it, shape (n, 2)."""
    pairs = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    # A side is inner when it is also there the other way round.
    size = int(faces.max()) + 1
    there, back = pairs[:, 0] * size + pairs[:, 1], pairs[:, 1] * size + pairs[:, 0]
    return pairs[~np.isin(there, back)]


def slab(top: Array, bottom: Array, faces: Ints) -> Mesh:
    """Return the closed body between two like-numbered sheets of points, shape (n, 3), walled along the rim."""
    n = len(top)
    edge = rim(faces)
    a, b = edge[:, 0], edge[:, 1]
    walls = np.concatenate([np.stack([b, a, a + n], axis=1), np.stack([b, a + n, b + n], axis=1)])
    return Mesh(np.concatenate([top, bottom]), np.concatenate([faces, faces[:, ::-1] + n, walls]))
