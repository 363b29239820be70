"""Tables of a shop's bolts and rivet nuts."""

from dataclasses import dataclass
from typing import Annotated

from rackgen.refs.fasteners import BoltGrade
from rackgen.spec.fields import About, Amount, Entries, Length, Number, Table, Words, given, refuse, wrong_if
from rackgen.spec.stock import Bolt, RivetNut

ShelfName = Annotated[str, Words("as it stands on the shelf, unlike any other")]
Price = Annotated[float | None, Number("what one of it costs, in the shop's own money", 0.01, 1_000_000, "a price")]


@dataclass(frozen=True, kw_only=True)
class BoltTable(Table):
    """A bought hexagon bolt with nut and two washers."""

    name: ShelfName
    diameter: Annotated[float, Length("of its thread", 3, 30)]
    lengths: Annotated[
        tuple[Annotated[float, Length("from under the head to the tip", 5, 300)], ...],
        Entries("every length on the shelf", 40, 1, rising=True),
    ]
    head_across: Annotated[float, Length("its head and nut across their flats", 4, 80)]
    head_height: Annotated[float, Length("height of its head", 1, 40)]
    nut_height: Annotated[float, Length("height of its nut", 1, 50)]
    washer: Annotated[float, Length("outside diameter of its washers", 4, 120)]
    washer_thickness: Annotated[float, Length("thickness of its washers", 0.3, 10)]
    torque: Annotated[float, Amount('N m, or text such as "15 lb-ft"', "torque", 0.5, 400)]
    grade: Annotated[BoltGrade | None, About("stamped on its head; rated as the weakest, 4.6, when left out")] = None
    price: Price = None

    def __post_init__(self) -> None:
        """Refuse a bolt that cannot be."""
        refuse(
            wrong_if(self.head_across <= self.diameter, "head_across", "a head is wider than its thread"),
            wrong_if(self.washer <= self.diameter, "washer", "a washer is wider than its thread"),
        )

    def record(self) -> Bolt:
        """Return the record."""
        return Bolt(**given(self))


@dataclass(frozen=True, kw_only=True)
class RivetNutTable(Table):
    """A bought rivet nut: a thread that is set in a drilled hole from one side."""

    name: ShelfName
    thread: Annotated[float, Length("its thread", 3, 16)]
    hole: Annotated[float, Length("drill diameter", 4, 25)]
    grip: Annotated[
        tuple[Annotated[float, Length("thickness of sheet", 0.2, 15)], ...],
        Entries("[least, largest] thickness of the sheet that it is set in", 2, 2, rising=True),
    ]
    length: Annotated[float, Length("of its body below the sheet once it is set", 4, 60)]
    price: Price = None

    def __post_init__(self) -> None:
        """Refuse a thread wider than the body about it."""
        refuse(wrong_if(self.hole <= self.thread, "hole", "the hole is wider than the thread"))

    def record(self) -> RivetNut:
        """Return the record."""
        return RivetNut(**given(self, "grip"), grip=(self.grip[0], self.grip[1]))
