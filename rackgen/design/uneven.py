"""Whether the readings about a mount lie on a smooth skin: ribs, dents and edges between them show as jumps."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.design.skin import Skin
from rackgen.errors import Finding, Level
from rackgen.geom.spline import smooth_stretch
from rackgen.geom.surface import Roof
from rackgen.spec.vehicle import FrontMount

JUMP = 7.0
OFF = 2.5
WORST = 20.0
PLATE = 60.0
"""How far a reading may be off the curve through its neighbours, since between readings the skin is then off its
surface by about a seventh of that (of four even readings: one left out, against the middle between two); how far what
was read at a mount may be off that surface, and from where one of the two must be wrong; half a plate, over which a
tilt makes a difference in height; mm (common practice, no source)."""


def jump(roof: Roof, mount: FrontMount) -> float:
    """Return how far readings beside a mount are off smooth curves through their neighbours, mm.

    Across, at the two nearest stations; and fore and aft, the stations' heights at the mount's Y.
    """
    x, y, _ = mount.at
    beside = sorted(roof.sections, key=lambda s: abs(s.x - x))[:2]
    # Beyond an edge, as of a gutter, there are no neighbours: readings fall there as they will.
    smooth = [(section, *smooth_stretch(section.ys, section.zs)) for section in beside]
    off = [v for s, a, b in smooth for v in _apart(s.ys[a : b + 1], s.zs[a : b + 1], y)]
    off += _apart([s.x for s in roof.sections], [float(roof.height(s.x, y)) for s in roof.sections], x)
    return max((v for v in off if math.isfinite(v)), default=0.0)


def off_table(roof: Roof, mount: FrontMount) -> float:
    """Return how far a plate as read at the mount is off the surface of the stations, mm."""
    x, y, z = mount.at
    tilts = zip(Skin(roof, mount).slopes(x, y), roof.slope(x, y), strict=True)
    off = [abs(z - float(roof.height(x, y))), *(PLATE * abs(a - float(b)) for a, b in tilts)]
    return max((v for v in off if math.isfinite(v)), default=0.0)


def _apart(at: Sequence[float], values: Sequence[float], near: float) -> list[float]:
    """Return how far the readings on both sides of a place are off the curve through their nearest neighbours, mm."""
    places, heights = np.array(at), np.array(values)
    behind = int(np.searchsorted(places, near))
    out: list[float] = []
    for k in (behind - 1, behind):
        if not 1 <= k < len(places) - 1:
            continue
        others = [i for i in range(max(0, k - 2), min(len(places), k + 3)) if i != k]
        if len(others) < 3:
            continue
        curve = np.polynomial.Polynomial.fit(places[others], heights[others], len(others) - 1)
        out.append(abs(float(curve(places[k])) - float(heights[k])))
    return out


def uneven(roof: Roof, mount: FrontMount, plate: str) -> tuple[Finding, ...]:
    """Return a look where the readings tell too little of the skin under a plate, a stop where they tell nothing."""
    # A jump beside the mount leaves a seventh of it between readings; a level that contradicts the roof, all of it.
    texts = (
        (
            jump(roof, mount),
            JUMP,
            math.inf,
            "readings beside {name} are {off:.1f} mm off a smooth skin through their neighbours",
        ),
        (
            off_table(roof, mount),
            OFF,
            WORST,
            "what was read at {name} itself is {off:.1f} mm off the surface of the stations",
        ),
    )
    return tuple(
        Finding(
            "skin-uneven",
            Level.STOP if off > worst else Level.LOOK,
            (plate,),
            f"{text.format(name=mount.name, off=off)}; up to {limit:g} mm is usual: a rib, a dent or an edge lies "
            "there, and how the plate lies on it is not known",
            at=mount.at,
            got=off,
            limit=limit,
            keys=(f"mounts.{mount.name}", "roof"),
            help="move the mount to where the roof is smooth, read more places about it, or hold a template there",
        )
        for off, limit, worst, text in texts
        if off > limit
    )
