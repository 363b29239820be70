"""What a shop's file says about how much its work scatters."""

from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.fields import Length, Number, Table, given
from rackgen.spec.spread import Spreads


@dataclass(frozen=True, kw_only=True)
class SpreadTable(Table):
    """How much this shop's work scatters: standard deviations, two thirds of all pieces lie within. Left out: usual."""

    length: Annotated[float | None, Length("of a sawn length, or a straight between bends", 0, 10)] = None
    bend: Annotated[float | None, Number("of a bend's angle", 0, 5, "degrees")] = None
    turn: Annotated[float | None, Number("of the turn between two bends", 0, 5, "degrees")] = None
    fold: Annotated[float | None, Number("of a fold's angle", 0, 5, "degrees")] = None
    square: Annotated[float | None, Length("of where a leg's end lies once its hoop is trued on the table", 0, 10)] = (
        None
    )
    pull: Annotated[float | None, Length("of a weld's shrinkage about the shop's own figure", 0, 5)] = None
    tape: Annotated[float | None, Length("of a tape's reading on the vehicle", 0, 20)] = None
    level: Annotated[float | None, Number("of a level's reading", 0, 3, "degrees")] = None

    def record(self) -> Spreads:
        """Return the record; what is left out is what is usual."""
        return Spreads(**given(self))
