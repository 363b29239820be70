"""The cautions speak the shop's unit."""

import pytest

from rackgen import job, paper
from rackgen.parts.measure import mass
from rackgen.sheets.cautions import top
from rackgen.sheets.shares import roof_under
from rackgen.spec.read import read_job
from rackgen.units import write_length


@pytest.mark.parametrize(
    ("rack", "unit", "step", "other"), [("demo", "mm", 1, " in above"), ("survey-crew", "in", 1 / 16, " mm above")]
)
def test_the_height_is_in_the_shops_unit(rack: str, unit: str, step: float, other: str) -> None:
    made = job.design(read_job(rack))
    _, text, _ = paper.SHEETS["cautions"](made)
    roof = roof_under(made.rack, made.job.vehicle)
    assert roof is not None
    assert f"stands {write_length(top(made.rack) - roof, unit, step)} {unit} above the roof's highest place" in text
    assert "z is 0" not in text
    assert other not in text


def test_the_load_left_is_the_roof_limit_without_the_rack() -> None:
    made = job.design(read_job("demo"))
    _, text, _ = paper.SHEETS["cautions"](made)
    limit = made.job.vehicle.roof_limit
    assert limit is not None
    assert f"at most {limit - sum(mass(p.part) for p in made.rack.placed):.0f} kg of load" in text
