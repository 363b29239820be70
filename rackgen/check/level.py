"""Whether the frame lies level: how far it falls to the rear and to one side."""

from __future__ import annotations

import math

import numpy as np

from rackgen.errors import Finding, Level
from rackgen.geom.frame import Vec
from rackgen.geom.spine import pieces
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.registry import number
from rackgen.spec.shop import BOW


def level_findings(rack: Rack) -> list[Finding]:
    """Return the frame's rake and roll where they are more than is usual; its drop bends and bows do not count."""
    limit = number("rake-look")
    out: list[Finding] = []
    for placed in rack.placed:
        if not placed.id.startswith("frame.") or not isinstance(placed.part, BentTube) or not placed.part.spine.bends:
            continue
        if placed.word == BOW:
            continue
        worst = max(_tilts(placed, placed.part), key=lambda t: abs(t[0]), default=None)
        if worst is None or abs(worst[0]) <= limit.value + 0.01:
            continue
        angle, (fall, rise) = abs(worst[0]), worst[1]
        way = fall if worst[0] > 0 else rise
        out.append(
            Finding(
                "rake",
                Level.LOOK,
                (placed.id,),
                f"{placed.word} falls {angle:.2f} deg to the {way}; up to {limit.value:g} deg is usual",
                at=placed.frame.origin,
                got=angle,
                limit=limit.value,
                unit="deg",
                source=limit.cited,
                keys=("frame.rake" if way in ("rear", "front") else "frame.roll",),
                help="level it, or waive this when it is meant",
            )
        )
    return out


def _tilts(placed: Placed, part: BentTube) -> list[tuple[float, tuple[str, str]]]:
    """Return how the back and the straights next to it fall, degrees, and to where when positive and negative."""
    straight = [(p.start, placed.frame.direction(p.frame.x)) for p in pieces(part.spine) if p.bend is None]
    out: list[tuple[float, tuple[str, str]]] = []
    for k, (_, x) in enumerate(straight):
        if abs(x[1]) < 0.9:
            continue
        out.append((_fall(x, 1), ("right", "left")))
        for near in (k - 1, k + 1):
            if 0 <= near < len(straight) and abs(straight[near][1][0]) > 0.7:
                out.append((_fall(straight[near][1], 0), ("rear", "front")))
    return out


def _fall(x: Vec, along: int) -> float:
    return -math.degrees(math.atan2(x[2] * float(np.sign(x[along])), math.hypot(x[0], x[1])))
