"""What the thin skin of a vehicle bears around a fastener. N, mm, MPa; nominal unless said otherwise.

Usually the skin gives before the fastener does. Its steel is not known: the least strength of the forming grades is
assumed, and that it is sound and without rust.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.errors import RackgenError
from rackgen.spec.vehicle import FrontMount, RearMount, Under, Vehicle

OMEGA_SHEET = 3.0
"""Factor of safety of a fastener in thin sheet (AISI S100, screws)."""

GAMMA = 1.25
"""Partial factor of EN 1993-1-3 for fasteners."""

MADE_OF = {"pillar": "pillar", "rail": "roof rail", "bow": "roof bow", "skin": "bare skin"}


@dataclass(frozen=True)
class Skin:
    """The skin under one mount: thickness in mm, and what lies under it."""

    thickness: float
    under: Under

    @property
    def words(self) -> str:
        """As spots name it."""
        over = "" if self.under == "skin" else f" over a {MADE_OF[self.under]}"
        return f"skin {self.thickness:g} mm{over}"


def mount_of(vehicle: Vehicle, name: str) -> FrontMount | RearMount:
    """Return a vehicle's mount by name.

    Raises:
        RackgenError: it has none of that name.
    """
    for mount in (*vehicle.front, *vehicle.rear):
        if mount.name == name:
            return mount
    raise RackgenError(f"{vehicle.name} has no mount {name!r}: what its fasteners go into is not known")


def skin_of(vehicle: Vehicle, mount: str) -> Skin:
    """Return the skin under a mount.

    Raises:
        RackgenError: the vehicle has no such mount.
    """
    found = mount_of(vehicle, mount)
    return Skin(found.skin, found.under)


def bearing_factor(diameter: float, thickness: float, other: float) -> float:
    """Return EN 1993-1-3 table 8.1's alpha of a blind rivet: sheets alike tilt, a thick one holds the rivet square.

    Args:
        diameter: of the rivet, mm.
        thickness: of the thinner sheet, mm.
        other: of the thicker one, mm.
    """
    alike = min(3.2 * math.sqrt(thickness / diameter), 2.1)
    share = min(max((other / thickness - 1) / 1.5, 0.0), 1.0)
    return alike + (2.1 - alike) * share


def bearing(diameter: float, thickness: float, other: float, tensile: float) -> float:
    """Return the bearing strength of the thinner sheet at a rivet, N (EN 1993-1-3 table 8.1, without its gamma)."""
    return bearing_factor(diameter, thickness, other) * tensile * diameter * thickness


def edge_tearing(end: float, thickness: float, tensile: float) -> float:
    """Return what a sheet bears before a fastener tears out of its edge, N (EN 1993-1-3 table 8.1, without gamma).

    Args:
        end: from the fastener's middle to the edge, along the force, mm.
        thickness: mm.
        tensile: MPa.
    """
    return tensile * end * thickness / 1.2


def pull_over(thickness: float, held: float, tensile: float) -> float:
    """Return what pulls a sheet off over a head, N (AISI S100 for screws, from memory).

    Args:
        thickness: of the sheet under the head, mm.
        held: diameter of the head or washer, mm.
        tensile: MPa.
    """
    return 1.5 * thickness * held * tensile
