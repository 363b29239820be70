"""The file of a vehicle: its tables as they are typed, and the record made of them."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, Literal, cast

from rackgen.errors import BadInput, LengthError, Mistake
from rackgen.geom.surface import Roof
from rackgen.geom.three_points import slope_of
from rackgen.spec import limits
from rackgen.spec.diagonal_file import DATUM, DiagonalTable, across_diagonals, diagonal_doubts
from rackgen.spec.document import Document, written
from rackgen.spec.doubts import Doubt
from rackgen.spec.fields import (
    About,
    Amount,
    Entries,
    Reading,
    Table,
    Words,
    is_name,
    refuse,
    wrong_if,
)
from rackgen.spec.foot_file import BedRailTable, FootTable, GutterTable, ThreadsTable, TrackTable, size_of
from rackgen.spec.foot_place import BedRailPlace, FootPlace, GutterPlace, ThreadsPlace, TrackPlace
from rackgen.spec.keepout_file import (
    DoorTable,
    EyeTable,
    HatchTable,
    HeightsTable,
    KeepOutTable,
    OpeningRoofTable,
    keep_outs,
)
from rackgen.spec.mount_file import Corner, RearCornerTable, RoofMountTable
from rackgen.spec.roof_doubts import roof_doubts, roof_open
from rackgen.spec.roof_file import AGREE, RoofTable, StoodTable, across_roof
from rackgen.spec.vehicle import CornerFit, FrontMount, Obstacle, RearMount, Vehicle
from rackgen.units import Unit, read_length


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

TILT = 3.0
TILTED = 8.0
"""How far a level's reading may be from the roof's table where its sign alone would mend that, and where it would not,
degrees: a table of tape readings is half a degree to two degrees sure, less where a rib or a dent lies between them."""

Mount = RoofMountTable | RearCornerTable | GutterTable | ThreadsTable | TrackTable | BedRailTable
_MOUNTS = ("roof", "rear corner", "gutter", "threads", "track", "bed rail")


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
    bed_limit: Annotated[
        float | None,
        Amount("what the handbook lets a frame on the bed's rails carry, moving, itself included", "mass", 1, 5_000),
    ] = None
    stood: Annotated[
        StoodTable, About("how the vehicle stood while it was measured; taken off every level reading")
    ] = field(default_factory=StoodTable)
    roof: Annotated[RoofTable, About("the roof, measured at stations")]
    mounts: Annotated[dict[str, Mount], About("mount sites by name, of every kind one or more to each side")]
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
        other = {name: m for name, m in self.mounts.items() if not isinstance(m, RoofMountTable | RearCornerTable)}
        wrong = [
            *(m for name, mount in front.items() for m in self._stray(document, name, mount, roof)),
            *(m for name, corner in rear.items() for m in self._ahead(document, name, corner)),
            *(m for name, corner in rear.items() for m in self._pointed(document, name, corner)),
        ]
        if wrong:
            raise BadInput(wrong)
        on_roof = tuple(self._front(name, m, roof) for name, m in sorted(front.items(), key=_left_first))
        on_corners = tuple(self._rear(name, m) for name, m in sorted(rear.items(), key=_left_first))
        feet = tuple(self._foot(name, m) for name, m in sorted(other.items(), key=_left_first))
        return Vehicle(
            name=self.name,
            datum=self.datum,
            roof=roof,
            front=on_roof,
            rear=on_corners,
            obstacles=tuple(Obstacle(o.name, _point(o.low), _point(o.high)) for o in self.obstacle),
            roof_limit=self.roof_limit,
            bed_limit=self.bed_limit,
            notes=tuple(self._notes(front, rear, roof)),
            doubts=tuple(self._doubts(roof, (*on_roof, *on_corners, *feet))),
            keep_outs=keep_outs(
                self.keep_out, self.hatch, self.opening_roof, self.door, self.eye, self.heights, self._raised
            ),
            roof_scatter=None if self.roof.scan is None else self.roof.scan.rms,
            feet=feet,
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

    def _foot(self, name: str, mount: FootTable) -> FootPlace:
        at = (mount.x, mount.y, self._raised(mount.x, mount.y, mount.z))
        pitch = 0.0 if mount.pitch is None else mount.pitch - self.stood.pitch
        if isinstance(mount, GutterTable):
            return GutterPlace(name, at, pitch, mount.width, mount.depth, mount.metal, mount.below, mount.zone)
        roll = 0.0 if mount.roll is None else mount.roll - self.stood.roll
        match mount:
            case ThreadsTable():
                return ThreadsPlace(
                    name, at, roll, pitch, size_of(mount.thread), mount.apart or 0.0, mount.depth, mount.width,
                    mount.length,
                )  # fmt: skip
            case TrackTable():
                return TrackPlace(
                    name, at, roll, pitch, mount.width, mount.slot, size_of(mount.thread), mount.lip, mount.room,
                    mount.zone,
                )  # fmt: skip
            case BedRailTable():
                pockets = tuple((p[0], p[1]) for p in mount.pockets)
                return BedRailPlace(name, at, roll, pitch, mount.width, mount.skin, mount.zone, pockets)

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

    def _doubts(self, roof: Roof, mounts: tuple[FootPlace | RearMount, ...]) -> Iterator[Doubt]:
        reading = Reading(self.units)
        says = reading.says
        yield from roof_doubts(self.roof, reading)
        yield from self._tilt_doubts(roof)
        if self.diagonal:
            here = float(roof.height(0.0, 0.0))
            # Not measured at the datum itself: a few millimetres of height hardly lengthen a diagonal.
            level = here if math.isfinite(here) else roof.sections[0].zs[len(roof.sections[0].zs) // 2]
            places = {DATUM: (0.0, 0.0, level), **{m.name: m.at for m in mounts}}
            yield from diagonal_doubts(self.diagonal, places, says)

    def _tilt_doubts(self, roof: Roof) -> Iterator[Doubt]:
        """Return level readings at mounts that the roof's table contradicts."""
        for name, mount in sorted(self.mounts.items()):
            if not isinstance(mount, RoofMountTable):
                continue
            zx, zy = (float(s) for s in roof.slope(mount.x, mount.y))
            read = (("roll", mount.roll, self.stood.roll, -_degrees(zy)),
                    ("pitch", mount.pitch, self.stood.pitch, -_degrees(zx)))  # fmt: skip
            for key, level, stood, table in read:
                if level is None:
                    continue
                off, turned = abs(level - stood - table), abs(-level - stood - table)
                wrong_sign = off > TILT and turned < TILT / 2
                if wrong_sign or off > TILTED:
                    hint = "; is its sign right?" if wrong_sign else ""
                    text = f"the roof's table says {table + stood:.1f} degrees there{hint}"
                    yield Doubt(("mounts", name, key), text, f"{level:g} degrees", off)

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
        if three := sorted(name for name, m in front.items() if m.points):
            yield (
                f"The tilt at {', '.join(three)} comes from three points: for each millimetre that one of them is off, "
                f"up to {max(math.degrees(math.atan(1 / _height(front[name].points))) for name in three):.1f} degrees."
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
    for kind in [kind for kind in _MOUNTS if any(kind == k for k, _ in found)] or _MOUNTS[:1]:
        lacking = [side for side in ("left", "right") if (kind, side) not in found]
        if lacking:
            sides = " and the ".join(lacking)
            yield document.mistake(("mounts",), f'a rack needs a mount of kind "{kind}" to the {sides}; add it')


def _height(points: tuple[tuple[float, ...], ...]) -> float:
    """Return the least height of a triangle as seen from above, mm."""
    (a, b, c) = ((p[0], p[1]) for p in points)
    area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    return area / max(math.dist(a, b), math.dist(b, c), math.dist(c, a))


def _left_first(item: tuple[str, Mount]) -> tuple[bool, float, str]:
    name, mount = item
    return mount.y > 0, mount.x, name


def _point(values: tuple[float, ...]) -> tuple[float, float, float]:
    return values[0], values[1], values[2]


def _tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


def _degrees(slope: float) -> float:
    return math.degrees(math.atan(slope))
