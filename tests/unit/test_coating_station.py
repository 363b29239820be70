"""The coating station: every vent and drain is listed once, and what is masked is what the rack has."""

from functools import cache

import pytest

from rackgen import job
from rackgen.made import Design
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import marks
from rackgen.sheets.coating_station import coating_station, masking
from rackgen.sheets.openings import caps, openings
from rackgen.sheets.pages import Fields, Rows
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks


@cache
def made(name: str) -> Design:
    return job.design(read_job(name))


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_every_vent_and_drain_is_listed_once(name: str) -> None:
    rack = made(name).rack
    holes = sum(
        hole.purpose != "plug weld" for p in rack.placed if isinstance(p.part, BentTube) for hole in p.part.holes
    )
    assert sum(o.quantity for o in openings(rack)) == holes > 10


def test_drains_of_the_legs_look_down() -> None:
    drains = [o for o in openings(made("demo").rack) if o.purpose == "drain"]
    assert [o.word for o in drains] == ["frame hoop"] * 2
    assert {o.looks for o in drains} == {("down",)}


def test_masking_names_every_part_with_holes_for_fasteners() -> None:
    rack = made("demo").rack
    named = marks(rack)
    rows = {row[0] for row in masking(rack).rows}
    wanted = {named[p.id] for p in rack.placed if p.word in ("mount plate", "rear strap", "corner wrap", "clamp pad")}
    assert wanted <= rows


@pytest.mark.parametrize(("name", "film"), [("demo", "µm"), ("survey-crew", "mil")])
def test_the_film_is_in_the_shops_unit(name: str, film: str) -> None:
    one = made(name)
    station = coating_station(one.rack, one.job.shop)
    asked = [row for block in station.blocks if isinstance(block, Fields) for row in block.rows]
    assert any(film in value for _, value in asked)
    assert sum(isinstance(block, Rows) for block in station.blocks) == 3
    assert caps(one.rack)[0][1] == 2
