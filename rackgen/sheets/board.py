"""A sheet of paper that a drawing is laid out on: what is taken, and where the next text or dimension still fits.

Places are given in the drawing's own mm; whether they are free is decided on paper, at the scale that it is laid out
for. Texts keep their size and everything else grows with the scale, so a layout that is clear at one scale is clear
at every larger one as far as its texts go.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from rackgen.geom.frame import Array
from rackgen.sheets.drawing import Circle, Dimension, Drawing, Fill, Item, Point, Stroke, Style, Words

LETTER = 0.88
"""Width of a letter over the height of capitals, more than any usual face takes on average."""

SHORT = 0.65
"""The least that a text is of the guess: where it stands depends on its length, so both places are kept free."""

CLEAR = 0.9
"""White round every text, mm on paper."""

REACH = (3.0, 4.5, 6.5, 9.0, 12.0, 15.0, 19.0, 24.0, 30.0, 37.0, 45.0, 60.0, 80.0, 120.0, 200.0, 400.0)
"""How far from what it names a text is tried, mm on paper."""

SWING = tuple(float(a) for k in range(0, 181, 15) for a in ({k, -k} if 0 < k < 180 else {k}))
"""Ways off the wanted one in which it is tried, degrees."""

TRIED = tuple(sorted(itertools.product(REACH, SWING), key=lambda t: t[0] + abs(t[1]) / 12.0))
"""Both, the best first."""

ARROW = 2.4
"""Of a dimension, mm on paper."""

SCALES = (2, 1, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15, 1 / 16,
          1 / 20, 1 / 25, 1 / 30, 1 / 40, 1 / 50, 1 / 60, 1 / 80, 1 / 100, 1 / 150, 1 / 200)  # fmt: skip
"""Scales that are tried, largest first."""


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Return a safe guess of how long a text is, mm on paper, from the height of its capitals."""
    return len(text) * height * LETTER * (1.08 if bold else 1.0)


