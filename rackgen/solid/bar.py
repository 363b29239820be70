"""Folded flat bar as a solid: its long section swept across the width, its ends and holes cut."""

from __future__ import annotations

import math

from rackgen.errors import SolidError
from rackgen.geom import fold, outline
from rackgen.geom.frame import Frame, turn
from rackgen.geom.outline import Contour, Vertex
from rackgen.parts.kinds import BarEnd, FoldedBar
from rackgen.solid import conical, kernel
from rackgen.solid.kernel import Circle, Solid

CLEAR = 5.0
"""How far tools reach beyond what they cut, mm."""


def bar(part: FoldedBar) -> Solid:
    """Return the bar with true cylinders, or cones, for its folds.

    Raises:
        SolidError: a fold, an end or a hole that cannot be made.
    """
    width, thickness = part.section.width, part.section.thickness
    pieces = fold.legs_and_arcs(part.flats, part.folds, thickness, part.section.width)
    ends = tuple(_reach(end, width, thickness) if _shaped(end) else 0.0 for end in (part.end_a, part.end_b))
    if any(fold.cone_of(bend, thickness, width) for bend in part.folds):
        body = conical.body(part, ends)
    else:
        body = _swept(part, ends)
    begin, (last, length, _) = pieces[0][0], pieces[-1]
    back = begin.then(turn((0, 0, 1), 180.0))
    out = last.moved((length, 0.0, 0.0))
    for end, outward, skew, over in (
        (part.end_a, back, -part.end_a.skew, ends[0]),
        (part.end_b, out, part.end_b.skew, ends[1]),
    ):
        if over:
            body = _one(kernel.cut(body, (_end_tool(end, outward, skew, over, width, thickness),)))
    flats = [frame for frame, _, bend in pieces if bend is None]
    drills = [
        kernel.prism(
            flats[hole.flat].moved((0.0, 0.0, -thickness / 2 - CLEAR)),
            Circle(hole.along, hole.across, hole.diameter),
            (),
            (0.0, 0.0, thickness + 2 * CLEAR),
        )
        for hole in part.holes
    ]
    return _one(kernel.cut(body, drills)) if drills else body


def _swept(part: FoldedBar, over: tuple[float, ...]) -> Solid:
    # Seen from -Y the section's x is the bar's X and its y the bar's Z.
    width = part.section.width
    side = Frame((0.0, -width / 2, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    return kernel.prism(side, _long_section(part, over), (), (0.0, 0.0, -width))


def _shaped(end: BarEnd) -> bool:
    return bool(end.bevel or end.skew or end.radius)


def _reach(end: BarEnd, width: float, thickness: float) -> float:
    """Return how far beyond the middle of its end a bar must run before that end can be cut, mm."""
    slope = abs(math.tan(math.radians(end.bevel))) * thickness + abs(math.tan(math.radians(end.skew))) * width
    return slope / 2 + CLEAR


def _long_section(part: FoldedBar, over: tuple[float, ...]) -> Contour:
    """Return the bar's section along X and Z, with both ends square and lengthened by `over`; anticlockwise."""
    thickness, width = part.section.thickness, part.section.width
    half = thickness / 2
    lower: list[Vertex] = []
    upper: list[Vertex] = []  # both from end A on, the bulge being that of the side toward end B
    flats = list(part.flats)
    flats[0] += over[0]
    flats[-1] += over[1]
    here = Frame((-over[0], 0.0, 0.0))
    for i, flat in enumerate(flats):
        bulge = math.tan(math.radians(part.folds[i].angle) / 4) if i < len(part.folds) else 0.0
        there = here.moved((flat, 0.0, 0.0))
        for row, z in ((lower, -half), (upper, half)):
            for frame, b in ((here, 0.0), (there, bulge)):
                x, _, up = frame.point((0.0, 0.0, z))
                row.append(Vertex(x, up, b))
        if i < len(part.folds):
            here = fold.after_fold(there, part.folds[i], thickness, width, abs(part.folds[i].angle))
    back = [Vertex(v.x, v.y, -upper[i - 1].bulge if i else 0.0) for i, v in enumerate(upper)][::-1]
    return outline.cleaned((*lower, *back))


def _end_tool(end: BarEnd, outward: Frame, skew: float, over: float, width: float, thickness: float) -> Solid:
    """Return what is cut from a bar that runs on beyond its end: all but the shape of the end.

    Seen on the face the end is a line through the middle, sloped by the skew, its two corners rounded. The cut runs
    through the thickness along the bevel, which leaves that shape true at mid-thickness.

    Args:
        end: the shape.
        outward: frame in the middle of the end, X out of the bar, Z off its face.
        skew: positive leaves the edge at the frame's +Y longer, degrees.
        over: how far the bar runs on, mm.
        width: of the bar, mm.
        thickness: of the bar, mm.
    """
    slope, wide, far = math.tan(math.radians(skew)), width / 2 + CLEAR, 2 * over + CLEAR
    border: Contour = (Vertex(-slope * wide, -wide), Vertex(slope * wide, wide))
    if end.radius:
        back = -far - width
        corners = [
            (back, width / 2),
            (back, -width / 2),
            (-slope * width / 2, -width / 2),
            (slope * width / 2, width / 2),
        ]
        kept = outline.rounded(corners, (0.0, 0.0, end.radius, end.radius))[2:]
        if kept[0].x <= back or kept[-1].x <= back:
            raise SolidError(f"corners of {end.radius:g} mm do not fit the bar's end")
        border = (Vertex(kept[0].x, -wide), *kept, Vertex(kept[-1].x, wide))
    removed = (*border, Vertex(far, wide), Vertex(far, -wide))
    lean, half = math.tan(math.radians(end.bevel)), thickness / 2 + CLEAR
    return kernel.prism(
        outward.moved((-lean * half, 0.0, -half)), outline.cleaned(removed), (), (2 * lean * half, 0.0, 2 * half)
    )


def _one(shape: Solid) -> Solid:
    pieces = kernel.solids(shape)
    if len(pieces) != 1:
        raise SolidError(f"the cuts leave {len(pieces)} pieces of the bar")
    return pieces[0]
