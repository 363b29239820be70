"""The bill of material: what to buy for an order of racks, whole sticks and sheets, bought parts with spares, supplies.

Sticks are bought as the nest cuts them. Plates and expanded metal are bought in whole sheets and charged by the area of
the pieces' boxes and the shop's waste, since the rest of a sheet is the next rack's.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Literal

import numpy as np

from rackgen.design.choose import COATING
from rackgen.geom import outline
from rackgen.parts.kinds import BoltShape, Bought, CapShape, PadShape, RivetShape, Shape, UBoltShape
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.sheets.amounts import cents, exact
from rackgen.sheets.cutlist import CutList, cut_list
from rackgen.sheets.flats import blanks
from rackgen.sheets.nest import nest_blanks
from rackgen.sheets.stick_records import Piece, StockNest
from rackgen.sheets.sticks import nest_stock, stick_nest
from rackgen.sheets.words import fine, size, small
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Panel, Sheet
from rackgen.units import shown_step, write_decimal, write_length

LOT = 10
"""Most racks whose pieces are nested together; larger orders are bought in lots of so many."""
SPARE_SHARE = 0.1
SPARE_LEAST = 2
"""Rivets that are bought more than are set: a tenth, at least two (common practice, no source)."""
CARTRIDGE = 310.0
SQUEEZED = 1.5
RIVET_SEALANT = 1.0
"""A cartridge of sealant, ml; how much more is squeezed out than stays in a bed; ml for the head of each fastener
(common practice, no source)."""

Kind = Literal["tube", "bar", "plate", "mesh", "bought", "supply"]


@dataclass(frozen=True)
class BillLine:
    """One thing to buy, for the whole order.

    Attributes:
        kind: what it is.
        name: what to ask for.
        count: how many sticks, sheets, pieces, cartridges or tins; metres of strip.
        per: what is counted.
        length: of a stick, mm; 0 for the others.
        spare: how many of them are spares.
        used: what is used of it: area of the pieces' boxes, mm²; strip, mm; sealant, ml; 0 for the others.
        share: how many sheets are charged, waste in it; 0 for the others.
        each: price of one, None when the shop does not say.
        price: of all that is bought.
        charged: what the order is charged for it: a share of the sheets, all of the others.
        key: what to write in the shop's file when the price is missing.
        note: why this one, and where it goes.
    """

    kind: Kind
    name: str
    count: float
    per: str
    length: float = 0.0
    spare: int = 0
    used: float = 0.0
    share: float = 0.0
    each: Decimal | None = None
    price: Decimal | None = None
    charged: Decimal | None = None
    key: str = ""
    note: str = ""


@dataclass(frozen=True)
class Bill:
    """Everything to buy.

    Attributes:
        quantity: racks that are made of it.
        lines: tubes, bars, plates, expanded metal, bought parts, supplies.
        left_out: marks of pieces that come out of no stick or sheet and are not bought.
    """

    quantity: int
    lines: tuple[BillLine, ...]
    left_out: tuple[str, ...]


@lru_cache(maxsize=8)
def bill(rack: Rack, shop: Shop, quantity: int | None = None) -> Bill:
    """Return what to buy for some racks alike.

    Args:
        rack: one of them.
        shop: its shelf and its prices.
        quantity: how many; as the shop's file says when None.
    """
    many = shop.money.quantity if quantity is None else quantity
    cuts, _ = cut_list(rack, shop)
    one, _ = stick_nest(rack, shop, shop.remnants)
    stocks = [_for_order(found, shop, many) for found in one.stocks]
    sheets, out = _sheets(rack, cuts, shop, many)
    left = [p.mark for nests in stocks for found in nests for p in found.left_out]
    lines = [line for nests in stocks for line in _sticks(nests, shop)]
    lines += [*sheets, *_bought(rack, shop, many), *_supplies(rack, shop, many)]
    return Bill(many, tuple(lines), tuple(sorted({*left, *out})))


def _for_order(found: StockNest, shop: Shop, many: int) -> list[StockNest]:
    """Return the nests of an order: lots of `LOT` racks, and the rest. Remnants at hand go into the first."""
    stock = next(s for s in shop.stock if s.name == found.stock)
    pieces = [c.piece for s in found.sticks for c in s.cuts] + list(found.left_out)
    if many == 1:
        return [found]

    def lot(racks: int, *, first: bool) -> StockNest:
        again: list[Piece] = [replace(p, part=f"{p.part} {k + 1}") for k in range(racks) for p in pieces]
        at_hand = [r for r in shop.remnants if r.stock == found.stock] if first else []
        return nest_stock(stock, found.kind, again, shop, at_hand)[0]

    whole, rest = divmod(many, LOT)
    if not whole:
        return [lot(rest, first=True)]
    # Later lots are alike and are worked out once.
    later = [lot(LOT, first=False)] * (whole - 1) if whole > 1 else []
    return [lot(LOT, first=True), *later, *([lot(rest, first=False)] if rest else [])]


def _sticks(nests: list[StockNest], shop: Shop) -> list[BillLine]:
    """Return what is bought of one stock, long sticks first."""
    name, kind = nests[0].stock, nests[0].kind
    stock = next(s for s in shop.stock if s.name == name)
    prices = dict(zip(stock.sticks, stock.prices, strict=True)) if stock.prices else {}
    counts = Counter(s.length for found in nests for s in found.sticks if s.fresh)
    kept = sum(found.kept for found in nests)
    stays = write_length(kept, shop.unit, shown_step(shop.unit, fine=False))
    note = f"{stays} {shop.unit} of it stays as remnants"
    out: list[BillLine] = []
    for length, count in sorted(counts.items(), reverse=True):
        each = cents(exact(prices[length])) if length in prices else None
        price = None if each is None else each * count
        key = "" if each is not None else f'prices, under [[{kind}]] "{name}"'
        out.append(
            BillLine(
                kind, name, count, "stick", length, each=each, price=price, charged=price, key=key,
                note=note if kept else "",
            )
        )  # fmt: skip
    return out


def _sheets(rack: Rack, cuts: CutList, shop: Shop, many: int) -> tuple[list[BillLine], list[str]]:
    """Return the sheets of plate and expanded metal, and marks that fit none."""
    flat, _ = blanks(rack, shop)
    whole, rest = divmod(many, LOT)
    fresh: Counter[str] = Counter()
    left: list[str] = []
    for racks, times in ((LOT, whole), (rest, 1)):
        if racks and times:
            laid = nest_blanks([replace(b, quantity=b.quantity * racks) for b in flat], shop)
            fresh.update({p.plate: p.fresh * times for p in laid.plates})
            left += [mark for p in laid.plates for mark in p.left_out]
    out: list[BillLine] = []
    for total in (t for t in cuts.totals if t.kind in ("plate", "mesh")):
        stock = next(s for s in shop.stock if s.name == total.stock)
        section = stock.section
        assert isinstance(section, Sheet | Panel)
        kind: Literal["plate", "mesh"] = "plate"
        count = fresh[total.stock]
        if isinstance(section, Panel):
            kind = "mesh"
            count, beyond = _panels(cuts, total.stock, section, many)
            left += beyond
        area = total.area * many
        share = area * (1 + shop.money.sheet_waste / 100) / (section.width * section.length)
        each = cents(exact(stock.prices[0])) if stock.prices else None
        sheet = f"{size(section.length, shop.unit)} × {size(section.width, shop.unit)} {shop.unit}"
        out.append(
            BillLine(
                kind,
                total.stock,
                count,
                "sheet",
                used=area,
                share=share,
                each=each,
                price=None if each is None else each * count,
                charged=None if each is None else cents(each * exact(share)),
                key="" if each is not None else f'price, under [[{kind}]] "{total.stock}"',
                note=f"sheets {sheet}" if count else f"comes out of remnants at hand; sheets are {sheet}",
            )
        )
    return out, left


def _panels(cuts: CutList, name: str, section: Panel, many: int) -> tuple[int, list[str]]:
    """Return how many sheets of expanded metal the panels take, each size by itself in rows, and marks that fit none.

    The long way of a panel lies along the sheet's, so panels are not turned.
    """
    count = 0
    beyond: list[str] = []
    for line in (c for c in cuts.lines if c.kind == "mesh" and c.stock == name):
        fit = int(section.length // line.saw) * int(section.width // line.width)
        if fit:
            count += math.ceil(line.quantity * many / fit)
        else:
            beyond.append(line.mark)
    return count, beyond


def _bought(rack: Rack, shop: Shop, many: int) -> list[BillLine]:
    """Return U-bolts, rivets and whatever else is bought by the piece; rivets with spares."""
    groups: dict[tuple[str, str], list[Placed]] = {}
    for placed in rack.placed:
        part = placed.part
        if isinstance(part, Bought) and not isinstance(part.shape, PadShape):
            groups.setdefault((placed.word, part.name), []).append(placed)
    out: list[BillLine] = []
    for (word, name), members in sorted(groups.items()):
        count, spare = len(members) * many, 0
        shape = members[0].part.shape if isinstance(members[0].part, Bought) else None
        value: float | None = None
        key = f'price, under [[{word}]] "{name}"'
        note = ""
        if isinstance(shape, RivetShape):
            spare = max(SPARE_LEAST, math.ceil(count * SPARE_SHARE))
            value = next((r.price for r in shop.rivets if r.name == name), None)
            key = f'price, under [[rivet]] "{name}"'
            note = _grips(members, shop)
        elif isinstance(shape, UBoltShape):
            value = next((b.price for b in shop.u_bolts if b.name == name), None)
            key = f'price, under [[u_bolt]] "{name}"'
            note = _passes(shape, shop)
        elif isinstance(shape, BoltShape):
            value, key = _bolt_price(name, shape, shop)
            note = "with nut and two washers" if shape.end == "nut" else "with a washer"
        elif isinstance(shape, CapShape):
            value, key = shop.supplies.cap, "cap, under [supplies]"
        out.append(_priced("bought", name, count + spare, "piece", value, key, spare=spare, note=note))
    return out


def _bolt_price(name: str, shape: BoltShape, shop: Shop) -> tuple[float | None, str]:
    """Return what a bolt costs, with its rivet nut where it has one, and the key that would say it."""
    bolt = next((b for b in shop.bolts if name.startswith(f"{b.name} ×")), None)
    key = f'price, under [[bolt]] "{bolt.name if bolt else name}"'
    if bolt is None or bolt.price is None or shape.end != "rivet nut":
        return None if bolt is None else bolt.price, key
    nut = next((n for n in shop.rivet_nuts if name.endswith(n.name)), None)
    if nut is None or nut.price is None:
        return None, f'price, under [[rivet_nut]] "{nut.name if nut else name}"'
    return bolt.price + nut.price, key


def _grips(members: list[Placed], shop: Shop) -> str:
    """Return the stacks that rivets of one name hold."""
    grips = Counter(
        small(p.part.shape.grip, shop.unit)
        for p in members
        if isinstance(p.part, Bought) and isinstance(p.part.shape, RivetShape)
    )
    return (
        "holds " + ", ".join(f"{n} of {g}" for g, n in sorted(grips.items())) + f" {shop.unit}, bedding and skin in it"
    )


def _passes(bolt: UBoltShape, shop: Shop) -> str:
    """Return what a U-bolt has to pass: the tube's own diameter, its coating on both sides, isolator on both sides."""
    film = shop.finish.thickness
    coat = COATING if film is None else 2 * film
    # The bow touches the tube it holds.
    tube = 2 * bolt.drop
    wide = tube + coat + 2 * shop.isolator
    unit = shop.unit
    return (
        f"inside {size(bolt.inside_width, unit)} passes {small(wide, unit)} {unit}: tube {size(tube, unit)}, coating "
        f"{write_decimal(coat, unit, 2 if unit == 'mm' else 3)}, isolator twice {size(shop.isolator, unit)}; "
        f"legs {fine(bolt.leg, unit)} {unit} long from inside the bow; with nuts and washers"
    )


