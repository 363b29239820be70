"""What a shop's file says about money: prices of work, coating and supplies as they are typed."""

import dataclasses
from dataclasses import dataclass
from typing import Annotated, Literal, cast

from rackgen.spec.fields import About, Count, Length, Number, Table, Words, given
from rackgen.spec.money import Coating, Labour, Money, Supplies
from rackgen.units import INCH, Unit

FOOT = 12 * INCH / 1000
POUND = 0.45359237
"""In metres and kilograms, exactly."""

MANY = 10_000_000

Minutes = Annotated[float | None, Number("minutes for one", 0, 10_000, "minutes")]
SetUp = Annotated[float | None, Number("minutes to set up, however many racks", 0, 10_000, "minutes")]


@dataclass(frozen=True, kw_only=True)
class MoneyTable(Table):
    """How a price is made of costs."""

    currency: Annotated[str | None, Words("word or sign that goes before every amount")] = None
    margin: Annotated[
        float | None, Number("per cent of the price: with 20, what costs 80 sells at 100", 0, 95, "per cent")
    ] = None
    overhead: Annotated[
        float | None, Number("rent, power, office: per cent put on material, labour and coating", 0, 500, "per cent")
    ] = None
    consumables: Annotated[float | None, Number("wire, gas, discs, blades: per cent of labour", 0, 500, "per cent")] = (
        None
    )
    sheet_waste: Annotated[
        float | None, Number("per cent put on the area of plates and mesh; 15 when left out", 0, 500, "per cent")
    ] = None
    quantity: Annotated[int | None, Count("how many racks alike are made in one go; 1 when left out", 1, 1_000)] = None
    valid_days: Annotated[int | None, Count("how many days a quotation holds; 30 when left out", 1, 3_650)] = None

    def record(self) -> Money:
        """Return the record."""
        return Money(**given(self))


@dataclass(frozen=True, kw_only=True)
class MinutesTable(Table):
    """Minutes of each operation; lengths a metre in mm files and a foot in inch files, areas likewise."""

    saw_cut: Minutes = None
    coped_end: Minutes = None
    bend: Minutes = None
    fold: Minutes = None
    pierce: Annotated[float | None, Number("the table starts a contour", 0, 10_000, "minutes")] = None
    table_cut: Annotated[float | None, Number("cut on the table, a metre or foot", 0, 10_000, "minutes")] = None
    mesh_cut: Annotated[float | None, Number("expanded metal trimmed, a metre or foot", 0, 10_000, "minutes")] = None
    hole: Annotated[float | None, Number("a hole or slot drilled and deburred", 0, 10_000, "minutes")] = None
    fit: Annotated[float | None, Number("a part put in its place, squared and tacked", 0, 10_000, "minutes")] = None
    joint: Annotated[float | None, Number("a weld begun and ended, the work turned", 0, 10_000, "minutes")] = None
    weld: Annotated[float | None, Number("a metre or foot of weld", 0, 10_000, "minutes")] = None
    dress: Annotated[float | None, Number("a butt dressed flush", 0, 10_000, "minutes")] = None
    coat: Annotated[
        float | None, Number("cleaned, masked and coated, a square metre or foot", 0, 10_000, "minutes")
    ] = None
    assemble: Annotated[float | None, Number("a bought part put on", 0, 10_000, "minutes")] = None
    dry_fit: Annotated[float | None, Number("dry fit, scribing and final fit of a rack", 0, 100_000, "minutes")] = None


@dataclass(frozen=True, kw_only=True)
class SetUpTable(Table):
    """Minutes to set up for an operation, shared by all racks that are made in one go."""

    saw: SetUp = None
    cope: SetUp = None
    bend: Annotated[float | None, Number("for each die", 0, 10_000, "minutes")] = None
    fold: SetUp = None
    table: Annotated[float | None, Number("for each thickness", 0, 10_000, "minutes")] = None
    drill: SetUp = None
    weld: Annotated[float | None, Number("table, stops and machine", 0, 10_000, "minutes")] = None
    coat: SetUp = None


PER_LENGTH = ("table_cut", "mesh_cut", "weld")
PER_AREA = ("coat",)


@dataclass(frozen=True, kw_only=True)
class LabourTable(Table):
    """How long work takes, and what an hour costs."""

    rate: Annotated[float | None, Number("price of an hour", 0, MANY, "a price")] = None
    minutes: Annotated[MinutesTable, About("minutes of one of each operation")] = MinutesTable()
    set_up: Annotated[SetUpTable, About("minutes to set up for each operation")] = SetUpTable()

    def record(self, unit: Unit) -> Labour:
        """Return the record, per metre and square metre."""
        minutes = dict(cast("dict[str, float]", given(self.minutes)))
        for key, power in (*((k, 1) for k in PER_LENGTH), *((k, 2) for k in PER_AREA)):
            if unit == "in" and key in minutes:
                minutes[key] /= FOOT**power
        set_up = cast("dict[str, float]", given(self.set_up))
        return Labour(self.rate, tuple(minutes.items()), tuple(set_up.items()))


@dataclass(frozen=True, kw_only=True)
class CoatingTable(Table):
    """The finish."""

    name: Annotated[str | None, Words("what the customer is told of it")] = None
    method: Annotated[Literal["powder", "paint", "hot dip"], About("how it is put on; powder when left out")] = "powder"
    thickness: Annotated[float | None, Length("of the dry film on each face", 0.005, 2)] = None
    density: Annotated[float | None, Number("of the film", 0.5, 10, "kilograms a litre")] = None
    efficiency: Annotated[float | None, Number("how much of it ends on the rack", 5, 100, "per cent")] = None
    price_per_mass: Annotated[
        float | None, Number("of powder or paint, a kilogram in mm files, a pound in inch files", 0, MANY, "a price")
    ] = None
    price_per_area: Annotated[
        float | None,
        Number("a coater's price, a square metre in mm files, a square foot in inch files", 0, MANY, "a price"),
    ] = None
    minimum: Annotated[float | None, Number("least charge for one lot", 0, MANY, "a price")] = None

    def record(self, unit: Unit) -> Coating:
        """Return the record, per kilogram and square metre."""
        made = Coating(**given(self))
        if unit == "mm":
            return made
        mass, area = made.price_per_mass, made.price_per_area
        return dataclasses.replace(
            made,
            price_per_mass=None if mass is None else mass / POUND,
            price_per_area=None if area is None else area / FOOT**2,
        )


@dataclass(frozen=True, kw_only=True)
class SuppliesTable(Table):
    """Prices of small bought things."""

    cap: Annotated[float | None, Number("one end cap", 0, MANY, "a price")] = None
    isolator: Annotated[
        float | None, Number("isolator strip, a metre in mm files, a foot in inch files", 0, MANY, "a price")
    ] = None
    sealant: Annotated[float | None, Number("one cartridge of 310 ml", 0, MANY, "a price")] = None
    paint: Annotated[float | None, Number("one small tin of paint for drilled holes", 0, MANY, "a price")] = None

    def record(self, unit: Unit) -> Supplies:
        """Return the record, per metre."""
        made = Supplies(**given(self))
        if unit == "mm" or made.isolator is None:
            return made
        return dataclasses.replace(made, isolator=made.isolator / FOOT)
