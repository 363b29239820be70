"""One description for equal parts: snapped numbers, one end order, one roll. The key of cut list and caches."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Any, assert_never, cast

from rackgen.geom import cope, fold, outline, spine
from rackgen.geom.frame import Frame, clock_direction, clock_of, turn
from rackgen.geom.outline import Contour, Vertex
from rackgen.parts.kinds import BarEnd, BarHole, BentTube, Bought, Break, CutPlate, FoldedBar, Part, PlateHole, TubeHole
from rackgen.spec.stock import Panel


def snap(value: float) -> float:
    """Return the value on the grid of 0.001 mm or degrees; noise below 1e-7 never decides between two grid values."""
    return round(round(value, 7), 3) + 0.0


@lru_cache(maxsize=4096)
def canonical(part: Part) -> tuple[Part, Frame]:
    """Return the one description of all equal parts, and its frame in the given part's frame.

    Descriptions of one part from its other end, rolled, turned over or with other numbering become equal. Idempotent.
    Mirror images stay apart unless they are equal by turning.
    """
    variants: Iterator[tuple[Part, Frame]]
    match part:
        case BentTube():
            variants = _tubes(part)
        case FoldedBar():
            variants = _bars(part)
        case CutPlate():
            variants = _plates(part)
        case Bought():
            return part, Frame()
        case _:
            assert_never(part)
    return min(variants, key=lambda v: _key(v[0]))


def mirror(part: Part) -> Part:
    """Return the part's mirror image in its own XZ plane: left from right."""
    match part:
        case BentTube():
            return dataclasses.replace(
                part,
                spine=spine.mirror(part.spine),
                end_a=tuple(cope.mirrored(c) for c in part.end_a),
                end_b=tuple(cope.mirrored(c) for c in part.end_b),
                holes=tuple(dataclasses.replace(h, clock=-h.clock % 360.0) for h in part.holes),
            )
        case FoldedBar():
            return dataclasses.replace(
                part,
                end_a=dataclasses.replace(part.end_a, skew=-part.end_a.skew),
                end_b=dataclasses.replace(part.end_b, skew=-part.end_b.skew),
                folds=tuple(f.swapped() for f in part.folds),
                holes=tuple(dataclasses.replace(h, across=-h.across) for h in part.holes),
            )
        case CutPlate():
            return dataclasses.replace(
                part,
                outline=outline.flipped(part.outline),
                holes=tuple(dataclasses.replace(h, y=-h.y) for h in part.holes),
                openings=tuple(outline.flipped(o) for o in part.openings),
                breaks=tuple(Break((b.point[0], -b.point[1]), -b.direction, b.angle) for b in part.breaks),
            )
        case Bought():
            return part
        case _:
            assert_never(part)


def handed(part: Part) -> bool:
    """Return whether the part differs from its mirror image."""
    return canonical(mirror(part))[0] != canonical(part)[0]


def _key(value: Any) -> tuple[Any, ...]:
    """Return what orders descriptions of one part among themselves: its numbers, in the order of its fields."""
    match value:
        case BentTube():
            bends = tuple((b.angle, b.clr, b.turn) for b in value.spine.bends)
            cuts = tuple(tuple(_key(c) for c in end) for end in (value.end_a, value.end_b))
            return (value.spine.straights, bends, cuts, tuple(_key(h) for h in value.holes))
        case FoldedBar():
            folds = tuple((f.angle, f.inside_radius, f.far_radius or 0.0) for f in value.folds)
            ends = tuple((e.bevel, e.skew, e.radius) for e in (value.end_a, value.end_b))
            return (value.flats, folds, ends, tuple(_key(h) for h in value.holes))
        case CutPlate():
            contours = tuple(_key(c) for c in (value.outline, *value.openings))
            breaks = tuple(_key(b) for b in value.breaks)
            return (contours, tuple(_key(h) for h in value.holes), breaks)
        case cope.Cope():
            return (1, value.header_od, value.at, value.angle, value.offset, value.clock, value.gap)
        case cope.Plane():
            return (0, value.depth, value.tilt, value.clock)
        case TubeHole():
            return (value.at, value.clock, value.diameter, value.purpose)
        case BarHole():
            return (value.flat, value.along, value.across, value.diameter)
        case PlateHole():
            return (value.x, value.y, value.diameter)
        case Break():
            return (value.point, value.direction, value.angle)
        case _:
            return tuple((v.x, v.y, v.bulge) for v in cast("Contour", value))


