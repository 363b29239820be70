"""Any part to triangles, made in numpy alone: a road to every volume and gap that shares nothing with the kernel."""

from __future__ import annotations

from functools import lru_cache
from typing import assert_never

from rackgen.mesh.bar import bar
from rackgen.mesh.bought import bought
from rackgen.mesh.mesh import Mesh
from rackgen.mesh.plate import plate
from rackgen.mesh.tube import tube
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part

SEEN = 0.15
"""How far facets of a tube may lie from its surface where it is only looked at, mm."""


@lru_cache(maxsize=256)
def to_look_at(part: Part) -> Mesh:
    """Return the part's surface as `triangles` does, for pictures: tubes in fewer facets, within `SEEN` mm of it.

    Raises:
        GeometryError: as `triangles`.
    """
    return tube(part, SEEN) if isinstance(part, BentTube) else triangles(part)


@lru_cache(maxsize=1024)
def triangles(part: Part) -> Mesh:
    """Return the part's surface in its own frame: closed, outward, facets within 0.05 mm of it.

    Small round holes in tubes are left out (vents, drains, plug welds); those in bars and plates are there. Expanded
    metal is its plain envelope. A slit sleeve is as fitted. Vertices lie on the true surface.

    Raises:
        GeometryError: an outline that crosses itself or its holes.
    """
    match part:
        case BentTube():
            return tube(part)
        case FoldedBar():
            return bar(part)
        case CutPlate():
            return plate(part)
        case Bought():
            return bought(part.shape)
        case _:
            assert_never(part)
