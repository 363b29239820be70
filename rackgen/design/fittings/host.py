"""The tube that a fitting sits on: where it is straight, what is welded to it already, and which way is out.

Places are told as the rack file tells them: from the vehicle's middle across the front and the rear, from the basket's
mid-length along the left and the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from rackgen.design.choose import od
from rackgen.design.site import Site, tube_of
from rackgen.geom import outline, spine
from rackgen.geom.frame import Array, Frame, Vec, clock_direction, vec
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, UBoltShape
from rackgen.parts.rack import Along, Anchor, AtEnd, Joint, OnFace, Placed
from rackgen.spec.fittings import Carrier, Side
from rackgen.spec.stock import Panel

BESIDE = 6.0
"""Room for a bead between a fitting and what is welded beside it, mm (common practice, no source)."""

FROM_BUTT = 10.0
"""From a fitting to a butt or an open end, mm (common practice, no source)."""

TO_NUT = 14.0
"""From a U-bolt's rod to a fitting, so that a ring spanner goes over its nut, mm (common practice, no source)."""

SHEET = "air deflector"
"""What the shop calls the sheet ahead of the front tube."""

ALL_ROUND = 180.0
BEFORE = 170.0
SEAT = 25.0
"""Of an end all round; of a sheet that stands before the tube; how far round a tube a seam reaches from where it
touches; each way, degrees (common practice, no source)."""

CLOSE_BY = 10.0
"""How near a tube that lands aslant may pass under what is folded round the one that it lands on, mm: the bar and a
bead (common practice, no source)."""

ALONG_SIDE = 0.95
"""A tube runs along a side when the cosine of the angle between the two is at least this."""

_PREFIX = {"frame": ("frame.",), "lower ring": ("basket.lower.", "basket.rail."), "upper ring": ("basket.upper.",)}


@dataclass(frozen=True)
class Taken:
    """What stands on a tube already.

    Attributes:
        low: least place that it takes, room for beads and spanners included, mm.
        high: largest place.
        toward: unit vector from the tube's axis to where it sits.
        spread: how far round the tube it reaches from there, each way, degrees.
        what: in words.
    """

    low: float
    high: float
    toward: Vec
    spread: float
    what: str = "a weld or a clamp"


@dataclass(frozen=True)
class Stretch:
    """A straight piece of a tube along a side; mm.

    Attributes:
        tube: the tube.
        low: least place on the side.
        high: largest place.
        begin: end of the piece at `low`: a point of the axis, vehicle frame.
        way: unit vector toward larger places.
        taken: what stands on it already.
    """

    tube: Placed
    low: float
    high: float
    begin: Vec
    way: Vec
    taken: tuple[Taken, ...]

    def point(self, at: float) -> Vec:
        """Return the point of the axis at a place."""
        return vec(np.asarray(self.begin) + (at - self.low) * np.asarray(self.way))


@dataclass(frozen=True)
class Host:
    """Every straight piece along one side, in order.

    Attributes:
        stretches: the pieces.
        out: unit vector out of the side, square to the tube.
        up: unit vector up.
        radius: of the tube's outside, mm.
        called: in words: "the frame's front".
    """

    stretches: tuple[Stretch, ...]
    out: Vec
    up: Vec
    radius: float
    called: str

    def over(self, at: float, half: float) -> Stretch | None:
        """Return the piece that has room for `half` either way of a place; None where none has."""
        return next((s for s in self.stretches if s.low + half - 1e-6 <= at <= s.high - half + 1e-6), None)

    def is_free(self, at: float, half: float) -> bool:
        """Return whether a place has a straight under it and nothing on it yet."""
        here = self.over(at, half)
        return here is not None and all(at + half <= t.low + 1e-6 or at - half >= t.high - 1e-6 for t in here.taken)

    def blocked(self, at: float, half: float) -> str:
        """Return what stands at a place, in words; "" where it is free."""
        here = self.over(at, half)
        taken = () if here is None else here.taken
        return next((t.what for t in taken if at + half > t.low + 1e-6 and at - half < t.high - 1e-6), "")

    def open_ends(self) -> tuple[float, float]:
        """Return between what the side is open: its straights' ends, or clear of what these are coped to."""
        low, high = self.stretches[0].low, self.stretches[-1].high
        ends = [t for s in self.stretches for t in s.taken if t.spread >= ALL_ROUND]
        return (
            max([low, *(t.high for t in ends if t.low < low)]),
            min([high, *(t.low for t in ends if t.high > high)]),
        )

    def touched(self, *ways: Vec) -> Host:
        """Return the host with only that on it which is in the way of what sits on it in some directions.

        Args:
            ways: unit vectors from the axis to where the fitting is welded.
        """

        def stands(t: Taken) -> bool:
            return any(_between(t.toward, way) < t.spread + SEAT for way in ways)

        kept = tuple(replace(s, taken=tuple(t for t in s.taken if stands(t))) for s in self.stretches)
        return replace(self, stretches=kept)

    def nearest_free(self, at: float, half: float) -> float | None:
        """Return the free place nearest to a place; None where there is none."""
        tries = [at]
        for s in self.stretches:
            tries += [s.low + half, s.high - half]
            tries += [edge for t in s.taken for edge in (t.low - half, t.high + half)]
        good = [t for t in tries if self.is_free(t, half)]
        # Rounded, so that of two as near the same is taken on the left and on the right.
        return min(good, key=lambda t: (round(abs(t - at), 2), t), default=None)


