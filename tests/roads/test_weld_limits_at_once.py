"""Every weld of a frame asked in one go, and one by one by its own line: the same force per length."""

import numpy as np
import pytest

from rackgen import job
from rackgen.spec.read import read_job
from rackgen.strength.reckon import reckon
from rackgen.strength.weld_limits import all_at_once, welded

pytestmark = pytest.mark.racks


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
@pytest.mark.parametrize("payload", [0.0, 60.0])
def test_welds_asked_at_once_bear_what_each_bears(name: str, payload: float) -> None:
    asked = read_job(name)
    rack = job.design(asked).rack
    found = reckon(rack, asked.vehicle, asked.shop, asked.spec.load, quick=True)
    welds = welded(found.model, rack, asked.shop)
    loaded = found.answer.loaded(payload)
    one_by_one = np.stack([w.per_length(loaded) for w in welds])
    assert len(welds) > 40
    assert np.allclose(all_at_once(welds)(loaded), one_by_one, rtol=1e-9, atol=1e-9 * float(one_by_one.max()))
