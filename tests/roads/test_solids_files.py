"""STEP, STL and GLB of a whole rack, read back by readers that did not write them."""

from __future__ import annotations

import hashlib
import io
import json
import re
import struct
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from rackgen.export.glb import glb_bytes, linear
from rackgen.export.step import step_bytes
from rackgen.export.stl import stl_bytes, stl_files
from rackgen.geom.frame import Array
from rackgen.parts.colours import colour
from rackgen.parts.kinds import BentTube, Bought, UBoltShape
from rackgen.parts.marks import Line, lines, marks
from rackgen.parts.rack import Placed
from rackgen.solid.build import proved_solids
from rackgen.solid.kernel_mesh import triangles
from rackgen.solid.kernel_probe import bulk, volume
from tests.small_rack import small_rack

pytestmark = pytest.mark.kernel

RACK = small_rack()
# The small rack has no U-bolt; one stands beside it.
BOLT = Bought("M8", UBoltShape(8.0, 40.0, 20.0, 17.0, 75.0, 23.0, 16.0, 1.6, 13.0, 6.5), 7850.0)
LINES = (*lines(RACK), Line("H9", BOLT, (Placed("clamp.u_bolt[1]", BOLT, RACK.placed[0].frame, "U-bolt", 0),)))
PLACED = {placed.id: (line, placed) for line in LINES for placed in line.placed}


@pytest.fixture(scope="module")
def solids() -> Any:
    return proved_solids(LINES)


@pytest.fixture(scope="module")
def step(solids: Any) -> bytes:
    return step_bytes("small", LINES, solids)


@pytest.fixture(scope="module")
def glb(solids: Any) -> bytes:
    return glb_bytes(LINES, solids)


def bounds(solids: Any, line: Line, placed: Placed) -> Array:
    """Give the box of a part in the vehicle, from its triangles."""
    points = placed.frame.points(triangles(solids[line.mark])[0])
    return np.array([points.min(axis=0), points.max(axis=0)])


def gmsh_entities(file: Path) -> list[dict[str, Any]]:
    """Give name, colour, box, volume and centre of every solid as gmsh reads them, in a process without our kernel."""
    code = (
        "import gmsh, json, sys\n"
        "gmsh.initialize()\n"
        "gmsh.option.setNumber('General.Terminal', 0)\n"
        "gmsh.option.setNumber('Geometry.OCCImportLabels', 1)\n"
        "found = gmsh.model.occ.importShapes(sys.argv[1])\n"
        "gmsh.model.occ.synchronize()\n"
        "print(json.dumps([{'dim': d, 'name': gmsh.model.getEntityName(d, t), 'colour': gmsh.model.getColor(d, t),\n"
        "    'box': gmsh.model.occ.getBoundingBox(d, t), 'volume': gmsh.model.occ.getMass(d, t),\n"
        "    'centre': gmsh.model.occ.getCenterOfMass(d, t)} for d, t in found]))\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(file)], capture_output=True, text=True, check=True)
    return json.loads(done.stdout.splitlines()[-1])


def test_step_read_by_gmsh_has_every_part_in_its_place(step: bytes, solids: Any, tmp_path: Path) -> None:
    (tmp_path / "small.step").write_bytes(step)
    found = gmsh_entities(tmp_path / "small.step")
    assert len(found) == len(PLACED)
    assert {f["dim"] for f in found} == {3}
    seen: Counter[str] = Counter()
    for entity in found:
        root, whole, part_id, mark, *_ = entity["name"].split("/")
        line, placed = PLACED[part_id]
        assert (root, whole, mark) == ("Shapes", "small", line.mark)
        assert entity["colour"][:3] == pytest.approx([255 * c for c in colour(line.part)], abs=1.0)
        seen[part_id] += 1
        # The triangles stay within 0.1 mm of the surface; gmsh's boxes are wide round bends.
        low, high = np.reshape(entity["box"], (2, 3))
        least, most = bounds(solids, line, placed)
        assert np.all(low < least + 0.01)
        assert np.all(high > most - 0.01)
        if not isinstance(line.part, BentTube) and line.part is not BOLT:
            np.testing.assert_allclose((low, high), (least, most), atol=0.12)
        amount, centre = bulk(solids[line.mark])
        np.testing.assert_allclose(entity["centre"], placed.frame.point(centre), atol=0.01)
        assert entity["volume"] == pytest.approx(amount, rel=1e-3)
    assert seen == Counter(list(PLACED))


def test_step_has_one_product_a_mark_and_one_occurrence_a_part(step: bytes) -> None:
    text = step.decode("ascii")
    assert Counter(re.findall(r"PRODUCT\('([^']*)'", text)) == Counter(["small", *(line.mark for line in LINES)])
    occurrences = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)','([^']*)'", text)
    assert [int(number) for number, _ in occurrences] == list(range(1, len(PLACED) + 1))
    assert Counter(name for _, name in occurrences) == Counter(list(PLACED))
    assert marks(RACK).items() <= {i: line.mark for i, (line, _) in PLACED.items()}.items()


def test_step_says_its_units_and_protocol_and_no_date(step: bytes) -> None:
    header, _, data = step.decode("ascii").partition("DATA;")
    assert "AUTOMOTIVE_DESIGN" in header
    assert "FILE_NAME('small','',(''),('')" in header
    assert set(re.findall(r"LENGTH_UNIT\(\) NAMED_UNIT\(\*\) (SI_UNIT\([^)]*\))", data)) == {"SI_UNIT(.MILLI.,.METRE.)"}


def test_every_number_in_step_is_defined_once(step: bytes) -> None:
    data = step.decode("ascii").partition("DATA;")[2]
    defined = re.findall(r"^#(\d+) =", data, re.MULTILINE)
    assert len(defined) == len(set(defined))
    assert set(re.findall(r"#(\d+)", data)) == set(defined)


def test_the_same_rack_gives_the_same_bytes(step: bytes, glb: bytes, solids: Any) -> None:
    # Again in this process, where the kernel has counted on, and in another, where memory lies elsewhere.
    assert step_bytes("small", LINES, solids) == step
    assert glb_bytes(LINES, solids) == glb
    code = (
        "import hashlib\n"
        "from tests.roads.test_solids_files import LINES\n"
        "from rackgen.solid.build import proved_solids\n"
        "from rackgen.export.step import step_bytes\n"
        "from rackgen.export.stl import stl_files\n"
        "from rackgen.export.glb import glb_bytes\n"
        "solids = proved_solids(LINES)\n"
        "stl = b''.join(stl_files('small', LINES, solids).values())\n"
        "for made in (stl, glb_bytes(LINES, solids), step_bytes('small', LINES, solids)):\n"
        "    print(hashlib.sha256(made).hexdigest())\n"
    )
    top = Path(__file__).resolve().parents[2]
    done = subprocess.run([sys.executable, "-c", code], cwd=top, capture_output=True, text=True, check=True)
    stl = b"".join(stl_files("small", LINES, solids).values())
    assert done.stdout.split() == [hashlib.sha256(made).hexdigest() for made in (stl, glb, step)]


def loaded(data: bytes, kind: str) -> Any:
    return trimesh.load(io.BytesIO(data), file_type=kind)


def test_stl_of_every_mark_is_closed_and_of_the_right_volume(solids: Any) -> None:
    files = stl_files("small", LINES, solids)
    assert files.keys() == {f"{line.mark}.stl" for line in LINES} | {"small.stl"}
    for line in LINES:
        mesh = loaded(files[f"{line.mark}.stl"], "stl")
        assert mesh.is_watertight, line.mark
        assert mesh.volume == pytest.approx(volume(solids[line.mark]), rel=0.03)


def test_stl_of_the_whole_rack_is_all_bodies_side_by_side(solids: Any) -> None:
    data = stl_files("small", LINES, solids)["small.stl"]
    assert not data.startswith(b"solid")
    assert struct.unpack("<I", data[80:84])[0] == sum(
        len(line.placed) * len(triangles(solids[line.mark])[1]) for line in LINES
    )
    mesh = loaded(data, "stl")
    assert mesh.volume == pytest.approx(sum(len(line.placed) * volume(solids[line.mark]) for line in LINES), rel=0.02)
    boxes = np.array([bounds(solids, line, placed) for line, placed in PLACED.values()])
    np.testing.assert_allclose(mesh.bounds, (boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)), atol=1e-3)


def test_stl_normals_are_those_of_its_corners() -> None:
    points = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 3.0, 0.0]])
    data = stl_bytes("one", [(points, np.array([[0, 1, 2]]))])
    assert len(data) == 84 + 50
    assert struct.unpack("<12f", data[84:132]) == (0, 0, 1, 0, 0, 0, 2, 0, 0, 0, 3, 0)


