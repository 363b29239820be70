"""The vehicle as it was measured. Vehicle frame: X aft of the datum, Y to the right, Z up; mm and degrees."""

from __future__ import annotations

from dataclasses import dataclass, field

from rackgen.geom.frame import Vec
from rackgen.geom.surface import Roof
from rackgen.spec.doubts import Doubt
from rackgen.spec.foot_place import FootPlace, FrontMount, Under
from rackgen.spec.keepouts import KeepOuts


@dataclass(frozen=True)
class CornerFit:
    """How well a circle went through the points of a body corner at one height.

    Attributes:
        z: height, mm.
        radius: mm.
        corner: |Y| of the circle's tangent to the rear face, mm.
        off: of the point farthest from the circle, mm.
        span: how much of the circle the points lie on, degrees.
    """

    z: float
    radius: float
    corner: float
    off: float
    span: float


@dataclass(frozen=True)
class RearMount:
    """A rear body corner for a strap and a wrap.

    Attributes:
        name: unique on the vehicle.
        at: point of the rear face on the strap's middle line, at the upper end of the flat the strap lies on.
        lean: of the rear face, degrees from upright, positive when its top leans forward.
        corner_radius: of the body corner, seen from above, mm; at the height of `at` where it changes.
        corner: |Y| of the tangent between the rear face and the corner, mm; at the height of `at` where it changes.
        to_shut_line: from that tangent to the hatch's shut line, along the rear face, mm.
        zone: how far the strap's middle may move across from `at`, mm, each way.
        under: what carries it below the skin.
        skin: thickness of the skin, mm.
        taper: by how much the corner's radius grows for each mm down the rear face.
        fits: circles through the corner's measured points, one a height; none where its radius was read.
    """

    name: str
    at: Vec
    lean: float
    corner_radius: float
    corner: float
    to_shut_line: float
    zone: float
    under: Under
    skin: float
    taper: float = 0.0
    fits: tuple[CornerFit, ...] = ()

    def radius_at(self, down: float) -> float:
        """Return the corner's radius `down` mm below `at`, along the rear face."""
        return self.corner_radius + self.taper * down


@dataclass(frozen=True)
class Obstacle:
    """A fixed box the rack stays out of: aerial, rail, opening roof."""

    name: str
    low: Vec
    high: Vec


@dataclass(frozen=True)
class Vehicle:
    """A measured vehicle.

    Attributes:
        name: shown on sheets.
        datum: in words, where X and Z are measured from.
        roof: the surface of its stations.
        front: front mounts, left before right.
        rear: rear mounts, left before right.
        obstacles: fixed boxes.
        roof_limit: the handbook's roof limit, moving, kg, or None when it is not known.
        notes: what the measuring left open and what that costs, a sentence each.
        doubts: readings that do not go with the others.
        keep_outs: what else moves or stands where a rack might be.
        roof_scatter: how far the points of the scan that the roof was read from lie off it, root mean square, mm; None
            where it was read with a tape.
        feet: places for feet other than plates on the roof, left before right.
        bed_limit: what the handbook lets stand on a pickup's bed, moving, kg, or None when it is not known.
    """

    name: str
    datum: str
    roof: Roof
    front: tuple[FrontMount, ...]
    rear: tuple[RearMount, ...]
    obstacles: tuple[Obstacle, ...] = ()
    roof_limit: float | None = None
    notes: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    keep_outs: KeepOuts = field(default_factory=KeepOuts)
    roof_scatter: float | None = None
    feet: tuple[FootPlace, ...] = ()
    bed_limit: float | None = None

    @property
    def foot_places(self) -> tuple[FootPlace, ...]:
        """Every place where a foot may stand: on the roof first, then the others."""
        return (*self.front, *self.feet)
