"""The manifest of a pack: which files belong to it, and how each of them reads."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from rackgen.errors import PackError

NAME = "manifest.json"


@dataclass(frozen=True)
class PackInfo:
    """What a manifest says about the whole pack.

    Attributes:
        rack: name of the rack.
        revision: hash of the resolved rack and the program version.
        program: program and version.
        stops: codes of the stop findings; the pack is NOT CLEARED when there are any.
        pictures: names of the files that need not be the same bytes when made again.
    """

    rack: str
    revision: str
    program: str
    stops: tuple[str, ...] = ()
    pictures: frozenset[str] = frozenset()


def manifest_bytes(files: Mapping[str, bytes], info: PackInfo) -> bytes:
    """Return the manifest of a pack: sorted, with sizes and SHA-256, pictures apart, and no clock.

    Raises:
        PackError: a picture is named that is not among the files.
    """
    missing = sorted(info.pictures - set(files))
    if missing:
        raise PackError(f"the pack has no picture {', '.join(missing)}")

    def listed(names: set[str]) -> list[dict[str, object]]:
        return [
            {"name": n, "size": len(files[n]), "sha256": hashlib.sha256(files[n]).hexdigest()} for n in sorted(names)
        ]

    document = {
        "format": 1,
        "program": info.program,
        "rack": info.rack,
        "revision": info.revision,
        "state": f"NOT CLEARED: {', '.join(info.stops)}" if info.stops else "cleared",
        "files": listed(set(files) - info.pictures),
        "pictures": listed(set(info.pictures)),
    }
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def manifest_names(folder: Path) -> dict[str, str]:
    """Return the files that a pack's manifest names, with their SHA-256.

    Raises:
        PackError: there is no manifest, or it cannot be read as one.
    """
    path = folder / NAME
    try:
        document: Any = json.loads(path.read_text("utf-8"))
        entries = [*document["files"], *document["pictures"]]
        return {str(e["name"]): str(e["sha256"]) for e in cast("list[dict[str, object]]", entries)}
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise PackError(f"{path}: no manifest of a pack of rackgen's can be read there ({error})") from error


def is_whole(folder: Path) -> bool:
    """Return whether a folder is a whole pack: its manifest can be read and every file in it is as it says."""
    if folder.is_symlink() or not folder.is_dir():
        return False
    try:
        names = manifest_names(folder)
    except PackError:
        return False
    return all(
        (folder / name).is_file() and hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
        for name, digest in names.items()
    )
