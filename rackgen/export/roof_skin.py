"""The measured roof as a sheet of triangles, for pictures and the live view."""

from __future__ import annotations

import numpy as np

from rackgen.geom.surface import Roof
from rackgen.mesh.mesh import Mesh

ROOF_STEP = 20.0
"""Spacing of the grid on which the ghosted roof is drawn, mm."""


def roof_mesh(roof: Roof, step: float = ROOF_STEP) -> Mesh:
    """Return the measured roof as an open sheet of triangles, vehicle frame, mm; not where nothing was measured."""
    first, last = roof.sections[0].x, roof.sections[-1].x
    wide = max(max(s.left, s.right) for s in roof.sections)
    across = np.linspace(-1.0, 1.0, max(9, 2 * int(np.ceil(wide / step)) + 1))
    x = np.linspace(first, last, max(3, int(np.ceil((last - first) / step)) + 1))
    xs, share = np.repeat(x, len(across)), np.tile(across, len(x))
    ys = share * (roof.half_width(xs, share) - 1e-6)
    n = len(across)
    a = (np.arange(len(x) - 1)[:, None] * n + np.arange(n - 1)[None, :]).ravel()
    faces = np.concatenate([np.stack([a, a + n, a + n + 1], axis=1), np.stack([a, a + n + 1, a + 1], axis=1)])
    return Mesh(np.column_stack([xs, ys, roof.height(xs, ys)]), faces)
