"""What pads, brackets and rail plates share: a flat plate on the vehicle, a stub on it, bolts beside the stub."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.design.feet.record import Foot, Header
from rackgen.design.site import Site
from rackgen.geom.frame import Frame, Vec, unit, vec
from rackgen.geom.outline import Contour, rectangle
from rackgen.parts.kinds import Bought, CutPlate, PadShape, PlateHole
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.stock import Bolt, Stock

CORNER = 8.0
WELD_ROOM = 6.0
SPANNER = 0.9
EDGE = 2.0
BEDDING_DENSITY = 1400.0
"""Corner radius of a pad, and what it keeps beside a stub for its weld, mm; from a bolt's middle to a stub's wall, in
widths of the head across its flats: a ring spanner; from a hole's edge to the pad's, in diameters of the bolt; density
of sealant, kg/m³ (common practice, no source)."""


@dataclass(frozen=True)
class Seat:
    """Where a pad lies and how large it is; mm.

    Attributes:
        frame: of the place on the vehicle: X along it, aft; Y to the right; Z off it.
        low: least x and y of the pad in that frame.
        high: largest x and y.
        bolts: middles of its bolts in that frame.
        stub: where the stub's axis meets its top, in that frame.
    """

    frame: Frame
    low: tuple[float, float]
    high: tuple[float, float]
    bolts: tuple[tuple[float, float], ...]
    stub: tuple[float, float]


def place_frame(at: Vec, roll: float, pitch: float) -> Frame:
    """Return the frame of a flat place on the vehicle from its two level readings, degrees."""
    n = unit((math.tan(math.radians(pitch)), math.tan(math.radians(roll)), 1.0))
    ahead = np.array((1.0, 0.0, 0.0))
    return Frame.of(at, ahead - float(ahead @ n) * n, n)


def slid(at: Vec, pitch: float, zone: float, x: float) -> Vec:
    """Return the place along a rail that is nearest to an X of the vehicle and within the zone."""
    by = min(max(x - at[0], -zone), zone)
    return (at[0] + by, at[1], at[2] - by * math.tan(math.radians(pitch)))


def beside_stub(od: float, bolt: Bolt) -> float:
    """Return how far a bolt stands from a stub's axis so that a ring spanner goes over its head, mm."""
    return math.ceil(od / 2 + max(SPANNER * bolt.head_across, bolt.washer / 2 + WELD_ROOM))


def pad_part(stock: Stock, seat: Seat, openings: Sequence[Contour], holes: Sequence[PlateHole]) -> CutPlate:
    """Return the plate of a seat in the seat's own frame, with its holes or slots."""
    (x0, y0), (x1, y1) = seat.low, seat.high
    border = rectangle(x1 - x0, y1 - y0, CORNER, ((x0 + x1) / 2, (y0 + y1) / 2))
    return CutPlate(stock, border, tuple(holes), tuple(openings))


def bedding_under(site: Site, name: str, part: CutPlate, frame: Frame) -> Placed:
    """Return the bed between a plate and the place that it lies on; its frame is the place's."""
    bores: list[Contour] = [rectangle(h.diameter, h.diameter, h.diameter / 2, (h.x, h.y)) for h in part.holes]
    shape = PadShape(part.outline, (*bores, *part.openings), site.shop.bedding)
    item = Bought(f"bedding {site.ordered(site.shop.bedding)}", shape, BEDDING_DENSITY)
    return Placed(f"{name}.bedding", item, frame, "bedding", 0)


def bolted(
    name: str, plate: Placed, item: Bought, spots: Sequence[tuple[float, float]]
) -> tuple[list[Placed], list[Joint]]:
    """Return bolts down through a plate that lies on the vehicle, heads on its top, and their joints with it."""
    part = plate.part
    assert isinstance(part, CutPlate)
    bolts: list[Placed] = []
    joints: list[Joint] = []
    for i, (x, y) in enumerate(spots):
        one = Placed(f"{name}.bolt[{i + 1}]", item, plate.frame.moved((x, y, part.thickness)), "bolt", 0)
        bolts.append(one)
        joints.append(
            Joint(one.id, "bolts", OnFace(one.id, "bottom", 0, 0), OnFace(plate.id, "top", x, y), None, 0, "vehicle",
                  item.name)
        )  # fmt: skip
    return bolts, joints


def bed_joint(name: str, plate: Placed, bed: Placed) -> Joint:
    """Return the contact of a plate with its bed."""
    return Joint(
        bed.id, "contact", OnFace(plate.id, "bottom", 0, 0), OnFace(bed.id, "top", 0, 0), None, 0, "vehicle",
        "sealant bed or hard tape",
    )  # fmt: skip


def stub_top(spot: Vec, header: Header) -> Vec:
    """Return the point of a header's axis that lies square over a spot, seen along the header."""
    way = np.asarray(header.way)
    by = float((np.asarray(spot) - np.asarray(header.at)) @ way)
    return vec(np.asarray(header.at) + by * way)


def pad_foot(site: Site, place_name: str, plate: Placed, seat: Seat, header: Header, members: Sequence[Placed],
             joints: Sequence[Joint]) -> Foot:  # fmt: skip
    """Return a foot whose stub stands on a plate."""
    part = plate.part
    assert isinstance(part, CutPlate)
    at = plate.frame.point((*seat.stub, part.thickness))
    keys = {m.id: (f"mounts.{place_name}",) for m in members}
    return Foot(
        Group(tuple(members), tuple(joints), keys),
        OnFace(plate.id, "top", *seat.stub),
        at,
        plate.frame.z,
        stub_top(at, header),
    )
