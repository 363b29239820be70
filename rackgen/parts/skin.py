"""Surface of a part by arithmetic, mm²: what paint and zinc have to cover.

Sawn and coped end faces of tubes are not counted: they are welded shut or capped. A tube's holes are missing in it.
Folded bars and broken plates have the surface of their flat at mid-thickness, which is exact for both faces together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from rackgen.geom import cope, outline, spine
from rackgen.geom.fold import legs_and_arcs
from rackgen.parts.kinds import BarEnd, BentTube, CutPlate, FoldedBar
from rackgen.spec.stock import Expanded, Panel, Perforated

Made = BentTube | FoldedBar | CutPlate


def outside(part: Made) -> float:
    """Return the surface that is seen on a part that lies on its own, mm²."""
    match part:
        case BentTube():
            return _lateral(part, part.fitted.od / 2)
        case FoldedBar():
            return _bar(part)
        case CutPlate():
            return _plate(part)


def inside(part: Made) -> float:
    """Return the surface in a tube's bore, mm²; 0 for bars and plates."""
    return _lateral(part, part.fitted.inner / 2) if isinstance(part, BentTube) else 0.0


def steel(part: Made) -> float:
    """Return the thickness of a part's steel, mm: wall, bar, plate, or strand."""
    if isinstance(part, BentTube):
        return part.section.wall
    if isinstance(part, FoldedBar):
        return part.section.thickness
    section = part.stock.section
    return section.steel if isinstance(section, Panel) else part.thickness


def strands(section: Expanded) -> float:
    """Return the surface of expanded metal over the area of its panel.

    Strands lie twice in every short way of the diamond, each with a girth of 2 (t + w); that they run aslant adds a few
    per cent and is left out, as the bonds that they share are.
    """
    return 4 * (section.strand_thickness + section.strand_width) / section.swd


def punched(section: Perforated) -> float:
    """Return the surface of perforated sheet over the area of its panel: both faces, and the walls of its holes."""
    return 2 * (1 - section.open_share) + math.pi * section.hole * section.thickness / section.cell


def _lateral(part: BentTube, radius: float) -> float:
    """Return the surface of a tube at a radius, mm². Round a bend it is girth times centreline (Pappus)."""
    length = spine.length(part.spine)
    if part.slit is not None:
        middle = (part.fitted.od - part.fitted.wall) / 2
        arc = math.pi * (part.section.od - part.section.wall) - part.slit.strip
        return arc * radius / middle * length
    phi = np.arange(0.0, 360.0, 0.5)
    taken = sum(float(cope.heights(end, radius, phi).mean()) for end in (part.end_a, part.end_b) if end)
    holes = sum(math.pi / 4 * h.diameter**2 for h in part.holes)
    return 2 * math.pi * radius * (length - taken) - holes


def _bar(part: FoldedBar) -> float:
    width, t = part.section.width, part.section.thickness
    long = sum(length for _, length, _ in legs_and_arcs(part.flats, part.folds, t, part.section.width))

    def lean(end: BarEnd) -> float:
        return width / 2 * math.tan(math.radians(end.skew))

    a, b = part.end_a, part.end_b
    corners = [
        (lean(a), -width / 2),
        (long - lean(b), -width / 2),
        (long + lean(b), width / 2),
        (-lean(a), width / 2),
    ]
    flat = outline.rounded(corners, [a.radius, b.radius, b.radius, a.radius])
    bevels = sum(width * t * (1 / math.cos(math.radians(end.bevel)) - 1) for end in (a, b))
    return 2 * outline.area(flat) + outline.perimeter(flat) * t + bevels + _holes((h.diameter for h in part.holes), t)


def _plate(part: CutPlate) -> float:
    section, t = part.stock.section, part.thickness
    area = outline.area(part.outline) - sum(outline.area(o) for o in part.openings)
    if isinstance(section, Expanded):
        return area * strands(section)
    if isinstance(section, Perforated):
        return area * punched(section)
    edges = outline.perimeter(part.outline) + sum(outline.perimeter(o) for o in part.openings)
    return 2 * area + edges * t + _holes((h.diameter for h in part.holes), t)


def _holes(diameters: Iterable[float], t: float) -> float:
    """Return what round holes through a thickness add, mm²: their walls less what they take off both faces."""
    return sum(math.pi * d * t - math.pi / 2 * d * d for d in diameters)