class Board:
    """A drawing as it is laid out."""

    def __init__(self, scale: float) -> None:
        """Begin with empty paper at a scale, paper over the drawn thing."""
        self.scale = scale
        self.items: list[Item] = []
        self._discs: list[Array] = []
        self._boxes: list[tuple[float, float, float, float]] = []
        self._all = np.zeros((0, 3))
        self._lines: list[Array] = []
        self._figures: list[Array] = []

    @property
    def drawing(self) -> Drawing:
        """What is on it."""
        return Drawing(tuple(self.items), self.scale)

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """What is taken: left, bottom, right, top, mm on paper."""
        discs = np.vstack([self._taken(), *self._lines, np.zeros((0, 3))])
        boxes = np.array(self._boxes, dtype=float).reshape(-1, 4)
        low = np.vstack([discs[:, :2] - discs[:, 2:], boxes[:, :2]]).min(axis=0, initial=np.inf)
        high = np.vstack([discs[:, :2] + discs[:, 2:], boxes[:, 2:]]).max(axis=0, initial=-np.inf)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def take(self, points: ArrayLike, half: float = 0.0) -> None:
        """Keep texts off a line, drawn mm, and off what lies within half its thickness, drawn mm."""
        self._discs.append(along(np.asarray(points, dtype=float) * self.scale, half * self.scale))

    def stroke(
        self, points: ArrayLike, style: Style = "edge", *, closed: bool = False, fill: Fill = "", taken: bool = True
    ) -> None:
        """Draw a line, drawn mm, and keep texts off it unless that does not matter."""
        spots = np.asarray(points, dtype=float)
        self.items.append(Stroke(tuple((float(x), float(y)) for x, y in spots), style, closed, fill))
        ring = np.vstack([spots, spots[:1]]) if closed else spots
        if taken:
            self.take(ring)
        else:
            self._lines.append(along(ring * self.scale, 0.0, 4.0))

    def circle(self, x: float, y: float, radius: float, style: Style = "edge") -> None:
        """Draw a circle, drawn mm, and keep texts off it."""
        self.items.append(Circle(x, y, radius, style))
        self._discs.append(np.array([[x * self.scale, y * self.scale, radius * self.scale]]))

    def dimension(self, start: ArrayLike, end: ArrayLike, text: str, side: float = 1.0, near: float = 8.0) -> None:
        """Draw a dimension on the wanted side, as near as it is clear there, else on the other.

        Args:
            start: drawn mm.
            end: drawn mm.
            text: its text.
            side: 1 to the left going from start to end, -1 to the right.
            near: the least offset, mm on paper.
        """
        a, b = np.asarray(start, dtype=float) * self.scale, np.asarray(end, dtype=float) * self.scale
        tried = [s * (near + 6.0 * k) for k in range(4) for s in (side,)]
        tried += [-s * (near + 6.0 * k) for k in range(4) for s in (side,)]
        tried += [side * (near + 6.0 * k) for k in range(4, 60)]
        off = next((o for o in tried if self._clear(*_dimension_taken(a, b, text, o))), tried[-1])
        own = _dimension_taken(a, b, text, off)
        self._discs += [own[0], own[1]]
        self._figures.append(own[1])
        self._lines.append(own[2])
        self.items.append(Dimension(_xy(start), _xy(end), text, off))

    def words(
        self,
        text: str,
        at: ArrayLike,
        toward: ArrayLike,
        *,
        height: float = 2.4,
        bold: bool = False,
        leader: bool = True,
        near: float = 0.0,
    ) -> None:
        """Write a text where there is room for it, with a thin line to what it names.

        Args:
            text: one line.
            at: what it names, drawn mm.
            toward: in which way from there it stands if it can.
            height: of capitals, mm on paper.
            bold: whether it is bold.
            leader: whether the thin line is drawn.
            near: least distance, mm on paper.
        """
        spot = np.asarray(at, dtype=float) * self.scale
        half = np.array([text_width(text, height, bold=bold) / 2, height * 0.76]) + CLEAR / 2
        aim = np.asarray(toward, dtype=float)
        ways = math.degrees(math.atan2(float(aim[1]), float(aim[0])))

        def places() -> Iterator[tuple[Array, Array]]:
            for reach, swing in TRIED:
                if reach < near:
                    continue
                a = math.radians(ways + swing)
                way = np.array([math.cos(a), math.sin(a)])
                # From the anchor to where a ray along the way leaves the text's box.
                to_edge = min(h / abs(w) for h, w in zip(half.tolist(), way.tolist(), strict=True) if abs(w) > 1e-9)
                yield spot + way * (reach + to_edge), spot + way * reach

        # Where a thin line can reach it nowhere, the nearest free place without regard to the line.
        tries = ((place, lined) for lined in ((True, False) if leader else (False,)) for place in places())
        middle, foot = next(
            (place for place, lined in tries if self._room(place[0], half, spot, place[1] if lined else None)),
            next(places()),
        )
        self._boxes.append((*(middle - half), *(middle + half)))  # pyright: ignore[reportArgumentType]
        if leader:
            self._lines.append(along(np.array([spot, foot]), 0.1))
            self.items.append(Stroke((_xy(at), _xy(foot / self.scale)), "thin"))
        x, y = _xy(middle / self.scale)
        self.items.append(Words(x, y, text, height, "centre", bold=bold))

    def upright(self, text: str, x: float, y: float, long: float, height: float) -> None:
        """Write a text that is read from the right, its end at a place, drawn mm, as it is; `long` on paper, mm."""
        px, py = x * self.scale, y * self.scale
        self._boxes.append((px - height * 0.8, py - long, px + height * 0.8, py))
        self.items.append(Words(x, y, text, height, "right", 90.0))

    def title(self, text: str, x: float, y: float, *, height: float = 3.0) -> None:
        """Write a heading with its left edge at a place, drawn mm, as it is."""
        wide = text_width(text, height, bold=True)
        px, py = x * self.scale, y * self.scale
        self._boxes.append((px, py - height, px + wide, py + height))
        self.items.append(Words(x, y, text, height, "left", bold=True))

    def _taken(self) -> Array:
        if self._discs:
            self._all = np.vstack([self._all, *self._discs])
            self._discs = []
        return self._all

    def _room(self, middle: Array, half: Array, spot: Array, foot: Array | None) -> bool:
        """Return whether a text's box is clear, and its thin line runs through no other text."""
        if _reaches(self._taken(), middle, half, 0.35):
            return False
        if any(_reaches(line, middle, half, 0.2, thick=False) for line in self._lines):
            return False
        x0, y0, x1, y1 = *(middle - half), *(middle + half)
        if any(x0 < b[2] and b[0] < x1 and y0 < b[3] and b[1] < y1 for b in self._boxes):
            return False
        if foot is None:
            return True
        line = along(np.array([spot, foot]), 0.1)
        return self._off_texts(line) and not any(_meet(line, figure) for figure in self._figures)

    def _off_texts(self, discs: Array) -> bool:
        """Return whether discs keep off every text."""
        return not any(
            (
                (discs[:, 0] + discs[:, 2] > b[0])
                & (discs[:, 0] - discs[:, 2] < b[2])
                & (discs[:, 1] + discs[:, 2] > b[1])
                & (discs[:, 1] - discs[:, 2] < b[3])
            ).any()
            for b in self._boxes
        )

    def _clear(self, line: Array, text: Array, beyond: Array) -> bool:
        """Return whether a dimension's line and text keep off everything, and its extension lines off texts."""
        own = np.vstack([line, text])
        if _meet(own, self._taken(), 0.4) or any(_meet(text, line) for line in self._lines):
            return False
        return self._off_texts(own) and self._off_texts(beyond)


