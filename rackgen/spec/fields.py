"""The kinds of value that stand in preset files: each reads, checks and describes itself.

A table of a file is a frozen dataclass; each of its fields is `Annotated` with one of these. The words of every message
are made here, in the unit that the file is written in.
"""

from __future__ import annotations

import itertools
import math
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass, fields
from typing import Any, cast

from rackgen.errors import LengthError
from rackgen.spec import limits
from rackgen.units import INCH, Quantity, Unit, read_length, read_quantity


@dataclass(frozen=True)
class Reading:
    """What a value needs to know about its file.

    Attributes:
        unit: of bare lengths, or None when the file states none.
        known: False when the file states a unit that is none: bare lengths then pass as NaN, for it is told once.
    """

    unit: Unit | None
    known: bool = True

    def says(self, mm: float, *, rough: bool = False) -> str:
        """Return a length for a message, in the file's unit; a rough one to about a millimetre."""
        if self.unit == "in":
            return f"{round(mm / INCH, 1 if rough else 3) + 0.0:g} in"
        return f"{round(mm, 0 if rough else 2) + 0.0:g} mm"


class Refused(ValueError):
    """A value is not what its key wants; `wanted` is the sentence that says what would be right."""

    def __init__(self, wanted: str, *, bare: bool = False) -> None:
        super().__init__(wanted)
        self.wanted = wanted
        self.bare = bare
        """Whether it is a length that only lacks its unit."""


@dataclass(frozen=True)
class Wrong:
    """One value in a table that does not go with the others.

    Attributes:
        key: the key in the table, or in a table within it: "floor.kind".
        wanted: what would be right there, with a `{}` for each length.
        lengths: mm; shown in the file's unit.
    """

    key: str
    wanted: str
    lengths: tuple[float, ...] = ()


class Mismatch(ValueError):
    """Values of a table are each right and do not go together."""

    def __init__(self, wrong: tuple[Wrong, ...]) -> None:
        super().__init__("; ".join(w.wanted for w in wrong))
        self.wrong = wrong


class Table:
    """A table of a preset file; a key that it does not have is a mistake."""


def refuse(*wrong: Wrong | None) -> None:
    """Refuse a table whose values do not go together; for `__post_init__`.

    Raises:
        Mismatch: there is anything wrong.
    """
    if found := tuple(w for w in wrong if w is not None):
        raise Mismatch(found)


def wrong_if(bad: bool, key: str, wanted: str, *lengths: float) -> Wrong | None:
    """Return what is wrong with a key when it is bad; lengths in mm for each `{}` of the sentence."""
    return Wrong(key, wanted, lengths) if bad else None


def given(table: Table, *leave: str) -> dict[str, Any]:
    """Return the values of a table that its file states, by name, to build a record from.

    Args:
        table: a table of a file.
        leave: names to leave out.
    """
    values = {f.name: getattr(table, f.name) for f in fields(cast("Any", table)) if f.name not in leave}
    return {name: value for name, value in values.items() if value is not None}


@dataclass(frozen=True)
class About:
    """What a key means: the line that editors show, and the message when the key is missing."""

    about: str


@dataclass(frozen=True)
class Value(About, ABC):
    """A value that reads itself."""

    @abstractmethod
    def read(self, value: object, reading: Reading) -> object:
        """Return the value as the record holds it.

        Raises:
            Refused: it is not such a value.
        """

    @abstractmethod
    def json(self) -> dict[str, Any]:
        """Return the JSON Schema of the value as typed, in whatever unit."""


@dataclass(frozen=True)
class Length(Value):
    """A length from `low` to `high`, mm, both allowed."""

    low: float
    high: float

    def read(self, value: object, reading: Reading) -> float:
        """Return mm; NaN for a bare length in a file whose `units` is not a unit."""
        try:
            mm = read_length(value, reading.unit)
        except LengthError as error:
            if reading.unit is not None or not _lacks_unit(value):
                raise Refused(str(error)) from None
            if reading.known:
                raise Refused(str(error), bare=True) from None
            return math.nan
        if not self.low - 1e-9 <= mm <= self.high + 1e-9:
            raise Refused(f"write a length from {reading.says(self.low)} to {reading.says(self.high)}")
        return mm

    def json(self) -> dict[str, Any]:
        """Return a number or a text; bounds in mm say nothing about inches, but a sign does."""
        return {"type": ["number", "string"], **({"minimum": 0} if self.low >= 0 else {})}


def _lacks_unit(value: object) -> bool:
    """Return whether a value would be a length if only the file stated its unit."""
    try:
        read_length(value, "mm")
    except LengthError:
        return False
    return True


