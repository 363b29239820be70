"""A vehicle's file written out: every key with what it means, what was noted beside it, and what is not known."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, cast, get_args, get_origin

from rackgen.errors import RackgenError
from rackgen.spec.fields import Table
from rackgen.spec.places import Path
from rackgen.spec.shape import is_table, keys, kinds, plain
from rackgen.spec.vehicle_file import VehicleFile

MADE = "# Converted from readings:"
"""The first words of a file that was made so, and may be made again."""

WIDE = 44
"""Column at which the meaning of a key stands."""

LONGEST = 120
"""Characters of the longest meaning that stands behind its key."""


def vehicle_text(data: Mapping[str, object], source: str, notes: Mapping[Path, str], costs: Sequence[str]) -> str:
    """Return a vehicle file as TOML.

    Args:
        data: what it says, as parsed.
        source: the name of the file that the readings came from.
        notes: what was noted at the vehicle, by key.
        costs: what was left open in measuring, a sentence each.

    Raises:
        RackgenError: what was written does not read back as what it should say.
    """
    lines = [f"{MADE} {_line(source)}"]
    if costs:
        lines += ["#", "# What was not read, and what that costs:", *(f"# - {_line(cost)}" for cost in costs)]
    writer = _Writer(notes)
    lines += ["", *writer.table(VehicleFile, data, ())]
    text = "\n".join(lines) + "\n"
    if tomllib.loads(text) != data:
        raise RackgenError("a vehicle file does not read back as it was written")
    return text


class _Writer:
    """One pass over the tables; explains each key once."""

    def __init__(self, notes: Mapping[Path, str]) -> None:
        self.notes = notes
        self.told: set[tuple[type[Table], str]] = set()

    def table(self, table: type[Table], data: Mapping[str, object], path: Path) -> Iterator[str]:
        """Give the lines of a table's own values, then of the tables in it."""
        known = [name for name in keys(table) if name in data]
        inner = [name for name in known if _holds_tables(keys(table)[name].hint)]
        for name in (name for name in known if name not in inner):
            yield self._pair(table, name, data[name], (*path, name))
        for name in inner:
            yield from self._inside(keys(table)[name].hint, data[name], (*path, name))

    def _inside(self, hint: Any, value: object, path: Path) -> Iterator[str]:
        if get_origin(hint) is dict:
            for name, entry in cast("Mapping[str, object]", value).items():
                yield from self._headed(plain(get_args(hint)[1]), entry, (*path, name), f"[{_dotted((*path, name))}]")
        elif get_origin(hint) is tuple:
            for n, entry in enumerate(cast("list[object]", value)):
                yield from self._headed(plain(get_args(hint)[0]), entry, (*path, n), f"[[{_dotted(path)}]]")
        else:
            yield from self._headed(hint, value, path, f"[{_dotted(path)}]")

    def _headed(self, hint: Any, value: object, path: Path, head: str) -> Iterator[str]:
        data = cast("Mapping[str, object]", value)
        several = kinds(hint)
        table = several[str(data["kind"])] if several else hint
        yield ""
        yield head
        yield from self.table(table, data, path)

    def _pair(self, table: type[Table], name: str, value: object, path: Path) -> str:
        pair = f"{name} = {_toml(value)}"
        noted = [note for at, note in self.notes.items() if at[: len(path)] == path]
        said = "; ".join(_line(note) for note in noted)
        meaning = keys(table)[name].about.about
        if (table, name) in self.told or len(meaning) > LONGEST:
            meaning = ""
        self.told.add((table, name))
        comment = " | ".join(part for part in (meaning, said) if part)
        return f"{pair.ljust(WIDE)}  # {comment}" if comment else pair


def _holds_tables(hint: Any) -> bool:
    if get_origin(hint) in (dict, tuple):
        hint = plain(get_args(hint)[1 if get_origin(hint) is dict else 0])
    return is_table(hint) or bool(kinds(hint))


def _dotted(path: Path) -> str:
    words = [str(step) for step in path if isinstance(step, str)]
    return ".".join(word if re.fullmatch(r"[A-Za-z0-9_-]+", word) else _toml(word) for word in words)


def _toml(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case list():
            return f"[{', '.join(_toml(entry) for entry in cast('list[object]', value))}]"
        case str():
            # JSON's escapes are TOML's, but for the one control character that JSON lets stand.
            return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
        case _:
            return repr(value)


def _line(text: str) -> str:
    """Return a text that can stand in a comment."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
