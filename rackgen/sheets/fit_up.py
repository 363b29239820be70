"""Squaring up: outside sizes, diagonals, twist, stop blocks and stations of the frame, each ring and the basket.

Every assembly lies on a table of its own: aft from the table's front edge and to the right from its left edge, front
and left outside of the assembly a round margin from those edges.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.design.stands import STUBS
from rackgen.geom import spine
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import marks
from rackgen.parts.rack import Along, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.sheets.capsules import body, chords
from rackgen.sheets.weld_lines import welded_joints
from rackgen.spec.shop import BOW, FRAME_HOOP, Shop
from rackgen.units import INCH

SQUARE = 2.0
TWIST = 2.0
"""Diagonals are alike, outside widths right and the fourth corner down within this, mm (common practice, no source)."""

MARGIN = 100.0
MARGIN_INCH = 4 * INCH
"""From the table's edges to the outside of what lies on it, mm; in a shop that reads inches."""

WEDGE = 10.0
"""A block with a wedge stands so far off the tube, mm."""

BLOCK = 40.0
"""Side of a stop block, mm."""

PAST_TANGENT = 1.0
PAST_BUTT = 1.5
BESIDE = 10.0
"""A block keeps so many ODs from a bend's tangent and from a butt, and so many mm from a pad or stop."""

LONG_SIDE = 900.0
"""A side longer than this between its blocks gets one more between them, mm (common practice, no source)."""

LINEAR_B: tuple[tuple[float, float], ...] = ((30, 1), (120, 2), (400, 2), (1000, 3), (2000, 4), (4000, 6), (8000, 8))
STRAIGHT_F: tuple[tuple[float, float], ...] = ((120, 1), (400, 1.5), (1000, 3), (2000, 4.5), (4000, 6), (8000, 8))
"""ISO 13920: lengths to class B, ± mm, and straightness, flatness and parallelism to class F, mm, each up to a nominal
length (from memory)."""


def linear_b(nominal: float) -> float:
    """Return the limit deviation of a length to ISO 13920 class B, ± mm (from memory)."""
    return next((t for most, t in LINEAR_B if nominal <= most), LINEAR_B[-1][1])


def straight_f(nominal: float) -> float:
    """Return the tolerance of straightness to ISO 13920 class F, mm (from memory)."""
    return next((t for most, t in STRAIGHT_F if nominal <= most), STRAIGHT_F[-1][1])


@dataclass(frozen=True)
class StopBlock:
    """A block against the outside of a tube.

    Attributes:
        id: its number on the drawing.
        side: of the assembly that it stands at.
        aft: of the middle of its face, from the table's front edge, mm.
        across: from the table's left edge, mm.
        wedge: whether a wedge goes between it and the tube, so that the work comes out again; it stands `WEDGE` off.
    """

    id: str
    side: str
    aft: float
    across: float
    wedge: bool


@dataclass(frozen=True)
class StationMark:
    """What stands at a place of an assembly.

    Attributes:
        what: the shop's word and mark.
        along: "aft" from the front outside, or "across" from the left outside.
        at: to its axis or middle, mm.
    """

    what: str
    along: str
    at: float


@dataclass(frozen=True)
class Assembly:
    """What is squared as one.

    Attributes:
        name: file-safe.
        title: for people.
        parts: ids of its tubes.
        table: frame of the table's front left corner in the plane of axes: X aft, Y to the right, Z up.
        width: outside, mm.
        length: outside, front to the farthest end, mm.
        corners: the points that diagonals run between: left front, right front, right rear, left rear, table frame, mm.
        measured_at: where those points are, front and rear, in words.
        diagonals: left front to right rear, right front to left rear, mm.
        blocks: stop blocks.
        stations: what stands where.
        tube: outside diameter of its tube, mm.
    """

    name: str
    title: str
    parts: tuple[PartId, ...]
    table: Frame
    width: float
    length: float
    corners: tuple[Vec, Vec, Vec, Vec]
    measured_at: tuple[str, str]
    diagonals: tuple[float, float]
    blocks: tuple[StopBlock, ...]
    stations: tuple[StationMark, ...]
    tube: float


