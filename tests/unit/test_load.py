"""The handbook's roof limit counts the rack itself."""

import dataclasses

import pytest

from rackgen import job, paper
from rackgen.check.load import load_findings
from rackgen.errors import Level
from rackgen.spec.read import read_job

SAID = ("strength", "cautions", "installation", "quotation")
"""Sheets that speak of the handbook's limit."""


def test_a_bed_frame_falls_under_the_beds_limit_and_every_sheet_says_so() -> None:
    made = job.strong(job.design(read_job("hedge-layer")))
    vehicle, rack = made.job.vehicle, made.rack
    assert vehicle.bed_limit == pytest.approx(440 * 0.45359237)
    assert vehicle.roof_limit is None
    found = load_findings(rack, dataclasses.replace(vehicle, roof_limit=500.0, bed_limit=30.0))
    assert [f.level for f in found] == [Level.STOP]
    assert "the bed limit of 30 kg" in found[0].text
    assert "bed_limit" in found[0].keys
    sheets = {name: paper.SHEETS[name](made)[1] for name in SAID}
    assert any("ed limit" in text for text in sheets.values())
    assert not [name for name, text in sheets.items() if "oof limit" in text]


@pytest.mark.parametrize(
    ("limit", "levels"), [(None, []), (120.0, []), (60.0, [Level.LOOK]), (40.0, [Level.STOP]), (1.0, [Level.STOP])]
)
def test_a_rack_heavier_than_the_roof_limit_is_a_stop(limit: float | None, levels: list[Level]) -> None:
    asked = read_job("demo")
    vehicle = dataclasses.replace(asked.vehicle, roof_limit=limit)
    found = load_findings(job.design(asked).rack, vehicle)
    assert [f.level for f in found] == levels
    assert all(f.unit == "kg" and f.got is not None and 45 < f.got < 50 for f in found)
