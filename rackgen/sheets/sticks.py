"""The cut list nested onto sticks: what is sawn from which stick, in which order, what is bought and what is left.

Pieces are as long as the cut list saws them. A fresh stick is faced at both ends first; a remnant is good from end to
end. Dimensions run from one end of what is good, the blade beyond each mark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from rackgen.errors import Finding, Level
from rackgen.parts.rack import Rack
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.cutting import Offer, Order, Plan
from rackgen.sheets.cutting_best import Work, best
from rackgen.sheets.stick_records import Cut, Piece, Stick, StickNest, StockNest
from rackgen.sheets.sticks_check import check_sticks
from rackgen.spec.shop import Remnant, Shop
from rackgen.spec.stock import Stock

FINE = 100
"""Whole numbers of the sum in a millimetre, and in a unit of the shop's money."""


def stick_nest(
    rack: Rack, shop: Shop, remnants: Sequence[Remnant], *, fresh: bool = True, work: Work | None = None
) -> tuple[StickNest, tuple[Finding, ...]]:
    """Return the cut list's tubes and bars on sticks, and findings: pieces too long, prices missing, bounds not met.

    Args:
        rack: the rack.
        shop: its saw, and what its stock is bought in.
        remnants: pieces at hand, used before anything is bought.
        fresh: whether sticks may be bought; without, as much length as possible comes out of the remnants.
        work: how much may be tried; the usual when left out.

    Raises:
        NestError: the result is not what was asked for; a mistake of this program.
    """
    groups: dict[str, list[Piece]] = {}
    kinds: dict[str, Literal["tube", "bar"]] = {}
    for line in cut_list(rack, shop)[0].lines:
        if line.kind == "tube" or line.kind == "bar":
            kinds[line.stock] = line.kind
            made = [Piece(part, line.mark, line.word, line.stage, line.saw) for part in line.ids]
            groups.setdefault(line.stock, []).extend(made)
    shelf = {stock.name: stock for stock in shop.stock}
    nests: list[StockNest] = []
    findings: list[Finding] = []
    for name, pieces in groups.items():
        at_hand = [r for r in remnants if r.stock == name]
        nest, found = nest_stock(shelf[name], kinds[name], pieces, shop, at_hand, fresh=fresh, work=work)
        nests.append(nest)
        findings += found
    nest = StickNest(shop.unit, shop.saw.kerf, shop.saw.least_remnant, fresh, tuple(nests))
    check_sticks(nest, {name: tuple(pieces) for name, pieces in groups.items()}, shop, tuple(remnants))
    silent = [name for name in groups if fresh and not shelf[name].prices]
    if silent:
        findings.append(_no_price(silent))
    return nest, tuple(findings)


