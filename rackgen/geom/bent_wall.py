"""What bending does to a round tube: walls, roundness, springback. Closed forms, held against tables in the tests."""

from __future__ import annotations

from rackgen.geom.section import plastic_modulus, second_moment


def thinning(clr: float, od: float) -> float:
    """Return by how much the wall on the outside of a bend gets thinner, % of the wall, 100 / (2 CLR / OD + 1).

    The metal's volume stays and the neutral line is the tube's axis.

    Args:
        clr: radius to the centreline, mm.
        od: outside diameter, mm.
    """
    return 100 * (1 - 2 * clr / od / (2 * clr / od + 1))


def thickening(clr: float, od: float) -> float:
    """Return by how much the wall on the inside of a bend gets thicker, % of the wall, 100 / (2 CLR / OD - 1).

    Args:
        clr: radius to the centreline, mm; more than half the OD.
        od: outside diameter, mm.
    """
    return 100 * (2 * clr / od / (2 * clr / od - 1) - 1)


def ovality(largest: float, smallest: float, od: float) -> float:
    """Return the ovality of a bend, % of the nominal diameter.

    Args:
        largest: outside diameter measured in the bend, mm.
        smallest: outside diameter measured in the bend, mm.
        od: nominal, mm.
    """
    return 100 * (largest - smallest) / od


def springback(od: float, wall: float, clr: float, strength: float, modulus: float) -> float:
    """Return the share of its angle that a bend springs back by, Z Fy CLR / (E I).

    The section is fully plastic when it is let go and unloads elastically.

    Args:
        od: outside diameter, mm.
        wall: mm.
        clr: radius to the centreline, mm.
        strength: yield strength, MPa.
        modulus: Young's modulus, MPa.
    """
    return plastic_modulus(od, wall) * strength * clr / (modulus * second_moment(od, wall))