def _snapped_cut(cut: cope.EndCut) -> cope.EndCut:
    clock = snap(cut.clock) % 360.0
    if isinstance(cut, cope.Plane):
        return cope.normal(cope.Plane(snap(cut.depth), snap(cut.tilt), clock))
    return cope.normal(
        cope.Cope(snap(cut.header_od), snap(cut.at), snap(cut.angle), snap(cut.offset), clock, snap(cut.gap))
    )


def _snapped_tube(part: BentTube) -> BentTube:
    bends = tuple(spine.Bend(snap(b.angle), snap(b.clr), snap(b.turn)) for b in part.spine.bends)
    holes = tuple(TubeHole(snap(h.at), snap(h.clock) % 360.0, snap(h.diameter), h.purpose) for h in part.holes)
    return dataclasses.replace(
        part,
        spine=spine.Spine(tuple(snap(s) for s in part.spine.straights), bends),
        end_a=tuple(_snapped_cut(c) for c in part.end_a),
        end_b=tuple(_snapped_cut(c) for c in part.end_b),
        holes=tuple(sorted(holes, key=_key)),
    )


def _rolled(part: BentTube, degrees: float) -> tuple[BentTube, Frame]:
    """Return the tube described from a frame rolled about X, so that old clock `degrees` becomes clock 0."""
    line = part.spine
    if line.bends:
        first = line.bends[0]
        swing = (first.turn - degrees + 180.0) % 360.0 - 180.0
        line = spine.Spine(line.straights, (dataclasses.replace(first, turn=swing), *line.bends[1:]))
    return dataclasses.replace(
        part,
        spine=line,
        end_a=tuple(cope.turned(c, -degrees) for c in part.end_a),
        end_b=tuple(cope.turned(c, -degrees) for c in part.end_b),
        holes=tuple(dataclasses.replace(h, clock=(h.clock - degrees) % 360.0) for h in part.holes),
    ), turn((1, 0, 0), degrees)


def _reversed(part: BentTube) -> tuple[BentTube, Frame]:
    """Return the tube described from its other end."""
    back, frame = spine.reverse(part.spine)
    total = spine.length(part.spine)

    def clock_there(at: float, clock: float) -> float:
        outward = spine.frame_at(part.spine, at).direction(clock_direction(clock))
        local = frame.to_local_direction(outward)
        return clock_of(spine.frame_at(back, total - at).to_local_direction(local))

    zero_a, zero_b = clock_there(0.0, 0.0), clock_there(total, 0.0)
    return dataclasses.replace(
        part,
        spine=back,
        end_a=tuple(cope.turned(cope.mirrored(c), zero_b) for c in part.end_b),
        end_b=tuple(cope.turned(cope.mirrored(c), zero_a) for c in part.end_a),
        holes=tuple(dataclasses.replace(h, at=total - h.at, clock=clock_there(h.at, h.clock)) for h in part.holes),
    ), frame


def _tubes(part: BentTube) -> Iterator[tuple[BentTube, Frame]]:
    other, turned_round = _reversed(part)
    for one, frame in ((part, Frame()), (other, turned_round)):
        if one.spine.bends:
            rolls = [one.spine.bends[0].turn]
        elif one.slit is not None:
            rolls = [0.0]
        else:
            features = [c.clock for c in (*one.end_a, *one.end_b)] + [h.clock for h in one.holes]
            rolls = sorted({snap(c) for c in features} | {snap(c + 180.0) for c in features}) or [0.0]
        for roll in rolls:
            rolled, about = _rolled(one, roll)
            yield _snapped_tube(rolled), frame.then(about)


def _snapped_fold(f: fold.Fold) -> fold.Fold:
    near, far = snap(f.inside_radius), None if f.far_radius is None else snap(f.far_radius)
    return fold.Fold(snap(f.angle), near, None if far == near else far)


def _snapped_bar(part: FoldedBar) -> FoldedBar:
    def end(e: BarEnd) -> BarEnd:
        return BarEnd(snap(e.bevel), snap(e.skew), snap(e.radius))

    holes = tuple(BarHole(h.flat, snap(h.along), snap(h.across), snap(h.diameter)) for h in part.holes)
    return FoldedBar(
        part.stock,
        tuple(snap(f) for f in part.flats),
        tuple(_snapped_fold(f) for f in part.folds),
        end(part.end_a),
        end(part.end_b),
        tuple(sorted(holes, key=_key)),
    )


