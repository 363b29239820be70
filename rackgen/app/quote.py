"""What `rackgen quote` does: a price, a weight and a list of material from width, length, height and tube alone.

The rack is designed, checked and costed as any other, on a vehicle that was measured or else on a plain flat roof.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from rackgen.design.plain_roof import NAME, plain_roof
from rackgen.errors import BadInput, LengthError, Level, Mistake
from rackgen.made import Design
from rackgen.sheets.bill import Bill, bill
from rackgen.sheets.cost import Cost, cost
from rackgen.sheets.money_rows import bill_table, without
from rackgen.sheets.quotation import heavy
from rackgen.sheets.shares import carried
from rackgen.spec.fields import Reading, Refused, Value
from rackgen.spec.find import given_file, presets
from rackgen.spec.rack import BasketWish, FrameWish, RackSpec
from rackgen.spec.rack_file import BasketTable
from rackgen.spec.read import Job, Sources, read_shop, read_vehicle
from rackgen.spec.shape import keys
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.units import Unit, read_length, shown_step, write_length

NEAR = 0.11
"""Sizes that differ by less are one size of tube, mm."""
MOST = 1000
SIZES = ("width", "length", "height")

R = TypeVar("R")


@dataclass(frozen=True)
class Asked:
    """What was typed; None for what was not.

    Attributes:
        width: of the basket, outside.
        length: of the basket, outside.
        height: underside of the lower ring to the top of the upper.
        tube: of rings and frame: its name, or its size.
        shop: file or preset.
        vehicle: file or preset.
        quantity: racks; the shop's own number when None.
    """

    width: str | None
    length: str | None
    height: str | None
    tube: str | None
    shop: str | None
    vehicle: str | None
    quantity: int | None


@dataclass(frozen=True)
class Quick:
    """A quick price.

    Attributes:
        width: mm.
        length: mm.
        height: mm.
        tube: name on the shelf.
        assumed: what was taken for granted, a sentence each.
        mass: finished, kg.
        cost: the estimate.
        bill: what to buy.
        stops: codes and texts of what forbids making it so.
        looks: how many things are worth a look.
    """

    width: float
    length: float
    height: float
    tube: str
    assumed: tuple[str, ...]
    mass: float
    cost: Cost
    bill: Bill
    stops: tuple[str, ...]
    looks: int


def quick_quote(asked: Asked) -> tuple[Quick, Design]:
    """Return the price of a rack of some size, and its design.

    Raises:
        BadInput: every mistake in what was typed and in the files it names, or sizes that cannot be made.
    """
    from rackgen import job

    spec, shop, vehicle, sources, assumed = _job(asked)
    try:
        made = job.checked(job.design(Job(spec, shop, vehicle, sources)))
    except BadInput as refusal:
        raise BadInput(_as_typed(m) for m in refusal.mistakes) from refusal
    from rackgen.sheets.coating import finish
    from rackgen.sheets.welds import weld_map

    rack = made.rack
    mass = carried(rack, vehicle, finish(rack, shop).added, weld_map(rack, torch=False)[0].metal).finished
    found = Quick(
        spec.basket.width,
        spec.basket.length,
        spec.basket.height,
        spec.frame.tube or "",
        assumed,
        mass,
        cost(rack, shop, asked.quantity),
        bill(rack, shop, asked.quantity),
        tuple(f"{f.code}: {f.text}" for f in made.findings if f.level is Level.STOP),
        sum(f.level is Level.LOOK for f in made.findings),
    )
    return found, made


def _job(asked: Asked) -> tuple[RackSpec, Shop, Vehicle, Sources, tuple[str, ...]]:
    """Return the job that is asked for, and what was taken for granted.

    Raises:
        BadInput: every mistake at once.
    """
    wrong: list[Mistake] = []
    assumed: list[str] = []

    def tried(read: Callable[[], R]) -> R | None:
        try:
            return read()
        except BadInput as error:
            wrong.extend(error.mistakes)
            return None

    name = asked.shop
    if name is None:
        name = _usual_shop(asked.tube)
        assumed.append(f'shop "{name}", since none was named')
    path = tried(lambda: given_file("shop", name))
    shop = tried(lambda: read_shop(path)) if path else None
    place = tried(lambda: given_file("vehicle", asked.vehicle or "")) if asked.vehicle is not None else None
    vehicle = tried(lambda: read_vehicle(place)) if place else None
    unit: Unit | None = shop.unit if shop else None
    sizes = {key: tried(lambda key=key: _size(key, getattr(asked, key), unit)) for key in SIZES}
    if asked.tube is None:
        wrong.append(Mistake("--tube", "", 0, "", "say which tube: its name on the shelf, or its size"))
    tube = tried(lambda: find_tube(asked.tube or "", shop)) if asked.tube is not None and shop else None
    if asked.quantity is not None and not 1 <= asked.quantity <= MOST:
        wrong.append(Mistake("--quantity", "", 0, str(asked.quantity), f"write a whole number from 1 to {MOST:,}"))
    width, length, height = (sizes[key] for key in SIZES)
    if wrong or width is None or length is None or height is None or shop is None or path is None or tube is None:
        raise BadInput(wrong)
    if vehicle is None:
        vehicle = plain_roof(width, length)
        assumed.append(
            f"{NAME} as wide as the basket needs, since no vehicle was named: a measured one may want other saddles "
            "and straps"
        )
    assumed.append("everything else by the rules of the trade, one tube for rings and frame")
    basket = BasketWish(width, length, height, ring_tube=tube)
    spec = RackSpec(
        "quote",
        "Rack by its size alone",
        path.stem,
        place.stem if place else NAME,
        basket,
        FrameWish(tube=tube),
    )
    return spec, shop, vehicle, Sources(None, path, place), tuple(assumed)


def _size(key: str, text: str | None, unit: Unit | None) -> float:
    """Return a size of the basket, read and bounded as a rack file's."""
    known = keys(BasketTable)[key].about
    assert isinstance(known, Value)
    if text is None:
        raise BadInput([Mistake(f"--{key}", "", 0, "", f"give it: {known.about}")])
    try:
        read = known.read(text, Reading(unit, known=unit is not None))
    except Refused as error:
        raise BadInput([Mistake(f"--{key}", "", 0, text, error.wanted)]) from None
    assert isinstance(read, float)
    return read


