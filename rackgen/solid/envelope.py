"""The box that a part cannot stand out of, from its description alone."""

from __future__ import annotations

import math
from typing import assert_never

import numpy as np

from rackgen.geom import fold, outline, spine
from rackgen.geom.frame import Array, Frame
from rackgen.parts.kinds import (
    BentTube,
    BoltShape,
    Bought,
    CapShape,
    CutPlate,
    FoldedBar,
    PadShape,
    Part,
    RivetShape,
    UBoltShape,
)
from rackgen.solid import plate


def envelope(part: Part) -> tuple[Array, Array]:
    """Return the least and the largest corner, mm; ends count as uncut, and a broken plate as whole in every slope."""
    match part:
        case BentTube():
            return _tube(part)
        case FoldedBar():
            return _around(_bar(part))
        case CutPlate():
            return _around(_plate(part))
        case Bought():
            return _bought(part)
        case _:
            assert_never(part)


def _around(points: Array) -> tuple[Array, Array]:
    return points.min(axis=0), points.max(axis=0)


def _stations(start: float, length: float, step: float) -> Array:
    return start + np.linspace(0.0, length, max(2, math.ceil(length / step) + 1))


def _tube(part: BentTube) -> tuple[Array, Array]:
    frames: list[Frame] = []
    for piece in spine.pieces(part.spine):
        step = piece.length if piece.bend is None else math.radians(1.0) * piece.bend.clr
        frames += [spine.frame_at(part.spine, float(s)) for s in _stations(piece.start, piece.length, step)]
    centres = np.array([f.origin for f in frames])
    # A disc of radius r across x reaches r sqrt(1 - x²) along each axis.
    reach = part.fitted.od / 2 * np.sqrt(np.maximum(1 - np.array([f.x for f in frames]) ** 2, 0.0))
    return (centres - reach).min(axis=0), (centres + reach).max(axis=0)


def _bar(part: FoldedBar) -> Array:
    width, thickness = part.section.width, part.section.thickness
    corners = np.array([(0.0, y, z) for y in (-width / 2, width / 2) for z in (-thickness / 2, thickness / 2)])
    pieces = fold.legs_and_arcs(part.flats, part.folds, thickness, part.section.width)
    last, reach, _ = pieces[-1]
    points: list[Array] = []
    for frame, length, bend in pieces:
        if bend is None:
            points += [frame.points(corners), frame.moved((length, 0.0, 0.0)).points(corners)]
        elif (bent_on := fold.cone_of(bend, thickness, width)) is not None:
            y, off = corners[:, 1], corners[:, 2]
            middle = frame.then(bent_on.middle())
            for share in np.linspace(-1.0, 1.0, 2 + int(abs(bend.angle))):
                x = (bent_on.apex + y) * np.tan(bent_on.spread * share)
                points.append(middle.points(bent_on.points(x, y, off)))
        else:
            for turn in np.linspace(0.0, abs(bend.angle), 2 + int(abs(bend.angle))):
                points.append(fold.after_fold(frame, bend, thickness, width, float(turn)).points(corners))
    for end, frame, outward in ((part.end_a, Frame(), -1.0), (part.end_b, last.moved((reach, 0.0, 0.0)), 1.0)):
        slope = abs(math.tan(math.radians(end.bevel))) * thickness + abs(math.tan(math.radians(end.skew))) * width
        points.append(frame.moved((outward * slope / 2, 0.0, 0.0)).points(corners))
    return np.concatenate(points)


def _slab(contour: outline.Contour, thickness: float) -> Array:
    flat = outline.polygon(contour, 1e-3)
    return np.concatenate([np.column_stack([flat, np.full(len(flat), z)]) for z in (0.0, thickness)])


def _plate(part: CutPlate) -> Array:
    flat = _slab(part.outline, part.thickness)
    if not part.breaks:
        return flat
    return np.concatenate([lean.points(flat) for _, lean in plate.pieces(part)[1]])


def _bought(part: Bought) -> tuple[Array, Array]:
    shape = part.shape
    match shape:
        case RivetShape():
            r = max(shape.diameter, shape.head, shape.blind) / 2
            return np.array([-r, -r, -shape.grip - shape.blind_length]), np.array([r, r, shape.head_height])
        case BoltShape():
            washer = shape.washer if shape.washer_thickness else shape.diameter
            nut = shape.nut_across / (math.sqrt(3) if shape.end == "nut" else 2)
            r = max(washer / 2, shape.head_across / math.sqrt(3), nut)
            top = shape.washer_thickness + shape.head_height
            return np.array([-r, -r, min(shape.low, shape.tip)]), np.array([r, r, top])
        case CapShape():
            r = max(shape.od, shape.plug) / 2
            return np.array([-r, -r, -shape.depth]), np.array([r, r, shape.head_height])
        case PadShape():
            return _around(_slab(shape.outline, shape.thickness))
        case UBoltShape():
            wide = max(shape.rod, shape.washer, shape.nut_across * 2 / math.sqrt(3)) / 2
            side = (shape.inside_width + shape.rod) / 2 + wide
            top = max(shape.leg - shape.drop, shape.seat + shape.washer_thickness + shape.nut_height)
            return np.array([-wide, -side, -shape.drop - shape.rod]), np.array([wide, side, top])
        case _:
            assert_never(shape)
