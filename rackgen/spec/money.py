"""What work costs in a shop: its money, its labour, its coating and its bought parts. What is None is not given.

Prices are in the shop's own money, without tax. Per metre, square metre and kilogram, whatever the file's unit is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Method = Literal["powder", "paint", "hot dip"]


@dataclass(frozen=True)
class Money:
    """How a price is made of costs.

    Attributes:
        currency: word or sign before every amount.
        margin: per cent of the price: what costs 80 sells at 100 with a margin of 20.
        overhead: per cent put on material, labour and coating.
        consumables: wire, gas, discs, blades: per cent of labour.
        sheet_waste: per cent put on the area of plates and expanded metal, which are charged by area.
        quantity: how many racks alike are made in one go; they share set-ups and minimum charges.
        valid_days: how long a quotation holds.
    """

    currency: str | None = None
    margin: float | None = None
    overhead: float | None = None
    consumables: float | None = None
    sheet_waste: float = 15.0
    quantity: int = 1
    valid_days: int = 30


@dataclass(frozen=True)
class Labour:
    """How long work takes.

    Attributes:
        rate: price of an hour.
        minutes: operations by their key, and the minutes of one of each.
        set_up: operations by their key, and the minutes of their set-up.
    """

    rate: float | None = None
    minutes: tuple[tuple[str, float], ...] = ()
    set_up: tuple[tuple[str, float], ...] = ()

    def minutes_of(self, key: str) -> float | None:
        """Return the minutes of one operation, or None when the shop does not say."""
        return dict(self.minutes).get(key)

    def set_up_of(self, key: str) -> float | None:
        """Return the minutes of an operation's set-up, or None when the shop does not say."""
        return dict(self.set_up).get(key)


@dataclass(frozen=True)
class Coating:
    """The finish.

    Attributes:
        name: what the customer is told: "black powder, fine structure".
        method: how it is put on.
        thickness: of the dry film on each face, mm; None takes the usual.
        density: of the film, kg/l.
        efficiency: how much of the powder or paint ends on the rack, per cent; None takes the usual.
        price_per_mass: of powder or paint bought, a kg.
        price_per_area: of coated area, a m²: a coater's own price, in place of powder and time.
        minimum: least charge for one lot.
    """

    name: str = ""
    method: Method = "powder"
    thickness: float | None = None
    density: float | None = None
    efficiency: float | None = None
    price_per_mass: float | None = None
    price_per_area: float | None = None
    minimum: float | None = None


@dataclass(frozen=True)
class Supplies:
    """Prices of small bought things.

    Attributes:
        cap: one end cap.
        isolator: strip, a metre.
        sealant: one cartridge of 310 ml.
        paint: one small tin for drilled holes and repairs.
    """

    cap: float | None = None
    isolator: float | None = None
    sealant: float | None = None
    paint: float | None = None
