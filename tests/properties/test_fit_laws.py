"""Whatever the roof: hoops stay planar, bends keep their angles but for the legs' drop, saddles seat, gaps are kept."""

from dataclasses import replace
from functools import cache

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.check.clearance import gaps
from rackgen.design.build import layout
from rackgen.design.settle import Truth, bench, settle
from rackgen.geom import spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.resolve import resolve
from rackgen.spec.read import read_job
from tests.unit.test_pose import reshaped

read = cache(read_job)


@st.composite
def rises(draw: st.DrawFn):
    """Give what a roof is higher by than the demo's: crowned both ways, raked, leaning, and with a bump to one side."""
    across, along = draw(st.floats(-20.0, 60.0)), draw(st.floats(-10.0, 40.0))
    rake, lean = draw(st.floats(-0.08, 0.08)), draw(st.floats(-0.06, 0.06))
    bump, x0, y0 = draw(st.floats(-8.0, 8.0)), draw(st.floats(200.0, 1000.0)), draw(st.floats(-450.0, 450.0))

    def rise(x: float, y: float) -> float:
        dome = -across * (y / 600) ** 2 - along * ((x - 630) / 630) ** 2
        dent = bump * float(np.exp(-(((x - x0) / 250) ** 2) - ((y - y0) / 200) ** 2))
        return dome - rake * x - lean * y + dent

    return rise


@settings(max_examples=10)
@given(rises(), st.sampled_from(["auto", "straight", "tail"]), st.sampled_from([0.0, 1.5]))
def test_a_rack_on_any_roof_can_be_bent_seats_and_keeps_its_gaps(rise, leg: str, roll: float) -> None:
    asked = read("demo")
    spec = replace(asked.spec, frame=replace(asked.spec.frame, cross_bars=None, leg=leg, roll=roll))  # type: ignore[arg-type]
    vehicle = reshaped(asked.vehicle, rise)
    rack, _ = resolve(layout(spec, asked.shop, vehicle))

    for placed in rack.placed:
        part = placed.part
        if not isinstance(part, BentTube) or not part.spine.bends:
            continue
        angles = sorted(round(b.angle, 6) for b in part.spine.bends)
        drops = [a for a in angles if a != 90.0]
        # Only the frame's legs may bend otherwise: both alike, once each.
        assert not drops or placed.id.startswith("frame."), placed.id
        assert len(set(drops)) <= 1, placed.id
        assert all(a <= 45.0 for a in drops)
        straight = part.spine if not drops else None
        if straight is not None:
            there = [spine.frame_at(straight, s).origin for s in np.linspace(0, spine.length(straight), 60)]
            points = np.array(there)
            assert np.linalg.svd(points - points.mean(axis=0))[1][2] < 1e-6, placed.id

    # Put together as drawn, nothing stands open: each saddle's cope seats on its tube, its foot on its plate.
    settled = settle(bench(rack, vehicle, asked.shop.isolator), {}, Truth()).gaps()
    assert sum(joint.endswith(".saddle.top") for joint in settled) == len(vehicle.front)
    assert max(settled.values()) < 0.05, max(settled.items(), key=lambda item: item[1])

    near = [
        (g.part, g.gap - g.limit)
        for g in gaps(rack, vehicle.roof, spec.gaps)
        if g.part.startswith("frame.") and g.gap is not None and g.limit is not None
    ]
    assert min(gap for _, gap in near) > -0.5, sorted(near, key=lambda n: n[1])[:3]
