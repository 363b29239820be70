"""Pages about money: what to buy, the shop's own estimate, and the quotation that the customer gets by itself."""

from __future__ import annotations

from itertools import groupby

from rackgen.sheets.amounts import written
from rackgen.sheets.bill import Bill, BillLine
from rackgen.sheets.cost import Cost, CostRow
from rackgen.sheets.money_rows import cost_notes, counted, missing_table, without
from rackgen.sheets.pages import Block, Fields, Heading, Rows, Station, Text
from rackgen.sheets.quotation import Quotation, heavy, price_words
from rackgen.sheets.table import Column, Table
from rackgen.units import Unit, shown_step, write_length

CERTIFIED = ("tube", "bar", "plate", "mesh")


def buying_station(found: Bill, unit: Unit) -> Station:
    """Return what to buy, with boxes for what was delivered and the numbers of its certificates.

    Args:
        found: the bill.
        unit: the shop's.
    """
    racks = "one rack" if found.quantity == 1 else f"{found.quantity} racks alike"
    columns = (
        Column("count", "buy", True),
        Column("per", "of"),
        Column("item", "item"),
        Column("spare", "spare", True),
        Column("note", "note"),
    )
    steel = [line for line in found.lines if line.kind in CERTIFIED and line.count]
    at_hand = [line.name for line in found.lines if line.kind in CERTIFIED and not line.count]
    other = [line for line in found.lines if line.kind not in CERTIFIED]

    def table(name: str, title: str, lines: list[BillLine]) -> Table:
        rows = tuple((f"{x.count:g}", _per(x, unit), x.name, str(x.spare or ""), x.note) for x in lines)
        return Table(name, title, columns, rows)

    blocks: list[Block] = [
        Text(
            f"For {racks}. Sticks are counted as they are nested, remnants at hand used first; nothing on this page "
            "says what is on the shelf already: look before ordering."
        ),
        Rows(table("buy-steel", "Steel", steel), tick=True, below=("note",)),
        Rows(table("buy-parts", "Bought parts and supplies", other), tick=True, below=("note",)),
    ]
    if at_hand:
        blocks.append(Text(f"Comes out of remnants at hand, nothing to buy: {', '.join(at_hand)}."))
    if found.left_out:
        blocks.append(Text(f"In no stick or sheet that is bought: {', '.join(found.left_out)}.", "caution"))
    blocks.append(
        Fields(
            tuple((x.name, f"{x.count:g} × {_per(x, unit)}") for x in steel),
            ("delivered", "measured", "heat or certificate no.", "initials"),
            "Delivered steel: put a calliper on it before it goes on the shelf",
            "ordered",
        )
    )
    return Station("buying", "What to buy", tuple(blocks))


def _per(line: BillLine, unit: Unit) -> str:
    if line.length:
        return f"stick {write_length(line.length, unit, shown_step(unit, fine=False))} {unit}"
    return line.per


def estimate_station(found: Cost) -> Station:
    """Return the shop's own estimate: sums first, then material and work row by row, then what is missing."""
    money = found.currency or "money"
    rows = [
        ("material", _sum(found, "material")),
        ("labour", _sum(found, "labour")),
        ("coating", _sum(found, "coating")),
        ("consumables and overhead", _sum(found, "added")),
        ("cost", f"{found.cost:,.2f}"),
        (_margin(found), f"{found.price - found.cost:,.2f}"),
        ("price without tax", f"{found.price:,.2f}"),
    ]
    if found.quantity > 1:
        rows.append((f"price of one of {found.quantity} racks", f"{found.price_each:,.2f}"))
    sums = Table("sums", "Sums", (Column("what", "what"), Column("amount", money, True)), tuple(rows))
    blocks: list[Block] = [Text("For the shop. The customer gets the quotation, which is a file of its own.")]
    if found.missing:
        blocks.append(Text(f"Incomplete: the sums are {without(found)}. The list at the end says what to write where.",
                           "caution"))  # fmt: skip
    blocks.append(Rows(sums))
    for group, members in groupby(found.rows, lambda row: row.group):
        title = "Consumables and overhead" if group == "added" else group.capitalize()
        blocks.append(Rows(_rows(title, list(members), money, found.unit)))
    blocks += [Text(note, "small") for note in cost_notes(found)[:2]]
    if found.missing:
        blocks.append(Rows(missing_table(found.missing)))
    blocks.append(
        Fields((("hours", f"{found.hours:.1f}"), ("material", _sum(found, "material"))), ("as it was", "initials"),
               "After the job: what it took", "plan")
    )  # fmt: skip
    return Station("estimate", "Shop estimate", tuple(blocks))


def _sum(found: Cost, group: str) -> str:
    sums = {"material": found.material, "labour": found.labour, "coating": found.coating, "added": found.added}
    return f"{sums[group]:,.2f}"


def _margin(found: Cost) -> str:
    return "margin, not given" if found.margin is None else f"margin, {found.margin:g} % of the price"


def _rows(title: str, members: list[CostRow], money: str, unit: Unit) -> Table:
    columns = (
        Column("item", "item"),
        Column("count", "count", True),
        Column("minutes", "minutes", True),
        Column("amount", money, True),
    )
    rows = tuple(
        (
            row.words,
            counted(row, unit),
            "" if row.minutes is None else f"{row.minutes:.0f}",
            "missing" if row.amount is None else f"{row.amount:,.2f}",
        )
        for row in members
    )
    if not any(row[2] for row in rows):
        columns, rows = (*columns[:2], columns[3]), tuple((*row[:2], row[3]) for row in rows)
    if not any(row[1] for row in rows):
        columns, rows = (columns[0], *columns[2:]), tuple((row[0], *row[2:]) for row in rows)
    return Table(title.lower().replace(" ", "-"), title, columns, rows)


def quotation_station(found: Quotation) -> Station:
    """Return the quotation, a page for the customer without anything of the shop's own."""
    blocks: list[Block] = []
    if found.price is None:
        blocks.append(Text("Not to be handed out: something is missing from the price; the estimate says what.",
                           "caution"))  # fmt: skip
    blocks += [
        Fields((("offered by", found.shop), ("to", ""), ("date", ""), ("number", "")), ("",), "", ""),
        Heading(found.title),
        Text(f"Made for: {found.vehicle}. Weight about {heavy(found.mass, found.unit)} finished."),
        Heading("Included"),
        *(Text(f"{text[0].upper()}{text[1:]}.") for text in found.scope),
        Heading("Made of"),
        Text("; ".join(found.materials) + ".", "small"),
        Heading("Not included"),
        Text("; ".join(found.excluded).capitalize() + "."),
        Heading("Price"),
        Fields(
            (
                ("price", price_words(found)),
                ("tax", ""),
                ("price with tax", ""),
                (f"valid until ({found.valid_days} days from the date)", ""),
                ("delivery", ""),
                ("signed for the shop", ""),
                ("signed for the customer", ""),
            ),
            ("to fill in",),
            "",
            "offered",
        ),
        Heading("Please note"),
        *(Text(text) for text in found.cautions),
    ]
    return Station("quotation", "Quotation", tuple(blocks))


def money_words(found: Cost) -> str:
    """Return the price of an order in one phrase, and what it is without."""
    words = f"{written(found.price, found.currency)} without tax"
    return f"{words} ({without(found)})" if found.missing else words
