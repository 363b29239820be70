"""Cutting pieces out of lengths as a sum with whole numbers: what is wanted and offered, first fit, and a lower bound.

Lengths and costs are whole numbers (hundredths of a millimetre and of a price), so that nothing depends on rounding.
A blade goes between two pieces and not beyond the last when it ends where the length does; therefore a length of
`room` takes pieces whose sizes, each with a kerf, come to no more than `room` with a kerf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from rackgen.sheets.patterns import Pattern


@dataclass(frozen=True)
class Offer:
    """A length to cut from.

    Attributes:
        room: what pieces and kerfs may take of it.
        cost: of one; 0 for what is there already.
        count: how many there are; None for as many as one likes.
    """

    room: int
    cost: int
    count: int | None = None


@dataclass(frozen=True)
class Order:
    """What is wanted and what it may be cut from.

    Attributes:
        sizes: of the pieces: different, falling, over 0.
        wanted: how many of each, over 0.
        kerf: of the saw.
        offers: lengths to cut from; those without end cost something, the others nothing.
        may_leave: whether pieces may be left out, each at the cost of its own size.
    """

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    kerf: int
    offers: tuple[Offer, ...]
    may_leave: bool = False


@dataclass(frozen=True)
class Filled:
    """One length with what is cut from it.

    Attributes:
        offer: which of the order's offers it is.
        pieces: how many of each size.
    """

    offer: int
    pieces: Pattern


@dataclass(frozen=True)
class Plan:
    """How an order is cut.

    Attributes:
        filled: the lengths, those with most of the long pieces first.
        left: how many of each size are left out.
        cost: of all.
        least: no way of cutting costs less.
    """

    filled: tuple[Filled, ...]
    left: Pattern
    cost: int
    least: int


def free(order: Order, filled: Filled) -> int:
    """Return the room that is left, a kerf included; no piece fits unless it and its kerf do."""
    used = sum((size + order.kerf) * n for size, n in zip(order.sizes, filled.pieces, strict=True))
    return order.offers[filled.offer].room + order.kerf - used


def plan(order: Order, filled: list[Filled], left: Pattern, least: int) -> Plan:
    """Return a plan in its one order: nothing empty, each bought length the cheapest that does, its cost summed up."""
    bought = [(offer.cost, place) for place, offer in enumerate(order.offers) if offer.count is None]
    kept: list[Filled] = []
    for one in filled:
        if not any(one.pieces):
            continue
        if order.offers[one.offer].count is None:
            one = min((c, p, Filled(p, one.pieces)) for c, p in bought if free(order, Filled(p, one.pieces)) >= 0)[2]
        kept.append(one)
    kept.sort(key=lambda f: (order.offers[f.offer].count is None, tuple(-n for n in f.pieces), f.offer))
    cost = sum(order.offers[f.offer].cost for f in kept)
    cost += sum(size * n for size, n in zip(order.sizes, left, strict=True))
    return Plan(tuple(kept), left, cost, least)


def step(order: Order) -> int:
    """Return the number that every possible cost is a multiple of."""
    costs = [offer.cost for offer in order.offers]
    return math.gcd(*costs, *(order.sizes if order.may_leave else ())) or 1


def least(order: Order) -> int:
    """Return a cost that no way of cutting can be under: everything packed without any loss, in whole steps."""
    total = sum((size + order.kerf) * n for size, n in zip(order.sizes, order.wanted, strict=True))
    total -= sum((offer.room + order.kerf) * offer.count for offer in order.offers if offer.count is not None)
    rates = [Fraction(offer.cost, offer.room + order.kerf) for offer in order.offers if offer.count is None]
    if order.may_leave:
        rates += [Fraction(size, size + order.kerf) for size in order.sizes]
    unit = step(order)
    return math.ceil(max(0, total) * min(rates) / unit) * unit if rates else 0


def first_fit(order: Order) -> Plan:
    """Return the plan of the simple rule: the longest piece first, into the first length that takes it.

    What is there already comes first, short before long. Each length that can be bought is tried as the usual one.

    Raises:
        ValueError: a piece is longer than everything offered and may not be left out.
    """
    bought = [place for place, offer in enumerate(order.offers) if offer.count is None]
    bound = least(order)
    tried = [_first_fit(order, usual, bound) for usual in (bought or [None])]
    return min(tried, key=lambda p: p.cost)


def _first_fit(order: Order, usual: int | None, bound: int) -> Plan:
    there = sorted((offer.room, place, offer.count) for place, offer in enumerate(order.offers) if offer.count)
    opened = [place for _, place, count in there for _ in range(count)]
    rooms = [order.offers[place].room + order.kerf for place in opened]
    pieces = [[0] * len(order.sizes) for _ in opened]
    left = [0] * len(order.sizes)
    for which, (size, wanted) in enumerate(zip(order.sizes, order.wanted, strict=True)):
        need = size + order.kerf
        for _ in range(wanted):
            place = next((k for k, room in enumerate(rooms) if room >= need), None)
            if place is None:
                offer = _to_open(order, usual, size)
                if offer is None:
                    left[which] += 1
                    continue
                opened.append(offer)
                rooms.append(order.offers[offer].room + order.kerf)
                pieces.append([0] * len(order.sizes))
                place = len(opened) - 1
            rooms[place] -= need
            pieces[place][which] += 1
    if any(left) and not order.may_leave:
        raise ValueError("a piece is longer than everything it may be cut from")
    filled = [Filled(offer, tuple(held)) for offer, held in zip(opened, pieces, strict=True)]
    return plan(order, filled, tuple(left), bound)


def _to_open(order: Order, usual: int | None, size: int) -> int | None:
    """Return the length to buy for a piece: the usual one, else the cheapest that is long enough."""
    if usual is not None and order.offers[usual].room >= size:
        return usual
    fits = [(o.cost, place) for place, o in enumerate(order.offers) if o.count is None and o.room >= size]
    return min(fits)[1] if fits else None
