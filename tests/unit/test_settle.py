"""Parts as made, put together: no deviation gives no gap, and one deviation gives the gap worked by hand."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rackgen import job
from rackgen.design.as_made import Source
from rackgen.design.fit_up import Bench
from rackgen.design.rest import rest
from rackgen.design.roof_spots import counts, felt
from rackgen.design.settle import Truth, bench, settle
from rackgen.design.tolerance import study, truth_of, whole
from rackgen.parts.kinds import BentTube
from rackgen.spec.read import read_job
from rackgen.spec.spread import Spreads

pytestmark = pytest.mark.racks


@cache
def demo(name: str = "demo") -> Bench:
    made = job.design(read_job(name))
    return bench(made.rack, made.job.vehicle, made.job.shop.isolator)


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_without_deviation_there_is_no_gap(name: str) -> None:
    gaps = settle(demo(name), {}, Truth()).gaps()
    assert len(gaps) > 40
    # Sizes are snapped to 0.001 mm and 0.001 deg: over a leg of a metre that is under 0.02 mm.
    assert max(gaps.values()) < 0.02


def test_zero_spread_gives_zero_gap() -> None:
    nothing = Spreads(0, 0, 0, 0, 0, 0, 0, 0)
    found = study(demo(), nothing, samples=60, full=2)
    assert max(j.high for j in found.joints) < 0.02
    assert found.dry_fit == ()


def test_a_bend_opened_by_one_degree_opens_the_rear_bar_as_worked_by_hand() -> None:
    """Across from the back's tangent the leg lies at CLR sin b + s cos b, with b the bend and s how far down the leg.

    A bar between two legs sits in the middle: half of what is missing stands open at either end.
    """
    on = demo()
    hoop = on.placed["frame.hoop"].part
    assert isinstance(hoop, BentTube)
    clr = hoop.spine.bends[0].clr
    bar = next(j for j in on.rack.joints if j.id == "frame.bar[2].left")
    s = hoop.spine.straights[0] - bar.b.at  # type: ignore[union-attr]
    found = settle(on, {Source("frame.hoop", "bend", 0, 1.0): -1.0}, Truth())
    missing = s * math.sin(math.radians(1.0)) - clr * (1 - math.cos(math.radians(1.0)))
    # Straight ahead the opening is read in full; the leg leans one degree across the width of the bar.
    assert float(np.max(found.off["frame.bar[2].left"])) == pytest.approx(missing / 2, rel=0.03)
    assert found.gaps()["frame.bar[2].right"] == pytest.approx(missing / 2, rel=0.35)


def test_a_longer_bar_runs_into_both_legs_by_half() -> None:
    found = settle(demo(), {Source("frame.bar[1]", "straight", 0, 1.0): 1.0}, Truth())
    for side in ("left", "right"):
        off = found.off[f"frame.bar[1].{side}"]
        assert float(np.min(off)) == pytest.approx(-0.5, abs=0.02)


def test_a_higher_roof_under_one_mount_lifts_that_side() -> None:
    on = demo()

    def roof(x: object, y: object) -> np.ndarray:
        return on.vehicle.roof.height(x, y) + np.where(np.asarray(y) < 0, 2.0, 0.0)

    found = settle(on, {}, Truth(roof))
    left, right = (found.frames[f"mount.front_{side}.plate"].origin[2] for side in ("left", "right"))
    drawn = [on.placed[f"mount.front_{side}.plate"].frame.origin[2] for side in ("left", "right")]
    assert left - drawn[0] == pytest.approx(2.0, abs=0.05)
    assert right - drawn[1] == pytest.approx(0.0, abs=0.05)
    # The frame tips over both saddles: no gap there, its two ends 2 mm apart over the width between the mounts.
    bar = found.frames["frame.bar[1]"]
    slope = abs(bar.x[2])
    assert slope == pytest.approx(2.0 / (2 * 467.0), rel=0.05)


@pytest.mark.parametrize("angle", [0.0, 30.0, 60.0])
def test_one_leg_of_spread_s_at_an_angle_gives_plus_and_minus_1_96_s_cos_a(angle: float) -> None:
    """A strap's fold that scatters by s turns the top flat's end; its gap along the normal is linear in it.

    Worked the other way: a body on three supports, one of which scatters along a direction at the angle to the contact.
    """
    s = 0.5
    draws = np.random.default_rng(7).standard_normal(200_000) * s * math.cos(math.radians(angle))
    points = np.array([(-300.0, -200.0), (-300.0, 200.0), (400.0, 0.0)])
    gaps = np.zeros((len(draws), 3))
    gaps[:, 2] = -draws
    pose = rest(points, gaps)
    lifted = pose @ np.array([1.0, 400.0, 0.0])
    low, high = np.percentile(lifted, (2.5, 97.5))
    assert high == pytest.approx(1.96 * s * math.cos(math.radians(angle)), rel=0.02)
    assert low == pytest.approx(-1.96 * s * math.cos(math.radians(angle)), rel=0.02)


def test_a_body_on_four_supports_rests_on_three() -> None:
    points = np.array([(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)]) * 100 + (7.0, 11.0)
    pose = rest(points, np.array([[0.0, 1.0, 0.0, 0.0]]))[0]
    off = pose[0] + points @ pose[1:] + np.array([0.0, 1.0, 0.0, 0.0])
    assert np.sort(np.abs(off))[:3] == pytest.approx([0, 0, 0], abs=1e-9)
    assert off.min() > -1e-9


@pytest.mark.parametrize("name", ["demo"])
def test_slopes_agree_with_full_samples(name: str) -> None:
    found = study(demo(name), Spreads())
    assert found.samples == 2000
    assert found.full == 50
    assert found.off < 0.10
    assert {j.joint for j in found.joints} >= {"frame.bar[1].left", "mount.front_left.plate.skin"}
    straps = [j for j in found.joints if j.joint.endswith(".strap")]
    assert straps
    assert all(j.drivers[0][0].kind in ("fold", "lean") for j in straps)


def test_what_a_roof_s_reading_counts_where_it_is_felt_is_what_it_does() -> None:
    """The chain over the places that feel the roof, against the roof with that one reading changed."""
    on = demo()
    spots = felt(on)
    readings = [Source("roof", "crown", 1, 1.0), Source("roof.station[2]", "drop", 0, 1.0)]
    readings += [Source("roof.station[6]", "drop", 5, 1.0)]
    roof = on.vehicle.roof
    for row, reading in zip(counts(roof, spots, readings), readings, strict=True):
        true = truth_of(on.vehicle, {reading: 1.0}).roof
        assert true is not None
        assert row == pytest.approx(true(spots.x, spots.y) - roof.height(spots.x, spots.y), abs=1e-9)
    assert np.abs(counts(roof, spots, readings)).max() > 0.3


def test_a_scan_s_scatter_stands_for_the_tape_s() -> None:
    """Of a roof out of a scan the readings are off by the scatter of its points, and are ranked together."""
    taped = demo()
    scanned = replace(taped, vehicle=replace(taped.vehicle, roof_scatter=3.0))
    still = Spreads(0, 0, 0, 0, 0, 0, 0.7, 0)
    by_tape, by_scan = study(taped, still, full=0), study(scanned, still, full=0)
    skin = "mount.front_left.plate.skin"
    high = {id(s): {j.joint: j for j in s.joints}[skin] for s in (by_tape, by_scan)}
    assert high[id(by_scan)].high == pytest.approx(high[id(by_tape)].high * 3.0 / 0.7, rel=0.02)
    assert [s.kind for s, _ in high[id(by_scan)].drivers] == ["scan"]
    assert high[id(by_scan)].drivers[0][1] == pytest.approx(1.0)
    assert by_scan.scatter == 3.0


def test_a_sample_put_together_whole_is_the_same_each_time() -> None:
    deviations = {Source("roof", "crown", 1, 0.7): 0.6, Source("frame.hoop", "bend", 1, 0.1): 0.08}
    assert whole(demo(), deviations).gaps() == whole(demo(), deviations).gaps()


def test_bows_stand_each_on_its_own_feet() -> None:
    """A bow that came out otherwise shifts no foot of another: every foot is placed from the vehicle."""
    on = demo("window-cleaner")
    feet = [j.id for j in on.rack.joints if j.kind == "plane weld" and on.placed[j.a.part].word == "bow"]
    assert len(feet) >= 4
    still = settle(on, {}, Truth()).gaps()
    first = on.placed["frame.bow[1]"].id
    twisted = settle(on, {Source(first, "bend", 0, 1.0): 0.5, Source(first, "turn", 1, 1.0): 0.5}, Truth()).gaps()
    others = [f for f in feet if not f.startswith(f"{first}.")]
    assert max(abs(twisted[f] - still[f]) for f in others) < 0.02
    assert max(twisted[f] for f in feet) > 0.05
    found = study(on, Spreads(), samples=200, full=0)
    assert max(j.high for j in found.joints if j.joint in feet) < 2.5
