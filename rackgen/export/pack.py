"""The one writer of output: a pack folder is replaced as a whole or not at all.

A pack belongs wholly to rackgen. The new pack is made beside the old one, the old one is renamed aside, the new one
renamed in, and the old one removed. Beside a pack `out/rack` stand, while that is going on, `out/.rack.new`,
`out/.rack.old` and `out/.rack.lock`. Once there is a pack, at every instant one of `rack`, `.rack.old` and `.rack.new`
is a whole one; whatever was cut short is finished or undone by the next call.
"""

from __future__ import annotations

import errno
import os
import shutil
import sys
from collections.abc import Callable, Generator, Mapping
from contextlib import contextmanager
from pathlib import Path

from rackgen.errors import PackError
from rackgen.export.manifest import NAME, PackInfo, is_whole, manifest_bytes, manifest_names

Step = Callable[[str], None]
"""Called with the name of each step just before it is taken; tests stop the writer there."""


def write_pack(folder: Path, files: Mapping[str, bytes], info: PackInfo, step: Step = lambda name: None) -> None:
    """Write a pack, replacing the one that was there.

    Args:
        folder: of the pack; its parent is made when it is missing.
        files: contents by plain file name.
        info: for the manifest, which is written along.
        step: called before each step.

    Raises:
        PackError: a name is no plain file name; the folder is a file or a link, or holds something that its manifest
            does not name; another build is at work on it; or the system refuses to write there.
    """
    folder = _named(folder)
    _check_names(files)
    content = {**files, NAME: manifest_bytes(files, info)}
    with _refusals(folder):
        _check_place(folder)
        folder.parent.mkdir(parents=True, exist_ok=True)
        with _lock(folder):
            _mend(folder, step)
            check_folder(folder)
            try:
                _fill(_beside(folder, "new"), content, step)
                _swap(folder, step)
            finally:
                _mend(folder, step)


def recover(folder: Path) -> bool:
    """Finish or undo a swap that was cut short; return whether there was one.

    Raises:
        PackError: another build is at work on the folder, or the system refuses.
    """
    folder = _named(folder)
    if not any(os.path.lexists(_beside(folder, kind)) for kind in ("new", "old")):
        return False
    with _refusals(folder), _lock(folder):
        _mend(folder, lambda name: None)
    return True


def _named(folder: Path) -> Path:
    with _refusals(folder):
        folder = folder.absolute()
    if folder.name in ("", ".."):
        raise PackError(f"{folder} cannot be a pack's folder; give one by its own name")
    return folder


def _beside(folder: Path, kind: str) -> Path:
    return folder.parent / f".{folder.name}.{kind}"


def _check_names(files: Mapping[str, bytes]) -> None:
    seen: dict[str, str] = {}
    for name in files:
        if name != Path(name).name or name.startswith(".") or "\\" in name or ":" in name or "\0" in name:
            raise PackError(f"{name!r} is no plain file name")
        other = seen.setdefault(name.casefold(), name)
        if other != name:
            raise PackError(f"{name} and {other} are one file where case does not count")
    if NAME in seen:
        raise PackError(f"{NAME} is the pack's own")


def _check_place(folder: Path) -> None:
    if folder.is_symlink():
        raise PackError(f"{folder} is a link; give the folder itself")
    if folder.exists() and not folder.is_dir():
        raise PackError(f"{folder} is a file; a pack needs a folder of its own")
    around = next((p for p in folder.parents if os.path.lexists(p)), folder.parent)
    if os.path.lexists(around) and not around.is_dir():
        raise PackError(f"{around} is {'a dead link' if around.is_symlink() else 'a file'}; name a folder for the pack")


def check_folder(folder: Path) -> None:
    """Refuse a folder that holds anything but its pack.

    Raises:
        PackError: it does, and the message names what; or the system refuses to look.
    """
    with _refusals(folder):
        _check_content(folder)


