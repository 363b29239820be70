"""Tubes with every kind of end, to hold their solids against other roads."""

from __future__ import annotations

from rackgen.geom import cope
from rackgen.geom.cope import Cope, EndCut, Plane
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.spec.stock import Round, Stock

OD, WALL = 33.7, 2.6
TUBE = Stock("33.7 × 2.6", Round(OD, WALL), "steel", "E235", "bare", 6000.0)


def seated(header: float, angle: float, offset: float, clock: float) -> Cope:
    """Give a cope sawn at its long point, or 2 mm short of its tip where it is tangent, as `resolve` leaves it."""
    cut = Cope(header, 0.0, angle, offset, clock)
    back = cope.long_point((cut,), OD / 2) + (cope.NIP if cope.is_tangent(cut, OD / 2) else 0.0)
    return Cope(header, back, angle, offset, clock)


def straight(end_a: tuple[EndCut, ...] = (), end_b: tuple[EndCut, ...] = (), between: float = 160.0) -> BentTube:
    """Give a straight tube with so much left between the deepest points of its ends, mm."""
    need = sum(cope.deepest(end, OD / 2 - WALL, OD / 2) if end else 0.0 for end in (end_a, end_b))
    return BentTube(TUBE, Spine((round(need + between, 3),)), end_a, end_b)


def bent(end_a: tuple[EndCut, ...] = (), end_b: tuple[EndCut, ...] = ()) -> BentTube:
    """Give a tube with two bends in two planes, room at its ends, a vent in a straight and a drain in a bend."""
    bends = (Bend(90.0, 114.3), Bend(35.0, 114.3, 60.0))
    holes = (TubeHole(150.0, 90.0, 5.0, "vent"), TubeHole(260.0, 200.0, 6.0, "drain"))
    return BentTube(TUBE, Spine((180.0, 120.0, 160.0), bends), end_a, end_b, holes)


def corner(first: EndCut, second: EndCut) -> tuple[EndCut, ...]:
    """Give an end cut to two headers, sawn at the long point of both."""
    deep = cope.long_point((first, second), OD / 2)
    return tuple(cope.sawn_back(cut, deep) for cut in (first, second))


SINGLE = {
    f"{name} {angle:g} at {clock:g}": seated(header, angle, offset, clock)
    for name, header, offset in (
        ("equal", OD, 0.0),
        ("wider", 42.4, 0.0),
        ("beside", 48.3, 3.1),
        ("flush", 42.4, (42.4 - OD) / 2),
        ("flush other side", 48.3, -(48.3 - OD) / 2),
        ("hardly wider", 33.75, 0.01),
    )
    for angle, clock in ((90.0, 0.0), (75.0, 33.0), (60.0, 90.0), (45.0, 180.0), (30.0, 271.5))
} | {"plane": Plane(12.0, 30.0, 45.0), "square plane": Plane(4.0, 0.0)}

DOUBLE = {
    "two equal": corner(Cope(OD, 0.0, 60.0, 0.0, 20.0), Cope(OD, 0.0, 75.0, 0.0, 120.0)),
    "equal and wider": corner(Cope(OD, 0.0, 45.0, 0.0, 0.0), Cope(48.3, 0.0, 90.0, 2.0, 60.0)),
    "cope and plane": corner(Cope(42.4, -6.0, 60.0, 0.0, 10.0), Plane(14.0, 40.0, 200.0)),
}
