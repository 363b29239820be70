"""The rack that is asked for. Only the basket's outside sizes are needed; None leaves the choice to the builders."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from rackgen.spec.as_built import AsBuilt
from rackgen.spec.fittings import FittingWish
from rackgen.spec.foot_place import FootKind
from rackgen.spec.frames import FrameKind, FrontEnd, KneeBraces, RearEndKind
from rackgen.spec.load import LoadWish
from rackgen.spec.tops import BasketKind, FloorWish, SidesWish


@dataclass(frozen=True)
class BasketWish:
    """The basket.

    Attributes:
        width: outside, mm.
        length: outside, mm.
        height: from the underside of the lower ring to the top of the upper, mm; 0 for a tray or deck, which have none.
        ring_tube: stock name for the rings.
        bar_tube: stock name for bearers and uprights.
        bearers: places fore and aft of mid-length, mm; an even count keeps them off the butts.
        side_uprights: places fore and aft of mid-length, mm.
        end_uprights: places left and right of the middle, mm.
        floor: stock name of what the floor is made of.
        strip: stock name of the bar over the floor's raw edge.
        side_plates: how many bays a side, counted from the middle, get a plate; 0 for none.
        side_plate: stock name of the side plates.
        pads: places of the clamp pads fore and aft of mid-length, mm.
        forward: how far the basket's middle is moved forward of the frame's, mm.
        kind: two rings, one ring, slats between two side rails, or "bars": nothing but the frame.
        pad: stock name of the clamp pads' plate.
    """

    width: float
    length: float
    height: float = 0.0
    ring_tube: str | None = None
    bar_tube: str | None = None
    bearers: tuple[float, ...] | None = None
    side_uprights: tuple[float, ...] | None = None
    end_uprights: tuple[float, ...] | None = None
    floor: str | None = None
    strip: str | None = None
    side_plates: int = 1
    side_plate: str | None = None
    pads: tuple[float, ...] | None = None
    forward: float = 0.0
    kind: BasketKind = "basket"
    pad: str | None = None


BARS_ONLY = BasketWish(0.0, 0.0, kind="bars", bearers=(), side_plates=0, pads=())
"""No basket at all: the cross bars carry."""


@dataclass(frozen=True)
class FrameWish:
    """The frame that carries the basket, or alone.

    Attributes:
        tube: stock name of hoop, rails, bows and cross bars.
        width: outside, mm.
        front: X of the front tube's axis, or of the rails' front ends, mm.
        cross_bars: places aft of the front tube's axis, mm.
        leg: how the legs end: straight, with one drop bend, continued by a butted tail, or as the roof needs.
        left_leg: length of the left leg from the front's outside, mm, where the legs are unequal.
        right_leg: the same to the right, mm.
        rake: fall of the frame to the rear, degrees.
        roll: fall of the frame to the right, degrees.
        kind: a hoop, a ladder of two side rails, bows across, or a bed frame on posts.
        length: of the rails from their front, outside, mm.
        front_end: how a ladder's or bed frame's rails end at the front: bent into one, mitred to a tube, or open.
        rear_end: how they end at the rear.
        bar_count: how many cross bars, evenly placed.
        height: of a bed frame: from the bed rails up to the top of its side rails, mm.
        knee_braces: what braces a bed frame's posts are of.
        ties: places of straight tubes between bows, right and left of the middle, mm.
    """

    tube: str | None = None
    width: float | None = None
    front: float | None = None
    cross_bars: tuple[float, ...] | None = None
    leg: Literal["auto", "straight", "drop", "tail"] = "auto"
    left_leg: float | None = None
    right_leg: float | None = None
    rake: float = 0.0
    roll: float = 0.0
    kind: FrameKind = "hoop"
    length: float | None = None
    front_end: FrontEnd = "bent"
    rear_end: RearEndKind = "open"
    bar_count: int | None = None
    height: float | None = None
    knee_braces: KneeBraces = "tube"
    ties: tuple[float, ...] = ()


Fastener = Literal["rivets", "rivet nuts", "bolts"]
"""What holds plates on the roof."""


@dataclass(frozen=True)
class MountWish:
    """The mounts.

    Attributes:
        tilt: how a tilted plate is cured: the stub's foot cut to the plate's angle, or a square foot and a deeper cope.
        plate: stock name of the mount plates.
        strap: stock name of the rear straps' and braces' bar.
        wrap: stock name of the wraps' bar.
        plate_rivets: fasteners of each plate on the roof, an even count; None for the usual six.
        front: what the front feet stand on; None leaves it to what the vehicle has.
        rear: the same at the rear; a hoop's legs end on straps round the rear corners.
        pairs: how many pairs of feet; None for all that the vehicle has of those kinds.
        fastener: of plates on the roof: blind rivets, bolts into rivet nuts, or bolts through backing strips.
    """

    tilt: Literal["foot", "cope"] = "foot"
    plate: str | None = None
    strap: str | None = None
    wrap: str | None = None
    plate_rivets: int | None = None
    front: FootKind | None = None
    rear: FootKind | Literal["rear corner"] | None = None
    pairs: int | None = None
    fastener: Fastener = "rivets"


@dataclass(frozen=True)
class Gaps:
    """Wanted clearances, mm: below `tube` is a look, below `tube_stop` a stop; U-bolt bows; hatch shut line."""

    tube: float = 25.0
    tube_stop: float = 20.0
    bow: float = 12.0
    shut_line: float = 6.0


@dataclass(frozen=True)
class Waiver:
    """One finding that the user has looked at and accepts.

    Attributes:
        code: the finding's code.
        part: part id it is waived for; "" for findings without one.
        reason: in the user's words; shown on every sheet.
    """

    code: str
    part: str
    reason: str


@dataclass(frozen=True)
class RackSpec:
    """A rack that is asked for.

    Attributes:
        name: file-safe name; names the output folder and files.
        title: shown on sheets.
        shop: name of the shop preset.
        vehicle: name of the vehicle preset.
        basket: the basket.
        floor: its floor.
        sides: its sides.
        frame: the frame.
        mounts: the mounts.
        gaps: wanted clearances.
        as_built: parts that are made already, as measured.
        waivers: accepted findings.
        load: what it is to carry, and how it is driven.
        fittings: what is welded, bolted or hung on it.
    """

    name: str
    title: str
    shop: str
    vehicle: str
    basket: BasketWish
    frame: FrameWish = field(default_factory=FrameWish)
    mounts: MountWish = field(default_factory=MountWish)
    gaps: Gaps = field(default_factory=Gaps)
    as_built: tuple[AsBuilt, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    load: LoadWish = field(default_factory=LoadWish)
    floor: FloorWish = field(default_factory=FloorWish)
    sides: SidesWish = field(default_factory=SidesWish)
    fittings: tuple[FittingWish, ...] = ()
