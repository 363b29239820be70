"""A rear corner as the person who fits the rack sees it: from behind, and from beside it."""

from __future__ import annotations

import math

import numpy as np

from rackgen.geom.fold import after_fold, legs_and_arcs
from rackgen.geom.frame import Array, Frame
from rackgen.mesh.sweep import along
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.rack import Placed, Rack
from rackgen.parts.resolve import end_frame
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Fill, Item, Point, Stroke, Style, Words
from rackgen.sheets.installation import Hole, Mount, flats, leg_over
from rackgen.sheets.installation_drawing import WIDE, See, layout_scale, ordinates, seen_from
from rackgen.sheets.words import fine
from rackgen.spec.vehicle import RearMount, Vehicle
from rackgen.units import Unit

BETWEEN, HIGH = 24.0, 116.0
AROUND = (66.0, 34.0)
"""Between the two views; room for them up; what texts and dimensions take across and up; mm on paper."""

PAST = 14.0
"""How far thin lines go past what they belong to, mm."""

SMALL_DROP = 5.0
"""A roof edge less than this above the body's flat is not measured to, mm."""

TURN = 6.0
"""Degrees of a fold between two drawn points."""


def corner_drawing(mount: Mount, rack: Rack, vehicle: Vehicle, unit: Unit) -> Drawing:
    """Return a rear corner from behind, and from beside it on its outer side.

    Raises:
        ValueError: the mount is not a rear corner.
    """
    place = next((r for r in vehicle.rear if r.name == mount.name), None)
    if place is None or mount.rear is None:
        raise ValueError(f"{mount.name} is not a rear corner")
    members = [p for p in rack.placed if p.id.startswith(f"mount.{mount.name}.")]
    leg = leg_over(rack, mount)

    def views(scale: float) -> tuple[Drawing, Drawing]:
        return (
            Drawing(tuple(_behind(mount, place, members, leg, vehicle, unit, scale))),
            Drawing(tuple(_beside(mount, members, leg, unit, scale))),
        )

    (low, foot), (high, head) = views(1.0)[0].box
    (first, _), (last, _) = views(1.0)[1].box
    scale = layout_scale(high - low + last - first, head - foot, AROUND, (WIDE, HIGH))
    behind, beside = views(scale)
    (low, _), (high, _) = behind.box
    (first, _), (last, _) = beside.box
    shift = low - BETWEEN / scale - last if mount.at[1] < 0 else high + BETWEEN / scale - first
    return Drawing((*behind.items, *beside.moved(shift, 0.0).items), scale)


def _behind(
    mount: Mount,
    place: RearMount,
    members: list[Placed],
    leg: tuple[Placed, Array],
    vehicle: Vehicle,
    unit: Unit,
    scale: float,
) -> list[Item]:
    assert mount.rear is not None
    rear, side, top = mount.rear, math.copysign(1.0, mount.at[1]), mount.at[2]
    low = top - rear.strap_end
    inner, body = side * (rear.shut_line - PAST), side * (place.corner + place.corner_radius)
    items: list[Item] = [
        *_roof(vehicle, place, side, unit),
        Stroke(((side * rear.shut_line, top), (side * rear.shut_line, low - PAST)), "edge"),
        Stroke(((body, top), (body, low - PAST)), "edge"),
        Stroke(((side * place.corner, top), (side * place.corner, low - PAST)), "centre"),
        Stroke(((inner, top), (body, top)), "centre"),
    ]
    wrap_top, wrap_low = (top - d for d in rear.wrap_edges)
    a, b = (side * y for y in rear.strap)
    end = side * rear.wrap
    pieces: tuple[tuple[float, float, Style], ...] = ((end, a, "edge"), (a, b, "hidden"), (b, body, "edge"))
    for x0, x1, style in pieces:
        items += [Stroke(((x0, z), (x1, z)), style) for z in (wrap_top, wrap_low)]
    items.append(Stroke(((end, wrap_top), (end, wrap_low)), "edge"))
    for placed in members:
        if placed.word == "packer":
            items += [Stroke(seen_from(_from_behind, f), "hidden", closed=True) for f in flats(placed)]
        elif placed.word == "rear strap":
            items += [Stroke(_hull(seen_from(_from_behind, _thick(placed))), "edge", closed=True, fill="light")]
    tube, at = leg
    assert isinstance(tube.part, BentTube)
    items.append(Circle(float(at[1]), float(at[2]), tube.part.fitted.od / 2, "thin"))
    items += _labelled([h for h in mount.holes if h.face == "rear"], _from_behind, (side * 6.0, 0.0))
    downs = [(top - h.at[2], h.at[1]) for h in mount.holes if h.face == "rear"]
    downs += [(0.0, side * rear.shut_line), (rear.strap_end, a)]
    items += ordinates(downs, lambda v, s: (s, top - v), side * (rear.shut_line - PAST), unit, scale, upright=False)
    base, begin = side * rear.shut_line, low - PAST
    for k, y in enumerate(sorted({round(v, 3) for v in (rear.wrap, rear.strap[0], abs(mount.at[1]))})):
        items.append(Dimension((base, begin), (side * y, begin), fine(y - rear.shut_line, unit), -side * (7.0 + 7 * k)))
    items.append(Words(base, begin, "shut line", align="right" if side > 0 else "left", shift=(-side * 1.5, -4.0)))
    title = f"{mount.letter}  {mount.name.replace('_', ' ')}, from behind"
    items.append(Words((inner + body) / 2, _head(items), title, 2.6, shift=(0.0, 5.0), bold=True))
    return items


