"""Bought parts as solids: U-bolts, rivets, caps and pads as they sit in the rack."""

from __future__ import annotations

import math
from typing import assert_never

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import outline
from rackgen.geom.frame import Frame
from rackgen.geom.outline import Contour, Vertex
from rackgen.geom.spine import Bend, Spine, pieces
from rackgen.parts.kinds import BoltShape, Bought, CapShape, PadShape, RivetShape, UBoltShape
from rackgen.solid import kernel
from rackgen.solid.kernel import Circle, Solid
from rackgen.solid.plate import slab


def bought(part: Bought) -> Solid:
    """Return the part's envelope as one solid; a U-bolt is fused with its washers and nuts.

    A rod too short to reach its washers still comes out, in three pieces, for the checks to tell of it.
    """
    shape = part.shape
    match shape:
        case UBoltShape():
            return _u_bolt(shape)
        case RivetShape():
            low = -shape.grip - shape.blind_length
            steps = ((low, shape.blind), (-shape.grip, shape.diameter), (0.0, shape.head))
            return kernel.revolved(_stepped(*steps, top=shape.head_height))
        case BoltShape():
            return _bolt(shape)
        case CapShape():
            return kernel.revolved(_stepped((-shape.depth, shape.plug), (0.0, shape.od), top=shape.head_height))
        case PadShape():
            return slab(shape.outline, shape.holes, shape.thickness)
        case _:
            assert_never(shape)


def _stepped(*steps: tuple[float, float], top: float) -> Contour:
    """Return the half section of a stepped pin: each step begins at a height and has a diameter from there up."""
    corners: list[Vertex] = [Vertex(0.0, steps[0][0])]
    for (z, diameter), (end, _) in zip(steps, (*steps[1:], (top, 0.0)), strict=True):
        if end > z:
            corners += [Vertex(diameter / 2, z), Vertex(diameter / 2, end)]
    return outline.cleaned((*corners, Vertex(0.0, top)))


def _bolt(shape: BoltShape) -> Solid:
    over = shape.washer_thickness
    stem = shape.grip + (over if shape.end == "nut" else 0.0)
    bodies = [_prismatic(_regular(6, shape.head_across), over, shape.head_height)]
    if over > 0:
        bodies.append(_prismatic(Circle(0.0, 0.0, shape.washer), 0.0, over))
    bodies.append(_prismatic(Circle(0.0, 0.0, shape.diameter), shape.tip, -shape.tip))
    if shape.end == "nut" and over > 0:
        bodies.append(_prismatic(Circle(0.0, 0.0, shape.washer), -stem, over))
    match shape.end:
        case "nut":
            nut = _regular(6, shape.nut_across)
        case "slot nut":
            nut = _regular(4, shape.nut_across)
        case "rivet nut":
            nut = Circle(0.0, 0.0, shape.nut_across)
        case "thread":
            nut = None
    if nut is not None:
        bodies.append(_prismatic(nut, -stem - shape.nut_height, shape.nut_height))
    return kernel.fuse(bodies[0], bodies[1:])


def _prismatic(border: Contour | Circle, base: float, height: float) -> Solid:
    return kernel.prism(Frame((0.0, 0.0, base)), border, (), (0.0, 0.0, height))


def _regular(sides: int, across: float) -> Contour:
    turns = np.radians(np.arange(sides) * 360.0 / sides + 180.0 / sides)
    corner = across / 2 / math.cos(math.pi / sides)
    return tuple(Vertex(float(corner * math.cos(a)), float(corner * math.sin(a))) for a in turns)


def _u_bolt(shape: UBoltShape) -> Solid:
    straight = shape.leg - shape.bow
    if straight <= 0 or abs(shape.bow - shape.inside_width / 2) > 1e-6:
        raise SolidError("a U-bolt has a half-round bow as wide as its legs stand apart, and legs beyond it")
    # Down one leg, half round toward +Y in two quarters, up the other leg.
    arm = shape.bow + shape.rod / 2
    rod = Spine((straight, 0.0, straight), (Bend(90.0, arm), Bend(90.0, arm)))
    side = (shape.inside_width + shape.rod) / 2
    top = Frame.of((0.0, -side, shape.leg - shape.drop), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))
    bodies = [kernel.moved(kernel.pipe(pieces(rod), shape.rod / 2, 0.0), top)]
    bore = Circle(0.0, 0.0, shape.rod)
    corner = shape.nut_across / math.sqrt(3)
    nut = tuple(Vertex(corner * math.cos(a), corner * math.sin(a)) for a in np.radians(np.arange(0.0, 360.0, 60.0)))
    for y in (-side, side):
        seat = Frame((0.0, y, shape.seat))
        washer = Circle(0.0, 0.0, shape.washer)
        bodies.append(kernel.prism(seat, washer, (bore,), (0.0, 0.0, shape.washer_thickness)))
        on_washer = seat.moved((0.0, 0.0, shape.washer_thickness))
        bodies.append(kernel.prism(on_washer, nut, (bore,), (0.0, 0.0, shape.nut_height)))
    return kernel.fuse(bodies[0], bodies[1:])
