"""Air on a rack: the pressure of a speed, and the drag of a round tube across it.

Drag and lift are coefficient × pressure × area, the pressure being half the air's density times the square of its speed
(any handbook of fluid mechanics; from memory).
"""

from __future__ import annotations

import math

from rackgen.refs.registry import number
from rackgen.strength.model import Properties

PASCAL = 1e-6
"""N/mm²."""


def pressure(speed: float) -> float:
    """Return the pressure of air that is brought to rest, Pa.

    Args:
        speed: of the air past the load, km/h.
    """
    return number("air-density").value / 2 * (speed / 3.6) ** 2


def tube_drag(od: float) -> float:
    """Return the drag of a round tube square across the wind at 1 Pa, N/mm.

    Args:
        od: mm.
    """
    return number("drag-cylinder").value * od * PASCAL


def outside_diameter(tube: Properties) -> float:
    """Return a round tube's outside diameter, mm, out of its area and second moment.

    I / A = (D² + d²) / 16 and A = π/4 (D² - d²) give D² = 8 I / A + 2 A / π.
    """
    return math.sqrt(8 * tube.iy / tube.area + 2 * tube.area / math.pi)
