"""The roof as a fabricator measures it, a table of stations, and the surface made of its readings.

Two references are understood. A *level line* (a string set with a water level, or a laser) runs fore and aft over the
middle, and the height of the crown is read against it at every station. A *straightedge* rests on two equal blocks on
the crown, and the drop from its underside down to the crown is read at every station. Across, drops are read below a
straightedge that was levelled, or that lies on the crown.

Signs: pitch, `level` and slopes fore and aft are positive when they fall to the rear; roll and `cross_level` when they
fall to the right. `x` is measured level, heights and drops plumb.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Literal

from rackgen.errors import LengthError, Mistake
from rackgen.geom.surface import Roof, Section
from rackgen.spec import limits
from rackgen.spec.document import Document, written
from rackgen.spec.fields import About, Entries, Length, Number, Reading, Table, Wrong, refuse
from rackgen.spec.places import Path
from rackgen.spec.scan_file import ScanTable
from rackgen.units import read_length

HEIGHTS = (
    "the roof needs its heights fore and aft. Either set a level line or a laser along the middle, write "
    'reference = "level line", and give each station `crown`, the height of the crown above it (negative below it); '
    "or rest a straightedge on two equal blocks on the crown at two stations, write "
    'reference = "straightedge", `rests` and `blocks`, and give each station `down`, from its underside to the crown'
)
Reference = Literal["level line", "straightedge"]
_READ: Mapping[Reference, str] = MappingProxyType({"level line": "crown", "straightedge": "down"})
"""The height that is read at each station against a reference."""
AGREE = 3.0
"""How well two readings of one height should agree, mm: what a tape on a roof gives."""

Reach = Annotated[float, Length("a reading's distance from the middle", 20, 1_500)]
Drop = Annotated[float, Length("a drop below the straightedge", -300, 1_000)]
Offsets = Annotated[
    tuple[Reach, ...],
    Entries("distances from the middle at which the drops are read, the last near the edge", limits.READINGS, 1, True),
]
Drops = Annotated[
    tuple[Drop, ...] | None, Entries("drops below the transverse straightedge, one an offset", limits.READINGS, 1)
]
HalfWidth = Annotated[float | None, Length("from the middle to where the roof ends", 100, 1_500)]
Tilt = Annotated[
    float | None, Number("a level's reading along it, positive when it falls to the rear", -15, 15, "degrees")
]
CrossTilt = Annotated[
    float | None, Number("a level's reading across, positive when it falls to the right", -15, 15, "degrees")
]


@dataclass(frozen=True, kw_only=True)
class StationTable(Table):
    """One station: a line across the roof."""

    x: Annotated[float, Length("distance aft of the datum, measured level", -5_000, 8_000)]
    crown: Annotated[float | None, Length("height of the crown above the level line", -2_000, 2_000)] = None
    down: Annotated[float | None, Length("from the straightedge's underside down to the crown", 0, 1_000)] = None
    half_width: HalfWidth = None
    left: HalfWidth = None
    right: HalfWidth = None
    offsets: Offsets
    drops: Drops = None
    left_drops: Drops = None
    right_drops: Drops = None
    cross_level: CrossTilt = None

    def __post_init__(self) -> None:
        """Refuse readings that do not go together."""
        refuse(*self._wrong())

    def _wrong(self) -> Iterator[Wrong]:
        if self.crown is not None and self.down is not None:
            yield Wrong("down", "give `crown` or `down`, as the roof's reference is, not both")
        sides = (self.left is not None) + (self.right is not None)
        if sides == 1 or (self.half_width is None) == (sides == 0):
            yield Wrong("half_width", "give `half_width`, or both `left` and `right`")
        else:
            last, near, far = self.offsets[-1], min(self.halves()), max(self.halves())
            if last > near:
                yield Wrong("offsets", "the last offset lies within the half width of {}", (near,))
            elif far - last > limits.OUTERMOST:
                wanted = "measure further out: the last offset is {} from the roof's edge, and within {} is needed"
                yield Wrong("offsets", wanted, (far - last, limits.OUTERMOST))
        sides = (self.left_drops is not None) + (self.right_drops is not None)
        if sides == 1 or (self.drops is None) == (sides == 0):
            yield Wrong("drops", "give `drops`, or both `left_drops` and `right_drops`")
        for key, drops in (("drops", self.drops), ("left_drops", self.left_drops), ("right_drops", self.right_drops)):
            if drops is not None and len(drops) != len(self.offsets):
                yield Wrong(key, f"give one drop for each of the {len(self.offsets)} offsets")

    def halves(self) -> tuple[float, float]:
        """Return the half widths to the left and to the right, mm."""
        whole = self.half_width or 0.0
        return self.left or whole, self.right or whole

    def sides(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the drops to the left and to the right, mm."""
        both = self.drops or ()
        return self.left_drops or both, self.right_drops or both


