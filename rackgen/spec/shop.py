"""The shop: what is on its shelf and what its machines can do."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from rackgen.spec.folding import Folding
from rackgen.spec.money import Coating, Labour, Money, Supplies
from rackgen.spec.paper import Paper
from rackgen.spec.spread import Spreads
from rackgen.spec.stock import Bolt, Expanded, Flat, Perforated, Rivet, RivetNut, Round, Sheet, Stock, UBolt

FRAME_HOOP = "frame hoop"
BOW = "bow"
"""What the shop calls the frame's hoop, and a bow across a van: both are cut to length after the dry fit."""

LEG_TRIM = 30.0
"""Left on each of its legs until the dry fit where a shop file does not say, mm (common practice, no source)."""

LEAST_BETWEEN = 6.0
"""Least kept between pieces on a sheet where a shop file does not say, mm (common practice, no source)."""


@dataclass(frozen=True)
class Measured:
    """What a test bend of one tube on one die gave.

    Attributes:
        tube: name of the tube on the shelf.
        springback: by how much the set angle exceeds a finished bend of 90 deg, degrees; None when not measured.
        elongation: by how much a bend of 90 deg makes the tube longer, mm; None when not measured.
    """

    tube: str
    springback: float | None = None
    elongation: float | None = None


@dataclass(frozen=True)
class Die:
    """One bending die.

    Attributes:
        name: as it is stamped.
        tube_od: of the tube it takes, mm.
        clr: radius to the tube's centreline, mm.
        clamp: straight the clamp needs before a bend, mm.
        tail: straight needed after the last bend, mm.
        mark_at: what of a bend its mark on the tube stands for: its start, its centre, or what lies at the die's own
            mark when the bend starts; None when the shop does not say.
        die_mark_offset: from the mark on the tube on to the start of the bend, mm; only with a die's own mark.
        keep_clear: radius round the die's centre that the bender takes up, mm; None when the shop does not say.
        measured: test bends, at most one a tube.
    """

    name: str
    tube_od: float
    clr: float
    clamp: float
    tail: float
    mark_at: Literal["start", "centre", "die mark"] | None = None
    die_mark_offset: float | None = None
    keep_clear: float | None = None
    measured: tuple[Measured, ...] = ()

    def measured_for(self, tube: str) -> Measured:
        """Return what test bends of a tube gave, by its name on the shelf; nothing measured when there was none."""
        return next((m for m in self.measured if m.tube == tube), Measured(tube))


@dataclass(frozen=True)
class Saw:
    """The saw.

    Attributes:
        kerf: mm.
        end_trim: cut off each end of a fresh stick, mm.
        least_remnant: shortest piece that goes back on the rack and not into the scrap, mm.
    """

    kerf: float
    end_trim: float
    least_remnant: float = 300.0


@dataclass(frozen=True)
class Remnant:
    """Pieces left from earlier work.

    Attributes:
        stock: name of the tube or bar on the shelf.
        length: good length between its ends, mm.
        count: how many.
    """

    stock: str
    length: float
    count: int = 1


@dataclass(frozen=True)
class Table:
    """The cutting table.

    Attributes:
        kerf: mm.
        smallest_hole: least diameter it cuts clean, mm.
        can_mark: whether it can mark lines and text without cutting.
        spacing: kept between pieces on a sheet, mm; None when the shop leaves it to `between`.
        margin: kept along a sheet's edges, mm (default: common practice, no source).
        rotations: how pieces may be turned; half turns keep a blank's X along the sheet's length.
    """

    kerf: float
    smallest_hole: float
    can_mark: bool
    spacing: float | None = None
    margin: float = 10.0
    rotations: Literal["any quarter turn", "half turns only"] = "any quarter turn"

    def between(self, thickness: float) -> float:
        """Return what is kept between pieces of a thickness, mm (default: common practice, no source)."""
        return max(LEAST_BETWEEN, self.kerf, thickness) if self.spacing is None else self.spacing


@dataclass(frozen=True)
class SheetRemnant:
    """Rectangles of plate left from earlier work.

    Attributes:
        plate: name on the shelf.
        width: across the grain, mm.
        length: along the grain, mm.
        count: how many.
    """

    plate: str
    width: float
    length: float
    count: int = 1


