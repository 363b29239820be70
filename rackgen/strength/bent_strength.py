"""What a tube bears in a bend: its wall is thinner outside, its section flattened, a thin wall gives way to an oval.

Thinning and ovality as in `rackgen.geom.bent_wall`; what flattening takes is worked out on a thin ellipse; how much
more a thin bend is stressed is ASME B31.3's factor, from memory.
"""

from __future__ import annotations

import math
from dataclasses import replace

from rackgen.geom.bent_wall import thinning
from rackgen.strength.tube_strength import Bears, tube_bears

SOURCE = "thinning at constant volume, ovality as allowed, ASME B31.3 appendix D for thin bends (from memory)"


def flattened(ovality: float) -> tuple[float, float, float]:
    """Return what is left of I, of S and of Z of a thin ring pressed flat in the plane it is bent in.

    First order in the ovality: I loses 0.75 of it, S 0.25 (I = π t b² (b + 3 a) / 4), Z a third.

    Args:
        ovality: largest less smallest diameter, over the nominal one.
    """
    return 1 - 0.75 * ovality, 1 - 0.25 * ovality, 1 - ovality / 3


def stress_factor(od: float, wall: float, clr: float) -> float:
    """Return ASME B31.3's stress intensification of a bend, 0.9 / h^(2/3) with h = t R / r², 1 or more."""
    r = (od - wall) / 2
    return max(1.0, 0.9 / (wall * clr / r**2) ** (2 / 3))


def bent_bears(od: float, wall: float, clr: float, fy: float, e: float, reach: float, ovality: float) -> Bears:
    """Return what a bent tube bears: the wall is as thin all round as it is outside, which is on the safe side.

    Args:
        od: mm.
        wall: design wall of the straight tube, mm.
        clr: radius of the bend to the centreline, mm.
        fy: yield strength, MPa.
        e: Young's modulus, MPa.
        reach: effective length, mm.
        ovality: over the nominal diameter.
    """
    thin = wall * (1 - thinning(clr, od) / 100)
    bears = tube_bears(od, thin, fy, e, reach)
    left = flattened(ovality)[2] / stress_factor(od, wall, clr)
    # An oval is weaker in torsion by the square of what it loses in area enclosed, a second-order share.
    twist = bears.twist * math.sqrt(1 - ovality**2)
    return replace(bears, bend=bears.bend * left, bend_flat=bears.bend_flat * left, twist=twist)
