"""The pack writer: a pack is replaced as a whole or not at all."""

import hashlib
import json
import os
import shutil
import tempfile
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from rackgen.errors import PackError
from rackgen.export.manifest import PackInfo, is_whole, manifest_bytes
from rackgen.export.pack import recover, write_pack

INFO = PackInfo("small", "0123456789", "rackgen 0")
OLD = {"T1-cut.dxf": b"old tube", "cut-list.csv": b"old list", "gone.txt": b"not in the next"}
NEW = {"T1-cut.dxf": b"new tube", "cut-list.csv": b"new list", "picture.png": b"\x89PNG"}


class Cut(BaseException):
    """The program is cut short."""


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.name != "manifest.json"}


def beside(folder: Path) -> list[str]:
    """Give what stands in the folder's parent besides it."""
    return sorted(p.name for p in folder.parent.iterdir() if p != folder)


def steps(first: bool, folder: Path) -> list[str]:
    """Give the steps of a build: of a pack that replaces another, or of the first."""
    if not first:
        write_pack(folder, OLD, INFO)
    taken: list[str] = []
    write_pack(folder, NEW, INFO, taken.append)
    return taken


with tempfile.TemporaryDirectory() as made:
    FIRST = steps(True, Path(made) / "first")
    AGAIN = steps(False, Path(made) / "again")


def stop_at(name: str, how: Callable[[], None]) -> Callable[[str], None]:
    done: list[str] = []

    def step(step_name: str) -> None:
        # Only once: what mends the folder afterwards takes the same steps.
        if step_name == name and not done:
            done.append(name)
            how()

    return step


def test_a_pack_is_written_with_its_manifest(tmp_path: Path) -> None:
    folder = tmp_path / "out" / "small"
    write_pack(folder, NEW, PackInfo("small", "0123456789", "rackgen 0", ("roof-gap",), frozenset({"picture.png"})))
    assert contents(folder) == NEW
    assert beside(folder) == []
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    assert [f["name"] for f in manifest["files"]] == ["T1-cut.dxf", "cut-list.csv"]
    assert [f["name"] for f in manifest["pictures"]] == ["picture.png"]
    assert manifest["files"][0]["sha256"] == hashlib.sha256(b"new tube").hexdigest()
    assert manifest["files"][0]["size"] == 8
    assert (manifest["revision"], manifest["program"]) == ("0123456789", "rackgen 0")
    assert manifest["state"] == "NOT CLEARED: roof-gap"


def test_the_manifest_depends_on_nothing_but_the_files() -> None:
    assert manifest_bytes(NEW, INFO) == manifest_bytes(dict(reversed(NEW.items())), INFO)
    with pytest.raises(PackError, match=r"no picture side\.png"):
        manifest_bytes(NEW, PackInfo("small", "0", "rackgen 0", (), frozenset({"side.png"})))