def _head(items: list[Item]) -> float:
    """Return how high a view reaches."""
    return Drawing(tuple(items)).box[1][1]


def _roof(vehicle: Vehicle, place: RearMount, side: float, unit: Unit) -> list[Item]:
    """Return the roof's section over the corner, and how far below its edge the body's flat begins."""
    last = vehicle.roof.sections[-1]
    edge = last.right if side > 0 else last.left
    ys = side * np.linspace(min(place.corner - place.to_shut_line, edge) - PAST, edge, 12)
    zs = vehicle.roof.height(np.full(12, last.x), ys)
    out: list[Item] = [Stroke(tuple((float(y), float(z)) for y, z in zip(ys, zs, strict=True)), "edge")]
    rim, top = float(zs[-1]), place.at[2]
    body = side * (place.corner + place.corner_radius)
    if rim - top > SMALL_DROP:
        out.append(Stroke(((side * edge, rim), (body, rim)), "thin"))
        out.append(Dimension((body, rim), (body, top), fine(rim - top, unit), side * 7.0))
    return out


def _from_behind(_: float, y: float, z: float) -> Point:
    return y, z


def _beside(mount: Mount, members: list[Placed], leg: tuple[Placed, Array], unit: Unit, scale: float) -> list[Item]:
    assert mount.rear is not None
    side, (x, _, top) = math.copysign(1.0, mount.at[1]), mount.at

    def see(x: float, _: float, z: float) -> Point:
        return -side * x, z

    items: list[Item] = []
    tube, at = leg
    assert isinstance(tube.part, BentTube)
    radius, way = tube.part.fitted.od / 2, np.asarray(along(tube.part.spine, [0.0]).axes[0][:, 0])
    way = np.asarray(tube.frame.direction(way))
    if float(np.linalg.norm(np.asarray(tube.frame.origin) - at)) > 1.0:
        way = np.asarray(end_frame(tube, "B")[0].x)
    forward = way if way[0] < 0 else -way
    reach = (float(at[0]) - (x - mount.rear.forward - 30.0)) / max(0.2, -float(forward[0]))
    off = np.array([-forward[2], 0.0, forward[0]]) * radius
    corners = np.array([at + off, at + forward * reach + off, at + forward * reach - off, at - off])
    items.append(Stroke(seen_from(see, corners), "thin", closed=True))
    for placed in members:
        if placed.word in ("rear strap", "strap brace"):
            fill: Fill = "steel" if placed.word == "rear strap" else "light"
            items.append(Stroke(seen_from(see, _profile(placed)), "edge", closed=True, fill=fill))
    for placed in members:
        if placed.word == "corner wrap" and isinstance(placed.part, FoldedBar):
            flat = max(flats(placed), key=lambda f: float(np.abs(f[:, 1]).mean()))
            low_x, high_x = float(flat[:, 0].min()), x + placed.part.section.thickness + mount.bedding
            zs = (float(flat[:, 2].min()), float(flat[:, 2].max()))
            rim = (see(low_x, 0, zs[0]), see(high_x, 0, zs[0]), see(high_x, 0, zs[1]), see(low_x, 0, zs[1]))
            items.append(Stroke(rim, "edge", closed=True, fill="light"))
    low = top - mount.rear.strap_end
    lean = [h.at for h in mount.holes if h.face == "rear"]
    foot = max(lean, key=lambda p: -p[2], default=mount.at)
    slope = (foot[0] - x) / (foot[2] - top) if foot[2] < top - 1.0 else 0.0
    items.append(Stroke((see(x, 0, top), see(x + slope * (low - PAST - top), 0, low - PAST)), "edge"))
    holes = [h for h in mount.holes if h.face == "side"]
    items += _labelled(holes, see, (-side * 6.0, 0.0))
    end = x - mount.rear.forward
    items.append(Stroke((see(end - PAST, 0, top), see(x, 0, top)), "centre"))
    downs = [(top - h.at[2], -side * h.at[0]) for h in holes] + [(0.0, -side * end)]
    items += ordinates(downs, lambda v, s: (s, top - v), -side * (end - PAST), unit, scale, upright=False)
    begin = low - PAST
    ahead = sorted({round(x - h.at[0], 1) for h in holes} | {round(mount.rear.forward, 1)})
    shown: list[float] = []
    for value in ahead:
        if not shown or value - shown[-1] > 1.5:
            dimension = Dimension(
                see(x, 0, begin), see(x - value, 0, begin), fine(value, unit), -side * (7.0 + 7 * len(shown))
            )
            items.append(dimension)
            shown.append(value)
    middle = see(x - mount.rear.forward / 2, 0, 0)[0]
    items.append(Words(middle, _head(items), f"from the {mount.side}", 2.6, shift=(0.0, 5.0), bold=True))
    return items


