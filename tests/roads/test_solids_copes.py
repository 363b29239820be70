"""Coped ends: the edges of the solid against the closed form, and two ways to make a solid against each other."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from rackgen.geom import cope, spine
from rackgen.geom.cope import EndCut
from rackgen.geom.frame import Array, Frame
from rackgen.parts.kinds import BentTube
from rackgen.parts.measure import volume
from rackgen.solid import kernel_probe, proof, tube
from rackgen.solid.build import solid
from rackgen.solid.coped import coped
from rackgen.solid.kernel import Solid
from tests.solid_parts import DOUBLE, OD, SINGLE, bent, straight

pytestmark = pytest.mark.kernel

CUTS = [pytest.param((cut,), id=name) for name, cut in SINGLE.items()]
CUTS += [pytest.param(cuts, id=name) for name, cuts in DOUBLE.items()]


@lru_cache(maxsize=2)
def edge_points(shape: Solid) -> list[Array]:
    """Give points along every edge, a row each."""
    rows: list[Array] = []
    explorer = TopExp_Explorer(shape.shape, TopAbs_EDGE)
    while explorer.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current()))
        ts = np.linspace(curve.FirstParameter(), curve.LastParameter(), 65)
        rows.append(np.array([(p.X(), p.Y(), p.Z()) for p in (curve.Value(float(t)) for t in ts)]))
        explorer.Next()
    return rows


def rim(shape: Solid, end: Frame, inward: float, radius: float) -> tuple[Array, Array]:
    """Give clocks and heights above the sawn end of the edges that run round one radius of one end."""
    clocks: list[float] = []
    heights: list[float] = []
    for points in edge_points(shape):
        local = end.to_local(points)
        height = local[:, 0] * inward
        around = np.degrees(np.arctan2(-local[:, 1], local[:, 2])) % 360.0
        on_wall = np.abs(np.hypot(local[:, 1], local[:, 2]) - radius) < 1e-3
        closing = np.ptp(np.unwrap(np.radians(around))) < 1e-4
        if on_wall.all() and not closing and np.abs(height).max() < 110.0:
            clocks += around.tolist()
            heights += height.tolist()
    return np.array(clocks), np.array(heights)


def assert_rim(shape: Solid, end: Frame, inward: float, cuts: tuple[EndCut, ...], radius: float) -> None:
    clocks, heights = rim(shape, end, inward, radius)
    assert np.diff(np.sort([*clocks, clocks.min() + 360.0])).max() < 20.0, "the rim does not run all round"
    # 0.01 mm across where the curve is steep: a flat of a nipped ear begins there.
    off = np.degrees(0.005 / radius)
    around = [cope.heights(cuts, radius, clocks + d) for d in (-off, 0.0, off)]
    assert np.all(heights > np.min(around, axis=0) - 0.005)
    assert np.all(heights < np.max(around, axis=0) + 0.005)


@pytest.mark.parametrize("cuts", CUTS)
def test_outside_and_inside_curves_are_the_solids_edges(cuts: tuple[EndCut, ...]) -> None:
    part = straight(cuts, tuple(cope.turned(cut, 77.0) for cut in cuts))
    shape = solid(part)
    for radius in (OD / 2, part.section.inner / 2):
        assert_rim(shape, Frame(), 1.0, part.end_a, radius)
        assert_rim(shape, spine.end_frame(part.spine), -1.0, part.end_b, radius)


@pytest.mark.parametrize("name", ["equal 60 at 90", "flush 45 at 180", "beside 90 at 0", "plane"])
def test_ends_of_a_bent_tube_are_cut_where_its_frames_say(name: str) -> None:
    part = bent((SINGLE[name],), (cope.turned(SINGLE[name], 130.0),))
    shape = solid(part)
    assert_rim(shape, Frame(), 1.0, part.end_a, OD / 2)
    assert_rim(shape, spine.end_frame(part.spine), -1.0, part.end_b, OD / 2)


@pytest.mark.parametrize("name", SINGLE)
def test_built_face_by_face_and_cut_by_a_header_agree(name: str) -> None:
    part = straight((SINGLE[name],))
    built = coped(part)
    assert proof.fault(part, built) == ""
    right = kernel_probe.volume(built)
    found: list[str] = []
    for way in list(tube.ways(part))[1:]:
        cut = way()
        found.append(proof.fault(part, cut))
        if not found[-1]:
            assert kernel_probe.volume(cut) == pytest.approx(right, abs=0.2)
            assert_rim(cut, Frame(), 1.0, part.end_a, OD / 2)
            return
    raise AssertionError(found)


def test_tubes_of_one_cut_an_end_need_no_boolean() -> None:
    for name, cut in SINGLE.items():
        for part in (straight((cut,), (cope.turned(cut, 200.0),)), bent((cut,), (cut,))):
            whole = coped(BentTube(part.stock, part.spine, part.end_a, part.end_b))
            assert kernel_probe.volume(whole) == pytest.approx(
                volume(BentTube(part.stock, part.spine, part.end_a, part.end_b)), abs=0.5
            ), name
