"""How stiffly the vehicle's skin holds a fastener, by what lies under it.

Out of the skin: a clamped square of skin, as wide as what lies under it leaves free, pulled in its middle. Along the
skin: one figure for every fastener. Both are assumptions; `rigid` shows how much hangs on them.
"""

from __future__ import annotations

import math

from rackgen.refs.registry import number
from rackgen.spec.vehicle import Under, Vehicle

POISSON = 0.3
RIGID = (math.inf, math.inf, math.inf, 0.0, 0.0, 0.0)
Stiffness = tuple[float, float, float, float, float, float]


def skin_spring(under: Under, skin: float, among: int = 1) -> Stiffness:
    """Return the stiffness of one fastener along and about its axes, z out of the skin; N/mm and N·mm/rad.

    Args:
        under: what lies under the skin.
        skin: its thickness, mm.
        among: fasteners that share one free field of skin; over pillars, rails and bows each has its own.
    """
    span = number(f"skin-span-{under}").value
    plate = number("young-steel").value * skin**3 / (12 * (1 - POISSON**2))
    out = plate / (number("skin-plate-centre").value * span**2)
    along = number("skin-in-plane").value
    return (along, along, out / (among if under == "skin" else 1), 0.0, 0.0, 0.0)


def mount_spring(vehicle: Vehicle, mount: str, among: int, *, rigid: bool = False) -> Stiffness:
    """Return the stiffness of one of `among` fasteners of a mount.

    Raises:
        KeyError: the vehicle has no mount of that name.
    """
    if rigid:
        return RIGID
    for place in (*vehicle.front, *vehicle.rear):
        if place.name == mount:
            return skin_spring(place.under, place.skin, among)
    raise KeyError(mount)
