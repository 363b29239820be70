"""The handbook's roof limit counts the rack itself."""

import dataclasses

import pytest

from rackgen import job
from rackgen.check.load import load_findings
from rackgen.errors import Level
from rackgen.spec.read import read_job


@pytest.mark.parametrize(
    ("limit", "levels"), [(None, []), (120.0, []), (60.0, [Level.LOOK]), (40.0, [Level.STOP]), (1.0, [Level.STOP])]
)
def test_a_rack_heavier_than_the_roof_limit_is_a_stop(limit: float | None, levels: list[Level]) -> None:
    asked = read_job("demo")
    vehicle = dataclasses.replace(asked.vehicle, roof_limit=limit)
    found = load_findings(job.design(asked).rack, vehicle)
    assert [f.level for f in found] == levels
    assert all(f.unit == "kg" and f.got is not None and 45 < f.got < 50 for f in found)
