"""Perforated sheet on the shelf: its open share, its mass, and what is refused."""

import math
from pathlib import Path

import numpy as np
import pytest

from rackgen import job
from rackgen.check.all import check
from rackgen.geom.outline import polygon, rectangle
from rackgen.mesh.edges import MOST_HOLES, punched
from rackgen.parts.kinds import CutPlate
from rackgen.parts.measure import mass, volume
from rackgen.parts.skin import outside
from rackgen.sheets.flats import blanks
from rackgen.sheets.mesh_layout import mesh_nests
from rackgen.sheets.nest_fit import NEAR, panels_too_big
from rackgen.spec.read import read_shop
from rackgen.spec.stock import Perforated, Stock
from tests.option_racks import PERFORATED, written_job
from tests.preset_texts import SHOP, mistakes_of, only, saved, swapped

WITH = SHOP.replace("[[die]]", PERFORATED + "[[die]]", 1)


@pytest.mark.parametrize(
    ("pattern", "hole", "pitch", "share"),
    [("staggered", 10.0, 15.0, 40.31), ("staggered", 5.0, 8.0, 35.43), ("square", 10.0, 15.0, 34.91)],
)
def test_open_share_is_that_of_the_trade_s_tables(pattern: str, hole: float, pitch: float, share: float) -> None:
    """DIN 24041, Table 2: 90.69 d²/p² staggered, 78.54 d²/p² square, in per cent (from memory)."""
    found = Perforated(pattern, hole, pitch, 2.0, 10.0, 1250.0, 2500.0)  # type: ignore[arg-type]
    assert found.open_share * 100 == pytest.approx(share, abs=0.02)
    assert (90.69 if pattern == "staggered" else 78.54) * (hole / pitch) ** 2 == pytest.approx(share, abs=0.02)


def test_it_is_weighed_by_the_square_metre_and_drawn_as_its_envelope(tmp_path: Path) -> None:
    stock = next(s for s, _ in read_shop(saved(tmp_path, WITH)).perforated())
    panel = CutPlate(stock, rectangle(1000.0, 500.0))
    assert mass(panel) == pytest.approx(0.5 * 9.37)
    assert volume(panel) == pytest.approx(1000 * 500 * 2)
    cell = 15**2 * math.sqrt(3) / 2
    whole = 2 * (1 - math.pi * 25 / cell) + math.pi * 10 * 2 / cell
    assert outside(panel) == pytest.approx(whole * 0.5e6)


def test_many_holes_are_drawn_thinned_and_whole() -> None:
    section = Perforated("staggered", 5.0, 8.0, 2.0, 10.1, 1250.0, 2500.0)
    rim = polygon(rectangle(1000.0, 800.0, 100.0))
    rings = punched(np.concatenate([rim, rim[:1]]), section)
    assert MOST_HOLES / 3 < len(rings) <= MOST_HOLES * 1.2
    assert all(np.abs(ring).max(axis=0)[0] <= 500 for ring in rings)


def test_a_floor_wider_than_its_sheet_is_made_of_panels_that_lie_across_it(tmp_path: Path) -> None:
    """Sheets are 2500 × 1250; across 1366 mm of floor lie panels of up to 1250 mm fore and aft, joined on a bearer."""
    wide = {"basket": "width = 1400\nlength = 1700\nheight = 200", "floor": 'kind = "perforated sheet"'}
    made = job.design(written_job(tmp_path, wide))
    shop = made.job.shop
    flat, _ = blanks(made.rack, shop)
    assert sum(p.word == "floor panel" for p in made.rack.placed) == 2
    assert not panels_too_big(made.rack, flat, shop)
    assert "larger-than-sheet" not in {f.code for f in check(made.rack, shop, made.job.vehicle, made.job.spec)[1]}
    (nest,) = mesh_nests(flat, shop)
    laid = [p for sheet in nest.sheets for p in sheet.panels]
    assert [p.turned for p in laid] == [True, True]
    for panel in laid:
        assert panel.x + panel.along <= 2500 + NEAR
        assert panel.y + panel.across <= 1250 + NEAR
        assert panel.along == pytest.approx(1400 - 33.7, abs=0.1)
    # Both together cover the floor from ring to ring, and meet on one bearer.
    assert sum(p.across for p in laid) == pytest.approx(1700 - 33.7, abs=0.1)


SPOILT = [
    ("pitch = 15", "pitch = 9", "pitch", "farther from each other"),
    ("mass_per_area = 9.37", "mass_per_area = 4", "mass_per_area", "about 9.37 kg/m2 of 15.70"),
    ('pattern = "staggered"', 'pattern = "hexagonal"', "pattern", '"staggered" or "square"'),
    ("hole = 10", "hole = -1", "hole", "from 1 mm"),
    ('name = "perforated 10 on 15"', 'name = "mesh"', "name", "has this name already"),
]


@pytest.mark.parametrize(("old", "new", "key", "says"), SPOILT, ids=[s[2] for s in SPOILT])
def test_a_sheet_that_cannot_be_is_refused(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_shop, saved(tmp_path, swapped(WITH, old, new))))
    assert mistake.key.endswith(key)
    assert says in mistake.wanted


def test_stock_without_a_price_is_stock(tmp_path: Path) -> None:
    stock = next(s for s, _ in read_shop(saved(tmp_path, WITH)).perforated())
    assert isinstance(stock, Stock)
    assert stock.prices == ()
