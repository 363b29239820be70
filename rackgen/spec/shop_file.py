"""The file of a shop: its tables as they are typed, and the record made of them."""

import math
from dataclasses import dataclass, field, replace
from typing import Annotated, Literal

from rackgen.refs.fasteners import BoltGrade, RivetStandard, rivet_loads
from rackgen.spec import limits
from rackgen.spec.bolt_file import BoltTable, RivetNutTable
from rackgen.spec.fields import (
    About,
    Amount,
    Count,
    Entries,
    Length,
    Number,
    Table,
    Words,
    Wrong,
    YesNo,
    given,
    refuse,
    wrong_if,
)
from rackgen.spec.folding_file import FoldingTable
from rackgen.spec.money_file import CoatingTable, LabourTable, MoneyTable, SuppliesTable
from rackgen.spec.paper_file import PaperTable
from rackgen.spec.sheet_remnant_file import SheetRemnantTable
from rackgen.spec.shop import Die, Measured, Remnant, Saw, SheetRemnant, Shop
from rackgen.spec.shop import Table as CuttingTable
from rackgen.spec.spread_file import SpreadTable
from rackgen.spec.stock import DENSITY, Expanded, Flat, Perforated, Rivet, Round, Section, Sheet, Stock, UBolt
from rackgen.units import Unit

Material = Annotated[Literal["steel", "stainless", "aluminium"], About("what it is made of; steel when left out")]
Grade = Annotated[str, Words("as on the delivery note")]
Coating = Annotated[str, Words("bare, oiled, galvanised ...; weld prep and safety depend on it")]
Stick = Annotated[float, Length("length of a stock piece, the longest that is bought", 500, 15_000)]
Lengths = Annotated[
    tuple[Annotated[float, Length("length of a stock piece", 500, 15_000)], ...],
    Entries("every length that is bought, when there are several; the last is `stick`", 20, 1, rising=True),
]
Prices = Annotated[
    tuple[Annotated[float, Number("price of a stock piece", 0.01, 1_000_000, "a price")], ...],
    Entries("what one stock piece of each length costs, in the shop's own money", 20, 1),
]
Price = Annotated[float | None, Number("what one of it costs, in the shop's own money", 0.01, 1_000_000, "a price")]
Yield = Annotated[
    float | None,
    Amount('MPa of its certificate, or text such as "36 ksi"; when left out the grade\'s', "stress", 20, 1500),
]
Tensile = Annotated[
    float | None,
    Amount('MPa of its certificate, or text such as "58 ksi"; when left out the grade\'s', "stress", 20, 2000),
]
SheetName = Annotated[str, Words("as the shop calls it, unlike any other stock; rack files use it")]
ShelfName = Annotated[str, Words("as it stands on the shelf, unlike any other")]


@dataclass(frozen=True, kw_only=True)
class TubeTable(Table):
    """Round tube in sticks."""

    name: SheetName
    od: Annotated[float, Length("outside diameter", 6, 200)]
    wall: Annotated[float, Length("wall thickness", 0.5, 20)]
    material: Material = "steel"
    grade: Grade
    coating: Coating
    stick: Stick
    lengths: Lengths = ()
    prices: Prices = ()
    yield_strength: Yield = None
    tensile_strength: Tensile = None

    def __post_init__(self) -> None:
        """Refuse a wall that leaves no bore."""
        refuse(
            wrong_if(self.wall >= self.od / 2, "wall", "a wall is less than half the outside diameter"),
            *_wrong_sticks(self),
            _wrong_certificate(self),
        )

    def stock(self) -> Stock:
        """Return the record."""
        return replace(_stock(self, Round(self.od, self.wall), self.stick), lengths=self.lengths, prices=self.prices)