def _supplies(rack: Rack, shop: Shop, many: int) -> list[BillLine]:
    """Return isolator strip, sealant and paint."""
    pads = [(p, p.part, p.part.shape) for p in rack.placed if isinstance(p.part, Bought)]
    soft = [(p, part, shape) for p, part, shape in pads if isinstance(shape, PadShape)]
    strips: dict[str, list[PadShape]] = {}
    bed = 0.0
    for placed, part, shape in soft:
        if placed.word == "isolator":
            strips.setdefault(part.name, []).append(shape)
        else:
            area = outline.area(shape.outline) - sum(outline.area(h) for h in shape.holes)
            bed += area * shape.thickness * many
    out: list[BillLine] = []
    for name, shapes in sorted(strips.items()):
        long = max(float(np.ptp(outline.polygon(shapes[0].outline), axis=0).max()), 0.0)
        # One piece more than is fitted: rubber wears.
        pieces = (len(shapes) + 1) * many
        metres = long * pieces / 1000
        value = shop.supplies.isolator
        price = None if value is None else cents(exact(value) * exact(metres))
        key = "" if value is not None else "isolator, under [supplies]"
        whole = write_length(long * pieces, shop.unit, shown_step(shop.unit, fine=False))
        note = f"{pieces} pieces, {whole} {shop.unit} of strip in all"
        out.append(
            BillLine(
                "supply", name, pieces, "piece", spare=many, used=long * pieces, price=price, charged=price, key=key,
                note=note,
            )
        )  # fmt: skip
    bedded = {p.id.rsplit(".", 1)[0] for p, _, _ in soft if p.word == "bedding"}
    fixings = many * sum(_goes_through(p.id, shape, bedded) for p, _, shape in pads)
    if bed or fixings:
        need = bed / 1000 * SQUEEZED + fixings * RIVET_SEALANT
        note = f"about {need:.0f} ml: beds of {bed / 1000:.0f} ml, half as much again, {fixings} fastener heads"
        out.append(
            _priced(
                "supply", "sealant, does not harden", math.ceil(need / CARTRIDGE), "cartridge of 310 ml",
                shop.supplies.sealant, "sealant, under [supplies]", used=need, note=note,
            )
        )  # fmt: skip
    if fixings:
        note = f"primer and paint for {fixings} holes in the body, and for scratches"
        out.append(
            _priced("supply", "paint for drilled holes", 1, "small tin", shop.supplies.paint,
                    "paint, under [supplies]", note=note)
        )  # fmt: skip
    return out


def _goes_through(part: PartId, shape: Shape, bedded: Collection[str]) -> bool:
    """Return whether a fastener stands in a hole that is drilled in the body: a rivet, or a bolt through a bed."""
    if isinstance(shape, BoltShape):
        return shape.end in ("nut", "rivet nut") and part.rsplit(".", 1)[0] in bedded
    return isinstance(shape, RivetShape)


def _priced(kind: Kind, name: str, count: int, per: str, value: float | None, key: str, *, spare: int = 0,
            used: float = 0.0, note: str = "") -> BillLine:  # fmt: skip
    each = None if value is None else cents(exact(value))
    price = None if each is None else each * count
    return BillLine(
        kind, name, count, per, spare=spare, used=used, each=each, price=price, charged=price,
        key="" if price is not None else key, note=note,
    )  # fmt: skip
