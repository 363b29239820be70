"""A whole vehicle body from a package registry, not made for this: from its mesh to a rack that fits it.

The body comes with the npm package `cesiumjs` 1.10.0 (Apache-2.0) and is not kept here. To run this:
`npm install --no-save cesiumjs@1.10.0` in the checkout, or unpack it elsewhere and name its folder in RACKGEN_BODY.
"""

import base64
import json
import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner

from rackgen import job
from rackgen.app.cli import main
from rackgen.parts.kinds import CutPlate
from rackgen.spec.read import read_job

TOP = Path(__file__).parents[2]
FOLDER = Path(os.environ.get("RACKGEN_BODY", TOP / "node_modules" / "cesiumjs"))
BODY = FOLDER / "Apps" / "SampleData" / "models" / "CesiumGround" / "Cesium_Ground.gltf"

pytestmark = [
    pytest.mark.racks,
    pytest.mark.skipif(
        not BODY.exists(), reason="the body mesh is not installed: npm install --no-save cesiumjs@1.10.0"
    ),
]


def _body() -> trimesh.Trimesh:
    """Give the body as triangles, in metres, Y up, front toward +X; the file is older than what trimesh reads."""
    data = json.loads(BODY.read_text())
    held = {k: base64.b64decode(b["uri"].split(",")[1]) for k, b in data["buffers"].items()}

    def numbers(name: str) -> np.ndarray:
        a = data["accessors"][name]
        view = data["bufferViews"][a["bufferView"]]
        kind = {5123: np.uint16, 5126: np.float32}[a["componentType"]]
        width = {"SCALAR": 1, "VEC3": 3}[a["type"]]
        start = view["byteOffset"] + a["byteOffset"]
        return np.frombuffer(held[view["buffer"]], kind, a["count"] * width, start).reshape(-1, width)

    parts = [
        trimesh.Trimesh(numbers(p["attributes"]["POSITION"]), numbers(p["indices"]).reshape(-1, 3), process=False)
        for mesh in data["meshes"].values()
        if "Vehicle" in mesh["name"]
        for p in mesh["primitives"]
    ]
    return trimesh.util.concatenate(parts)


def _highest(body: trimesh.Trimesh, x: float, y: float) -> float:
    """Give the height of the uppermost triangle over a place: every triangle is looked at, by its own corners."""
    a, b, c = np.moveaxis(body.vertices[body.faces], 1, 0)
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    area[abs(area) < 1e-9] = np.inf
    u = ((x - a[:, 0]) * (c[:, 1] - a[:, 1]) - (y - a[:, 1]) * (c[:, 0] - a[:, 0])) / area
    v = ((b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (b[:, 1] - a[:, 1]) * (x - a[:, 0])) / area
    over = (u >= 0) & (v >= 0) & (u + v <= 1) & np.isfinite(area)
    return float((a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2]))[over].max())


def test_a_body_nobody_made_for_this_gets_a_rack_that_fits(tmp_path: Path) -> None:
    """Its roof is a ridge of two flats over seats, floor and chassis, between two hatches."""
    body = _body()
    body.export(tmp_path / "body.obj")
    # Landmarks as somebody would find them: four corners of triangles of the roof.
    placed = body.copy()
    placed.vertices = np.stack([-body.vertices[:, 0], body.vertices[:, 2], body.vertices[:, 1] - 2.511], axis=1) * 1000
    rows = ["name,scan_x,scan_y,scan_z,x,y,z"]
    for k in (0, 500, 2000, 3500):
        rows.append(",".join([f"corner {k}", *(f"{v:.6f}" for v in (*body.vertices[k], *placed.vertices[k]))]))
    (tmp_path / "marks.csv").write_text("\n".join(rows))
    out = tmp_path / "vehicle.toml"
    base = TOP / "presets" / "vehicles" / "boxy-wagon-mm.toml"
    words = ["scan", tmp_path / "body.obj", "--unit", "m", "--landmarks", tmp_path / "marks.csv"]
    words += ["--from", "30", "--to", "1180", "--vehicle", base, "--out", out]
    done = CliRunner().invoke(main, [str(w) for w in words])
    assert done.exit_code == 0, done.stderr

    made = job.checked(job.design(read_job("demo", vehicle=out)))
    assert made.cleared
    roof = made.job.vehicle.roof
    for x in np.linspace(190, 1110, 9):
        for y in np.linspace(-700, 700, 12):
            assert float(roof.height(x, y)) == pytest.approx(_highest(placed, x, y), abs=1.5)
    for side in ("left", "right"):
        plate = made.rack.part(f"mount.front_{side}.plate")
        assert isinstance(plate.part, CutPlate)
        stands = []
        for hole in plate.part.holes:
            x, y, z = plate.frame.point((hole.x, hole.y, 0.0))
            stands.append(z - _highest(placed, x, y))
        assert len(stands) >= 3
        # The plate lies on the shop's bedding, on the true triangles.
        assert np.allclose(stands, made.job.shop.bedding, atol=0.5)
