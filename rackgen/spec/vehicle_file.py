"""The file of a vehicle: its tables as they are typed, and the record made of them."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, Literal, cast

from rackgen.errors import BadInput, GeometryError, LengthError, Mistake
from rackgen.geom.surface import Roof
from rackgen.geom.three_points import LEAST, slope_of
from rackgen.spec import limits
from rackgen.spec.corner_file import ContourTable
from rackgen.spec.diagonal_file import DATUM, DiagonalTable, across_diagonals, diagonal_doubts
from rackgen.spec.document import Document, written
from rackgen.spec.doubts import Doubt
from rackgen.spec.fields import (
    About,
    Amount,
    Entries,
    Length,
    Number,
    Reading,
    Table,
    Words,
    Wrong,
    is_name,
    refuse,
    wrong_if,
)
from rackgen.spec.keepout_file import (
    DoorTable,
    EyeTable,
    HatchTable,
    HeightsTable,
    KeepOutTable,
    OpeningRoofTable,
    keep_outs,
)
from rackgen.spec.roof_doubts import roof_doubts, roof_open
from rackgen.spec.roof_file import AGREE, RoofTable, StoodTable, across_roof
from rackgen.spec.vehicle import CornerFit, FrontMount, Obstacle, RearMount, Under, Vehicle
from rackgen.units import Unit, read_length

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


@dataclass(frozen=True, kw_only=True)
class ObstacleTable(Table):
    """A fixed box that the rack stays out of: an aerial, a rail, an opening roof."""

    name: Annotated[str, Words("what it is")]
    low: Corner
    high: Corner

    def __post_init__(self) -> None:
        """Refuse a box with its corners the wrong way round."""
        flat = any(a >= b for a, b in zip(self.low, self.high, strict=True))
        refuse(wrong_if(flat, "high", "each coordinate is larger than that of `low`"))


WRAP_REACH = 100.0
STEEPEST = 0.5
"""How far down the rear face a wrap may lie, mm; how fast a corner's radius may change, past which no flat bar follows
it round."""

Mount = RoofMountTable | RearCornerTable
_MOUNTS = ("roof", "rear corner")


@dataclass(frozen=True, kw_only=True)
class VehicleFile(Table):
    """A vehicle as it was measured: x aft of the datum, y to the right, z up.

    z is 0 at the level line, or at the roof under the front rest of the straightedge.
    """

    format: Annotated[Literal[1], About("always 1")]
    name: Annotated[str, Words("shown on sheets")]
    units: Annotated[Unit | None, About("of the bare lengths in this file; angles are degrees, masses kg")] = None
    datum: Annotated[str, Words("in words, the point on the middle of the vehicle from which x is measured")]
    roof_limit: Annotated[
        float | None, Amount('the handbook\'s roof limit, moving: kg, or text such as "220 lb"', "mass", 1, 5_000)
    ] = None
    stood: Annotated[
        StoodTable, About("how the vehicle stood while it was measured; taken off every level reading")
    ] = field(default_factory=StoodTable)
    roof: Annotated[RoofTable, About("the roof, measured at stations")]
    mounts: Annotated[
        dict[str, Mount], About("mount sites by name: at least one roof mount and one rear corner to each side")
    ]
    obstacle: Annotated[tuple[ObstacleTable, ...], Entries("fixed boxes that the rack stays out of", limits.PARTS)] = ()
    diagonal: Annotated[
        tuple[DiagonalTable, ...],
        Entries("tapes from the datum and crosswise between mounts, as a check", limits.PARTS),
    ] = ()
    keep_out: Annotated[
        tuple[KeepOutTable, ...], Entries("boxes, cylinders and aerials, each with its wanted gap", limits.PARTS)
    ] = ()
    hatch: Annotated[HatchTable | None, About("the hatch, tailgate or rear door as it swings")] = None
    opening_roof: Annotated[OpeningRoofTable | None, About("a panel in the roof that tilts, lifts out or slides")] = (
        None
    )
    door: Annotated[tuple[DoorTable, ...], Entries("top edges of side doors as they swing", 20)] = ()
    eye: Annotated[EyeTable | None, About("where the driver looks from")] = None
    heights: Annotated[HeightsTable | None, About("garage and trailer, and how the vehicle sinks under a load")] = None

    def record(self, document: Document) -> Vehicle:
        """Return the record.

        Raises:
            BadInput: a mount stands beside the measured roof, or contradicts it.
        """
        roof = self.roof.surface(self.stood)
        front = {name: m for name, m in self.mounts.items() if isinstance(m, RoofMountTable)}
        rear = {name: m for name, m in self.mounts.items() if isinstance(m, RearCornerTable)}
        wrong = [
            *(m for name, mount in front.items() for m in self._stray(document, name, mount, roof)),
            *(m for name, corner in rear.items() for m in self._ahead(document, name, corner)),
            *(m for name, corner in rear.items() for m in self._pointed(document, name, corner)),
        ]
        if wrong:
            raise BadInput(wrong)
        on_roof = tuple(self._front(name, m, roof) for name, m in sorted(front.items(), key=_left_first))
        on_corners = tuple(self._rear(name, m) for name, m in sorted(rear.items(), key=_left_first))
        return Vehicle(
            name=self.name,
            datum=self.datum,
            roof=roof,
            front=on_roof,
            rear=on_corners,
            obstacles=tuple(Obstacle(o.name, _point(o.low), _point(o.high)) for o in self.obstacle),
            roof_limit=self.roof_limit,
            notes=tuple(self._notes(front, rear, roof)),
            doubts=tuple(self._doubts(roof, (*on_roof, *on_corners))),
            keep_outs=keep_outs(
                self.keep_out, self.hatch, self.opening_roof, self.door, self.eye, self.heights, self._raised
            ),
        )

    def _raised(self, x: float, y: float, z: float) -> float:
        """Return a measured height in the vehicle frame: read against a level line, it is freed of how it stood."""
        if self.roof.reference == "straightedge":
            return z
        return z + x * _tan(self.stood.pitch) + y * _tan(self.stood.roll)

    def _front(self, name: str, mount: RoofMountTable, roof: Roof) -> FrontMount:
        zx, zy = (float(s) for s in roof.slope(mount.x, mount.y))
        if mount.points:
            zx, zy, _ = slope_of([(x, y, self._raised(x, y, z)) for x, y, z in mount.points])
        z = float(roof.height(mount.x, mount.y)) if mount.z is None else self._raised(mount.x, mount.y, mount.z)
        roll = -_degrees(zy) if mount.roll is None else mount.roll - self.stood.roll
        pitch = -_degrees(zx) if mount.pitch is None else mount.pitch - self.stood.pitch
        zone = (mount.zone[0], mount.zone[1])
        return FrontMount(name, (mount.x, mount.y, z), roll, pitch, zone, mount.under, mount.skin)

    def _rear(self, name: str, corner: RearCornerTable) -> RearMount:
        at = (corner.x, corner.y, self._raised(corner.x, corner.y, corner.z))
        lean = corner.lean + self.stood.pitch
        fits = tuple(
            CornerFit(self._raised(corner.x, corner.y, c.z), found.radius, abs(found.y), found.off, found.span)
            for c, found in ((c, c.fitted()) for c in corner.corner_contour)
        )
        if fits:
            (one, other) = ((f.z, f.radius) for f in fits)
        elif corner.z_low is not None and corner.corner_radius_low is not None:
            one = (at[2], corner.corner_radius or 0.0)
            other = (self._raised(corner.x, corner.y, corner.z_low), corner.corner_radius_low)
        else:
            one = other = (at[2], corner.corner_radius or 0.0)
        # Even from height to height, and along the rear face as long as that leans.
        rise = 0.0 if one == other else (other[1] - one[1]) / (one[0] - other[0])
        radius, taper = one[1] + rise * (one[0] - at[2]), rise * math.cos(math.radians(lean))
        return RearMount(
            name, at, lean, radius, corner.corner, corner.to_shut_line, corner.zone, corner.under, corner.skin,
            taper, fits,
        )  # fmt: skip

    def _stray(self, document: Document, name: str, mount: RoofMountTable, roof: Roof) -> Iterator[Mistake]:
        says = Reading(self.units).says
        if not roof.over(mount.x, mount.y):
            first, last = roof.span()
            half = float(roof.half_width(mount.x, mount.y))
            wanted = (
                f"a roof mount stands on the measured roof, x from {says(first)} to {says(last)} and there up to "
                f"{says(half)} from the middle; move it, or measure a station more"
            )
            yield document.mistake(("mounts", name, "x"), wanted, f"x {says(mount.x)}, y {says(mount.y)}")
        elif mount.z is not None and abs(off := self._off(mount, roof)) > limits.STRAY:
            lower = "lower" if off > 0 else "higher"
            wanted = f"the roof's table is {says(abs(off))} {lower} there; measure again, or leave z out"
            yield document.mistake(("mounts", name, "z"), wanted, says(mount.z))

    def _ahead(self, document: Document, name: str, corner: RearCornerTable) -> Iterator[Mistake]:
        last = self.roof.station[-1].x
        if corner.x < last:
            says = Reading(self.units).says
            wanted = f"the rear face is not ahead of the roof's last station, at {says(last)}"
            yield document.mistake(("mounts", name, "x"), wanted, says(corner.x))

    def _pointed(self, document: Document, name: str, corner: RearCornerTable) -> Iterator[Mistake]:
        if corner.corner_radius is None and not corner.corner_contour:
            # Told last, since a key that is only misspelt leaves it out too.
            wanted = "add `corner_radius`, of the body corner, or `corner_contour`, its round at two heights"
            yield document.mistake(("mounts", name, "corner_radius"), wanted)
            return
        made = self._rear(name, corner)
        key = "corner_contour" if corner.corner_contour else "corner_radius_low"
        if abs(made.taper) > STEEPEST:
            wanted = (
                f"a corner's radius changes by no more than {STEEPEST:g} mm for each mm of height; measure it again"
            )
            yield document.mistake(("mounts", name, key), wanted)
            return
        least = min(made.radius_at(down) for down in (0.0, WRAP_REACH))
        if least < 2:
            wanted = "the corner's radius would shrink to nothing where the wrap lies; measure it again"
            yield document.mistake(("mounts", name, key), wanted, Reading(self.units).says(least))

    def _off(self, mount: RoofMountTable, roof: Roof) -> float:
        """Return how far a mount's own height is above the roof's table, mm; 0 where it has none."""
        if mount.z is None:
            return 0.0
        return self._raised(mount.x, mount.y, mount.z) - float(roof.height(mount.x, mount.y))

    def _doubts(self, roof: Roof, mounts: tuple[FrontMount | RearMount, ...]) -> Iterator[Doubt]:
        reading = Reading(self.units)
        says = reading.says
        yield from roof_doubts(self.roof, reading)
        if self.diagonal:
            here = float(roof.height(0.0, 0.0))
            # Not measured at the datum itself: a few millimetres of height hardly lengthen a diagonal.
            level = here if math.isfinite(here) else roof.sections[0].zs[len(roof.sections[0].zs) // 2]
            places = {DATUM: (0.0, 0.0, level), **{m.name: m.at for m in mounts}}
            yield from diagonal_doubts(self.diagonal, places, says)

    def _notes(self, front: dict[str, RoofMountTable], rear: dict[str, RearCornerTable], roof: Roof) -> Iterator[str]:
        reading = Reading(self.units)
        yield from self.roof.notes(reading)
        read = [(name, m.x, m.y) for name, m in sorted(front.items()) if m.z is None]
        yield from roof_open(self.roof, read, reading)
        if self.hatch is None:
            yield "No hatch or rear door was measured: whether it opens clear of the rack is not known; add `[hatch]`."
        unread = sorted(name for name, m in front.items() if (m.roll is None or m.pitch is None) and not m.points)
        if unread:
            yield (
                f"No level was read at {', '.join(unread)}: their tilt comes from the roof's table, about half a "
                "degree less sure; hold each plate on the roof before its stub is cut."
            )
        for name, mount in sorted(front.items()):
            if abs(off := self._off(mount, roof)) > AGREE:
                where = "above" if off > 0 else "below"
                yield f"The height read at {name} is {reading.says(abs(off))} {where} the roof's table; it is used."
        for name, corner in sorted(rear.items()):
            if (unmeasured := corner.x - roof.span()[1]) > 0:
                yield f"The last {reading.says(unmeasured)} of the roof before {name} were not measured."


def across_vehicle(document: Document, reading: Reading) -> Iterator[Mistake]:
    """Return what is wrong between the tables of a vehicle file.

    It looks at the file as parsed, so that it finds these beside whatever else is wrong.
    """
    yield from across_roof(document, reading)
    yield from across_diagonals(document)
    sites = document.get(("mounts",))
    if not isinstance(sites, dict):
        return
    found: set[tuple[str, str]] = set()
    for name in cast("dict[str, object]", sites):
        if not is_name(name):
            yield document.mistake(("mounts", name), "name a mount with letters, digits, - and _", written(name))
        kind = document.get(("mounts", name, "kind"))
        try:
            y = read_length(document.get(("mounts", name, "y")), reading.unit or "mm")
        except LengthError:
            return
        if kind not in _MOUNTS or y == 0:
            # What it is, or where, is told at the mount itself.
            return
        found.add((str(kind), "left" if y < 0 else "right"))
    for kind in _MOUNTS:
        lacking = [side for side in ("left", "right") if (kind, side) not in found]
        if lacking:
            sides = " and the ".join(lacking)
            yield document.mistake(("mounts",), f'a rack needs a mount of kind "{kind}" to the {sides}; add it')


def _left_first(item: tuple[str, RoofMountTable | RearCornerTable]) -> tuple[bool, float, str]:
    name, mount = item
    return mount.y > 0, mount.x, name


def _point(values: tuple[float, ...]) -> tuple[float, float, float]:
    return values[0], values[1], values[2]


def _tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def _degrees(slope: float) -> float:
    return math.degrees(math.atan(slope))
