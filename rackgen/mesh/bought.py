"""Bought parts as triangles: turned bodies, hexagon nuts, the bent rod of a U-bolt, and flat pads."""

from __future__ import annotations

import math
from typing import assert_never

import numpy as np

from rackgen.geom.frame import Array
from rackgen.mesh.mesh import Mesh, joined
from rackgen.mesh.plate import around, circle, flat
from rackgen.mesh.polygon import slab, triangulate
from rackgen.parts.kinds import BoltShape, CapShape, PadShape, RivetShape, Shape, UBoltShape

DEVIATION = 0.03
"""How far chords may lie from round bodies and from the middle line of a U-bolt's bow, mm."""


def bought(shape: Shape) -> Mesh:
    """Return the surface of a bought part in its own frame."""
    match shape:
        case UBoltShape():
            return u_bolt(shape)
        case RivetShape():
            return turned(rivet_profile(shape))
        case BoltShape():
            return bolt(shape)
        case CapShape():
            return turned(cap_profile(shape))
        case PadShape():
            return flat(shape.outline, shape.holes, shape.thickness)
        case _:
            assert_never(shape)


def bolt_rows(shape: BoltShape) -> list[tuple[Array, float, float]]:
    """Return the bodies of a bolt from its head down: border in XY, upper and lower end along Z, mm."""
    over, half = shape.washer_thickness, shape.diameter / 2
    rows = [(regular(6, shape.head_across), over + shape.head_height, over)]
    if over > 0:
        rows.append((circle(0.0, 0.0, shape.washer / 2), over, 0.0))
    rows.append((circle(0.0, 0.0, half), 0.0, -shape.grip))
    begin = -shape.grip
    if shape.end == "nut" and over > 0:
        rows.append((circle(0.0, 0.0, shape.washer / 2), begin, begin - over))
        begin -= over
    match shape.end:
        case "nut":
            rows.append((regular(6, shape.nut_across), begin, shape.low))
        case "slot nut":
            rows.append((regular(4, shape.nut_across), begin, shape.low))
        case "rivet nut":
            rows.append((circle(0.0, 0.0, shape.nut_across / 2), begin, shape.low))
        case "thread":
            rows.append((circle(0.0, 0.0, half), begin, shape.tip))
    if shape.tip < shape.low:
        rows.append((circle(0.0, 0.0, half), shape.low, shape.tip))
    return rows


def regular(sides: int, across: float) -> Array:
    """Return the corners of a regular figure by its width across flats, shape (n, 2)."""
    a = (np.arange(sides) + 0.5) * (2 * math.pi / sides)
    return across / 2 / math.cos(math.pi / sides) * np.column_stack([np.cos(a), np.sin(a)])


def bolt(shape: BoltShape) -> Mesh:
    """Return head, washers, shank and nut of a bolt, each closed, one standing on the other."""
    return joined([_body(border, high, low) for border, high, low in bolt_rows(shape)])


def _body(border: Array, high: float, low: float) -> Mesh:
    points, faces = triangulate(border, [])
    z = np.zeros(len(points))
    return slab(np.column_stack([points, z + high]), np.column_stack([points, z + low]), faces)


def rivet_profile(shape: RivetShape) -> list[tuple[float, float]]:
    """Return the set rivet's profile as (radius, z) from the middle of its head down, mm."""
    body, head, blind = shape.diameter / 2, shape.head / 2, shape.blind / 2
    low = -shape.grip - shape.blind_length
    return [
        (head, shape.head_height),
        (head, 0.0),
        (body, 0.0),
        (body, -shape.grip),
        (blind, -shape.grip),
        (blind, low),
    ]


def cap_profile(shape: CapShape) -> list[tuple[float, float]]:
    """Return the cap's profile as (radius, z) from the middle of its head down, mm."""
    head, plug = shape.od / 2, shape.plug / 2
    return [(head, shape.head_height), (head, 0.0), (plug, 0.0), (plug, -shape.depth)]


