"""What of the vehicle moves or stands where a rack might be. Vehicle frame; mm, degrees, kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.frame import Vec


@dataclass(frozen=True)
class Box:
    """A fixed box along the vehicle's axes, from its `low` to its `high` corner."""

    name: str
    low: Vec
    high: Vec
    gap: float


@dataclass(frozen=True)
class Cylinder:
    """A fixed round thing with flat ends, its axis from `start` to `end`."""

    name: str
    start: Vec
    end: Vec
    radius: float
    gap: float


@dataclass(frozen=True)
class Aerial:
    """A rod from foot to tip, round at both."""

    name: str
    foot: Vec
    tip: Vec
    radius: float
    gap: float


KeepOut = Box | Cylinder | Aerial


@dataclass(frozen=True)
class Hatch:
    """A hatch, tailgate or rear door.

    Attributes:
        name: what it is.
        hinge: two points of the hinge's axis.
        outline: points of the closed panel's outside, round about; they lie nearly in one plane.
        thickness: of the panel, inward from its outside.
        opens: how far it opens, degrees.
        gap: wanted to everything but what sits on the body, which is held to the shut line's gap.
    """

    name: str
    hinge: tuple[Vec, Vec]
    outline: tuple[Vec, ...]
    thickness: float
    opens: float
    gap: float


@dataclass(frozen=True)
class OpeningRoof:
    """A panel in the roof that opens.

    Attributes:
        outline: points of the closed panel's outside, round about.
        thickness: of the panel, inward from its outside.
        path: tilted about an edge, lifted straight up, or slid back.
        by: how far: degrees when it tilts, mm else.
        edge: two points of the edge about which it tilts; None else.
        gap: wanted.
    """

    outline: tuple[Vec, ...]
    thickness: float
    path: Literal["tilt", "lift", "slide"]
    by: float
    edge: tuple[Vec, Vec] | None
    gap: float


@dataclass(frozen=True)
class Door:
    """The top edge of a side door as it swings.

    Attributes:
        name: what it is.
        hinge: two points of the hinge's axis.
        edge: points of the closed door's top edge, front to rear.
        opens: how far it opens, degrees.
        gap: wanted.
    """

    name: str
    hinge: tuple[Vec, Vec]
    edge: tuple[Vec, ...]
    opens: float
    gap: float


@dataclass(frozen=True)
class Eye:
    """Where the driver looks from.

    Attributes:
        at: the eye.
        glass_top: a point of the windscreen's upper edge straight ahead, or None when it was not measured.
        look_up: what is seen ahead up to this many degrees above the horizon is spoken of.
    """

    at: Vec
    glass_top: Vec | None
    look_up: float


@dataclass(frozen=True)
class Heights:
    """What the rack has to pass under.

    Attributes:
        floor_to_datum: from the floor up to where z is 0, vehicle unladen without the rack, mm.
        garage: clear height of the garage, mm, or None.
        trailer: clear height over the trailer's floor or of a carrier, mm, or None.
        sag_per_100kg: by how much the roof sinks under 100 kg on it, mm.
        load: a load that is carried, kg.
        load_height: of that load over the floor or the bars it lies on, mm.
    """

    floor_to_datum: float
    garage: float | None
    trailer: float | None
    sag_per_100kg: float
    load: float
    load_height: float


@dataclass(frozen=True)
class KeepOuts:
    """All of it; what was not measured is None or empty.

    Attributes:
        fixed: boxes, cylinders, aerials.
        hatch: the hatch, tailgate or rear door.
        opening_roof: a panel in the roof.
        doors: side doors.
        eye: the driver's.
        heights: garage and trailer.
    """

    fixed: tuple[KeepOut, ...] = ()
    hatch: Hatch | None = None
    opening_roof: OpeningRoof | None = None
    doors: tuple[Door, ...] = ()
    eye: Eye | None = None
    heights: Heights | None = None