@dataclass(frozen=True)
class BasketSize:
    """The basket, tacked up.

    Attributes:
        height: underside of the lower ring to the top of the upper, mm.
        side: diagonal of a side, between the corner points of lower and upper ring, mm.
        end: diagonal of an end, likewise, mm.
    """

    height: float
    side: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class BowSize:
    """One bow, or several alike: its mark, how far the ends of its axis are apart, and its back's rise, mm."""

    mark: str
    spread: float
    height: float


@dataclass(frozen=True)
class FitUp:
    """The fit-up sheet.

    Attributes:
        assemblies: rings first, then the frame, as they are welded.
        margin: from the table's front and left edges to the outside of what lies on it, mm.
        basket: the basket's own sizes, None without two rings.
        leg_trim: by how much a hoop's legs are longer than drawn until the dry fit, mm; 0 for rails.
        bows: one for each mark.
    """

    assemblies: tuple[Assembly, ...]
    margin: float
    basket: BasketSize | None
    leg_trim: float
    bows: tuple[BowSize, ...] = ()


def fit_up(rack: Rack, shop: Shop) -> FitUp:
    """Return the fit-up of a rack."""
    margin = MARGIN if shop.unit == "mm" else MARGIN_INCH
    named, members = marks(rack), {p.id: p for p in rack.placed}
    out: list[Assembly] = []
    for name, title, tubes in _groups(rack):
        one = _assembly(rack, members, named, name, title, tubes, margin)
        if one is not None:
            out.append(one)
    rings = [a for a in out if a.name not in ("frame", DECK)]
    basket = _basket(rings[0], rings[-1]) if len(rings) > 1 else None
    trimmed = any(p.word == FRAME_HOOP for p in rack.placed)
    return FitUp(tuple(out), margin, basket, shop.leg_trim if trimmed else 0.0, _bows(rack, named))


def _bows(rack: Rack, named: Mapping[PartId, str]) -> tuple[BowSize, ...]:
    out: dict[str, BowSize] = {}
    for placed in rack.placed:
        if placed.word != BOW or named[placed.id] in out:
            continue
        assert isinstance(placed.part, BentTube)
        line = placed.frame.points(chords(placed.part.spine))
        way = line[-1] - line[0]
        spread = float(np.linalg.norm(way))
        off = line - line[0] - np.outer((line - line[0]) @ way / spread**2, way)
        rise = float(np.linalg.norm(off, axis=1).max())
        out[named[placed.id]] = BowSize(named[placed.id], spread, rise)
    return tuple(out.values())


def _groups(rack: Rack) -> list[tuple[str, str, list[Placed]]]:
    """Return name, title and tubes of every ring, lowest first, of a deck, and of the frame."""
    rings: dict[str, list[Placed]] = {}
    for placed in rack.placed:
        if placed.word == "ring hoop":
            rings.setdefault(placed.id.rsplit(".", 1)[0], []).append(placed)
    ordered = sorted(rings.items(), key=lambda item: item[1][0].frame.origin[2])
    out = [(name, f"{name.rsplit('.', 1)[-1]} ring", tubes) for name, tubes in ordered]
    rails = [p for p in rack.placed if p.word == "side rail"]
    cross = [p for p in rack.placed if p.word in ("bearer", "slat") and isinstance(p.part, BentTube)]
    if rails and cross:
        cross.sort(key=lambda p: p.frame.origin[0])
        out.append((DECK, "deck", [*rails, cross[0], cross[-1]]))
    frame = [p for p in rack.placed if p.word in FRAME]
    return [*out, ("frame", "frame", frame)] if frame else out


Straight = tuple[PartId, Array, Array, float]
"""Whose it is, its two ends in the assembly's frame, and the tube's radius."""


def _straights(tubes: Sequence[Placed], frame: Frame) -> list[Straight]:
    out: list[Straight] = []
    for placed in tubes:
        part = placed.part
        assert isinstance(part, BentTube)
        for piece in spine.pieces(part.spine):
            if piece.bend is None:
                ends = placed.frame.points(piece.frame.points(np.array([(0.0, 0.0, 0.0), (piece.length, 0.0, 0.0)])))
                local = frame.to_local(ends)
                out.append((placed.id, local[0], local[1], part.section.od / 2))
    return out