def parsed(glb: bytes) -> dict[str, Any]:
    """Give the JSON of a GLB, read by its specification: 12 bytes of header, then length, kind and text."""
    magic, version, length, size, kind = struct.unpack("<4sIII4s", glb[:20])
    assert (magic, version, length, kind) == (b"glTF", 2, len(glb), b"JSON")
    return json.loads(glb[20 : 20 + size])


def test_glb_has_a_node_a_part_and_a_mesh_a_mark(glb: bytes) -> None:
    document = parsed(glb)
    nodes = {node["name"]: node for node in document["nodes"] if "mesh" in node}
    assert nodes.keys() == PLACED.keys()
    assert [mesh["name"] for mesh in document["meshes"]] == [line.mark for line in LINES]
    for part_id, node in nodes.items():
        assert document["meshes"][node["mesh"]]["name"] == PLACED[part_id][0].mark
    assert len(document["buffers"]) == 1


def test_glb_is_in_metres_with_y_up_and_the_front_toward_plus_z(glb: bytes, solids: Any) -> None:
    scene = loaded(glb, "glb")
    for part_id, (line, placed) in PLACED.items():
        matrix, mark = scene.graph[part_id]
        assert mark == line.mark
        mesh = scene.geometry[mark].copy().apply_transform(matrix)
        (x0, y0, z0), (x1, y1, z1) = bounds(solids, line, placed) / 1000
        # Vehicle X aft, Y right, Z up: glTF's X is to the left, its Y up, its Z forward.
        np.testing.assert_allclose(mesh.bounds, ((-y1, z0, -x1), (-y0, z1, -x0)), atol=1e-6)
        assert np.linalg.det(matrix[:3, :3]) == pytest.approx(1.0)


def test_glb_meshes_are_closed(glb: bytes, solids: Any) -> None:
    for mark, mesh in loaded(glb, "glb").geometry.items():
        assert mesh.is_watertight, mark
        assert mesh.volume * 1e9 == pytest.approx(volume(solids[mark]), rel=0.03)


def test_glb_colours_are_linear(glb: bytes) -> None:
    document = parsed(glb)
    for line, mesh in zip(LINES, document["meshes"], strict=True):
        material = document["materials"][mesh["primitives"][0]["material"]]
        shown = material["pbrMetallicRoughness"]["baseColorFactor"]
        assert shown == pytest.approx([*(linear(c) for c in colour(line.part)), 1.0], abs=1 / 255)
    # IEC 61966-2-1, from memory: half the screen's range is about a fifth of the light.
    assert linear(0.5) == pytest.approx(0.2140, abs=1e-4)
    assert (linear(0.0), linear(1.0)) == pytest.approx((0.0, 1.0))
