"""Shipped racks become whole packs by the command a user types, and the packs read back.

Two of the shipped racks in every run, a ladder of bars in inches and a deep basket in millimetres, and a hoop that is
stopped; all of them by naming them in `RACKS`, as was done for DEVELOPERS.md.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import trimesh
from browser_seen import Opener
from click.testing import CliRunner, Result
from pypdf import PdfReader

from rackgen.app.cli import main
from rackgen.spec.read import read_job
from rackgen.strength.model_json import read
from tests.roads.test_solids_files import gmsh_entities

pytestmark = pytest.mark.kernel

RACKS = ("kayak-school", "field-vet")
"""Each is a quarter of a minute's work; every other shipped rack is held by test_ready_racks.py without its solids.

Between them: bars and a basket of three rings, mitred and bent ends, threads and tracks, expanded metal, letters, and
every fitting but shovel brackets.
"""


def run(*words: str | Path) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(main, [str(w) for w in words])


@pytest.fixture(scope="module")
def packs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build each once."""
    out = tmp_path_factory.mktemp("out")
    for name in RACKS:
        done = run("build", name, "--out", out)
        assert done.exit_code == 0, done.output
    return out


@pytest.mark.parametrize("name", RACKS)
def test_a_pack_holds_what_the_readme_says(packs: Path, name: str) -> None:
    """Solids, blanks, wraps, sheets, pictures: the manifest names each with its hash, and nothing else is there."""
    folder = packs / name
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    listed = {f["name"]: f["sha256"] for f in (*manifest["files"], *manifest["pictures"])}
    assert set(listed) | {"manifest.json"} == {p.name for p in folder.iterdir()}
    for file, digest in listed.items():
        assert hashlib.sha256((folder / file).read_bytes()).hexdigest() == digest, file
    assert manifest["state"] == "cleared"
    cut = json.loads((folder / "cut-list.json").read_text("utf-8"))["data"]["lines"]
    marks = {line["mark"] for line in cut}
    views = {f"{name}-{view}.png" for view in ("front-quarter", "rear-quarter", "side", "top", "pulled-apart")}
    assert {f["name"] for f in manifest["pictures"]} == views | {f"{mark}.png" for mark in marks}
    assert {"packet.html", "for-customer.html"} <= set(listed)
    assert (folder / "packet.html").stat().st_size < 5_000_000
    assert {f"{m}.stl" for m in marks} <= set(listed)
    blanks = {line["mark"] for line in cut if line["kind"] in ("bar", "plate")}
    assert {f"{m}-cut.dxf" for m in blanks} | {f"{m}-marked.dxf" for m in blanks} <= set(listed)
    coped = [line for line in cut if line["kind"] == "tube" and "cope" in line["ends"]]
    assert coped
    for line in coped:
        for letter, end in zip("AB", line["ends"].split(" / "), strict=True):
            assert (f"{line['mark']}-{letter}-wrap-cut.dxf" in listed) == ("cope" in end)
    assert {f"{name}.step", f"{name}.stl", f"{name}.glb", "weights.txt", "gaps.csv", "cautions.txt"} <= set(listed)
    assert {f"{name}-frame.json", "strength.txt", "strength.csv", "strength.json"} <= set(listed)


@pytest.mark.parametrize("name", RACKS)
def test_the_rating_in_the_pack_is_one_figure_everywhere(packs: Path, name: str) -> None:
    """Rows, record, pages and the load test say the same; the frame's model reads back."""
    folder = packs / name
    data = json.loads((folder / "strength.json").read_text("utf-8"))["data"]
    for state in ("moving", "parked"):
        assert 0.999 <= data[state]["used"][0]["use"] <= 1.001
        assert 0 < data[state]["vehicle"] <= data[state]["rack"] <= data[state]["structure"]
    assert len(data["moving"]["used"]) == 10
    text = "".join(page.extract_text() for page in PdfReader(folder / f"{name}-pack.pdf").pages)
    kg = int(data["moving"]["vehicle"] * (1 + 2e-6))
    pounds = int(data["moving"]["vehicle"] / 0.45359237 * (1 + 2e-6))
    shown = f"{kg} kg" if read_job(name).shop.unit == "mm" else f"{pounds} lb"
    assert f"LOAD, MOVING: {shown}" in text
    assert "By calculation it is rated for" in text
    assert "not rated by calculation" not in text
    model = read((folder / f"{name}-frame.json").read_text("utf-8"))
    assert len(model.cases) == len(data["cases"])
    assert (folder / "strength.csv").read_text("utf-8").count("\n") == 21


