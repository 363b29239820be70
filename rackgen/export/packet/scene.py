"""What the live view is drawn from: meshes by mark, places, joints, roof, keep-outs and loads, as plain data for JSON.

Meshes come from numpy, not from the kernel. Corners are whole numbers of 16 bits over each mesh's box, which is finer
than 0.03 mm on a part of 2 m.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from rackgen.check.keepouts import keep_outs
from rackgen.check.sweep import Thing, moved
from rackgen.errors import Finding
from rackgen.export.apart import apart
from rackgen.export.roof_skin import roof_mesh
from rackgen.geom.frame import Array, Vec
from rackgen.mesh.edges import edges
from rackgen.mesh.mesh import Ints, Mesh
from rackgen.mesh.triangles import to_look_at, triangles
from rackgen.parts.colours import COLOURS, colour
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import Line, letter
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.spec.rack import Gaps
from rackgen.spec.vehicle import Vehicle

Record = dict[str, Any]

ROOF_STEP = 40.0
"""Spacing of the roof's grid in the view, mm."""

SWEPT = 5
"""At how many places of its way something that moves is shown."""

FINEST = 65535


def packed(mesh: Mesh) -> Record:
    """Return a mesh as its box and base64 of its corners and triangles, little-endian."""
    low = mesh.vertices.min(axis=0)
    step = np.maximum(np.ptp(mesh.vertices, axis=0), 1e-6) / FINEST
    corners = np.rint((mesh.vertices - low) / step).astype("<u2")
    faces = mesh.faces.astype("<u2" if len(mesh.vertices) <= FINEST else "<u4")
    return {
        "low": _numbers(low, 4),
        "step": [float(s) for s in step],
        "corners": _base64(corners),
        "faces": _base64(faces),
        "wide": faces.itemsize == 4,
    }


def packed_rows(rows: Sequence[Array]) -> Record:
    """Return rows of points as base64: all points as 32-bit floats, and how many each row has."""
    points = np.concatenate(rows) if rows else np.zeros((0, 3))
    return {"points": _base64(points.astype("<f4")), "counts": [len(row) for row in rows]}


def marks(lines: Sequence[Line]) -> list[Record]:
    """Return the distinct parts with their shape and colour; what is said about them is added by `cards`."""
    return [
        {
            "mark": line.mark,
            "word": line.placed[0].word,
            "kind": _kind(line),
            "stage": line.placed[0].stage,
            "colour": list(colour(line.part)),
            "mesh": packed(to_look_at(line.part)),
            "edges": packed_rows(edges(line.part)),
        }
        for line in lines
    ]


def _kind(line: Line) -> str:
    if colour(line.part) == COLOURS["mesh"]:
        return "mesh"
    return {"T": "tube", "B": "bar", "P": "plate", "H": "bought"}[letter(line.part)]


def parts(lines: Sequence[Line], rack: Rack) -> list[Record]:
    """Return every part: its mark's number, its place by columns, and how far it goes when pulled apart."""
    away = apart(rack)
    return [
        {
            "id": placed.id,
            "mark": n,
            "place": _numbers((*placed.frame.x, *placed.frame.y, *placed.frame.z, *placed.frame.origin), 6),
            "away": _numbers(away[placed.id], 1),
        }
        for n, line in enumerate(lines)
        for placed in line.placed
    ]


def joints(rack: Rack) -> list[Record]:
    """Return every joint: its two parts, kind, where it is made, what with, and its place."""
    members: dict[PartId, Placed] = {p.id: p for p in rack.placed}
    return [
        {
            "kind": joint.kind,
            "a": joint.a.part,
            "b": joint.b.part,
            "where": joint.where,
            "fixing": joint.fixing,
            "at": _numbers(anchor_point(joint.a, members), 2),
        }
        for joint in rack.joints
        if joint.a.part in members and joint.b.part in members
    ]


def roof(vehicle: Vehicle) -> Record:
    """Return the roof's skin and a line at every measured station."""
    skin = roof_mesh(vehicle.roof, ROOF_STEP)
    rows: list[Array] = []
    for section in vehicle.roof.sections:
        y = np.linspace(-section.left, section.right, 41)[1:-1]
        x = np.full(len(y), section.x)
        row = np.column_stack([x, y, vehicle.roof.height(x, y)])
        rows.append(row[np.isfinite(row).all(axis=1)])
    return {"mesh": packed(skin), "edges": packed_rows([r for r in rows if len(r) > 1])}


def stay_out(vehicle: Vehicle, wish: Gaps) -> list[Record]:
    """Return what the rack stays out of, each with its name and one mesh of all it sweeps, some places of its way."""
    out: list[Record] = []
    for one in keep_outs(vehicle, wish):
        meshes = _swept(one.thing)
        out.append({"name": one.name, "mesh": packed(meshes), "moves": one.thing.way.last > 0.0})
    return out


def _swept(thing: Thing) -> Mesh:
    places = np.linspace(0.0, thing.way.last, SWEPT) if thing.way.last else np.zeros(1)
    corners: list[Array] = []
    faces: list[Ints] = []
    count = 0
    for place in places:
        for piece, rows in zip(thing.pieces, thing.faces, strict=True):
            points = moved(piece, thing.way, float(place)) if thing.way.last else piece
            for grown in _grown(points, thing.radius):
                corners.append(grown)
                faces.append(rows + count)
                count += len(grown)
    return Mesh(np.concatenate(corners), np.concatenate(faces))


def _grown(points: Array, radius: float) -> tuple[Array, ...]:
    """Return a body, one that is a middle line with a radius as two crossed blades of its width."""
    if not radius:
        return (points,)
    out: list[Array] = []
    middle = points.mean(axis=0)
    for axis in (0, 1):
        blade = points.copy()
        blade[:, axis] += radius * np.where(points[:, axis] >= middle[axis], 1.0, -1.0)
        out.append(blade)
    return tuple(out)


def findings(found: Sequence[Finding]) -> list[Record]:
    """Return the findings' places, in the order in which the page lists them."""
    return [{"parts": list(f.parts), "at": None if f.at is None else _numbers(f.at, 1)} for f in found]


def size(lines: Sequence[Line]) -> tuple[Vec, Vec]:
    """Return the lowest and highest corner of the whole rack, bought parts and all, vehicle frame, mm."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for line in lines:
        corners = triangles(line.part).vertices
        for placed in line.placed:
            here = placed.frame.points(corners)
            low, high = np.minimum(low, here.min(axis=0)), np.maximum(high, here.max(axis=0))
    return tuple(_numbers(low, 3)), tuple(_numbers(high, 3))  # type: ignore[return-value]


def tube_radii(rack: Rack) -> Mapping[PartId, float]:
    """Return the outer radius of every tube, mm."""
    return {p.id: p.part.fitted.od / 2 for p in rack.placed if isinstance(p.part, BentTube)}


def _numbers(values: object, places: int) -> list[float]:
    return [round(float(v), places) + 0.0 for v in np.asarray(values, dtype=float).ravel()]


def _base64(values: Any) -> str:
    return base64.b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")