def _plane(tubes: Sequence[Placed]) -> Frame | None:
    """Return a frame in the plane of axes: X aft along the longest leg, Y to the right along the longest cross tube."""
    best: dict[int, tuple[float, Array]] = {}
    for _, a, b, _ in _straights(tubes, Frame()):
        way = b - a
        size = float(np.linalg.norm(way))
        for axis in (0, 1):
            if abs(way[axis]) > 0.9 * size and size > best.get(axis, (0.0, way))[0]:
                best[axis] = (size, way / size * np.sign(way[axis]))
    if len(best) < 2:
        return None
    x, y = best[0][1], best[1][1]
    return Frame.of(tubes[0].frame.origin, x, np.cross(x, y))


def _assembly(rack: Rack, members: Mapping[PartId, Placed], named: Mapping[PartId, str], name: str, title: str,
              tubes: Sequence[Placed], margin: float) -> Assembly | None:  # fmt: skip
    plane = _plane(tubes)
    if plane is None:
        return None
    low, high, od = np.full(2, np.inf), np.full(2, -np.inf), 0.0
    for placed in tubes:
        part = placed.part
        assert isinstance(part, BentTube)
        p = plane.to_local(placed.frame.points(chords(part.spine)))[:, :2]
        r = part.section.od / 2
        # A tube's end is no further out than its axis; across itself it is a radius out.
        way = np.abs(np.gradient(p, axis=0))
        out_by = r * way[:, ::-1] / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
        low, high = np.minimum(low, (p - out_by).min(axis=0)), np.maximum(high, (p + out_by).max(axis=0))
        od = max(od, part.section.od)
    table = plane.moved((float(low[0]) - margin, float(low[1]) - margin, 0.0))
    straights = _straights(tubes, table)
    width, length = float(high[1] - low[1]), float(high[0] - low[0])
    bars = sorted(float(a[0]) for i, a, _, _ in straights if members[i].word == "cross bar")
    corners, places = _corners(straights, members, margin + width / 2, bars)
    blocks = _blocks(rack, members, straights, table, margin + width / 2, closed=name != "frame")
    lf, rf, rr, lr = (np.asarray(c) for c in corners)
    return Assembly(
        name, title, tuple(p.id for p in tubes), table, width, length, corners, places,
        (float(np.linalg.norm(rr - lf)), float(np.linalg.norm(lr - rf))), blocks,
        _stations(rack, members, named, {p.id for p in tubes}, table, margin), od,
    )  # fmt: skip


def _legs(straights: Sequence[Straight], members: Mapping[PartId, Placed], middle: float, side: str) -> list[Straight]:
    """Return the straights that run aft along the left or right outside, front first."""
    found = [
        s for s in straights
        if members[s[0]].word != "cross bar"
        and abs(s[2][0] - s[1][0]) > 0.9 * float(np.linalg.norm(s[2] - s[1]))
        and (s[1][1] < middle) == (side == "left")
    ]  # fmt: skip
    return sorted(found, key=lambda s: min(float(s[1][0]), float(s[2][0])))


def _corners(straights: Sequence[Straight], members: Mapping[PartId, Placed], middle: float, bars: list[float]
             ) -> tuple[tuple[Vec, Vec, Vec, Vec], tuple[str, str]]:  # fmt: skip
    spots: dict[str, tuple[Vec, Vec]] = {}
    hooped = any(members[s[0]].word in HOOPS for s in straights)
    for side, sign in (("left", -1.0), ("right", 1.0)):
        legs = _legs(straights, members, middle, side)
        ends = sorted((e for s in legs for e in (s[1], s[2])), key=lambda e: float(e[0]))
        r = legs[0][3]
        front, rear = ends[0], ends[-1]
        beside = [(b, s) for b in bars for s in legs if min(s[1][0], s[2][0]) <= b <= max(s[1][0], s[2][0]) + 1e-6]
        if beside and hooped:
            # A bar that was asked for on a bend has no straight beside it; it is a stop, and the tape goes to another.
            bar, flat = beside[-1]
            share = (bar - flat[1][0]) / (flat[2][0] - flat[1][0])
            rear = flat[1] + share * (flat[2] - flat[1])
        aside = np.array([0.0, sign * r, 0.0])
        spots[side] = (vec(front + aside), vec(rear + aside))
    at = "outside of the leg where the front bend begins"
    rear_at = "outside of the leg opposite the rear cross bar's axis" if bars else "the same at the rear bend"
    if not hooped:
        at, rear_at = "outside of the rail at its front end", "the same at its rear end"
    return (spots["left"][0], spots["right"][0], spots["right"][1], spots["left"][1]), (at, rear_at)