def _labelled(holes: list[Hole], see: See, shift: tuple[float, float]) -> list[Item]:
    out: list[Item] = []
    for hole in holes:
        x, y = see(*hole.at)
        out.append(Circle(x, y, (hole.drill or 6.0) / 2))
        out.append(Words(x, y, hole.label, shift=shift, bold=True))
    return out


def _thick(placed: Placed) -> Array:
    """Return the corners of a bar's flats on both faces, vehicle frame, mm."""
    bar = placed.part
    assert isinstance(bar, FoldedBar)
    half, wide = bar.section.thickness / 2, bar.section.width / 2
    rows = [
        placed.frame.then(frame).points([(x, y, z) for x in (0.0, long) for y in (-wide, wide) for z in (-half, half)])
        for frame, long, fold in legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width)
        if fold is None
    ]
    return np.concatenate(rows)


def _profile(placed: Placed) -> Array:
    """Return the outline of a bar seen on its edge: along its upper face and back along its lower, vehicle frame."""
    bar = placed.part
    assert isinstance(bar, FoldedBar)
    thick = bar.section.thickness
    frames: list[Frame] = []
    for frame, long, fold in legs_and_arcs(bar.flats, bar.folds, thick, bar.section.width):
        if fold is None:
            frames += [frame, frame.moved((long, 0.0, 0.0))]
        else:
            steps = max(2, math.ceil(abs(fold.angle) / TURN))
            frames += [
                after_fold(frame, fold, thick, bar.section.width, abs(fold.angle) * k / steps) for k in range(1, steps)
            ]
    bevels = [0.0] * len(frames)
    bevels[0] = -math.tan(math.radians(bar.end_a.bevel)) * thick / 2
    bevels[-1] = math.tan(math.radians(bar.end_b.bevel)) * thick / 2
    upper = [f.point((b, 0.0, thick / 2)) for f, b in zip(frames, bevels, strict=True)]
    lower = [f.point((-b, 0.0, -thick / 2)) for f, b in zip(frames, bevels, strict=True)]
    return placed.frame.points([*upper, *reversed(lower)])


def _hull(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the box of points: a strap seen from behind is one upright strip."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))
