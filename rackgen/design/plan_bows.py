"""The sizes of a frame of bows: each over its own pair of feet, as near over the roof as the wanted gap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rackgen.design.bow_shape import EVEN, Bow, bow_shape
from rackgen.design.choose import Choice
from rackgen.design.foot import face_at
from rackgen.design.foot_pairs import chosen
from rackgen.design.plan_record import Plan
from rackgen.design.seat import Carrier
from rackgen.design.skin import Skin
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame, vec
from rackgen.spec.foot_place import FrontMount
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import BOW, Shop
from rackgen.spec.vehicle import Vehicle

LIFTED = 150.0
TAPE = 3.0
"""How much higher than wanted a bow may stand for its die before it is worth a look, and how much shapes of bows
may differ that a tape cannot tell apart, mm (common practice, no source)."""


def plan_bows(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the vehicle has not the feet that are asked for.
    """
    pairs = chosen(spec, vehicle, 2)
    faces = [
        tuple(face_at(place, shop, vehicle, choice, pair.x)[0] for place in (pair.left, pair.right)) for pair in pairs
    ]

    def shaped(lifts: Sequence[float]) -> list[Bow]:
        return [
            bow_shape(
                vehicle.roof, pair.left, pair.right, (feet[0], feet[1]), spec.gaps.tube, choice.frame_od,
                choice.frame_die, shop.trim_of(BOW), lift,
            )
            for pair, feet, lift in zip(pairs, faces, lifts, strict=True)
        ]  # fmt: skip

    bows = alike_bows(shaped(_in_line([pair.x for pair in pairs], shaped([0.0] * len(pairs)))))
    carriers: list[Carrier] = []
    findings: list[Finding] = []
    for i, (pair, made) in enumerate(zip(pairs, bows, strict=True)):
        findings += _said(f"frame.bow[{i + 1}]", made)
        for place in (pair.left, pair.right):
            skin = Skin(vehicle.roof, place) if isinstance(place, FrontMount) else None
            carriers.append(Carrier(place, "bar", i, pair.x - pairs[0].x, place.at[1], skin))
    crown = max(p[2] for p in bows[0].points)
    frame = Frame((bows[0].points[0][0], 0.0, crown))
    y = max(abs(p[1]) for bow in bows for p in (bow.points[0], bow.points[-1]))
    found = Plan(
        frame, y, (), (), tuple(pair.x - pairs[0].x for pair in pairs), tuple(carriers), None, 0.0, 0.0, 0.0,
        (), (), (), (), "bows", "open", bows=tuple(bows),
    )  # fmt: skip
    return found, tuple(findings)


def alike_bows(bows: Sequence[Bow]) -> list[Bow]:
    """Return the bows, those whose shapes a tape cannot tell apart made alike: as the tallest of them."""
    out = list(bows)
    done: set[int] = set()
    for i in sorted(range(len(out)), key=lambda k: (-_rise(out[k]), k)):
        if i in done:
            continue
        mine = np.subtract(out[i].points, out[i].points[0])
        for k, other in enumerate(out):
            if k in done or len(other.points) != len(mine):
                continue
            its = np.subtract(other.points, other.points[0])
            if k != i and float(np.abs(its - mine).max()) < TAPE:
                points = tuple(vec(np.asarray(other.points[0]) + p) for p in mine)
                more = _rise(out[i]) - _rise(other)
                out[k] = replace(other, points=points, lifted=other.lifted + max(0.0, more))
                done.add(k)
        done.add(i)
    return out


def _rise(bow: Bow) -> float:
    return max(p[2] for p in bow.points) - min(bow.points[0][2], bow.points[-1][2])


def _in_line(xs: Sequence[float], bows: Sequence[Bow]) -> list[float]:
    """Return how much each bow is lifted at least so that a long load lies on all of them: the tops on one line."""
    tops = [max(p[2] for p in bow.points) for bow in bows]
    slope, _ = np.polyfit(xs, tops, 1).tolist()
    over = max(z - slope * x for x, z in zip(xs, tops, strict=True))
    return [
        bow.lifted + math.ceil(over + slope * x - z - 1e-6) for x, z, bow in zip(xs, tops, bows, strict=True)
    ]  # fmt: skip


def _said(name: str, bow: Bow) -> list[Finding]:
    out: list[Finding] = []
    if bow.lifted > 0:
        out.append(
            Finding(
                "bow-lifted",
                Level.LOOK if bow.lifted > LIFTED else Level.NOTE,
                (name,),
                f"the bow stands {bow.lifted:.0f} mm higher over the roof than wanted: the die can hold its legs, "
                "and all bows lie in one line",
                got=bow.lifted,
                limit=LIFTED,
                keys=("frame.tube", "clearances.tube"),
                help="place its feet further out or lower, or choose a thinner tube with a tighter die",
            )
        )
    if bow.even > EVEN + 0.5:
        out.append(
            Finding(
                "bow-uneven",
                Level.NOTE,
                (name,),
                f"its gap over the roof changes by {bow.even:.0f} mm along the crown; up to {EVEN:.0f} mm is even",
                got=bow.even,
                limit=EVEN,
                keys=("frame.tube",),
                help="a die with a shorter clamp lets it have more bends",
            )
        )
    return out