@pytest.mark.parametrize("name", RACKS)
def test_the_whole_weighs_what_its_parts_weigh(packs: Path, name: str) -> None:
    """The whole STL encloses the volumes of the parts' STL files times their quantities."""
    folder = packs / name
    cut = json.loads((folder / "cut-list.json").read_text("utf-8"))["data"]["lines"]
    parts = 0.0
    for line in cut:
        mesh = trimesh.load_mesh(folder / f"{line['mark']}.stl")
        # Bodies of one bought part may touch (nut on washer), so an edge may have two pairs of facets.
        _, shared = np.unique(np.sort(mesh.edges, axis=1), axis=0, return_counts=True)
        assert not (shared % 2).any(), line["mark"]
        assert line["kind"] == "bought" or mesh.is_watertight, line["mark"]
        parts += mesh.volume * line["quantity"]
    whole = trimesh.load_mesh(folder / f"{name}.stl")
    assert whole.volume == pytest.approx(parts, rel=1e-4)


@pytest.mark.parametrize("name", RACKS)
def test_the_scene_has_a_node_per_part_in_metres_y_up(packs: Path, name: str) -> None:
    """GLB by trimesh: names are part ids; it stands where the whole STL does, turned: Y up, Z ahead, X to the left."""
    scene = trimesh.load_scene(packs / name / f"{name}.glb")
    gaps = json.loads((packs / name / "gaps.json").read_text("utf-8"))["data"]["gaps"]
    assert {g["part"] for g in gaps} <= set(scene.graph.nodes_geometry)
    low, high = trimesh.load_mesh(packs / name / f"{name}.stl").bounds / 1000.0
    assert scene.bounds == pytest.approx(
        np.array([(-high[1], low[2], -high[0]), (-low[1], high[2], -low[0])]), abs=1e-6
    )


@pytest.mark.parametrize("name", RACKS)
def test_the_whole_step_reads_back_by_another_reader(packs: Path, name: str) -> None:
    """By gmsh: as many solids as the cut list has pieces, of the volumes of their STL files."""
    folder = packs / name
    cut = json.loads((folder / "cut-list.json").read_text("utf-8"))["data"]["lines"]
    found = gmsh_entities(folder / f"{name}.step")
    assert {f["dim"] for f in found} == {3}
    marks = {part: line["mark"] for line in cut for part in line["ids"]}
    assert len(marks) == sum(line["quantity"] for line in cut)
    volumes = {mark: trimesh.load_mesh(folder / f"{mark}.stl").volume for mark in set(marks.values())}
    amounts = Counter[str]()
    for entity in found:
        _, whole, part, mark, *_ = entity["name"].split("/")
        assert (whole, marks[part]) == (name, mark)
        amounts[part] += entity["volume"]
    assert set(amounts) == set(marks)
    for part, mark in marks.items():
        assert amounts[part] == pytest.approx(volumes[mark], rel=0.01), part


def test_building_again_gives_the_same_bytes(packs: Path, tmp_path: Path) -> None:
    """Same inputs, same program: every file but the pictures is the same."""
    name = RACKS[0]
    assert run("build", name, "--out", tmp_path).exit_code == 0
    for file in sorted((packs / name).iterdir()):
        if file.suffix != ".png":
            assert (tmp_path / name / file.name).read_bytes() == file.read_bytes(), file.name