def _blocks(rack: Rack, members: Mapping[PartId, Placed], straights: Sequence[Straight], table: Frame,
            middle: float, *, closed: bool) -> tuple[StopBlock, ...]:  # fmt: skip
    """Return blocks at both ends of every outside straight; front and left fixed, right and rear with wedges."""
    keep_off = _beside(rack, members, table)
    found: list[tuple[str, float, float, bool]] = []
    for side in ("left", "right"):
        legs = _legs(straights, members, middle, side)
        r = legs[0][3]
        across = float(legs[0][1][1]) + (r + WEDGE if side == "right" else -r)
        free = [w for s in legs for w in _room(s, 0, legs, keep_off[side], closed)]
        for aft in _spread(free, LONG_SIDE):
            found.append((side, aft, across, side == "right"))
    backs = [
        s for s in straights
        if members[s[0]].word != "cross bar" and abs(s[2][1] - s[1][1]) > 0.9 * float(np.linalg.norm(s[2] - s[1]))
    ]  # fmt: skip
    half = float(np.mean([e[0] for s in straights for e in (s[1], s[2])]))
    for side, back in (("front", min), ("rear", max)):
        if not backs or (side == "rear" and not closed):
            continue
        s = back(backs, key=lambda b: float(b[1][0]))
        if side == "front" and float(s[1][0]) > half:
            # Rails open at the front are held by their sides alone.
            continue
        aft = float(s[1][0]) + (-s[3] if side == "front" else s[3] + WEDGE)
        for across in _spread(_room(s, 1, [s], (), True), LONG_SIDE):
            found.append((side, aft, across, side == "rear"))
    return tuple(StopBlock(str(k + 1), side, aft, across, wedge) for k, (side, aft, across, wedge) in enumerate(found))


def _beside(rack: Rack, members: Mapping[PartId, Placed], table: Frame) -> dict[str, tuple[tuple[float, float], ...]]:
    """Return the stretches of the left and right legs beside which pads and stops stick out, from the front edge."""
    out: dict[str, list[tuple[float, float]]] = {"left": [], "right": []}
    for placed in rack.placed:
        if placed.word not in ("clamp pad", "fore-aft stop"):
            continue
        whole = body(placed)
        assert whole is not None
        ends = table.to_local(np.array([whole.low, whole.high]))[:, 0]
        out["left" if ".left" in placed.id else "right"].append((float(ends.min()), float(ends.max())))
    return {k: tuple(v) for k, v in out.items()}


def _room(straight: Straight, axis: int, row: Sequence[Straight], keep_off: Sequence[tuple[float, float]], bent: bool
          ) -> list[tuple[float, float]]:  # fmt: skip
    """Return where along a straight a block's middle may stand: off tangents, butts, pads and stops."""
    _, a, b, r = straight
    low, high = sorted((float(a[axis]), float(b[axis])))
    others = [float(e[axis]) for s in row if s is not straight for e in (s[1], s[2])]

    def room(end: float) -> float:
        butted = any(abs(end - o) < 1.0 for o in others)
        return 2 * r * (PAST_BUTT if butted else PAST_TANGENT) + BLOCK / 2

    free = [(low + room(low), high - (room(high) if bent or high < max([*others, high]) else BLOCK / 2))]
    for begin, end in keep_off:
        lo, hi = begin - BLOCK / 2 - BESIDE, end + BLOCK / 2 + BESIDE
        free = [p for x, y in free for p in ((x, min(y, lo)), (max(x, hi), y)) if p[1] - p[0] > 0]
    return [p for p in free if p[1] > p[0]]


