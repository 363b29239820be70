"""How every mount plate lies on the roof: its breaks, its saddle, and the gap left under each fastener."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.breaks import under_plate
from rackgen.design.choose import thickness
from rackgen.design.skin import Skin
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.parts.rack import AtEnd, Rack
from rackgen.sheets.installation_rows import across, place_name
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, small
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import FrontMount, Vehicle
from rackgen.units import Unit

NOTES = (
    "gap: between the bedding as drawn and the skin as measured; less than nothing is bedding squeezed out",
    "holes: in the order of the rivets of the installation sheet",
    "saddle: from the plate's top to the axis of its tube, along the saddle, or to a bow's first bend; tilt: of the "
    "plate from level",
)


@dataclass(frozen=True)
class SeatHole:
    """One fastener of a mount plate.

    Attributes:
        number: of the hole, 1 first.
        at: place aft of the datum and to the right of the middle, mm.
        gap: between bedding and skin, mm, negative where the bedding is squeezed; None beside the measured roof.
    """

    number: int
    at: tuple[float, float]
    gap: float | None


@dataclass(frozen=True)
class Seat:
    """One mount plate on the roof.

    Attributes:
        mount: name of the front mount.
        breaks: directions from the plate's X and angles, degrees.
        saddle: length of its saddle to the axis of the tube, mm.
        tilt: of the plate from level, degrees.
        holes: its fasteners.
    """

    mount: str
    breaks: tuple[tuple[float, float], ...]
    saddle: float
    tilt: float
    holes: tuple[SeatHole, ...]


def seats(rack: Rack, shop: Shop, vehicle: Vehicle) -> tuple[Seat, ...]:
    """Return how each mount plate lies on the skin as it was measured there, each side for itself."""
    on_roof = {p.id for p in rack.placed if p.word == "mount plate"}
    return tuple(_seat(rack, shop, vehicle, mount) for mount in vehicle.front if _plate(mount) in on_roof)


def _plate(mount: FrontMount) -> str:
    return f"mount.{mount.name}.plate"


def _stub(rack: Rack, plate: str) -> float:
    """Return how long the tube is that stands on a plate, to the axis of the tube over it or to its first bend, mm."""
    joint = next(j for j in rack.joints if j.kind == "plane weld" and j.b.part == plate)
    tube = rack.part(joint.a.part).part
    assert isinstance(tube, BentTube)
    assert isinstance(joint.a, AtEnd)
    return tube.spine.straights[0 if joint.a.end == "A" else -1]


def _seat(rack: Rack, shop: Shop, vehicle: Vehicle, mount: FrontMount) -> Seat:
    placed = rack.part(_plate(mount))
    plate = placed.part
    assert isinstance(plate, CutPlate)
    places = np.array([(h.x, h.y) for h in plate.holes])
    skin = Skin(vehicle.roof, mount)
    # A plate may be described with either face up.
    t, up = thickness(plate.stock), placed.frame.z[2] > 0
    under = -shop.bedding if up else t + shop.bedding
    gaps = under_plate(skin.height, placed.frame, plate.breaks, places, under, t) * abs(placed.frame.z[2])
    there = placed.frame.points(np.column_stack([places, np.zeros(len(places))]))
    holes = tuple(
        SeatHole(i + 1, (float(x), float(y)), round(float(gap), 3) + 0.0 if math.isfinite(gap) else None)
        for i, ((x, y, _), gap) in enumerate(zip(there, gaps, strict=True))
    )
    tilt = math.degrees(math.acos(min(1.0, abs(placed.frame.z[2]))))
    return Seat(
        mount.name,
        tuple((b.direction, b.angle) for b in plate.breaks),
        _stub(rack, placed.id),
        tilt,
        holes,
    )


def seats_table(found: tuple[Seat, ...], unit: Unit) -> Table:
    """Return a row for each fastener; what is said of the whole plate stands in its first row."""
    columns = (
        Column("mount", "mount"),
        Column("breaks", "breaks deg"),
        Column("saddle", f"saddle {unit}", True),
        Column("tilt", "tilt deg", True),
        Column("hole", "hole", True),
        Column("aft", f"aft {unit}", True),
        Column("across", f"across {unit}", True),
        Column("gap", f"gap {unit}", True),
    )
    rows: list[tuple[str, ...]] = []
    for seat in found:
        breaks = " and ".join(degrees(abs(angle)) for _, angle in seat.breaks) or "none"
        whole = (place_name(seat.mount), breaks, fine(seat.saddle, unit), degrees(seat.tilt))
        for hole in seat.holes:
            gap = "not measured" if hole.gap is None else small(hole.gap, unit)
            first = whole if hole.number == 1 else ("", "", "", "")
            rows.append((*first, str(hole.number), fine(hole.at[0], unit), across(hole.at[1], unit), gap))
    return Table("seats", "Mount plates on the roof", columns, tuple(rows), NOTES)
