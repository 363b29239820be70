"""What a rating means for the check: looks and notes, and what the load test and the fitter's page make of it."""

import dataclasses

import pytest
from toy_strength import strong

from rackgen.errors import Level, RackgenError
from rackgen.spec.load import LoadWish
from rackgen.strength.findings import strength_findings, unrated
from rackgen.strength.rating import Caps
from rackgen.strength.rating_plate import is_rated, plate_lines
from rackgen.strength.report_rows import too_much


def with_event(case: str, use: float):
    found = strong()
    cases = tuple(dataclasses.replace(c, id=case) if c.id == "person" else c for c in found.model.cases)
    event = dataclasses.replace(found.moving.used[0], case=case, use=use)
    return dataclasses.replace(found, model=dataclasses.replace(found.model, cases=cases), events=(event,))


def levels(found, wish=LoadWish()):  # noqa: B008
    return [f.level for f in strength_findings(found, wish) if f.code == "not-for-this"]


@pytest.mark.parametrize("case", ["straps", "tie-upright.rear[1]", "person-pulls-rear-left", "generator"])
def test_what_the_plate_does_not_forbid_is_a_look(case):
    """A strap, a pull, and a case of the user's own over 100 %: nobody reads of them on the plate."""
    assert levels(with_event(case, 1.02)) == [Level.LOOK]
    assert levels(with_event(case, 0.99)) == []


@pytest.mark.parametrize("case", ["person-on-rear-left", "person-middle"])
def test_standing_on_it_is_a_note_where_the_plate_forbids_it_and_nobody_asked_to(case):
    found = with_event(case, 1.13)
    assert "DO NOT STAND ON IT" in plate_lines(found, "mm", "r")
    assert levels(found) == [Level.NOTE]
    assert levels(found, LoadWish(person=95.0)) == [Level.LOOK]
    # A plate that allows no load says that instead.
    unrated_for = dataclasses.replace(found, moving=dataclasses.replace(found.moving, vehicle=0.0))
    assert levels(unrated_for) == [Level.LOOK]


def test_wind_over_a_light_load_stays_a_note():
    assert levels(with_event("lift", 1.2)) == [Level.NOTE]


def test_the_fitter_reads_the_worst_of_each_kind_that_is_too_much():
    assert too_much(with_event("straps", 0.99), "mm") == ()
    assert too_much(with_event("straps", 1.234), "mm") == ("a person in the middle: 123% of what its checks allow",)


def test_a_parked_wish_is_held_to_the_structure_and_the_roofs_cap_is_said():
    # By itself 120 - 48 = 72 kg, and some 166 kg parked by the toy's lines.
    found = strong()
    structure = found.parked.structure
    less = next(f for f in strength_findings(found, LoadWish(parked=structure + 50)) if f.code == "carries-less")
    assert less.level is Level.LOOK
    assert "on this vehicle the roof limit leaves 72 kg, which is for a moving one" in less.text
    held = next(f for f in strength_findings(found, LoadWish(parked=100.0)) if f.code == "carries-less")
    assert held.level is Level.NOTE
    assert "the rack carries them; on this vehicle the roof limit leaves 72 kg" in held.text
    assert not [f for f in strength_findings(found, LoadWish(parked=70.0)) if f.code == "carries-less"]
    alone = strong(Caps(None, 48.0))
    assert not [f for f in strength_findings(alone, LoadWish(parked=100.0)) if f.code == "carries-less"]


def test_what_is_not_known_is_a_look_and_the_plate_of_a_full_roof_allows_nothing():
    assert unrated(RackgenError("the grade is not known")).level is Level.LOOK
    assert not is_rated(strong(Caps(48.5, 48.0)))
    assert is_rated(strong())
