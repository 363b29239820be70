"""Numbers from outside the program, each with its source. A number without a source is refused.

The numbers stand in values.toml, what they are from in sources.toml. Every one carries a tag that says how far it may
be trusted: "seen" in a public text, "memory" of a standard or handbook, "practice" of the trade, "computed", or
"assumed" by this program.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, cast, get_args

from rackgen.errors import RackgenError

Tag = Literal["seen", "memory", "practice", "computed", "assumed"]


@dataclass(frozen=True)
class Source:
    """Where a number is from.

    Attributes:
        title: the standard, handbook or practice.
        seen: how its text was read.
    """

    title: str
    seen: str


@dataclass(frozen=True)
class Number:
    """One number.

    Attributes:
        name: its key in values.toml.
        value: in `unit`.
        unit: "mm", "deg", "OD" ...
        source: where it is from.
        tag: how far it may be trusted.
        text: what it is, in words.
    """

    name: str
    value: float
    unit: str
    source: Source
    tag: Tag
    text: str

    @property
    def cited(self) -> str:
        """The source as findings print it."""
        return cited(self.source, self.tag)


@dataclass(frozen=True)
class Rows:
    """One table of numbers.

    Attributes:
        name: its key in values.toml.
        columns: what stands in each column, with its unit.
        rows: the numbers.
        source: where it is from.
        tag: how far it may be trusted.
        text: what it is, in words.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[float, ...], ...]
    source: Source
    tag: Tag
    text: str

    @property
    def cited(self) -> str:
        """The source as findings print it."""
        return cited(self.source, self.tag)


@dataclass(frozen=True)
class Registry:
    """Every number and table, by name."""

    numbers: Mapping[str, Number]
    tables: Mapping[str, Rows]


def cited(source: Source, tag: Tag) -> str:
    """Return a source as findings print it, with "from memory" where it is."""
    return f"{source.title} (from memory)" if tag == "memory" else source.title


def read(values: str, sources: str) -> Registry:
    """Return the numbers of two TOML texts.

    Raises:
        RackgenError: a number names no source or an unknown one, an unknown tag, no words, or a table's rows differ in
            length from its columns.
    """
    known = {name: Source(str(s["title"]), str(s["seen"])) for name, s in tomllib.loads(sources).items()}
    document = tomllib.loads(values)
    numbers: dict[str, Number] = {}
    for name, entry in _entries(document, "number"):
        source, tag, text = _origin(name, entry, known)
        value = entry.get("value")
        if isinstance(value, bool) or not isinstance(value, int | float) or not entry.get("unit"):
            raise RackgenError(f"reference number {name}: it needs a value and a unit")
        numbers[name] = Number(name, float(value), str(entry["unit"]), source, tag, text)
    tables: dict[str, Rows] = {}
    for name, entry in _entries(document, "table"):
        source, tag, text = _origin(name, entry, known)
        columns = tuple(str(c) for c in entry.get("columns", ()))
        rows = tuple(tuple(float(v) for v in row) for row in entry.get("rows", ()))
        if not rows or any(len(row) != len(columns) for row in rows):
            raise RackgenError(f"reference table {name}: every row needs {len(columns)} numbers")
        tables[name] = Rows(name, columns, rows, source, tag, text)
    return Registry(numbers, tables)


def _entries(document: dict[str, Any], kind: str) -> list[tuple[str, dict[str, Any]]]:
    return sorted(cast("dict[str, dict[str, Any]]", document.get(kind, {})).items())


def _origin(name: str, entry: dict[str, Any], known: Mapping[str, Source]) -> tuple[Source, Tag, str]:
    key, tag, text = entry.get("source"), entry.get("tag"), entry.get("text")
    if key is None:
        raise RackgenError(f"reference value {name} has no source")
    if key not in known:
        raise RackgenError(f"reference value {name}: there is no source {key!r}")
    if tag not in get_args(Tag):
        raise RackgenError(f"reference value {name}: tag {tag!r} is none of {', '.join(get_args(Tag))}")
    if not text:
        raise RackgenError(f"reference value {name} does not say what it is")
    return known[key], cast("Tag", tag), str(text)


@lru_cache(maxsize=1)
def shipped() -> Registry:
    """Return the registry that comes with the program.

    Raises:
        RackgenError: a number in it has no source.
    """
    folder = resources.files("rackgen.refs")
    return read(
        folder.joinpath("values.toml").read_text("utf-8"),
        folder.joinpath("sources.toml").read_text("utf-8"),
    )


def number(name: str) -> Number:
    """Return one number.

    Raises:
        KeyError: there is none of that name.
    """
    return shipped().numbers[name]


def table(name: str) -> Rows:
    """Return one table.

    Raises:
        KeyError: there is none of that name.
    """
    return shipped().tables[name]


def least_fold_radius(thickness: float, tensile: float, *, sharp: bool = False) -> float | None:
    """Return DIN 6935's least inside radius of a cold fold, mm, or None where its table ends.

    Args:
        thickness: mm.
        tensile: least tensile strength of the grade, MPa; up to 640.
        sharp: for folds above 120 deg or along the rolling direction: the next larger radius of the row's series.
    """
    rows = table("din-6935-radius").rows
    column = 2 if tensile <= 390 else 3 if tensile <= 490 else 4
    found = next((row[column] for row in rows if row[0] < thickness <= row[1]), None)
    if found is None or tensile > 640:
        return None
    if not sharp:
        return found
    series = sorted({r for row in rows for r in row[2:]})
    return next((r for r in series if r > found), None)
