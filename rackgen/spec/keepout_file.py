"""What a vehicle's file may say of what moves or stands where a rack might be: hatch, doors, roof panel, aerial."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.errors import GeometryError
from rackgen.geom.frame import Vec
from rackgen.geom.panel import crosses_itself, plane_of
from rackgen.spec.fields import About, Amount, Entries, Length, Number, Table, Words, Wrong, refuse, wrong_if
from rackgen.spec.keepouts import Aerial, Box, Cylinder, Door, Eye, Hatch, Heights, KeepOut, KeepOuts, OpeningRoof

FLAT = 15.0
"""How far a panel's points may lie from one plane, mm."""

HINGE = 20.0
"""Shortest distance between two points that give an axis, mm."""

Raise = Callable[[float, float, float], float]
"""Gives the height of a point in the vehicle frame from its x, y and its height as read."""

Coordinate = Annotated[float, Length("a coordinate", -8_000, 8_000)]
Points = tuple[Annotated[tuple[Coordinate, ...], Entries("[x, y, z] of a point", 3, 3)], ...]
Place = Annotated[tuple[Coordinate, ...], Entries("[x, y, z] of a point", 3, 3)]
Axis = Annotated[Points, Entries("two points [x, y, z] of the axis, apart", 2, 2)]
Outline = Annotated[Points, Entries("points [x, y, z] of the closed panel's outside, round about", 60, 3)]
Wanted = Annotated[float, Length("wanted between it and the rack", 0, 500)]
Radius = Annotated[float, Length("its radius", 0.5, 500)]
Thickness = Annotated[float, Length("of the panel, inward from its outside", 1, 300)]
Named = Annotated[str, Words("what it is")]


@dataclass(frozen=True, kw_only=True)
class BoxTable(Table):
    """A fixed box along the vehicle's axes."""

    kind: Annotated[Literal["box"], About("a box along the vehicle's axes")]
    name: Named
    low: Place
    high: Place
    gap: Wanted = 20.0

    def __post_init__(self) -> None:
        """Refuse a box with its corners the wrong way round."""
        flat = any(a >= b for a, b in zip(self.low, self.high, strict=True))
        refuse(wrong_if(flat, "high", "each coordinate is larger than that of `low`"))


@dataclass(frozen=True, kw_only=True)
class CylinderTable(Table):
    """A fixed round thing with flat ends."""

    kind: Annotated[Literal["cylinder"], About("round, with flat ends")]
    name: Named
    start: Place
    end: Place
    radius: Radius
    gap: Wanted = 20.0

    def __post_init__(self) -> None:
        """Refuse a cylinder without length."""
        refuse(wrong_if(_apart(self.start, self.end) < 1, "end", "a point apart from `start`"))


@dataclass(frozen=True, kw_only=True)
class AerialTable(Table):
    """An aerial."""

    kind: Annotated[Literal["aerial"], About("a rod from foot to tip")]
    name: Annotated[str, Words("what it is")] = "aerial"
    foot: Place
    tip: Place
    radius: Radius
    gap: Wanted = 20.0

    def __post_init__(self) -> None:
        """Refuse an aerial without length."""
        refuse(wrong_if(_apart(self.foot, self.tip) < 1, "tip", "a point apart from `foot`"))


KeepOutTable = BoxTable | CylinderTable | AerialTable


