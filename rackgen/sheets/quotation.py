"""The quotation for the customer: what is made, of what, what it weighs and costs, and what is not in the price.

It carries no rates, times or prices of the shop's own. Where something is missing from the price, no price is given.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rackgen.parts.handbook import HandbookLimit, handbook_limit
from rackgen.parts.kinds import Bought
from rackgen.parts.marks import letter, lines
from rackgen.parts.rack import Rack
from rackgen.sheets.amounts import written
from rackgen.sheets.coating import POUND, finish
from rackgen.sheets.cost import Cost
from rackgen.sheets.scope import drilled, scope
from rackgen.sheets.shares import carried
from rackgen.sheets.table import Column, Table
from rackgen.sheets.welds import weld_map
from rackgen.sheets.words import metal
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit

EXCLUDED = (
    "tax, shown in its own line",
    "carriage, and travel to a vehicle that does not come to the shop",
    "taking out and putting back headlining, trim, aerials or airbag covers",
    "repair of rust, dents or earlier holes found in the body",
    "examination or entry in the vehicle's papers, where the law asks for it",
    "a load rating by test, or certified by a licensed engineer",
)
"""What a price for a rack usually does not cover (common practice, no source)."""

NO_LOAD = (
    "No load is promised by this price. The most that may be carried is the lowest of what the vehicle's handbook, the "
    "mounts and the rack allow; the handbook's limit usually counts the rack itself."
)
HOLES = "Holes are drilled through the body, painted and sealed. They stay when the rack comes off."
NO_HOLES = "No hole is drilled: the rack stands on what the body has."
AGAIN = "are torqued again after 50 km (30 miles) and before each trip"
LOOK = "look for cracks at folds and welds and at every {}."
HIGHER = (
    "With the rack on, the vehicle is higher, tips sooner and stops longer: measure its height and keep it in sight."
)


@dataclass(frozen=True)
class Quotation:
    """What the customer is offered.

    Attributes:
        unit: of lengths.
        title: of the rack.
        vehicle: what it is made for.
        shop: who makes it.
        quantity: racks.
        scope: what is made and done, a sentence each.
        materials: what it is made of, a phrase each.
        mass: finished, kg.
        excluded: what is not in the price.
        cautions: what the customer must know.
        currency: None when the shop does not say.
        price: of the order without tax, None while something is missing from it.
        price_each: of one rack.
        valid_days: how long it holds.
    """

    unit: Unit
    title: str
    vehicle: str
    shop: str
    quantity: int
    scope: tuple[str, ...]
    materials: tuple[str, ...]
    mass: float
    excluded: tuple[str, ...]
    cautions: tuple[str, ...]
    currency: str | None
    price: Decimal | None
    price_each: Decimal | None
    valid_days: int


def quotation(rack: Rack, shop: Shop, vehicle: Vehicle, spec: RackSpec, found: Cost) -> Quotation:
    """Return the quotation that goes with an estimate."""
    coat = finish(rack, shop)
    mass = carried(rack, vehicle, coat.added, weld_map(rack, torch=False)[0].metal).finished
    whole = not found.missing
    return Quotation(
        shop.unit,
        spec.title,
        vehicle.name,
        shop.name,
        found.quantity,
        scope(rack, shop, vehicle, spec),
        _materials(rack, shop),
        mass,
        EXCLUDED,
        (_limit(handbook_limit(rack, vehicle), mass, shop.unit), *_cautions(rack, shop, vehicle)),
        found.currency,
        found.price if whole else None,
        found.price_each if whole else None,
        shop.money.valid_days,
    )


def _cautions(rack: Rack, shop: Shop, vehicle: Vehicle) -> tuple[str, ...]:
    """Return what the customer must know of this rack: its holes, and what is looked after."""
    words = {p.word for p in rack.placed}
    bolts = " and ".join(text for word, text in (("U-bolt", "U-bolts"), ("bolt", "bolts")) if word in words)
    look = LOOK.format("rivet" if "rivet" in words else "bolt")
    again = f"{bolts[:1].upper()}{bolts[1:]} {AGAIN}; {look}" if bolts else f"{look[:1].upper()}{look[1:]}"
    return NO_LOAD, HOLES if drilled(rack, shop, vehicle) else NO_HOLES, again, HIGHER


def heavy(kg: float, unit: Unit) -> str:
    """Return a mass as the customer reads it: kilograms, pounds before them where inches are read."""
    return f"{kg:.0f} kg" if unit == "mm" else f"{kg / POUND:.0f} lb ({kg:.0f} kg)"


def _limit(limit: HandbookLimit, mass: float, unit: Unit) -> str:
    if limit.kg is None:
        return f"The vehicle's {limit.words} is not known to us: look it up in its handbook before anything is loaded."
    left = max(0.0, limit.kg - mass)
    return (
        f"By the {limit.words} we were given, {heavy(limit.kg, unit)} moving, the rack leaves about "
        f"{heavy(left, unit)} for the load. Check it in the vehicle's handbook."
    )


def _materials(rack: Rack, shop: Shop) -> tuple[str, ...]:
    """Return every stock once, by what it is used for, and every bought part with its count."""
    uses: dict[str, dict[str, None]] = {}
    grades = {stock.name: metal(stock.material, stock.grade) for stock in shop.stock}
    bought: dict[str, int] = {}
    for line in lines(rack):
        if isinstance(line.part, Bought):
            if line.placed[0].word != "bedding":
                bought[line.part.name] = bought.get(line.part.name, 0) + len(line.placed)
        else:
            assert letter(line.part) in "TBP"
            uses.setdefault(line.part.stock.name, {}).update(dict.fromkeys(p.word for p in line.placed))
    made = [f"{name} ({grades.get(name, '')}): {', '.join(words)}" for name, words in uses.items()]
    return (*made, *(f"{count} × {name}" for name, count in bought.items()))


def _racks(count: int) -> str:
    return "one rack" if count == 1 else f"{count} racks"


def price_words(found: Quotation) -> str:
    """Return the price as it is offered, or that there is none yet."""
    if found.price is None or found.price_each is None:
        return "not worked out yet"
    words = f"{written(found.price, found.currency)} without tax, for {_racks(found.quantity)}"
    return words if found.quantity == 1 else f"{words}, {written(found.price_each, found.currency)} each"


def quotation_rows(found: Quotation) -> tuple[tuple[str, str], ...]:
    """Return the quotation as headings and texts."""
    return (
        ("rack", found.title),
        ("for", found.vehicle),
        ("by", found.shop),
        *(("included", text) for text in found.scope),
        *(("made of", text) for text in found.materials),
        ("weight", f"about {heavy(found.mass, found.unit)} finished" + (" each" if found.quantity > 1 else "")),
        *(("not included", text) for text in found.excluded),
        ("price", price_words(found)),
        ("tax", ""),
        ("price with tax", ""),
        ("valid until", f"{found.valid_days} days from its date; date:"),
        *(("please note", text) for text in found.cautions),
    )


def quotation_table(found: Quotation) -> Table:
    """Return the quotation as rows."""
    columns = (Column("what", "what"), Column("text", "text"))
    return Table("quotation", "Quotation", columns, quotation_rows(found))


def quotation_text(found: Quotation) -> str:
    """Return the quotation as plain text, equal headings told once; lines to fill are left open."""
    out, last = ["Quotation", ""], ""
    for what, text in quotation_rows(found):
        head = what if what != last else ""
        out.append(f"{head:16}{text or '_' * 20}".rstrip())
        last = what
    if found.price is None:
        out += ["", "NOT TO BE HANDED OUT: something is missing from the price; the estimate says what."]
    return "\n".join(out) + "\n"
