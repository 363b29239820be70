"""The revision of a rack: a short hash that changes when anything that gets made changes."""

from __future__ import annotations

import dataclasses
import hashlib
from functools import lru_cache
from typing import Any, cast

import rackgen
from rackgen.parts.rack import Rack


def program() -> str:
    """Return the program and its version, as every sheet names it."""
    return f"rackgen {rackgen.__version__}"


def revision(rack: Rack) -> str:
    """Return ten hexadecimal digits of the SHA-256 of the resolved rack and the program's version.

    Numbers count to 1e-6 mm or degrees, so that noise of the arithmetic between machines does not make a new revision.
    """
    text = f"{program()}\n{spelled(rack)}"
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:10]


def spelled(value: object) -> str:
    """Return a record as one text: the same for equal records, another for unequal ones.

    What does not count when records are compared, such as a price, does not count here.

    Raises:
        TypeError: the record holds something other than records, tuples, numbers, texts and None.
    """
    # The commonest first: a rack has some ten thousand numbers.
    if type(value) is float:
        return repr(round(value, 6) + 0.0)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = ",".join([f"{name}={spelled(getattr(value, name))}" for name in _compared(type(value))])
        return f"{type(value).__name__}({fields})"
    if isinstance(value, tuple):
        return f"({','.join(spelled(v) for v in cast('tuple[object, ...]', value))})"
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return repr(value)
    if isinstance(value, int | float):
        return repr(round(float(value), 6) + 0.0)
    raise TypeError(f"{type(value).__name__} cannot be spelled out")


@lru_cache(maxsize=256)
def _compared(record: type[Any]) -> tuple[str, ...]:
    """Return the names of the fields that count when records of a type are compared."""
    return tuple(f.name for f in dataclasses.fields(record) if f.compare)
