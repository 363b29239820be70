"""Where parts touch: points on one part, held against an axis or a face of another.

A touch is written in the terms of its two anchors, so that it goes along when a part comes out longer or
bent otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.geom import cope, spine
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array, Frame, clock_direction, turn, unit
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar, Part
from rackgen.parts.rack import Along, Anchor, AtEnd, Joint, OnFace, PartId, Placed, Rack
from rackgen.parts.resolve import end_frame

CLOCKS = np.arange(0.0, 360.0, 30.0)
"""Clocks at which a tube's end is held against what it lands on, degrees."""

ROOT = 0.75
"""A tube's ears begin where it stands off its header's middle by this share of the header's radius."""

SPAN = 40.0
"""A face is held against a tube this far to each side of their anchor, mm."""

TRIMMED = ("floor panel", "edge strip", "slat", "strap brace", "side plate")
"""What is trimmed to what is there, and sets no gap of its own."""

NOWHERE = Frame()


@dataclass(frozen=True)
class Place:
    """An anchor that follows its part as made: along a straight it is measured from the bend nearer by.

    Attributes:
        part: its id.
        piece: which straight or flat, 0 first.
        from_end: whether `along` is measured back from that straight's end.
        along: mm.
        local: the anchor's frame in the frame of the straight or flat at that place.
    """

    part: PartId
    piece: int
    from_end: bool
    along: float
    local: Frame = NOWHERE


@dataclass(frozen=True, eq=False)
class Touch:
    """Points of one part held against a line or a face of another.

    Attributes:
        joint: id of the joint.
        of: where the points are.
        points: in that place's frame, mm, shape (n, 3).
        on: where the line or face is: the line is its X axis, the face is square to its Z axis.
        shape: "axis" or "face".
        reach: at which distance each point touches, mm, shape (n,).
        aside: whether off to either side counts as a gap, as for two tubes butted out of line.
    """

    joint: str
    of: Place
    points: Array
    on: Place
    shape: Literal["axis", "face"]
    reach: Array
    aside: bool = False


def frame_of(part: Part, place: Place) -> Frame:
    """Return where a place is on the part as made, in the part's own frame."""
    if isinstance(part, BentTube):
        at = 0.0
        for i in range(place.piece):
            at += part.spine.straights[i] + spine.arc_length(part.spine.bends[i])
        into = part.spine.straights[place.piece] - place.along if place.from_end else place.along
        return _tube_frame(part, at, place.piece).moved((into, 0.0, 0.0)).then(place.local)
    if isinstance(part, FoldedBar):
        flats = [
            f
            for f, _, fold in legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
            if fold is None
        ]
        into = part.flats[place.piece] - place.along if place.from_end else place.along
        return flats[place.piece].moved((into, 0.0, 0.0)).then(place.local)
    return place.local


def _tube_frame(part: BentTube, at: float, piece: int) -> Frame:
    """Return the frame at the begin of a straight; just before a bend the straight after it would be another."""
    if piece == 0:
        return Frame()
    return spine.frame_at(part.spine, at) if part.spine.straights[piece] <= 0 else spine.frame_at(part.spine, at + 1e-9)


def place_of(part: Part, part_id: PartId, anchor: Anchor) -> Place:
    """Return the place that follows its part, of an anchor on the part as drawn."""
    match anchor:
        case AtEnd():
            assert isinstance(part, BentTube)
            last = len(part.spine.straights) - 1
            if anchor.end == "A":
                return Place(part_id, 0, False, 0.0)
            return Place(part_id, last, True, 0.0)
        case Along():
            assert isinstance(part, BentTube)
            return _along(part, part_id, anchor.at)
        case OnFace():
            if isinstance(part, FoldedBar):
                return _on_bar(part, part_id, anchor)
            thick = part.thickness if isinstance(part, CutPlate) else 0.0
            z = {"top": thick, "bottom": 0.0, "edge": thick / 2}[anchor.face]
            flip = Frame() if anchor.face != "bottom" else turn((1, 0, 0), 180.0)
            return Place(part_id, 0, False, 0.0, Frame((anchor.x, anchor.y, z)).then(flip))


