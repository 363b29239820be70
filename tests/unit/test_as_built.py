"""Parts that are made already stay as measured; what lands on them is cut to them."""

import math
from pathlib import Path

import pytest

from rackgen import job
from rackgen.design.settle import Truth, bench, settle
from rackgen.errors import BadInput
from rackgen.made import Design
from rackgen.parts.compare import compare
from rackgen.parts.kinds import BentTube
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks

RACK = Path("presets/racks/demo.toml")


def made(folder: Path, entries: str) -> Design:
    file = folder / "demo.toml"
    file.write_text(RACK.read_text() + entries)
    return job.design(read_job(file, shop="slipway-mm", vehicle="boxy-wagon-mm"))


def refused(folder: Path, entries: str) -> str:
    with pytest.raises(BadInput) as refusal:
        made(folder, entries)
    return str(refusal.value)


WIDE = """
[[as_built]]
part = "frame.hoop"
outside_width = 1153
leg_a = 1298
angles = [90.4, 90]
"""


def test_a_wider_hoop_keeps_its_sizes_and_its_bars_are_cut_longer(tmp_path: Path) -> None:
    drawn = job.design(read_job("demo"))
    now = made(tmp_path, WIDE)
    hoop = now.rack.part("frame.hoop").part
    assert isinstance(hoop, BentTube)
    assert hoop.spine.bends[0].angle == pytest.approx(90.4)
    back = hoop.spine.straights[1]
    assert back == pytest.approx(1153 - 33.7 - 120 - 120 * math.tan(math.radians(45.2)), abs=0.01)
    bars = [drawn.rack.part("frame.bar[1]").part, now.rack.part("frame.bar[1]").part]
    longer = bars[1].spine.straights[0] - bars[0].spine.straights[0]  # type: ignore[union-attr]
    # 3 mm over the back, less what the leg closed by 0.4 deg has come in at the bar, 170 aft of the front tube's axis.
    assert longer == pytest.approx(3.0 - 170 * math.tan(math.radians(0.4)), abs=0.01)
    basket = {p.id: p.part for p in drawn.rack.placed if p.id.startswith("basket.upright")}
    assert basket == {p.id: p.part for p in now.rack.placed if p.id.startswith("basket.upright")}


def test_everything_that_lands_on_it_fits_again(tmp_path: Path) -> None:
    now = made(tmp_path, WIDE)
    found = settle(bench(now.rack, now.job.vehicle, now.job.shop.isolator), {}, Truth()).gaps()
    on_hoop = {name: gap for name, gap in found.items() if name.startswith(("frame.bar", "basket"))}
    assert max(gap for name, gap in on_hoop.items() if not name.endswith(".leg")) < 0.05


def test_compare_lists_what_changed(tmp_path: Path) -> None:
    changes = compare(job.design(read_job("demo")).rack, made(tmp_path, WIDE).rack).changes
    redone = {i for c in changes if c.redo or not c.before or not c.after for i in c.ids}
    assert {"frame.hoop", "frame.bar[1]", "frame.bar[2]"} <= redone
    assert not any(i.startswith("basket.upright") for i in redone)


def test_as_drawn_changes_nothing(tmp_path: Path) -> None:
    drawn = job.design(read_job("demo"))
    now = made(tmp_path, '\n[[as_built]]\npart = "frame.hoop"\noutside_width = 1150\n')
    assert not [c for c in compare(drawn.rack, now.rack).changes if c.redo]


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ('part = "frame.hop"\nlength = 100', "no part of that id"),
        ('part = "frame.hoop"\nlength = 900', "outside_width"),
        ('part = "frame.bar[1]"\nleg_a = 900', "straight tube"),
        ('part = "frame.hoop"\noutside_width = 1250', "drawn 1150"),
        ('part = "frame.hoop"\nangles = [90]', "give every one"),
        ('part = "frame.hoop"\nangles = [90, 70]', "typed wrong"),
        ('part = "mount.front_left.plate"\nlength = 120', "cut a new one"),
        ('part = "frame.hoop"', "at least one size"),
        ('part = "mount.rear_left.strap"\nfolds = [91, 90]', "it has 1"),
    ],
)
def test_a_measurement_that_no_such_part_can_have_is_refused(tmp_path: Path, entry: str, says: str) -> None:
    assert says in refused(tmp_path, f"\n[[as_built]]\n{entry}\n")


def test_all_mistakes_come_at_once_with_their_lines(tmp_path: Path) -> None:
    text = refused(
        tmp_path, '\n[[as_built]]\npart = "a"\nlength = 9\n\n[[as_built]]\npart = "frame.hoop"\nleg_a = 99\n'
    )
    assert "no part of that id" in text
    assert "drawn 1300" in text
