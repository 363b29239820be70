"""What a flat bar bears, by AISC 360 (allowable strength), before the factor of safety. N, mm, MPa; from memory.

Sections D2, E3, F11 (bending of rectangles); elastic shear and torsion of a solid rectangle (Roark, from memory).
"""

from __future__ import annotations

import math

from rackgen.strength.tube_strength import Bears, buckling_stress

SOURCE = "AISC 360 D2, E3, F11; torsion of a rectangle, Roark (from memory)"


def edgewise_moment(width: float, thickness: float, fy: float, e: float, reach: float) -> float:
    """Return the nominal moment of a bar bent on edge, N·mm: plastic, or less where it tips over (AISC 360 F11).

    The moment is taken as even along the unheld length (Cb 1).
    """
    s, z = thickness * width**2 / 6, thickness * width**2 / 4
    plastic = min(fy * z, 1.6 * fy * s)
    slim = reach * width / thickness**2
    if slim <= 0.08 * e / fy:
        return plastic
    if slim <= 1.9 * e / fy:
        return min(plastic, (1.52 - 0.274 * slim * fy / e) * fy * s)
    return min(plastic, 1.9 * e / slim * s)


def twist_modulus(width: float, thickness: float) -> float:
    """Return a rectangle's torsion over its largest shear stress, mm³ (Roark's fit to the series, from memory)."""
    r = thickness / width
    return width * thickness**2 / 3 / (1 + 0.6095 * r + 0.8865 * r**2 - 1.8023 * r**3 + 0.9100 * r**4)


def flat_bears(width: float, thickness: float, fy: float, e: float, reach: float) -> Bears:
    """Return what a flat bar bears; `bend` is across its thickness, `bend_flat` on edge.

    Args:
        width: the larger side, mm.
        thickness: the lesser, mm.
        fy: yield strength, MPa.
        e: Young's modulus, MPa.
        reach: effective length, mm.
    """
    area = width * thickness
    return Bears(
        fy * area,
        buckling_stress(fy, e, reach * math.sqrt(12.0) / thickness) * area,
        fy * width * thickness**2 / 4,
        edgewise_moment(width, thickness, fy, e, reach),
        # The largest shear stress of a rectangle is one and a half times the mean.
        0.6 * fy * area / 1.5,
        0.6 * fy * twist_modulus(width, thickness),
    )


def folded_thickness(thickness: float, inside_radius: float, share: float) -> float:
    """Return how thick a bar is in a fold, mm: its metal keeps its volume, its neutral line its length.

    Args:
        thickness: mm.
        inside_radius: mm.
        share: where the neutral line lies, in thicknesses from the inside (half of DIN 6935's k).
    """
    # (r + t'/2) t' = (r + share t) t
    r = inside_radius
    return math.sqrt(r * r + 2 * (r + share * thickness) * thickness) - r
