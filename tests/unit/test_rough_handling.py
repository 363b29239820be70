"""What clumsy and hostile users do: broken pipes, full disks, terminal codes, files made to stall the program."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest
from preset_texts import RACK, SHOP, VEHICLE, line_of, mistakes_of, only, saved, swapped

from rackgen import job
from rackgen.errors import BadInput, Mistake, PackError
from rackgen.export.manifest import PackInfo
from rackgen.export.pack import check_folder, write_pack
from rackgen.spec.places import places
from rackgen.spec.read import read_job, read_rack

pytestmark = pytest.mark.racks

RUN = "import sys; sys.argv[0] = 'rackgen'; from rackgen.app.cli import main; main()"
full_disk = pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")


def ran(words: Sequence[str], stdout: int | None = subprocess.PIPE, cwd: Path | None = None) -> tuple[int, str, str]:
    """Run a command in a fresh interpreter and give its exit code and what it said."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, *words], stdout=stdout, stderr=subprocess.PIPE, text=True, cwd=cwd, check=False
    )
    return done.returncode, done.stdout or "", done.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_a_reader_that_has_had_enough_is_no_stop() -> None:
    """1 means that a stop was found, so a closed pipe must not give it."""
    reader, writer = os.pipe()
    os.close(reader)
    try:
        assert ran(["check", "demo"], writer)[::2] == (0, "")
        assert ran(["presets"], writer)[::2] == (0, "")
    finally:
        os.close(writer)


@full_disk
def test_a_full_disk_behind_standard_output_is_told() -> None:
    with Path("/dev/full").open("w") as full:
        code, _, said = ran(["check", "demo"], full.fileno())
    assert (code, said) == (2, "standard output cannot be written: No space left on device\n")


@full_disk
def test_bad_input_ends_with_2_even_when_nobody_can_be_told() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([sys.executable, "-c", RUN, "check", "no-such-rack"], stderr=full, check=False)
    assert done.returncode == 2


@pytest.mark.parametrize("how", ["raise KeyboardInterrupt", "raise ImportError from KeyboardInterrupt()"])
def test_a_run_that_was_interrupted_is_no_stop(how: str) -> None:
    """Ctrl-C ends as shells expect it, also while the kernel is loaded, which makes an ImportError of it."""
    code = f"import rackgen.job as job\ndef design(*a): {how}\njob.design = design\n{RUN}"
    done = subprocess.run([sys.executable, "-c", code, "check", "demo"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "interrupted\n")


@pytest.mark.skipif(os.name != "posix", reason="a folder that is in use cannot be removed elsewhere")
def test_a_working_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    (tmp_path / "gone").mkdir()
    code = f"import os\nos.rmdir(os.getcwd())\n{RUN}"
    done = subprocess.run(
        [sys.executable, "-c", code, "build", "demo"], cwd=tmp_path / "gone", capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(Path(job.__file__).parents[1])}, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "cannot be written" in done.stderr


@pytest.mark.parametrize("place", ["x" * 300, f"{'x' * 300}/deep"])
def test_a_name_too_long_for_the_disk_is_refused(tmp_path: Path, place: str) -> None:
    with pytest.raises(PackError, match="cannot be written"):
        check_folder(tmp_path / place / "rack")
    with pytest.raises(PackError, match="cannot be written"):
        check_folder(tmp_path / ("x" * 300))


def test_a_file_where_the_folder_should_be_is_named_before_anything_is_made(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    for call in (check_folder, lambda folder: write_pack(folder, {}, PackInfo("r", "0", "p"))):
        with pytest.raises(PackError, match=r"out is a file; name a folder for the pack"):
            call(tmp_path / "out" / "rack")
        with pytest.raises(PackError, match=r"out is a file; name a folder for the pack"):
            call(tmp_path / "out" / "deeper" / "rack")


def test_what_a_file_holds_cannot_steer_the_terminal(tmp_path: Path) -> None:
    """A name or a line with escape codes, line ends or bare NULs is shown, not obeyed."""
    assert str(Mistake("a\x1b[31m\n.toml", "k", 3, "x\r\0y", "w\x07")) == r"a\x1b[31m\n.toml:3: k: read x\r\x00y; w\x07"
    path = saved(tmp_path, RACK + 'title = "\x1b[31mred"\n')
    assert "\x1b" not in str(only(mistakes_of(read_rack, path)))


def test_a_text_that_never_ends_is_looked_at_once() -> None:
    """A file under the size limit that made the search for line numbers run for minutes."""
    text = 'x = """\n' + '\\"""\n' * 20_000
    before = time.process_time()
    places(text)
    assert time.process_time() - before < 5


def test_mistakes_beyond_the_limit_are_counted_last(tmp_path: Path) -> None:
    path = saved(tmp_path, RACK + "\n" + "".join(f"[t{i}]\n" for i in range(300)))
    said = [m.wanted for m in mistakes_of(read_rack, path)]
    assert "and 100 mistakes more" in said[-1]


def test_what_the_design_refuses_stands_at_its_file_and_line(tmp_path: Path) -> None:
    """Sizes that no bend allows, and stock that a shelf lacks, are told like any other mistake."""
    racks = saved(tmp_path, swapped(RACK, "height = 200", "height = 45"), "racks/rack.toml")
    shop = saved(tmp_path, SHOP, "shops/shed.toml")
    saved(tmp_path, VEHICLE, "vehicles/wagon.toml")
    with pytest.raises(BadInput) as refused:
        job.design(read_job(racks))
    found = next(m for m in refused.value.mistakes if m.key == "basket.height")
    assert (found.file, found.line) == (str(racks), line_of(racks.read_text(), "height = 45"))
    closed = shop.read_text().replace("closed_end = true", "closed_end = false")
    shop.write_text(closed)
    with pytest.raises(BadInput) as refused:
        job.design(read_job(racks))
    found = next(m for m in refused.value.mistakes if "rivet" in m.key)
    assert (found.file, found.line) == (str(shop), line_of(closed, "[[rivet]]"))


@pytest.mark.parametrize("key", ["bearers", "side_uprights", "end_uprights", "pads"])
def test_places_nearer_than_any_tube_is_wide_are_refused(tmp_path: Path, key: str) -> None:
    """A thousand tubes in each other took the check hours to say."""
    places = [float(i) - 20 for i in range(40)]
    plain = "\n".join(line for line in RACK.splitlines() if not line.startswith(f"{key} ="))
    path = saved(tmp_path, plain.replace("[basket]", f"[basket]\n{key} = {places}"))
    mistake = only(mistakes_of(read_rack, path))
    assert mistake.key == f"basket.{key}"
    assert "apart" in mistake.wanted


def test_a_wrong_stock_name_is_answered_with_all_there_are(tmp_path: Path) -> None:
    """The nearest name alone may be far off."""
    saved(tmp_path, SHOP, "shops/shed.toml")
    saved(tmp_path, VEHICLE, "vehicles/wagon.toml")
    racks = saved(tmp_path, RACK.replace("33.7 x 2.6 tube", "33.7 x 2.6 tub"), "racks/rack.toml")
    said = mistakes_of(read_job, racks)[0].wanted
    assert 'did you mean "33.7 x 2.6 tube"? it has "' in said
