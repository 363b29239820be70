"""Blanks that go on sheets, their boxes, and their contours in place."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable

import numpy as np

from rackgen.geom import outline
from rackgen.geom.outline import Contour
from rackgen.sheets.flats import Blank, RoundHole
from rackgen.sheets.nest_records import Laid
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Expanded, Perforated, Sheet

Box = tuple[float, float, float, float]
"""Left, lower, right and upper edge, mm."""

ARC = 0.002
"""Arcs are broken into chords this near to them, mm."""


def plates(blanks: Iterable[Blank], shop: Shop) -> dict[str, tuple[Blank, ...]]:
    """Return the blanks cut from plate on the table, by the plate's name; bars are sawn from sticks."""
    return _of(blanks, shop, Sheet)


def meshes(blanks: Iterable[Blank], shop: Shop) -> dict[str, tuple[Blank, ...]]:
    """Return the panels of expanded metal and of perforated sheet, by its name on the shelf."""
    return _of(blanks, shop, (Expanded, Perforated))


def _of(
    blanks: Iterable[Blank], shop: Shop, section: type[Sheet] | tuple[type[Expanded], type[Perforated]]
) -> dict[str, tuple[Blank, ...]]:
    shelf = {stock.name for stock in shop.stock if isinstance(stock.section, section)}
    out: dict[str, tuple[Blank, ...]] = {}
    for blank in blanks:
        if blank.stock in shelf:
            out[blank.stock] = (*out.get(blank.stock, ()), blank)
    return out


def box(contour: Contour, angle: float = 0.0) -> Box:
    """Return the box round a contour turned about its own origin by an angle in degrees, within `ARC`."""
    points = outline.polygon(outline.turned(contour, angle), ARC)
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    return float(left), float(low), float(right), float(high)


def extent(blank: Blank, angle: float = 0.0) -> tuple[float, float]:
    """Return how long along X and wide along Y a blank is when it is turned, mm."""
    left, low, right, high = box(blank.cut, angle)
    return right - left, high - low


def area(blank: Blank) -> float:
    """Return the area of one piece, mm², what is cut out of it taken off."""
    holes = sum(math.pi / 4 * h.diameter**2 for h in blank.holes)
    return outline.area(blank.cut) - sum(abs(outline.area(o)) for o in blank.openings) - holes


def shift(blank: Blank, laid: Laid) -> tuple[float, float]:
    """Return by how much a blank is moved, once it is turned, to lie in its place; mm."""
    left, low, _, _ = box(blank.cut, laid.angle)
    return laid.x - left, laid.y - low


def in_place(blank: Blank, laid: Laid) -> tuple[Contour, tuple[Contour, ...], tuple[RoundHole, ...]]:
    """Return what the table cuts of one piece on its sheet: the outside, the openings and the round holes; mm."""
    dx, dy = shift(blank, laid)
    c, s = math.cos(math.radians(laid.angle)), math.sin(math.radians(laid.angle))

    def put(contour: Contour) -> Contour:
        return outline.moved(outline.turned(contour, laid.angle), dx, dy)

    holes = (RoundHole(h.x * c - h.y * s + dx, h.x * s + h.y * c + dy, h.diameter) for h in blank.holes)
    return put(blank.cut), tuple(put(o) for o in blank.openings), tuple(holes)


def shape(blank: Blank) -> str:
    """Return ten hexadecimal digits that change when what the table cuts of a blank changes by 0.001 mm."""
    rows = [np.array([(v.x, v.y, v.bulge) for v in c]).round(3) + 0.0 for c in (blank.cut, *blank.openings)]
    rows.append(np.array([(h.x, h.y, h.diameter) for h in blank.holes]).round(3) + 0.0)
    text = "\n".join(repr(row.tolist()) for row in rows)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:10]