@dataclass(frozen=True, kw_only=True)
class StoodTable(Table):
    """How the vehicle itself stood while it was measured, read with a level at the datum."""

    pitch: Annotated[float, Number("positive when the vehicle falls to the rear", -15, 15, "degrees")] = 0.0
    roll: Annotated[float, Number("positive when the vehicle falls to the right", -15, 15, "degrees")] = 0.0


@dataclass(frozen=True, kw_only=True)
class RoofTable(Table):
    """The roof, measured at stations."""

    reference: Annotated[Reference, About(HEIGHTS)]
    rests: Annotated[
        tuple[Annotated[float, Length("x of a rest", -5_000, 8_000)], ...] | None,
        Entries("x of the front and of the rear place where the straightedge rests", 2, 2, rising=True),
    ] = None
    blocks: Annotated[float | None, Length("height of the two equal blocks under the straightedge", 0, 500)] = None
    level: Tilt = None
    edge_along: Annotated[float | None, Length("length of the straightedge that lies fore and aft", 100, 8_000)] = None
    edge_across: Annotated[
        float | None, Length("length of the straightedge that lies across, its middle on the crown", 100, 4_000)
    ] = None
    across: Annotated[
        Literal["levelled", "on crown"], About("whether the transverse straightedge was levelled or lay on the crown")
    ]
    station: Annotated[
        tuple[StationTable, ...], Entries("stations from front to rear, at least two", limits.STATIONS, 2)
    ]

    scan: Annotated[ScanTable | None, About("how well the scan shows the roof that the stations were read from")] = None

    def __post_init__(self) -> None:
        """Refuse rests that stand beside the readings."""
        refuse(*self._wrong())

    def _wrong(self) -> Iterator[Wrong]:
        first, last = self.station[0].x, self.station[-1].x
        yield from self._short(first, last)
        if self.rests is None:
            return
        if self.rests[0] < first - AGREE or self.rests[1] > last + AGREE:
            wanted = "the straightedge rests between the first station, at {}, and the last, at {}"
            yield Wrong("rests", wanted, (first, last))
        for rest in self.rests:
            for station in self.station:
                if station.down is None or abs(station.x - rest) > AGREE:
                    continue
                off = station.down - (self.blocks or 0.0)
                if abs(off) > AGREE:
                    more = "more" if off > 0 else "less"
                    wanted = f"at the rest at {{}} the edge is `blocks` above the crown, but `down` is {{}} {more}"
                    yield Wrong("blocks", wanted, (rest, abs(off)))

    def _short(self, first: float, last: float) -> Iterator[Wrong]:
        """Return which straightedge is shorter than the roof that is said to be measured with it."""
        wanted = "it is shorter than the {} {}; measure in two lays, or with a longer one"
        if self.edge_along is not None and self.edge_along < last - first - AGREE:
            fore_aft = wanted.format("{}", "from the first station to the last")
            yield Wrong("edge_along", fore_aft, (last - first,))
        reach = 2 * max(station.offsets[-1] for station in self.station)
        if self.edge_across is not None and self.edge_across < reach - AGREE:
            yield Wrong("edge_across", wanted.format("{}", "between the outermost readings"), (reach,))

    def surface(self, stood: StoodTable) -> Roof:
        """Return the surface in the vehicle frame, mm.

        Z is 0 at the level line, or at the roof under the front rest of the straightedge.
        """
        return Roof(tuple(self._section(station, stood) for station in self.station))

    def _section(self, station: StationTable, stood: StoodTable) -> Section:
        if self.reference == "level line" or self.rests is None:
            # A level line rises against a vehicle that falls to the rear.
            crown = (station.crown or 0.0) + station.x * _slope(stood.pitch)
        else:
            crown = (self.blocks or 0.0) - (station.down or 0.0)
            if self.level is not None:
                crown -= (station.x - self.rests[0]) * _slope(self.level - stood.pitch)
        if self.across == "levelled":
            fall = -_slope(stood.roll)
        else:
            fall = 0.0 if station.cross_level is None else _slope(station.cross_level - stood.roll)
        left, right = station.sides()
        ys = (*(-o for o in reversed(station.offsets)), 0.0, *station.offsets)
        drops = (*reversed(left), 0.0, *right)
        zs = tuple(crown - drop - y * fall for y, drop in zip(ys, drops, strict=True))
        return Section(station.x, ys, zs, *station.halves())

    def notes(self, reading: Reading) -> Iterator[str]:
        """Return what the measuring left open and what that costs, a sentence each."""
        if self.scan is not None:
            yield from self.scan.notes(reading)
        if self.rests is not None and self.level is None:
            off = reading.says((self.station[-1].x - self.rests[0]) * _slope(1.0), rough=True)
            yield (
                "The straightedge's own slope (roof.level) was not read, so heights are true along it only: "
                f"for every degree it slopes, the rear of the roof is {off} off against the front."
            )
        tilts = [s for s in self.station if s.cross_level is None and s.left_drops is not None]
        if self.across == "on crown" and tilts:
            off = reading.says(max(max(s.halves()) for s in tilts) * _slope(1.0), rough=True)
            yield (
                f"The tilt across (cross_level) was not read at {len(tilts)} of {len(self.station)} stations: "
                f"for every degree, the edges there are {off} off, one up, one down."
            )
        if len(self.station) < 3:
            yield "Only two stations were measured: between them the roof is taken as straight."
        if any(len(s.offsets) < 2 for s in self.station):
            yield "Some stations have one offset only: across, the roof there is taken as a plain arch through it."