@dataclass(frozen=True, kw_only=True)
class BarTable(Table):
    """Flat bar in sticks."""

    name: SheetName
    width: Annotated[float, Length("width", 5, 300)]
    thickness: Annotated[float, Length("thickness", 1, 40)]
    material: Material = "steel"
    grade: Grade
    coating: Coating
    stick: Stick
    lengths: Lengths = ()
    prices: Prices = ()
    yield_strength: Yield = None
    tensile_strength: Tensile = None

    def __post_init__(self) -> None:
        """Refuse a bar that lies on its edge."""
        refuse(
            wrong_if(self.thickness > self.width, "thickness", "a bar is no thicker than it is wide"),
            *_wrong_sticks(self),
            _wrong_certificate(self),
        )

    def stock(self) -> Stock:
        """Return the record."""
        made = _stock(self, Flat(self.width, self.thickness), self.stick)
        return replace(made, lengths=self.lengths, prices=self.prices)


@dataclass(frozen=True, kw_only=True)
class PlateTable(Table):
    """Plate or sheet of one thickness."""

    name: SheetName
    thickness: Annotated[float, Length("thickness", 0.5, 40)]
    width: Annotated[float, Length("width of a sheet", 100, 4_000)]
    length: Annotated[float, Length("length of a sheet", 100, 15_000)]
    material: Material = "steel"
    grade: Grade
    coating: Coating
    price: Price = None
    yield_strength: Yield = None
    tensile_strength: Tensile = None

    def __post_init__(self) -> None:
        """Refuse a certificate that contradicts itself."""
        refuse(_wrong_certificate(self))

    def stock(self) -> Stock:
        """Return the record."""
        made = _stock(self, Sheet(self.thickness, self.width, self.length), 0.0)
        return made if self.price is None else replace(made, prices=(self.price,))


@dataclass(frozen=True, kw_only=True)
class MeshTable(Table):
    """Expanded metal in sheets."""

    name: SheetName
    style: Annotated[Literal["raised", "flattened"], About("raised as it comes off the press, or flattened")]
    swd: Annotated[float, Length("short way of the diamond, centre to centre", 3, 300)]
    lwd: Annotated[float, Length("long way of the diamond, centre to centre", 3, 300)]
    strand_thickness: Annotated[float, Length("thickness of the strand, as the sheet was before", 0.3, 10)]
    strand_width: Annotated[float, Length("width of the strand", 0.3, 20)]
    overall: Annotated[float, Length("thickness over all", 0.3, 40)]
    mass_per_area: Annotated[float, Amount('kg/m2, or text such as "0.80 lb/ft2"', "mass per area", 0.1, 100)]
    width: Annotated[float, Length("of a sheet, across the long way of the diamonds", 100, 4_000)]
    length: Annotated[float, Length("of a sheet, along the long way of the diamonds", 100, 15_000)]
    material: Material = "steel"
    grade: Grade
    coating: Coating
    price: Price = None

    def __post_init__(self) -> None:
        """Refuse diamonds and strands that cannot be, and a mass that is not this mesh's."""
        # Two strands in every short way; rolling and rounded corners make a few per cent of difference.
        mass = 2 * self.strand_width / self.swd * self.strand_thickness * DENSITY[self.material] * 1e-3
        diamond = 2 * self.strand_width < self.swd < self.lwd
        off = diamond and not 0.75 * mass <= self.mass_per_area <= 1.35 * mass
        refuse(
            wrong_if(self.swd >= self.lwd, "swd", "the short way is less than the long way"),
            wrong_if(self.overall < self.strand_thickness, "overall", "not less than strand_thickness"),
            wrong_if(2 * self.strand_width >= self.swd, "strand_width", "less than half of swd"),
            wrong_if(off, "mass_per_area", f"such strands weigh about {mass:.2f} kg/m2: check it, swd and the strand"),
        )

    def stock(self) -> Stock:
        """Return the record."""
        made = _stock(self, Expanded(**given(self, "name", "material", "grade", "coating", "price")), 0.0)
        return made if self.price is None else replace(made, prices=(self.price,))


