"""Fittings that are asked for: what is welded, bolted or hung on a finished rack. Lengths in mm, angles in degrees.

Places on a side are told from its middle: left and right of the vehicle's middle on the front and the rear, fore and
aft of the basket's mid-length, or the frame's without one, on the left and the right; negative to the left and ahead.
Where no places are told, the builder takes the usual ones, moved off welds and clamps. `entry` is the number of the
fitting's table in its file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Side = Literal["front", "rear", "left", "right"]

Carrier = Literal["frame", "lower ring", "upper ring"]
"""What a fitting sits on; the side rails of a deck are its lower ring."""


@dataclass(frozen=True)
class DeflectorWish:
    """A sheet ahead of the front tube that turns the air up.

    Attributes:
        entry: see above.
        width: of the sheet; None as wide as the frame's front is straight.
        above: how far it stands over the front tube's axis, along its slope.
        tilt: how far its top leans back, from upright.
        gap: from its lower edge to the roof.
        tabs: how many tabs hold it.
        plate: stock name of the sheet.
        bar: stock name of the tabs.
    """

    entry: int
    width: float | None = None
    above: float = 80.0
    tilt: float = 50.0
    gap: float = 15.0
    tabs: int = 4
    plate: str | None = None
    bar: str | None = None


@dataclass(frozen=True)
class LampTabsWish:
    """Tabs with one hole each.

    Attributes:
        entry: see above.
        side: of the rack.
        at: places of their middles; None for the usual ones.
        on: what they are welded to; None for the frame, or a ring where an air deflector takes the frame's front.
        stand: out of the side with the hole upright, or up off the tube with the hole level.
        hole: its diameter.
        length: of the tab beyond the tube.
        bar: stock name.
    """

    entry: int
    side: Side = "front"
    at: tuple[float, ...] | None = None
    on: Carrier | None = None
    stand: Literal["out", "up"] = "out"
    hole: float = 10.5
    length: float = 50.0
    bar: str | None = None


@dataclass(frozen=True)
class LoopsWish:
    """Loops of flat bar round a tube, for straps and hooks.

    Attributes:
        entry: see above.
        side: of the rack.
        at: places of their middles; None for the usual ones.
        on: what they are welded to; None for the upper ring, or the frame where there is none and no deflector.
        eye: clear between tube and loop.
        bar: stock name.
    """

    entry: int
    side: Side = "left"
    at: tuple[float, ...] | None = None
    on: Carrier | None = None
    eye: float = 22.0
    bar: str | None = None


@dataclass(frozen=True)
class BracketsWish:
    """Folded brackets outside on a basket's side, welded to its rings.

    Attributes:
        entry: see above.
        use: for a shovel that lies in them, or an awning that is bolted on them.
        side: of the basket.
        at: places of their middles; None for the usual ones.
        reach: clear width of the shelf.
        lip: how far a shovel bracket's lip stands up.
        hole: diameter of the holes: for a strap's hook in the lip, for bolts in the shelf.
        bar: stock name.
    """

    entry: int
    use: Literal["shovel", "awning"]
    side: Side = "right"
    at: tuple[float, ...] | None = None
    reach: float = 70.0
    lip: float = 50.0
    hole: float = 9.0
    bar: str | None = None


@dataclass(frozen=True)
class LadderWish:
    """A ladder down the rear, hung on the rack and standing off the body on feet.

    Attributes:
        entry: see above.
        at: of its middle, from the vehicle's middle.
        on: what it is clamped to; None for the upper ring, or the frame where there is none.
        rungs: how many.
        spacing: from rung to rung.
        width: clear between the stiles.
        off: from the rear face to the stiles' axes.
        tube: stock name of stiles, rungs and standoffs.
        plate: stock name of clamp plates and feet.
    """

    entry: int
    at: float
    on: Literal["frame", "upper ring"] | None = None
    rungs: int = 4
    spacing: float = 295.0
    width: float = 300.0
    off: float = 110.0
    tube: str | None = None
    plate: str | None = None


FittingWish = DeflectorWish | LampTabsWish | LoopsWish | BracketsWish | LadderWish