def _bar_over(part: FoldedBar) -> FoldedBar:
    """Return the bar described lying on its other face (turned about its own X)."""
    return FoldedBar(
        part.stock,
        part.flats,
        tuple(dataclasses.replace(f.swapped(), angle=-f.angle) for f in part.folds),
        BarEnd(-part.end_a.bevel, -part.end_a.skew, part.end_a.radius),
        BarEnd(-part.end_b.bevel, -part.end_b.skew, part.end_b.radius),
        tuple(dataclasses.replace(h, across=-h.across) for h in part.holes),
    )


def _bar_back(part: FoldedBar) -> FoldedBar:
    """Return the bar described from its other end, same face up."""
    last = len(part.flats) - 1
    return FoldedBar(
        part.stock,
        part.flats[::-1],
        tuple(f.swapped() for f in part.folds[::-1]),
        dataclasses.replace(part.end_b, skew=-part.end_b.skew),
        dataclasses.replace(part.end_a, skew=-part.end_a.skew),
        tuple(BarHole(last - h.flat, part.flats[h.flat] - h.along, -h.across, h.diameter) for h in part.holes),
    )


def _bars(part: FoldedBar) -> Iterator[tuple[FoldedBar, Frame]]:
    over = turn((1, 0, 0), 180.0)
    last, length, _ = fold.legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)[-1]
    back = last.moved((length, 0, 0)).then(turn((0, 0, 1), 180.0))
    for one, frame in ((part, Frame()), (_bar_back(part), back)):
        yield _snapped_bar(one), frame
        yield _snapped_bar(_bar_over(one)), frame.then(over)


def _start(contour: Contour) -> Contour:
    """Return the snapped contour from its least vertex on."""
    snapped = tuple(Vertex(snap(v.x), snap(v.y), round(v.bulge, 9) + 0.0) for v in contour)
    least = min((v.x, v.y) for v in snapped)
    starts = [i for i, v in enumerate(snapped) if (v.x, v.y) == least]
    first = min(starts, key=lambda i: _key(snapped[i:] + snapped[:i]))
    return snapped[first:] + snapped[:first]


def _snapped_plate(part: CutPlate) -> CutPlate:
    holes = (PlateHole(snap(h.x), snap(h.y), snap(h.diameter)) for h in part.holes)
    breaks = (
        Break((snap(b.point[0]), snap(b.point[1])), snap(b.direction) % 180.0, snap(b.angle)) for b in part.breaks
    )
    return CutPlate(
        part.stock,
        _start(part.outline),
        tuple(sorted(holes, key=_key)),
        tuple(sorted((_start(o) for o in part.openings), key=_key)),
        tuple(sorted(breaks, key=_key)),
    )


def _plate_moved(part: CutPlate, contour: Callable[[Contour], Contour], flip: bool, degrees: float) -> CutPlate:
    """Return the plate with a rigid change of its drawing: the contours' change said again for points and lines."""

    def point(x: float, y: float) -> tuple[float, float]:
        moved = contour((Vertex(x, y),))[0]
        return moved.x, moved.y

    sign = -1.0 if flip else 1.0
    return CutPlate(
        part.stock,
        contour(part.outline),
        tuple(PlateHole(*point(h.x, h.y), h.diameter) for h in part.holes),
        tuple(contour(o) for o in part.openings),
        tuple(Break(point(*b.point), sign * b.direction + degrees, sign * b.angle) for b in part.breaks),
    )


def _plates(part: CutPlate) -> Iterator[tuple[CutPlate, Frame]]:
    cx, cy = (snap(c) for c in outline.centroid(part.outline))
    middle = _plate_moved(part, lambda c: outline.moved(c, -cx, -cy), False, 0.0)
    to_middle = Frame((cx, cy, 0.0))
    t = part.thickness
    over = Frame((0.0, 0.0, t)).then(turn((1, 0, 0), 180.0))
    # The long way of expanded metal and rows of holes lie along X, so a panel may only be turned end for end.
    turns = (0.0, 180.0) if isinstance(part.stock.section, Panel) else (0.0, 90.0, 180.0, 270.0)
    faces = [(middle, to_middle)]
    # Letters and pictures, of straight sides alone, have a face: turned over they would be cut back to front.
    if not any(all(v.bulge == 0.0 for v in o) for o in part.openings):
        faces.append((_plate_moved(middle, outline.flipped, True, 0.0), to_middle.then(over)))
    for one, frame in faces:
        for degrees in turns:
            yield (
                _snapped_plate(_plate_moved(one, lambda c, d=degrees: outline.turned(c, d), False, degrees)),
                frame.then(turn((0, 0, 1), -degrees)),
            )
