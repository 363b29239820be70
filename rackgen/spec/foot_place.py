"""Places where a foot may stand: gutter, threaded points, flat track, bed rail, or anywhere on the roof.

Vehicle frame: X aft of the datum, Y to the right, Z up; mm and degrees. Slopes are positive when they fall to the rear
(pitch) and to the right (roll). A place slides along its own way, fore and aft, as far as its zone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.frame import Vec

Under = Literal["pillar", "rail", "bow", "skin"]

FootKind = Literal["roof", "gutter", "threads", "track", "bed rail"]
"""What a foot may stand on, as the vehicle's file calls it."""


@dataclass(frozen=True)
class FrontMount:
    """A place on the roof for a mount plate.

    Attributes:
        name: unique on the vehicle; left and right partners differ in `_left` and `_right`.
        at: the middle of the plate on the roof's skin.
        roll: slope of the skin across, degrees, positive when it falls to the right.
        pitch: slope of the skin fore and aft, degrees, positive when it falls to the rear.
        zone: how far the plate may move from `at`: fore-and-aft and across, mm, each way.
        under: what carries it below the skin.
        skin: thickness of the skin, mm.
    """

    name: str
    at: Vec
    roll: float
    pitch: float
    zone: tuple[float, float]
    under: Under
    skin: float


@dataclass(frozen=True)
class GutterPlace:
    """A stretch of drip rail for a jaw.

    Seen from ahead: the trough's floor, with the roof's side rising from its inner edge and the lip from its outer.

    Attributes:
        name: unique on the vehicle; left and right partners differ in `_left` and `_right`.
        at: top edge of the lip, on its outer face.
        pitch: slope of the rail along the roof.
        width: of the trough, from the inner face of the lip to the roof's side, mm.
        depth: from the lip's top edge down to the trough's floor, mm.
        metal: thickness of lip and floor, all layers of sheet, mm.
        below: free height under the floor, to the top edge of a door as it opens, mm.
        zone: how far the foot may move fore and aft from `at`, each way, mm.
    """

    name: str
    at: Vec
    pitch: float
    width: float
    depth: float
    metal: float
    below: float
    zone: float


@dataclass(frozen=True)
class ThreadsPlace:
    """One or two factory threaded points, fore and aft, on a flat face under a cover.

    Attributes:
        name: unique on the vehicle; left and right partners differ in `_left` and `_right`.
        at: on the face, between the threads' axes, or on the axis of the only one.
        roll: slope of the face across.
        pitch: slope of the face fore and aft.
        thread: its diameter: 6, 8 or 10 mm.
        apart: of two threads, centre to centre along the vehicle, mm; 0 for one alone.
        depth: of full thread below the face, mm.
        width: of the face across the vehicle, in the ditch that the cover closes, mm.
        length: of the face along the vehicle, mm.
    """

    name: str
    at: Vec
    roll: float
    pitch: float
    thread: float
    apart: float
    depth: float
    width: float
    length: float


@dataclass(frozen=True)
class TrackPlace:
    """A flat track along the roof with a slot for nuts or heads of bolts.

    Attributes:
        name: unique on the vehicle; left and right partners differ in `_left` and `_right`.
        at: on the track's top, on the middle of its slot.
        roll: slope of its top across.
        pitch: slope of the track along the roof.
        width: of its top, mm.
        slot: width of the slot's mouth, mm.
        thread: of the nuts that slide in it, mm.
        lip: thickness of the track over its nuts, mm.
        room: height of the slot under its lip, mm.
        zone: how far the foot may move fore and aft from `at`, each way, mm.
    """

    name: str
    at: Vec
    roll: float
    pitch: float
    width: float
    slot: float
    thread: float
    lip: float
    room: float
    zone: float


@dataclass(frozen=True)
class BedRailPlace:
    """A stretch of a pickup's bed rail.

    Attributes:
        name: unique on the vehicle; left and right partners differ in `_left` and `_right`.
        at: on the rail's top, in the middle of its flat.
        roll: slope of the top across.
        pitch: slope of the rail along the bed.
        width: of the flat top, mm.
        skin: thickness of its sheet, mm.
        zone: how far the foot may move fore and aft from `at`, each way, mm.
        pockets: stake pockets in the rail, each from X to X, mm.
    """

    name: str
    at: Vec
    roll: float
    pitch: float
    width: float
    skin: float
    zone: float
    pockets: tuple[tuple[float, float], ...] = ()


FootPlace = FrontMount | GutterPlace | ThreadsPlace | TrackPlace | BedRailPlace


def kind_of(place: FootPlace) -> FootKind:
    """Return what a place is, as the vehicle's file calls it."""
    match place:
        case FrontMount():
            return "roof"
        case GutterPlace():
            return "gutter"
        case ThreadsPlace():
            return "threads"
        case TrackPlace():
            return "track"
        case BedRailPlace():
            return "bed rail"


def zone_of(place: FootPlace) -> tuple[float, float]:
    """Return how far a foot may move there, fore and aft and across, each way, mm."""
    match place:
        case FrontMount():
            return place.zone
        case ThreadsPlace():
            return 0.0, 0.0
        case GutterPlace() | TrackPlace() | BedRailPlace():
            return place.zone, 0.0


def under_of(place: FootPlace) -> Under:
    """Return what carries a foot there: a gutter, track, threads and a bed rail belong to the body's rail."""
    return place.under if isinstance(place, FrontMount) else "rail"
