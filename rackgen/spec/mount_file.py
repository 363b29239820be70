"""Tables of a vehicle's mounts: places on the roof for plates, and rear corners for straps and wraps."""

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.errors import GeometryError
from rackgen.geom.three_points import LEAST, slope_of
from rackgen.spec.corner_file import ContourTable
from rackgen.spec.fields import About, Entries, Length, Number, Table, Wrong, refuse, wrong_if
from rackgen.spec.vehicle import Under

X = Annotated[float, Length("distance aft of the datum", -5_000, 8_000)]
Y = Annotated[float, Length("distance to the right of the middle, negative to the left", -1_500, 1_500)]
Skin = Annotated[float, Length("thickness of the sheet metal there", 0.3, 6)]
UnderTheSkin = Annotated[
    Under, About("what carries it below the skin: a pillar, the roof rail, a roof bow, or bare skin")
]
Corner = Annotated[
    tuple[Annotated[float, Length("a coordinate", -8_000, 8_000)], ...], Entries("[x, y, z] of a corner", 3, 3)
]


@dataclass(frozen=True, kw_only=True)
class RoofMountTable(Table):
    """A place on the roof for a mount plate."""

    kind: Annotated[Literal["roof"], About("a mount plate on the roof")]
    x: X
    y: Y
    z: Annotated[
        float | None, Length("height over where z is 0; left out, the roof's table gives it", -2_000, 2_000)
    ] = None
    roll: Annotated[
        float | None,
        Number(
            "level reading across, positive when it falls to the right; left out, from the roof's table",
            -45,
            45,
            "degrees",
        ),
    ] = None
    pitch: Annotated[
        float | None,
        Number(
            "level reading fore and aft, positive when it falls to the rear; left out, from the roof's table",
            -45,
            45,
            "degrees",
        ),
    ] = None
    points: Annotated[
        tuple[Corner, ...],
        Entries(
            "three points [x, y, z] of the skin round it, where no level could be read: in place of roll, pitch", 3
        ),
    ] = ()
    zone: Annotated[
        tuple[Annotated[float, Length("a way it may move", 0, 500)], ...],
        Entries("[fore and aft, across]: how far the plate may move, each way", 2, 2),
    ]
    under: UnderTheSkin
    skin: Skin

    def __post_init__(self) -> None:
        """Refuse a mount of neither side, and points that give no slope."""
        refuse(
            wrong_if(self.y == 0, "y", "a mount is to the left (negative) or to the right of the middle"),
            self._no_slope(),
        )

    def _no_slope(self) -> Wrong | None:
        if not self.points:
            return None
        if len(self.points) != 3:
            return Wrong("points", "write exactly 3 entries")
        if self.roll is not None or self.pitch is not None:
            return Wrong("points", "give points, or roll and pitch; not both")
        if not all(math.isfinite(c) for p in self.points for c in p):
            # A bare length in a file without a unit is told elsewhere.
            return None
        try:
            slope_of(self.points)
        except GeometryError:
            return Wrong(
                "points", "the three lie nearly on one line; set them out as a triangle, {} high or more", (LEAST,)
            )
        return None


@dataclass(frozen=True, kw_only=True)
class RearCornerTable(Table):
    """A rear body corner for a strap and a wrap."""

    kind: Annotated[Literal["rear corner"], About("a strap down the rear face and a wrap round the body corner")]
    x: Annotated[float, Length("of the rear face, aft of the datum", -5_000, 8_000)]
    y: Annotated[float, Length("of the strap's middle, negative to the left", -1_500, 1_500)]
    z: Annotated[float, Length("height of the upper end of the flat that the strap can lie on", -2_000, 2_000)]
    lean: Annotated[
        float, Number("of the rear face from plumb, positive when its top leans forward", -30, 45, "degrees")
    ]
    corner_radius: Annotated[
        float | None,
        Length("of the body corner, seen from above, at the height z; or give corner_contour", 2, 400),
    ] = None
    corner_radius_low: Annotated[
        float | None, Length("of the body corner at the height z_low; as at z when left out", 2, 400)
    ] = None
    z_low: Annotated[float | None, Length("height of corner_radius_low, below z", -2_000, 2_000)] = None
    corner_contour: Annotated[
        tuple[ContourTable, ...], Entries("the round as measured at two heights, in place of corner_radius", 2)
    ] = ()
    corner: Annotated[
        float, Length("from the middle to where the flat rear face ends and the corner begins", 100, 1_500)
    ]
    to_shut_line: Annotated[float, Length("along the rear face from there inward to the hatch's shut line", 5, 1_000)]
    zone: Annotated[float, Length("how far the strap's middle may move across, each way", 0, 500)]
    under: UnderTheSkin
    skin: Skin

    def __post_init__(self) -> None:
        """Refuse a strap that stands beside its face."""
        shut = self.corner - self.to_shut_line
        beside = shut > 0 and (abs(self.y) <= shut or abs(self.y) >= self.corner)
        low, contour = self.z_low, self.corner_contour
        heights = [c.z for c in contour]
        refuse(
            wrong_if(
                self.corner_radius is not None and bool(contour), "corner_radius", "corner_contour gives it; keep one"
            ),
            wrong_if(
                self.corner_radius_low is not None and bool(contour), "corner_radius_low", "it goes with corner_radius"
            ),
            wrong_if((low is None) != (self.corner_radius_low is None), "z_low", "it goes with corner_radius_low"),
            wrong_if(low is not None and low > self.z - 5, "z_low", "lower than z, by {} or more", 5.0),
            wrong_if(len(contour) == 1, "corner_contour", "measure the round at two heights"),
            wrong_if(
                len(contour) == 2 and abs(heights[0] - heights[1]) < 5,
                "corner_contour",
                "two heights, apart by {} or more",
                5.0,
            ),
            wrong_if(shut <= 0, "to_shut_line", "less than `corner`: the shut line is on the corner's side"),
            wrong_if(
                beside, "y", "the strap is between shut line and corner, {} to {} from the middle", shut, self.corner
            ),
        )
