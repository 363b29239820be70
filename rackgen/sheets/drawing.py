"""Line drawings as data: what a page or a screen paints, in mm of the drawn thing.

Points are in the drawing's own XY, Y up, mm at full size. How large it is painted is the painter's business; text
heights, offsets of dimensions and offsets of words are mm on paper at any scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

Point = tuple[float, float]

Style = Literal["edge", "thin", "hidden", "centre", "fold", "cut", "mark"]
"""Outline of steel, thin line, behind something, axis, fold line, line to cut along, mark to draw or punch."""

Fill = Literal["", "steel", "light", "dark"]

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Stroke:
    """A line through points, closed or not.

    Attributes:
        points: two at least, mm.
        style: how it is drawn.
        closed: whether the last is joined to the first.
        fill: what it is filled with when closed.
        colour: red, green, blue of the line, 0 to 1; None for black.
        wide: of the line, mm on paper; 0 for its style's own.
        inside: red, green, blue that it is filled with when closed; what is so filled has no outline.
    """

    points: tuple[Point, ...]
    style: Style = "edge"
    closed: bool = False
    fill: Fill = ""
    colour: Colour | None = None
    wide: float = 0.0
    inside: Colour | None = None


@dataclass(frozen=True)
class Circle:
    """A circle; mm."""

    x: float
    y: float
    radius: float
    style: Style = "edge"


@dataclass(frozen=True)
class Words:
    """One line of text at a point.

    Attributes:
        x: of the point, mm.
        y: of the point, mm.
        text: one line.
        height: of capitals, mm on paper.
        align: which part of the text lies at the point; always its middle in height.
        angle: of the line of text, degrees anticlockwise.
        shift: from the point, mm on paper, along the drawing's X and Y.
        bold: whether it is bold.
    """

    x: float
    y: float
    text: str
    height: float = 2.4
    align: Literal["left", "centre", "right"] = "centre"
    angle: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    bold: bool = False


@dataclass(frozen=True)
class Dimension:
    """A straight dimension between two points, with extension lines and arrows.

    Attributes:
        start: mm.
        end: mm.
        text: in the shop's unit, already rounded.
        offset: of the dimension line from the points, mm on paper, positive to the left going from start to end.
        height: of the text, mm on paper.
    """

    start: Point
    end: Point
    text: str
    offset: float = 8.0
    height: float = 2.4


Item = Stroke | Circle | Words | Dimension


@dataclass(frozen=True)
class Drawing:
    """A drawing.

    Attributes:
        items: painted in order.
        scale: paper over the drawn thing that its texts were laid out for, 0 where they suit any.
    """

    items: tuple[Item, ...]
    scale: float = 0.0

    @property
    def box(self) -> tuple[Point, Point]:
        """The lowest and highest corner of everything but text, mm; text and dimension offsets are on paper."""
        points = np.array([p for item in self.items for p in _points(item)] or [(0.0, 0.0)])
        low, high = points.min(axis=0), points.max(axis=0)
        return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))

    def moved(self, dx: float, dy: float) -> Drawing:
        """Return the drawing moved, mm."""
        return Drawing(tuple(_moved(item, dx, dy) for item in self.items), self.scale)


def together(drawings: Iterable[Drawing]) -> Drawing:
    """Return drawings one over the other as one."""
    return Drawing(tuple(item for drawing in drawings for item in drawing.items))


def _points(item: Item) -> tuple[Point, ...]:
    match item:
        case Stroke():
            return item.points
        case Circle():
            return (item.x - item.radius, item.y - item.radius), (item.x + item.radius, item.y + item.radius)
        case Words():
            return ((item.x, item.y),)
        case Dimension():
            return item.start, item.end


def _moved(item: Item, dx: float, dy: float) -> Item:
    match item:
        case Stroke():
            return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
        case Circle():
            return Circle(item.x + dx, item.y + dy, item.radius, item.style)
        case Words():
            return Words(
                item.x + dx, item.y + dy, item.text, item.height, item.align, item.angle, item.shift, item.bold
            )
        case Dimension():
            (ax, ay), (bx, by) = item.start, item.end
            return Dimension((ax + dx, ay + dy), (bx + dx, by + dy), item.text, item.offset, item.height)
