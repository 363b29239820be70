"""Pictures without OpenGL: triangles strewn with points, the nearest of which colours its pixel. Plain, but true.

Neither edges nor marks are drawn, nor the roof; the grid for scale is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from rackgen.export.apart import apart
from rackgen.export.cameras import PART_CAMERA, VIEWS, Aim, View, aimed, grid, square_for
from rackgen.export.pixels import Pixels, letters, png_bytes
from rackgen.export.staging import Stage, part_stage, staged
from rackgen.geom.frame import Array, unit
from rackgen.mesh.mesh import Ints, Mesh, normals
from rackgen.parts.marks import Line, Mark, lines
from rackgen.parts.rack import Rack

SIZE, PART_SIZE = (800, 500), (360, 225)
"""Pixels of a view of the rack, and of a part."""

DENSE = 4.0
"""Points strewn for each pixel that a triangle covers."""

GRID = np.array([0.86, 0.85, 0.82])

NOTE = "plain picture"


def plain_pictures(
    rack: Rack, views: Iterable[View] = tuple(VIEWS), size: tuple[int, int] = SIZE, inches: bool = False
) -> dict[View, bytes]:
    """Return views of a rack as PNG files, by arithmetic alone.

    Args:
        rack: resolved.
        views: of `VIEWS`.
        size: width and height, pixels.
        inches: whether the grid is in inches, else in mm.
    """
    distinct = lines(rack)
    out: dict[View, bytes] = {}
    for view in views:
        stage = staged(distinct, apart(rack) if view == "pulled apart" else None)
        square, name = square_for(float(np.ptp(stage.corners, axis=0).max()), inches)
        aim = aimed(VIEWS[view], stage.corners, size)
        out[view] = _drawn(stage, aim, size, grid(view, stage.corners, square), f"{NOTE}, grid {name}")
    return out


def plain_part_pictures(
    distinct: Sequence[Line], size: tuple[int, int] = PART_SIZE, inches: bool = False
) -> dict[Mark, bytes]:
    """Return each distinct part by itself as a PNG file, by its mark; see `plain_pictures`."""
    out: dict[Mark, bytes] = {}
    for line in distinct:
        stage = part_stage(line)
        square, name = square_for(float(np.ptp(stage.corners, axis=0).max()), inches)
        aim = aimed(PART_CAMERA, stage.corners, size)
        rows = grid("front quarter", stage.corners, square)
        out[line.mark] = _drawn(stage, aim, size, rows, f"{line.mark}  {line.placed[0].word}  grid {name}")
    return out


def _drawn(stage: Stage, aim: Aim, size: tuple[int, int], rows: Sequence[Array], told: str) -> bytes:
    spots: list[Array] = []
    depths: list[Array] = []
    hues: list[Array] = []
    light = unit(-np.asarray(aim.frame.x) + 0.3 * np.asarray(aim.frame.z) + 0.4 * np.array([0.0, 0.0, 1.0]))
    for hue, mesh in stage.bodies.items():
        points, faces, shade = _strewn(mesh, aim, size, light)
        where, deep = aim.pixels(points, size)
        spots.append(where)
        depths.append(deep)
        hues.append(np.asarray(hue)[None, :] * shade[faces, None])
    for row in rows:
        share = np.linspace(0.0, 1.0, 2 * max(size))[:, None]
        where, deep = aim.pixels(row[0] * (1 - share) + row[1] * share, size)
        spots.append(where)
        depths.append(deep)
        hues.append(np.repeat(GRID[None, :], len(where), axis=0))
    pixels = _nearest(np.concatenate(spots), np.concatenate(depths), np.concatenate(hues), size)
    letters(pixels, told, (size[0] / 2, 14.0), 9.0)
    return png_bytes(pixels)


def _strewn(mesh: Mesh, aim: Aim, size: tuple[int, int], light: Array) -> tuple[Array, Ints, Array]:
    """Return points on triangles that face the eye, each one's triangle, and how bright each triangle is."""
    corner, normal = mesh.vertices[mesh.faces], normals(mesh)
    sight: Array = corner.mean(axis=1) - np.asarray(aim.frame.origin)
    if aim.flat:
        sight = np.tile(np.asarray(aim.frame.x), (len(corner), 1))
    facing = np.flatnonzero(np.einsum("ij,ij->i", normal, sight) < 0)
    where, _ = aim.pixels(corner[facing].reshape(-1, 3), size)
    flat = where.reshape(-1, 3, 2)
    a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    # Long thin triangles need as many points as they are long, too.
    long = np.maximum(np.abs(a).max(axis=1), np.abs(b).max(axis=1))
    area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2
    count = np.ceil(DENSE * area + long).astype(int) + 1
    which = np.repeat(np.arange(len(facing)), count)
    step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    # Points that fill a square evenly, however many (steps by the plastic number), folded into the triangle.
    u, v = (step * 0.7548776662466927) % 1.0, (step * 0.5698402909980532) % 1.0
    over = u + v > 1.0
    u, v = np.where(over, 1 - u, u), np.where(over, 1 - v, v)
    one = corner[facing[which]]
    points = one[:, 0] + u[:, None] * (one[:, 1] - one[:, 0]) + v[:, None] * (one[:, 2] - one[:, 0])
    shade = 0.45 + 0.6 * np.clip(normal @ light, 0.0, 1.0)
    return points, facing[which], shade


def _nearest(spots: Array, depth: Array, hues: Array, size: tuple[int, int]) -> Pixels:
    """Return pixels, each with the colour of the nearest point that falls on it; white where none does."""
    wide, high = size
    column, row = np.floor(spots).astype(int).T
    inside = (column >= 0) & (column < wide) & (row >= 0) & (row < high)
    at = (high - 1 - row[inside]) * wide + column[inside]
    # Of those that fall on one pixel the last one written stays: the nearest.
    order = np.argsort(-depth[inside], kind="stable")
    out = np.full((high * wide, 3), 255, dtype=np.uint8)
    out[at[order]] = np.rint(np.clip(hues[inside][order], 0.0, 1.0) * 255).astype(np.uint8)
    return out.reshape(high, wide, 3)
