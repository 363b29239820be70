"""Pieces one under the other, over as many pages as they take."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from rackgen.export.paper.ink import Ink
from rackgen.export.paper.sheet import Page, Sheet

Draw = Callable[[Ink, float, float], None]
"""Called with the left edge and the top of the place, mm."""


LEAST = 60.0
"""A last page with less on it than this, mm, takes what stands above along."""


@dataclass(frozen=True)
class Piece:
    """What is never parted by a page's end.

    Attributes:
        height: mm.
        draw: paints it.
        stays: whether it keeps to the piece that follows.
        again: painted over it when it is the first on a page: a table's column titles.
        gap: whether it is only room between two others, dropped at a page's top.
    """

    height: float
    draw: Draw
    stays: bool = False
    again: Piece | None = None
    gap: bool = False


def space(height: float, *, stays: bool = False) -> Piece:
    """Return room between two pieces, mm."""
    return Piece(height, lambda ink, x, y: None, stays=stays, gap=True)


class Flow:
    """Pages of a station as they fill."""

    def __init__(self, station: str) -> None:
        """Begin with no page."""
        self.pages: list[Page] = []
        self._station = station
        self._sheet: Sheet | None = None
        self._waiting: list[Piece] = []
        self._paint: list[Callable[[Ink], None]] = []
        self._y = 0.0

    def add(self, pieces: Sequence[Piece], sheet: Sheet) -> None:
        """Set pieces on sheets of one kind, on the last page when it is of that kind and they fit."""
        if self._sheet != sheet:
            self.turn()
            self._sheet, self._y = sheet, sheet.top
        # They wait for what follows, since a heading keeps to the next block.
        self._waiting += pieces

    def hold(self, most: float) -> None:
        """Keep the last piece, if it is no higher than `most` mm, to what is added next."""
        for i in reversed(range(len(self._waiting))):
            if not self._waiting[i].gap:
                if self._waiting[i].height <= most:
                    self._waiting[i] = replace(self._waiting[i], stays=True)
                return

    def turn(self) -> None:
        """End the page if anything is on it."""
        if self._sheet is None:
            return
        self._waiting = ended(self._waiting)
        for i, piece in enumerate(self._waiting):
            if self._paint and self._y - _together(self._waiting[i:], self._sheet.depth) < self._sheet.bottom - 1e-6:
                self._close(self._sheet, tuple(self._paint))
                self._paint, self._y = [], self._sheet.top
            if not self._paint:
                if piece.gap:
                    continue
                if piece.again is not None:
                    self._set(piece.again, self._sheet)
            self._set(piece, self._sheet)
        if self._paint:
            self._close(self._sheet, tuple(self._paint))
        self._sheet, self._paint, self._waiting = None, [], []

    def whole(self, sheet: Sheet, paint: Callable[[Ink], None], under: str = "") -> None:
        """Add a page painted by one hand, the station's title followed by what it stands under."""
        self.turn()
        self._close(sheet, (paint,), under)

    def _close(self, sheet: Sheet, paint: tuple[Callable[[Ink], None], ...], under: str = "") -> None:
        title = f"{self._station}: {under}" if under else self._station
        self.pages.append(Page(sheet, title, self._station if not self.pages else "", paint))

    def _set(self, piece: Piece, sheet: Sheet) -> None:
        if not piece.gap:
            self._paint.append(_at(piece.draw, sheet.left, self._y))
        self._y -= piece.height


def _at(draw: Draw, x: float, y: float) -> Callable[[Ink], None]:
    return lambda ink: draw(ink, x, y)


def _together(pieces: Sequence[Piece], most: float) -> float:
    """Return the height of the first piece and of those it keeps to, mm; where no page holds them, of two of them."""
    height, two = pieces[0].height, 0.0
    for before, after in pairwise(pieces):
        if not (before.stays or before.gap):
            break
        height += after.height
        if not after.gap:
            two = two or height
        if height > most:
            return two
    return height


def ended(pieces: Sequence[Piece]) -> list[Piece]:
    """Return pieces, the last of them kept together from where they are high enough for a page of their own."""
    high = 0.0
    for first in reversed(range(len(pieces))):
        high += pieces[first].height
        if high >= LEAST:
            return [replace(p, stays=p.stays or n >= first) for n, p in enumerate(pieces)]
    return list(pieces)


def kept(pieces: Sequence[Piece], whole: float = 0.0) -> list[Piece]:
    """Return pieces of a list, the first two on one page and the last two; all of them where they are no higher.

    Args:
        pieces: one a line of the list.
        whole: height up to which none is parted from the rest, mm.
    """
    last = len(pieces) - 1
    every = sum(p.height for p in pieces) <= whole
    return [replace(p, stays=p.stays or (n < last and (every or n in (0, last - 1)))) for n, p in enumerate(pieces)]
