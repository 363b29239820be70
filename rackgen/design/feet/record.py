"""What a foot is given and what it offers."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.design.skin import Skin
from rackgen.geom.frame import Vec
from rackgen.parts.rack import Group, OnFace


@dataclass(frozen=True)
class Header:
    """The tube of the frame that a foot's stub carries: cross bar, side rail, bow or leg.

    Attributes:
        at: the point on its axis over the place, vehicle frame, mm.
        way: unit vector along it there, vehicle frame.
        od: its outside diameter, mm.
        skin: the roof's skin about a place on the roof where it was smoothed or made alike to its partner's, or None.
    """

    at: Vec
    way: Vec
    od: float
    skin: Skin | None = None


@dataclass(frozen=True)
class Foot:
    """What a mount offers to the tube above it.

    Attributes:
        group: its parts, joints, keys and findings; ids begin with "mount.<name of the place>.".
        face: where the stub's end A is cut to and welded, "plane weld", the stub yielding.
        at: where the stub's axis meets that face, vehicle frame, mm.
        normal: of the face, away from the foot, vehicle frame.
        top: where the stub's axis meets the header's axis, vehicle frame, mm.
    """

    group: Group
    face: OnFace
    at: Vec
    normal: Vec
    top: Vec
