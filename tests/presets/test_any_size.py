"""A vehicle, a shop and the basket's three outside sizes are enough: everything else follows, on either vehicle."""

from __future__ import annotations

from pathlib import Path

import pytest

from rackgen import job
from rackgen.errors import Level
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks

SHOPS = ("slipway-mm", "threshing-barn-inch")
VEHICLES = ("boxy-wagon-mm", "short-utility-inch")
SIZES = ((900, 1200, 150), (1060, 700, 220), (1000, 1500, 130))


def written(folder: Path, shop: str, vehicle: str, size: tuple[int, int, int]) -> Path:
    """Write the smallest rack file there is."""
    file = folder / "small.toml"
    width, length, height = size
    file.write_text(
        f'format = 1\nshop = "{shop}"\nvehicle = "{vehicle}"\nunits = "mm"\n\n'
        f"[basket]\nwidth = {width}\nlength = {length}\nheight = {height}\n"
    )
    return file


@pytest.mark.parametrize("shop", SHOPS)
@pytest.mark.parametrize("vehicle", VEHICLES)
@pytest.mark.parametrize("size", SIZES)
def test_three_sizes_are_enough(tmp_path: Path, shop: str, vehicle: str, size: tuple[int, int, int]) -> None:
    """No stop, few looks."""
    made = job.checked(job.design(read_job(written(tmp_path, shop, vehicle, size))))
    stops = [f for f in made.findings if f.level is Level.STOP]
    assert not stops, stops
    assert sum(f.level is Level.LOOK for f in made.findings) <= 5, made.findings


def test_a_basket_too_wide_for_the_straps_is_a_stop_with_the_widest_that_fits(tmp_path: Path) -> None:
    """The stop says which width would do, and a basket of that width is cleared."""
    made = job.checked(job.design(read_job(written(tmp_path, SHOPS[0], VEHICLES[0], (1100, 1080, 184)))))
    stop = next(f for f in made.findings if f.code == "strap-off-zone")
    assert stop.level is Level.STOP
    assert "at most 1064 mm wide" in stop.help
    again = job.checked(job.design(read_job(written(tmp_path, SHOPS[0], VEHICLES[0], (1063, 1080, 184)))))
    assert again.cleared, again.findings