@dataclass(frozen=True, kw_only=True)
class HatchTable(Table):
    """The hatch, tailgate or rear door: the panel's outline, or its width, height and lean below the hinge."""

    name: Annotated[str, Words("what it is called on sheets")] = "hatch"
    hinge: Axis
    outline: Annotated[
        Points, Entries("points [x, y, z] of the closed panel's outside, round about; or give width and height", 60)
    ] = ()
    width: Annotated[float | None, Length("of the panel, about the middle of the hinge", 100, 2_500)] = None
    height: Annotated[float | None, Length("of the panel, from the hinge down its face", 50, 2_500)] = None
    lean: Annotated[
        float | None, Number("of the face from plumb, positive when its top leans forward", -30, 80, "degrees")
    ] = None
    thickness: Thickness
    opens: Annotated[float, Number("how far it opens", 1, 200, "degrees")]
    gap: Wanted = 25.0

    def __post_init__(self) -> None:
        """Refuse a hinge without direction, and a panel that is none."""
        simple = [key for key in ("width", "height", "lean") if getattr(self, key) is not None]
        refuse(
            _no_axis(self.hinge, "hinge"),
            _no_panel(self.outline, "outline") if self.outline else None,
            wrong_if(bool(self.outline and simple), "outline", "give it, or width and height; not both"),
            wrong_if(not self.outline and self.width is None, "width", "add it with height, or add `outline`"),
            wrong_if(not self.outline and self.height is None, "height", "add it with width, or add `outline`"),
        )

    def panel(self, up: Raise) -> tuple[Vec, ...]:
        """Return the panel's points in the vehicle frame."""
        if self.outline:
            return tuple(_raised(p, up) for p in self.outline)
        a, b = (_raised(p, up) for p in self.hinge)
        middle = [(p + q) / 2 for p, q in zip(a, b, strict=True)]
        long = _apart(a, b)
        half = [(q - p) / long * (self.width or 0.0) / 2 for p, q in zip(a, b, strict=True)]
        lean, down = math.radians(self.lean or 0.0), self.height or 0.0
        fall = (math.sin(lean) * down, 0.0, -math.cos(lean) * down)
        rows = ((-1.0, 0.0), (1.0, 0.0), (1.0, 1.0), (-1.0, 1.0))
        return tuple(_vec(m + s * h + k * f for m, h, f in zip(middle, half, fall, strict=True)) for s, k in rows)


@dataclass(frozen=True, kw_only=True)
class TiltTable(Table):
    """A roof panel that tilts about an edge."""

    kind: Annotated[Literal["tilt"], About("it tilts up about an edge")]
    outline: Outline
    thickness: Thickness
    edge: Axis
    opens: Annotated[float, Number("how far it tilts", 1, 180, "degrees")]
    gap: Wanted = 15.0

    def __post_init__(self) -> None:
        """Refuse an edge without direction, and a panel that is none."""
        refuse(_no_axis(self.edge, "edge"), _no_panel(self.outline, "outline"))


@dataclass(frozen=True, kw_only=True)
class LiftTable(Table):
    """A roof panel that is lifted out straight up."""

    kind: Annotated[Literal["lift"], About("it is lifted out straight up")]
    outline: Outline
    thickness: Thickness
    height: Annotated[float, Length("how far it is lifted", 1, 1_000)]
    gap: Wanted = 15.0

    def __post_init__(self) -> None:
        """Refuse a panel that is none."""
        refuse(_no_panel(self.outline, "outline"))


@dataclass(frozen=True, kw_only=True)
class SlideTable(Table):
    """A roof panel that slides back over the roof."""

    kind: Annotated[Literal["slide"], About("it slides back over the roof")]
    outline: Outline
    thickness: Thickness
    back: Annotated[float, Length("how far it slides", 1, 2_000)]
    gap: Wanted = 15.0

    def __post_init__(self) -> None:
        """Refuse a panel that is none."""
        refuse(_no_panel(self.outline, "outline"))


OpeningRoofTable = TiltTable | LiftTable | SlideTable


@dataclass(frozen=True, kw_only=True)
class DoorTable(Table):
    """The top edge of a side door, which may swing out over the sill of the roof."""

    name: Named
    hinge: Axis
    edge: Annotated[Points, Entries("points [x, y, z] of the closed door's top edge, front to rear", 60, 2)]
    opens: Annotated[float, Number("how far it opens", 1, 180, "degrees")]
    gap: Wanted = 20.0

    def __post_init__(self) -> None:
        """Refuse a hinge without direction and an edge without length."""
        refuse(
            _no_axis(self.hinge, "hinge"),
            wrong_if(_apart(self.edge[0], self.edge[-1]) < HINGE, "edge", "its ends lie {} apart or more", HINGE),
        )


@dataclass(frozen=True, kw_only=True)
class EyeTable(Table):
    """Where the driver looks from, to say what of the rack is seen through the windscreen."""

    at: Place
    glass_top: Annotated[
        tuple[Coordinate, ...], Entries("[x, y, z] of the windscreen's upper edge straight ahead", 3)
    ] = ()
    look_up: Annotated[float, Number("what shows ahead lower than this is spoken of", 0, 60, "degrees")] = 15.0

    def __post_init__(self) -> None:
        """Refuse a point of too few numbers, and glass behind the eye."""
        short = len(self.glass_top) not in (0, 3)
        behind = len(self.glass_top) == 3 and self.glass_top[0] >= self.at[0]
        refuse(
            wrong_if(short, "glass_top", "write exactly 3 entries"),
            wrong_if(behind, "glass_top", "it lies ahead of the eye: a smaller x"),
        )


