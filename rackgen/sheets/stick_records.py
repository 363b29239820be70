"""What a nest of sticks holds: pieces, cuts, sticks, and the whole of each stock. Lengths in mm, not rounded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.units import Unit


@dataclass(frozen=True)
class Piece:
    """One piece to saw.

    Attributes:
        part: part id.
        mark: of the part.
        word: what the shop calls it.
        stage: when it is cut.
        saw: length, mm.
    """

    part: str
    mark: str
    word: str
    stage: int
    saw: float


@dataclass(frozen=True)
class Cut:
    """A piece in its place on a stick.

    Attributes:
        piece: which.
        start: from the faced end, mm.
        end: from the faced end, mm; the blade goes beyond it.
    """

    piece: Piece
    start: float
    end: float


@dataclass(frozen=True)
class Stick:
    """One stick or remnant and what is sawn from it.

    Attributes:
        number: among those of its stock, from 1.
        length: as bought or as it was left, mm.
        fresh: whether it is bought.
        trim: cut off each end first, mm.
        cuts: in the order of cutting: early stages first, long before short.
        left: good length that remains behind the last cut, mm.
        kept: whether that is long enough to keep.
    """

    number: int
    length: float
    fresh: bool
    trim: float
    cuts: tuple[Cut, ...]
    left: float
    kept: bool


@dataclass(frozen=True)
class StockNest:
    """Everything of one stock.

    Attributes:
        stock: name on the shelf.
        kind: tube or bar.
        sticks: remnants first.
        left_out: pieces that do not come out of what may be cut, sorted.
        measure: what is least: price, length bought (mm), or length left out (mm).
        cost: in that measure.
        least: lower bound of it.
        bought: length of all fresh sticks, mm.
        price: of all fresh sticks, None when the shop does not say.
        pieces: length of all pieces sawn, mm.
        kept: length of what is worth keeping, mm.
        scrap: everything else that becomes of the sticks: trims, kerfs, ends too short, mm.
    """

    stock: str
    kind: Literal["tube", "bar"]
    sticks: tuple[Stick, ...]
    left_out: tuple[Piece, ...]
    measure: Literal["price", "length bought", "length left out"]
    cost: float
    least: float
    bought: float
    price: float | None
    pieces: float
    kept: float
    scrap: float

    @property
    def proven(self) -> bool:
        """Whether nothing better is possible."""
        # Both are whole hundredths.
        return self.cost - self.least < 0.005


@dataclass(frozen=True)
class StickNest:
    """The whole nest.

    Attributes:
        unit: the shop's.
        kerf: of the saw, mm.
        least_remnant: shortest piece that is kept, mm.
        fresh: whether sticks may be bought.
        stocks: tubes, then bars, in the order of the cut list.
    """

    unit: Unit
    kerf: float
    least_remnant: float
    fresh: bool
    stocks: tuple[StockNest, ...]
