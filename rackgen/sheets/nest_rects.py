# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false, reportUnknownVariableType=false
# pyright: reportMissingTypeStubs=false, reportArgumentType=false
# rectpack's defaults are taken for its types.
"""Rectangles into rectangles, the same way every time: the only file that knows rectpack. Whole numbers throughout."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

Size = tuple[int, int]
"""Along X and along Y."""


@dataclass(frozen=True)
class Put:
    """A rectangle in its place.

    Attributes:
        item: which, by its place in the list.
        x: of its left edge.
        y: of its lower edge.
        turned: whether it lies on its side.
    """

    item: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True)
class Filled:
    """A sheet with what lies on it.

    Attributes:
        sheet: which, by its place in the list.
        puts: what lies on it.
    """

    sheet: int
    puts: tuple[Put, ...]


def packings(
    items: Sequence[Size], first: Sequence[Size], then: Sequence[Size] = (), *, turn: bool, few: bool = False
) -> Iterator[tuple[Filled, ...]]:
    """Give the rectangles on the sheets in one way after the other; some may be left out, when they do not go on.

    Args:
        items: sizes, each over 0.
        first: sheets that are filled with as much as goes on them; each can be had once.
        then: sheets for what is left, numbered on from the first.
        turn: whether rectangles may be laid on their side.
        few: whether four ways are enough; twelve otherwise.
    """
    import rectpack

    algorithms = (rectpack.MaxRectsBssf, rectpack.MaxRectsBl, rectpack.MaxRectsBaf, rectpack.SkylineMwf)
    sorts = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)
    for algorithm in algorithms[:2] if few else algorithms:
        for sort in sorts[:2] if few else sorts:
            filled: list[Filled] = []
            for begin, sheets in ((0, first), (len(first), then)):
                there = {put.item for one in filled for put in one.puts}
                rest = [k for k in range(len(items)) if k not in there]
                filled += _packed(items, rest, sheets, begin, turn, algorithm, sort)
            yield tuple(filled)


def _packed(
    items: Sequence[Size],
    chosen: Sequence[int],
    sheets: Sequence[Size],
    begin: int,
    turn: bool,
    algorithm: Any,
    sort: Any,
) -> list[Filled]:
    """Return some of the items on sheets, those numbered from `begin`."""
    from rectpack.packer import PackerBFF

    packer = PackerBFF(pack_algo=algorithm, sort_algo=sort, rotation=turn)
    for item in chosen:
        packer.add_rect(*items[item], rid=item)
    for place, (along, across) in enumerate(sheets, begin):
        if along > 0 and across > 0:
            packer.add_bin(along, across, bid=place)
    packer.pack()
    return [
        Filled(one.bid, tuple(Put(r.rid, r.x, r.y, (r.width, r.height) != items[r.rid]) for r in one))
        for one in packer
        if len(one)
    ]


def one_sheet(items: Sequence[Size], sheet: Size, *, turn: bool) -> tuple[Put, ...] | None:
    """Return the rectangles on one sheet, or None when no way that was tried brings all of them on it."""
    for filled in packings(items, (sheet,), turn=turn, few=True):
        if sum(len(one.puts) for one in filled) == len(items):
            return filled[0].puts
    return None


def largest_free(sheet: Size, taken: Sequence[tuple[int, int, int, int]]) -> tuple[int, int, int, int] | None:
    """Return the largest rectangle that nothing lies on, as left, lower, right and upper edge; or None.

    Of equal ones the leftmost, then the lowest.

    Args:
        sheet: from the origin.
        taken: edges of what lies on it, which may overlap and reach over the sheet's edges.
    """
    free = [(0, 0, *sheet)]
    for left, low, right, high in taken:
        split: list[tuple[int, int, int, int]] = []
        for one in free:
            a, b, c, d = one
            if left >= c or right <= a or low >= d or high <= b:
                split.append(one)
                continue
            parts = ((a, b, left, d), (right, b, c, d), (a, b, c, low), (a, high, c, d))
            split += [p for p in parts if p[2] > p[0] and p[3] > p[1]]
        free = _outermost(split)
    return min(free, key=lambda r: (-(r[2] - r[0]) * (r[3] - r[1]), r), default=None)


def _outermost(rectangles: list[tuple[int, int, int, int]]) -> list[tuple[int, int, int, int]]:
    """Return those that lie in no other."""
    kept: list[tuple[int, int, int, int]] = []
    for one in sorted(set(rectangles), key=lambda r: (-(r[2] - r[0]) * (r[3] - r[1]), r)):
        if not any(k[0] <= one[0] and k[1] <= one[1] and k[2] >= one[2] and k[3] >= one[3] for k in kept):
            kept.append(one)
    return kept
