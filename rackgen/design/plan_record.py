"""The record of a rack's sizes, worked out once from what is asked for: every builder reads it, none changes it.

Frame of the rack: origin on the front tube's axis over the vehicle's middle, X aft along the frame's plane, Y to the
right, Z up off that plane; mm. A frame of bows has its origin on the foremost bow.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.design.bow_shape import Bow
from rackgen.design.choose import Choice
from rackgen.design.rear import LegEnd, RearEnd
from rackgen.design.seat import Carrier
from rackgen.geom.frame import Frame
from rackgen.spec.frames import FrameKind, FrontEnd, RearEndKind
from rackgen.spec.rack import RackSpec


def legs_of(front_end: FrontEnd) -> tuple[str, str]:
    """Return the ids of the tubes that are the left and right leg or rail of a frame, ahead of any butt."""
    return ("frame.hoop", "frame.hoop") if front_end == "bent" else ("frame.rail.left", "frame.rail.right")


@dataclass(frozen=True)
class Plan:
    """Sizes and places; mm, rack frame unless said otherwise.

    Attributes:
        frame: the rack's frame in the vehicle frame.
        leg_y: |Y| of the axes of legs or rails.
        ends: where the left and the right leg or rail end.
        rear: rear ends on straps, left and right; none where the frame stands on feet alone.
        bars: X of the cross bars, front to rear.
        carriers: one per foot.
        butt: X where tails are butted to the legs, or None without tails.
        middle: X of the basket's mid-length.
        ring_z: axis of the lower ring, or of a deck's side rails.
        rise: from the lower ring's axis to the upper's; 0 without an upper ring.
        bearers: from mid-length.
        side_uprights: from mid-length.
        end_uprights: from the middle.
        pads: from mid-length.
        kind: of the frame.
        front_end: how legs or rails end at the front.
        rear_end: how they end at the rear.
        straight_from: X from which the legs are straight and free for clamps.
        bows: of a frame of bows, front to rear.
    """

    frame: Frame
    leg_y: float
    ends: tuple[LegEnd, ...]
    rear: tuple[RearEnd, ...]
    bars: tuple[float, ...]
    carriers: tuple[Carrier, ...]
    butt: float | None
    middle: float
    ring_z: float
    rise: float
    bearers: tuple[float, ...]
    side_uprights: tuple[float, ...]
    end_uprights: tuple[float, ...]
    pads: tuple[float, ...]
    kind: FrameKind = "hoop"
    front_end: FrontEnd = "bent"
    rear_end: RearEndKind = "open"
    straight_from: float = 0.0
    bows: tuple[Bow, ...] = ()

    @property
    def legs(self) -> tuple[str, str]:
        """Ids of the tubes that are the left and right leg or rail, ahead of any butt."""
        return legs_of(self.front_end)

    @property
    def landings(self) -> tuple[float, ...]:
        """X of what is welded to the legs or rails: cross bars, and stubs right under them."""
        return (*self.bars, *(c.x for c in self.carriers if c.kind == "leg"))


def ring_y(spec: RackSpec, choice: Choice) -> float:
    """Return |Y| of the rings' side axes, mm."""
    return (spec.basket.width - choice.ring_od) / 2