def host(site: Site, on: Carrier, side: Side) -> Host | None:
    """Return what a side of the frame or of a ring offers; None where there is no tube."""
    frame = site.plan.frame
    across = side in ("front", "rear")
    way = np.asarray(frame.y if across else frame.x)
    out = np.asarray(frame.x if across else frame.y) * (-1.0 if side in ("front", "left") else 1.0)
    base = frame.point((0.0 if across else site.plan.middle, 0.0, 0.0))
    tubes = [m for g in site.so_far for m in g.members if m.id.startswith(_PREFIX[on]) and _carries(m)]
    pieces = [p for t in tubes for p in _pieces(t, way)]
    if not pieces:
        return None
    # Of several tubes that run that way, the outermost make the side.
    far = max(float(np.asarray(p[1]) @ out) for p in pieces)
    pieces = [p for p in pieces if float(np.asarray(p[1]) @ out) > far - od(tube_of(p[0]).stock)]
    joints = [j for g in site.so_far for j in g.joints]
    parts = {m.id: m for g in site.so_far for m in g.members}
    found: list[Stretch] = []
    for tube, begin, end in pieces:
        low, high = (float((np.asarray(p) - np.asarray(base)) @ way) for p in (begin, end))
        along_it = vec((np.asarray(end) - np.asarray(begin)) / (high - low))
        taken = (
            *_taken(tube, joints, parts, np.asarray(base), way, np.asarray(begin)),
            *(_behind(parts, np.asarray(base), way, vec(out)) if on == "frame" and side == "front" else ()),
        )
        found.append(Stretch(tube, low, high, vec(begin), along_it, taken))
    found.sort(key=lambda s: s.low)
    if site.spec.basket.kind == "bars" and not across:
        found = _from_middle(found)
    radius = od(tube_of(found[0].tube).stock) / 2
    what = "side rail" if found[0].tube.id.startswith("basket.rail") else on
    return Host(tuple(found), vec(out), site.up, radius, f"the {what}'s {side}")


def _from_middle(found: list[Stretch]) -> list[Stretch]:
    """Return the pieces with their places from the middle of all of them: without a basket nothing else is a middle."""
    by = -(min(s.low for s in found) + max(s.high for s in found)) / 2
    return [
        replace(
            s, low=s.low + by, high=s.high + by,
            taken=tuple(replace(t, low=t.low + by, high=t.high + by) for t in s.taken),
        )
        for s in found
    ]  # fmt: skip


def _carries(placed: Placed) -> bool:
    return isinstance(placed.part, BentTube) and placed.part.slit is None and placed.word != "sleeve"


def _pieces(tube: Placed, way: Array) -> Iterator[tuple[Placed, Vec, Vec]]:
    """Yield the straights of a tube that run along a side, each from its lesser to its larger end."""
    line = tube_of(tube).spine
    for piece in spine.pieces(line):
        if piece.bend is not None:
            continue
        here = tube.frame.then(piece.frame)
        a, b = here.origin, here.point((piece.length, 0.0, 0.0))
        along_way = float(np.asarray(here.x) @ way)
        if abs(along_way) >= ALONG_SIDE and piece.length > 1.0:
            yield (tube, a, b) if along_way > 0 else (tube, b, a)


def _taken(
    tube: Placed, joints: Sequence[Joint], parts: Mapping[str, Placed], base: Array, way: Array, on: Array
) -> Iterator[Taken]:
    """Yield what is joined to a tube, with the places along a side that it takes.

    Args:
        tube: the tube.
        joints: of everything so far.
        parts: everything so far.
        base: the side's middle.
        way: unit vector along the side.
        on: a point of the straight that is meant; what is joined to another leg of the tube takes nothing here.
    """
    line = tube_of(tube).spine
    wide = od(tube_of(tube).stock)
    for joint in joints:
        for mine, other in ((joint.a, joint.b), (joint.b, joint.a)):
            if mine.part != tube.id or other.part not in parts:
                continue
            if isinstance(mine, Along):
                here = tube.frame.then(spine.frame_at(line, mine.at))
                point = np.asarray(here.origin)
                if np.linalg.norm(np.cross(point - on, way)) > 2 * wide:
                    continue
                low, high = _reach(parts[other.part], point, way, wide)
                at = float((point - base) @ way)
                toward = here.direction(clock_direction(mine.clock))
                yield Taken(at + low, at + high, toward, _spread(parts[other.part], other, wide))
            elif isinstance(mine, AtEnd):
                end = spine.frame_at(line, 0.0 if mine.end == "A" else spine.length(line))
                at = float((np.asarray(tube.frame.point(end.origin)) - base) @ way)
                room = FROM_BUTT + (_radius(parts[other.part]) if joint.kind == "coped weld" else 0.0)
                yield Taken(at - room, at + room, vec(way), ALL_ROUND)


