"""The shop's own estimate: what an order costs, work by its counts and minutes, and what it should sell at.

Every row is rounded half up to hundredths, and sums are sums of the rounded rows, so that the sheet adds up by hand.
What the shop's file does not say is named with its key, and the sums are given without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Literal

from rackgen.parts.rack import Rack
from rackgen.sheets.amounts import Missing, cents, exact, total
from rackgen.sheets.bill import Bill, bill
from rackgen.sheets.coating import Finish, finish
from rackgen.sheets.flats import blanks
from rackgen.sheets.operations import Operation, Per, operations
from rackgen.sheets.sticks import stick_nest
from rackgen.sheets.welds import weld_map
from rackgen.spec.shop import Shop
from rackgen.units import Unit

Group = Literal["material", "labour", "coating", "added"]


@dataclass(frozen=True)
class CostRow:
    """One row of the estimate, for the whole order.

    Attributes:
        group: which sum it belongs to.
        words: what it is.
        count: how many, m or m²; None where nothing is counted.
        per: how it is counted.
        minutes: working time, None where it is no work or the shop does not say.
        amount: None when something is missing.
        missing: what, or None.
    """

    group: Group
    words: str
    count: float | None
    per: Per
    minutes: float | None
    amount: Decimal | None
    missing: Missing | None = None


@dataclass(frozen=True)
class Cost:
    """The whole estimate. Sums are of what is known; `missing` says what they are without.

    Attributes:
        unit: the shop's.
        currency: None when the shop does not say.
        quantity: racks.
        rows: material, labour, coating, then what is added to them.
        material: sum.
        labour: sum.
        coating: sum.
        added: consumables and overhead.
        cost: of the order.
        margin: per cent of the price, None when the shop does not say.
        price: of the order, without tax.
        price_each: of one rack.
        hours: of work for the order, of the operations whose minutes are known.
        missing: in the order of the rows.
    """

    unit: Unit
    currency: str | None
    quantity: int
    rows: tuple[CostRow, ...]
    material: Decimal
    labour: Decimal
    coating: Decimal
    added: Decimal
    cost: Decimal
    margin: float | None
    price: Decimal
    price_each: Decimal
    hours: float
    missing: tuple[Missing, ...]


@lru_cache(maxsize=8)
def cost(rack: Rack, shop: Shop, quantity: int | None = None) -> Cost:
    """Return what an order costs a shop, and its price.

    Args:
        rack: one of the racks.
        shop: its prices and times.
        quantity: how many; as the shop's file says when None.
    """
    many = shop.money.quantity if quantity is None else quantity
    bought = bill(rack, shop, many)
    coat = finish(rack, shop)
    sticks, _ = stick_nest(rack, shop, shop.remnants)
    work = operations(rack, shop, sticks, blanks(rack, shop)[0], weld_map(rack, torch=False)[0], coat)
    return estimate(shop, many, bought, work, coat, sum_mass(rack))


def sum_mass(rack: Rack) -> float:
    """Return the mass of what is dipped when a rack is dipped: everything that is made, kg."""
    from rackgen.parts.kinds import Bought
    from rackgen.parts.measure import mass

    return sum(mass(p.part) for p in rack.placed if not isinstance(p.part, Bought))


def estimate(
    shop: Shop, many: int, bought: Bill, work: Sequence[Operation], coat: Finish, dipped: float
) -> Cost:  # fmt: skip
    """Return the estimate from what is bought, what is done and how it is coated.

    Args:
        shop: its prices and times.
        many: racks.
        bought: for all of them.
        work: on one of them.
        coat: of one of them.
        dipped: what of one of them goes into a bath of zinc, kg.
    """
    money = shop.money
    rows = [*_material(bought), *(_work(shop, one, many) for one in work)]
    if charge := _coating(shop, coat, many, dipped):
        rows.append(charge)
    material = total(r.amount for r in rows if r.group == "material")
    labour = total(r.amount for r in rows if r.group == "labour")
    coating = total(r.amount for r in rows if r.group == "coating")
    rows.append(_per_cent("consumables: wire, gas, discs, blades", "of labour", money.consumables, labour,
                          "money.consumables"))  # fmt: skip
    before = material + labour + coating + total([rows[-1].amount])
    rows.append(_per_cent("overhead", "of all above", money.overhead, before, "money.overhead"))
    added = total(r.amount for r in rows if r.group == "added")
    sum_cost = material + labour + coating + added
    missing = [r.missing for r in rows if r.missing is not None]
    missing += [
        Missing(f"{mark}: comes out of no stick or sheet", "stock large enough for it, on the shelf")
        for mark in bought.left_out
    ]
    price = sum_cost
    if money.margin is None:
        missing.append(Missing("margin", "margin, under [money]"))
    else:
        price = cents(sum_cost / (1 - exact(money.margin) / 100))
    if money.currency is None:
        missing.append(Missing("name of the money", "currency, under [money]"))
    return Cost(
        shop.unit,
        money.currency,
        many,
        tuple(rows),
        material,
        labour,
        coating,
        added,
        sum_cost,
        money.margin,
        price,
        cents(price / many),
        sum(r.minutes for r in rows if r.minutes is not None) / 60,
        tuple(dict.fromkeys(missing)),
    )


def _material(bought: Bill) -> list[CostRow]:
    """Return what is charged for everything that is bought."""
    return [
        CostRow(
            "material",
            f"{line.name}, {'share of a sheet' if line.share else line.per}",
            line.share or line.count,
            "piece",
            None,
            line.charged,
            Missing(f"price of {line.name}", line.key) if line.key else None,
        )
        for line in bought.lines
    ]


def _work(shop: Shop, one: Operation, many: int) -> CostRow:
    """Return a row of labour; a set-up is shared by all racks."""
    each = shop.labour.set_up_of(one.key) if one.set_up else shop.labour.minutes_of(one.key)
    count = one.count if one.set_up else one.count * many
    words = f"set up: {one.words}" if one.set_up else one.words
    if each is None:
        table = "set_up" if one.set_up else "minutes"
        lack = Missing(f"minutes, {words}", f"{one.key}, under [labour.{table}]")
        return CostRow("labour", words, count, one.per, None, None, lack)
    minutes = each * count
    if shop.labour.rate is None:
        return CostRow(
            "labour", words, count, one.per, minutes, None, Missing("rate of an hour", "rate, under [labour]")
        )
    amount = cents(exact(minutes) * exact(shop.labour.rate) / 60)
    return CostRow("labour", words, count, one.per, minutes, amount)


def _coating(shop: Shop, coat: Finish, many: int, dipped: float) -> CostRow | None:
    """Return what powder, paint, a coater or a galvaniser costs, at least the least charge for a lot."""
    asked = shop.finish
    name = asked.name or coat.method
    if asked.price_per_area is not None:
        count, per, words = coat.area * 1e-6 * many, "area", f"{name}, by the coater"
        amount = cents(exact(asked.price_per_area) * exact(count))
    elif asked.price_per_mass is not None:
        count, per = (dipped if coat.method == "hot dip" else coat.used) * many, "piece"
        words = f"{name}, kg of steel dipped" if coat.method == "hot dip" else f"{name}, kg"
        amount = cents(exact(asked.price_per_mass) * exact(count))
    else:
        lack = Missing(f"price of {name}", "price_per_mass or price_per_area, under [coating]")
        return CostRow("coating", name, None, "piece", None, None, lack)
    if asked.minimum is not None and amount < cents(exact(asked.minimum)):
        words, amount = f"{words}; least charge for a lot", cents(exact(asked.minimum))
    return CostRow("coating", words, count, "area" if per == "area" else "piece", None, amount)


def _per_cent(words: str, of: str, share: float | None, base: Decimal, key: str) -> CostRow:
    if share is None:
        table, _, name = key.partition(".")
        return CostRow("added", words, None, "piece", None, None, Missing(words, f"{name}, under [{table}]"))
    return CostRow("added", f"{words}, {share:g} % {of}", None, "piece", None, cents(base * exact(share) / 100))
