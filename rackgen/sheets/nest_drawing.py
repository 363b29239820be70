"""Sheets of plate and of expanded metal drawn to scale, pieces with their marks on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from rackgen.geom import outline
from rackgen.geom.outline import Contour
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Item, Point, Stroke, Words
from rackgen.sheets.flats import Blank
from rackgen.sheets.mesh_layout import MeshPanel, MeshSheet
from rackgen.sheets.nest_place import in_place
from rackgen.sheets.nest_records import Laid, Leftover, Nest, PlateSheet
from rackgen.sheets.nest_rows import down, piece_name
from rackgen.sheets.words import fine, size
from rackgen.units import Unit

ROOM = 160.0
"""What a figure's width has on every paper beside its dimensions, mm."""

AROUND = 17.0
"""What dimensions and words take of a figure's height, mm on paper."""

CAPITALS = 2.4
"""Height of the marks on pieces, mm on paper."""

LETTER = 2.15
"""Width that a letter of that height takes, mm on paper."""

LINE = 4.2
"""From one mark to the next where they stand beside the sheet, mm on paper."""

LARGE = 48.0, 24.0
"""A panel from here on has room for words and sizes, along and across, mm on paper."""

CURVE = 0.3
"""Arcs are drawn as chords this near to them, mm."""


@dataclass(frozen=True)
class Window:
    """What of a sheet is drawn, from its datum corner; mm."""

    length: float
    width: float

    def scale(self, high: float) -> float:
        """Return at least how large it comes out in a figure so high on paper, mm; a page rounds to usual scales."""
        return min(ROOM / self.length, (high - AROUND) / self.width) / 1.3


def used(sheet: PlateSheet, blanks: Mapping[str, Blank]) -> Window | None:
    """Return the corner that pieces lie in, where it is so small that it is worth a drawing of its own."""
    corners = [in_place(blanks[p.mark], p)[0] for p in sheet.pieces]
    far = np.concatenate([outline.polygon(c, CURVE) for c in corners]).max(axis=0)
    window = Window(min(sheet.length, float(far[0]) + 15.0), min(sheet.width, float(far[1]) + 15.0))
    whole = Window(sheet.length, sheet.width)
    return window if window.scale(100.0) > 1.6 * whole.scale(100.0) else None


def sheet_drawing(
    nest: Nest, sheet: PlateSheet, blanks: Mapping[str, Blank], high: float, *, marks: bool = True
) -> Drawing:
    """Return a whole sheet: its size, datum corner, pieces, and what is left of it.

    Args:
        nest: which it is of.
        sheet: the sheet.
        blanks: by mark.
        high: of the figure, mm on paper.
        marks: whether the pieces carry their marks.
    """
    scale = Window(sheet.length, sheet.width).scale(high)
    items: list[Item] = [_rectangle(0.0, 0.0, sheet.length, sheet.width)]
    if sheet.left is not None:
        items += _left(sheet.left, scale, nest.unit)
    items += _pieces(sheet.pieces, blanks, scale, sheet.length, marks=marks)
    items += [*_datum(scale), *_size(sheet.length, sheet.width, nest.unit)]
    return Drawing(tuple(items))


def corner_drawing(sheet: PlateSheet, blanks: Mapping[str, Blank], window: Window, high: float) -> Drawing:
    """Return the used corner of a sheet with its pieces' marks; the sheet goes on where its edges end.

    Args:
        sheet: the sheet.
        blanks: by mark.
        window: what of it is drawn.
        high: of the figure, mm on paper.
    """
    scale = window.scale(high)
    edges = ((window.length, 0.0), (0.0, 0.0), (0.0, window.width))
    items: list[Item] = [Stroke(edges), *_pieces(sheet.pieces, blanks, scale, window.length, marks=True)]
    return Drawing((*items, *_datum(scale)))


def mesh_drawing(sheet: MeshSheet, blanks: Mapping[str, Blank], unit: Unit, high: float) -> Drawing:
    """Return a sheet of expanded metal or perforated sheet: panels with their sizes; `high` on paper, mm.

    The arrow shows which way diamonds are long.
    """
    scale = Window(sheet.length, sheet.width).scale(high)
    items: list[Item] = [_rectangle(0.0, 0.0, sheet.length, sheet.width)]
    if sheet.left is not None:
        items += _left(sheet.left, scale, unit)
    for panel in sheet.panels:
        shape = outline.polygon(blanks[panel.mark].outline, CURVE)
        if panel.turned:
            shape = shape[:, ::-1] * (-1.0, 1.0)
        points = shape - shape.min(axis=0) + (panel.x, panel.y)
        items.append(Stroke(_points(points), closed=True, fill="steel"))
        left, low, right, high = panel.edges
        box = ((left, low), (right, low), (right, high), (left, high))
        items.append(Stroke(box, "cut", closed=True))
        middle = (left + right) / 2, (low + high) / 2
        large = panel.along * scale > LARGE[0] and panel.across * scale > LARGE[1]
        items.append(Words(*middle, f"{panel.mark}.{panel.number}", CAPITALS, bold=True, shift=(0.0, 3.5)))
        if sheet.diamonds:
            items += _long_way(*middle, min(panel.along / 2, 50.0 / scale), scale, words=large)
        over, beyond = _free_beside(panel, sheet, 9.5 / scale)
        # In a small panel there is no room for its sizes; the table has them.
        if over or large:
            items.append(Dimension((left, high), (right, high), fine(panel.along, unit), 6.0 if over else -6.0))
        if beyond or large:
            items.append(Dimension((right, low), (right, high), fine(panel.across, unit), -6.0 if beyond else 6.0))
    items += [*_datum(scale), *_size(sheet.length, sheet.width, unit)]
    return Drawing(tuple(items))