@dataclass(frozen=True)
class Number(Value):
    """A plain number from `low` to `high` in a unit with a name, such as degrees."""

    low: float
    high: float
    unit: str

    def read(self, value: object, reading: Reading) -> float:
        """Return the number."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not self.low <= value <= self.high:
            raise Refused(f"write {self.unit} as a plain number from {self.low:g} to {self.high:g}")
        return float(value)

    def json(self) -> dict[str, Any]:
        """Return a number with its bounds."""
        return {"type": "number", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True)
class Amount(Value):
    """A mass, torque, mass per area, speed or stress, from `low` to `high` in kg, N·m, kg/m², km/h or MPa."""

    quantity: Quantity
    low: float
    high: float

    def read(self, value: object, reading: Reading) -> float:
        """Return the amount in kg, N·m, kg/m² or MPa."""
        try:
            amount = read_quantity(value, self.quantity)
        except LengthError as error:
            raise Refused(str(error)) from None
        if not self.low <= amount <= self.high:
            units = {"mass": "kg", "torque": "N m", "mass per area": "kg/m2", "speed": "km/h", "stress": "MPa"}
            raise Refused(f"write a {self.quantity} from {self.low:g} to {self.high:g} {units[self.quantity]}")
        return amount

    def json(self) -> dict[str, Any]:
        """Return a number or a text; of a speed a text, for it has its unit."""
        return {"type": "string"} if self.quantity == "speed" else {"type": ["number", "string"], "minimum": 0}


@dataclass(frozen=True)
class Count(Value):
    """A whole number from `low` to `high`."""

    low: int
    high: int

    def read(self, value: object, reading: Reading) -> int:
        """Return the count."""
        if isinstance(value, bool) or not isinstance(value, int) or not self.low <= value <= self.high:
            raise Refused(f"write a whole number from {self.low} to {self.high}")
        return value

    def json(self) -> dict[str, Any]:
        """Return an integer with its bounds."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True)
class YesNo(Value):
    """True or false."""

    def read(self, value: object, reading: Reading) -> bool:
        """Return it."""
        if not isinstance(value, bool):
            raise Refused("write true or false, without quotes")
        return value

    def json(self) -> dict[str, Any]:
        """Return a boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True)
class Words(Value):
    """A text that can stand on one line of a sheet; runs of blanks and line ends become one blank."""

    def read(self, value: object, reading: Reading) -> str:
        """Return the text."""
        if not isinstance(value, str):
            raise Refused("write a text in quotes")
        words = " ".join(value.split())
        if not words:
            raise Refused("write a text that is not empty")
        if not words.isprintable():
            raise Refused("write a text without control characters")
        return words

    def json(self) -> dict[str, Any]:
        """Return a text."""
        return {"type": "string", "minLength": 1, "maxLength": limits.TEXT}


NAME = r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}"
"""A name that is safe as a file name everywhere."""
_TAKEN = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)
"""File names that one widespread system keeps for its devices."""


def is_name(text: str) -> bool:
    """Return whether a text can name a file on any system."""
    return re.fullmatch(NAME, text) is not None and _TAKEN.fullmatch(text) is None


@dataclass(frozen=True)
class Name(Value):
    """A name that files can have."""

    def read(self, value: object, reading: Reading) -> str:
        """Return the name."""
        if not isinstance(value, str) or not is_name(value):
            raise Refused("write a name of letters, digits, - and _ in quotes, at most 60, without .toml")
        return value

    def json(self) -> dict[str, Any]:
        """Return a text with its pattern."""
        return {"type": "string", "pattern": f"^{NAME}$"}


@dataclass(frozen=True)
class Entries(About):
    """A list of `least` to `most` entries; of `rising` ones each is larger than the one before."""

    most: int
    least: int = 0
    rising: bool = False

    def count(self, number: int) -> None:
        """Check how many there are.

        Raises:
            Refused: too few or too many.
        """
        if not self.least <= number <= self.most:
            few = f"exactly {self.most}" if self.least == self.most else f"{self.least:,} to {self.most:,}"
            raise Refused(f"write {few} entries")

    def order(self, values: tuple[Any, ...]) -> None:
        """Check their order.

        Raises:
            Refused: they should rise and do not.
        """
        if self.rising and any(b <= a for a, b in itertools.pairwise(values)):
            raise Refused("write them in rising order, none of them twice")

    def json(self) -> dict[str, Any]:
        """Return the bounds of the list."""
        return {"maxItems": self.most, **({"minItems": self.least} if self.least else {})}
