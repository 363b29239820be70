"""Single files beside other people's: each is written whole or not at all; nothing else in the folder is touched."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from rackgen.errors import PackError


def write_single(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder, each by a rename, and return their paths in the order given.

    Raises:
        PackError: the system refuses to write there.
    """
    out: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            new = folder / f".{name}.new"
            new.write_bytes(content)
            new.replace(folder / name)
            out.append(folder / name)
    except OSError as error:
        raise PackError(f"{folder} cannot be written: {error.strerror or error}") from error
    return tuple(out)
