"""Parts that are made already stay as measured; what lands on them is cut to them."""

import math
from pathlib import Path

import pytest

from rackgen import job
from rackgen.design.settle import Truth, bench, settle
from rackgen.errors import BadInput, Finding, Level
from rackgen.made import Design
from rackgen.parts.compare import compare
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import OnFace
from rackgen.sheets.seats import seats
from rackgen.spec.read import read_job
from tests.ten_roofs import read

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
        ('part = "mount.front_left.plate"\nlength = 120', "a flat plate has no size"),
        ('part = "mount.front_left.plate"\nfolds = [3]', "a flat plate has no size"),
        ('part = "basket.clamp.left[1].u_bolt[1]"\nlength = 100', "a bought part has no size"),
        ('part = "frame.hoop"', "at least one size"),
        ('part = "mount.rear_left.strap"\nfolds = [91, 90]', "it has 1"),
    ],
)
def test_a_measurement_that_no_such_part_can_have_is_refused(tmp_path: Path, entry: str, says: str) -> None:
    assert says in refused(tmp_path, f"\n[[as_built]]\n{entry}\n")


def apart(one: Design) -> list[Finding]:
    return [f for f in one.findings if f.code == "as-built-apart"]


def test_what_is_not_cut_to_a_made_hoop_is_said_with_how_far_off_it_is(tmp_path: Path) -> None:
    """A leg moves out by half of what the hoop is wider: straps and stops on it are off by that."""
    assert apart(made(tmp_path, '\n[[as_built]]\npart = "frame.hoop"\noutside_width = 1150\n')) == []
    (look,) = apart(made(tmp_path, '\n[[as_built]]\npart = "frame.hoop"\noutside_width = 1156\n'))
    assert look.level is Level.LOOK
    assert look.got == pytest.approx(3.0, abs=0.01)
    assert look.parts[0] == "frame.hoop"
    assert any(p.startswith("mount.rear_") for p in look.parts)
    # Cross bars are cut to it: they are not left behind.
    assert not any(p.startswith("frame.bar") for p in look.parts)


def test_a_strap_as_folded_keeps_its_body_flat_and_its_top_is_off_by_the_lever(tmp_path: Path) -> None:
    """One degree more over the top flat: at the leg's joint the lever from the fold times the turn, by hand."""
    drawn = job.design(read_job("demo")).rack
    now = made(tmp_path, '\n[[as_built]]\npart = "mount.rear_left.strap"\nflats = [110, 182]\nfolds = [92]\n')
    strap, before = now.rack.part("mount.rear_left.strap"), drawn.part("mount.rear_left.strap")
    assert isinstance(strap.part, FoldedBar)
    assert isinstance(before.part, FoldedBar)
    assert strap.part.flats == (110.0, 182.0)
    assert abs(strap.part.folds[0].angle) == 92.0
    # The longest flat, on the body, stays at its middle; its fold is then 1 mm higher.
    (look,) = apart(now)
    assert look.parts[0] == "mount.rear_left.strap"
    assert look.got is not None
    top = 110 / 2 + before.part.section.width
    assert 1.0 < look.got < 1.5 + top * math.radians(2) * 2
    joint = next(j for j in now.rack.joints if j.id == "mount.rear_left.strap")
    was = next(j for j in drawn.joints if j.id == "mount.rear_left.strap")
    # It lands on the top flat, before the fold: along the blank its place keeps its distance from the fold.
    assert isinstance(joint.a, OnFace)
    assert isinstance(was.a, OnFace)
    assert joint.a.x == pytest.approx(was.a.x, abs=1e-9)


def test_a_plate_s_breaks_as_measured_change_the_gaps_at_its_fasteners(tmp_path: Path) -> None:
    """On the roof with a domed front the plates have a break; one came out flatter."""
    read("domed", tmp_path)
    file = tmp_path / "racks" / "domed.toml"
    drawn = job.design(read_job(file))
    part = next(p for p in drawn.rack.placed if p.word == "mount plate")
    assert isinstance(part.part, CutPlate)
    (line,) = part.part.breaks
    flatter = abs(line.angle) - 1.5
    file.write_text(file.read_text() + f'[[as_built]]\npart = "{part.id}"\nfolds = [{flatter}]\n')
    now = job.design(read_job(file))
    plate = now.rack.part(part.id).part
    assert isinstance(plate, CutPlate)
    assert plate.breaks[0].angle == pytest.approx(math.copysign(flatter, line.angle))

    def holes(one: Design) -> list[float]:
        found = seats(one.rack, one.job.shop, one.job.vehicle)
        return [h.gap for s in found if f"mount.{s.mount}.plate" == part.id for h in s.holes if h.gap is not None]

    # By hand: each half of the plate turns by half of what the break is flatter, about the line.
    off = [abs(h.x - line.point[0]) * math.tan(math.radians(1.5 / 2)) for h in plate.holes]
    assert line.direction == 90.0
    assert [b - a for a, b in zip(holes(drawn), holes(now), strict=True)] == pytest.approx(off, abs=0.01)
    file.write_text(file.read_text().replace(f"[{flatter}]", "[1.0, 2.0]"))
    with pytest.raises(BadInput, match="it has 1"):
        job.design(read_job(file))


def test_all_mistakes_come_at_once_with_their_lines(tmp_path: Path) -> None:
    text = refused(
        tmp_path, '\n[[as_built]]\npart = "a"\nlength = 9\n\n[[as_built]]\npart = "frame.hoop"\nleg_a = 99\n'
    )
    assert "no part of that id" in text
    assert "drawn 1300" in text
