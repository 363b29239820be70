"""How stiffly the vehicle's skin holds a fastener, by what lies under it.

Out of the skin: a clamped square of skin, as wide as what lies under it leaves free, pulled in its middle. Along the
skin: one figure for every fastener. Both are assumptions; `rigid` shows how much hangs on them.
"""

from __future__ import annotations

import math

from rackgen.refs.registry import number
from rackgen.spec.foot_place import BedRailPlace, FrontMount, GutterPlace, ThreadsPlace, TrackPlace, under_of
from rackgen.spec.vehicle import RearMount, Under, Vehicle

POISSON = 0.3
REINFORCED = 3.0
"""Thickness of the reinforced sheet that a factory thread sits in, mm (assumed)."""
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
    for place in (*vehicle.front, *vehicle.rear, *vehicle.feet):
        if place.name == mount:
            under = place.under if isinstance(place, RearMount) else under_of(place)
            return skin_spring(under, _sheet(place), among)
    raise KeyError(mount)


def _sheet(place: FrontMount | RearMount | GutterPlace | ThreadsPlace | TrackPlace | BedRailPlace) -> float:
    """Return the thickness of what gives way under a mount, mm: a gutter's floor, a track's lip, the body's sheet."""
    match place:
        case GutterPlace():
            return place.metal
        case TrackPlace():
            return place.lip
        case ThreadsPlace():
            return REINFORCED
        case FrontMount() | RearMount() | BedRailPlace():
            return place.skin
