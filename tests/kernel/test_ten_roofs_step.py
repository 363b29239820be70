"""Plates of racks on invented roofs, as another program reads them from the STEP file, against the true skin."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.export.step import step_bytes
from rackgen.parts.kinds import CutPlate
from rackgen.parts.marks import lines
from rackgen.solid.build import proved_solids
from tests.presets.test_ten_roofs import FITS, above, doubted
from tests.ten_roofs import TEN, read

pytestmark = [pytest.mark.kernel, pytest.mark.racks]

CIRCLES = """
import gmsh, json, math, sys
gmsh.initialize()
gmsh.option.setNumber('General.Terminal', 0)
gmsh.option.setNumber('Geometry.OCCImportLabels', 1)
solids = [e for e in gmsh.model.occ.importShapes(sys.argv[1]) if e[0] == 3]
gmsh.model.occ.synchronize()
out = {}
for solid in solids:
    name = gmsh.model.getEntityName(*solid).split('/')[2]
    if not (name.startswith('mount.') and name.endswith('.plate')):
        continue
    faces = gmsh.model.getBoundary([solid], oriented=False)
    edges = {abs(t) for d, t in gmsh.model.getBoundary(faces, combined=False, oriented=False)}
    round_ones = [t for t in edges if gmsh.model.getType(1, t) == 'Circle']
    out[name] = [(gmsh.model.occ.getMass(1, t), gmsh.model.occ.getCenterOfMass(1, t)) for t in round_ones]
print(json.dumps(out))
"""
"""Gives length and middle of every circular edge of every mount plate, in a process without our kernel."""

WHOLE = "gutter"
"""The roof whose whole rack is written; of the others only the mount plates, each where it stands in its rack."""


@pytest.mark.parametrize("name", sorted(TEN))
def test_plates_in_the_step_file_lie_on_the_true_skin(name: str, tmp_path: Path) -> None:
    design = job.checked(job.design(read(name, tmp_path)))
    found = lines(design.rack)
    if name != WHOLE:
        mounted = {f"mount.{mount.name}.plate" for mount in design.job.vehicle.front}
        found = tuple(line for line in found if mounted & {placed.id for placed in line.placed})
    file = tmp_path / "rack.step"
    file.write_bytes(step_bytes(name, found, proved_solids(found)))
    done = subprocess.run([sys.executable, "-c", CIRCLES, str(file)], capture_output=True, text=True, check=True)
    plates = json.loads(done.stdout.splitlines()[-1])
    assert len(plates) == len(design.job.vehicle.front)
    for mount in design.job.vehicle.front:
        part = design.rack.part(f"mount.{mount.name}.plate").part
        assert isinstance(part, CutPlate)
        edges = plates[f"mount.{mount.name}.plate"]
        bore = part.holes[0].diameter
        rims = np.array([middle for length, middle in edges if abs(length - np.pi * bore) < 1e-3])
        # Each hole has a rim on either face; the lower half of them is on the underside.
        assert len(rims) == 2 * len(part.holes)
        over = above(TEN[name], rims)
        under = rims[np.argsort(over)[: len(part.holes)]]
        off = above(TEN[name], under) - design.job.shop.bedding
        assert np.abs(off).max() < FITS or doubted(design, mount.name), off
