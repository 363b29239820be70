"""What stands in a picture, whoever draws it: bodies by colour, lines, places to point at, and the corners of all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.export.cameras import box_corners
from rackgen.geom.frame import Array, Frame, Vec
from rackgen.mesh.edges import edges
from rackgen.mesh.mesh import Mesh, joined
from rackgen.mesh.points import points
from rackgen.mesh.triangles import to_look_at
from rackgen.parts.colours import COLOURS, Colour, colour
from rackgen.parts.marks import Line, Mark
from rackgen.parts.rack import PartId, Placed

SPACING = 25.0
"""Of the places on parts that may be pointed at, mm."""

INSTANCES = 8
"""So many parts of a mark are looked at for a place to point at."""


@dataclass(frozen=True, eq=False)
class Stage:
    """What is drawn of parts, vehicle frame, mm.

    Attributes:
        bodies: a mesh for each colour.
        ink: feature lines of solid parts.
        fine: those of expanded metal.
        corners: of the box of every part, shape (n, 3).
        spots: of every mark places on some of its parts, a row of points a part.
    """

    bodies: Mapping[Colour, Mesh]
    ink: tuple[Array, ...]
    fine: tuple[Array, ...]
    corners: Array
    spots: Mapping[Mark, tuple[Array, ...]]


def staged(lines: Sequence[Line], away: Mapping[PartId, Vec] | None = None) -> Stage:
    """Return a rack's parts as they stand, or pulled apart.

    Args:
        lines: the distinct parts with their places.
        away: by how much each part is moved; None for not at all.
    """
    bodies: dict[Colour, list[Mesh]] = {}
    ink: list[Array] = []
    fine: list[Array] = []
    corners: list[Array] = []
    spots: dict[Mark, tuple[Array, ...]] = {}
    for line in lines:
        mesh, rows, hue = to_look_at(line.part), edges(line.part), colour(line.part)
        box = box_corners(mesh.vertices)
        target = fine if hue == COLOURS["mesh"] else ink
        for placed in line.placed:
            move = np.zeros(3) if away is None else np.asarray(away[placed.id])
            bodies.setdefault(hue, []).append(Mesh(placed.frame.points(mesh.vertices) + move, mesh.faces))
            corners.append(placed.frame.points(box) + move)
            target += [placed.frame.points(row) + move for row in rows]
        spots[line.mark] = tuple(_spots(p, away) for p in line.placed[:INSTANCES])
    return Stage(
        {hue: joined(meshes) for hue, meshes in bodies.items()},
        tuple(ink), tuple(fine), np.concatenate(corners), spots,
    )  # fmt: skip


def part_stage(line: Line) -> Stage:
    """Return a part by itself in its own frame."""
    return staged([Line(line.mark, line.part, (Placed(line.mark, line.part, Frame(), line.placed[0].word, 0),))])


def _spots(placed: Placed, away: Mapping[PartId, Vec] | None) -> Array:
    found = placed.frame.points(points(placed.part, SPACING))
    return found if away is None else found + np.asarray(away[placed.id])
