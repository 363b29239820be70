"""Forces on the fasteners of one plate by the elastic method: all give alike, the plate is rigid. N, N·mm, mm."""

from __future__ import annotations

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array

LEAST_LEVER = 1e-6
"""Below this share of the group's size a group has no lever about an axis."""


def elastic_group(points: Array, force: Array, moment: Array) -> Array:
    """Return the force on each fastener of a group, in and out of its plane.

    The elastic vector method: force / n, plus what turns the group about its centre. Out of the plane the plate turns
    about the group's middle, as if its edge did not press: on the safe side for tension.

    Args:
        points: of the fasteners, shape (n, 3).
        force: on the group, shape (3,) or (3, cases).
        moment: about the middle of the points, of the same shape.

    Returns:
        Shape (n, 3) or (n, 3, cases).

    Raises:
        GeometryError: a moment about an axis on which all fasteners lie, which they cannot hold.
    """
    flat = force.ndim == 1
    forces, moments = (np.asarray(v, dtype=float).reshape(3, -1) for v in (force, moment))
    r = points - points.mean(axis=0)
    tensor = np.einsum("ni,ni->", r, r) * np.eye(3) - np.einsum("ni,nj->ij", r, r)
    values, axes = np.linalg.eigh(tensor)
    held = values > LEAST_LEVER * max(float(values[-1]), 1e-12)
    loose = axes[:, ~held]
    if loose.size and float(np.abs(loose.T @ moments).max()) > 1e-6 * max(1.0, float(np.abs(moments).max())):
        raise GeometryError("fasteners in one line do not hold a moment about that line")
    theta = (axes[:, held] / values[held]) @ axes[:, held].T @ moments
    turned = np.asarray(np.cross(theta.T[None], r[:, None], axis=2), dtype=np.float64)
    out = (forces / len(points))[None] + turned.transpose(0, 2, 1)
    return out[:, :, 0] if flat else out


def prying(bears: float, thickness: float, tensile: float, inner: float, edge: float, pitch: float, diameter: float,
           hole: float) -> float:  # fmt: skip
    """Return by how much a plate's prying multiplies the tension of a fastener; 1 for a plate stiff enough.

    AISC manual, part 9, ASD (from memory), turned about so that it holds at what the fastener may bear. What the plate
    presses on is taken as hard, which is on the safe side.

    Args:
        bears: tension that the fastener may bear, N, factor of safety taken off.
        thickness: of the plate, mm.
        tensile: of the plate, MPa.
        inner: from the fastener to where the plate is held toward the load, mm.
        edge: from the fastener to the plate's edge away from the load, mm.
        pitch: length of plate that goes with one fastener, mm.
        diameter: of the fastener, mm.
        hole: mm.
    """
    lever = inner - diameter / 2
    if lever <= 0:
        return 1.0
    ratio = lever / (min(edge, 1.25 * inner) + diameter / 2)
    net = max(1.0 - hole / pitch, 0.0)
    needed = np.sqrt(1.67 * 4 * bears * lever / (pitch * tensile))
    share = (thickness / needed) ** 2
    if share >= 1:
        return 1.0
    bent = min((1 / share - 1) / (net * (1 + ratio)), 1.0) if net > 0 else 1.0
    return float(1 / (share * (1 + net * bent)))