@dataclass(frozen=True, kw_only=True)
class PerforatedTable(Table):
    """Perforated sheet: round holes in a regular pattern."""

    name: SheetName
    pattern: Annotated[
        Literal["staggered", "square"], About("staggered: every hole as far from its six neighbours; or square")
    ]
    hole: Annotated[float, Length("diameter of a hole", 1, 60)]
    pitch: Annotated[float, Length("from hole to hole, centre to centre", 1.5, 120)]
    thickness: Annotated[float, Length("thickness", 0.5, 10)]
    mass_per_area: Annotated[float, Amount('kg/m2, or text such as "2 lb/ft2"', "mass per area", 0.1, 100)]
    width: Annotated[float, Length("width of a sheet", 100, 4_000)]
    length: Annotated[float, Length("length of a sheet, along its rows of holes", 100, 15_000)]
    material: Material = "steel"
    grade: Grade
    coating: Coating
    price: Price = None

    def __post_init__(self) -> None:
        """Refuse holes that run into each other, and a mass that is not this sheet's."""
        section = self.section()
        whole = self.thickness * DENSITY[self.material] * 1e-3
        mass = whole * (1 - section.open_share)
        # Whole margins round a sheet make it heavier; more than that is another sheet's mass.
        off = self.pitch > self.hole and (self.mass_per_area < 0.9 * mass or self.mass_per_area > 1.2 * mass)
        refuse(
            wrong_if(self.pitch <= self.hole, "pitch", "holes are farther from each other than they are wide"),
            wrong_if(off, "mass_per_area", f"these holes leave about {mass:.2f} kg/m2 of {whole:.2f}"),
        )

    def section(self) -> Perforated:
        """Return the section."""
        return Perforated(**given(self, "name", "material", "grade", "coating", "price"))

    def stock(self) -> Stock:
        """Return the record."""
        made = _stock(self, self.section(), 0.0)
        return made if self.price is None else replace(made, prices=(self.price,))


@dataclass(frozen=True, kw_only=True)
class MeasuredTable(Table):
    """What a test bend of one tube on this die gave."""

    tube: Annotated[str, Words("which tube, by its name in this file")]
    springback: Annotated[
        float | None, Number("degrees that a bend of 90 finished is set beyond 90", 0, 20, "degrees")
    ] = None
    elongation: Annotated[float | None, Length("by how much a bend of 90 degrees lengthens the tube", -10, 50)] = None

    def __post_init__(self) -> None:
        """Refuse a test bend that measured nothing."""
        nothing = self.springback is None and self.elongation is None
        refuse(wrong_if(nothing, "tube", "give springback, elongation or both for it"))


@dataclass(frozen=True, kw_only=True)
class DieTable(Table):
    """A bending die."""

    name: ShelfName
    tube_od: Annotated[float, Length("outside diameter of the tube it takes", 6, 200)]
    clr: Annotated[float, Length("bend radius, to the tube's centreline", 10, 1_500)]
    clamp: Annotated[float, Length("straight that the clamp needs before a bend", 0, 1_000)]
    tail: Annotated[float, Length("straight needed after the last bend", 0, 1_000)]
    mark_at: Annotated[
        Literal["start", "centre", "die mark"] | None,
        About("what a mark on the tube stands for: start or centre of the bend, or the die's own mark"),
    ] = None
    die_mark_offset: Annotated[
        float | None, Length("from the die's own mark on to where the bend starts", -500, 500)
    ] = None
    keep_clear: Annotated[float | None, Length("radius round the die's centre that the bender takes up", 0, 3_000)] = (
        None
    )
    measured: Annotated[tuple[MeasuredTable, ...], Entries("test bends, one a tube", limits.PARTS)] = ()

    def __post_init__(self) -> None:
        """Refuse a radius that no tube survives, and a die's own mark without its place."""
        own = self.mark_at == "die mark"
        refuse(
            wrong_if(self.clr < self.tube_od, "clr", "a bend radius is not less than the tube's diameter"),
            wrong_if(own and self.die_mark_offset is None, "mark_at", "give die_mark_offset with it"),
            wrong_if(
                not own and self.die_mark_offset is not None, "die_mark_offset", 'it goes with mark_at = "die mark"'
            ),
        )

    def record(self) -> Die:
        """Return the record."""
        return Die(**given(self, "measured"), measured=tuple(Measured(**given(m)) for m in self.measured))


