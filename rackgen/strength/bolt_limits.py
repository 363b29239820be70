"""Bolts and threaded rods of a stated grade. N, mm, MPa.

The only bolts of these racks are the legs of U-bolts; a U-bolt whose grade the shop states is checked here as two
threaded rods, one whose grade is not stated by its rated load (`u_bolt_limits.py`). Tightening is not added.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.errors import RackgenError
from rackgen.geom.frame import Array, vec
from rackgen.parts.kinds import Bought, UBoltShape
from rackgen.parts.names import part_name
from rackgen.parts.rack import Placed, Rack
from rackgen.refs.fasteners import bolt
from rackgen.refs.strengths import weakest
from rackgen.spec.shop import Shop
from rackgen.spec.stock import UBolt
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, axes

PLAY = 2.0
"""With play about the tube and in the pads' slots so many times fewer U-bolts come to bear sideways (assumed)."""

OMEGA_BOLT = 2.0
"""Factor of safety of bolts (AISC 360 J3.6)."""

NET = 0.75
"""Tension on the plain area in tensile strengths; threads are in it (AISC 360 table J3.2)."""

THREADS = 0.45
"""Shear on the plain area in tensile strengths, threads in the shear plane (AISC 360 table J3.2)."""


@dataclass(frozen=True, eq=False)
class Clamp:
    """A U-bolt of a frame.

    Attributes:
        member: number of its clamp in the model.
        placed: the U-bolt.
        shape: of it.
        bought: its line of the shelf.
        at: middle of the clamp, vehicle frame, mm.
        axes: of its member, as rows; y is across the tube, z along it.
    """

    member: int
    placed: Placed
    shape: UBoltShape
    bought: UBolt
    at: Array
    axes: Array

    def tension(self, loaded: Loaded) -> Array:
        """Return what pulls pad and tube apart, N, shape (cases,); pressing goes into the pad."""
        return np.maximum(loaded.ends[self.member, 1, 0], 0.0)

    def spot(self, bears: str) -> Spot:
        """Return its place, with what it bears."""
        return Spot(part_name("U-bolt", self.placed.id), (self.placed.id,), vec(self.at), bears, ("basket.pads",))


def rod_tension(diameter: float, tensile: float) -> float:
    """Return the strength of a threaded rod in tension, N (AISC 360 J3.6): 0.75 Fu on its plain area."""
    return NET * tensile * math.pi * diameter**2 / 4


def rod_shear(diameter: float, tensile: float) -> float:
    """Return the strength of a threaded rod in shear, N (AISC 360 J3.6): 0.45 Fu on its plain area."""
    return THREADS * tensile * math.pi * diameter**2 / 4


def clamps_of(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Clamp, ...]:
    """Return the U-bolts of a frame, in the order of its members.

    Raises:
        RackgenError: one of them is not on the shelf.
    """
    members = {p.id: p for p in rack.placed}
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    shelf = {u.name: u for u in shop.u_bolts}
    out: list[Clamp] = []
    for i, m in enumerate(model.members):
        placed = members.get(m.part)
        if m.kind != "clamp" or placed is None or not isinstance(placed.part, Bought):
            continue
        if not isinstance(placed.part.shape, UBoltShape):
            continue
        if placed.part.name not in shelf:
            raise RackgenError(f"{placed.part.name} is not on the shelf of {shop.name}: what it bears is not known")
        a, b = at[m.a], at[m.b]
        out.append(
            Clamp(i, placed, placed.part.shape, shelf[placed.part.name], (a + b) / 2, axes(vec(a), vec(b), m.up))
        )
    return tuple(out)


def bolt_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the check of U-bolts of a stated grade as threaded rods; none where no grade is stated.

    Raises:
        RackgenError: a U-bolt is not on the shelf.
    """
    clamps = clamps_of(model, rack, shop)
    mine = [i for i, c in enumerate(clamps) if c.bought.grade]
    graded = [clamps[i] for i in mine]
    if not graded:
        return ()
    steels = [bolt(c.bought.grade) for c in graded]
    pull = np.array([2 * rod_tension(c.shape.rod, s.tensile) for c, s in zip(graded, steels, strict=True)])
    # Sideways the tube lies against one leg.
    shear = np.array([rod_shear(c.shape.rod, s.tensile) for c, s in zip(graded, steels, strict=True)])
    source = "; ".join(dict.fromkeys(["AISC 360 J3.6 and J3.7 (from memory)", *(s.source for s in steels)]))
    return (
        Limit(
            "u-bolt-rod",
            "U-bolts: rods of a stated grade, tension and shear together",
            OMEGA_BOLT,
            "tensile strength",
            source,
            weakest([*(s.tag for s in steels), "memory"]),
            tuple(c.spot(f"{p:.0f} N pulling on both legs, {v:.0f} N across")
                  for c, p, v in zip(graded, pull, shear, strict=True)),
            lambda loaded: OMEGA_BOLT * np.hypot(
                np.stack([c.tension(loaded) for c in graded]) / pull[:, None],
                sideways(clamps, loaded)[mine] / shear[:, None],
            ),
        ),
    )  # fmt: skip


def sideways(clamps: Sequence[Clamp], loaded: Loaded) -> Array:
    """Return the force across the tube on each of a frame's U-bolts, N, shape (clamps, cases).

    A U-bolt has play across its tube, so that what the frame has one side push against the other is let go of; only
    what pushes or turns the whole basket sideways is held. It is shared as a group by the elastic method, and half of
    the U-bolts are taken to bear.
    """
    way = clamps[0].axes[1]
    along = clamps[0].axes[2]
    push = np.stack([float(np.sign(c.axes[1] @ way)) * loaded.ends[c.member, 1, 1] for c in clamps])
    x = np.array([float(c.at @ along) for c in clamps])
    x = x - x.mean()
    spread = float((x * x).sum())
    turning = x @ push / spread if spread > 0 else np.zeros(push.shape[1])
    return PLAY * np.abs(push.mean(axis=0)[None] + x[:, None] * turning[None])
