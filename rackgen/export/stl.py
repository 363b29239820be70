"""Binary STL of every distinct part and of the whole rack, mm.

Written directly: the format is an 80-byte title, a count, and for each triangle a normal, three points and two spare
bytes, all little-endian 32-bit floats (the de facto standard since 1989, from memory). Bodies stand side by side in
the file of the whole rack, each closed; joining them would leave touching copes as separate bodies all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.marks import Line, Mark
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_mesh import Faces, triangles

TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def stl_files(name: str, lines: Iterable[Line], solids: Mapping[Mark, Solid]) -> dict[str, bytes]:
    """Return `<mark>.stl` of every line in the part's own frame, and `<name>.stl` of all parts in the vehicle frame.

    Args:
        name: of the rack.
        lines: the distinct parts.
        solids: by mark, proved.
    """
    out: dict[str, bytes] = {}
    whole: list[tuple[Array, Faces]] = []
    for line in lines:
        points, faces = triangles(solids[line.mark])
        out[f"{line.mark}.stl"] = stl_bytes(line.mark, [(points, faces)])
        whole += [(placed.frame.points(points), faces) for placed in line.placed]
    out[f"{name}.stl"] = stl_bytes(name, whole)
    return out


def stl_bytes(title: str, bodies: Iterable[tuple[Array, Faces]]) -> bytes:
    """Return binary STL of bodies given as points in mm and triangles seen anticlockwise from outside."""
    corners = np.concatenate([points[faces] for points, faces in bodies])
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    records = np.zeros(len(corners), dtype=TRIANGLE)
    # A triangle too thin for a normal keeps none, as the format allows.
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    records["normal"] = np.divide(normals, length, out=np.zeros_like(normals), where=length > 0)
    records["corners"] = corners
    # A title that begins with "solid" would be taken for the text form.
    header = f"rackgen {title}, mm".encode("ascii", "replace")[:80].ljust(80)
    return header + np.uint32(len(records)).astype("<u4").tobytes() + records.tobytes()