def test_a_stopped_rack_is_written_and_says_so_everywhere(tmp_path: Path) -> None:
    """A basket too wide for the wagon's straps: exit 1, and every sheet and DXF says NOT CLEARED with the code."""
    rack = tmp_path / "wide.toml"
    rack.write_text(
        'format = 1\nshop = "slipway-mm"\nvehicle = "boxy-wagon-mm"\nunits = "mm"\n\n'
        "[basket]\nwidth = 1100\nlength = 800\nheight = 150\n"
    )
    done = run("build", rack, "--out", tmp_path / "out")
    assert done.exit_code == 1, done.output
    folder = tmp_path / "out" / "wide"
    words = "NOT CLEARED: strap-off-zone"
    assert words in done.output
    assert json.loads((folder / "manifest.json").read_text("utf-8"))["state"] == words
    for file in (*folder.glob("*.txt"), *folder.glob("*.csv"), *folder.glob("*-cut.dxf"), *folder.glob("*-marked.dxf")):
        assert words in file.read_text("utf-8"), file.name


def test_bad_input_writes_nothing(packs: Path, tmp_path: Path) -> None:
    """Exit 2, all mistakes at once, no folder; a pack that was there stays as it was."""
    rack = tmp_path / "bad.toml"
    rack.write_text(
        'format = 1\nshop = "slipway-mm"\nvehicle = "boxy-wagon-mm"\n\n[basket]\nwidht = 1100\nlength = "x"\n'
    )
    done = run("build", rack, "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert "widht" in done.output
    assert "width" in done.output
    assert "basket.length" in done.output
    assert not (tmp_path / "out").exists()


def test_a_foreign_file_stops_the_build(packs: Path) -> None:
    """A file that the manifest does not name is named, and nothing is replaced."""
    name = RACKS[0]
    note = packs / name / "customer.txt"
    note.write_text("call back")
    before = (packs / name / "manifest.json").read_bytes()
    done = run("build", name, "--out", packs)
    assert done.exit_code == 2
    assert "customer.txt" in done.output
    assert note.read_text() == "call back"
    assert (packs / name / "manifest.json").read_bytes() == before
    note.unlink()


@pytest.mark.browser
@pytest.mark.parametrize("name", RACKS)
def test_its_packet_opens_at_two_widths_and_every_link_leads_to_a_file(
    opened: Opener,
    packs: Path,
    name: str,
) -> None:
    """As the command wrote it: light enough to draw, nothing asked of the network, every file inside or beside it."""
    folder = packs / name
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    file = folder / "packet.html"
    seen = opened(file)
    page = seen.page
    for width in ("desk", "phone"):
        seen.on(width)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    calls, triangles = page.evaluate("(() => { const i = rackView.info(); return [i.calls, i.triangles]; })()")
    assert 10 < calls <= 80
    assert 10_000 < triangles <= 150_000
    assert manifest["revision"] in page.locator("#head").inner_text()
    page.evaluate("document.querySelector('#files details').open = true")
    inside = page.evaluate("[...document.querySelectorAll('#files button')].map((b) => b.dataset.save)")
    beside = page.evaluate(
        "[...document.querySelectorAll('#files a')].map((a) => decodeURIComponent(a.getAttribute('href')))"
    )
    assert {f"{name}-pack.pdf", "templates.pdf", "quotation.pdf", f"{name}.step"} <= set(inside)
    assert all((folder / one).is_file() for one in (*inside, *beside))
    listed = {f["name"] for f in (*manifest["files"], *manifest["pictures"])} - {"packet.html"}
    assert listed == {*inside, *(one.removeprefix("./") for one in beside)}
    linked = page.evaluate("[...document.querySelectorAll('#papers figcaption a')].map((a) => a.dataset.file)")
    assert linked
    assert set(linked) <= listed
    assert seen.wrong == []
    assert seen.asked == [file.as_uri()]
