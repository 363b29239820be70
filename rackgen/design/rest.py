"""How a rigid body comes to rest on supports of uneven height: on three of them, so that it lies lowest."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array


@dataclass(frozen=True, eq=False)
class Supports:
    """A body over its supports.

    Attributes:
        points: where it is supported, seen from its centre of mass, mm, shape (n, 2).
        gaps: how far it is above each support, mm, shape (n,).
    """

    points: Array
    gaps: Array


def mean_rest(supports: Supports) -> Array:
    """Return rise, and slopes in x and y, that bring a body nearest to all of its supports (least squares)."""
    rows = np.column_stack([np.ones(len(supports.points)), supports.points])
    held = np.diag([0.0, 1e-3, 1e-3]) * max(1.0, float(np.abs(supports.points).max(initial=1.0)))
    both = np.vstack([rows, held])
    found = np.linalg.lstsq(both, np.concatenate([-supports.gaps, np.zeros(3)]), rcond=None)[0]
    return np.asarray(found, dtype=np.float64)


def rest(points: Array, gaps: Array) -> Array:
    """Return rise, and slopes in x and y, with which bodies lie on three supports each, running into none.

    Of all triples round the centre of mass a body rests on the one that holds it highest (duality of linear
    programmes: the lowest place that clears every support is the highest that three of them demand).

    Args:
        points: of the supports from the centre of mass, mm, shape (n, 2).
        gaps: of each body to each support, mm, shape (m, n).

    Returns:
        Shape (m, 3). Bodies with fewer than three supports, or none round the centre of mass, are set as near to all
        of them as they can be.
    """
    triples: list[tuple[tuple[int, ...], Array, Array]] = []
    for triple in itertools.combinations(range(len(points)), 3):
        corner = np.column_stack([np.ones(3), points[list(triple)]])
        if abs(float(np.linalg.det(corner))) < 1.0:
            continue
        inverse: Array = np.asarray(np.linalg.inv(corner), dtype=np.float64)
        # The first row of the inverse holds the centre's shares of the three corners.
        if float(inverse[0].min()) >= -1e-9:
            triples.append((triple, inverse, inverse[0]))
    if not triples:
        return np.array([mean_rest(Supports(points, row)) for row in gaps])
    heights = np.stack([-gaps[:, list(t)] @ share for t, _, share in triples], axis=1)
    best = np.argmax(heights, axis=1)
    out = np.empty((len(gaps), 3))
    for k, (triple, inverse, _) in enumerate(triples):
        mine = best == k
        out[mine] = -gaps[np.ix_(mine, triple)] @ inverse.T
    return out
