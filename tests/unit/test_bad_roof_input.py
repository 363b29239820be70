"""Bad measurements at the command line: a plain reason, exit 2, and nothing written, whatever the command."""

import re
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from rackgen.app.cli import main

pytestmark = pytest.mark.racks

PRESETS = Path("presets").resolve()
VEHICLE = (PRESETS / "vehicles" / "boxy-wagon-mm.toml").read_text()
PICTURE = PRESETS / "racks" / "demo.png"
PLACED = ("--frame", "0,0,0 1,0,0 0,0,1", "--write", "mm")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    shutil.copy(PRESETS / "racks" / "demo.toml", "rack.toml")
    return tmp_path


def refused(here: Path, args: Sequence[str]) -> str:
    """Run a command that has to refuse, and return what it says."""
    before = sorted(p.relative_to(here) for p in here.rglob("*"))
    done: Result = CliRunner().invoke(main, args)
    assert done.exit_code == 2, done.output
    assert sorted(p.relative_to(here) for p in here.rglob("*")) == before
    assert "nothing was written" in done.output
    assert "Traceback" not in done.output
    return done.output


def swap(old: str, new: str) -> Callable[[str], str]:
    assert old in VEHICLE
    return lambda text: text.replace(old, new, 1)


HATCH = "hinge = [[1270, -300, -35], [1270, 300, -35]]"


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (swap("x = 740\n", "x = 200\n"), "roof.station[4].x: read 200; stations run from front to rear"),
        (swap("x = 740\n", "x = 480\n"), "each at least 10 mm behind the one before"),
        (swap("crown = 1.5", "crown = nan"), "roof.station[3].crown: read nan; write a finite number"),
        (swap("half_width = 620", "half_width = inf"), "read inf; write a finite number"),
        (swap("drops = [5.5, 22, 37.2]", "drops = [5.5, -inf, 37.2]"), "drops[2]: read -inf; write a finite number"),
        (swap("[1295, -522, -30]", "[nan, -522, -30]"), "hatch.outline[1][1]: read nan"),
        (swap("crown = 1.5", "crown = 1e300"), "check the unit"),
        (swap('across = "levelled"\n', 'across = "levelled"\nedge_along = 1000\n'), "shorter than the 1260 mm"),
        (swap('across = "levelled"\n', 'across = "levelled"\nedge_across = 900\n'), "shorter than the 1222 mm"),
        (swap(HATCH, "hinge = [[1270, 300, -35], [1270, 300, -35]]"), "hatch.hinge: read a list of 2; its two points"),
        (swap("[[-800, -735, -900], [-790, -705, -350]]", "[[-8, -7, -9], [-8, -7, -9]]"), "door[1].hinge"),
        (lambda t: re.sub(r"outline = .*", "outline = [[0, -5, 0], [0, 0, 0], [0, 5, 0]]", t), "lie on one line"),
        (swap("tip = [-70, 285, 330]", "tip = [-120, 285, -15]"), "apart from `foot`"),
    ],
)
def test_a_vehicle_s_file_with_a_bad_reading(edit: Callable[[str], str], says: str, here: Path) -> None:
    Path("bad.toml").write_text(edit(VEHICLE))
    said = refused(here, ["build", "rack.toml", "--vehicle", "bad.toml", "--shop", "slipway-mm", "--out", "out"])
    assert says in said
    assert "bad.toml:" in said


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (str(PICTURE), "this is no text; a preset is a TOML file"),
        ("rack.toml", "this is a rack's file; a vehicle's file is wanted here"),
        ("table.csv", "not TOML"),
        (".", "name a preset file inside it"),
        ("gone.toml", "there is no such file"),
    ],
)
def test_a_file_of_the_wrong_kind_for_a_vehicle(given: str, says: str, here: Path) -> None:
    Path("table.csv").write_text("mark,part\nT1,hoop\n")
    assert says in refused(here, ["build", "rack.toml", "--vehicle", given, "--shop", "slipway-mm", "--out", "out"])


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "an empty file"), (b"a,b\n1,2\n", "no filled measuring form"), (PICTURE.read_bytes(), "no text")],
)
def test_a_file_that_is_no_filled_form(content: bytes, says: str, here: Path) -> None:
    Path("form.csv").write_bytes(content)
    assert says in refused(here, ["vehicle", "form.csv", "--out", "vehicle.toml"])


def points(path: str, width: float = 600.0) -> None:
    x, y = np.meshgrid(np.linspace(0, 1400, 40), np.linspace(-width, width, 30))
    np.savetxt(path, np.column_stack([x.ravel(), y.ravel(), -35 * (y.ravel() / 600) ** 2]))


LINE = "name,scan_x,scan_y,scan_z,x,y,z\na,0,0,0,0,0,0\nb,500,0,0,500,0,0\nc,1000,0,0,1000,0,0\n"


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["p.xyz", *PLACED], "say the scan's unit"),
        (["p.xyz", "--unit", "m", *PLACED], "is the unit right?"),
        (["p.xyz", "--unit", "mm", "--landmarks", "line.csv", "--write", "mm"], "the landmarks lie on one line"),
        (["p.xyz", "--unit", "mm", "--landmarks", "picture.stl", "--write", "mm"], "no CSV text"),
        (["p.xyz", "--unit", "mm", "--frame", "0,0,0 0,0,0 0,0,1", "--write", "mm"], "has no length"),
        (["p.xyz", "--unit", "mm", "--frame", "0,0,0 nan,0,0 0,0,1", "--write", "mm"], "nine numbers"),
        (["p.xyz", "--unit", "mm", *PLACED, "--from", "nan"], "--from: read nan"),
        (["p.xyz", "--unit", "mm", *PLACED[:2], "--vehicle", "rack.toml"], "a vehicle's file is wanted here"),
        (["strip.xyz", "--unit", "mm", *PLACED], "that is no roof"),
        (["nan.xyz", "--unit", "mm", *PLACED], "finite"),
        (["picture.stl", "--unit", "mm", *PLACED], "neither points nor triangles"),
        (["rack.toml", "--unit", "mm", *PLACED], "a scan is a file of points or triangles"),
    ],
)
def test_a_scan_that_cannot_be_a_roof(args: list[str], says: str, here: Path) -> None:
    points("p.xyz")
    points("strip.xyz", 20.0)
    Path("nan.xyz").write_text("nan nan nan\n" * 200)
    Path("line.csv").write_text(LINE)
    shutil.copy(PICTURE, "picture.stl")
    said = refused(here, ["scan", *args, "--out", "roof.toml"])
    assert says in said
    assert "1 mistake;" in said


def test_a_folder_as_the_file_to_write_is_one_mistake(here: Path) -> None:
    points("p.xyz")
    Path("folder").mkdir()
    said = refused(here, ["scan", "p.xyz", "--unit", "mm", *PLACED, "--out", "folder"])
    assert "name a file, not a folder" in said
    assert "1 mistake;" in said
