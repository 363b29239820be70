"""Drawings for the person who fits the rack: the roof from above, and each plate with its holes at a larger scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Literal

import numpy as np

from rackgen.design.stands import STUBS
from rackgen.geom import spine
from rackgen.geom.frame import Array, Vec
from rackgen.mesh.sweep import along, bend_places
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Point, Stroke, Words
from rackgen.sheets.installation import Hole, Installation, Mount, seen
from rackgen.sheets.words import fine
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit

See = Callable[[float, float, float], Point]
"""From a point of the vehicle frame to the drawing."""

LINE, FIRST = 7.0, 9.0
"""Between dimension lines, and from the drawn thing to the first of them, mm on paper."""

APART, KNEE = 3.8, 4.0
"""Between running dimensions side by side, and the length over which their lines bend to them, mm on paper."""

OVER, BESIDE, LABEL = 4.4, 5.8, (3.2, 1.9)
"""From a hole to its label's middle above and beside it; half a label's sides, mm on paper."""

WIDE, PLATES = 172.0, 82.0
"""Room for a drawing across, and up for a pair of plates, mm on paper."""

SCALES = (1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15)

SAME = 1.0
"""Places nearer than this share one number, mm."""

CHORD = 0.3
"""How far chords of a drawn bend may lie from it, mm."""


def from_above(x: float, y: float, _: float) -> Point:
    """Return a point as seen from above, the vehicle's front up."""
    return y, -x


def seen_from(see: See, points: Array) -> tuple[Point, ...]:
    """Return points of the vehicle frame in the drawing."""
    return tuple(see(float(p[0]), float(p[1]), float(p[2])) for p in points)


def tube_sides(
    placed: Placed, see: See, style: Literal["thin", "hidden"] = "thin", short: float = 0.0
) -> tuple[Stroke, ...]:
    """Return the two sides of a tube as seen; none of a tube that is seen end on.

    Args:
        placed: the tube.
        see: the view.
        style: of the lines.
        short: how far its drawn ends stay behind its sawn ends, mm.
    """
    tube = placed.part
    assert isinstance(tube, BentTube)
    radius = tube.fitted.od / 2
    ends = (short, spine.length(tube.spine) - short)
    places = np.unique(np.array([*ends, *bend_places(tube.spine, radius, CHORD)]))
    middle = np.array(seen_from(see, placed.frame.points(along(tube.spine, places).origins)))
    way = np.gradient(middle, axis=0) if len(middle) > 2 else np.repeat(np.diff(middle, axis=0), 2, axis=0)
    long = np.hypot(way[:, 0], way[:, 1])
    if float(long.min()) < 1.0:
        return ()
    off = np.column_stack([-way[:, 1], way[:, 0]]) / long[:, None] * radius
    rows = (middle + off, middle - off)
    return tuple(Stroke(tuple((float(x), float(y)) for x, y in row), style) for row in rows)


def circles(holes: Iterable[Hole], see: See) -> list[Item]:
    """Return holes as circles of their drill."""
    out: list[Item] = []
    for hole in holes:
        x, y = see(*hole.at)
        out.append(Circle(x, y, (hole.drill or 6.0) / 2))
    return out


FRAME = ("frame hoop", "frame rail", "front tube", "rear tube", "cross bar", "bow", "tie", "tail")
LANDED = ("cross bar", "tie")
"""What the shop calls the tubes of a frame that are seen from above, and those whose ends are coped to others."""


def _carried(placed: Placed) -> bool:
    """Return whether a tube is the outline of what lies on the frame: a lower ring, or a deck's side rails."""
    assert isinstance(placed.part, BentTube)
    return placed.word == "side rail" or (placed.id.startswith("basket.lower.") and bool(placed.part.spine.bends))


def outline_words(rack: Rack) -> str:
    """Return what is dashed in the plan, in words; "" where nothing lies on the frame."""
    dashed = {p.word for p in rack.placed if isinstance(p.part, BentTube) and _carried(p)}
    return "the deck's side rails" if "side rail" in dashed else "the basket's lower ring" if dashed else ""


