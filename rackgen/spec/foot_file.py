"""Tables of places where feet other than plates on the roof may stand: gutter, threads, flat track, bed rail."""

from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.spec import limits
from rackgen.spec.fields import About, Entries, Length, Number, Table, Wrong, refuse, wrong_if

X = Annotated[float, Length("distance aft of the datum", -5_000, 8_000)]
Y = Annotated[float, Length("distance to the right of the middle, negative to the left", -1_500, 1_500)]
Z = Annotated[float, Length("height over where z is 0", -2_000, 2_000)]
Roll = Annotated[
    float | None,
    Number("level reading across, positive when it falls to the right; 0 when left out", -45, 45, "degrees"),
]
Pitch = Annotated[
    float | None,
    Number("level reading fore and aft, positive when it falls to the rear; 0 when left out", -45, 45, "degrees"),
]
Zone = Annotated[float, Length("how far the foot may move fore and aft, each way", 0, 3_000)]
Pocket = Annotated[
    tuple[Annotated[float, Length("an x", -5_000, 8_000)], ...], Entries("[from x, to x]", 2, 2, rising=True)
]

APART = 20.0
"""Two threads or two pockets nearer than this were not measured right, mm."""


def _sided(y: float) -> Wrong | None:
    return wrong_if(y == 0, "y", "a mount is to the left (negative) or to the right of the middle")


@dataclass(frozen=True, kw_only=True)
class GutterTable(Table):
    """A stretch of drip rail for a jaw."""

    kind: Annotated[Literal["gutter"], About("a jaw on the drip rail")]
    x: X
    y: Annotated[float, Length("of the lip's outer face, negative to the left", -1_500, 1_500)]
    z: Annotated[float, Length("height of the lip's top edge over where z is 0", -2_000, 2_000)]
    pitch: Pitch = None
    width: Annotated[float, Length("of the trough, from the lip's inner face to the roof's side", 5, 80)]
    depth: Annotated[float, Length("from the lip's top edge down to the trough's floor", 3, 50)]
    metal: Annotated[float, Length("thickness of lip and floor, all layers", 0.8, 8)]
    below: Annotated[float, Length("free under the floor, down to a door's top edge as it opens", 0, 200)]
    zone: Zone

    def __post_init__(self) -> None:
        """Refuse a gutter of neither side."""
        refuse(_sided(self.y))


@dataclass(frozen=True, kw_only=True)
class ThreadsTable(Table):
    """Factory threaded points on the roof, under a cover."""

    kind: Annotated[Literal["threads"], About("a pad bolted to the vehicle's own threads")]
    x: Annotated[float, Length("between two threads, or of the only one, aft of the datum", -5_000, 8_000)]
    y: Y
    z: Annotated[float, Length("height of the face that the pad lies on", -2_000, 2_000)]
    roll: Roll = None
    pitch: Pitch = None
    thread: Annotated[Literal["M6", "M8", "M10"], About("size of the threads")]
    apart: Annotated[
        float | None, Length("of two threads, centre to centre fore and aft; left out for one alone", 0, 400)
    ] = None
    depth: Annotated[float, Length("of full thread under that face", 4, 60)]
    width: Annotated[float, Length("of the face across, in the ditch under the cover", 15, 300)]
    length: Annotated[float, Length("of the face fore and aft", 20, 800)]

    def __post_init__(self) -> None:
        """Refuse points of neither side, and two threads in each other."""
        near = self.apart is not None and self.apart < APART
        short = self.apart is not None and self.length < self.apart
        refuse(
            _sided(self.y),
            wrong_if(near, "apart", "two threads are {} apart or more; leave it out for one", APART),
            wrong_if(short, "length", "the threads lie on the face: not less than `apart`"),
        )


@dataclass(frozen=True, kw_only=True)
class TrackTable(Table):
    """A flat track along the roof with a slot for nuts."""

    kind: Annotated[Literal["track"], About("a bracket on nuts that slide in a track")]
    x: X
    y: Annotated[float, Length("of the slot's middle, negative to the left", -1_500, 1_500)]
    z: Annotated[float, Length("height of the track's top", -2_000, 2_000)]
    roll: Roll = None
    pitch: Pitch = None
    width: Annotated[float, Length("of the track's top", 15, 200)]
    slot: Annotated[float, Length("width of the slot's mouth", 5, 60)]
    thread: Annotated[Literal["M6", "M8", "M10"], About("of the nuts that slide in it")]
    lip: Annotated[float, Length("thickness of the track over its nuts", 0.8, 15)]
    room: Annotated[float, Length("height of the slot under that", 2, 40)]
    zone: Zone

    def __post_init__(self) -> None:
        """Refuse a track of neither side, and a slot that is too narrow or too wide."""
        size = float(self.thread[1:])
        refuse(
            _sided(self.y),
            wrong_if(self.slot <= size, "slot", "wider than the bolt that stands in it, {}", size),
            wrong_if(self.slot >= self.width, "slot", "narrower than the track, {}", self.width),
        )


@dataclass(frozen=True, kw_only=True)
class BedRailTable(Table):
    """A stretch of a pickup's bed rail."""

    kind: Annotated[Literal["bed rail"], About("a plate on a bed rail with backing under it")]
    x: X
    y: Annotated[float, Length("of the middle of the rail's flat top, negative to the left", -1_500, 1_500)]
    z: Annotated[float, Length("height of the rail's top", -2_000, 2_000)]
    roll: Roll = None
    pitch: Pitch = None
    width: Annotated[float, Length("of the rail's flat top", 20, 300)]
    skin: Annotated[float, Length("thickness of its sheet metal", 0.3, 6)]
    zone: Zone
    pockets: Annotated[
        tuple[Pocket, ...],
        Entries("stake pockets in the rail, each [from x, to x]; no hole comes near them", limits.PARTS),
    ] = ()

    def __post_init__(self) -> None:
        """Refuse a rail of neither side."""
        refuse(_sided(self.y))


FootTable = GutterTable | ThreadsTable | TrackTable | BedRailTable


def size_of(thread: str) -> float:
    """Return the diameter of a thread as it is typed, mm."""
    return float(thread[1:])
