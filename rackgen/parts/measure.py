"""Volume, mass and centroid of a part by arithmetic: the first of the roads to every weight.

Volumes are those of the solid as fitted: plain cylinders for a rivet's head and body, plain hexagons for nuts, the
envelope for expanded metal and perforated sheet. Masses of those two come from their tables, everything else is volume
× density.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import assert_never

import numpy as np

from rackgen.geom import cope, fold, outline, spine
from rackgen.geom import section as ring
from rackgen.geom.cone import Cone
from rackgen.geom.frame import Array, Frame, Vec, clock_direction, vec
from rackgen.parts.kinds import (
    BarEnd,
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
from rackgen.spec.stock import DENSITY, Panel, Round

Lump = tuple[float, Array]
"""A volume in mm³, negative where metal is missing, and its centroid in the part's frame, mm."""


@lru_cache(maxsize=1024)
def lumps(part: Part) -> tuple[Lump, ...]:
    """Return the simple bodies that a part is made of and those missing from it."""
    match part:
        case BentTube():
            return tuple(_tube(part))
        case FoldedBar():
            return tuple(_bar(part))
        case CutPlate():
            return tuple(_plate(part))
        case Bought():
            return tuple(_bought(part))
        case _:
            assert_never(part)


def volume(part: Part) -> float:
    """Return the volume of the part's solid as fitted, mm³."""
    return float(sum(v for v, _ in lumps(part)))


def mass(part: Part) -> float:
    """Return the part's mass, kg."""
    if isinstance(part, Bought):
        return volume(part) * part.density * 1e-9
    if isinstance(part.stock.section, Panel):
        return volume(part) / part.stock.section.overall * part.stock.section.mass_per_area * 1e-6
    return volume(part) * DENSITY[part.stock.material] * 1e-9


def centroid(part: Part) -> Vec:
    """Return the centroid in the part's own frame, mm."""
    total = sum((v * c for v, c in lumps(part)), np.zeros(3))
    return vec(total / volume(part))


def saw_length(part: BentTube) -> float:
    """Return the developed length from sawn end to sawn end, mm: long point to long point."""
    return spine.length(part.spine)


def centre_length(part: BentTube) -> float:
    """Return the length between the axes landed on, mm; a sawn or plane end counts where the axis meets it."""
    return saw_length(part) + sum(_beyond(end) for end in (part.end_a, part.end_b))


def _beyond(end: cope.End) -> float:
    if not end:
        return 0.0
    return max(cut.at if isinstance(cut, cope.Cope) else -cut.depth for cut in end)


def _gauss(count: int) -> tuple[Array, Array]:
    """Return nodes and weights of Gauss-Legendre quadrature on [-1, 1], from the eigenvalues of its recurrence.

    Golub and Welsch, 1969. numpy's own brings half of its polynomials with it, a twentieth of a quick command.
    """
    k = np.arange(1, count)
    beside = k / np.sqrt(4.0 * k * k - 1.0)
    nodes, vectors = np.linalg.eigh(np.diag(beside, 1) + np.diag(beside, -1))
    return nodes, 2 * vectors[0] ** 2


@lru_cache(maxsize=64)
def _section_quadrature(section: Round) -> tuple[Array, Array, Array]:
    """Return radii, clocks and weights that integrate over the ring; shapes (8, 1), (1, n), (8, 1)."""
    nodes, weights = _gauss(8)
    inner, outer = section.inner / 2, section.od / 2
    rho = (outer + inner) / 2 + nodes * (outer - inner) / 2
    phi = np.arange(0.0, 360.0, 0.125)
    w = weights * (outer - inner) / 2 * rho * math.radians(0.125)
    return rho[:, None], phi[None, :], w[:, None]


@lru_cache(maxsize=256)
def _taken(section: Round, end: cope.End) -> tuple[float, float, Vec]:
    """Return what an end's cuts take, mm³, and its first moments: along the tube, and across it by the clock, mm⁴.

    Both ends of a bar are often cut alike, so it is worked out once for both.
    """
    rho, phi, w = _section_quadrature(section)
    h = cope.heights(end, rho, phi)
    hw = h * w
    across = ((rho * hw).sum(axis=0)[:, None] * clock_direction(phi[0])).sum(axis=0)
    return float(hw.sum()), float((h * hw).sum()) / 2, vec(across)


def _end_lump(part: BentTube, end: cope.End, frame: Frame, inward: float) -> Lump:
    if not end:
        return 0.0, np.zeros(3)
    removed, along, across = _taken(part.section, end)
    if removed <= 0:
        return 0.0, np.zeros(3)
    local = np.array([inward * along, across[1], across[2]]) / removed
    return -removed, frame.points(local)


