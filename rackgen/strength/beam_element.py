"""Stiffness of one beam, and what holds its ends against a load along it: PyNite's, asked once and scaled.

A prismatic beam's matrix is a sum of four, by E·A, E·Iy, E·Iz and G·J, and each of them is that of a beam of length 1
with its rotations times the length. So PyNite is asked for four beams of length 1, and the members of a whole frame
are had from these by arithmetic on arrays. Only this file knows PyNite.
"""

# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

from functools import cache

import numpy as np

from rackgen.geom.frame import Array

TURNS = np.array([0.0, 0.0, 0.0, 1.0, 1.0, 1.0] * 2)
"""Which of a beam's 12 freedoms are rotations: they scale with the length."""


def stiffness(lengths: Array, ea: Array, eiy: Array, eiz: Array, gj: Array) -> Array:
    """Return the stiffness of beams in their own axes.

    Args:
        lengths: mm, (members,).
        ea: axial stiffness, N.
        eiy: bending stiffness in the xz plane, N·mm².
        eiz: in the xy plane.
        gj: torsional stiffness, N·mm².

    Returns:
        (members, 12, 12); rows begin then end, (x, y, z, turns about x, y, z) each; N, mm, rad.
    """
    axial, bending_y, bending_z, torsion = _unit_beams()
    cubed = lengths**3

    def each(values: Array, matrix: Array) -> Array:
        return values[:, None, None] * matrix

    scale = lengths[:, None] ** TURNS
    rest = each(eiy / cubed, bending_y) + each(eiz / cubed, bending_z) + each(gj / cubed, torsion)
    return each(ea / lengths, axial) + scale[:, :, None] * rest * scale[:, None, :]


def fixed_end_forces(lengths: Array, lines: Array) -> Array:
    """Return what holds the ends of fully fixed beams under even loads along them, in their own axes.

    Args:
        lengths: mm, (members,).
        lines: N/mm along the member's x, y, z: (members, 3, actions).

    Returns:
        Of the node on the member, (members, 12, actions), N and N·mm.
    """
    scale = lengths[:, None] ** (1.0 + TURNS)
    return scale[:, :, None] * np.einsum("if,mia->mfa", _unit_loads(), lines)


@cache
def _unit_beams() -> tuple[Array, Array, Array, Array]:
    """Return the four matrices of a beam of length 1: of E·A, E·Iy, E·Iz and G·J alone."""
    # Half a second to import, for it brings pyplot: only those who solve pay for it.
    from Pynite import FEModel3D

    def one(area: float, iy: float, iz: float, j: float) -> Array:
        model = FEModel3D()
        model.add_node("a", 0.0, 0.0, 0.0)
        model.add_node("b", 1.0, 0.0, 0.0)
        model.add_material("unit", 1.0, 1.0, 0.0, 0.0)
        model.add_section("unit", area, iy, iz, j)
        model.add_member("beam", "a", "b", "unit", "unit")
        return np.asarray(model.members["beam"].ke(), dtype=float)

    return one(1.0, 0.0, 0.0, 0.0), one(0.0, 1.0, 0.0, 0.0), one(0.0, 0.0, 1.0, 0.0), one(0.0, 0.0, 0.0, 1.0)


@cache
def _unit_loads() -> Array:
    """Return what holds the ends of a beam of length 1 under 1 along its x, y and z: (3, 12)."""
    from Pynite.FixedEndReactions import FER_AxialLinLoad, FER_LinLoad

    held = (
        FER_AxialLinLoad(1.0, 1.0, 0.0, 1.0, 1.0),
        FER_LinLoad(1.0, 1.0, 0.0, 1.0, 1.0, "Fy"),
        FER_LinLoad(1.0, 1.0, 0.0, 1.0, 1.0, "Fz"),
    )
    return np.array([np.asarray(h, dtype=float).ravel() for h in held])