def _behind(parts: Mapping[str, Placed], base: Array, way: Array, out: Vec) -> Iterator[Taken]:
    """Yield what an air deflector takes of the tube that it stands ahead of: what else sat there would run into it."""
    for sheet in parts.values():
        if sheet.word == SHEET and isinstance(sheet.part, CutPlate):
            rim = outline.polygon(sheet.part.outline)
            at = (sheet.frame.points(np.column_stack([rim, np.zeros(len(rim))])) - base) @ way
            yield Taken(float(at.min()) - BESIDE, float(at.max()) + BESIDE, out, BEFORE, "the air deflector")


def _radius(placed: Placed) -> float:
    return placed.part.section.od / 2 if isinstance(placed.part, BentTube) else 0.0


def _spread(other: Placed, on: Anchor, wide: float) -> float:
    """Return how far round a tube of an outside diameter a part reaches that is joined to it, degrees."""
    part = other.part
    if isinstance(part, BentTube):
        return math.degrees(math.asin(min(1.0, part.section.od / wide))) + SEAT
    if isinstance(part, Bought):
        return ALL_ROUND if isinstance(part.shape, UBoltShape) else 90.0
    if isinstance(part, CutPlate) and not isinstance(part.stock.section, Panel):
        return SEAT if isinstance(on, OnFace) and on.face == "edge" else 90.0
    return SEAT


def _between(a: Vec, b: Vec) -> float:
    """Return the angle between two unit vectors, degrees."""
    return math.degrees(math.acos(max(-1.0, min(1.0, float(np.dot(a, b))))))


def _reach(other: Placed, point: Array, way: Array, wide: float) -> tuple[float, float]:
    """Return how far a part reaches along a side before and behind the point where it is joined, room included.

    Args:
        other: the part.
        point: where it is joined: of a tube, where the axes meet.
        way: unit vector along the side.
        wide: outside diameter of the tube that it is joined to.
    """
    part = other.part
    if isinstance(part, BentTube):
        # A knee brace lands aslant: its end is longer than the brace is wide; on one side it meets the wall before it
        # meets the axis, and goes on close by.
        far = other.frame.point(spine.frame_at(part.spine, spine.length(part.spine)).origin)
        ends = np.array([other.frame.origin, far]) - point
        away = ends[np.linalg.norm(ends, axis=1).argmax()]
        slant = 0.0 if part.spine.bends else float(away @ way) / float(np.linalg.norm(away))
        square = math.sqrt(max(1.0 - slant * slant, 0.1))
        half, close = part.section.od / 2 / square + BESIDE, (wide / 2 + CLOSE_BY) * slant / square
        return -half + min(close, 0.0), half + max(close, 0.0)
    if isinstance(part, Bought):
        half = part.shape.rod / 2 + TO_NUT if isinstance(part.shape, UBoltShape) else BESIDE
        return -half, half
    if isinstance(part, CutPlate):
        rim = outline.polygon(part.outline)
        spots = other.frame.points(np.column_stack([rim, np.zeros(len(rim))]))
    else:
        spots = other.frame.points(_corners(part))
    at = (spots - point) @ way
    return float(at.min()) - BESIDE, float(at.max()) + BESIDE


def _corners(bar: FoldedBar) -> Array:
    """Return the corners of a bar's first flat, in its own frame."""
    half = bar.section.width / 2
    return np.array([(x, y, 0.0) for x in (0.0, bar.flats[0]) for y in (-half, half)])


def frame_on(host: Host, at: float, half: float) -> tuple[Stretch, Frame]:
    """Return the piece under a place, and the frame there: X out of the side, Y along the tube, Z as near up as may be.

    Raises:
        KeyError: no straight is there.
    """
    here = host.over(at, half)
    if here is None:
        raise KeyError(at)
    out = np.asarray(host.out) - float(np.asarray(host.out) @ np.asarray(here.way)) * np.asarray(here.way)
    out = out / np.linalg.norm(out)
    up = np.cross(out, np.asarray(here.way))
    if float(up @ np.asarray(host.up)) < 0:
        up = -up
    return here, Frame.of(here.point(at), out, up)
