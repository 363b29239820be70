"""The proof that a nest of sticks is what was asked for; it shares no arithmetic with what made the nest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from rackgen.errors import NestError
from rackgen.sheets.stick_records import Piece, Stick, StickNest, StockNest
from rackgen.spec.shop import Remnant, Shop

NEAR = 0.001
"""Lengths as near as this are the same, mm."""


def check_sticks(
    nest: StickNest, wanted: Mapping[str, tuple[Piece, ...]], shop: Shop, remnants: tuple[Remnant, ...]
) -> None:
    """Make sure that every piece is there once, that no stick is overfull, and that every stick can be had.

    Args:
        nest: what was made.
        wanted: the pieces of each stock.
        shop: its saw and its shelf.
        remnants: pieces at hand.

    Raises:
        NestError: any of it is not so.
    """
    if sorted(s.stock for s in nest.stocks) != sorted(wanted):
        raise NestError("the nest does not have the stocks of the cut list")
    for one in nest.stocks:
        _pieces(one, wanted[one.stock])
        for stick in one.sticks:
            _room(one.stock, stick, shop)
        _to_be_had(one, shop, remnants)
        if one.cost < one.least - NEAR:
            raise NestError(f"{one.stock}: {one.cost} is under its own lower bound {one.least}")


def _pieces(nest: StockNest, wanted: tuple[Piece, ...]) -> None:
    there = Counter(cut.piece for stick in nest.sticks for cut in stick.cuts) + Counter(nest.left_out)
    if there != Counter(wanted):
        wrong = sorted(p.part for p in (there - Counter(wanted)) + (Counter(wanted) - there))
        raise NestError(f"{nest.stock}: not there exactly once: {', '.join(wrong)}")


def _room(stock: str, stick: Stick, shop: Shop) -> None:
    name = f"{stock}, stick {stick.number}"
    good = stick.length - 2 * (shop.saw.end_trim if stick.fresh else 0.0)
    at = 0.0
    for place, cut in enumerate(stick.cuts):
        if abs(cut.end - cut.start - cut.piece.saw) > NEAR:
            raise NestError(f"{name}: {cut.piece.part} is not as long as the cut list saws it")
        if cut.start < at + (shop.saw.kerf if place else 0.0) - NEAR:
            raise NestError(f"{name}: {cut.piece.part} leaves no room for the blade")
        at = cut.end
    if at > good + NEAR:
        raise NestError(f"{name}: {at:.2f} mm are cut from {good:.2f} mm")
    if not stick.cuts or abs(stick.left - max(0.0, good - at - shop.saw.kerf)) > NEAR:
        raise NestError(f"{name}: what is left of it is not what it says")


def _to_be_had(nest: StockNest, shop: Shop, remnants: tuple[Remnant, ...]) -> None:
    sold = next(s.sticks for s in shop.stock if s.name == nest.stock)
    have: Counter[float] = Counter()
    for remnant in remnants:
        if remnant.stock == nest.stock:
            have[remnant.length] += remnant.count
    used = Counter(stick.length for stick in nest.sticks if not stick.fresh)
    if used - have:
        raise NestError(f"{nest.stock}: more remnants are used than there are")
    if any(stick.fresh and stick.length not in sold for stick in nest.sticks):
        raise NestError(f"{nest.stock}: a stick of a length that is not bought")