@dataclass(frozen=True)
class Shop:
    """A shop, complete.

    Attributes:
        name: shown on sheets.
        unit: the unit its sheets are read in.
        stock: everything on the shelf.
        dies: bending dies, at most one per tube OD.
        saw: the saw.
        table: the cutting table.
        u_bolts: on the shelf.
        rivets: on the shelf.
        fit_up_gap: kept at every coped end in lengths and templates, mm.
        weld_shrinkage: added to bearers per joint, mm.
        trim: left on each end of a bent tube until after bending, mm.
        leg_trim: left on each leg of the frame until the dry fit, mm.
        bedding: sealant bed or hard tape under fixed mounts, mm.
        isolator: strip under clamp pads, mm.
        remnants: pieces of tube and bar left from earlier work.
        sheet_remnants: pieces of plate left from earlier work.
        money: how a price is made of costs.
        labour: how long work takes.
        finish: the coating.
        supplies: prices of small bought things.
        spread: how much its work scatters.
        folding: how much goes into folds of bar and plate, and what they are folded in.
        paper: what sheets and templates are printed on.
        bolts: on the shelf.
        rivet_nuts: on the shelf.
    """

    name: str
    unit: Literal["mm", "in"]
    stock: tuple[Stock, ...]
    dies: tuple[Die, ...]
    saw: Saw
    table: Table
    u_bolts: tuple[UBolt, ...]
    rivets: tuple[Rivet, ...]
    fit_up_gap: float
    weld_shrinkage: float
    trim: float
    bedding: float
    isolator: float
    remnants: tuple[Remnant, ...] = ()
    sheet_remnants: tuple[SheetRemnant, ...] = ()
    leg_trim: float = LEG_TRIM
    money: Money = field(default_factory=Money)
    labour: Labour = field(default_factory=Labour)
    finish: Coating = field(default_factory=Coating)
    supplies: Supplies = field(default_factory=Supplies)
    spread: Spreads = field(default_factory=Spreads)
    folding: Folding = field(default_factory=Folding)
    paper: Paper = field(default_factory=Paper)
    bolts: tuple[Bolt, ...] = ()
    rivet_nuts: tuple[RivetNut, ...] = ()

    def trim_of(self, word: str) -> float:
        """Return what is left on each end of a bent tube of that name, mm: the frame's legs are trimmed last."""
        return self.leg_trim if word in (FRAME_HOOP, BOW) else self.trim

    def tubes(self) -> tuple[tuple[Stock, Round], ...]:
        """Return the round tubes, largest first, thin wall before thick."""
        found = [(s, s.section) for s in self.stock if isinstance(s.section, Round)]
        return tuple(sorted(found, key=lambda f: (-f[1].od, f[1].wall)))

    def bars(self) -> tuple[tuple[Stock, Flat], ...]:
        """Return the flat bars, widest first, thin before thick."""
        found = [(s, s.section) for s in self.stock if isinstance(s.section, Flat)]
        return tuple(sorted(found, key=lambda f: (-f[1].width, f[1].thickness)))

    def sheets(self) -> tuple[tuple[Stock, Sheet], ...]:
        """Return the plates, thin first."""
        found = [(s, s.section) for s in self.stock if isinstance(s.section, Sheet)]
        return tuple(sorted(found, key=lambda f: f[1].thickness))

    def meshes(self) -> tuple[tuple[Stock, Expanded], ...]:
        """Return the expanded metals, light first."""
        found = [(s, s.section) for s in self.stock if isinstance(s.section, Expanded)]
        return tuple(sorted(found, key=lambda f: f[1].mass_per_area))

    def perforated(self) -> tuple[tuple[Stock, Perforated], ...]:
        """Return the perforated sheets, light first."""
        found = [(s, s.section) for s in self.stock if isinstance(s.section, Perforated)]
        return tuple(sorted(found, key=lambda f: f[1].mass_per_area))

    def die_for(self, od: float) -> Die | None:
        """Return the die for a tube OD, or None when the shop has none."""
        return next((d for d in self.dies if abs(d.tube_od - od) < 0.05), None)
