"""The proof that a nest of plate is what was asked for; it shares no arithmetic with what made the nest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

import numpy as np
import shapely
from shapely import affinity

from rackgen.errors import NestError
from rackgen.geom import outline
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_fit import NEAR, angles
from rackgen.sheets.nest_place import ARC
from rackgen.sheets.nest_records import Laid, Nest, PlateNest, PlateSheet
from rackgen.sheets.words import size
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Sheet
from rackgen.units import write_decimal


def check_nest(nest: Nest, wanted: Mapping[str, tuple[Blank, ...]], shop: Shop) -> None:
    """Make sure that a nest is right.

    Args:
        nest: what was made.
        wanted: the blanks of each plate.
        shop: its plates, remnants and table.

    Raises:
        NestError: it is not; the message says all that is wrong.
    """
    if wrong := wrongs(nest, wanted, shop):
        raise NestError("; ".join(wrong))


def wrongs(nest: Nest, wanted: Mapping[str, tuple[Blank, ...]], shop: Shop) -> tuple[str, ...]:
    """Return everything that is wrong with a nest, in sentences.

    That is pieces that are not there exactly once, nearer to each other than the spacing, over the margin, turned as
    they may not be, and sheets that cannot be had.
    """
    out: list[str] = []
    if sorted(p.plate for p in nest.plates) != sorted(wanted):
        out.append("the nest does not have the plates of the cut list")
    for one in nest.plates:
        blanks = {blank.mark: blank for blank in wanted.get(one.plate, ())}
        out += _pieces(one, blanks)
        out += _to_be_had(one, shop)
        for sheet in one.sheets:
            out += _sheet(one, sheet, blanks, shop)
    return tuple(out)


def _pieces(nest: PlateNest, blanks: Mapping[str, Blank]) -> list[str]:
    there = Counter((p.mark, p.number) for s in nest.sheets for p in s.pieces)
    out = [f"{nest.plate}: piece {number} of {mark} is there {n} times" for (mark, number), n in there.items() if n > 1]
    counts = Counter(mark for mark, _ in there) + Counter(nest.left_out)
    for mark in sorted(counts.keys() | blanks.keys()):
        want = blanks[mark].quantity if mark in blanks else 0
        if counts[mark] != want:
            out.append(f"{nest.plate}: {counts[mark]} pieces of {mark}, wanted {want}")
        if any(not 1 <= number <= want for m, number in there if m == mark):
            out.append(f"{nest.plate}: pieces of {mark} are numbered 1 to {want}")
    return out


def _to_be_had(nest: PlateNest, shop: Shop) -> list[str]:
    have: Counter[tuple[float, float]] = Counter()
    for left in shop.sheet_remnants:
        if left.plate == nest.plate:
            have[(round(left.length, 3), round(left.width, 3))] += left.count
    section = next((s.section for s in shop.stock if s.name == nest.plate), None)
    if not isinstance(section, Sheet):
        return [f"{nest.plate}: no plate of the shop"]
    out: list[str] = []
    used = Counter((round(s.length, 3), round(s.width, 3)) for s in nest.sheets if not s.fresh)
    for (length, width), n in sorted((used - have).items()):
        out.append(f"{nest.plate}: {n} more remnants of {_size(length, width, shop)} than there are")
    for sheet in nest.sheets:
        if sheet.fresh and max(abs(sheet.length - section.length), abs(sheet.width - section.width)) > NEAR:
            out.append(f"{nest.plate}: a fresh sheet of {_size(sheet.length, sheet.width, shop)} is not bought")
    return out


def _sheet(nest: PlateNest, sheet: PlateSheet, blanks: Mapping[str, Blank], shop: Shop) -> list[str]:
    where = f"{nest.plate}, sheet {sheet.number}"
    known = [p for p in sheet.pieces if p.mark in blanks]
    shapes = [_polygon(blanks[p.mark], p) for p in known]
    names = [f"{p.mark} piece {p.number}" for p in known]
    out: list[str] = [] if known else [f"{where}: nothing lies on it"]
    for piece, shape, name in zip(known, shapes, names, strict=True):
        out += _inside(where, name, shape, sheet, shop)
        if not any(abs(piece.angle % 360 - a) < 1e-6 for a in angles(shop.table)):
            out.append(f"{where}: {name} is turned by {piece.angle:g} degrees; the table's rotations do not allow it")
    tree = shapely.STRtree(shapes)
    near = tree.query(shapes, predicate="dwithin", distance=nest.spacing - NEAR) if shapes else np.empty((2, 0), int)
    for a, b in sorted((int(a), int(b)) for a, b in near.T if a < b):
        gap = shapes[a].distance(shapes[b])
        said = "overlap" if shapes[a].intersects(shapes[b]) else f"are {_said(gap, shop)} apart"
        out.append(f"{where}: {names[a]} and {names[b]} {said}; the spacing is {_said(nest.spacing, shop)}")
    if abs(sheet.area - sum(_steel(blanks[p.mark]) for p in known)) > 1e-4 * max(1.0, sheet.area):
        out.append(f"{where}: the area of its pieces is not what it says")
    if sheet.left is not None:
        left = sheet.left
        free = shapely.box(left.x, left.y, left.x + left.length, left.y + left.width)
        if not shapely.box(-NEAR, -NEAR, sheet.length + NEAR, sheet.width + NEAR).contains(free):
            out.append(f"{where}: what is left of it lies outside it")
        if any(free.distance(s) < nest.spacing - NEAR for s in shapes):
            out.append(f"{where}: what is left of it is not clear of the pieces")
    return out


def _inside(where: str, name: str, shape: shapely.Polygon, sheet: PlateSheet, shop: Shop) -> list[str]:
    margin = shop.table.margin
    left, low, right, high = shape.bounds
    least = min(left, low, sheet.length - right, sheet.width - high)
    if least < margin - NEAR:
        near, wanted = _said(least, shop), _said(margin, shop)
        return [f"{where}: {name} comes within {near} of the sheet's edge; the margin is {wanted}"]
    return []


def _said(mm: float, shop: Shop) -> str:
    return f"{write_decimal(mm, shop.unit, 2 if shop.unit == 'mm' else 3)} {shop.unit}"


def _size(length: float, width: float, shop: Shop) -> str:
    return f"{size(length, shop.unit)} × {size(width, shop.unit)} {shop.unit}"


def _polygon(blank: Blank, laid: Laid) -> shapely.Polygon:
    """Return a piece's outside in its place; one piece in another's opening would be lost with the drop."""
    turned = affinity.rotate(shapely.Polygon(outline.polygon(blank.cut, ARC)), laid.angle, origin=(0.0, 0.0))
    left, low, _, _ = turned.bounds
    return affinity.translate(turned, laid.x - left, laid.y - low)


def _steel(blank: Blank) -> float:
    """Return the area of one piece by its polygon."""
    steel = shapely.Polygon(outline.polygon(blank.cut, ARC), [outline.polygon(o, ARC) for o in blank.openings])
    return float(steel.area) - sum(np.pi / 4 * hole.diameter**2 for hole in blank.holes)