def _free_beside(panel: MeshPanel, sheet: MeshSheet, room: float) -> tuple[bool, bool]:
    """Return whether there is room for a dimension over a panel, and to its right, mm; else it stands inside."""
    left, low, right, high = panel.edges
    over = high + room <= sheet.width
    beyond = right + room <= sheet.length
    for other in sheet.panels:
        if other is not panel:
            a, b, c, d = other.edges
            over = over and not (a < right and c > left and b < high + room and d > high)
            beyond = beyond and not (b < high and d > low and a < right + room and c > right)
    return over, beyond


def _pieces(
    pieces: Sequence[Laid], blanks: Mapping[str, Blank], scale: float, edge: float, *, marks: bool
) -> list[Item]:
    out: list[Item] = []
    beside: list[tuple[Point, str]] = []
    words: list[Item] = []
    for laid in pieces:
        outside, openings, holes = in_place(blanks[laid.mark], laid)
        out.append(_contour(outside, steel=True))
        out += [_contour(o) for o in openings]
        out += [Circle(h.x, h.y, h.diameter / 2, "thin") for h in holes]
        if marks:
            point, angle = _mark_place(outside, openings, piece_name(laid), scale)
            if angle is None:
                beside.append((point, piece_name(laid)))
            else:
                words.append(Words(*point, piece_name(laid), CAPITALS, angle=angle, bold=True))
    return [*out, *_beside(beside, edge, scale), *words]


def _contour(contour: Contour, *, steel: bool = False) -> Stroke:
    points = _points(outline.polygon(contour, CURVE))
    return Stroke(points, "edge" if steel else "thin", closed=True, fill="steel" if steel else "")


def _mark_place(outside: Contour, openings: Sequence[Contour], text: str, scale: float) -> tuple[Point, float | None]:
    """Return where a mark stands on a piece and at which angle; without one it does not fit."""
    shape = shapely.Polygon(outline.polygon(outside, CURVE), [outline.polygon(o, CURVE) for o in openings])
    # The widest circle inside comes back as the line from its middle to its rim.
    circle = shapely.maximum_inscribed_circle(np.array([shape], dtype=object), tolerance=0.5)[0]
    spots = [shape.centroid.coords[0], circle.coords[0]]
    for x, y in spots:
        for angle in (0.0, 90.0):
            half = LETTER * len(text) / 2 / scale, (CAPITALS / 2 + 0.6) / scale
            if angle:
                half = half[::-1]
            if shape.contains(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1])):
                return (float(x), float(y)), angle
    x, y = circle.coords[0]
    return (float(x), float(y)), None


def _beside(marks: Sequence[tuple[Point, str]], edge: float, scale: float) -> list[Item]:
    """Return marks in a column beside the sheet, each with a line to its piece."""
    out: list[Item] = []
    low = 0.0
    for (x, y), text in sorted(marks, key=lambda m: (m[0][1], -m[0][0])):
        at = max(low, y)
        low = at + LINE / scale
        out.append(Stroke(((x, y), (edge + 4.0 / scale, at)), "thin"))
        out.append(Words(edge + 4.0 / scale, at, text, CAPITALS, "left", shift=(1.0, 0.0), bold=True))
    return out


def _left(left: Leftover, scale: float, unit: Unit) -> list[Item]:
    """Return what is left as a dashed rectangle with its size in it, where that fits."""
    points = _rectangle(left.x, left.y, left.x + left.length, left.y + left.width).points
    out: list[Item] = [Stroke(points, "hidden", closed=True)]
    text = f"left: {down(left.length, unit)} × {down(left.width, unit)} {unit}"
    middle = left.x + left.length / 2, left.y + left.width / 2
    if LETTER * len(text) < left.length * scale and left.width * scale > 2 * CAPITALS:
        out.append(Words(*middle, text, CAPITALS))
    elif LETTER * len(text) < left.width * scale and left.length * scale > 2 * CAPITALS:
        out.append(Words(*middle, text, CAPITALS, angle=90.0))
    return out


def _datum(scale: float) -> list[Item]:
    """Return the sign of the datum corner, outside the sheet."""
    r = 1.5 / scale
    said = "datum corner: x to the right, y up"
    return [Circle(0.0, 0.0, r), Words(0.0, 0.0, said, CAPITALS, "left", shift=(3.0, -3.5))]


def _size(length: float, width: float, unit: Unit) -> list[Item]:
    return [
        Dimension((0.0, width), (length, width), f"{size(length, unit)}", 6.0),
        Dimension((0.0, 0.0), (0.0, width), f"{size(width, unit)}", 6.0),
    ]


def _long_way(x: float, y: float, half: float, scale: float, *, words: bool) -> list[Item]:
    """Return an arrow with two heads along the long way; where there is room with words and two diamonds under it."""
    out: list[Item] = [Stroke(((x - half, y), (x + half, y)))]
    head = 3.0 / scale
    for sign in (-1.0, 1.0):
        tip = x + sign * half
        points = ((tip, y), (tip - sign * head, y + head / 3), (tip - sign * head, y - head / 3))
        out.append(Stroke(points, closed=True, fill="dark"))
    if not words:
        return out
    out.append(Words(x, y, "long way of the diamonds", CAPITALS, shift=(0.0, -3.5)))
    wide, high = 4.5 / scale, 2.0 / scale
    for at in (x - wide, x + wide):
        low = y - 9.0 / scale
        diamond = ((at - wide, low), (at, low - high), (at + wide, low), (at, low + high))
        out.append(Stroke(diamond, "thin", closed=True))
    return out


def _rectangle(left: float, low: float, right: float, high: float) -> Stroke:
    return Stroke(((left, low), (right, low), (right, high), (left, high)), closed=True)


def _points(points: np.ndarray) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)
