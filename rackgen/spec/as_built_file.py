"""What a rack file says about parts that are made already, as measured."""

from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.as_built import AsBuilt
from rackgen.spec.fields import Entries, Length, Number, Table, Words, given, refuse, wrong_if

SIZES = ("length", "outside_width", "leg_a", "leg_b", "angles", "flats", "folds")


@dataclass(frozen=True, kw_only=True)
class AsBuiltTable(Table):
    """One part that is made, with what was measured on it; what is not given came out as drawn."""

    part: Annotated[str, Words("its id, as `rackgen changes` and the findings write it: frame.hoop")]
    length: Annotated[float | None, Length("of a straight tube over its longest line, end to end", 5, 8_000)] = None
    outside_width: Annotated[
        float | None, Length("of a hoop of two bends, over its back, from outside to outside of the legs", 50, 4_000)
    ] = None
    leg_a: Annotated[
        float | None, Length("of a hoop, from the outside of its back to end A of its sheets", 20, 6_000)
    ] = None
    leg_b: Annotated[float | None, Length("the same to end B", 20, 6_000)] = None
    angles: Annotated[
        tuple[Annotated[float, Number("of a bend, out of straight", 0.5, 179, "degrees")], ...] | None,
        Entries("of every bend from end A, as finished", 12, 1),
    ] = None
    flats: Annotated[
        tuple[Annotated[float, Length("of a flat between its bends' tangents", 1, 4_000)], ...] | None,
        Entries("of a bar, every flat from end A", 12, 1),
    ] = None
    folds: Annotated[
        tuple[Annotated[float, Number("of a fold or break, out of straight", 0.1, 179, "degrees")], ...] | None,
        Entries("of a bar, every fold from end A, unsigned; of a plate, every break as its sheet lists them", 12, 1),
    ] = None

    def __post_init__(self) -> None:
        """Refuse an entry that says nothing."""
        said = any(getattr(self, size) is not None for size in SIZES)
        refuse(wrong_if(not said, "part", f"give at least one size that was measured: {', '.join(SIZES)}"))

    def record(self) -> AsBuilt:
        """Return the record."""
        return AsBuilt(**given(self))