def _reaches(discs: Array, middle: Array, half: Array, clear: float, *, thick: bool = True) -> bool:
    """Return whether a disc, or its middle alone, comes within `clear` of a box."""
    gap = np.maximum(np.abs(discs[:, :2] - middle) - half, 0.0)
    least = discs[:, 2] + clear if thick else clear
    return bool((gap[:, 0] ** 2 + gap[:, 1] ** 2 < least**2).any())


def along(points: Array, half: float, step: float = 0.8) -> Array:
    """Return discs along a line, shape (n, 3): x, y and radius, in the unit of the points."""
    out: list[Array] = []
    for a, b in itertools.pairwise(points):
        n = max(1, math.ceil(float(np.hypot(*(b - a))) / max(step, half * 0.6)))
        out.append(a + (b - a) * np.linspace(0.0, 1.0, n + 1)[:, None])
    spots = np.vstack(out) if out else points.reshape(-1, 2)
    return np.column_stack([spots, np.full(len(spots), half)])


def _dimension_taken(a: Array, b: Array, text: str, off: float) -> tuple[Array, Array, Array]:
    """Return what a dimension's line, its text and its extension lines take, as discs, mm on paper."""
    long = float(np.hypot(*(b - a)))
    way = (b - a) / long if long > 1e-9 else np.array([1.0, 0.0])
    left = np.array([-way[1], way[0]])
    height = 2.4
    wide = text_width(text, height)
    tail = 0.0 if long >= 2 * ARROW + 1 else ARROW + 2.0
    line = along(np.array([a - way * tail, b + way * tail]) + left * off, 0.3)
    words = np.vstack([_figures(a, b, way, left, long, off, w, height, tail) for w in (wide, wide * SHORT)])
    aside = math.copysign(1.5, off)
    beyond = np.vstack([along(np.array([p + left * math.copysign(1.0, off), p + left * (off + aside)]), 0.1)
                        for p in (a, b)])  # fmt: skip
    return line, words, beyond


def _meet(one: Array, other: Array, clear: float = 0.0) -> bool:
    """Return whether any disc of the one comes within `clear` mm of one of the other."""
    apart = np.hypot(one[:, None, 0] - other[None, :, 0], one[:, None, 1] - other[None, :, 1])
    return bool((apart < one[:, None, 2] + other[None, :, 2] + clear).any())


def _figures(
    a: Array, b: Array, way: Array, left: Array, long: float, off: float, wide: float, height: float, tail: float
) -> Array:
    """Return what a dimension's text takes if it is so long: in a break of its line, beside it, or beyond its end."""
    if long >= wide + 2 * ARROW + 1:
        middle = (a + b) / 2 + left * off
    elif long >= wide:
        middle = (a + b) / 2 + left * (off + math.copysign(height / 2 + 1.0, off))
    else:
        middle = b + way * (max(tail, 1.0) + wide / 2 + 0.5) + left * off
    return along(np.array([middle - way * wide / 2, middle + way * wide / 2]), height * 0.75, 0.5)


def _xy(point: ArrayLike) -> Point:
    x, y = np.asarray(point, dtype=float)
    return float(x), float(y)
