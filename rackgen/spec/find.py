"""Where presets stand: beside the file that names them, or among those that come with the program."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from rackgen.errors import BadInput, Mistake
from rackgen.spec.document import Document, nearest, open_document, written
from rackgen.spec.shipped import shipped

Kind = Literal["shop", "vehicle", "rack"]
KINDS: tuple[Kind, ...] = ("shop", "vehicle", "rack")
FOLDERS: Mapping[Kind, str] = MappingProxyType({"shop": "shops", "vehicle": "vehicles", "rack": "racks"})


@dataclass(frozen=True)
class Preset:
    """A preset that comes with the program.

    Attributes:
        kind: shop, vehicle or rack.
        name: as commands and rack files name it.
        title: as sheets name it; "" when its file does not say.
        path: its file.
    """

    kind: Kind
    name: str
    title: str
    path: Path


def presets() -> tuple[Preset, ...]:
    """Return the presets that come with the program: shops, then vehicles, then racks, each by name.

    Raises:
        BadInput: one of them is not TOML.
    """
    found: list[Preset] = []
    for kind in KINDS:
        for name, path in _names(shipped() / FOLDERS[kind]).items():
            document = open_document(path, str(path))
            title = document.get(("title",)) or document.get(("name",)) or ""
            found.append(Preset(kind, name, str(title), path))
    return tuple(found)


def given_file(kind: Kind, given: str | Path, beside: Path | None = None) -> Path:
    """Return the file that a user names: a path, or the name of a preset.

    Args:
        kind: what it should be.
        given: a path; or one word, the name of a preset.
        beside: a rack file whose neighbours count as presets too.

    Raises:
        BadInput: there is no such file or preset; names the nearest and all that are known.
    """
    if not _is_word(given):
        if os.path.lexists(given):
            return Path(given)
        near = nearest(Path(given).stem, _names(Path(given).parent))
        hint = f'; did you mean "{near}.toml"?' if near else ""
        raise BadInput([Mistake(str(given), "", 0, "", f"there is no such file{hint}; {_known(kind, beside)}")])
    path = _named(kind, str(given), beside)
    if path is None and os.path.lexists(given):
        return Path(given)
    if path is None:
        wanted = f"there is no such file and no such {kind}; {_suggestion(kind, str(given), beside)}"
        raise BadInput([Mistake(str(given), "", 0, "", wanted)])
    return path


def named_file(kind: Kind, rack: Document) -> Path:
    """Return the file of the shop or vehicle that a rack file names.

    Raises:
        BadInput: there is none; names the nearest and all that are known.
    """
    name = rack.get((kind,))
    path = _named(kind, str(name), rack.path)
    if path is None:
        wanted = f"there is no such {kind} beside this file or shipped; {_suggestion(kind, str(name), rack.path)}"
        raise BadInput([rack.mistake((kind,), wanted, written(name))])
    return path


def _is_word(given: str | Path) -> bool:
    separators = [s for s in (os.sep, os.altsep) if s]
    return isinstance(given, str) and not given.endswith(".toml") and not any(s in given for s in separators)


def _named(kind: Kind, name: str, beside: Path | None) -> Path | None:
    """Return the file of a preset's name, or None; a neighbour of the rack file goes before a shipped one."""
    near = [_neighbours(kind, beside), beside.parent] if beside else []
    for folder in (*near, shipped() / FOLDERS[kind]):
        path = folder / f"{name}.toml"
        if os.path.lexists(path):
            return path
    return None


def _neighbours(kind: Kind, rack: Path) -> Path:
    return Path(os.path.normpath(rack.parent / ".." / FOLDERS[kind]))


def _names(folder: Path) -> dict[str, Path]:
    """Return the presets in a folder by name."""
    try:
        found = sorted(folder.glob("*.toml"))
    except (OSError, ValueError):
        return {}
    return {path.stem: path for path in found}


def _all(kind: Kind, beside: Path | None) -> list[str]:
    neighbours = _names(_neighbours(kind, beside)) if beside else {}
    return sorted({*neighbours, *_names(shipped() / FOLDERS[kind])})


def _known(kind: Kind, beside: Path | None) -> str:
    return f"known {FOLDERS[kind]} are {', '.join(_all(kind, beside)) or 'none'}"


def _suggestion(kind: Kind, name: str, beside: Path | None) -> str:
    near = nearest(name, _all(kind, beside))
    return (f'did you mean "{near}"? ' if near else "") + _known(kind, beside)
