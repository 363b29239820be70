"""What the vehicle's handbook lets a rack weigh with its load: on the roof, or on a pickup's bed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.parts.rack import Rack
from rackgen.spec.foot_place import BedRailPlace
from rackgen.spec.vehicle import Vehicle


@dataclass(frozen=True)
class HandbookLimit:
    """The limit that a rack falls under.

    Attributes:
        kg: moving, the rack itself counted in; None when it is not known.
        on: what carries it.
    """

    kg: float | None
    on: Literal["roof", "bed"] = "roof"

    @property
    def words(self) -> str:
        """What sheets call it."""
        return f"{self.on} limit"

    @property
    def key(self) -> str:
        """Key of the vehicle's file."""
        return f"{self.on}_limit"


def handbook_limit(rack: Rack, vehicle: Vehicle) -> HandbookLimit:
    """Return the limit of what a rack stands on: the bed's where any of its feet is on a bed rail, else the roof's.

    Args:
        rack: parts of a mount are named after its place.
        vehicle: with its places and limits.
    """
    rails = {f"mount.{p.name}." for p in vehicle.feet if isinstance(p, BedRailPlace)}
    if any(placed.id.startswith(tuple(rails)) for placed in rack.placed):
        return HandbookLimit(vehicle.bed_limit, "bed")
    return HandbookLimit(vehicle.roof_limit)
