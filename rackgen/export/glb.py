# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false
"""The rack as one binary glTF 2.0 file, for viewers and for looking at it on a phone.

glTF is in metres with Y up and an asset's front toward +Z (glTF 2.0 specification, 3.4), so the vehicle's X aft, Y to
the right, Z up become -Z, -X and Y. Colours are linear there (3.9.2); ours are as shown on a screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import trimesh
from trimesh.exchange.gltf import export_glb
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from rackgen.geom.frame import Array
from rackgen.parts.colours import Colour, colour
from rackgen.parts.marks import Line, Mark
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_mesh import triangles

METRE = 1e-3

UPRIGHT: Array = np.array([[0.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
"""From the vehicle frame to glTF's."""


def glb_bytes(lines: Iterable[Line], solids: Mapping[Mark, Solid]) -> bytes:
    """Return the rack as GLB: a mesh per mark, a node per part id.

    Args:
        lines: the distinct parts.
        solids: by mark, proved.
    """
    scene = trimesh.Scene()
    for line in lines:
        points, faces = triangles(solids[line.mark])
        look = _look(line.mark, colour(line.part))
        scene.geometry[line.mark] = trimesh.Trimesh(points * METRE, faces, process=False, visual=look)
        for placed in line.placed:
            matrix = placed.frame.matrix()
            matrix[:3, 3] *= METRE
            scene.graph.update(placed.id, matrix=UPRIGHT @ matrix, geometry=line.mark)
    return bytes(export_glb(scene))


def _look(name: str, shown: Colour) -> TextureVisuals:
    red, green, blue = (linear(c) for c in shown)
    base = (red, green, blue, 1.0)
    return TextureVisuals(
        material=PBRMaterial(name=name, baseColorFactor=base, metallicFactor=0.0, roughnessFactor=0.6)
    )


def linear(shown: float) -> float:
    """Return a linear intensity from one as shown on a screen, 0 to 1 (IEC 61966-2-1, from memory)."""
    return shown / 12.92 if shown <= 0.04045 else ((shown + 0.055) / 1.055) ** 2.4
