"""Racks cut from readings that are off, put together on the true roofs: what stands open where no dry fit is made."""

from pathlib import Path

import numpy as np
import pytest

from rackgen.design.build import layout
from rackgen.design.fit_up import Bench
from rackgen.design.settle import bench, settle
from rackgen.design.tolerance import study
from rackgen.parts.resolve import resolve
from rackgen.spec.read import Job
from tests.ten_roofs import TEN, measured_again, read, truth

pytestmark = pytest.mark.racks

WIDE = 25.4 / 16
"""What a gap at a joint that is not dry fitted may be, mm."""

SEED = 1_604
RACKS = 50
TAPE_SPREAD = 0.7
"""Where the random numbers start, how many racks are cut for each roof, and one standard deviation of the tape's error
on top of its rounding, mm."""

ALLOWED = (".strap", ".brace.lower", ".brace.upper", ".saddle.top", ".saddle.foot")
"""Ends of the ids of the joints that may be left for the dry fit: straps on the rear legs, braces, and front stubs."""


def benched(job: Job) -> Bench:
    built = layout(job.spec, job.shop, job.vehicle)
    return bench(resolve(built)[0], job.vehicle, job.shop.isolator)


def dry_fit(job: Job, on: Bench) -> tuple[str, ...]:
    """Give the list, fixed from the tolerance study of the rack as first measured."""
    found = study(on, job.shop.spread, samples=500, full=1)
    return tuple(j for j in found.dry_fit if j.startswith("mount.") and j.endswith(ALLOWED))


@pytest.mark.parametrize("name", sorted(TEN))
def test_racks_cut_from_erroneous_readings_fit_nineteen_times_of_twenty(name: str, tmp_path: Path) -> None:
    job = read(name, tmp_path)
    on = benched(job)
    rounded = settle(on, {}, truth(name, job.vehicle)).gaps()
    assert max(rounded.values()) < WIDE, sorted(rounded.items(), key=lambda item: -item[1])[:3]
    left = dry_fit(job, on)
    dice = np.random.default_rng(SEED)
    wide: list[dict[str, float]] = []
    for _ in range(RACKS):
        off = measured_again(job, name, dice, TAPE_SPREAD)
        gaps = settle(benched(off), {}, truth(name, off.vehicle)).gaps()
        wide.append({joint: gap for joint, gap in gaps.items() if gap > WIDE and joint not in left})
    assert sum(not w for w in wide) >= 0.95 * RACKS, [w for w in wide if w]