def find_tube(text: str, shop: Shop) -> str:
    """Return the name of the tube that is meant, among those that the shop can bend.

    Args:
        text: its name, or its size: "33.7 x 2.6", "1-1/2 x 0.120", or its diameter where there is but one.
        shop: whose shelf.

    Raises:
        BadInput: there is none such, or several.
    """
    bendable = [(stock.name, section) for stock, section in shop.tubes() if shop.die_for(section.od) is not None]
    plain = " ".join(text.split()).casefold()
    for name, _ in bendable:
        if name.casefold() == plain:
            return name
    listed = ", ".join(f'"{name}"' for name, _ in bendable)
    sizes = [part.strip() for part in plain.replace("×", "x").removesuffix("tube").split("x")]
    try:
        wanted = [read_length(size, shop.unit) for size in sizes]
    except LengthError:
        wanted = []
    found = [
        name
        for name, section in bendable
        if 1 <= len(wanted) <= 2
        and all(abs(w - have) < NEAR for w, have in zip(wanted, (section.od, section.wall), strict=False))
    ]
    if len(found) == 1:
        return found[0]
    said = "that is more than one" if found else "there is no such tube with a bending die"
    raise BadInput([Mistake("--tube", "", 0, text, f"{said}; {shop.name} has {listed}")])


def _usual_shop(tube: str | None) -> str:
    """Return the first shipped shop that has the tube, else the first of all."""
    names = [preset.name for preset in presets() if preset.kind == "shop"]
    for name in names:
        try:
            find_tube(tube or "", read_shop(name))
        except BadInput:
            continue
        return name
    return names[0]


def _as_typed(mistake: Mistake) -> Mistake:
    """Return a mistake of the design under the option that it is about."""
    table, _, key = mistake.key.partition(".")
    if table == "basket" and key in SIZES:
        return replace(mistake, file=f"--{key}", key="")
    return mistake


def quote_text(found: Quick, unit: Unit) -> str:
    """Return the quick price as text: sums first, then what was assumed, then the material."""
    from rackgen.export.text import table_text
    from rackgen.sheets.money_station import money_words

    step = shown_step(unit, fine=False)
    width, length, height = (write_length(mm, unit, step) for mm in (found.width, found.length, found.height))
    many = found.cost.quantity
    racks = "one rack" if many == 1 else f"{many} racks alike"
    out = [
        f"Basket {width} wide, {length} long, {height} high ({unit}) on its frame, of {found.tube}; {racks}",
        "",
        f"price      {money_words(found.cost)}",
    ]
    if many > 1:
        out.append(f"each       {found.cost.price_each:,.2f}")
    out += [
        f"weight     about {heavy(found.mass, unit)}{' each' if many > 1 else ''}",
        f"work       {found.cost.hours:.1f} hours",
        "",
        *(f"assumed: {text}" for text in found.assumed),
    ]
    if found.looks:
        things = "1 thing is" if found.looks == 1 else f"{found.looks} things are"
        out.append(f"{things} worth a look once it is drawn up as a rack file")
    if found.cost.missing:
        out += ["", f"The price is {without(found.cost)}:"]
        out += [f"  {lack.what}: write {lack.key}" for lack in found.cost.missing]
    if found.stops:
        out += ["", "CANNOT BE MADE SO:", *(f"  {text}" for text in found.stops)]
    return "\n".join(out) + "\n\n" + table_text(bill_table(found.bill, unit, found.cost.currency))
