"""The rack as one binary glTF 2.0 file, for viewers and for looking at it on a phone.

glTF is in metres with Y up and an asset's front toward +Z (glTF 2.0 specification, 3.4), so the vehicle's X aft, Y to
the right, Z up become -Z, -X and Y. Colours are linear there (3.9.2); ours are as shown on a screen.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable, Mapping

import numpy as np

from rackgen.geom.frame import Array
from rackgen.mesh.mesh import Ints
from rackgen.parts.colours import Colour, colour
from rackgen.parts.marks import Line, Mark
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_mesh import triangles

METRE = 1e-3

UPRIGHT: Array = np.array([[0.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
"""From the vehicle frame to glTF's."""


FLOATS, INTS, POINTS, TRIANGLES = 5126, 5125, 34962, 34963
"""Component types and buffer targets (glTF 2.0 specification, 5.1.3 and 5.11.5)."""


def glb_bytes(lines: Iterable[Line], solids: Mapping[Mark, Solid]) -> bytes:
    """Return the rack as GLB: a mesh per mark, a node per part id.

    Args:
        lines: the distinct parts.
        solids: by mark, proved.
    """
    data: list[bytes] = []
    views: list[dict[str, object]] = []
    accessors: list[dict[str, object]] = []
    meshes: list[dict[str, object]] = []
    materials: list[dict[str, object]] = []
    nodes: list[dict[str, object]] = [{"name": "rack", "children": []}]

    def stored(values: Array | Ints, kind: str, number: int, target: int, **more: object) -> int:
        """Add an array to the buffer, all parts of which are whole numbers of four bytes; return its accessor."""
        content = np.ascontiguousarray(values, dtype="<f4" if number == FLOATS else "<u4").tobytes()
        begin = sum(len(d) for d in data)
        data.append(content)
        views.append({"buffer": 0, "byteOffset": begin, "byteLength": len(content), "target": target})
        count = len(values) if kind == "VEC3" else values.size
        accessors.append({"bufferView": len(views) - 1, "componentType": number, "count": count, "type": kind, **more})
        return len(accessors) - 1

    for line in lines:
        points, faces = triangles(solids[line.mark])
        corners = np.asarray(points * METRE, dtype="<f4")
        low, high = ([float(v) for v in ends] for ends in (corners.min(axis=0), corners.max(axis=0)))
        where = stored(corners, "VEC3", FLOATS, POINTS, min=low, max=high)
        rows = stored(faces, "SCALAR", INTS, TRIANGLES)
        materials.append(_look(line.mark, colour(line.part)))
        surface = {"attributes": {"POSITION": where}, "indices": rows, "material": len(materials) - 1, "mode": 4}
        meshes.append({"name": line.mark, "primitives": [surface]})
        for placed in line.placed:
            matrix = placed.frame.matrix()
            matrix[:3, 3] *= METRE
            # By columns (3.6.3).
            nodes.append({"name": placed.id, "mesh": len(meshes) - 1, "matrix": (UPRIGHT @ matrix).T.ravel().tolist()})
    nodes[0]["children"] = list(range(1, len(nodes)))
    document = {
        "asset": {"version": "2.0", "generator": "rackgen"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": materials,
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": sum(len(d) for d in data)}],
    }
    return _binary(json.dumps(document, separators=(",", ":"), allow_nan=False).encode("utf-8"), b"".join(data))


def _binary(document: bytes, data: bytes) -> bytes:
    """Return both chunks behind the file's head (4.4); the text is filled up with blanks to a whole number of fours."""
    document += b" " * (-len(document) % 4)
    chunks = struct.pack("<I4s", len(document), b"JSON") + document + struct.pack("<I4s", len(data), b"BIN\0") + data
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _look(name: str, shown: Colour) -> dict[str, object]:
    red, green, blue = (linear(c) for c in shown)
    metal = {"baseColorFactor": [red, green, blue, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.6}
    return {"name": name, "pbrMetallicRoughness": metal}


def linear(shown: float) -> float:
    """Return a linear intensity from one as shown on a screen, 0 to 1 (IEC 61966-2-1, from memory)."""
    return shown / 12.92 if shown <= 0.04045 else ((shown + 0.055) / 1.055) ** 2.4
