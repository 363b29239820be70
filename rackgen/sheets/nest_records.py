"""What a nest of plate holds: pieces in their places on sheets, and what is left. Lengths in mm, not rounded.

A sheet lies with its length along X and its width along Y, its datum corner at the origin.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.units import Unit


@dataclass(frozen=True)
class Laid:
    """One piece on a sheet.

    Attributes:
        mark: of its blank.
        number: among the pieces of that mark, from 1.
        x: of the left edge of its box as it lies, from the datum corner, mm.
        y: of the lower edge of its box as it lies, mm.
        angle: by which the blank is turned, degrees anticlockwise, 0 to 360.
    """

    mark: str
    number: int
    x: float
    y: float
    angle: float


@dataclass(frozen=True)
class Leftover:
    """A rectangle of a sheet that stays whole; mm, from the datum corner."""

    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True)
class PlateSheet:
    """One sheet or remnant and what is cut from it.

    Attributes:
        number: among those of its plate, from 1.
        length: along X, mm.
        width: along Y, mm.
        fresh: whether it is bought.
        pieces: what lies on it, by mark and number.
        area: of all its pieces, openings and holes taken off, mm².
        left: the largest rectangle that stays whole, or None where nothing does.
    """

    number: int
    length: float
    width: float
    fresh: bool
    pieces: tuple[Laid, ...]
    area: float
    left: Leftover | None

    @property
    def share(self) -> float:
        """Share of the sheet that becomes pieces, 0 to 1."""
        return self.area / (self.length * self.width)


@dataclass(frozen=True)
class PlateNest:
    """Everything of one plate.

    Attributes:
        plate: name on the shelf.
        thickness: mm.
        spacing: kept between pieces, mm.
        sheets: remnants first.
        left_out: marks of pieces that come out of no sheet, one for each piece, sorted.
        least: fewest fresh sheets that any layout takes, by area.
    """

    plate: str
    thickness: float
    spacing: float
    sheets: tuple[PlateSheet, ...]
    left_out: tuple[str, ...]
    least: int

    @property
    def fresh(self) -> int:
        """How many fresh sheets are used."""
        return sum(s.fresh for s in self.sheets)


@dataclass(frozen=True)
class Nest:
    """The whole nest.

    Attributes:
        unit: the shop's.
        kerf: of the table, mm.
        margin: kept along the edges of every sheet, mm.
        rotations: how pieces may be turned.
        layout: "worked out here", or the name of the file that it was kept in.
        plates: in the order of the cut list.
    """

    unit: Unit
    kerf: float
    margin: float
    rotations: str
    layout: str
    plates: tuple[PlateNest, ...]


WORKED_OUT = "worked out here"
