"""The sizes of the rack, worked out once from what is asked for, by the kind of its frame."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rackgen.design.choose import Choice
from rackgen.design.plan_bows import plan_bows
from rackgen.design.plan_hoop import plan_hoop
from rackgen.design.plan_rails import plan_rails
from rackgen.design.plan_record import Plan, ring_y
from rackgen.errors import Finding
from rackgen.spec.frames import FrameKind
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle

__all__ = ["PLANS", "Plan", "plan", "ring_y"]

Planner = Callable[[RackSpec, Shop, Vehicle, Choice], tuple[Plan, tuple[Finding, ...]]]

PLANS: Mapping[FrameKind, Planner] = {
    "hoop": plan_hoop,
    "ladder": plan_rails,
    "bows": plan_bows,
    "bed": plan_rails,
}
"""Who works out the sizes, by `frame.kind`."""


def plan(spec: RackSpec, shop: Shop, vehicle: Vehicle, choice: Choice) -> tuple[Plan, tuple[Finding, ...]]:
    """Return the sizes, and what could not be had as asked.

    Raises:
        BadInput: the basket is too small for its own bends, or the vehicle has nothing that the frame can stand on.
    """
    return PLANS[spec.frame.kind](spec, shop, vehicle, choice)
