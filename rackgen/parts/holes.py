"""Holes of one tube that would run into one another, or over its end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from rackgen.parts.kinds import TubeHole

WEB = 1.0
"""Metal between the edges of two holes, mm: less breaks out under the drill (common practice, no source)."""

RANK = {"plug weld": 0, "vent": 1, "drain": 2}
"""Whose hole stays: a plug weld's always, and a vent before a drain."""


def apart(
    holes: Sequence[TubeHole], outer: float, ends: tuple[float, float] = (-math.inf, math.inf)
) -> tuple[TubeHole, ...]:
    """Return the holes in their order, without vents and drains that another vent or drain already stands for.

    Two branches that land beside one another on the same line open into the header through one hole. A plug weld closes
    what lies in it, so a vent or a drain there moves along the tube until a web is left: by less than a branch's bore;
    so does one that a square end would cut.

    Args:
        holes: of one tube.
        outer: its outside radius, mm.
        ends: where the tube ends square, along it, mm; without bound at an end that is shaped.
    """
    kept: list[TubeHole] = []
    moved: dict[int, TubeHole] = {}
    for hole in sorted(holes, key=lambda h: RANK[h.purpose]):
        here = hole if hole.purpose == "plug weld" else _off_plugs(_inside(hole, ends), kept, outer)
        if hole.purpose == "plug weld" or not any(
            other.purpose != "plug weld" and _meet(here, other, outer) for other in kept
        ):
            kept.append(here)
            moved[id(hole)] = here
    return tuple(moved[id(h)] for h in holes if id(h) in moved)


def _inside(hole: TubeHole, ends: tuple[float, float]) -> TubeHole:
    """Return a hole a web away from a square end that would cut it; one beyond the tube stays, and is found wrong."""
    room = hole.diameter / 2 + WEB
    low, high = ends[0] + room, ends[1] - room
    cut = ends[0] - room < hole.at < low or high < hole.at < ends[1] + room
    return replace(hole, at=min(max(hole.at, low), high)) if cut and low < high else hole


def _off_plugs(hole: TubeHole, kept: Sequence[TubeHole], outer: float) -> TubeHole:
    """Return a vent or drain beside every plug weld that it would run into, as near as may be."""
    plugs = [k for k in kept if k.purpose == "plug weld"]
    in_way = [plug for plug in plugs if _meet(hole, plug, outer)]
    tries = [plug.at + way * _clear(hole, plug, outer) for plug in in_way for way in (-1.0, 1.0)]
    beside = (replace(hole, at=at) for at in sorted(tries, key=lambda at: (abs(at - hole.at), at)))
    return next((h for h in beside if not any(_meet(h, plug, outer) for plug in plugs)), hole)


def _clear(hole: TubeHole, plug: TubeHole, outer: float) -> float:
    """Return how far along the tube a hole lies from a plug weld with a web between them, mm."""
    return math.sqrt((((hole.diameter + plug.diameter) / 2 + WEB) ** 2) - _round(hole, plug, outer) ** 2) + 1e-6


def _round(a: TubeHole, b: TubeHole, outer: float) -> float:
    """Return how far two holes lie apart round the tube, mm."""
    return outer * math.radians((a.clock - b.clock + 180.0) % 360.0 - 180.0)


def _meet(a: TubeHole, b: TubeHole, outer: float) -> bool:
    return math.hypot(a.at - b.at, _round(a, b, outer)) < (a.diameter + b.diameter) / 2 + WEB