def plan_drawing(found: Installation, rack: Rack, vehicle: Vehicle, unit: Unit) -> Drawing:
    """Return the roof from above, front up: mounts with their running dimensions, the frame thin, the basket dashed."""
    sections = vehicle.roof.sections
    left = [from_above(s.x, -s.left, 0.0) for s in sections]
    right = [from_above(s.x, s.right, 0.0) for s in sections]
    items: list[Item] = [Stroke((*left, *reversed(right)), "edge", closed=True)]
    for thing in vehicle.obstacles:
        (x0, y0, _), (x1, y1, _) = thing.low, thing.high
        corners = tuple(from_above(x, y, 0.0) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        items.append(Stroke(corners, "thin", closed=True, fill="light"))
        x, y = from_above(x1, (y0 + y1) / 2, 0.0)
        items.append(Words(x, y, thing.name, shift=(0.0, -2.5)))
    for placed in rack.placed:
        if isinstance(placed.part, BentTube) and placed.word in FRAME:
            landed = placed.part.section.od / 2 if placed.word in LANDED else 0.0
            items += tube_sides(placed, from_above, short=landed)
        elif isinstance(placed.part, BentTube) and _carried(placed):
            items += tube_sides(placed, from_above, "hidden")
        elif isinstance(placed.part, CutPlate) and placed.word == "clamp pad":
            items.append(Stroke(seen_from(from_above, seen(placed)), "thin", closed=True))
    for mount in found.mounts:
        items += _mount(mount, rack)
    wide = max(-left[0][0], *(-x for x, _ in left), *(x for x, _ in right))
    return Drawing((*items, *_running(found, wide, _rims(items), unit)))


def _rims(items: Sequence[Item]) -> tuple[float, float]:
    (_, low), (_, high) = Drawing(tuple(items)).box
    return low, max(high, 0.0)


def _mount(mount: Mount, rack: Rack) -> list[Item]:
    """Return a mount from above with its letter: a plate, or the outlines of strap and wrap."""
    out: list[Item] = []
    for placed in rack.placed:
        if placed.id.startswith(f"mount.{mount.name}.") and isinstance(placed.part, CutPlate):
            out.append(Stroke(seen_from(from_above, seen(placed)), "edge", closed=True, fill="steel"))
    if mount.rear is not None:
        x, side = mount.at[0], np.sign(mount.at[1])
        inner, outer = (float(side) * y for y in mount.rear.strap)
        for y in (inner, outer):
            out.append(Stroke((from_above(x - 12.0, y, 0), from_above(x + 12.0, y, 0)), "edge"))
        out.append(Stroke((from_above(x + 12.0, inner, 0), from_above(x + 12.0, outer, 0)), "edge"))
        out += circles((h for h in mount.holes if h.face == "side"), from_above)
    out += circles((h for h in mount.holes if h.face == "roof"), from_above)
    x, y = from_above(*mount.at)
    toward = 10.0 if mount.at[1] < 0 else -10.0
    out.append(Words(x, y, mount.letter, 3.5, shift=(toward, 0.0), bold=True))
    return out


def _running(found: Installation, wide: float, rims: tuple[float, float], unit: Unit) -> list[Item]:
    """Return datum, middle line, and what is measured from them: aft at the sides, across at front and rear."""
    low, high = rims
    out: list[Item] = [
        Stroke(((-wide, 0.0), (wide, 0.0)), "centre"),
        Stroke(((0.0, low), (0.0, high)), "centre"),
        Words(-wide, 0.0, "datum", align="left", shift=(1.0, 2.6)),
        Words(0.0, high, "FRONT", 3.0, shift=(0.0, 4.0), bold=True),
    ]
    for side in (-1.0, 1.0):
        mounts = [m for m in found.mounts if m.at[1] * side > 0]
        for k, (aft, text) in enumerate(_places((m.at[0] for m in mounts), unit)):
            near = min(abs(m.at[1]) for m in mounts if abs(m.at[0] - aft) < SAME)
            out.append(Stroke(((side * near, -aft), (side * wide, -aft)), "centre"))
            out.append(Dimension((side * wide, 0.0), (side * wide, -aft), text, side * (FIRST + k * LINE)))
        for rear, edge in ((False, high), (True, low)):
            here = [m for m in mounts if (m.rear is not None) == rear]
            up = -1.0 if rear else 1.0
            for k, (y, text) in enumerate(_places((abs(m.at[1]) for m in here), unit)):
                start = max(-m.at[0] for m in here) if not rear else min(-m.at[0] for m in here)
                out.append(Stroke(((side * y, start), (side * y, edge)), "centre"))
                out.append(Dimension((0.0, edge), (side * y, edge), text, up * side * (FIRST + k * LINE)))
    return out


def _places(values: Iterable[float], unit: Unit) -> list[tuple[float, str]]:
    """Return places in rising order with their text, those that are as good as one only once."""
    out: list[tuple[float, str]] = []
    for value in sorted(values):
        if not out or value - out[-1][0] > SAME:
            out.append((value, fine(value, unit)))
    return out


def ordinates(
    values: Iterable[tuple[float, float]],
    at: Callable[[float, float], Point],
    edge: float,
    unit: Unit,
    scale: float,
    *,
    upright: bool,
) -> list[Item]:
    """Return running dimensions without arrows: a thin line from each place to an edge, its number beyond it.

    Numbers that would touch are spread; their lines bend to them.

    Args:
        values: number to write, mm, and where its line begins across the line's own direction.
        at: a point of the drawing from a number's place and a place along its line.
        edge: where the lines end, along them.
        unit: the shop's.
        scale: paper over the drawn thing.
        upright: whether the numbers stand upright, below the drawing, and not beside it.
    """
    places = _outermost(sorted(values), edge)
    spread = spread_out([value for value, _ in places], APART / scale)
    out: list[Item] = []
    for (value, begin), moved in zip(places, spread, strict=True):
        way = math.copysign(1.0, edge - begin)
        a, b, c = at(value, begin), at(value, edge), at(moved, edge + way * KNEE / scale)
        out.append(Stroke((a, b, c), "thin"))
        low = c[1] < b[1] if upright else c[0] < b[0]
        shift = -1.0 if low else 1.0
        out.append(
            Words(
                *c,
                fine(abs(value), unit),
                align="right" if low else "left",
                angle=90.0 if upright else 0.0,
                shift=(0.0, shift) if upright else (shift, 0.0),
            )
        )
    return out


def _outermost(values: Sequence[tuple[float, float]], edge: float) -> list[tuple[float, float]]:
    """Return one line for places that are as good as one, drawn from the one nearest the numbers."""
    out: list[tuple[float, float]] = []
    for value, begin in values:
        if out and value - out[-1][0] < SAME:
            out[-1] = (out[-1][0], min(out[-1][1], begin, key=lambda b: abs(edge - b)))
        else:
            out.append((value, begin))
    return out


def spread_out(values: Sequence[float], apart: float) -> list[float]:
    """Return rising places moved as little as may be (least squares) so that they are `apart` from each other."""
    runs: list[tuple[float, int]] = []
    for k, value in enumerate(values):
        runs.append((value - k * apart, 1))
        while len(runs) > 1 and runs[-2][0] > runs[-1][0]:
            (a, n), (b, m) = runs[-2:]
            runs[-2:] = [((a * n + b * m) / (n + m), n + m)]
    flat = [middle for middle, count in runs for _ in range(count)]
    return [middle + k * apart for k, middle in enumerate(flat)]


def layout_scale(wide: float, high: float, around: tuple[float, float], room: tuple[float, float]) -> float:
    """Return the largest usual scale at which a drawing with what stands around it fits; the smallest if none does.

    Args:
        wide: of the drawn thing, mm.
        high: the same.
        around: what texts and dimensions take beside and above it, mm on paper.
        room: what there is, mm on paper.
    """
    for scale in SCALES:
        if wide * scale + around[0] <= room[0] and high * scale + around[1] <= room[1]:
            return scale
    return SCALES[-1]


def plate_drawings(found: Installation, rack: Rack, unit: Unit) -> tuple[Drawing, ...]:
    """Return the roof plates from above, front up, two side by side: holes with labels and running dimensions."""
    mounts = [(m, m.edges) for m in found.mounts if m.edges is not None]
    out: list[Drawing] = []
    for pair in (mounts[k : k + 2] for k in range(0, len(mounts), 2)):
        wide = sum(e[1][1] - e[1][0] for _, e in pair)
        high = max(e[0][1] - e[0][0] for _, e in pair)
        scale = layout_scale(wide, high, (len(pair) * 26.0 + 12.0, 34.0), (WIDE, PLATES))
        items: list[Item] = []
        begin = 0.0
        for mount, ((front, _), (left, right)) in pair:
            items += Drawing(tuple(_plate(mount, rack, unit, scale))).moved(begin - left, front).items
            begin += right - left + 38.0 / scale
        out.append(Drawing(tuple(items), scale))
    return tuple(out)


def _plate(mount: Mount, rack: Rack, unit: Unit, scale: float) -> list[Item]:
    assert mount.edges is not None
    (front, back), (left, right) = mount.edges
    items: list[Item] = []
    for placed in rack.placed:
        if not placed.id.startswith(f"mount.{mount.name}."):
            continue
        if isinstance(placed.part, CutPlate):
            items.append(Stroke(seen_from(from_above, seen(placed)), "edge", closed=True, fill="light"))
        elif isinstance(placed.part, BentTube) and placed.word in STUBS:
            foot = min((placed.frame.origin, _far(placed)), key=lambda p: p[2])
            items.append(Circle(*from_above(*foot), placed.part.section.od / 2, "thin"))
    items += circles(mount.holes, from_above)
    items += _labels(mount, scale)
    corner = 12.0
    aft = [(h.at[0], h.at[1]) for h in mount.holes] + [(front, left + corner), (back, left + corner)]
    aft.append((mount.at[0], left))
    items += ordinates(aft, lambda v, s: (s, -v), left - 4.0 / scale, unit, scale, upright=False)
    over = [(h.at[1], -h.at[0]) for h in mount.holes] + [(left, corner - back), (right, corner - back)]
    over.append((mount.at[1], -back))
    items += ordinates(over, lambda v, s: (v, s), -back - 4.0 / scale, unit, scale, upright=True)
    x, y = from_above(front, (left + right) / 2, 0.0)
    items.append(Words(x, y, f"{mount.letter}  {mount.name.replace('_', ' ')}", 3.0, shift=(0.0, 4.5), bold=True))
    return items


def _labels(mount: Mount, scale: float) -> list[Item]:
    """Return the labels of a plate's holes, each beside its hole toward the plate's middle where that is free."""
    holes = [tuple(v * scale for v in from_above(*h.at)) for h in mount.holes]
    middle = tuple(v * scale for v in from_above(*mount.at))
    taken = [(x, y, (h.drill or 6.0) * scale / 2, (h.drill or 6.0) * scale / 2)
             for (x, y), h in zip(holes, mount.holes, strict=True)]  # fmt: skip
    out: list[Item] = []
    for (x, y), hole in zip(holes, mount.holes, strict=True):
        down, aside = math.copysign(OVER, middle[1] - y), math.copysign(BESIDE, middle[0] - x)
        ways = ((0.0, down), (aside, 0.0), (aside, down), (-aside, 0.0), (0.0, -down))
        best = next((w for w in ways if _free((x + w[0], y + w[1], *LABEL), taken)), ways[0])
        taken.append((x + best[0], y + best[1], *LABEL))
        out.append(Words(*from_above(*hole.at), hole.label, shift=best, bold=True))
    return out


def _free(box: tuple[float, float, float, float], taken: Iterable[tuple[float, float, float, float]]) -> bool:
    """Return whether a box, its middle and half its sides, meets none of others."""
    return all(abs(box[0] - x) >= box[2] + w or abs(box[1] - y) >= box[3] + h for x, y, w, h in taken)


def _far(placed: Placed) -> Vec:
    tube = placed.part
    assert isinstance(tube, BentTube)
    return placed.frame.point(spine.end_frame(tube.spine).origin)
