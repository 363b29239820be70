"""What stands on the shop's shelf: sections, stock, and bought parts. Lengths in mm, masses in kg."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from rackgen.refs.fasteners import BoltGrade, RivetStandard


@dataclass(frozen=True)
class Round:
    """Round tube: outside diameter and wall, mm."""

    od: float
    wall: float

    @property
    def inner(self) -> float:
        """Inside diameter, mm."""
        return self.od - 2 * self.wall


@dataclass(frozen=True)
class Flat:
    """Flat bar: width and thickness, mm."""

    width: float
    thickness: float


@dataclass(frozen=True)
class Sheet:
    """Sheet or plate of one thickness, mm, in pieces of `width` × `length`, mm."""

    thickness: float
    width: float
    length: float


@dataclass(frozen=True)
class Expanded:
    """Raised or flattened expanded metal.

    Attributes:
        style: "raised" or "flattened".
        swd: short way of the diamond, mm, centre to centre.
        lwd: long way of the diamond, mm, centre to centre.
        strand_thickness: mm.
        strand_width: mm.
        overall: thickness over all, mm.
        mass_per_area: kg/m².
        width: of a sheet across the long way, mm.
        length: of a sheet along the long way, mm.
    """

    style: str
    swd: float
    lwd: float
    strand_thickness: float
    strand_width: float
    overall: float
    mass_per_area: float
    width: float
    length: float

    @property
    def steel(self) -> float:
        """Thickness of its steel, mm: the strand's."""
        return self.strand_thickness


@dataclass(frozen=True)
class Perforated:
    """Sheet with round holes punched in a regular pattern, bought by its mass.

    Attributes:
        pattern: "staggered", every hole as far from its six neighbours, or "square".
        hole: diameter, mm.
        pitch: centre to centre, mm; rows run along the sheet's length.
        thickness: mm.
        mass_per_area: kg/m².
        width: of a sheet, mm.
        length: of a sheet, along the rows, mm.
    """

    pattern: Literal["staggered", "square"]
    hole: float
    pitch: float
    thickness: float
    mass_per_area: float
    width: float
    length: float

    @property
    def overall(self) -> float:
        """Thickness over all, mm."""
        return self.thickness

    @property
    def steel(self) -> float:
        """Thickness of its steel, mm."""
        return self.thickness

    @property
    def cell(self) -> float:
        """Area of sheet that each hole has to itself, mm²."""
        return self.pitch**2 * (math.sqrt(3) / 2 if self.pattern == "staggered" else 1.0)

    @property
    def open_share(self) -> float:
        """Share of the sheet that is holes."""
        return math.pi / 4 * self.hole**2 / self.cell


Panel = Expanded | Perforated
"""What floors are cut from by shear or disc, and weighed by the square metre."""

Section = Round | Flat | Sheet | Panel


@dataclass(frozen=True)
class Stock:
    """One line of the shelf.

    Attributes:
        name: as the shop calls it, unique on the shelf.
        section: its cross section.
        material: "steel", "stainless" or "aluminium".
        grade: as on the delivery note.
        coating: "bare", "galvanised", "oiled" ...
        stick: length of the longest stock piece that is bought, mm; 0 for sheet.
        lengths: every length that is bought, rising, `stick` the last, mm; empty when `stick` is the only one.
        prices: of one piece of each length, or of one sheet, in the shop's own money; empty when the shop does not
            say. They are no part of what is made: stock of another price is the same stock.
        yield_strength: of its certificate, MPa; None when the grade's own counts.
        tensile_strength: the same of its tensile strength.
    """

    name: str
    section: Section
    material: str
    grade: str
    coating: str
    stick: float = 0.0
    lengths: tuple[float, ...] = ()
    prices: tuple[float, ...] = field(default=(), compare=False)
    yield_strength: float | None = None
    tensile_strength: float | None = None

    @property
    def sticks(self) -> tuple[float, ...]:
        """Every length that is bought, rising, mm; none for sheet."""
        return self.lengths or ((self.stick,) if self.stick else ())


DENSITY = {"steel": 7850.0, "stainless": 7900.0, "aluminium": 2700.0}
"""kg/m³. Steel: EN 10305 and EN 10219 (mass formula), checked in tests; the others from memory of handbooks."""


@dataclass(frozen=True)
class UBolt:
    """A bought U-bolt with two nuts and washers; mm.

    Attributes:
        name: as on the shelf.
        rod: rod diameter.
        inside_width: clear between the legs.
        leg: from the inside of the bow to the end of the legs.
        thread: threaded length of each leg.
        nut_height: height of a nut.
        nut_across: across the flats of a nut.
        washer: outside diameter of its washers.
        washer_thickness: their thickness.
        torque: N·m on thin tube.
        price: of one with nuts and washers, None when the shop does not say.
        grade: of its rod: a class of ISO 898-1 or a grade of SAE J429; "" when the shop does not say.
    """

    name: str
    rod: float
    inside_width: float
    leg: float
    thread: float
    nut_height: float
    nut_across: float
    washer: float
    washer_thickness: float
    torque: float
    price: float | None = None
    grade: BoltGrade | Literal[""] = ""


@dataclass(frozen=True)
class Rivet:
    """A bought blind rivet; mm.

    Attributes:
        name: as on the shelf.
        diameter: of the body.
        hole: drill diameter.
        grip: least and largest grip.
        head: head diameter.
        head_height: height of the head.
        closed_end: whether the blind end is closed and seals.
        price: of one, None when the shop does not say.
        standard: whose table its strength is from; "" when the shop does not say.
        shear: minimum ultimate, N, from the maker's sheet; None when the shop does not say.
        tension: the same in tension.
    """

    name: str
    diameter: float
    hole: float
    grip: tuple[float, float]
    head: float
    head_height: float
    closed_end: bool
    price: float | None = None
    standard: RivetStandard | Literal[""] = ""
    shear: float | None = None
    tension: float | None = None


@dataclass(frozen=True)
class Bolt:
    """A bought hexagon bolt with nut and two washers; mm.

    Attributes:
        name: as on the shelf, without its length.
        diameter: of its thread.
        lengths: on the shelf, from under the head to the tip, rising.
        head_across: head and nut across their flats.
        head_height: of its head.
        nut_height: of its nut.
        washer: outside diameter of its washers.
        washer_thickness: their thickness.
        torque: N·m.
        grade: a class of ISO 898-1 or a grade of SAE J429; "" when the shop does not say.
        price: of one with nut and washers, None when the shop does not say.
    """

    name: str
    diameter: float
    lengths: tuple[float, ...]
    head_across: float
    head_height: float
    nut_height: float
    washer: float
    washer_thickness: float
    torque: float
    grade: BoltGrade | Literal[""] = ""
    price: float | None = None


@dataclass(frozen=True)
class RivetNut:
    """A bought rivet nut; mm.

    Attributes:
        name: as on the shelf.
        thread: its thread.
        hole: drill diameter, about as wide as its body.
        grip: least and largest thickness of the sheet that it is set in.
        length: of its body below that sheet once it is set.
        price: of one, None when the shop does not say.
    """

    name: str
    thread: float
    hole: float
    grip: tuple[float, float]
    length: float
    price: float | None = None
