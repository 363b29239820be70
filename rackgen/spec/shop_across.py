"""What is wrong between the tables of a shop's file, though each is right by itself."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from typing import cast

from rackgen.errors import LengthError, Mistake
from rackgen.spec.document import Document, nearest, written
from rackgen.spec.fields import Reading
from rackgen.spec.places import Path
from rackgen.units import read_length


def across_shop(document: Document, reading: Reading) -> Iterator[Mistake]:
    """Return what is wrong between the tables of a shop file.

    That is names given twice, two dies for one tube, test bends of a tube that the die does not take, and remnants
    of what is not on the shelf. It looks at the file as parsed, so that it finds these beside whatever else is wrong.
    """
    bought = (("u_bolt",), ("rivet",), ("bolt",), ("rivet_nut",))
    for lists in (("tube", "bar", "plate", "mesh", "perforated"), ("die",), *bought):
        tables = [(*path, "name") for kind in lists for path, _ in document.tables(kind)]
        yield from _twice(document, tables, _same_name, "has this name already")
    dies = [(*path, "tube_od") for path, _ in document.tables("die")]

    def same_tube(value: object) -> float | None:
        try:
            return round(read_length(value, reading.unit), 1)
        except LengthError:
            return None

    yield from _twice(document, dies, same_tube, "is for this tube already; keep the one that is mounted")
    yield from _test_bends(document, same_tube)
    shelf = {_same_name(stock.get("name")) for kind in ("tube", "bar") for _, stock in document.tables(kind)}
    yield from wrong_remnants(document, shelf, "this file")
    yield from _wrong_sheet_remnants(document)


def wrong_remnants(document: Document, shelf: Collection[str | None], where: str) -> Iterator[Mistake]:
    """Return remnants of what is not on a shelf.

    Args:
        document: a file with remnants.
        shelf: names of tubes and bars.
        where: whose names they are, for the message.
    """
    for path, left in document.tables("remnant"):
        name = _same_name(left.get("stock"))
        if name is not None and name not in shelf:
            wanted = f"name a tube or bar of {where}{_near(name, shelf)}"
            yield document.mistake((*path, "stock"), wanted, written(name))


def _wrong_sheet_remnants(document: Document) -> Iterator[Mistake]:
    plates = {_same_name(plate.get("name")) for _, plate in document.tables("plate")}
    for path, left in document.tables("sheet_remnant"):
        name = _same_name(left.get("plate"))
        if name is not None and name not in plates:
            yield document.mistake((*path, "plate"), f"name a plate of this file{_near(name, plates)}", written(name))


def _test_bends(document: Document, diameter: Callable[[object], float | None]) -> Iterator[Mistake]:
    """Return test bends of tubes that are not on the shelf, do not go with their die, or were given before."""
    shelf = {_same_name(t.get("name")): diameter(t.get("od")) for _, t in document.tables("tube")}
    for path, die in document.tables("die"):
        takes = diameter(die.get("tube_od"))
        measured = die.get("measured")
        count = len(cast("list[object]", measured)) if isinstance(measured, list) else 0
        keys: list[Path] = [(*path, "measured", place, "tube") for place in range(count)]
        for key in keys:
            name = _same_name(document.get(key))
            if name is None:
                continue
            if name not in shelf:
                yield document.mistake(key, f"name a tube of this file{_near(name, shelf)}", written(name))
            elif takes is not None and shelf[name] is not None and takes != shelf[name]:
                yield document.mistake(key, "name a tube that this die takes", written(name))
        yield from _twice(document, keys, _same_name, "has this tube's test bend already")


def _near(name: str, shelf: Iterable[str | None]) -> str:
    near = nearest(name, (n for n in shelf if n is not None))
    return f"; did you mean {written(near)}?" if near else ""


def _same_name(value: object) -> str | None:
    return " ".join(value.split()) if isinstance(value, str) else None


def _twice(
    document: Document, keys: list[Path], meaning: Callable[[object], str | float | None], wanted: str
) -> Iterator[Mistake]:
    """Return a mistake for every key whose value means what that of an earlier one does."""
    first: dict[str | float, Path] = {}
    for key in keys:
        value = document.get(key)
        means = meaning(value)
        if means is not None and first.setdefault(means, key) != key:
            line = document.lines[first[means]]
            yield document.mistake(key, f"line {line} {wanted}", written(value))
