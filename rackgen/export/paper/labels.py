"""Words and dimensions of a drawing as they lie on paper, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.export.paper.fonts import points, width
from rackgen.export.paper.ink import XY, Align
from rackgen.sheets.drawing import Dimension, Words

ARROW = 2.4
"""Length of an arrow, mm."""

BEYOND = 1.5
"""How far an extension line goes past the dimension line, mm."""

AWAY = 1.0
"""Between the drawn thing and its extension line, mm."""

CLEAR = 0.5
"""White round a text, mm."""


@dataclass(frozen=True)
class Label:
    """One line of text.

    Attributes:
        x: of the point that `align` speaks of, at half the height of the capitals, mm.
        y: of the same, mm.
        text: one line.
        height: of capitals, mm.
        align: which part of the text lies there.
        angle: degrees anticlockwise.
        bold: whether it is bold.
    """

    x: float
    y: float
    text: str
    height: float
    align: Align
    angle: float
    bold: bool

    @property
    def length(self) -> float:
        """Of the text, mm."""
        return width(self.text, points(self.height), self.bold)

    @property
    def foot(self) -> XY:
        """The point at the foot of the capitals."""
        a = math.radians(self.angle)
        return self.x + math.sin(a) * self.height / 2, self.y - math.cos(a) * self.height / 2

    @property
    def corners(self) -> tuple[XY, ...]:
        """Of the white behind the text: capitals, tails of letters, and a little round them."""
        back = {"left": 0.0, "centre": 0.5, "right": 1.0}[self.align] * self.length
        x0, x1 = -back - CLEAR, self.length - back + CLEAR
        y0, y1 = -self.height * 0.5 - max(CLEAR, 0.26 * self.height), self.height * 0.5 + CLEAR
        return turned(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), self.angle, (self.x, self.y))


@dataclass(frozen=True)
class Measured:
    """A dimension on paper: thin lines, arrows as triangles, its text."""

    lines: tuple[tuple[XY, XY], ...]
    arrows: tuple[tuple[XY, XY, XY], ...]
    label: Label


def turned(points: tuple[XY, ...], angle: float, about: XY) -> tuple[XY, ...]:
    """Return points given from a place along a direction in degrees, as points on paper."""
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return tuple((about[0] + x * cos - y * sin, about[1] + x * sin + y * cos) for x, y in points)


def words_label(words: Words, scale: float, dx: float, dy: float) -> Label:
    """Return words of a drawing that is painted at a scale and moved, mm."""
    x, y = words.x * scale + dx + words.shift[0], words.y * scale + dy + words.shift[1]
    return Label(x, y, " ".join(words.text.split()), words.height, words.align, words.angle, words.bold)


def measured(dimension: Dimension, scale: float, dx: float, dy: float) -> Measured:
    """Return a dimension of a drawing that is painted at a scale and moved, mm.

    The text stands in a break of its line, beside the line where it is too long for that, beyond the line's end where
    it is longer than the line. Arrows come from outside where there is no room between.
    """
    (ax, ay), (bx, by) = dimension.start, dimension.end
    a, b = (ax * scale + dx, ay * scale + dy), (bx * scale + dx, by * scale + dy)
    long = math.hypot(b[0] - a[0], b[1] - a[1])
    angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    off = dimension.offset
    side = 1.0 if off >= 0 else -1.0

    def at(x: float, y: float) -> XY:
        return turned(((x, y),), angle, a)[0]

    lines: list[tuple[XY, XY]] = []
    if abs(off) > AWAY:
        lines += [(at(x, side * AWAY), at(x, off + side * BEYOND)) for x in (0.0, long)]
    text = width(dimension.text, points(dimension.height)) + 2 * CLEAR
    inside = long >= 2 * ARROW + 1.0
    way = 1.0 if inside else -1.0
    arrows = tuple(
        (at(x, off), at(x + s * way * ARROW, off + ARROW / 6), at(x + s * way * ARROW, off - ARROW / 6))
        for x, s in ((0.0, 1.0), (long, -1.0))
    )
    tail = 0.0 if inside else ARROW + 2.0
    lines.append((at(-tail, off), at(long + tail, off)))
    align: Align = "centre"
    beside = side * (dimension.height / 2 + 1.0)
    if long >= text + 2 * ARROW + 1.0:
        place = at(long / 2, off)
    elif long >= text:
        place = at(long / 2, off + beside)
    else:
        place, align = at(long + max(tail, 1.0) + CLEAR, off), "left"
    upright = (angle + 90.0) % 360.0 - 90.0
    if not -90.0 + 1e-6 < upright < 90.0 + 1e-6:
        # Read from below or from the right (ISO 129-1).
        upright += 180.0 if upright < 0.0 else -180.0
        align = "right" if align == "left" else align
    label = Label(*place, dimension.text, dimension.height, align, upright, bold=False)
    return Measured(tuple(lines), arrows, label)
