"""What such racks have carried, beside what they are rated for here.

Builders of a basket of about 44 × 38 in, in 1-1/4 in tube on four mounts, have carried 200 lb moving and reckon 350 lb
parked (common practice, no source, and no proof: what has not broken yet). Where this program's rating falls, and why:

- Parked it comes out beside theirs, somewhat over: the same metal, standing still, all of the load on one half of the
  floor, and a factor on yield.
- On a road with the load even over the floor it comes out over their 200 lb: they have used what is there.
- With the load on the rear half alone, which nobody plans and everybody does, the road's rating is under 200 lb: what
  they carry leaves them less than the factor of safety, not nothing.
- On rough track at 3 g and on one half it is about half of theirs. They drive such tracks with such loads and have not
  broken one: 3 g is an assumption, few loads lie all on one half, and a factor of 1.67 on yield is still there. It is
  also where cracks begin that nobody has counted.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from rackgen.job import design
from rackgen.made import Design
from rackgen.spec.load import LoadWish
from rackgen.spec.read import read_job
from rackgen.strength.reckon import Reckoned, reckon

pytestmark = pytest.mark.racks

POUND = 0.45359237
CARRIED, RECKONED = 200 * POUND, 350 * POUND

RACK = """
format = 1
title = "Basket as many are built"
shop = "threshing-barn-inch"
vehicle = "short-utility-inch"
units = "in"

[basket]
width = 38
length = 44
height = 6
ring_tube = "1-1/4 x 0.083 tube"
bar_tube = "1 x 0.083 tube"

[frame]
tube = "1-1/4 x 0.083 tube"
"""


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> Design:
    file: Path = tmp_path_factory.mktemp("usual") / "usual.toml"
    file.write_text(RACK, encoding="utf-8")
    return design(read_job(file))


def rated(made: Design, wish: LoadWish) -> Reckoned:
    return reckon(made.rack, made.job.vehicle, made.job.shop, wish)


def test_what_builders_carry_beside_what_is_rated(usual: Design) -> None:
    rough = rated(usual, LoadWish()).rated
    road = rated(usual, LoadWish(rough_track=False)).rated
    halves = tuple(f"road-{lay}" for lay in ("front-half", "rear-half", "left-half", "right-half", "long-item"))
    even = rated(usual, LoadWish(rough_track=False, without=halves)).rated
    assert RECKONED < rough.parked.structure < 1.3 * RECKONED
    assert CARRIED < even.moving.structure < 1.6 * CARRIED
    assert 0.7 * CARRIED < road.moving.structure < CARRIED
    assert 0.4 * CARRIED < rough.moving.structure < 0.6 * CARRIED
