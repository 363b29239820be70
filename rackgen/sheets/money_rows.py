"""The bill and the estimate as rows of text, amounts with the shop's money in the head of their column."""

from __future__ import annotations

from rackgen.sheets.amounts import Missing, cents, written
from rackgen.sheets.bill import Bill
from rackgen.sheets.cost import Cost, CostRow
from rackgen.sheets.table import Column, Table
from rackgen.units import INCH, Unit, shown_step, write_length

FOOT = 12 * INCH / 1000


def bill_table(found: Bill, unit: Unit, currency: str | None) -> Table:
    """Return what to buy, with prices where the shop gives them."""
    money = currency or "money"
    columns = (
        Column("kind", "kind"),
        Column("item", "item"),
        Column("count", "buy", True),
        Column("per", "of"),
        Column("spare", "spare", True),
        Column("each", f"{money} each", True),
        Column("price", money, True),
        Column("charged", f"{money} charged", True),
        Column("note", "note"),
        Column("missing", "missing in the shop's file"),
    )
    rows = tuple(
        (
            line.kind,
            line.name,
            f"{line.count:g}",
            f"{write_length(line.length, unit, shown_step(unit, fine=False))} {unit}" if line.length else line.per,
            str(line.spare) if line.spare else "",
            "" if line.each is None else f"{line.each:.2f}",
            "" if line.price is None else f"{line.price:.2f}",
            "" if line.charged is None or line.charged == line.price else f"{line.charged:.2f}",
            f"{line.note}; {line.share:.2f} of one is charged, waste in it" if line.share else line.note,
            line.key,
        )
        for line in found.lines
    )
    racks = "one rack" if found.quantity == 1 else f"{found.quantity} racks"
    notes = [
        f"for {racks}; sticks as they are nested, remnants at hand used first; plates and mesh charged by area",
        *(f"comes out of no stick or sheet and is not bought: {mark}" for mark in found.left_out),
    ]
    return Table("bill", "Bill of material", columns, rows, tuple(notes))


def counted(row: CostRow, unit: Unit) -> str:
    """Return a count as the shop reads it: pieces, m or ft, m² or ft²."""
    if row.count is None:
        return ""
    if row.per == "length":
        return f"{row.count:.1f} m" if unit == "mm" else f"{row.count / FOOT:.1f} ft"
    if row.per == "area":
        return f"{row.count:.2f} m2" if unit == "mm" else f"{row.count / FOOT**2:.1f} ft2"
    return f"{row.count:g}" if abs(row.count - round(row.count)) < 1e-9 else f"{row.count:.2f}"


def cost_table(found: Cost) -> Table:
    """Return the estimate: every row, then the sums."""
    money = found.currency or "money"
    columns = (
        Column("group", "group"),
        Column("item", "item"),
        Column("count", "count", True),
        Column("minutes", "minutes", True),
        Column("amount", money, True),
        Column("missing", "missing in the shop's file"),
    )
    rows = [
        (
            row.group,
            row.words,
            counted(row, found.unit),
            "" if row.minutes is None else f"{row.minutes:.0f}",
            "" if row.amount is None else f"{row.amount:.2f}",
            "" if row.missing is None else row.missing.key,
        )
        for row in found.rows
    ]
    hours = f"{found.hours * 60:.0f}"
    for words, amount, minutes in (
        ("material", found.material, ""),
        ("labour", found.labour, hours),
        ("coating", found.coating, ""),
        ("consumables and overhead", found.added, ""),
        (f"cost {without(found)}".rstrip(), found.cost, ""),
    ):
        rows.append(("sum", words, "", minutes, f"{amount:.2f}", ""))
    margin = "no margin given" if found.margin is None else f"margin {found.margin:g} % of the price"
    rows.append(("sum", f"price without tax, {margin}", "", "", f"{found.price:.2f}", ""))
    if found.quantity > 1:
        rows.append(("sum", "price of one rack without tax", "", "", f"{found.price_each:.2f}", ""))
    return Table("cost", "Shop estimate", columns, tuple(rows), cost_notes(found))


def cost_notes(found: Cost) -> tuple[str, ...]:
    """Return what the estimate is for and what it is without, in sentences."""
    racks = "one rack" if found.quantity == 1 else f"{found.quantity} racks, set-ups and least charges shared"
    notes = [
        f"for {racks}: {found.hours:.1f} hours of work counted; for the shop, not for the customer",
        "the rest of whole sheets and the remnants of sticks stay with the shop: sheets are charged by area, "
        "sticks whole, remnants at hand not at all",
    ]
    if found.missing:
        notes.append(f"sums are {without(found)}")
        shown = {row.missing for row in found.rows}
        notes += [f"missing: {lack.what}: write {lack.key}" for lack in found.missing if lack not in shown]
    return tuple(notes)


def without(found: Cost) -> str:
    """Return what the sums are without, in one phrase, the first few by name; "" when nothing is missing."""
    names = list(dict.fromkeys(lack.what for lack in found.missing))
    if not names:
        return ""
    shown = ", ".join(names[:3])
    return f"without {shown}" + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def missing_table(missing: tuple[Missing, ...]) -> Table:
    """Return what is missing by name, and what to write where."""
    columns = (Column("what", "what is missing"), Column("key", "write in the shop's file"))
    return Table("missing", "Missing", columns, tuple((lack.what, lack.key) for lack in missing))


def amount_words(found: Cost) -> str:
    """Return the price of one rack with its currency."""
    return written(cents(found.price_each), found.currency)