def _check_content(folder: Path) -> None:
    _check_place(folder)
    if not folder.exists():
        return
    found = sorted(p.name for p in folder.iterdir())
    if not found:
        return
    if NAME not in found:
        raise PackError(
            f"{folder} holds {found[0]} and no {NAME}: it is no pack of rackgen's; empty it or choose another"
        )
    named = manifest_names(folder)
    for name in found:
        path = folder / name
        if name == NAME and path.is_file() and not path.is_symlink():
            continue
        if name not in named or path.is_symlink() or not path.is_file():
            raise PackError(f"{path} does not belong to the pack: its manifest does not name it; move it elsewhere")


def _fill(new: Path, content: Mapping[str, bytes], step: Step) -> None:
    """Write every file into a new folder beside the pack, the manifest last, and bring all of it to the disk."""
    step("make the new folder")
    new.mkdir()
    for name in sorted(content, key=lambda n: (n == NAME, n)):
        step(f"write {name}")
        with (new / name).open("xb") as file:
            file.write(content[name])
            file.flush()
            os.fsync(file.fileno())
    step("bring the new folder to the disk")
    _sync_folder(new)


def _swap(folder: Path, step: Step) -> None:
    if folder.exists():
        step("rename the old pack aside")
        folder.rename(_beside(folder, "old"))
        _sync_folder(folder.parent)
    step("rename the new pack in")
    _beside(folder, "new").rename(folder)
    _sync_folder(folder.parent)


def _mend(folder: Path, step: Step) -> None:
    """Bring the folder and what stands beside it to rest, from wherever a build was cut short.

    With the pack's folder in place, what is beside it is removed: a new pack that was not yet renamed in, an old one
    that was not yet removed. Without it, a whole new pack is renamed in, else the old one is renamed back.
    """
    new, old = _beside(folder, "new"), _beside(folder, "old")
    if not os.path.lexists(folder):
        if is_whole(new):
            step("finish renaming the new pack in")
            new.rename(folder)
            _sync_folder(folder.parent)
        elif os.path.lexists(old):
            step("rename the old pack back")
            old.rename(folder)
            _sync_folder(folder.parent)
    for rest in (new, old):
        if os.path.lexists(rest):
            step(f"remove {rest.name}")
            _remove(rest)


def _remove(folder: Path) -> None:
    if folder.is_symlink() or not folder.is_dir():
        raise PackError(f"{folder} is in the way: it is not a folder of rackgen's; move it elsewhere")
    # A pack that was made read-only can still be replaced by its owner.
    folder.chmod(0o700)
    shutil.rmtree(folder)


def _sync_folder(folder: Path) -> None:
    """Bring a folder's names to the disk; only POSIX systems can open a folder to ask for that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _refusals(folder: Path) -> Generator[None]:
    """Say a refusal of the system as a PackError."""
    try:
        yield
    except OSError as error:
        raise PackError(f"{folder} cannot be written: {error.strerror or error}") from error


@contextmanager
def _lock(folder: Path) -> Generator[None]:
    """Hold the pack's lock.

    The system drops the lock of a process that dies, so a lock file that was left behind locks nothing.

    Raises:
        PackError: another build holds it.
    """
    path = _beside(folder, "lock")
    handle = _locked(path)
    if handle is None:
        raise PackError(f"{folder} is being built by another run; wait for it to end")
    try:
        yield
    finally:
        # Removed while it is still held: whoever opened it meanwhile finds that it is gone and opens the next one.
        if os.name == "posix":
            path.unlink(missing_ok=True)
        os.close(handle)


def _locked(path: Path) -> int | None:
    """Return a handle that holds the lock, or None when another process holds it."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _take(handle)
        except OSError as error:
            os.close(handle)
            if error.errno in (errno.EAGAIN, errno.EACCES):
                return None
            raise
        if _is_still(path, handle):
            return handle
        os.close(handle)


def _is_still(path: Path, handle: int) -> bool:
    """Return whether the open lock file is the one that stands at the path now."""
    try:
        return os.path.samestat(path.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False


def _take(handle: int) -> None:
    """Take the lock without waiting.

    Raises:
        OSError: EAGAIN or EACCES when another process holds it.
    """
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
