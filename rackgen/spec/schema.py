"""JSON Schemas of the preset files, for editors that complete and check while one types."""

from __future__ import annotations

import json
from typing import Any, get_args, get_origin

from rackgen.spec.fields import About, Entries, Table, Value
from rackgen.spec.find import KINDS, Kind
from rackgen.spec.read import FILES
from rackgen.spec.shape import about, choices, is_table, keys, kinds, plain

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(kind: Kind) -> dict[str, Any]:
    """Return the JSON Schema of a kind of preset file: the keys, their meaning and their bounds.

    Lengths are numbers or texts. What depends on several values, or on the unit, is checked when the file is read.
    """
    return {"$schema": DIALECT, "title": f"rackgen {kind}, format 1", **_table(FILES[kind])}


def schema_name(kind: Kind) -> str:
    """Return the name of a schema's file."""
    return f"{kind}.schema.json"


def schema_text(kind: Kind) -> str:
    """Return a schema as it is written to its file."""
    return json.dumps(schema(kind), indent=2, ensure_ascii=False) + "\n"


def schema_files() -> dict[str, bytes]:
    """Return the schema of every kind by its file's name."""
    return {schema_name(kind): schema_text(kind).encode("utf-8") for kind in KINDS}


def _table(table: type[Table]) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    for name, key in keys(table).items():
        made = _value(key.hint, key.about)
        if isinstance(key.default, bool | int | float | str) and key.default != "":
            made["default"] = key.default
        properties[name] = made
    needed = [name for name, key in keys(table).items() if key.needed]
    return {
        "type": "object",
        "description": (table.__doc__ or "").partition("\n")[0],
        "additionalProperties": False,
        "properties": properties,
        **({"required": needed} if needed else {}),
    }


def _value(hint: Any, meaning: About) -> dict[str, Any]:
    made = _shape(hint, meaning)
    return {**made, "description": meaning.about} if meaning.about else made


def _shape(hint: Any, meaning: About) -> dict[str, Any]:
    if isinstance(meaning, Value):
        return meaning.json()
    if is_table(hint):
        return _table(hint)
    if several := kinds(hint):
        return {"oneOf": [_table(member) for member in several.values()]}
    if words := choices(hint):
        return {"const": words[0]} if len(words) == 1 else {"enum": list(words)}
    inner = get_args(hint)[1] if get_origin(hint) is dict else get_args(hint)[0]
    entry = _value(plain(inner), about(inner))
    if get_origin(hint) is dict:
        return {"type": "object", "additionalProperties": entry}
    assert isinstance(meaning, Entries)
    return {"type": "array", "items": entry, **meaning.json()}