def _hole_volume(section: Round, diameter: float) -> float:
    """Return the metal in a round hole square through one wall, mm³ (Gauss-Chebyshev over the hole's width)."""
    n, a = 64, diameter / 2
    t = np.arange(1, n + 1) * math.pi / (n + 1)
    v = a * np.cos(t)
    wall = np.sqrt((section.od / 2) ** 2 - v**2) - np.sqrt(np.maximum((section.inner / 2) ** 2 - v**2, 0.0))
    return float(a * a * (2 * wall * np.sin(t) ** 2).sum() * math.pi / (n + 1))


def _tube(part: BentTube) -> list[Lump]:
    section = part.section
    if part.slit is not None:
        arc = math.pi * (section.od - section.wall) - part.slit.strip
        middle = (part.slit.bore - section.wall) / 2
        swing = arc / middle
        length = spine.length(part.spine)
        # The gap is at clock 0, so the metal's centroid lies away from it.
        ro, ri = part.slit.bore / 2, part.slit.bore / 2 - section.wall
        off = -2 / 3 * (ro**3 - ri**3) / (ro**2 - ri**2) * math.sin(math.pi - swing / 2) / (swing / 2)
        return [(arc * section.wall * length, np.array([length / 2, 0.0, off]))]
    area, inertia = ring.area(section.od, section.wall), ring.second_moment(section.od, section.wall)
    out: list[Lump] = []
    for piece in spine.pieces(part.spine):
        if piece.bend is None:
            out.append((area * piece.length, piece.frame.points((piece.length / 2, 0.0, 0.0))))
            continue
        half = math.radians(piece.bend.angle) / 2
        reach = (piece.bend.clr + inertia / (area * piece.bend.clr)) * math.sin(half) / half
        toward = clock_direction(piece.bend.turn)
        middle = toward * (piece.bend.clr - reach * math.cos(half)) + np.array([reach * math.sin(half), 0.0, 0.0])
        out.append((area * piece.length, piece.frame.points(middle)))
    out.append(_end_lump(part, part.end_a, Frame(), 1.0))
    out.append(_end_lump(part, part.end_b, spine.end_frame(part.spine), -1.0))
    for hole in part.holes:
        at = spine.frame_at(part.spine, hole.at)
        middle = clock_direction(hole.clock) * (section.od - section.wall) / 2
        out.append((-_hole_volume(section, hole.diameter), at.points(middle)))
    return out


def _corner_area(end: BarEnd) -> float:
    total = 0.0
    for skew in (end.skew, -end.skew):
        corner = math.radians(90 - skew)
        total += end.radius**2 * (1 / math.tan(corner / 2) - (math.pi - corner) / 2)
    return total


def _bar(part: FoldedBar) -> list[Lump]:
    width, t = part.section.width, part.section.thickness
    out: list[Lump] = []
    flats: list[Frame] = []
    slants = [0.0, *(fold.slant(bend, t, width) for bend in part.folds), 0.0]
    for frame, length, bend in fold.legs_and_arcs(part.flats, part.folds, t, width):
        if bend is None:
            # Folds with two radii leave flats that are no rectangles: each limit leans by so much for each mm across.
            before, after = slants[len(flats)], -slants[len(flats) + 1]
            x = length / 2 + (after**2 - before**2) * width**2 / (24 * length)
            flats.append(frame)
            out.append((width * t * length, frame.points((x, (after - before) * width**2 / (12 * length), 0.0))))
            continue
        bent_on = fold.cone_of(bend, t, width)
        if bent_on is not None:
            out.append((width * t * length, frame.then(bent_on.middle()).points(_cone_middle(bent_on, t, width))))
            continue
        r, half = bend.inside_radius + t / 2, math.radians(abs(bend.angle)) / 2
        reach = (r + t * t / (12 * r)) * math.sin(half) / half
        side = math.copysign(1.0, bend.angle)
        out.append(
            (width * t * length, frame.points((reach * math.sin(half), 0.0, side * (r - reach * math.cos(half)))))
        )
    last = part.flats[-1]
    for end, frame, x, sign in ((part.end_a, flats[0], 0.0, -1.0), (part.end_b, flats[-1], last, 1.0)):
        out.append((-_corner_area(end) * t, frame.points((x, 0.0, 0.0))))
        # A bevelled or skewed end moves the centroid without changing the volume.
        lean_y, lean_z = math.tan(math.radians(end.skew)), math.tan(math.radians(end.bevel))
        shift = np.array(
            [sign * (lean_y**2 * width**2 + lean_z**2 * t**2) / 24, lean_y * width**2 / 12, lean_z * t**2 / 12]
        )
        one = width * t
        out += [(one, frame.points(np.array([x, 0, 0]) + shift)), (-one, frame.points((x, 0.0, 0.0)))]
    for hole in part.holes:
        out.append((-math.pi / 4 * hole.diameter**2 * t, flats[hole.flat].points((hole.along, hole.across, 0.0))))
    return out