def turned(profile: list[tuple[float, float]]) -> Mesh:
    """Return the body that a profile of (radius, z), from the top down, sweeps about Z; flat at both ends."""
    n = around(max(r for r, _ in profile), DEVIATION)
    a = np.arange(n) * (2 * math.pi / n)
    ring = np.column_stack([np.cos(a), np.sin(a)])
    rows = [np.column_stack([r * ring, np.full(n, z)]) for r, z in profile]
    top, low = np.array([[0.0, 0.0, profile[0][1]]]), np.array([[0.0, 0.0, profile[-1][1]]])
    k = np.arange(n)
    after = (k + 1) % n
    faces = [np.stack([np.full(n, len(rows) * n), k, after], axis=1)]
    for row in range(len(rows) - 1):
        a0, a1, b0, b1 = row * n + k, row * n + after, (row + 1) * n + k, (row + 1) * n + after
        faces += [np.stack([a0, b0, a1], axis=1), np.stack([a1, b0, b1], axis=1)]
    last = (len(rows) - 1) * n
    faces.append(np.stack([np.full(n, len(rows) * n + 1), last + after, last + k], axis=1))
    return Mesh(np.concatenate([*rows, top, low]), np.concatenate(faces))


def u_bolt_path(shape: UBoltShape) -> tuple[Array, Array]:
    """Return the rod's centreline from leg end to leg end, and its direction there; part frame, mm, shape (n, 3) each.

    Each side of the bow is a quarter circle of the inside radius; a bow flatter than half a circle has a straight
    between them.
    """
    half = (shape.inside_width + shape.rod) / 2
    r = min(shape.bow + shape.rod / 2, half)
    bottom = -shape.drop - shape.rod / 2
    n = math.ceil(math.pi / 4 / math.acos(1 - DEVIATION / r))
    a = np.arange(n + 1) * (math.pi / 2 / n)
    zero = np.zeros(n + 2)
    y = np.concatenate([[half], half - r + r * np.cos(a)])
    z = np.concatenate([[shape.leg - shape.drop], bottom + r - r * np.sin(a)])
    right = np.column_stack([zero, y, z])
    heading = np.column_stack([zero, np.concatenate([[0.0], -np.sin(a)]), np.concatenate([[-1.0], -np.cos(a)])])
    # The left side is the right one mirrored and run backward; without a straight the middle point serves both.
    rest = slice(None, None, -1) if half - r > 1e-6 else slice(-2, None, -1)
    return (
        np.concatenate([right, right[rest] * (1.0, -1.0, 1.0)]),
        np.concatenate([heading, heading[rest] * (1.0, 1.0, -1.0)]),
    )


def u_bolt(shape: UBoltShape) -> Mesh:
    """Return rod, washers and nuts of a U-bolt; washers and nuts are rings that fit the rod without play."""
    path, heading = u_bolt_path(shape)
    n = around(shape.rod / 2, DEVIATION)
    a = np.arange(n) * (2 * math.pi / n)
    side = np.array([1.0, 0.0, 0.0])
    up = np.cross(heading, side)
    rings = path[:, None, :] + shape.rod / 2 * (
        np.cos(a)[None, :, None] * side + np.sin(a)[None, :, None] * up[:, None, :]
    )
    rod = _rod(rings, path)
    half = (shape.inside_width + shape.rod) / 2
    hexagon = (
        shape.nut_across
        / math.sqrt(3)
        * np.array([(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)])
    )
    bodies = [rod]
    for y in (half, -half):
        bore = circle(0.0, y, shape.rod / 2)
        on = shape.seat + shape.washer_thickness
        bodies.append(_ring(circle(0.0, y, shape.washer / 2), bore, shape.seat, on))
        bodies.append(_ring(hexagon + np.array([0.0, y]), bore, on, on + shape.nut_height))
    return joined(bodies)


def _ring(outside: Array, bore: Array, low: float, high: float) -> Mesh:
    points, faces = triangulate(outside, [bore])
    z = np.zeros(len(points))
    return slab(np.column_stack([points, z + high]), np.column_stack([points, z + low]), faces)


def _rod(rings: Array, path: Array) -> Mesh:
    """Return the body through rings of points, shape (m, n, 3), closed flat at both ends."""
    m, n = int(rings.shape[0]), int(rings.shape[1])
    k = np.arange(n)
    after = (k + 1) % n
    row = np.arange(m - 1)[:, None] * n
    a, b, c, d = row + k, row + after, row + n + k, row + n + after
    sides = [np.stack([a, b, c], axis=-1).reshape(-1, 3), np.stack([b, d, c], axis=-1).reshape(-1, 3)]
    first = np.stack([np.full(n, m * n), after, k], axis=1)
    last = np.stack([np.full(n, m * n + 1), (m - 1) * n + k, (m - 1) * n + after], axis=1)
    faces = np.concatenate([*sides, first, last])
    return Mesh(np.concatenate([rings.reshape(-1, 3), path[:1], path[-1:]]), faces)
