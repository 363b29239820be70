"""Ten invented roofs known everywhere: racks designed from tape readings alone, held against the roofs themselves."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.errors import Level
from rackgen.geom import spine
from rackgen.geom.breaks import folded_frame
from rackgen.geom.frame import Array, Frame
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.spec.stock import Sheet
from tests.ten_roofs import PLACES, TEN, Formula, read

pytestmark = pytest.mark.racks

NAMES = sorted(TEN)
FITS = 1.5
"""How far a plate's bedding may be off the true skin at a fastener, mm, or its mount carries a finding."""

SAID = {"ribbed", "dented", "domed"}
"""Roofs whose readings show that they are not smooth where a mount stands."""

BROKEN = {"ribbed": {"plate-gap"}}
"""Roofs that no plate lies on, and what stops the rack: ribs as wide as the plate."""


@cache
def made(name: str, folder: Path) -> Design:
    return job.checked(job.design(read(name, folder)))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("ten-roofs")


def above(roof: Formula, points: Array) -> Array:
    """Give the distance of points above the true surface, mm: on its tangent plane straight below each."""
    x, y, z = points.T
    e = 0.01
    zx = (roof.height(x + e, y) - roof.height(x - e, y)) / (2 * e)
    zy = (roof.height(x, y + e) - roof.height(x, y - e)) / (2 * e)
    return (z - roof.height(x, y)) / np.sqrt(1 + zx**2 + zy**2)


def under_fasteners(frame: Frame, part: CutPlate) -> Array:
    """Give the points of a plate's underside on the axes of its holes, vehicle frame, mm."""
    assert isinstance(part.stock.section, Sheet)
    t = part.stock.section.thickness
    under = 0.0 if frame.z[2] > 0 else t
    return np.array([frame.then(folded_frame(part.breaks, t, h.x, h.y)).point((h.x, h.y, under)) for h in part.holes])


def doubted(design: Design, mount: str) -> bool:
    plate = f"mount.{mount}.plate"
    return any(f.level > Level.NOTE and plate in f.parts for f in design.findings)


def test_these_are_ten() -> None:
    assert len(NAMES) == 10
    assert set(PLACES) == set(TEN)


@pytest.mark.parametrize("name", NAMES)
def test_every_plate_lies_on_the_true_skin_or_its_mount_carries_a_finding(name: str, folder: Path) -> None:
    design = made(name, folder)
    for mount in design.job.vehicle.front:
        placed = design.rack.part(f"mount.{mount.name}.plate")
        assert isinstance(placed.part, CutPlate)
        off = above(TEN[name], under_fasteners(placed.frame, placed.part)) - design.job.shop.bedding
        assert np.abs(off).max() < FITS or doubted(design, mount.name), (mount.name, off)
        if name not in SAID:
            assert not doubted(design, mount.name)


@pytest.mark.parametrize("name", NAMES)
def test_the_rack_clears_everything(name: str, folder: Path) -> None:
    design = made(name, folder)
    assert {f.code for f in design.findings if f.level is Level.STOP} == BROKEN.get(name, set())
    # And the true roof, not only the measured one.
    for placed in design.rack.placed:
        part = placed.part
        if isinstance(part, BentTube) and placed.word != "saddle":
            along = np.linspace(0.0, spine.length(part.spine), 200)
            axis = np.array([placed.frame.then(spine.frame_at(part.spine, s)).origin for s in along])
            over = (np.abs(axis[:, 1]) < TEN[name].half(axis[:, 0])) & (axis[:, 0] < TEN[name].length)
            if over.any():
                gap = float(above(TEN[name], axis[over]).min()) - part.section.od / 2
                assert gap > design.job.spec.gaps.tube_stop, placed.id


@pytest.mark.parametrize("name", NAMES)
def test_left_and_right_are_alike_where_the_roof_is(name: str, folder: Path) -> None:
    said = {f.code for f in made(name, folder).findings if f.code.startswith("sides-")}
    assert said == ({"sides-unlike"} if name == "dented" else set())