def _cone_middle(bent_on: Cone, thickness: float, width: float) -> Array:
    """Return the centroid of a fold with two radii, in the frame of its middle, mm.

    Laid flat it is a trapezoid, on which a volume of one thickness stands everywhere; that the metal toward the hollow
    side is less than that beyond the middle moves the centroid by the second term. Exact over the rulings, by Gauss
    round the axis.
    """
    nodes, weights = _gauss(16)
    low, high = bent_on.apex - width / 2, bent_on.apex + width / 2
    flat, wide = nodes * bent_on.spread, weights * bent_on.spread
    # The mean of a ruling's points weighed by their distance from the apex, as the trapezoid is.
    area = wide / np.cos(flat) ** 2 * (high**2 - low**2) / 2
    reach = 2 / 3 * (high**3 - low**3) / (high**2 - low**2) - bent_on.apex
    out = area @ bent_on.points((bent_on.apex + reach) * np.tan(flat), np.full_like(flat, reach))
    at = [bent_on.frame(bent_on.apex * math.tan(f)).z for f in flat]
    hollow = thickness**2 / 12 / math.tan(bent_on.slope) * width
    return np.asarray((out - bent_on.side * hollow * (wide / np.cos(flat)) @ np.array(at)) / area.sum())


def _plate(part: CutPlate) -> list[Lump]:
    t = part.thickness
    cx, cy = outline.centroid(part.outline)
    out: list[Lump] = [(outline.area(part.outline) * t, np.array([cx, cy, t / 2]))]
    for hole in part.holes:
        out.append((-math.pi / 4 * hole.diameter**2 * t, np.array([hole.x, hole.y, t / 2])))
    for opening in part.openings:
        ox, oy = outline.centroid(opening)
        out.append((-outline.area(opening) * t, np.array([ox, oy, t / 2])))
    return out


def _cylinder(diameter: float, height: float, base: float) -> Lump:
    return math.pi / 4 * diameter**2 * height, np.array([0.0, 0.0, base + height / 2])


def _bought(part: Bought) -> list[Lump]:
    shape = part.shape
    match shape:
        case RivetShape():
            return [
                _cylinder(shape.head, shape.head_height, 0.0),
                _cylinder(shape.diameter, shape.grip, -shape.grip),
                _cylinder(shape.blind, shape.blind_length, -shape.grip - shape.blind_length),
            ]
        case BoltShape():
            return _bolt(shape)
        case CapShape():
            return [_cylinder(shape.od, shape.head_height, 0.0), _cylinder(shape.plug, shape.depth, -shape.depth)]
        case PadShape():
            out: list[Lump] = []
            for sign, contour in ((1.0, shape.outline), *((-1.0, h) for h in shape.holes)):
                x, y = outline.centroid(contour)
                out.append((sign * outline.area(contour) * shape.thickness, np.array([x, y, shape.thickness / 2])))
            return out
        case UBoltShape():
            return _u_bolt(shape)
        case _:
            assert_never(shape)


def _bolt(shape: BoltShape) -> list[Lump]:
    over = shape.washer_thickness
    out = [
        _prism(6, shape.head_across, shape.head_height, over),
        _cylinder(shape.washer, over, 0.0),
        _cylinder(shape.diameter, shape.grip, -shape.grip),
    ]
    below = -shape.grip
    if shape.end == "nut":
        below -= over
        out.append(_cylinder(shape.washer, over, below))
    below -= shape.nut_height
    match shape.end:
        case "nut":
            out.append(_prism(6, shape.nut_across, shape.nut_height, below))
        case "slot nut":
            out.append(_prism(4, shape.nut_across, shape.nut_height, below))
        case "rivet nut":
            out.append(_cylinder(shape.nut_across, shape.nut_height, below))
        case "thread":
            pass
    # The end of the shank that looks out of the nut.
    if (out_of := below - (over - shape.length)) > 0:
        out.append(_cylinder(shape.diameter, out_of, below - out_of))
    return out


def _prism(sides: int, across: float, height: float, base: float) -> Lump:
    """Return a regular prism by its width across flats."""
    area = sides / 4 * across**2 * math.tan(math.pi / sides)
    return area * height, np.array([0.0, 0.0, base + height / 2])


def _u_bolt(shape: UBoltShape) -> list[Lump]:
    rod = math.pi / 4 * shape.rod**2
    r = (shape.inside_width + shape.rod) / 2
    low = -shape.drop + shape.inside_width / 2
    straight = shape.leg - shape.inside_width / 2
    arm = (r + shape.rod**2 / (16 * r)) * 2 / math.pi
    out: list[Lump] = [(rod * math.pi * r, np.array([0.0, 0.0, low - arm]))]
    nut = (math.sqrt(3) / 2 * shape.nut_across**2 - rod) * shape.nut_height
    washer = (math.pi / 4 * shape.washer**2 - rod) * shape.washer_thickness
    for y in (-r, r):
        out.append((rod * straight, np.array([0.0, y, low + straight / 2])))
        out.append((washer, np.array([0.0, y, shape.seat + shape.washer_thickness / 2])))
        out.append((nut, np.array([0.0, y, shape.seat + shape.washer_thickness + shape.nut_height / 2])))
    return out
