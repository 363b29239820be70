"""What a vehicle's file may say of a body corner whose radius changes with height."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from rackgen.errors import GeometryError
from rackgen.spec.fields import Entries, Length, Table, refuse, wrong_if

if TYPE_CHECKING:
    from rackgen.geom.circle import Fitted

Coordinate = Annotated[float, Length("a coordinate", -8_000, 8_000)]
Point = Annotated[tuple[Coordinate, ...], Entries("[x, y] of a point on the corner", 2, 2)]


@dataclass(frozen=True, kw_only=True)
class ContourTable(Table):
    """The round of a body corner at one height, seen from above."""

    z: Annotated[float, Length("height", -2_000, 2_000)]
    points: Annotated[tuple[Point, ...], Entries("points on the round alone, none on the flats beside it", 500, 4)]

    def __post_init__(self) -> None:
        """Refuse points that lie on no arc."""
        try:
            finite = all(c == c for point in self.points for c in point)
            wrong = finite and self.fitted().radius < 2
        except GeometryError:
            wrong = True
        refuse(wrong_if(wrong, "points", "the points lie on no arc of 2 mm radius or more; measure the round anew"))

    def fitted(self) -> "Fitted":
        """Return the circle through them.

        Raises:
            GeometryError: they lie on no arc.
        """
        from rackgen.geom.circle import fitted

        return fitted([(x, y) for x, y in self.points])
