"""A plain flat roof under a basket of some size, for a price before any vehicle has been measured.

Everything a rack needs stands where it is easiest: a level roof, front mounts over a bow, rear corners wide enough for
any strap. A measured vehicle is tighter than this one, and its rack costs about the same.
"""

from __future__ import annotations

from rackgen.geom.surface import Roof, Section
from rackgen.spec.vehicle import FrontMount, RearMount, Vehicle

NAME = "a plain flat roof"
FRONT_X = 220.0
INBOARD = 50.0
EDGE = 135.0
CORNER = 110.0
CORNER_RADIUS = 45.0
TO_SHUT_LINE = 120.0
STRAP_OUT = 45.0
STRAP_ZONE = 60.0
REAR_DROP = 50.0
OVERHANG = 41.5
ZONE = (40.0, 30.0)
SKIN = 0.8
STATIONS = 6
"""Where the front mounts stand, aft of the datum and inboard of the basket's sides; how far the roof, and the flat of
its rear face, reach beyond these; the rear corner; how far the strap stands out, and may move; how far below the roof
the flat of the rear face begins, and how far behind the last station; how far a plate may move; the skin; mm. A boxy
wagon's (common practice, no source)."""


def plain_roof(width: float, length: float) -> Vehicle:
    """Return a vehicle that a basket of a width and a length stands on, mm."""
    half = width / 2
    edge = half + EDGE
    rear = FRONT_X + length
    ys = (-edge, -half, 0.0, half, edge)
    last = rear - OVERHANG
    roof = Roof(tuple(Section(last * k / (STATIONS - 1), ys, (0.0,) * 5, edge, edge) for k in range(STATIONS)))
    front = tuple(
        FrontMount(f"front_{side}", (FRONT_X, sign * (half - INBOARD), 0.0), 0.0, 0.0, ZONE, "bow", SKIN)
        for side, sign in (("left", -1.0), ("right", 1.0))
    )
    rears = tuple(
        RearMount(
            name=f"rear_{side}",
            at=(rear, sign * (half + STRAP_OUT), -REAR_DROP),
            lean=0.0,
            corner_radius=CORNER_RADIUS,
            corner=half + CORNER,
            to_shut_line=TO_SHUT_LINE,
            zone=STRAP_ZONE,
            under="pillar",
            skin=SKIN,
        )
        for side, sign in (("left", -1.0), ("right", 1.0))
    )
    return Vehicle(NAME, "the front of the roof, on the middle", roof, front, rears)
