"""Ten invented roofs known everywhere: racks designed from tape readings alone, held against the roofs themselves."""

from dataclasses import replace
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

# Tests take them with `scope="module"`: rack after rack, so that two processes do not both design all of them.
NAMES = sorted(TEN)
FITS = 1.5
"""How far a plate's bedding may be off the true skin at a fastener, mm, or its mount carries a finding."""

SAID = {"ribbed", "dented", "domed"}
"""Roofs whose readings show that they are not smooth where a mount stands."""

TRUE = 1.0
"""How far beyond its bedding any other plate is off the true skin at most, mm."""


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


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_every_plate_lies_on_the_true_skin_or_its_mount_carries_a_finding(name: str, folder: Path) -> None:
    design = made(name, folder)
    for mount in design.job.vehicle.front:
        placed = design.rack.part(f"mount.{mount.name}.plate")
        assert isinstance(placed.part, CutPlate)
        # A plate is drawn on its bedding, which the fitter presses thinner or leaves thicker by what it is off.
        under = above(TEN[name], under_fasteners(placed.frame, placed.part))
        off = under - design.job.shop.bedding
        assert np.abs(off).max() < FITS or doubted(design, mount.name), (mount.name, off)
        if name not in SAID:
            assert not doubted(design, mount.name)
            assert np.abs(off).max() < TRUE
            # So no plate is drawn into the skin, and every bed is sealant or tape and no packing.
            assert under.min() > 0
            assert under.max() < design.job.shop.bedding + TRUE


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_a_plate_without_bedding_is_as_near_the_true_skin_at_every_fastener(name: str, folder: Path) -> None:
    """The same limit read from the plate's own underside, nothing taken off."""
    asked = made(name, folder).job
    design = job.design(replace(asked, shop=replace(asked.shop, bedding=0.0)))
    for mount in design.job.vehicle.front:
        placed = design.rack.part(f"mount.{mount.name}.plate")
        assert isinstance(placed.part, CutPlate)
        under = above(TEN[name], under_fasteners(placed.frame, placed.part))
        assert np.abs(under).max() < FITS or doubted(design, mount.name), (mount.name, under)


def test_a_mount_on_a_rib_moves_in_its_zone_to_where_its_plate_lies(folder: Path) -> None:
    design = made("ribbed", folder)
    said = {f.parts[0]: f for f in design.findings if f.code == "mount-moved"}
    assert set(said) == {"mount.front1_left.saddle", "mount.front1_right.saddle"}
    for mount in design.job.vehicle.front:
        spot = design.rack.part(f"mount.{mount.name}.plate").frame.origin
        assert 0 < abs(spot[1] - mount.at[1]) <= mount.zone[1]
        # What gap is left, and where, is said, with the place that it bears on.
        gap = next(f for f in design.findings if f.code == "plate-gap" and mount.name in f.parts[0])
        assert gap.level is Level.LOOK
        assert gap.got is not None
        assert gap.got < FITS
        assert "bears at x" in gap.text


def test_a_mount_that_may_not_move_off_its_rib_stops_the_rack(folder: Path) -> None:
    asked = made("ribbed", folder).job
    held = tuple(replace(m, zone=(m.zone[0], 4.0)) for m in asked.vehicle.front)
    design = job.design(replace(asked, vehicle=replace(asked.vehicle, front=held)))
    gaps = [f for f in design.findings if f.code == "plate-gap"]
    assert len(gaps) == 2
    for gap in gaps:
        assert gap.level is Level.STOP
        assert gap.got is not None
        assert gap.got > 5.0
        assert "zone" in gap.help


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_the_rack_clears_everything(name: str, folder: Path) -> None:
    design = made(name, folder)
    assert not [f for f in design.findings if f.level is Level.STOP]
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


@pytest.mark.parametrize("name", NAMES, scope="module")
def test_left_and_right_are_alike_where_the_roof_is(name: str, folder: Path) -> None:
    said = {f.code for f in made(name, folder).findings if f.code.startswith("sides-")}
    assert said == ({"sides-unlike"} if name == "dented" else set())
