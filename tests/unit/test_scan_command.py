"""`rackgen scan`: from a scan to stations that a vehicle file holds, or every mistake and nothing written."""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner
from scanned_roofs import TEN, samples

from rackgen.app.cli import main
from rackgen.app.scan import doubts_of_size
from rackgen.errors import BadInput
from rackgen.geom.frame import Frame, turn
from rackgen.geom.surface import Section
from rackgen.spec.read import read_vehicle
from rackgen.spec.scan import read_scan
from rackgen.units import Unit

BASE = Path(__file__).parents[2] / "presets" / "vehicles" / "boxy-wagon-mm.toml"
ROOF = TEN["crowned"]
SKEW = turn((1, 2, 3), 50).moved((300, -4000, 900))
PLACES = {"cowl": (0.0, 0.0), "left seam": (300.0, -500.0), "right seam": (350.0, 520.0), "hatch": (1480.0, 40.0)}


def _grid() -> tuple[np.ndarray, np.ndarray]:
    """Give a mesh of the roof, facets 30 mm wide."""
    x, y = np.meshgrid(np.linspace(-20, 1500, 52), np.linspace(-625, 625, 43), indexing="ij")
    points = np.stack([x, y, ROOF.height(x, y)], axis=-1).reshape(-1, 3)
    k = np.arange(52 * 43).reshape(52, 43)
    a, b, c, d = (v.ravel() for v in (k[:-1, :-1], k[1:, :-1], k[1:, 1:], k[:-1, 1:]))
    return points, np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])


def _landmarks(folder: Path, frame: Frame, per: float, off: dict[str, float] | None = None) -> Path:
    """Write where the scan has the landmarks when it stands at `frame`, in units of `per` mm, and their places."""
    rows = ["name,scan_x,scan_y,scan_z,x,y,z"]
    for name, (x, y) in PLACES.items():
        z = float(ROOF.height(np.array(x), np.array(y)))
        scan = np.array(frame.point((x, y, z))) / per
        rows.append(",".join([name, *(f"{v:.6f}" for v in scan), f"{x + (off or {}).get(name, 0)}", f"{y} mm", f"{z}"]))
    path = folder / "marks.csv"
    path.write_text("\n".join(rows) + "\n")
    return path


def _saved(folder: Path, kind: str, frame: Frame, per: float) -> Path:
    points, faces = _grid()
    path = folder / f"scan.{kind}"
    trimesh.Trimesh(frame.points(points) / per, faces, process=False).export(path)
    return path


def _run(*words: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, ["scan", *map(str, words)])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("kind", "unit", "per"), [("stl", "mm", 1.0), ("ply", "in", 25.4), ("obj", "cm", 10.0), ("glb", "m", 1000.0)]
)
def test_a_mesh_anywhere_in_space_becomes_the_roof_of_a_vehicle(
    kind: str, unit: str, per: float, tmp_path: Path
) -> None:
    file, marks = _saved(tmp_path, kind, SKEW, per), _landmarks(tmp_path, SKEW, per)
    out = tmp_path / "vehicle.toml"
    code, told, wrong = _run(file, "--unit", unit, "--landmarks", marks, "--vehicle", BASE, "--to", 1270, "--out", out)
    assert (code, wrong) == (0, ""), wrong
    assert "cowl: 0.0 mm" in told
    vehicle = read_vehicle(out)
    for x, y in ((100.0, 0.0), (700.0, -400.0), (1200.0, 350.0)):
        assert float(vehicle.roof.height(x, y)) == pytest.approx(float(ROOF.height(np.array(x), np.array(y))), abs=0.5)
    assert any("read from a scan" in note for note in vehicle.notes)
    # All else of the file stands as it was typed, comments too.
    kept = BASE.read_text()
    assert kept[: kept.index("[roof]")] in out.read_text()
    assert kept[kept.index("# Where a rack may stand") :] in out.read_text()
    before, after = tomllib.loads(kept), tomllib.loads(out.read_text())
    assert {**before, "roof": 0} == {**after, "roof": 0}


