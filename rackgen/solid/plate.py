"""Cut plate, panel and pad as solids: an outline with its holes, and up to two breaks right across."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.errors import SolidError
from rackgen.geom import outline
from rackgen.geom.breaks import crossing, folded_frame
from rackgen.geom.frame import Array, Frame
from rackgen.geom.outline import Contour, Vertex
from rackgen.parts.kinds import CutPlate
from rackgen.solid import kernel
from rackgen.solid.kernel import Circle, Solid

SQUARE = 0.01
"""How far from square to each other two breaks may lie, degrees; descriptions are snapped to 0.001."""

FINE = 1e-3
"""How far chords may lie from arcs where areas are counted, mm."""


def slab(border: Contour, openings: Sequence[Contour | Circle], thickness: float) -> Solid:
    """Return a flat piece from z = 0 up."""
    return kernel.prism(Frame(), border, openings, (0.0, 0.0, thickness))


def plate(part: CutPlate) -> Solid:
    """Return the plate as it leaves the brake.

    With one break each half is the flat piece turned by half the angle about the line at mid-thickness, the halves
    mitred in the upright plane through the line. With two, each quadrant is turned so that it lies in the plane
    z = -tan(a/2) |u| - tan(b/2) |v| from the crossing, and mitred in both upright planes.

    Raises:
        SolidError: more than two breaks, two that are not square, or one that leaves nothing on a side.
    """
    flat = slab(part.outline, [*(Circle(h.x, h.y, h.diameter) for h in part.holes), *part.openings], part.thickness)
    if not part.breaks:
        return flat
    frame, quarters = pieces(part)
    reach = 2 * float(np.max(np.linalg.norm(outline.polygon(part.outline) - frame.origin[:2], axis=1))) + part.thickness
    found: list[Solid] = []
    for (u, v), lean in quarters:
        us, vs = sorted((0.0 if u else -reach, (u or 1) * reach)), sorted((0.0, v * reach))
        keep: Contour = tuple(Vertex(us[i], vs[j]) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1)))
        room = kernel.prism(frame.moved((0.0, 0.0, -reach)), keep, (), (0.0, 0.0, 2 * reach))
        inside = kernel.solids(kernel.common(kernel.moved(flat, lean), room))
        if not inside:
            raise SolidError("a break that leaves nothing of the plate on one side")
        found += inside
    whole = kernel.solids(kernel.fuse(found[0], found[1:]))
    if len(whole) != 1:
        raise SolidError(f"the broken plate is in {len(whole)} pieces")
    return whole[0]


Piece = tuple[tuple[int, int], Frame]
"""On which side of the second and of the first break a piece lies (0: there is no second), and its motion."""


def pieces(part: CutPlate) -> tuple[Frame, tuple[Piece, ...]]:
    """Return the frame where the breaks cross at mid-thickness, X along the first, and the rigid pieces round it.

    Raises:
        SolidError: more than two breaks, or two that are not square to each other.
    """
    breaks = part.breaks
    first, *others = breaks
    if len(others) > 1 or any(abs((b.direction - first.direction) % 180.0 - 90.0) > SQUARE for b in others):
        raise SolidError("a plate has at most two breaks, square to each other")
    a = math.radians(first.direction)
    frame = Frame(
        (*crossing(breaks), part.thickness / 2), (math.cos(a), math.sin(a), 0.0), (-math.sin(a), math.cos(a), 0.0)
    )
    out: list[Piece] = []
    for u, v in ((1, 1), (-1, 1), (-1, -1), (1, -1)) if others else ((0, 1), (0, -1)):
        x, y, _ = frame.point((u, v, 0.0))
        out.append(((u, v), folded_frame(breaks, part.thickness, x, y)))
    return frame, tuple(out)


def missing_area(part: CutPlate) -> float:
    """Return how much of a twice-broken plate's flat area its quarters do not keep, mm²; negative where they overlap.

    A quarter in its slanted plane is narrower than a right angle by asin(sin(a/2) sin(b/2)), or wider where one break
    falls and the other rises, so slivers of the flat outline stand beyond the mitres or lie there twice. They are
    measured ray by ray: a ray from the crossing has half the signed squares of its crossings with the contours on it.
    """
    if len(part.breaks) != 2:
        return 0.0
    contours = [outline.polygon(part.outline, FINE), *(outline.polygon(o, FINE)[::-1] for o in part.openings)]
    for hole in part.holes:
        turns = np.linspace(0.0, 2 * math.pi, 720, endpoint=False)[::-1]
        contours.append(hole.diameter / 2 * np.stack([np.cos(turns), np.sin(turns)], axis=1) + (hole.x, hole.y))
    frame, quarters = pieces(part)
    nodes, weights = np.polynomial.legendre.leggauss(6)
    total = 0.0
    for (u, v), lean in quarters:
        normal = frame.to_local_direction(lean.z)
        for line in ((u, 0.0), (0.0, v)):
            # The break in the flat, and what becomes the mitre: the sliver lies between the two.
            mitre = lean.to_local_direction(frame.direction((*line, -float(normal[:2] @ line) / normal[2])))
            bx, by, _ = frame.direction((*line, 0.0))
            swing = math.atan2(bx * mitre[1] - by * mitre[0], bx * mitre[0] + by * mitre[1])
            rays = [_on_ray(contours, frame, math.atan2(by, bx) + swing * (n + 1) / 2) for n in nodes]
            inward = u * v if line[0] else -u * v  # the sense of turning from the line into its quarter
            total += inward * swing / 2 * float(weights @ rays)
    return total


def _on_ray(contours: Sequence[Array], frame: Frame, angle: float) -> float:
    """Return half the signed squares of where a ray crosses closed polygons: its share of area per radian, mm²."""
    d = np.array([math.cos(angle), math.sin(angle)])
    total = 0.0
    for contour in contours:
        a = contour - frame.origin[:2]
        b = np.roll(a, -1, axis=0)
        side_a, side_b = d[0] * a[:, 1] - d[1] * a[:, 0], d[0] * b[:, 1] - d[1] * b[:, 0]
        crossed = (side_a < 0) != (side_b < 0)
        a, b, side_a, side_b = a[crossed], b[crossed], side_a[crossed], side_b[crossed]
        r = ((a * side_b[:, None] - b * side_a[:, None]) / (side_b - side_a)[:, None]) @ d
        total += float((np.where(r > 0, r * r, 0.0) * np.where(side_b > side_a, 0.5, -0.5)).sum())
    return total
