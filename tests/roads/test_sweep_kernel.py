"""Distances of solids by the kernel (OCC's BRepExtrema) against those of triangles, on the same pairs."""

import numpy as np
import pytest
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from small_rack import TUBE, small_rack

from rackgen.check.sweep import Thing, box, nearest, rod
from rackgen.geom.spine import Bend, Spine
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube
from rackgen.solid.build import solid

pytestmark = pytest.mark.kernel

TOLERANCE = 0.06
"""Triangles lie within 0.05 mm of round surfaces, a rod's flats within 0.01 mm of it."""


def both(part, thing: Thing, shape) -> tuple[float, float]:
    """Give the distance by triangles and by the kernel, in the part's own frame."""
    mesh = triangles(part)
    faces = mesh.vertices[mesh.faces]
    found = nearest(faces.min(axis=(0, 1)), faces.max(axis=(0, 1)), faces, thing)
    assert found is not None
    answer = BRepExtrema_DistShapeShape(solid(part).shape, shape)
    assert answer.IsDone()
    return found.gap, answer.Value()


def block(low: tuple[float, float, float], high: tuple[float, float, float]):
    return Thing((box(low, high),)), BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Shape()


def test_every_kind_of_part_is_as_far_as_the_kernel_says() -> None:
    """Tubes with copes, bars with folds, plates with breaks, bought parts: a box off one corner of each."""
    seen = set()
    for placed in small_rack().placed:
        if placed.part in seen:
            continue
        seen.add(placed.part)
        high = triangles(placed.part).vertices.max(axis=0)
        low = tuple(float(c) for c in high + np.array([12.0, 7.0, -25.0]))
        thing, shape = block(low, (low[0] + 50.0, low[1] + 60.0, low[2] + 70.0))
        got, wanted = both(placed.part, thing, shape)
        assert got == pytest.approx(wanted, abs=TOLERANCE), placed.id


@pytest.mark.parametrize("up", [0.0, 20.0, 45.0])
def test_an_open_end_of_a_bent_tube_before_a_lamp(up: float) -> None:
    """A lamp's cylinder past the flat end of a hoop's leg."""
    part = BentTube(TUBE, Spine((200.0, 300.0), (Bend(90.0, 120.0),)))
    start, end = (-60.0, -80.0, up), (-60.0, 80.0, up)
    axis = gp_Ax2(gp_Pnt(*start), gp_Dir(0.0, 1.0, 0.0))
    shape = BRepPrimAPI_MakeCylinder(axis, 15.0, 160.0).Shape()
    got, wanted = both(part, rod(start, end, 15.0), shape)
    assert got == pytest.approx(wanted, abs=TOLERANCE)
    assert got == pytest.approx(np.hypot(60.0, max(0.0, up - TUBE.section.od / 2)) - 15.0, abs=TOLERANCE)  # type: ignore[union-attr]
