"""What a round tube bears, by AISC 360 (allowable strength), before the factor of safety. N, mm, MPa; from memory.

Sections D2 (tension), E3 (compression), F8 (bending), G5 (shear), H3.1 (torsion). `wall_use` keeps walls so thick that
compression is not reduced for local buckling. Worked values in tests/reference/test_tube_strength.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.geom import section as ring

YIELD_FACTOR = 1.67
"""AISC 360's Ω for yielding, buckling, bending, shear and torsion."""

TENSILE_FACTOR = 2.0
"""AISC 360's Ω for rupture."""

SOURCE = "AISC 360 D2, E3, F8, G5, H3 (from memory)"


@dataclass(frozen=True)
class Bears:
    """What a section bears.

    Attributes:
        pull: axial, N.
        push: axial, with buckling, N.
        bend: about y, N·mm.
        bend_flat: about z, N·mm; the same for a tube.
        shear: N.
        twist: N·mm.
    """

    pull: float
    push: float
    bend: float
    bend_flat: float
    shear: float
    twist: float


def buckling_stress(fy: float, e: float, slender: float) -> float:
    """Return AISC 360 E3's critical stress, MPa.

    Args:
        fy: yield strength, MPa.
        e: Young's modulus, MPa.
        slender: effective length over radius of gyration.
    """
    if slender <= 0:
        return fy
    euler = math.pi**2 * e / slender**2
    return fy * 0.658 ** (fy / euler) if fy / euler <= 2.25 else 0.877 * euler


def bending_moment(od: float, wall: float, fy: float, e: float) -> float:
    """Return the nominal moment of AISC 360 F8, N·mm: plastic while the wall is compact, then less."""
    slim, s = od / wall, ring.elastic_modulus(od, wall)
    if slim <= 0.07 * e / fy:
        return fy * ring.plastic_modulus(od, wall)
    if slim <= 0.31 * e / fy:
        return min(fy * ring.plastic_modulus(od, wall), (0.021 * e / slim + fy) * s)
    return 0.33 * e / slim * s


def shear_force(od: float, wall: float, fy: float, e: float, length: float) -> float:
    """Return the nominal shear of AISC 360 G5, N: half the area at 0.6 Fy unless so thin that it buckles."""
    slim = od / wall
    buckles = max(1.60 * e / (math.sqrt(max(length, od) / od) * slim**1.25), 0.78 * e / slim**1.5)
    return min(buckles, 0.6 * fy) * ring.area(od, wall) / 2


def torsion_moment(od: float, wall: float, fy: float, e: float, length: float) -> float:
    """Return the nominal torsion of AISC 360 H3.1, N·mm, on C = π (D - t)² t / 2."""
    slim = od / wall
    buckles = max(1.23 * e / (math.sqrt(max(length, od) / od) * slim**1.25), 0.60 * e / slim**1.5)
    return min(buckles, 0.6 * fy) * math.pi * (od - wall) ** 2 * wall / 2


def tube_bears(od: float, wall: float, fy: float, e: float, reach: float) -> Bears:
    """Return what a straight tube bears.

    Args:
        od: mm.
        wall: design wall, mm.
        fy: yield strength, MPa.
        e: Young's modulus, MPa.
        reach: effective length, mm.
    """
    area = ring.area(od, wall)
    bend = bending_moment(od, wall, fy, e)
    return Bears(
        fy * area,
        buckling_stress(fy, e, reach / ring.radius_of_gyration(od, wall)) * area,
        bend,
        bend,
        shear_force(od, wall, fy, e, reach),
        torsion_moment(od, wall, fy, e, reach),
    )


def wall_class(od: float, wall: float, fy: float) -> int:
    """Return the class of EN 1993-1-1 table 5.2: D/t up to 50, 70, 90 times 235 / fy is 1, 2, 3, above that 4."""
    slim = od / wall * fy / 235.0
    return 1 if slim <= 50 else 2 if slim <= 70 else 3 if slim <= 90 else 4


def wall_use(od: float, wall: float, fy: float, e: float) -> float:
    """Return D/t over the most that no formula here is reduced for.

    That is the lesser of AISC 360 table B4.1's 0.11 E / Fy for compression and EN 1993-1-1 table 5.2's class 3.
    """
    return od / wall / min(0.11 * e / fy, 90.0 * 235.0 / fy)
