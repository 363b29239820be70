"""Readings of a vehicle as they are typed off its measuring sheet: a CSV of key, value, unit and note.

Keys are those of a vehicle file, entries of lists counted from 1: `roof.station[2].drops[1]`. A row without a value was
not measured. A list may stand in one row, its values parted by semicolons.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, cast, get_args, get_origin

from rackgen.errors import BadInput, Mistake
from rackgen.spec import limits
from rackgen.spec.document import Document, open_text, written, written_key
from rackgen.spec.fields import About, Amount, Count, Length, Number, Table, Value, YesNo
from rackgen.spec.places import Path as KeyPath
from rackgen.spec.read import vehicle_of
from rackgen.spec.shape import about, choices, is_table, keys, kinds, plain
from rackgen.spec.vehicle import Vehicle
from rackgen.spec.vehicle_file import VehicleFile

COLUMNS = ("key", "value", "unit", "note")

SURE = "sure"
"""In a row's note: it was measured again and is so, however odd it looks."""

PRINTED: frozenset[str] = frozenset({"kind", "between"})
"""Keys that the form comes with; an entry that has no others was not measured."""

_STEP = re.compile(r"([A-Za-z0-9_-]+)((?:\[\d{1,4}\])*)")
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")
_LENGTHS = {"mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_DEGREES = ("", "deg", "degree", "degrees", "°")
_MASSES = {"": "", "kg": "kg", "lb": "lb", "lbs": "lb"}


@dataclass(frozen=True)
class Row:
    """One row that holds a value, or could.

    Attributes:
        line: 1-based line of the file.
        key: path in a vehicle file.
        value: as typed, "" when nothing was.
        unit: as typed.
        note: as typed, on one line.
    """

    line: int
    key: KeyPath
    value: str
    unit: str
    note: str


@dataclass(frozen=True)
class Readings:
    """A filled form, found right.

    Attributes:
        data: what its vehicle file says.
        vehicle: the vehicle.
        notes: what was noted beside a key.
    """

    data: dict[str, object]
    vehicle: Vehicle
    notes: dict[KeyPath, str] = field(repr=False)


def read_readings(path: str | Path) -> Readings:
    """Return the readings of a filled form.

    Raises:
        BadInput: every mistake in it; a reading that does not go with the others is one unless its note says that it
            was made sure of.
    """
    file = str(path)
    try:
        text = open_text(Path(path), file)
    except BadInput as error:
        told = error.mistakes[0]
        if not told.line:
            raise
        wanted = "this is no text; a filled measuring form is a table saved as CSV, UTF-8"
        raise BadInput([replace(told, wanted=wanted)]) from None
    rows, wrong = _rows(text, file)
    unit = next((row.value for row in rows if row.key == ("units",)), "mm")
    data, lines = _tree(rows, unit, file, wrong)
    document = Document(file, Path(path), data, lines)
    try:
        vehicle = vehicle_of(document)
    except BadInput as error:
        # A row that is told already may be told again as a value that its key does not take.
        lines_told = {m.line for m in wrong}
        raise BadInput([*wrong, *(m for m in error.mistakes if m.line not in lines_told)]) from None
    if wrong:
        raise BadInput(wrong)
    sure = {row.line for row in rows if SURE in re.findall(r"\w+", row.note.casefold())}
    doubted = [document.mistake(d.key, f"{d.text}; measure it again, or write {SURE} in its note", d.read)
               for d in vehicle.doubts]  # fmt: skip
    if odd := [m for m in doubted if m.line not in sure]:
        raise BadInput(odd)
    return Readings(data, vehicle, {row.key: row.note for row in rows if row.note and row.value})


def _rows(text: str, file: str) -> tuple[list[Row], list[Mistake]]:
    """Return the rows of a file below its headings, and what is wrong with them.

    Raises:
        BadInput: it is no such file.
    """
    head = text.split("\n", 1)[0]
    mark = ";" if head.count(";") > head.count(",") else "\t" if "\t" in head else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    out: list[Row] = []
    wrong: list[Mistake] = []
    seen: dict[KeyPath, int] = {}
    line = 1
    try:
        for cells in reader:
            here, line = line, reader.line_num + 1
            if here == 1:
                if tuple(c.strip().casefold() for c in cells[:4]) != COLUMNS:
                    wanted = f"this is no filled measuring form: its first line is {','.join(COLUMNS)}"
                    raise BadInput([Mistake(file, "", 1, written(head.strip()), wanted)])
                continue
            told = [" ".join(c.split()) for c in (*cells, "", "", "", "")[: max(4, len(cells))]]
            if not any(told) or told[0].startswith("#"):
                continue
            key = _path(told[0])
            if key is None:
                wrong.append(
                    Mistake(file, "", here, written(told[0]), "write a key as on the sheet: roof.station[1].x")
                )
            elif any(told[4:]):
                wrong.append(
                    Mistake(file, told[0], here, "", "a row has four cells; put quotes round one with a comma")
                )
            elif any(len(t) > limits.TEXT for t in told):
                wrong.append(Mistake(file, told[0][:60], here, "", f"a cell has at most {limits.TEXT} characters"))
            elif key in seen:
                wrong.append(Mistake(file, told[0], here, "", f"this key stands in line {seen[key]} too; keep one"))
            else:
                seen[key] = here
                out.append(Row(here, key, *told[1:4]))
    except csv.Error as error:
        raise BadInput([Mistake(file, "", line, "", f"not CSV: {error}")]) from None
    if line == 1:
        raise BadInput([Mistake(file, "", 0, "an empty file", f"the first line is {','.join(COLUMNS)}")])
    return out, wrong


def _path(text: str) -> KeyPath | None:
    """Return a key as typed as a path, or None when it is none."""
    out: list[str | int] = []
    for step in text.split("."):
        match = _STEP.fullmatch(step)
        if match is None or len(out) > limits.DEPTH:
            return None
        places = [int(n) for n in re.findall(r"\d+", match.group(2))]
        if any(not 1 <= n <= limits.PARTS for n in places):
            return None
        out += [match.group(1), *(n - 1 for n in places)]
    return tuple(out)


def _tree(
    rows: Iterable[Row], unit: str, file: str, wrong: list[Mistake]
) -> tuple[dict[str, object], dict[KeyPath, int]]:
    """Return the tables that the rows make, with the line of every key; adds to what is wrong.

    Raises:
        BadInput: an entry of a list is filled behind one that is not.
    """
    lines: dict[KeyPath, int] = {(): 1}
    tree: dict[str | int, object] = {}
    rows = tuple(rows)
    stated = {row.key[:-1]: row.value.casefold() for row in rows if row.key[-1] == "kind"}
    for row in rows:
        for n in range(1, len(row.key) + 1):
            lines.setdefault(row.key[:n], row.line)
        if not row.value:
            continue
        hint, meaning = _meant(row.key, stated)
        value: object = row.value
        try:
            value = _value(row.value, row.unit, hint, meaning, unit)
        except ValueError as error:
            wrong.append(Mistake(file, written_key(row.key), row.line, written(row.unit), str(error)))
        try:
            _put(tree, row.key, value)
        except ValueError as error:
            wrong.append(Mistake(file, written_key(row.key), row.line, written(row.value), str(error)))
    tree.setdefault("format", 1)
    gaps = [Mistake(file, written_key(key), lines.get(key, 0), "", wanted) for key, wanted in _gaps(tree, ())]
    if gaps:
        # Entries behind a gap would be spoken of by other numbers than they were typed with.
        raise BadInput([*wrong, *gaps])
    return cast("dict[str, object]", _listed(tree)), lines


def _put(tree: dict[str | int, object], key: KeyPath, value: object) -> None:
    at = tree
    for step in key[:-1]:
        inner = at.setdefault(step, {})
        if not isinstance(inner, dict):
            raise ValueError("a row above gives the whole of it; keep one of the two")
        at = cast("dict[str | int, object]", inner)
    if key[-1] in at:
        raise ValueError("rows above give parts of it; keep one of the two")
    at[key[-1]] = value


def _gaps(tree: dict[str | int, object], key: KeyPath) -> Iterator[tuple[KeyPath, str]]:
    """Take out what was not measured, and return the entries of lists that are missing before others that are there."""
    for step, inner in list(tree.items()):
        if isinstance(inner, dict):
            table = cast("dict[str | int, object]", inner)
            yield from _gaps(table, (*key, step))
            if not table or (set(table) <= PRINTED and (key[:1] == ("mounts",) or isinstance(step, int))):
                del tree[step]
    places = sorted(step for step in tree if isinstance(step, int))
    if places and places[-1] >= len(places):
        lost = next(n for n in range(len(places)) if n not in places)
        yield (
            (*key, lost),
            f"it is empty, and {written_key((*key[-1:], places[-1]))} is filled: fill it, or move those up",
        )


def _listed(value: object) -> object:
    if not isinstance(value, dict):
        return value
    table = cast("dict[str | int, object]", value)
    if table and all(isinstance(step, int) for step in table):
        return [_listed(table[step]) for step in sorted(cast("Iterable[int]", table))]
    return {str(step): _listed(inner) for step, inner in table.items()}


def _meant(key: KeyPath, stated: Mapping[KeyPath, str]) -> tuple[Any, About]:
    """Return the type at a key of a vehicle file and what it means; an unknown key is told by the file's reader."""
    hint: Any = VehicleFile
    meaning = About("")
    for n, step in enumerate(key):
        several = (hint,) if is_table(hint) else _of_kind(kinds(hint), stated.get(key[:n], ""))
        if isinstance(step, str) and several:
            found = [keys(table)[step] for table in several if step in keys(table)]
            if not found:
                return None, About("")
            hint, meaning = found[0].hint, found[0].about
        elif (get_origin(hint) is dict and isinstance(step, str)) or (get_origin(hint) is tuple and step != ""):
            inner = get_args(hint)[1 if get_origin(hint) is dict else 0]
            hint, meaning = plain(inner), about(inner)
        else:
            return None, About("")
    return hint, meaning


def _of_kind(several: Mapping[str, type[Table]], kind: str) -> tuple[type[Table], ...]:
    """Return the table of a kind; all of them where none is stated, so that what is typed is read all the same."""
    return (several[kind],) if kind in several else tuple(several.values())


def _value(text: str, unit: str, hint: Any, meaning: About, units: str) -> object:
    """Return a cell as a vehicle file would have it.

    Raises:
        ValueError: its unit does not go with it.
    """
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if isinstance(about(inner), Value) or choices(plain(inner)):
            cells = [cell.strip() for cell in re.split(r"[;\t]|,\s", text) if cell.strip()]
            return [_value(cell, unit, plain(inner), about(inner), units) for cell in cells]
    word = unit.casefold().strip(". ")
    number = _PLAIN.fullmatch(text)
    match meaning:
        case Length():
            if word and word not in _LENGTHS:
                raise ValueError("a length is in mm or in; mend the unit")
            own = _LENGTHS.get(word, units)
            if own != units and (number or re.fullmatch(r"[+-]?[\d\s./-]+", text)):
                return f"{text} {own}"
            return _number(text) if number else text
        case Number():
            if word not in _DEGREES:
                raise ValueError("an angle is in degrees; mend the unit")
            return _number(text.rstrip("° ")) if _PLAIN.fullmatch(text.rstrip("° ")) else text
        case Amount():
            if word not in _MASSES:
                raise ValueError("a mass is in kg or lb; mend the unit")
            if number and _MASSES[word] == "lb":
                return f"{text} lb"
            return _number(text) if number else text
        case Count():
            return _number(text) if number else text
        case YesNo():
            return {"yes": True, "true": True, "no": False, "false": False}.get(text.casefold(), text)
        case _:
            if 1 in choices(hint) and text == "1":
                return 1
            return text.casefold() if text.casefold() in choices(hint) else text


def _number(text: str) -> int | float:
    value = float(text)
    return int(value) if value.is_integer() and abs(value) < 1e15 else value
