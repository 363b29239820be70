# pyright: reportMissingModuleSource=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false, reportUnknownParameterType=false, reportMissingTypeArgument=false
# shapely has no stubs.
"""Pictures and letters to be cut through a plate: islands held by bridges, and how narrow it gets anywhere.

Everything is in the plane of the plate, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array

FINEST = 0.01
"""Narrowest that is told apart from nothing, mm."""

TRIES = 24
"""Widths that are tried before one is found by halving."""

SLIVER = 0.05
"""Area that is not cut out, mm²: a speck."""


def cut_outs(contours: Sequence[Array], bridge: float) -> list[Array]:
    """Return what is cut, as closed rows of points without islands, anticlockwise, shape (n, 2) each.

    A contour within another stays as an island, one within that is cut again, and so on. Every island is held at its
    top and bottom by bridges that run up and down through its middle.

    Args:
        contours: closed rows of points, either way round, not crossing themselves or each other.
        bridge: width of a bridge, mm.

    Raises:
        GeometryError: nothing is cut, or an island cannot be held.
    """
    import shapely
    from shapely.geometry import Polygon
    from shapely.geometry.polygon import orient

    region: Any = Polygon()
    for row in contours:
        region = region.symmetric_difference(Polygon(row))
    pieces = _polygons(region)
    for _ in range(20):
        held = [p for p in pieces if not p.interiors]
        islands = [p for p in pieces if p.interiors]
        if not islands:
            break
        pieces = held + [q for p in islands for q in _polygons(p.difference(_bridges(p, bridge)))]
    else:
        raise GeometryError("an island of the outline cannot be held by bridges")
    out = [orient(shapely.remove_repeated_points(p, 1e-3)) for p in pieces if p.area > SLIVER]
    if not out:
        raise GeometryError("bridges take up all that would be cut; it is too small, or bridge too wide")
    return [np.asarray(p.exterior.coords)[:-1] for p in out]


def _polygons(shape: Any) -> list[Any]:
    return [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Polygon" and not p.is_empty]


def _bridges(piece: Any, width: float) -> Any:
    """Return the bridges that hold all islands of one piece: the stretches of upright strips that touch an island."""
    from shapely.geometry import Polygon, box
    from shapely.ops import unary_union

    islands = sorted((Polygon(r) for r in piece.interiors), key=lambda i: i.bounds[0] + i.bounds[2])
    low, high = piece.bounds[1] - 1.0, piece.bounds[3] + 1.0
    rows: list[list[Any]] = []
    for island in islands:
        x = (island.bounds[0] + island.bounds[2]) / 2
        # Islands above one another share their bridges: two strips side by side would leave a sliver between them.
        if rows and x - sum(i.bounds[0] + i.bounds[2] for i in rows[-1]) / 2 / len(rows[-1]) < 2 * width:
            rows[-1].append(island)
        else:
            rows.append([island])
    out: list[Any] = []
    for row in rows:
        x = sum(i.bounds[0] + i.bounds[2] for i in row) / 2 / len(row)
        strip = piece.intersection(box(x - width / 2, low, x + width / 2, high))
        hold = unary_union([i.buffer(FINEST) for i in row])
        # A little longer than the stretch it bridges, lest rounding leave a thread of the cut across its ends.
        out += [
            box(x - width / 2, p.bounds[1] - FINEST, x + width / 2, p.bounds[3] + FINEST)
            for p in _polygons(strip)
            if p.intersects(hold)
        ]
    return unary_union(out)


def narrowest_cut(rows: Sequence[Array], most: float) -> float:
    """Return the width of the narrowest place that holds a cut-out together, mm: where the torch has least room.

    Args:
        rows: what is cut out.
        most: width that is not asked beyond, mm.
    """
    from shapely.geometry import Polygon

    return min((_neck(Polygon(row), most) for row in rows), default=most)


def narrowest_metal(outline: Array, rows: Sequence[Array], most: float) -> float:
    """Return the width of the narrowest place that holds the plate together, mm; `most` where it is wider than that.

    Args:
        outline: of the plate, shape (n, 2).
        rows: what is cut out of it.
        most: width that is not asked beyond, mm.
    """
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    metal = Polygon(outline).difference(unary_union([Polygon(r) for r in rows]))
    if len(_polygons(metal)) != 1:
        return 0.0
    return _neck(metal, most)


def _neck(shape: Any, most: float) -> float:
    """Return at which width a shape, made thinner from all sides, first falls apart or is gone, mm; `most` if beyond.

    A part that falls off may be gone itself at a larger width, so widths are tried from the smallest up.
    """
    step = most / TRIES
    for k in range(1, TRIES + 1):
        if not _whole(shape, k * step):
            low, high = (k - 1) * step, k * step
            while high - low > FINEST:
                middle = (low + high) / 2
                low, high = (middle, high) if _whole(shape, middle) else (low, middle)
            return low
    return most


def _whole(shape: Any, width: float) -> bool:
    thin = shape.buffer(-width / 2 + 1e-6, join_style="mitre")
    # Tips that come off on their own are corners of a letter, no wider than the torch anyway.
    return len([p for p in _polygons(thin) if p.area > SLIVER]) == 1


def crosses_itself(row: Array) -> bool:
    """Return whether a closed row of points crosses or touches itself, or encloses nothing."""
    from shapely.geometry import Polygon

    return len(row) < 3 or not Polygon(row).is_valid or Polygon(row).area <= SLIVER


def cross(one: Array, other: Array) -> bool:
    """Return whether two closed rows of points cross; one may lie within the other."""
    from shapely.geometry import LinearRing

    return bool(LinearRing(one).intersects(LinearRing(other)))
