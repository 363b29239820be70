"""Sums of money: exact decimals, rounded half up to hundredths, and what is missing from a sum by name and key."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Missing:
    """What a shop's file does not say.

    Attributes:
        what: in words.
        key: what to write, and where in the shop's file.
    """

    what: str
    key: str


def exact(value: float) -> Decimal:
    """Return a number as it is typed, noise of the arithmetic beyond a millionth left out."""
    return Decimal(repr(round(float(value), 6)))


def cents(value: Decimal) -> Decimal:
    """Return a sum rounded half up to hundredths, as a till does."""
    return value.quantize(CENT, ROUND_HALF_UP)


def total(values: Iterable[Decimal | None]) -> Decimal:
    """Return the sum of what is known."""
    return sum((v for v in values if v is not None), Decimal("0.00"))


def written(value: Decimal | None, currency: str | None) -> str:
    """Return a sum with its currency before it, thousands apart; "" for None."""
    if value is None:
        return ""
    text = f"{cents(value):,.2f}"
    return f"{currency} {text}" if currency else text
