# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false, reportAttributeAccessIssue=false
# shapely has no types.
"""The outline of a round tube seen from one side, exact but for the chords of its bends."""

from __future__ import annotations

import numpy as np

from rackgen.geom.frame import Array

ROUND = 32
"""Corners of a cross-section that is seen askew."""


def silhouette(points: Array, tangents: Array, half: float, u: Array, v: Array) -> tuple[Array, ...]:
    """Return the closed outlines of a swept disc in a view, the outer ones first, each shape (n, 2), mm.

    Args:
        points: of the centreline, shape (n, 3), mm; straight from each to the next.
        tangents: unit vectors along it there, shape (n, 3).
        half: radius of the disc, mm.
        u: the view's axis to the right.
        v: the view's axis up.
    """
    from shapely import MultiPoint, union_all

    axes = np.column_stack([u, v])
    rounds: list[Array] = []
    for t in tangents:
        # Two directions across the tube, the first of them square to the line of sight.
        across: Array = np.cross(np.cross(u, v), t).astype(float)
        size = float(np.linalg.norm(across))
        across = across / size if size > 1e-6 else np.asarray(u, dtype=float)
        other: Array = np.cross(t, across).astype(float)
        a = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)
        rounds.append(half * (np.cos(a)[:, None] * across + np.sin(a)[:, None] * other) @ axes)
    flat = points @ axes
    hulls = [
        MultiPoint(np.vstack([flat[i] + rounds[i], flat[i + 1] + rounds[i + 1]])).convex_hull
        for i in range(len(points) - 1)
    ]
    # Hulls share their common cross-section; a hair more closes the seam that rounding would leave.
    whole = union_all([h.buffer(1e-4, join_style="mitre") for h in hulls]).simplify(1e-3)
    found = list(whole.geoms) if whole.geom_type == "MultiPolygon" else [whole]
    rings = [np.array(p.exterior.coords)[:-1] for p in found]
    rings += [np.array(r.coords)[:-1] for p in found for r in p.interiors]
    return tuple(rings)