def place_along(line: Spine, place: Place) -> float:
    """Return how far along a centreline a place on a tube lies, from its begin, mm."""
    begin = sum(line.straights[: place.piece]) + sum(spine.arc_length(b) for b in line.bends[: place.piece])
    return begin + (line.straights[place.piece] - place.along if place.from_end else place.along)


def _along(part: BentTube, part_id: PartId, at: float) -> Place:
    begin = 0.0
    straights = part.spine.straights
    for i, straight in enumerate(straights):
        last = i == len(straights) - 1
        arc = 0.0 if last else spine.arc_length(part.spine.bends[i])
        if at <= begin + straight + arc / 2 or last:
            into = at - begin
            # A leg is measured from its bend, where the tape hooks on the hoop's back, and not from its sawn end.
            if i == 0 and not last:
                return Place(part_id, i, True, straight - into)
            return Place(part_id, i, False, into)
        begin += straight + arc
    raise AssertionError("the last straight takes what is left")


def _on_bar(part: FoldedBar, part_id: PartId, anchor: OnFace) -> Place:
    begin, k = 0.0, 0
    thick = part.section.thickness
    legs = legs_and_arcs(part.flats, part.folds, thick, part.section.width)
    for i, (_, length, fold) in enumerate(legs):
        if fold is None and (anchor.x <= begin + length + 1e-9 or i == len(legs) - 1):
            break
        begin += length
        k += fold is not None
    into = anchor.x - begin
    z = {"top": thick / 2, "bottom": -thick / 2, "edge": 0.0}[anchor.face]
    flip = Frame() if anchor.face != "bottom" else turn((1, 0, 0), 180.0)
    local = Frame((0.0, anchor.y, z)).then(flip)
    if k == 0 and part.folds:
        return Place(part_id, 0, True, part.flats[0] - into, local)
    return Place(part_id, k, False, into, local)


def touches(rack: Rack) -> tuple[Touch, ...]:
    """Return where the rack's tubes, bars and plates touch, joint by joint.

    Floor and strips are trimmed to what is there, sleeves slide, bought parts follow what they hold: none of them sets
    a gap of its own.
    """
    out: list[Touch] = []
    parts = {p.id: p for p in rack.placed}
    for joint in rack.joints:
        a, b = parts[joint.a.part], parts[joint.b.part]
        if joint.kind == "mitre weld":
            out += _mitred(joint, a, b)
        elif joint.kind in ("coped weld", "plane weld") and isinstance(joint.a, AtEnd):
            out += _landing(joint, a.part, b.part)
        elif joint.kind == "butt with sleeve":
            out += _butt(joint, a.part, b.part)
        elif joint.kind == "fillet" and a.word not in TRIMMED:
            out += _held(joint, rack)
    return tuple(out)


def _landing(joint: Joint, a: Part, b: Part) -> list[Touch]:
    """Return a tube's end on a tube or a face: points of its outside curve that touch as drawn."""
    assert isinstance(a, BentTube)
    assert isinstance(joint.a, AtEnd)
    outer = a.section.od / 2
    end, inward = (a.end_a, 1.0) if joint.a.end == "A" else (a.end_b, -1.0)
    of, on = place_of(a, joint.a.part, joint.a), place_of(b, joint.b.part, joint.b)
    z = cope.raw_heights(end, outer, CLOCKS)
    points = clock_direction(CLOCKS) * outer
    points[:, 0] = inward * z
    # A gap is read at the root. Out on the ears the two surfaces run side by side, and where an ear is cut off square
    # the tube does not reach what it lands on.
    root = z >= -1e-9
    for cut in (c for c in end if isinstance(c, cope.Cope)):
        beside = outer * np.sin(np.radians(CLOCKS - cut.clock)) + cut.offset
        root &= np.abs(beside) <= ROOT * cut.header_od / 2
    points = points[root]
    if isinstance(joint.b, OnFace):
        return [Touch(joint.id, of, points, on, "face", np.zeros(len(points)))]
    assert isinstance(b, BentTube)
    return [Touch(joint.id, of, points, on, "axis", np.full(len(points), b.section.od / 2))]


