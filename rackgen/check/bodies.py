# fcl has no type stubs; what it returns is unknown to the checker.
# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false, reportAttributeAccessIssue=false
"""Placed meshes as collision bodies: do two run through one another, where, and how far apart are they.

The library is FCL, which compares triangle with triangle. Every mesh is drawn in by half of `TOLERANCE` first, so that
parts which touch, and facets that stand a little proud of a round bore, stay apart, and what is still found is real.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import fcl
import numpy as np

from rackgen.geom.frame import Array, Vec
from rackgen.mesh.mesh import Mesh, shrunk
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import Part
from rackgen.parts.rack import PartId, Placed, Rack

TOLERANCE = 0.05
"""How far two parts may run into one another unseen, mm."""

CONTACTS = 4000
"""How many pairs of triangles are looked at to say where two parts cross."""

FURTHEST = 80.0
"""How far a part is moved to find how deep it stands in another, mm."""


@lru_cache(maxsize=512)
def _drawn_in(part: Part) -> Mesh:
    return shrunk(triangles(part), TOLERANCE / 2)


@lru_cache(maxsize=512)
def _tree(part: Part) -> Any:
    mesh = _drawn_in(part)
    tree = fcl.BVHModel()
    tree.beginModel(len(mesh.vertices), len(mesh.faces))
    tree.addSubModel(mesh.vertices, mesh.faces)
    tree.endModel()
    return tree


@dataclass(frozen=True, eq=False)
class Body:
    """A part where it stands, ready to be compared.

    Attributes:
        placed: the part.
        low: least coordinates in the vehicle frame, mm, shape (3,).
        high: largest coordinates.
    """

    placed: Placed
    low: Array
    high: Array

    @cached_property
    def handle(self) -> Any:
        """FCL's object, with its tree: made when it is asked for, since most small parts meet only what they join."""
        return self.moved(np.zeros(3))

    def moved(self, by: Array) -> Any:
        """Return FCL's object of the part moved by a vector of the vehicle frame, mm."""
        frame = self.placed.frame
        return fcl.CollisionObject(self._shape, fcl.Transform(frame.rotation(), np.array(frame.origin) + by))

    @cached_property
    def _shape(self) -> Any:
        return _tree(self.placed.part)

    def points(self) -> Array:
        """Return the triangles of the drawn-in mesh in the vehicle frame, mm, shape (n, 3, 3)."""
        mesh = _drawn_in(self.placed.part)
        return self.placed.frame.points(mesh.vertices)[mesh.faces]


def body(placed: Placed) -> Body:
    """Return a part's body."""
    p = placed.frame.points(triangles(placed.part).vertices)
    return Body(placed, p.min(axis=0), p.max(axis=0))


def bodies(rack: Rack) -> Mapping[PartId, Body]:
    """Return the bodies of all parts, by id."""
    return {placed.id: body(placed) for placed in sorted(rack.placed, key=lambda p: p.id)}


def meet(a: Body, b: Body) -> bool:
    """Return whether two parts run into one another by more than `TOLERANCE`."""
    return bool(fcl.collide(a.handle, b.handle, fcl.CollisionRequest(), fcl.CollisionResult()))


def depth(a: Body, b: Body, axes: Array) -> float:
    """Return the shortest way that the first of two parts that meet has to be moved so that they no longer do, mm.

    Args:
        a: moved.
        b: stays.
        axes: directions to try, both ways, shape (n, 3), unit length.

    Returns:
        To within 2 %, and never less than `TOLERANCE`; infinite when `FURTHEST` is not enough along any of them.
    """
    return min(_way_out(a, b, way) for axis in axes for way in (axis, -axis))


def _way_out(a: Body, b: Body, way: Array) -> float:
    low, high = 0.0, TOLERANCE / 2
    while _meet_moved(a, b, high * way):
        low, high = high, 1.5 * high
        if high > FURTHEST:
            return np.inf
    while high - low > max(0.005, 0.02 * high):
        middle = (low + high) / 2
        low, high = (middle, high) if _meet_moved(a, b, middle * way) else (low, middle)
    # The meshes are drawn in, so the parts themselves have to go further.
    return high + TOLERANCE


def _meet_moved(a: Body, b: Body, by: Array) -> bool:
    return bool(fcl.collide(a.moved(by), b.handle, fcl.CollisionRequest(), fcl.CollisionResult()))


def crossing(a: Body, b: Body) -> Array:
    """Return points of the line along which the surfaces of two parts cross, vehicle frame, mm, shape (n, 3)."""
    request = fcl.CollisionRequest(num_max_contacts=CONTACTS, enable_contact=True)
    result = fcl.CollisionResult()
    fcl.collide(a.handle, b.handle, request, result)
    pairs = np.array([(c.b1, c.b2) for c in result.contacts], dtype=np.int64).reshape(-1, 2)
    one, other = a.points()[pairs[:, 0]], b.points()[pairs[:, 1]]
    return np.concatenate([_pierced(one, other), _pierced(other, one)])


def _pierced(edges_of: Array, faces: Array) -> Array:
    """Return where sides of the first triangles pierce the second ones, row by row; shapes (n, 3, 3)."""
    out: list[Array] = []
    origin, u, v = faces[:, 0], faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0]
    normal = np.cross(u, v)
    square = np.einsum("ni,ni->n", normal, normal)
    for k in range(3):
        a, b = edges_of[:, k], edges_of[:, (k + 1) % 3]
        before, after = (np.einsum("ni,ni->n", p - origin, normal) for p in (a, b))
        crosses = (before * after < 0) & (square > 0)
        if not crosses.any():
            continue
        t = before[crosses] / (before[crosses] - after[crosses])
        p = a[crosses] + t[:, None] * (b - a)[crosses]
        off = p - origin[crosses]
        n, s = normal[crosses], square[crosses]
        beta = np.einsum("ni,ni->n", np.cross(off, v[crosses]), n) / s
        gamma = np.einsum("ni,ni->n", np.cross(u[crosses], off), n) / s
        out.append(p[(beta >= -1e-9) & (gamma >= -1e-9) & (beta + gamma <= 1 + 1e-9)])
    return np.concatenate(out) if out else np.zeros((0, 3))


def distance(a: Body, b: Body) -> float:
    """Return how far two parts are apart, mm; 0 when they touch or run into one another."""
    apart = float(fcl.distance(a.handle, b.handle, fcl.DistanceRequest(), fcl.DistanceResult()))
    return max(0.0, apart - TOLERANCE)


def box_distance(one: Body, low: Vec, high: Vec, reach: float) -> float:
    """Return how far a part is from a box along the vehicle's axes, mm; 0 when they meet, infinite beyond `reach`."""
    lo, hi = np.array(low), np.array(high)
    if np.any(one.low > hi + reach) or np.any(one.high < lo - reach):
        return np.inf
    box = fcl.CollisionObject(fcl.Box(*(hi - lo)), fcl.Transform(np.eye(3), (hi + lo) / 2))
    if fcl.collide(one.handle, box, fcl.CollisionRequest(), fcl.CollisionResult()):
        return 0.0
    apart = float(fcl.distance(one.handle, box, fcl.DistanceRequest(), fcl.DistanceResult()))
    return max(0.0, apart - TOLERANCE / 2)
