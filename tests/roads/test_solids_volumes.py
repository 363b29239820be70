"""Volume and centre of every kind of part by three roads: arithmetic, the kernel, and triangles added up by trimesh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import assume, given, settings
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh

from rackgen.geom import cope, spine
from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold
from rackgen.geom.outline import cropped, rectangle
from rackgen.geom.spine import Spine
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import (
    BarEnd,
    BarHole,
    BentTube,
    BoltShape,
    Bought,
    Break,
    CapShape,
    CutPlate,
    FoldedBar,
    PadShape,
    Part,
    PlateHole,
    RivetShape,
    Slit,
    UBoltShape,
)
from rackgen.parts.marks import lines
from rackgen.parts.measure import centroid, volume
from rackgen.solid import kernel_mesh, kernel_probe
from rackgen.solid.build import solid
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_mesh import triangles
from rackgen.solid.proof import expected_volume
from rackgen.spec.stock import Expanded, Flat, Round, Sheet, Stock
from tests.small_rack import small_rack
from tests.solid_parts import DOUBLE, SINGLE, bent, straight
from tests.strategies import bent_tubes, cut_plates, folded_bars

pytestmark = pytest.mark.kernel

BAR = Stock("50 × 5", Flat(50.0, 5.0), "steel", "S235", "bare")
PLATE = Stock("4 mm", Sheet(4.0, 1000.0, 2000.0), "steel", "S235", "bare")
MESH = Stock("raised", Expanded("raised", 23.0, 50.0, 1.5, 2.6, 5.3, 2.64, 1250.0, 2500.0), "steel", "DC01", "bare")
HOLES = tuple(PlateHole(x, y, 6.5) for x in (-45.0, 45.0) for y in (-30.0, 0.0, 30.0))
EDGE = rectangle(130.0, 90.0, 12.0)

PARTS: dict[str, Part] = {
    "tube": straight(),
    "coped tube": straight((SINGLE["equal 60 at 90"],), (SINGLE["flush 45 at 180"],)),
    "tube with two cuts": straight(DOUBLE["equal and wider"]),
    "bent tube": bent(),
    "bent and coped": bent((SINGLE["wider 90 at 0"],), (SINGLE["plane"],)),
    "slit sleeve": BentTube(Stock("thin", Round(33.7, 2.0), "steel", "", ""), Spine((100.0,)), slit=Slit(18.0, 28.5)),
    "straight bar": FoldedBar(BAR, (180.0,), end_a=BarEnd(27.0, 8.0), end_b=BarEnd(radius=25.0)),
    "folded bar": FoldedBar(
        BAR,
        (110.0, 90.0, 140.0),
        (Fold(-82.0, 8.0), Fold(35.0, 22.225)),
        BarEnd(radius=5.0),
        BarEnd(0.0, -12.0, 8.0),
        (BarHole(1, 40.0, 6.0, 6.5), BarHole(2, 60.0, 0.0, 8.5)),
    ),
    "plate": CutPlate(PLATE, cropped([(-60, -40), (60, -40), (60, 40), (-60, 40)], 12.0), HOLES[:1]),
    "plate of one break": CutPlate(
        PLATE, EDGE, HOLES, (rectangle(14, 9, 4.5, (0, 40)),), (Break((0.0, 5.0), 20.0, 9.0),)
    ),
    "plate of two breaks": CutPlate(
        PLATE, EDGE, HOLES, breaks=(Break((0.0, 5.0), 0.0, 7.0), Break((3.0, 0.0), 90.0, -5.0))
    ),
    "panel": CutPlate(MESH, rectangle(700.0, 400.0)),
    "U-bolt": Bought("M8", UBoltShape(8.0, 40.0, 20.0, 17.0, 75.0, 23.0, 16.0, 1.6, 13.0, 6.5), 7850.0),
    "U-bolt too short": Bought("M8", UBoltShape(8.0, 40.0, 20.0, 17.0, 43.0, 23.0, 16.0, 1.6, 13.0, 6.5), 7850.0),
    "rivet": Bought("6.4", RivetShape(6.4, 5.0, 13.0, 3.0, 9.0, 8.0), 7850.0),
    "bolt with its nut": Bought("M8", BoltShape(8.0, 30.0, 12.0, 13.0, 5.3, 16.0, 1.6, "nut", 13.0, 6.8), 7850.0),
    "bolt in a slot nut": Bought("M8", BoltShape(8.0, 25.0, 8.0, 13.0, 5.3, 16.0, 1.6, "slot nut", 20.0, 6.0), 7850.0),
    "bolt in a rivet nut": Bought(
        "M6", BoltShape(6.0, 20.0, 6.5, 10.0, 4.0, 12.0, 1.6, "rivet nut", 9.0, 14.0), 7850.0
    ),
    "bolt in a thread": Bought("M10", BoltShape(10.0, 25.0, 7.0, 16.0, 6.4, 20.0, 2.0, "thread", 0.0, 0.0), 7850.0),
    "cap": Bought("cap", CapShape(33.7, 4.0, 28.0, 15.0), 950.0),
    "pad": Bought("pad", PadShape(rectangle(60.0, 50.0, 6.0), (rectangle(10.0, 8.0, 2.0),), 3.0), 1200.0),
}


def mesh_of(shape: Solid) -> trimesh.Trimesh:
    points, faces = triangles(shape)
    return trimesh.Trimesh(points, faces, process=False)


def fine(shape: Solid) -> trimesh.Trimesh:
    """Give ten times finer triangles than are shipped, of a copy."""
    copy = Solid(BRepBuilderAPI_Copy(shape.shape, True, False).Shape())
    BRepMesh_IncrementalMesh(copy.shape, 0.01, False, 0.1, False)
    # The shipped triangles are coarser, and the kernel keeps finer ones that it finds.
    points, faces = kernel_mesh.triangles(copy)
    return trimesh.Trimesh(points, faces, process=False)


@pytest.mark.parametrize("name", PARTS)
def test_arithmetic_kernel_and_triangles_agree(name: str) -> None:
    part = PARTS[name]
    shape = solid(part)
    by_kernel, centre = kernel_probe.bulk(shape)
    by_triangles = fine(shape)
    assert by_triangles.is_watertight
    assert by_kernel == pytest.approx(expected_volume(part), rel=2e-5)
    assert by_triangles.volume == pytest.approx(by_kernel, rel=1.5e-3)
    np.testing.assert_allclose(by_triangles.center_mass, centre, atol=0.05)


@pytest.mark.parametrize("name", [n for n in PARTS if "break" not in n and "bar" not in n])
def test_centre_by_arithmetic_and_kernel_agree(name: str) -> None:
    np.testing.assert_allclose(kernel_probe.bulk(solid(PARTS[name]))[1], centroid(PARTS[name]), atol=0.01)


@pytest.mark.parametrize("name", PARTS)
def test_triangles_as_shipped_are_closed_and_face_outward(name: str) -> None:
    shape = solid(PARTS[name])
    mesh = mesh_of(shape)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(kernel_probe.volume(shape), rel=0.03)
    assert np.abs(mesh.bounds - np.array(kernel_probe.box(shape))).max() < 0.11


def test_every_part_of_a_small_rack_is_made_and_proved() -> None:
    for line in lines(small_rack()):
        assert mesh_of(solid(line.part)).is_watertight, line.mark


def runs_into_itself(part: BentTube) -> bool:
    """Tell whether a tube comes back to itself, as no bender can make it."""
    total = spine.length(part.spine)
    at = np.linspace(0.0, total, max(2, int(total / 8.0)))
    points = np.array([spine.frame_at(part.spine, float(s)).origin for s in at])
    apart = np.linalg.norm(points[:, None] - points[None], axis=2)
    # Along a bend of the least radius drawn, two places 250 mm apart along the tube are well clear of each other.
    return bool((apart[np.abs(at[:, None] - at[None]) > 250.0] < part.section.od + 30.0).any())


@given(bent_tubes())
@settings(max_examples=30)
def test_any_tube(part: BentTube) -> None:
    assume(not runs_into_itself(part))
    outer = part.section.od / 2
    # `resolve` nips every tangent ear; where none is nipped the metal ends in a feather that no kernel holds.
    for end in (part.end_a, part.end_b):
        for cut in end:
            feather = isinstance(cut, Cope) and cope.is_tangent(cut, outer)
            assume(not feather or cope.long_point(end, outer) < -cope.NIP / 2)
    # Drawn holes may lie on each other, which arithmetic counts twice.
    tube, _ = canonical(replace(part, holes=part.holes[:1]))
    assert kernel_probe.volume(solid(tube)) == pytest.approx(volume(tube), abs=1.2 + 2e-6 * volume(tube))


@given(folded_bars())
@settings(max_examples=30)
def test_any_bar(part: FoldedBar) -> None:
    assert kernel_probe.volume(solid(part)) == pytest.approx(volume(part), rel=1e-6)


@given(cut_plates())
@settings(max_examples=20)
def test_any_plate(part: CutPlate) -> None:
    assert kernel_probe.volume(solid(part)) == pytest.approx(volume(part), rel=1e-6)