@dataclass(frozen=True, kw_only=True)
class HeightsTable(Table):
    """What the vehicle has to pass under with its rack on."""

    floor_to_datum: Annotated[float, Length("from the floor up to where z is 0, vehicle unladen", 500, 5_000)]
    garage: Annotated[float | None, Length("clear height of the garage", 500, 10_000)] = None
    trailer: Annotated[float | None, Length("clear height of a trailer or carrier over its floor", 500, 10_000)] = None
    sag_per_100kg: Annotated[float, Length("how far the roof sinks under 100 kg on it", 0, 200)] = 0.0
    load: Annotated[float, Amount('a load that is carried: kg, or text such as "150 lb"', "mass", 0, 2_000)] = 0.0
    load_height: Annotated[float, Length("of that load over the basket's floor", 0, 3_000)] = 0.0


def keep_outs(
    fixed: tuple[KeepOutTable, ...],
    hatch: HatchTable | None,
    opening_roof: OpeningRoofTable | None,
    doors: tuple[DoorTable, ...],
    eye: EyeTable | None,
    heights: HeightsTable | None,
    up: Raise,
) -> KeepOuts:
    """Return the record of a file's tables, its heights put right by `up` for how the vehicle stood."""

    def axis(points: Points) -> tuple[Vec, Vec]:
        return _raised(points[0], up), _raised(points[1], up)

    opening = None
    if opening_roof is not None:
        by, edge = 0.0, None
        match opening_roof:
            case TiltTable():
                by, edge = opening_roof.opens, axis(opening_roof.edge)
            case LiftTable():
                by = opening_roof.height
            case SlideTable():
                by = opening_roof.back
        panel = tuple(_raised(p, up) for p in opening_roof.outline)
        opening = OpeningRoof(panel, opening_roof.thickness, opening_roof.kind, by, edge, opening_roof.gap)
    return KeepOuts(
        fixed=tuple(_fixed(k, up) for k in fixed),
        hatch=None
        if hatch is None
        else Hatch(hatch.name, axis(hatch.hinge), hatch.panel(up), hatch.thickness, hatch.opens, hatch.gap),
        opening_roof=opening,
        doors=tuple(
            Door(d.name, axis(d.hinge), tuple(_raised(p, up) for p in d.edge), d.opens, d.gap) for d in doors
        ),
        eye=None
        if eye is None
        else Eye(_raised(eye.at, up), _raised(eye.glass_top, up) if eye.glass_top else None, eye.look_up),
        heights=None
        if heights is None
        else Heights(
            heights.floor_to_datum, heights.garage, heights.trailer, heights.sag_per_100kg, heights.load,
            heights.load_height,
        ),
    )  # fmt: skip


def _fixed(table: KeepOutTable, up: Raise) -> KeepOut:
    match table:
        case BoxTable():
            return Box(table.name, _raised(table.low, up), _raised(table.high, up), table.gap)
        case CylinderTable():
            return Cylinder(table.name, _raised(table.start, up), _raised(table.end, up), table.radius, table.gap)
        case AerialTable():
            return Aerial(table.name, _raised(table.foot, up), _raised(table.tip, up), table.radius, table.gap)


def _no_axis(points: Points, key: str) -> Wrong | None:
    short = _apart(points[0], points[1]) < HINGE
    return wrong_if(short, key, "its two points lie {} apart or more, or they give no direction", HINGE)


def _no_panel(points: Points, key: str) -> Wrong | None:
    if not all(math.isfinite(c) for p in points for c in p):
        # A bare length in a file without a unit is told elsewhere.
        return None
    if len(points) < 3:
        return Wrong(key, "write 3 points or more")
    try:
        plane = plane_of(points)
    except GeometryError:
        return Wrong(key, "the points lie on one line; write points round the panel")
    if plane.off > FLAT:
        return Wrong(
            key, "the points lie up to {} off one plane, {} is the most; measure a flatter part", (plane.off, FLAT)
        )
    crossed = crosses_itself(plane.flat(points))
    return wrong_if(crossed, key, "its sides cross; write the points in order round the panel")


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """Return the distance of two points; NaN, which is less than nothing, where a length has no unit yet."""
    return math.dist(a, b)


def _raised(p: tuple[float, ...], up: Raise) -> Vec:
    return p[0], p[1], up(p[0], p[1], p[2])


def _vec(values: Iterable[float]) -> Vec:
    x, y, z = values
    return x, y, z
