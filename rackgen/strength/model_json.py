"""A frame's model as JSON: one record a line, the same bytes each time, and read back as the same model."""

from __future__ import annotations

import json
import math
from dataclasses import MISSING, Field, fields, is_dataclass
from typing import Any, Literal, cast, get_args, get_origin, get_type_hints

from rackgen.errors import FrameError
from rackgen.strength.model import FrameModel

FORMAT = "rackgen frame model 1"
UNITS = "mm, N, N·mm, MPa, kg, rad; vehicle frame: X aft, Y right, Z up"
LARGEST = 1e300
"""What is larger is no number that a frame has; also what keeps whole numbers of any length out."""

RIGID = "rigid"
"""How an infinite stiffness is written: JSON has no infinity."""


def written(model: FrameModel) -> str:
    """Return a model as JSON, ending in a line break."""
    parts = [f'"format": {_text(FORMAT)}', f'"units": {_text(UNITS)}']
    for field in fields(model):
        value = getattr(model, field.name)
        if isinstance(value, tuple):
            rows = ",\n".join("  " + _text(_plain(one)) for one in cast("tuple[object, ...]", value))
            parts.append(f'"{field.name}": [\n{rows}\n ]' if rows else f'"{field.name}": []')
        else:
            parts.append(f'"{field.name}": {_text(_plain(value))}')
    return "{\n " + ",\n ".join(parts) + "\n}\n"


def read(text: str) -> FrameModel:
    """Return the model that a JSON text holds.

    Raises:
        FrameError: it is not JSON, not of this format, or a record in it lacks a key, has one too many or of another
            kind; with every such place.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise FrameError([f"the model is not JSON: {error}"]) from error
    if not isinstance(data, dict) or cast("dict[str, object]", data).get("format") != FORMAT:
        raise FrameError([f'the model is not of this format: it begins with "format": "{FORMAT}"'])
    rest = {k: v for k, v in cast("dict[str, object]", data).items() if k not in ("format", "units")}
    reader = _Reader()
    made = reader.record(FrameModel, rest, "model")
    if reader.wrong:
        raise FrameError(reader.wrong)
    return cast("FrameModel", made)


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _plain(value: object) -> object:
    """Return a record as what JSON has."""
    if isinstance(value, tuple):
        return [_plain(one) for one in cast("tuple[object, ...]", value)]
    if is_dataclass(value):
        return {f.name: _plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, float) and value == math.inf:
        return RIGID
    if isinstance(value, float) and not math.isfinite(value):
        raise FrameError([f"the model holds {value}, which is no number"])
    return value


class _Reader:
    """Reads records by the types of their fields and keeps what is wrong."""

    def __init__(self) -> None:
        self.wrong: list[str] = []

    def record(self, kind: type[Any], data: object, where: str) -> object:
        if not isinstance(data, dict):
            return self._wrong(where, f"must be a record of {kind.__name__}")
        given = cast("dict[str, object]", data)
        kinds = get_type_hints(kind)
        wanted: dict[str, Field[Any]] = {f.name: f for f in fields(kind)}
        for key in given.keys() - wanted.keys():
            self._wrong(f"{where}.{key}", f"is not a key of {kind.__name__}")
        for name, field in wanted.items():
            if name not in given and field.default is MISSING and field.default_factory is MISSING:
                self._wrong(f"{where}.{name}", "is missing")
        before = len(self.wrong)
        values = {k: self._value(kinds[k], v, f"{where}.{k}") for k, v in given.items() if k in wanted}
        whole = len(self.wrong) == before and all(
            n in given or f.default is not MISSING or f.default_factory is not MISSING for n, f in wanted.items()
        )
        return kind(**values) if whole else None

    def _value(self, kind: Any, data: object, where: str) -> object:
        origin = get_origin(kind)
        if origin is tuple:
            return self._row(get_args(kind), data, where)
        if origin is Literal:
            if data in get_args(kind):
                return data
            return self._wrong(where, f"must be one of {', '.join(map(str, get_args(kind)))}, not {data!r}")
        if is_dataclass(kind):
            return self.record(cast("type[Any]", kind), data, where)
        if kind is float:
            if data == RIGID:
                return math.inf
            if isinstance(data, int | float) and not isinstance(data, bool) and abs(data) < LARGEST:
                return float(data)
            return self._wrong(where, f"must be a number, not {data!r}")
        if kind is str and isinstance(data, str):
            return data
        return self._wrong(where, f"must be a text, not {data!r}")

    def _row(self, kinds: tuple[Any, ...], data: object, where: str) -> object:
        if not isinstance(data, list):
            return self._wrong(where, "must be a list")
        rows = cast("list[object]", data)
        if len(kinds) == 2 and kinds[1] is Ellipsis:
            kinds = (kinds[0],) * len(rows)
        if len(kinds) != len(rows):
            return self._wrong(where, f"must hold {len(kinds)} values, not {len(rows)}")
        return tuple(self._value(k, v, f"{where}[{n}]") for n, (k, v) in enumerate(zip(kinds, rows, strict=True)))

    def _wrong(self, where: str, what: str) -> None:
        self.wrong.append(f"{where} {what}")
