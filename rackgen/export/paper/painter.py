"""A drawing on paper: at a scale, or at full size through a window.

Fills come first, then lines, then texts on white so that no line runs through them, and what is cut along or marked
last of all: white never eats a line that someone cuts along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from rackgen.export.paper.fonts import points
from rackgen.export.paper.ink import XY, Ink
from rackgen.export.paper.labels import Label, measured, words_label
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Fill, Item, Stroke, Style, Words

Box = tuple[float, float, float, float]
"""Left, bottom, right, top, mm."""

PENS: Mapping[Style, tuple[float, tuple[float, ...]]] = MappingProxyType(
    {
        "edge": (0.5, ()),
        "thin": (0.18, ()),
        "hidden": (0.25, (2.0, 1.0)),
        "centre": (0.18, (6.0, 1.2, 1.0, 1.2)),
        "fold": (0.3, (5.0, 1.0, 0.8, 1.0, 0.8, 1.0)),
        "cut": (0.25, ()),
        "mark": (0.35, ()),
    }
)
"""Width of the line and its dashes, mm on paper (ISO 128-2's families: full, dashed, dash-dot, dash-double-dot)."""

GREYS: Mapping[Fill, float | None] = MappingProxyType({"": None, "steel": 0.82, "light": 0.93, "dark": 0.55})

CROSS = 2.0
"""How far the cross of a marked hole reaches beyond it, mm."""

LAST: tuple[Style, ...] = ("cut", "mark")


def extent(drawing: Drawing, scale: float = 1.0) -> Box:
    """Return what a drawing covers on paper with its texts and dimensions, from its own origin, mm."""
    spots = [p for item in drawing.items for p in _spots(item, scale)] or [(0.0, 0.0)]
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return min(xs), min(ys), max(xs), max(ys)


def paint(
    ink: Ink,
    drawing: Drawing,
    scale: float,
    dx: float,
    dy: float,
    window: Box | None = None,
    others: Sequence[Box] = (),
) -> None:
    """Paint a drawing.

    Args:
        ink: the page.
        drawing: what is drawn.
        scale: paper over the drawn thing.
        dx: where the drawing's origin lies on the page, mm.
        dy: the same.
        window: part of the page that is painted.
        others: windows of the neighbouring tiles: a text across this one's edge is left to one where it stands whole.
    """
    items = [i for i in drawing.items if window is None or _meets(_spots(i, scale), dx, dy, window)]
    for item in items:
        if isinstance(item, Stroke) and item.inside is not None:
            ink.patch(_moved(item, scale, dx, dy), item.inside)
        elif isinstance(item, Stroke) and item.fill:
            ink.path(_moved(item, scale, dx, dy), closed=True, wide=0.0, fill=GREYS[item.fill])
    labels: list[Label] = []
    for item in items:
        if isinstance(item, Dimension):
            parts = measured(item, scale, dx, dy)
            for line in parts.lines:
                ink.path(line, wide=PENS["thin"][0])
            for arrow in parts.arrows:
                ink.path(arrow, closed=True, wide=0.0, fill=0.0)
            labels.append(parts.label)
        elif isinstance(item, Words):
            labels.append(words_label(item, scale, dx, dy))
        elif item.style not in LAST and not (isinstance(item, Stroke) and item.inside is not None):
            _draw(ink, item, scale, dx, dy)
    if window is not None:
        labels = [a for a in labels if _inside(a, window) or not any(_inside(a, other) for other in others)]
    for label in labels:
        ink.path(label.corners, closed=True, wide=0.0, fill=1.0)
    for label in labels:
        ink.text(*label.foot, label.text, points(label.height), bold=label.bold, align=label.align, angle=label.angle)
    for item in items:
        if isinstance(item, Stroke | Circle) and item.style in LAST:
            _draw(ink, item, scale, dx, dy)


def _draw(ink: Ink, item: Stroke | Circle, scale: float, dx: float, dy: float) -> None:
    wide, dash = PENS[item.style]
    if isinstance(item, Stroke):
        moved = _moved(item, scale, dx, dy)
        ink.path(moved, closed=item.closed, wide=item.wide or wide, dash=dash, colour=item.colour)
        return
    x, y, radius = item.x * scale + dx, item.y * scale + dy, item.radius * scale
    ink.circle(x, y, radius, wide, dash)
    if item.style == "mark":
        arm = radius + CROSS
        ink.line(x - arm, y, x + arm, y, PENS["thin"][0])
        ink.line(x, y - arm, x, y + arm, PENS["thin"][0])


def _moved(stroke: Stroke, scale: float, dx: float, dy: float) -> tuple[XY, ...]:
    return tuple((x * scale + dx, y * scale + dy) for x, y in stroke.points)


def _spots(item: Item, scale: float) -> tuple[XY, ...]:
    """Return points whose box is the item's, on paper from the drawing's origin, mm."""
    match item:
        case Stroke():
            half = (item.wide or PENS[item.style][0]) / 2
            moved = _moved(item, scale, 0.0, 0.0)
            xs, ys = [x for x, _ in moved], [y for _, y in moved]
            return (min(xs) - half, min(ys) - half), (max(xs) + half, max(ys) + half)
        case Circle():
            r = item.radius * scale + (CROSS if item.style == "mark" else PENS[item.style][0] / 2)
            x, y = item.x * scale, item.y * scale
            return (x - r, y - r), (x + r, y + r)
        case Words():
            return words_label(item, scale, 0.0, 0.0).corners
        case Dimension():
            parts = measured(item, scale, 0.0, 0.0)
            ends = tuple(p for line in parts.lines for p in line)
            return (*ends, *(p for arrow in parts.arrows for p in arrow), *parts.label.corners)


def _inside(label: Label, window: Box) -> bool:
    x0, y0, x1, y1 = window
    return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in label.corners)


def _meets(spots: tuple[XY, ...], dx: float, dy: float, window: Box) -> bool:
    """Return whether the box of some points, moved, meets a window."""
    x0, y0, x1, y1 = window
    xs, ys = [x + dx for x, _ in spots], [y + dy for _, y in spots]
    return min(xs) <= x1 and max(xs) >= x0 and min(ys) <= y1 and max(ys) >= y0
