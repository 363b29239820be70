"""What every builder is given, and the small moves that all of them make."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.design.choose import Choice, od
from rackgen.design.plan_record import Plan
from rackgen.geom import spine
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.place import clock_toward, nearest_along
from rackgen.parts.rack import Group, PartId, Placed
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Stock
from rackgen.spec.vehicle import Vehicle
from rackgen.units import shown_step, write_length

VENT = 5.0
"""Diameter of a vent or drain, mm; it keeps two tube diameters from bends and welds (common practice, no source)."""


@dataclass(frozen=True)
class Site:
    """Where a rack is built and what has been built so far.

    Attributes:
        spec: what is asked for.
        shop: who builds it.
        vehicle: what it stands on.
        choice: the stock of every role.
        plan: the sizes.
        so_far: groups of earlier builders.
    """

    spec: RackSpec
    shop: Shop
    vehicle: Vehicle
    choice: Choice
    plan: Plan
    so_far: tuple[Group, ...] = ()

    def member(self, part_id: PartId) -> Placed:
        """Return a part of an earlier builder.

        Raises:
            KeyError: there is no such part.
        """
        for group in self.so_far:
            for placed in group.members:
                if placed.id == part_id:
                    return placed
        raise KeyError(part_id)

    def leg_at(self, y: float, x: float) -> Placed:
        """Return the tube of the leg or rail on the side of `y` at X of the rack's frame, or the tail behind a butt.

        Raises:
            KeyError: the frame is not built yet.
        """
        butt = self.plan.butt
        if butt is None or x < butt:
            return self.member(self.plan.legs[0 if y < 0 else 1])
        return self.member("frame.tail.left" if y < 0 else "frame.tail.right")

    def rim_at(self, y: float, x: float) -> Placed:
        """Return the tube of the lower ring, or the side rail, on the side of `y` at X from mid-length.

        Raises:
            KeyError: the basket is not built yet.
        """
        if self.spec.basket.kind == "deck":
            return self.member(f"basket.rail.{'left' if y < 0 else 'right'}")
        return self.member(f"basket.lower.{'front' if x < 0 else 'rear'}")

    def with_group(self, group: Group) -> Site:
        """Return the site after one more builder."""
        return dataclasses.replace(self, so_far=(*self.so_far, group))

    def ordered(self, *sizes: float) -> str:
        """Return the sizes of a bought part as the shop orders it: "38 × 90 × 3 mm" or "2-1/16 × 3-9/16 × 1/8 in"."""
        unit = self.shop.unit
        texts = (f"{mm:g}" if unit == "mm" else write_length(mm, unit, shown_step(unit, fine=True)) for mm in sizes)
        return f"{' × '.join(texts)} {unit}"

    @property
    def up(self) -> Vec:
        """Up off the rack's plane, vehicle frame."""
        return self.plan.frame.z

    @property
    def down(self) -> Vec:
        """Down from the rack's plane, vehicle frame."""
        return vec(-np.asarray(self.plan.frame.z))

    @property
    def basket(self) -> Frame:
        """Frame of the basket in the vehicle frame: origin at mid-length in the plane of ring's or rails' axes."""
        return self.plan.frame.moved((self.plan.middle, 0.0, self.plan.ring_z))


Builder = Callable[[Site], Group]


def straight(site_frame: Frame, part_id: PartId, word: str, stage: int, stock: Stock, a: Vec, b: Vec) -> Placed:
    """Return a straight tube from axis point to axis point.

    Args:
        site_frame: frame that `a` and `b` are given in, placed in the vehicle frame.
        part_id: its id.
        word: what the shop calls it.
        stage: when it is cut.
        stock: its tube.
        a: end A, mm.
        b: end B, mm.
    """
    line, frame = spine.from_points([a, b], 1.0)
    return Placed(part_id, BentTube(stock, line), site_frame.then(frame), word, stage)


def bent(site_frame: Frame, part_id: PartId, word: str, stock: Stock, line: spine.Spine, frame: Frame) -> Placed:
    """Return a bent tube of stage 1 where its own frame stands in `site_frame`."""
    return Placed(part_id, BentTube(stock, line), site_frame.then(frame), word, 1)


def tube_of(placed: Placed) -> BentTube:
    """Return the part of a placed tube.

    Raises:
        TypeError: it is not a tube.
    """
    if not isinstance(placed.part, BentTube):
        raise TypeError(f"{placed.id} is not a tube")
    return placed.part


def with_holes(placed: Placed, holes: Iterable[TubeHole]) -> Placed:
    """Return the tube with more holes."""
    part = tube_of(placed)
    return dataclasses.replace(placed, part=dataclasses.replace(part, holes=(*part.holes, *holes)))


def hole_toward(placed: Placed, at: float, toward: Vec, purpose: Literal["vent", "drain"]) -> TubeHole:
    """Return a vent or drain at `at` mm along a tube that looks in a direction of the vehicle frame."""
    return TubeHole(at, clock_toward(placed, at, toward), VENT, purpose)


def vented(placed: Placed, toward: Vec, welds: Iterable[tuple[Vec, float]]) -> Placed:
    """Return a closed straight tube with a vent on its low side, two diameters clear of every weld.

    Args:
        placed: a straight tube.
        toward: its low side as mounted, vehicle frame.
        welds: points on its axis where something is welded, vehicle frame, and half the width of that, mm.

    Where no place is that far from every weld, the vent goes where it is farthest.
    """
    part = tube_of(placed)
    length = spine.length(part.spine)
    clear = 2 * od(part.stock)
    spots = [(nearest_along(placed, point), half) for point, half in welds]
    tries = np.arange(0.0, length + 0.5, 1.0)
    at_welds, halves = np.array([at for at, _ in spots]), np.array([half for _, half in spots])
    far = (np.abs(tries[:, None] - at_welds) - halves).min(axis=1)
    good = np.flatnonzero(far >= clear - 1e-6)
    at = float(tries[good[0] if len(good) else int(np.argmax(far))])
    return with_holes(placed, [hole_toward(placed, at, toward, "vent")])