def test_the_next_pack_replaces_the_last_whole(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    write_pack(folder, NEW, INFO)
    assert contents(folder) == NEW
    assert beside(folder) == []


def test_every_step_of_a_swap_is_tried_below() -> None:
    assert [
        "make the new folder",
        *(f"write {n}" for n in (*sorted(NEW), "manifest.json")),
        "bring the new folder to the disk",
        "rename the new pack in",
    ] == FIRST
    assert [*FIRST[:-1], "rename the old pack aside", FIRST[-1], "remove .again.old"] == AGAIN


@pytest.mark.parametrize("name", AGAIN)
def test_an_error_at_any_step_leaves_one_whole_pack(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "again"
    write_pack(folder, OLD, INFO)

    def fail() -> None:
        raise Cut

    with pytest.raises(Cut):
        write_pack(folder, NEW, INFO, stop_at(name, fail))
    # What failed in the open has mended itself, but for the step that mends.
    assert is_whole(folder)
    assert contents(folder) in (OLD, NEW)
    assert beside(folder) == ([".again.old"] if name == "remove .again.old" else [])
    write_pack(folder, NEW, INFO)
    assert contents(folder) == NEW
    assert beside(folder) == []


def killed_at(name: str, folder: Path) -> None:
    """Build in a process of its own that dies at a step, with no chance to tidy up."""
    with warnings.catch_warnings():
        # Later Pythons warn of forking beside threads; the child does nothing but write and die.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        try:
            write_pack(folder, NEW, INFO, stop_at(name, lambda: os._exit(9)))
        finally:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 9


@pytest.mark.parametrize("name", AGAIN)
@pytest.mark.parametrize("next_command", ["recover", "write_pack"])
def test_a_kill_at_any_step_leaves_one_whole_pack(name: str, next_command: str, tmp_path: Path) -> None:
    folder = tmp_path / "again"
    write_pack(folder, OLD, INFO)
    killed_at(name, folder)
    whole = [p for p in (folder, tmp_path / ".again.old", tmp_path / ".again.new") if is_whole(p)]
    assert whole
    assert contents(whole[0]) in (OLD, NEW)
    if next_command == "recover":
        had_begun = name != "make the new folder"
        assert recover(folder) is had_begun
        assert is_whole(folder)
        swapped = name in ("rename the new pack in", "remove .again.old")
        assert contents(folder) == (NEW if swapped else OLD)
        assert recover(folder) is False
        # Where there was nothing to mend the dead process's lock file stays; it locks nothing.
        assert beside(folder) == ([] if had_begun else [".again.lock"])
    write_pack(folder, NEW, INFO)
    assert contents(folder) == NEW
    assert beside(folder) == []


@pytest.mark.parametrize("name", FIRST)
def test_a_kill_at_any_step_of_the_first_build_leaves_nothing_or_a_pack(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "first"
    killed_at(name, folder)
    recover(folder)
    assert not folder.exists() or (is_whole(folder) and contents(folder) == NEW)
    write_pack(folder, OLD, INFO)
    assert contents(folder) == OLD
    assert beside(folder) == []


def test_a_torn_new_pack_is_never_renamed_in(tmp_path: Path) -> None:
    folder = tmp_path / "again"
    write_pack(folder, OLD, INFO)
    killed_at("rename the new pack in", folder)
    # The disk kept the names but lost a file's content.
    (tmp_path / ".again.new" / "T1-cut.dxf").write_bytes(b"")
    assert recover(folder)
    assert contents(folder) == OLD
    assert beside(folder) == []


def test_a_foreign_file_stops_the_build_with_its_name(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    (folder / "notes.txt").write_text("mine")
    with pytest.raises(PackError, match=r"notes\.txt does not belong to the pack"):
        write_pack(folder, NEW, INFO)
    assert (folder / "notes.txt").read_text() == "mine"
    assert contents(folder) == {**OLD, "notes.txt": b"mine"}
    assert beside(folder) == []


@pytest.mark.parametrize("kind", ["folder", "link", "named as a folder", "named as a link"])
def test_anything_else_in_the_folder_stops_the_build_too(kind: str, tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    odd = folder / ("gone.txt" if kind.startswith("named") else "odd")
    odd.unlink(missing_ok=True)
    if kind.endswith("link"):
        odd.symlink_to(tmp_path)
    else:
        odd.mkdir()
    with pytest.raises(PackError, match=odd.name):
        write_pack(folder, NEW, INFO)
    assert os.path.lexists(odd)


def test_a_folder_that_is_no_pack_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "letter.txt").write_text("mine")
    with pytest.raises(PackError, match=r"letter\.txt and no manifest"):
        write_pack(folder, NEW, INFO)
    assert contents(folder) == {"letter.txt": b"mine"}


def test_a_manifest_that_cannot_be_read_stops_the_build(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    for text in ("", "[]", '{"files": [{"name": 3}], "pictures": []}', '{"files": 1, "pictures": []}'):
        (folder / "manifest.json").write_text(text)
        with pytest.raises(PackError, match="manifest"):
            write_pack(folder, NEW, INFO)
        assert contents(folder) == OLD


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    folder.mkdir()
    write_pack(folder, NEW, INFO)
    assert contents(folder) == NEW


def test_a_file_or_a_link_in_the_folders_place_stops_the_build(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(PackError, match="is a file"):
        write_pack(tmp_path / "file", NEW, INFO)
    with pytest.raises(PackError, match="is a link"):
        write_pack(tmp_path / "link", NEW, INFO)
    with pytest.raises(PackError, match="is a file; name a folder"):
        write_pack(tmp_path / "file" / "small", NEW, INFO)
    assert (tmp_path / "file").read_text() == "mine"
    assert list((tmp_path / "real").iterdir()) == []


@pytest.mark.parametrize("kind", ["new", "old"])
def test_something_foreign_beside_the_folder_is_not_removed(kind: str, tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    (tmp_path / f".small.{kind}").symlink_to(tmp_path)
    with pytest.raises(PackError, match="is in the way"):
        write_pack(folder, NEW, INFO)
    assert contents(folder) == OLD


@contextmanager
def someone_else() -> Iterator[None]:
    """Drop the superuser's rights for a while: nothing is read-only to root."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(dir="/tmp"))
    folder.chmod(0o777)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def test_a_read_only_place_stops_the_build_and_harms_nothing(open_folder: Path) -> None:
    with someone_else():
        write_pack(open_folder / "small", OLD, INFO)
    open_folder.chmod(0o555)
    with someone_else(), pytest.raises(PackError, match=r"cannot be written: .*denied"):
        write_pack(open_folder / "small", NEW, INFO)
    with someone_else(), pytest.raises(PackError, match=r"cannot be written: .*denied"):
        write_pack(open_folder / "other", NEW, INFO)
    assert contents(open_folder / "small") == OLD


def test_a_read_only_pack_is_replaced_by_its_owner(open_folder: Path) -> None:
    with someone_else():
        write_pack(open_folder / "small", OLD, INFO)
        (open_folder / "small").chmod(0o555)
        write_pack(open_folder / "small", NEW, INFO)
        assert contents(open_folder / "small") == NEW
        assert beside(open_folder / "small") == []


def test_a_second_build_is_refused_while_the_first_is_at_work(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    write_pack(folder, OLD, INFO)
    refused: list[str] = []

    def second(step_name: str) -> None:
        for again in (lambda: write_pack(folder, OLD, INFO), lambda: recover(folder)):
            try:
                again()
            except PackError as error:
                refused.append(str(error))

    write_pack(folder, NEW, INFO, second)
    assert len(refused) >= 2 * len(AGAIN) - 2
    assert all("being built by another run" in text for text in refused)
    assert contents(folder) == NEW


def test_many_builds_at_once_leave_one_whole_pack(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    packs = [{"T1.stl": bytes([k]) * 1000, "which.txt": str(k).encode()} for k in range(8)]
    written: list[int] = []
    refused: list[str] = []
    together = threading.Barrier(8)

    def build(k: int) -> None:
        together.wait()
        for _ in range(5):
            try:
                write_pack(folder, packs[k], INFO)
                written.append(k)
            except PackError as error:
                refused.append(str(error))

    threads = [threading.Thread(target=build, args=(k,)) for k in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(written) + len(refused) == 40
    assert written
    assert all("being built by another run" in text for text in refused)
    assert is_whole(folder)
    assert contents(folder) == packs[int(contents(folder)["which.txt"])]
    assert beside(folder) == []


@pytest.mark.parametrize(
    "name", ["a/b", "../b", "", ".", "..", ".hidden", "a\\b", "c:b", "a\0b", "manifest.json", "MANIFEST.json"]
)
def test_only_plain_file_names_are_taken(name: str, tmp_path: Path) -> None:
    with pytest.raises(PackError):
        write_pack(tmp_path / "small", {name: b""}, INFO)
    assert list(tmp_path.iterdir()) == []


def test_names_that_differ_in_case_alone_are_refused(tmp_path: Path) -> None:
    with pytest.raises(PackError, match="one file where case does not count"):
        write_pack(tmp_path / "small", {"T1.stl": b"", "t1.STL": b""}, INFO)


@pytest.mark.parametrize("folder", ["/", "/tmp/.."])
def test_a_folder_without_a_name_is_refused(folder: str) -> None:
    with pytest.raises(PackError, match="by its own name"):
        write_pack(Path(folder), NEW, INFO)
    with pytest.raises(PackError, match="by its own name"):
        recover(Path(folder))
