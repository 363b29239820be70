"""What a millimetre of weld bears: weld metal, the metal beside it, and second figures by other standards.

Forces per length in N/mm, lengths in mm, stresses in MPa. Nominal, before any factor, unless a name says otherwise.
"""

from __future__ import annotations

import math

THROAT = math.sqrt(0.5)
"""Throat of an equal-legged fillet, in legs."""

SHEAR = 0.60
"""Shear strength in tensile strengths (AISC 360 J2.4, J4.2)."""

OMEGA_WELD = 2.00
OMEGA_RUPTURE = 2.00
OMEGA_YIELD = 1.50
"""Factors of safety of weld metal, of rupture and of yield in shear beside it (AISC 360 J2.4, J4.2)."""

THIN = 3.2
"""Metal thinner than this is under AWS D1.3 rather than D1.1, mm (from memory)."""


def fillet_line(tensile: float, leg: float) -> float:
    """Return the strength of a fillet per length, N/mm, whatever its direction (AISC 360 J2.4 at 0 degrees).

    Args:
        tensile: of the weld metal, MPa.
        leg: mm.
    """
    return SHEAR * tensile * THROAT * leg


def directional(degrees: float) -> float:
    """Return the increase for a load at an angle to the bead (AISC 360 J2.4); not for beads on tube branches."""
    return 1.0 + 0.50 * math.sin(math.radians(degrees)) ** 1.5


def beside_rupture(tensile: float, thickness: float) -> float:
    """Return the shear rupture of the metal beside a bead per length, N/mm (AISC 360 J4.2)."""
    return SHEAR * tensile * thickness


def beside_yield(yield_: float, thickness: float) -> float:
    """Return the shear yield of the metal beside a bead per length, N/mm (AISC 360 J4.2)."""
    return SHEAR * yield_ * thickness


def least_leg(thickness: float) -> float:
    """Return the least fillet of AISC 360 table J2.4 by the thinner part, mm; it need not exceed that part."""
    sixteenths = 2 if thickness <= 6.35 else 3 if thickness <= 12.7 else 4 if thickness <= 19.05 else 5
    return min(sixteenths * 25.4 / 16, thickness)


def sheet_longitudinal(length: float, thickness: float, tensile: float) -> tuple[float, float]:
    """Return strength in N and factor of safety of a fillet on sheet loaded along it (AISI S100 J2.5, from memory)."""
    if length / thickness < 25:
        return (1 - 0.01 * length / thickness) * length * thickness * tensile, 2.55
    return 0.75 * thickness * length * tensile, 3.05


def sheet_transverse(length: float, thickness: float, tensile: float) -> tuple[float, float]:
    """Return strength in N and factor of safety of a fillet on sheet loaded across it (AISI S100 J2.5, from memory)."""
    return thickness * length * tensile, 2.35


CORRELATION = ((235.0, 0.80), (275.0, 0.85), (355.0, 0.90))
"""EN 1993-1-8 table 4.1: correlation factor by yield strength, MPa."""


def simple_stress(tensile: float, correlation: float) -> float:
    """Return the design shear strength of a fillet's throat, MPa (EN 1993-1-8 4.5.3.3, gamma 1.25 in it)."""
    return tensile / (math.sqrt(3.0) * correlation * 1.25)


def effective_length(length: float, throat: float) -> float:
    """Return the length that counts of a fillet with open ends, mm: less a throat at each end (EN 1993-1-8 4.5.1)."""
    return length - 2 * throat
