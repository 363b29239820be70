"""The file of the offcuts at hand: what is left from earlier work, apart from the shop's own file."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.errors import Mistake
from rackgen.spec import limits
from rackgen.spec.document import Document
from rackgen.spec.fields import About, Entries, Reading, Table, given
from rackgen.spec.shop import Remnant, Shop
from rackgen.spec.shop_across import wrong_remnants
from rackgen.spec.shop_file import RemnantTable
from rackgen.spec.stock import Flat, Round
from rackgen.spec.validate import Across
from rackgen.units import Unit


@dataclass(frozen=True, kw_only=True)
class OffcutsFile(Table):
    """The offcuts at hand."""

    format: Annotated[Literal[1], About("always 1")]
    units: Annotated[Unit, About("of the bare lengths in this file")]
    remnant: Annotated[tuple[RemnantTable, ...], Entries("pieces at hand", limits.PARTS, 1)]

    def record(self) -> tuple[Remnant, ...]:
        """Return the records."""
        return tuple(Remnant(**given(left)) for left in self.remnant)


def across_offcuts(shop: Shop) -> Across:
    """Return what finds remnants of stock that a shop does not have."""
    shelf = {stock.name for stock in shop.stock if isinstance(stock.section, Round | Flat)}

    def across(document: Document, reading: Reading) -> Iterator[Mistake]:
        return wrong_remnants(document, shelf, "the shop")

    return across