def _spread(free: Sequence[tuple[float, float]], longest: float) -> list[float]:
    """Return the first and the last place, one near the middle where they are far apart; one alone on a short side."""
    if not free:
        return []
    first, last = min(f[0] for f in free), max(f[1] for f in free)
    out = [first]
    if last - first > longest:
        middle = (first + last) / 2
        out.append(min((float(np.clip(middle, *f)) for f in free), key=lambda p: abs(p - middle)))
    if last - first > 2 * BLOCK:
        return [*out, last]
    widest = max(free, key=lambda f: f[1] - f[0])
    return [(widest[0] + widest[1]) / 2]


DECK = "basket.rail"
"""Name of a deck's assembly."""

FRAME = ("frame hoop", "frame rail", "leg tail", "cross bar", "front tube", "rear tube")
"""Tubes that lie flat together as the frame; bows stand each by itself."""

HOOPS = ("ring hoop", "frame hoop")
"""Tubes with bends at the corners of what they make."""

NAMED = (
    "bearer",
    "slat",
    "mid rail",
    "upright",
    "clamp pad",
    "fore-aft stop",
    "cross bar",
    "tie",
    *STUBS,
    "rear strap",
)
"""What is given a station."""


def _stations(rack: Rack, members: Mapping[PartId, Placed], named: Mapping[PartId, str], own: set[PartId], table: Frame,
              margin: float) -> tuple[StationMark, ...]:  # fmt: skip
    out: dict[tuple[str, str, float], StationMark] = {}
    for joint in welded_joints(rack):
        for here, there in ((joint.b, joint.a), (joint.a, joint.b)):
            placed = members[there.part]
            butt = joint.kind == "butt with sleeve"
            if here.part not in own or (placed.word not in NAMED and not butt):
                continue
            if not butt and not isinstance(here, Along):
                continue
            at = table.to_local(anchor_point(here, dict(members)))
            way = _direction(members[here.part], here, table) if isinstance(here, Along) else np.array([1.0, 0.0, 0.0])
            along = "aft" if abs(way[0]) > abs(way[1]) else "across"
            value = float(at[0 if along == "aft" else 1]) - margin
            word = "butt" if butt else placed.word
            marks_here = sorted({named[placed.id]}) if not butt else []
            what = " ".join([word, *marks_here])
            key = (word, along, round(value, 1))
            if key in out and out[key].what != what:
                both = sorted({*out[key].what.split()[len(word.split()) :], *marks_here})
                what = f"{word} {', '.join(m.strip(',') for m in both)}"
            out[key] = StationMark(what, along, value)
    return tuple(sorted(out.values(), key=lambda s: (s.along, s.at, s.what)))


def _direction(placed: Placed, anchor: Along, table: Frame) -> Array:
    part = placed.part
    assert isinstance(part, BentTube)
    frame = placed.frame.then(spine.frame_at(part.spine, anchor.at))
    return table.to_local_direction(frame.x)


def _basket(lower: Assembly, upper: Assembly) -> BasketSize:
    a = [np.asarray(lower.table.point(c)) for c in lower.corners]
    b = [np.asarray(upper.table.point(c)) for c in upper.corners]
    rise = float(lower.table.to_local(upper.table.origin)[2])

    def far(i: int, j: int) -> float:
        return float(np.linalg.norm(b[j] - a[i]))

    return BasketSize(rise + lower.tube / 2 + upper.tube / 2, (far(0, 3), far(3, 0)), (far(0, 1), far(1, 0)))


def running(stations: Sequence[StationMark], along: str) -> tuple[StationMark, ...]:
    """Return the stations along one way, those at one place together."""
    out: list[StationMark] = []
    for _, group in itertools.groupby((s for s in stations if s.along == along), key=lambda s: round(s.at, 0)):
        same = list(group)
        out.append(StationMark(", ".join(dict.fromkeys(s.what for s in same)), along, same[0].at))
    return tuple(out)