def nest_stock(
    stock: Stock,
    kind: Literal["tube", "bar"],
    pieces: Sequence[Piece],
    shop: Shop,
    remnants: Sequence[Remnant],
    *,
    fresh: bool = True,
    work: Work | None = None,
) -> tuple[StockNest, list[Finding]]:
    """Return the pieces of one stock on sticks, whatever order they come in, and findings."""
    trim = shop.saw.end_trim
    bought = list(zip(stock.sticks, stock.prices or stock.sticks, strict=True)) if fresh else []
    # What a stick can give is rounded down and what a piece needs up, each by less than the saw can tell.
    offers = [Offer(_down(length - 2 * trim), round(cost * FINE)) for length, cost in bought]
    lengths = [length for length, _ in bought]
    counts: dict[float, int] = {}
    for remnant in remnants:
        counts[remnant.length] = counts.get(remnant.length, 0) + remnant.count
    for length, count in sorted(counts.items()):
        offers.append(Offer(_down(length), 0, count))
        lengths.append(length)

    longest = max((offer.room for offer in offers), default=0)
    ordered = sorted(pieces, key=lambda p: (-_up(p.saw), p.stage, p.mark, p.part))
    fitting = [p for p in ordered if _up(p.saw) <= longest]
    too_long = [p for p in ordered if _up(p.saw) > longest]
    sizes = sorted({_up(p.saw) for p in fitting}, reverse=True)
    queues = {size: [p for p in fitting if _up(p.saw) == size] for size in sizes}
    wanted = tuple(len(queues[size]) for size in sizes)
    order = Order(tuple(sizes), wanted, _up(shop.saw.kerf), tuple(offers), may_leave=not fresh)
    plan = best(order, work) if fitting else Plan((), (), 0, 0)

    sticks: list[Stick] = []
    for number, filled in enumerate(plan.filled, 1):
        held = [queues[size].pop(0) for size, n in zip(sizes, filled.pieces, strict=True) for _ in range(n)]
        is_fresh = offers[filled.offer].count is None
        sticks.append(_stick(number, lengths[filled.offer], is_fresh, trim if is_fresh else 0.0, held, shop))
    left_out = sorted([*too_long, *(p for queue in queues.values() for p in queue)], key=lambda p: (p.mark, p.part))

    lost = 0 if fresh else sum(_up(p.saw) for p in too_long)
    length = sum(s.length for s in sticks if s.fresh)
    priced = sum(dict(bought)[s.length] for s in sticks if s.fresh) if stock.prices else None
    sawn = sum(c.piece.saw for s in sticks for c in s.cuts)
    kept = sum(s.left for s in sticks if s.kept)
    nest = StockNest(
        stock.name,
        kind,
        tuple(sticks),
        tuple(left_out),
        ("price" if stock.prices else "length bought") if fresh else "length left out",
        (plan.cost + lost) / FINE,
        (plan.least + lost) / FINE,
        length,
        priced if fresh else None,
        sawn,
        kept,
        sum(s.length for s in sticks) - sawn - kept,
    )
    findings = [_too_long(stock.name, too_long, longest / FINE)] if fresh and too_long else []
    if not nest.proven:
        findings.append(_not_proven(nest))
    return nest, findings


def _up(mm: float) -> int:
    return math.ceil(mm * FINE - 1e-6)


def _down(mm: float) -> int:
    return max(0, math.floor(mm * FINE + 1e-6))


def _stick(number: int, length: float, fresh: bool, trim: float, held: list[Piece], shop: Shop) -> Stick:
    """Return a stick with its pieces in cutting order.

    What is cut late stays on the stick's end, so that the rest can wait whole until it was measured.
    """
    cuts: list[Cut] = []
    at = 0.0
    for piece in sorted(held, key=lambda p: (p.stage, -_up(p.saw), p.mark, p.part)):
        cuts.append(Cut(piece, at, at + piece.saw))
        at += piece.saw + shop.saw.kerf
    left = max(0.0, length - 2 * trim - at)
    return Stick(number, length, fresh, trim, tuple(cuts), left, left > 0.0 and left >= shop.saw.least_remnant)


def _too_long(stock: str, pieces: list[Piece], longest: float) -> Finding:
    need = max(p.saw for p in pieces)
    return Finding(
        "longer-than-stick",
        Level.STOP,
        tuple(p.part for p in pieces),
        f"{', '.join(dict.fromkeys(p.mark for p in pieces))} of {stock}: {need:.0f} mm to saw; "
        f"the longest that can be had gives {longest:.0f} mm between its trimmed ends",
        got=need,
        limit=longest,
        keys=("stick", "lengths"),
        help="make it in two pieces butted over a sleeve, or buy longer sticks; everything else is nested below",
    )


def _not_proven(nest: StockNest) -> Finding:
    what = "of price" if nest.measure == "price" else f"mm {nest.measure.removeprefix('length ')}"
    return Finding(
        "sticks-not-proven",
        Level.NOTE,
        (),
        f"{nest.stock}: {nest.cost:.2f} {what}; a better way is not ruled out above {nest.least:.2f}, "
        f"a difference of {nest.cost - nest.least:.2f}",
        help="the counted work for this sheet was used up; a stock with fewer different lengths is solved whole",
    )


def _no_price(stocks: list[str]) -> Finding:
    return Finding(
        "stick-price",
        Level.NOTE,
        (),
        f"no price for {', '.join(stocks)}: least length is bought instead of least money",
        keys=("prices",),
        help="write prices = [...] under the stock in the shop's file",
    )