@dataclass(frozen=True, kw_only=True)
class SawTable(Table):
    """The saw."""

    kerf: Annotated[float, Length("width of its cut", 0, 20)]
    end_trim: Annotated[float, Length("cut off each end of a fresh stick", 0, 500)]
    least_remnant: Annotated[
        float | None, Length("shortest piece that is kept and not scrapped; 300 mm when left out", 0, 15_000)
    ] = None


@dataclass(frozen=True, kw_only=True)
class RemnantTable(Table):
    """Pieces of tube or bar left from earlier work."""

    stock: Annotated[str, Words("which tube or bar, by its name in this file")]
    length: Annotated[float, Length("good length between its ends", 10, 15_000)]
    count: Annotated[int, Count("how many of this length", 1, 1_000)] = 1


@dataclass(frozen=True, kw_only=True)
class CuttingTableTable(Table):
    """The cutting table."""

    kerf: Annotated[float, Length("width of its cut", 0, 20)]
    smallest_hole: Annotated[float, Length("least diameter that it cuts clean", 0, 100)]
    can_mark: Annotated[bool, YesNo("true when it can mark lines and text without cutting")]
    spacing: Annotated[
        float | None,
        Length("kept between pieces on a sheet; the most of 6 mm, kerf and thickness when left out", 0, 200),
    ] = None
    margin: Annotated[float | None, Length("kept along a sheet's edges; 10 mm when left out", 0, 500)] = None
    rotations: Annotated[
        Literal["any quarter turn", "half turns only"] | None,
        About('how pieces may be turned; "half turns only" keeps the grain; any quarter turn when left out'),
    ] = None

    def __post_init__(self) -> None:
        """Refuse pieces that are nearer than the cut is wide."""
        near = self.spacing is not None and self.spacing < self.kerf
        refuse(wrong_if(near, "spacing", "not less than the kerf, {}", self.kerf))


@dataclass(frozen=True, kw_only=True)
class UBoltTable(Table):
    """A bought U-bolt with nuts and washers."""

    name: ShelfName
    rod: Annotated[float, Length("rod diameter", 3, 30)]
    inside_width: Annotated[float, Length("clear between the legs", 8, 300)]
    leg: Annotated[float, Length("from the inside of the bow to the ends of the legs", 10, 500)]
    thread: Annotated[float, Length("threaded length of each leg", 5, 400)]
    nut_height: Annotated[float, Length("height of a nut", 1, 50)]
    nut_across: Annotated[float, Length("a nut across its flats", 3, 80)]
    washer: Annotated[float, Length("outside diameter of its washers", 4, 120)]
    washer_thickness: Annotated[float, Length("thickness of its washers", 0.3, 10)]
    torque: Annotated[float, Amount('N m on thin tube, or text such as "9 lb-ft"', "torque", 0.5, 200)]
    price: Price = None
    grade: Annotated[
        BoltGrade | None, About("of its rod, when it is stamped or certified; rated by its diameter when left out")
    ] = None

    def __post_init__(self) -> None:
        """Refuse a U-bolt that cannot be."""
        refuse(
            wrong_if(self.thread >= self.leg, "thread", "the thread is shorter than the leg"),
            wrong_if(self.nut_across <= self.rod, "nut_across", "a nut is wider than its rod"),
            wrong_if(self.washer <= self.rod, "washer", "a washer is wider than its rod"),
        )


