"""Details a fabricator looks for: drains that drain, bedding wherever metal lies on paint, wraps that can be welded."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rackgen import job
from rackgen.geom import spine
from rackgen.parts.kinds import BentTube, Bought, CapShape, CutPlate, FoldedBar, PadShape
from rackgen.parts.rack import AtEnd, Rack
from rackgen.spec.read import read_job

RACKS = ("demo", "survey-crew")


@cache
def rack(name: str) -> Rack:
    """Design a shipped rack once."""
    return job.design(read_job(name)).rack


@pytest.mark.parametrize("name", RACKS)
def test_no_hole_lies_under_a_cap(name: str) -> None:
    """The plug of a cap is as wide as the bore, so a drain must be clear of its depth."""
    found = 0
    for joint in rack(name).joints:
        placed = rack(name).part(joint.a.part)
        if not (isinstance(placed.part, Bought) and isinstance(placed.part.shape, CapShape)):
            continue
        assert isinstance(joint.b, AtEnd)
        tube = rack(name).part(joint.b.part).part
        assert isinstance(tube, BentTube)
        length = spine.length(tube.spine)
        ends = [h.at if joint.b.end == "A" else length - h.at for h in tube.holes]
        nearest = min(zip(ends, tube.holes, strict=True), key=lambda e: e[0])
        assert nearest[0] - nearest[1].diameter / 2 > placed.part.shape.depth
        assert nearest[0] < 30.0
        found += 1
    assert found == 2


@pytest.mark.parametrize("name", RACKS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_every_flat_of_a_wrap_lies_on_bedding(name: str, side: str) -> None:
    """Points over both flats of the wrap, taken through to the skin, fall within one of the pads."""
    wrap = rack(name).part(f"mount.rear_{side}.wrap")
    pads = [p for p in rack(name).placed if p.id.startswith(f"mount.rear_{side}.bedding")]
    assert isinstance(wrap.part, FoldedBar)
    from rackgen.geom.fold import legs_and_arcs

    flats = [
        (f, n)
        for f, n, b in legs_and_arcs(
            wrap.part.flats, wrap.part.folds, wrap.part.section.thickness, wrap.part.section.width
        )
        if not b
    ]
    for frame, length in flats:
        # The last 10 mm at the inner end pass under the strap to be welded there.
        for along in np.linspace(0.0, length, 12):
            at = wrap.frame.then(frame).point((along, 0.0, 0.0))
            under = [_inside(p.part.shape, p.frame.to_local(at)) for p in pads if isinstance(p.part, Bought)]  # type: ignore[arg-type]
            assert any(under) or min(along, length - along) <= 10.0, (side, along, length)


def _inside(shape: PadShape, local: np.ndarray) -> bool:
    xs, ys = [v.x for v in shape.outline], [v.y for v in shape.outline]
    return min(xs) - 2 <= local[0] <= max(xs) + 2 and min(ys) - 2 <= local[1] <= max(ys) + 2 and abs(local[2]) < 20


def test_a_wrap_passes_under_the_strap_where_there_is_room() -> None:
    """The utility has 8 in to its shut line: the wrap comes out 6 mm past the strap, to be welded to both its edges."""
    joint = next(j for j in rack("survey-crew").joints if j.id == "mount.rear_left.wrap")
    assert joint.fixing == "lap fillet to both edges of the strap"
    tight = next(j for j in rack("demo").joints if j.id == "mount.rear_left.wrap")
    assert "outer edge" in tight.fixing


@pytest.mark.parametrize(("count", "along"), [(4, 65.0), (6, 100.0), (8, 135.0)])
def test_a_plate_on_the_roof_has_as_many_fasteners_as_are_asked_for(count: int, along: float) -> None:
    """Half of them on each side of the saddle, in rows 35 apart, and the plate as long as that takes."""
    asked = read_job("demo")
    spec = replace(asked.spec, mounts=replace(asked.spec.mounts, plate_rivets=count))
    part = job.design(replace(asked, spec=spec)).rack.part("mount.front_left.plate").part
    assert isinstance(part, CutPlate)
    assert len(part.holes) == count
    sides = np.ptp([(v.x, v.y) for v in part.outline], axis=0)
    assert sorted(sides) == pytest.approx(sorted((along, 120.0)), abs=0.01)


def test_clamp_pads_are_of_the_plate_that_is_asked_for() -> None:
    """And of the shelf's nearest to 5 mm otherwise."""
    asked = read_job("demo")
    thick = max((s for s, _ in asked.shop.sheets()), key=lambda s: s.section.thickness)
    for name, wanted in ((thick.name, thick.name), (None, "5 mm plate")):
        spec = replace(asked.spec, basket=replace(asked.spec.basket, pad=name))
        part = job.design(replace(asked, spec=spec)).rack.part("basket.clamp.left[1].pad").part
        assert isinstance(part, CutPlate)
        assert part.stock.name == wanted
