"""Properties of a round tube's cross section.

Ring formulas of the strength of materials, on the wall that is passed in: AISC's printed values for HSS stand on the
design wall, 0.93 of the nominal one, while weights always stand on the nominal wall. Held against AISC's and EN
10219-2's tables in tests/reference/test_tube_tables.py.
"""

from __future__ import annotations

import math


def area(od: float, wall: float) -> float:
    """Return the area of metal, π/4 (D² - d²), mm² for mm."""
    return math.pi * (od - wall) * wall


def second_moment(od: float, wall: float) -> float:
    """Return the second moment of area about a diameter, π/64 (D⁴ - d⁴), mm⁴ for mm."""
    return math.pi / 64 * (od**4 - (od - 2 * wall) ** 4)


def elastic_modulus(od: float, wall: float) -> float:
    """Return the elastic section modulus, 2 I / D, mm³ for mm."""
    return 2 * second_moment(od, wall) / od


def plastic_modulus(od: float, wall: float) -> float:
    """Return the plastic section modulus, (D³ - d³) / 6, mm³ for mm."""
    return (od**3 - (od - 2 * wall) ** 3) / 6


def radius_of_gyration(od: float, wall: float) -> float:
    """Return the radius of gyration, √(I / A), mm for mm."""
    return math.sqrt(second_moment(od, wall) / area(od, wall))


def torsion_constant(od: float, wall: float) -> float:
    """Return the torsion constant of the closed tube, twice the second moment, mm⁴ for mm."""
    return 2 * second_moment(od, wall)


def mass_per_length(od: float, wall: float, density: float) -> float:
    """Return the mass of a metre of tube, kg/m, on its nominal wall.

    Args:
        od: mm.
        wall: nominal, mm.
        density: kg/m³.
    """
    return area(od, wall) * density * 1e-6