@dataclass(frozen=True, kw_only=True)
class RivetTable(Table):
    """A bought blind rivet."""

    name: ShelfName
    diameter: Annotated[float, Length("of the body", 2, 15)]
    hole: Annotated[float, Length("drill diameter", 2, 16)]
    grip: Annotated[
        tuple[Annotated[float, Length("grip", 0, 60)], ...],
        Entries("[least, largest] thickness that it holds together", 2, 2, rising=True),
    ]
    head: Annotated[float, Length("diameter of the head", 3, 40)]
    head_height: Annotated[float, Length("height of the head", 0.3, 15)]
    closed_end: Annotated[bool, YesNo("true when the blind end is closed and seals")]
    price: Price = None
    standard: Annotated[
        RivetStandard | None, About("that it is made to; taken as the weakest with a steel stem when left out")
    ] = None
    shear: Annotated[float | None, Number("least ultimate shear, from its maker", 10, 100_000, "newtons")] = None
    tension: Annotated[float | None, Number("least ultimate tension, from its maker", 10, 100_000, "newtons")] = None

    def __post_init__(self) -> None:
        """Refuse a rivet that does not enter its hole or falls through it."""
        refuse(
            wrong_if(self.hole < self.diameter, "hole", "the hole is not less than the body"),
            wrong_if(self.head <= self.hole, "head", "the head is wider than the hole"),
            *self._unknown_strength(),
        )

    def _unknown_strength(self) -> tuple[Wrong | None, ...]:
        """Return what is missing where a standard is named whose table does not give all."""
        # A length without a unit in a file without one is NaN and told elsewhere.
        if self.standard is None or math.isnan(self.diameter):
            return ()
        loads = rivet_loads(self.standard, self.diameter)
        has = (None, None) if loads is None else (loads.shear, loads.tension)
        told = f"{self.standard} does not give it here for this diameter: write it in newtons from the maker's sheet"
        return tuple(
            wrong_if(own is None and known is None, key, told)
            for key, own, known in (("shear", self.shear, has[0]), ("tension", self.tension, has[1]))
        )


@dataclass(frozen=True, kw_only=True)
class AllowanceTable(Table):
    """What the shop adds and leaves."""

    fit_up_gap: Annotated[float, Length("kept at every coped end, in lengths and templates", 0, 3)]
    weld_shrinkage: Annotated[float, Length("added to bearers for each welded joint", 0, 3)]
    trim: Annotated[float, Length("left on each end of a bent tube until after bending", 0, 200)]
    bedding: Annotated[float, Length("sealant or hard tape under fixed mounts", 0, 5)]
    isolator: Annotated[float, Length("strip between clamp pads and what they clamp", 0, 15)]
    leg_trim: Annotated[
        float | None, Length("left on each leg of the frame until the dry fit; 30 mm when not given", 0, 200)
    ] = None


