"""The demo rack comes out as shop practice says such a rack is built (common practice, no source)."""

from __future__ import annotations

from functools import cache

import pytest

from rackgen import job
from rackgen.errors import Level
from rackgen.made import Design
from rackgen.parts import measure
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar, Part
from rackgen.parts.marks import lines
from rackgen.spec.read import read_job


@cache
def demo() -> Design:
    """Design and check the demo once."""
    return job.checked(job.design(read_job("demo")))


def part(part_id: str) -> Part:
    """Give one part of the demo."""
    return demo().rack.part(part_id).part


def tube(part_id: str) -> BentTube:
    """Give one tube of the demo."""
    found = part(part_id)
    assert isinstance(found, BentTube)
    return found


def test_hoops_are_cut_to_the_usual_lengths() -> None:
    """Ring hoop: back 766.3, legs 403.15, cut 1949.6. Frame hoop: back 876.3, legs 1163.15, cut 3579.6."""
    ring, frame = tube("basket.lower.front"), tube("frame.hoop")
    assert ring.spine.straights == pytest.approx((403.15, 766.3, 403.15), abs=0.01)
    assert measure.saw_length(ring) == pytest.approx(1949.6, abs=0.05)
    assert frame.spine.straights == pytest.approx((1163.15, 876.3, 1163.15), abs=0.01)
    assert measure.saw_length(frame) == pytest.approx(3579.6, abs=0.05)


def test_saddles_are_45_high() -> None:
    """From plate top to the underside of the tube."""
    stub = demo().rack.part("mount.front_left.saddle")
    plate = demo().rack.part("mount.front_left.plate")
    bar = demo().rack.part("frame.bar[1]")
    foot = plate.frame.point((0, 0, 4.0))[2]
    assert bar.frame.origin[2] - 33.7 / 2 - foot == pytest.approx(45.0, abs=0.2)
    assert isinstance(stub.part, BentTube)


def test_one_mark_a_shape() -> None:
    """Four ring hoops, four bearers and eight uprights are one line each; sleeves are whole 28 × 2, 100 long."""
    found = {line.placed[0].word: line for line in lines(demo().rack)}
    counts = {word: len(found[word].placed) for word in ("ring hoop", "bearer", "upright", "sleeve", "clamp pad")}
    assert counts == {"ring hoop": 4, "bearer": 4, "upright": 8, "sleeve": 4, "clamp pad": 4}
    sleeve = tube("basket.lower.sleeve.left")
    assert (sleeve.stock.section, sleeve.slit, measure.saw_length(sleeve)) == (sleeve.section, None, 100.0)
    assert sleeve.section.od == 28.0


def test_flats_are_the_usual_ones() -> None:
    """Strap 110 and 180, inside radius 8; wrap 60 and 45 round 45; side plate 391 × 114; pad 120 × 90."""
    strap, wrap = part("mount.rear_left.strap"), part("mount.rear_left.wrap")
    assert isinstance(strap, FoldedBar)
    assert isinstance(wrap, FoldedBar)
    assert sorted(strap.flats) == pytest.approx([110.0, 180.0], abs=0.6)
    assert strap.folds[0].inside_radius == 8.0
    assert sorted(wrap.flats) == [45.0, 60.0]
    assert wrap.folds[0].inside_radius == 45.0
    for part_id, size in (("basket.plate.left", (391.1, 114.3)), ("basket.clamp.left[1].pad", (120.0, 90.0))):
        plate = part(part_id)
        assert isinstance(plate, CutPlate)
        spread = [max(v) - min(v) for v in ([p.x for p in plate.outline], [p.y for p in plate.outline])]
        assert sorted(spread, reverse=True) == pytest.approx(size, abs=0.1), part_id


def test_brace_is_110_long() -> None:
    """From 50 down to 98 forward of the strap's inner corner."""
    brace = part("mount.rear_left.brace")
    assert isinstance(brace, FoldedBar)
    assert brace.flats[0] == pytest.approx(110.0, abs=0.1)


def test_mass_is_what_such_a_rack_weighs() -> None:
    """About 48 kg with weld metal and coating; 46 to 49 before."""
    total = sum(measure.mass(p.part) for p in demo().rack.placed)
    assert 45.5 < total < 49.5


def test_the_demo_is_cleared() -> None:
    """No stop, and at most five looks."""
    levels = [f.level for f in demo().findings]
    assert levels.count(Level.STOP) == 0
    assert levels.count(Level.LOOK) <= 5
