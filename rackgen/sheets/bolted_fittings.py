"""Fittings that are put on with bolts at the vehicle, after coating: what is bolted where, with what, and how."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Vec, vec
from rackgen.parts.kinds import BoltShape, Bought, UBoltShape
from rackgen.parts.marks import Mark
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.shop import Shop

FITTING = "fitting["
"""How the id of every part of a fitting begins."""

STEPS: Mapping[str, tuple[str, ...]] = {
    "air deflector": (
        "Air deflector: bolts through sheet and tabs from the front, washers on both sides, all by hand first; the "
        "lower edge follows the roof with the same gap all along. Draw up from the middle outward.",
    ),
    "ladder clamp": (
        "Ladder: hold it up with its clamps against the rack's tube, U-bolts from inside, nuts aft, by hand. Set it "
        "plumb and in its place, every foot flat on its rubber, then draw the nuts up by turns to the torque.",
        "Ladder: open and shut every door and hatch beside it. Hang on the lowest rung with care: no foot may dent the "
        "body, no clamp may turn on its tube.",
    ),
}
"""How a fitting goes on, by what is bolted (common practice, no source)."""


@dataclass(frozen=True)
class BoltedFitting:
    """One part of a fitting with its fasteners.

    Attributes:
        part: id.
        mark: of the part.
        word: what the shop calls it.
        at: middle of its fasteners, vehicle frame, mm.
        fastener: as it is ordered.
        count: how many.
        grip: thickness held, mm.
        torque: N·m; None where the shelf does not know it.
    """

    part: PartId
    mark: Mark
    word: str
    at: Vec
    fastener: str
    count: int
    grip: float
    torque: float | None


def bolted_fittings(rack: Rack, shop: Shop, named: Mapping[PartId, Mark]) -> tuple[BoltedFitting, ...]:
    """Return the parts of fittings that bolts hold, in the rack's order; a sheet on tabs is told once, as the sheet."""
    by_id = {p.id: p for p in rack.placed}
    held: dict[PartId, list[Placed]] = {}
    for joint in rack.joints:
        bolt, on = joint.a.part, joint.b.part
        if joint.kind not in ("bolts", "U-bolt") or not bolt.startswith(FITTING) or not on.startswith(FITTING):
            continue
        if by_id[on].word in STEPS:
            held.setdefault(on, []).append(by_id[bolt])
    out: list[BoltedFitting] = []
    for part, bolts in held.items():
        first = bolts[0].part
        assert isinstance(first, Bought)
        grip, pull = _grip(first), _torque(first, shop)
        at = vec(np.mean([b.frame.origin for b in bolts], axis=0))
        out.append(BoltedFitting(part, named[part], by_id[part].word, at, first.name, len(bolts), grip, pull))
    return tuple(out)


def _grip(item: Bought) -> float:
    shape = item.shape
    if isinstance(shape, UBoltShape):
        return shape.seat - shape.drop
    return shape.grip if isinstance(shape, BoltShape) else 0.0


def _torque(item: Bought, shop: Shop) -> float | None:
    if isinstance(item.shape, UBoltShape):
        return next((b.torque for b in shop.u_bolts if b.name == item.name), None)
    return next((b.torque for b in shop.bolts if item.name.startswith(f"{b.name} ×")), None)


def steps(found: tuple[BoltedFitting, ...]) -> tuple[str, ...]:
    """Return how they go on, each kind once."""
    return tuple(step for word in dict.fromkeys(f.word for f in found) for step in STEPS.get(word, ()))
