"""What the tables of a file may hold, read off their annotated types.

Modules that declare tables leave out `from __future__ import annotations`: their annotations are read as values here,
and as texts each would be compiled anew at every start.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin, get_type_hints

from rackgen.spec.fields import About, Table


@dataclass(frozen=True)
class Key:
    """One key of a table.

    Attributes:
        hint: its type, without None and without annotation.
        about: what it means and, for a value, how it is read.
        needed: whether a file must state it.
        default: what holds when it does not.
    """

    hint: Any
    about: About
    needed: bool
    default: object = None


@lru_cache(maxsize=64)
def keys(table: type[Table]) -> Mapping[str, Key]:
    """Return the keys of a table, in order."""
    hints = get_type_hints(table, include_extras=True)
    found: dict[str, Key] = {}
    for field in dataclasses.fields(cast("Any", table)):
        hint = hints[field.name]
        needed = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        default = None if field.default is dataclasses.MISSING else field.default
        found[field.name] = Key(plain(hint), about(hint), needed, default)
    return found


def plain(hint: Any) -> Any:
    """Return a type without its annotation, and without None."""
    while get_origin(hint) is Annotated:
        hint = get_args(hint)[0]
    if get_origin(hint) in (Union, types.UnionType):
        inner = [arg for arg in get_args(hint) if arg is not type(None)]
        return plain(inner[0]) if len(inner) == 1 else hint
    return hint


def about(hint: Any) -> About:
    """Return what a value means; the outermost word counts."""
    found = [extra for extra in getattr(hint, "__metadata__", ()) if isinstance(extra, About)]
    return found[-1] if found else About("")


def is_table(hint: Any) -> bool:
    """Return whether a plain type is a table."""
    return isinstance(hint, type) and issubclass(hint, Table)


def kinds(hint: Any) -> Mapping[str, type[Table]]:
    """Return the tables that a plain type may be, by their `kind`; none unless it may be several."""
    if get_origin(hint) not in (Union, types.UnionType):
        return {}
    members = (member for member in get_args(hint) if member is not type(None))
    return {choices(keys(member)["kind"].hint)[0]: member for member in members}


def choices(hint: Any) -> tuple[Any, ...]:
    """Return the words or numbers that a plain type allows; none unless it names them."""
    return get_args(hint) if get_origin(hint) is Literal else ()