def across_roof(document: Document, reading: Reading) -> Iterator[Mistake]:
    """Return what is wrong between the stations: heights missing, or of the other reference, or out of order.

    It looks at the file as parsed, so that it finds these beside whatever else is wrong.
    """
    stations = list(document.tables("roof", "station"))
    stated = document.get(("roof", "reference"))
    reference: Reference | None = next((r for r in _READ if r == stated), None)
    if reference:
        yield from _heights(document, reference, stations)
    rests = document.get(("roof", "rests"))
    if reference == "straightedge" and rests is None:
        yield document.mistake(("roof", "rests"), "add `rests`, x of the two places where the straightedge rests")
    for key in ("rests", "blocks", "level"):
        if reference == "level line" and (value := document.get(("roof", key))) is not None:
            yield document.mistake(("roof", key), "this belongs to a straightedge; leave it out", written(value))
    if document.get(("roof", "across")) == "levelled":
        for path, table in stations:
            if "cross_level" in table:
                wanted = 'a levelled straightedge has no tilt; leave it out, or write across = "on crown"'
                yield document.mistake((*path, "cross_level"), wanted, written(table["cross_level"]))
    before: float | None = None
    for path, table in stations:
        try:
            x = read_length(table.get("x"), reading.unit)
        except LengthError:
            continue
        if before is not None and x < before + 10:
            wanted = "stations run from front to rear, each at least 10 mm behind the one before"
            yield document.mistake((*path, "x"), wanted, written(table["x"]))
        before = x


def _heights(
    document: Document, reference: Reference, stations: list[tuple[Path, Mapping[str, object]]]
) -> Iterator[Mistake]:
    """Return which stations lack the height that the reference wants, or have the other's."""
    wants, other = _READ[reference], _READ["straightedge" if reference == "level line" else "level line"]
    without = [(path, table) for path, table in stations if wants not in table]
    if stations and len(without) == len(stations):
        if any(other in table for _, table in stations):
            wanted = f"with this reference each station has `{wants}`, and these have `{other}`"
            yield document.mistake(("roof", "reference"), wanted, written(reference))
        else:
            yield document.mistake(("roof",), HEIGHTS)
        return
    for path, table in without:
        if other in table:
            yield document.mistake(
                (*path, other), f"with this reference a station has `{wants}`", written(table[other])
            )
        else:
            yield document.mistake((*path, wants), f"give `{wants}` at every station, as the reference wants")


def _slope(degrees: float) -> float:
    return math.tan(math.radians(degrees))
