"""Which rectangles go on which sheet: remnants first, then the fewest sheets, then what is left in one piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackgen.sheets.nest_rects import Filled, Put, Size, largest_free, one_sheet, packings

STEPS = 8
"""Halvings by which pieces are pushed together toward one end of a sheet."""


@dataclass(frozen=True)
class Offer:
    """A sheet that may be used: its room inside the margin, with one spacing more than there is; whole numbers."""

    room: Size
    fresh: bool


def plan(items: Sequence[Size], offers: Sequence[Offer], *, turn: bool) -> tuple[Filled, ...]:
    """Return the best of the ways that were tried; what is on no sheet in it is left out.

    Best leaves the least out, then uses the fewest fresh sheets, then puts the least area on those, then takes the
    smallest remnants, then leaves the largest rectangle of a sheet that is used.

    Args:
        items: sizes with one spacing on each.
        offers: remnants, then fresh sheets enough.
        turn: whether rectangles may be laid on their side.
    """
    remnants = sorted((k for k, o in enumerate(offers) if not o.fresh), key=lambda k: (_area(offers[k].room), k))
    fresh = [k for k, o in enumerate(offers) if o.fresh]
    best: tuple[tuple[int, ...], tuple[Filled, ...]] | None = None
    for order in dict.fromkeys((tuple(remnants), tuple(reversed(remnants)), ())):
        places = [*order, *fresh]
        first, then = ([offers[k].room for k in group] for group in (order, fresh))
        for found in packings(items, first, then, turn=turn):
            filled = tuple(Filled(places[one.sheet], one.puts) for one in found)
            score = _score(items, offers, filled)
            if best is None or score < best[0]:
                best = score, filled
    if best is None:
        return ()
    together = (Filled(one.sheet, pushed_together(items, offers[one.sheet].room, one.puts, turn)) for one in best[1])
    return tuple(sorted(together, key=lambda one: (offers[one.sheet].fresh, one.sheet)))


def _score(items: Sequence[Size], offers: Sequence[Offer], filled: tuple[Filled, ...]) -> tuple[int, ...]:
    used = [(offers[one.sheet], one.puts) for one in filled]
    free = (largest_free(offer.room, [edges(items, p) for p in puts]) for offer, puts in used)
    return (
        len(items) - sum(len(puts) for _, puts in used),
        sum(offer.fresh for offer, _ in used),
        sum(_area(items[p.item]) for offer, puts in used if offer.fresh for p in puts),
        sum(_area(offer.room) for offer, _ in used if not offer.fresh),
        -max((_area((r[2] - r[0], r[3] - r[1])) for r in free if r), default=0),
    )


def edges(items: Sequence[Size], put: Put) -> tuple[int, int, int, int]:
    """Return left, lower, right and upper edge of a rectangle in its place."""
    along, across = items[put.item] if not put.turned else items[put.item][::-1]
    return put.x, put.y, put.x + along, put.y + across


def pushed_together(items: Sequence[Size], room: Size, puts: tuple[Put, ...], turn: bool) -> tuple[Put, ...]:
    """Return the same rectangles on the same sheet so that the largest rectangle is left of it.

    They are tried on an ever shorter end of it, across its width and along its length, by halving.
    """
    held = [items[p.item] for p in puts]

    def left(tried: tuple[Put, ...]) -> int:
        free = largest_free(room, [edges(held, p) for p in tried])
        return _area((free[2] - free[0], free[3] - free[1])) if free else 0

    numbered = tuple(Put(k, p.x, p.y, p.turned) for k, p in enumerate(puts))
    best, most = numbered, left(numbered)
    for axis in (0, 1):
        low, high = sum(map(_area, held)) // room[1 - axis], room[axis]
        for _ in range(STEPS):
            size = (low + high) // 2
            tried = one_sheet(held, (size, room[1]) if axis == 0 else (room[0], size), turn=turn)
            if tried is None:
                low = size
                continue
            high = size
            if left(tried) > most:
                best, most = tried, left(tried)
    return tuple(Put(puts[p.item].item, p.x, p.y, p.turned) for p in best)


def _area(size: Size) -> int:
    return size[0] * size[1]