@pytest.mark.parametrize("kind", ["csv", "xyz", "ply"])
def test_points_by_an_explicit_frame_in_inches(kind: str, tmp_path: Path) -> None:
    points = samples(ROOF, 20.0, 3) / 25.4
    path = tmp_path / f"scan.{kind}"
    if kind == "ply":
        trimesh.PointCloud(points).export(path)
    else:
        mark = "," if kind == "csv" else " "
        head = "id,X,Y,Z,red\n" if kind == "csv" else "# made by hand\n"
        rows = [mark.join([*(["7"] * (kind == "csv")), *(f"{v:.5f}" for v in p), "255"]) for p in points]
        path.write_text(head + "\n".join(rows))
    out = tmp_path / "roof.toml"
    code, told, wrong = _run(path, "--unit", "in", "--frame", "0,0,0 1,0,0 0,0,1", "--write", "in", "--out", out)
    assert (code, wrong) == (0, ""), wrong
    assert "nothing says how well" in told
    stations = tomllib.loads(out.read_text())["roof"]["station"]
    middle = stations[len(stations) // 2]
    assert middle["crown"] * 25.4 == pytest.approx(
        float(ROOF.height(np.array(middle["x"] * 25.4), np.array(0.0))), abs=0.3
    )
    # A roof that was written by the command may be written over, anything else not.
    assert _run(path, "--unit", "in", "--frame", "0,0,0 1,0,0 0,0,1", "--write", "mm", "--out", out)[0] == 0
    out.write_text(BASE.read_text())
    assert _run(path, "--unit", "in", "--frame", "0,0,0 1,0,0 0,0,1", "--write", "mm", "--out", out)[0] == 2
    assert out.read_text() == BASE.read_text()


def test_stations_are_freed_of_how_the_vehicle_file_says_it_stood(tmp_path: Path) -> None:
    base = tmp_path / "leaning.toml"
    base.write_text(BASE.read_text().replace("[roof]\n", "[stood]\npitch = 1.5\nroll = -0.8\n\n[roof]\n", 1))
    file, out = _saved(tmp_path, "stl", Frame(), 1.0), tmp_path / "out.toml"
    words = ("--unit", "mm", "--frame", "0,0,0 1,0,0 0,0,1", "--vehicle", base, "--to", "127 cm", "--out", out)
    code, _, wrong = _run(file, *words)
    assert code == 0, wrong
    roof = read_vehicle(out).roof
    for x, y in ((200.0, 450.0), (1200.0, -450.0)):
        assert float(roof.height(x, y)) == pytest.approx(float(ROOF.height(np.array(x), np.array(y))), abs=0.5)


def test_every_mistake_is_told_at_once_and_nothing_written(tmp_path: Path) -> None:
    file = tmp_path / "scan.csv"
    file.write_text("x,y,z\n1,2,3\n4,five,6\n7,8\n")
    marks = tmp_path / "marks.csv"
    marks.write_text("name,scan_x,scan_y,scan_z,x,y,z\na,1,2,3,4,5,6\na,1,2,nan,4,5,6\nb,1,2,3,4,5 furlongs,6\n")
    out = tmp_path / "roof.toml"
    code, told, wrong = _run(file, "--landmarks", marks, "--from", "900", "--to", "100", "--out", out)
    assert (code, told) == (2, "")
    for text in (
        "scan.csv:3: read 4,five,6", "scan.csv:4: read 7,8", "marks.csv:3: scan_z: read nan", "marks.csv:3: name",
        "marks.csv:4: y: read 5 furlongs", "--unit: say the scan's unit", "--write: say the unit", "--to: read 100",
    ):  # fmt: skip
        assert text in wrong
    assert not out.exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["marks.csv", "scan.csv"]


def test_landmarks_that_cannot_be_are_refused(tmp_path: Path) -> None:
    file, out = _saved(tmp_path, "stl", SKEW, 1.0), tmp_path / "roof.toml"

    def refused(marks: Path, unit: str = "mm", file: Path = file) -> str:
        code, _, wrong = _run(file, "--unit", unit, "--landmarks", marks, "--write", "mm", "--out", out)
        assert code == 2
        assert not out.exists()
        return wrong

    good = _landmarks(tmp_path, SKEW, 1.0)
    assert "is the scan in mm?" in refused(good, "in")
    assert "without hatch the others lie within 0.0 mm" in refused(_landmarks(tmp_path, SKEW, 1.0, {"hatch": 90.0}))
    lines = _landmarks(tmp_path, SKEW, 1.0).read_text().splitlines()
    good.write_text("\n".join(lines[:3]))
    assert "three landmarks or more" in refused(good)
    on_line = [f"m{k},{k * 100},0,0,{k * 100},0,0" for k in range(4)]
    good.write_text("\n".join([lines[0], *on_line]))
    assert "on one line" in refused(good)
    # A fourth landmark off the plane of the others shows a mirror image.
    marks = [(0, 0, 0), (1000, 0, 0), (0, 800, 0), (300, 200, 700)]
    good.write_text("\n".join([lines[0], *(f"n{x}{y},{x},{-y},{z},{x},{y},{z}" for x, y, z in marks)]))
    assert "mirror image" in refused(good)


def test_frames_that_are_none_are_refused(tmp_path: Path) -> None:
    file, out = _saved(tmp_path, "stl", Frame(), 1.0), tmp_path / "roof.toml"
    for frame, why in (
        ("0,0,0 1,0,0", "nine numbers"),
        ("0,0,0 0,0,0 0,0,1", "no length"),
        ("0,0,0 1,0,0 1,0,1", "square"),
        ("0,0,0 1,0,inf 0,0,1", "nine numbers"),
        ("0,0,0 1,0,0 0,1,0", "surface that faces up"),
    ):
        code, _, wrong = _run(file, "--unit", "mm", "--frame", frame, "--write", "mm", "--out", out)
        assert code == 2
        assert why in wrong
    assert not out.exists()


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("a.stl", b"", "empty"),
        ("a.stl", b"hello world", "neither points"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 9\nproperty float x\nend_header\n1\n", "no sound PLY"),
        ("a.glb", b"glTF\x02\x00\x00\x00zzzz", "no sound GLB"),
        ("a.obj", b"v 1 2\nf 1 2 3\n", "no sound OBJ"),
        ("a.obj", b"v 1 2 3\nv nan nan nan\nv 3 3 3\nf 1 2 9\n", "no sound OBJ"),
        ("a.csv", b"a,b\n1,2\n", "columns x, y and z"),
        ("a.csv", b"\xff\xfe\x00\x01", "no text of points"),
        ("a.csv", b"x,y,z\nnan,nan,nan\n", "finite"),
        ("a.jpg", b"\xff\xd8", "points or triangles"),
    ],
)
def test_files_that_are_no_scans_are_refused(name: str, content: bytes, why: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(BadInput, match=why):
        read_scan(path, "mm")


def test_a_scan_that_is_not_there_or_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        read_scan(tmp_path / "none.stl", "mm")
    with pytest.raises(BadInput, match="ordinary file"):
        read_scan(tmp_path, "mm")


@pytest.mark.parametrize(("long", "wide", "unit", "said"), [
    (1500.0, 600.0, "mm", []),
    (900.0, 600.0, "mm", ["this roof is 900 mm long, and few are shorter than 1000 mm"]),
    (1500.0, 340.0, "mm", ["this roof is 680 mm wide, and few are narrower than 700 mm"]),
    (900.0, 340.0, "in", ["35.4 in long", "26.8 in wide"]),
])  # fmt: skip
def test_a_roof_too_small_for_one_is_doubted(long: float, wide: float, unit: Unit, said: list[str]) -> None:
    sections = [Section(x, (-wide, wide), (0.0, 0.0), wide, wide) for x in (100.0, 100.0 + long)]
    doubts = doubts_of_size(sections, unit)
    assert len(doubts) == len(said)
    assert all(word in doubt for word, doubt in zip(said, doubts, strict=True))


def test_a_small_roof_is_written_and_the_doubt_told(tmp_path: Path) -> None:
    scan, marks = _saved(tmp_path, "stl", SKEW, 1.0), _landmarks(tmp_path, SKEW, 1.0)
    out = tmp_path / "roof.toml"
    words = (scan, "--unit", "mm", "--landmarks", marks, "--write", "mm", "--out", out)
    code, text, _ = _run(*words, "--from", "200", "--to", "900")
    assert (code, out.exists()) == (0, True)
    assert re.search(r"DOUBTFUL: this roof is [67]\d\d mm long", text)
    assert "DOUBTFUL" not in _run(*words)[1]