@dataclass(frozen=True, kw_only=True)
class ShopFile(Table):
    """A shop: what is on its shelf and what its machines can do."""

    format: Annotated[Literal[1], About("always 1")]
    name: Annotated[str, Words("shown on sheets")]
    units: Annotated[Unit, About("of the bare lengths in this file, and what the shop's sheets are read in")]
    tube: Annotated[tuple[TubeTable, ...], Entries("round tube", limits.PARTS, 1)]
    bar: Annotated[tuple[BarTable, ...], Entries("flat bar", limits.PARTS, 1)]
    plate: Annotated[tuple[PlateTable, ...], Entries("plate and sheet", limits.PARTS, 1)]
    mesh: Annotated[tuple[MeshTable, ...], Entries("expanded metal", limits.PARTS)] = ()
    perforated: Annotated[tuple[PerforatedTable, ...], Entries("perforated sheet", limits.PARTS)] = ()
    die: Annotated[tuple[DieTable, ...], Entries("bending dies, at most one for a tube diameter", limits.PARTS, 1)]
    saw: Annotated[SawTable, About("the saw")]
    table: Annotated[CuttingTableTable, About("the cutting table")]
    u_bolt: Annotated[tuple[UBoltTable, ...], Entries("U-bolts on the shelf", limits.PARTS)] = ()
    rivet: Annotated[tuple[RivetTable, ...], Entries("blind rivets on the shelf", limits.PARTS)] = ()
    bolt: Annotated[tuple[BoltTable, ...], Entries("bolts on the shelf", limits.PARTS)] = ()
    rivet_nut: Annotated[tuple[RivetNutTable, ...], Entries("rivet nuts on the shelf", limits.PARTS)] = ()
    allowances: Annotated[AllowanceTable, About("what the shop adds and leaves")]
    remnant: Annotated[tuple[RemnantTable, ...], Entries("pieces left from earlier work", limits.PARTS)] = ()
    sheet_remnant: Annotated[
        tuple[SheetRemnantTable, ...], Entries("rectangles of plate left from earlier work", limits.PARTS)
    ] = ()
    money: Annotated[MoneyTable, About("how a price is made of costs")] = field(default_factory=MoneyTable)
    labour: Annotated[LabourTable, About("how long work takes, and what an hour costs")] = field(
        default_factory=LabourTable
    )
    coating: Annotated[CoatingTable, About("the finish")] = field(default_factory=CoatingTable)
    supplies: Annotated[SuppliesTable, About("prices of small bought things")] = field(default_factory=SuppliesTable)
    spread: Annotated[SpreadTable, About("how much its work scatters, for `rackgen fit`")] = field(
        default_factory=SpreadTable
    )
    folding: Annotated[
        FoldingTable, About("how much goes into folds of bar and plate, and what they are folded in")
    ] = field(default_factory=FoldingTable)
    paper: Annotated[PaperTable, About("what sheets and templates are printed on")] = field(default_factory=PaperTable)

    def record(self) -> Shop:
        """Return the record."""
        return Shop(
            name=self.name,
            unit=self.units,
            stock=tuple(line.stock() for line in (*self.tube, *self.bar, *self.plate, *self.mesh, *self.perforated)),
            dies=tuple(die.record() for die in self.die),
            saw=Saw(**given(self.saw)),
            table=CuttingTable(**given(self.table)),
            u_bolts=tuple(UBolt(**given(bolt)) for bolt in self.u_bolt),
            rivets=tuple(Rivet(**given(r, "grip"), grip=(r.grip[0], r.grip[1])) for r in self.rivet),
            bolts=tuple(bolt.record() for bolt in self.bolt),
            rivet_nuts=tuple(nut.record() for nut in self.rivet_nut),
            remnants=tuple(Remnant(**given(left)) for left in self.remnant),
            sheet_remnants=tuple(SheetRemnant(**given(left)) for left in self.sheet_remnant),
            money=self.money.record(),
            labour=self.labour.record(self.units),
            finish=self.coating.record(self.units),
            supplies=self.supplies.record(self.units),
            spread=self.spread.record(),
            folding=self.folding.record(),
            paper=self.paper.record(self.units),
            **given(self.allowances),
        )


def _stock(
    table: TubeTable | BarTable | PlateTable | MeshTable | PerforatedTable, section: Section, stick: float
) -> Stock:
    made = Stock(table.name, section, table.material, table.grade, table.coating, stick)
    if isinstance(table, MeshTable | PerforatedTable):
        return made
    return replace(made, yield_strength=table.yield_strength, tensile_strength=table.tensile_strength)


def _wrong_certificate(table: TubeTable | BarTable | PlateTable) -> Wrong | None:
    """Return what is wrong with the strengths of a certificate."""
    fy, fu = table.yield_strength, table.tensile_strength
    if (fy is None) != (fu is None):
        missing = "yield_strength" if fy is None else "tensile_strength"
        return wrong_if(True, missing, "write both of the certificate, yield_strength and tensile_strength")
    return wrong_if(fy is not None and fu is not None and fy > fu, "yield_strength", "no more than tensile_strength")


def _wrong_sticks(table: TubeTable | BarTable) -> tuple[Wrong | None, ...]:
    """Return what is wrong with the lengths that a stock is bought in, and their prices."""
    # A length without a unit in a file without one is NaN and told elsewhere; it compares as neither.
    last = table.lengths[-1] if table.lengths else table.stick
    count = max(1, len(table.lengths))
    return (
        wrong_if(abs(last - table.stick) > 0.01, "lengths", "the last of them is `stick`, {}", table.stick),
        wrong_if(
            bool(table.prices) and len(table.prices) != count, "prices", f"write one for each length, {count} in all"
        ),
    )