def _mitred(joint: Joint, a: Placed, b: Placed) -> list[Touch]:
    """Return two mitred ends: the outside curve of the one lies in the plane that the other is cut to."""
    assert isinstance(a.part, BentTube)
    assert isinstance(joint.a, AtEnd)
    of, on = place_of(a.part, a.id, joint.a), place_of(b.part, b.id, joint.b)
    end, inward = (a.part.end_a, 1.0) if joint.a.end == "A" else (a.part.end_b, -1.0)
    points = clock_direction(CLOCKS) * (a.part.section.od / 2)
    points[:, 0] = inward * cope.raw_heights(end, a.part.section.od / 2, CLOCKS)
    there = a.frame.then(frame_of(a.part, of))
    other = b.frame.then(frame_of(b.part, on))
    ways = [np.asarray(end_frame(p, e.end)[1]) for p, e in ((a, joint.a), (b, joint.b)) if isinstance(e, AtEnd)]
    at, normal = there.points(points).mean(axis=0), unit(ways[0] - ways[1])
    up = np.cross(ways[0], ways[1])
    plane = other.inverse().then(Frame.of(at, up, normal))
    face = Place(on.part, on.piece, on.from_end, on.along, on.local.then(plane))
    return [Touch(joint.id, of, points, face, "face", np.zeros(len(points)))]


def _butt(joint: Joint, a: Part, b: Part) -> list[Touch]:
    """Return two tubes end to end: the faces meet, and the axes are in line."""
    assert isinstance(a, BentTube)
    assert isinstance(joint.b, AtEnd)
    of, on = place_of(a, joint.a.part, joint.a), place_of(b, joint.b.part, joint.b)
    outward = turn((0, 1, 0), -90.0 if joint.b.end == "A" else 90.0)
    rim = clock_direction(CLOCKS[::3]) * (a.section.od / 2)
    middle = np.zeros((1, 3))

    def across(axis: tuple[float, float, float], degrees: float) -> Place:
        return Place(on.part, on.piece, on.from_end, on.along, on.local.then(turn(axis, degrees)))

    face = Place(on.part, on.piece, on.from_end, on.along, on.local.then(outward))
    return [
        Touch(joint.id, of, rim, face, "face", np.zeros(len(rim))),
        Touch(joint.id, of, middle, across((1, 0, 0), 0.0), "face", np.zeros(1), aside=True),
        Touch(joint.id, of, middle, across((1, 0, 0), 90.0), "face", np.zeros(1), aside=True),
    ]


def _held(joint: Joint, rack: Rack) -> list[Touch]:
    """Return a face or an edge on a tube, at the distance that it is drawn at."""
    a, b = rack.part(joint.a.part), rack.part(joint.b.part)
    of, on = place_of(a.part, a.id, joint.a), place_of(b.part, b.id, joint.b)
    if isinstance(joint.b, Along) and isinstance(joint.a, OnFace) and joint.a.face == "edge":
        here = a.frame.then(frame_of(a.part, of))
        axis = b.frame.then(frame_of(b.part, on))
        ends = axis.points([(s, 0.0, 0.0) for s in (-SPAN / 2, SPAN / 2)])
        shift = here.to_local(ends + (np.asarray(here.origin) - np.asarray(axis.origin)))
        away = np.linalg.norm(axis.to_local(here.points(shift))[:, 1:], axis=1)
        return [Touch(joint.id, of, shift, on, "axis", away)]
    if isinstance(joint.b, Along):
        assert isinstance(b.part, BentTube)
        line = np.array([(s, 0.0, 0.0) for s in (-SPAN, SPAN)])
        return [Touch(joint.id, on, line, of, "face", np.full(2, b.part.section.od / 2))]
    spots = np.array([(x, y, 0.0) for x in (-10.0, 10.0) for y in (-10.0, 10.0)])
    here = b.frame.then(frame_of(b.part, on))
    drawn = a.frame.then(frame_of(a.part, of)).to_local(here.points(spots))[:, 2]
    return [Touch(joint.id, on, spots, of, "face", drawn)]
