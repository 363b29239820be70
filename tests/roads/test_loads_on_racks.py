"""Loads on whole racks: what acts is what the parts weigh, and the vehicle bears all of it."""

from dataclasses import replace

import numpy as np
import pytest
from toy_floors import named, total

from rackgen import job
from rackgen.parts import measure
from rackgen.spec.read import read_job
from rackgen.strength.actions import actions
from rackgen.strength.cases import cases
from rackgen.strength.frame_model import frame_model
from rackgen.strength.load_nodes import split_for_load
from rackgen.strength.model import GRAVITY
from rackgen.strength.solve import solve

pytestmark = pytest.mark.racks


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_every_load_on_a_rack_reaches_the_vehicle(name: str) -> None:
    asked = read_job(name)
    made = job.design(asked)
    model = split_for_load(frame_model(made.rack, made.job.vehicle))
    wish = asked.spec.load
    model = replace(model, actions=actions(model, wish), cases=cases(wish, model))
    assert len(model.actions) < 60
    assert len(model.cases) < 40
    weight = total(model, named(model.actions, "own-down"))[0][2] / -GRAVITY
    # A frame of centrelines knows nothing of what copes cut away: it is a little heavier than the parts.
    parts = sum(measure.mass(p.part) for p in made.rack.placed)
    assert weight == pytest.approx(parts, rel=0.03)
    answer = solve(model)
    borne = np.zeros((3, len(model.actions)))
    for k, support in enumerate(model.supports):
        x, z = np.array(support.x), np.array(support.z)
        borne += np.array([x, np.cross(z, x), z]).T @ answer.supports[k, :3, :]
    acting = np.array([total(model, action)[0] for action in model.actions]).T
    assert borne == pytest.approx(-acting, abs=1e-2)


def test_the_demo_shows_a_case_of_its_own() -> None:
    load = read_job("demo").spec.load
    assert [case.id for case in load.cases] == ["generator"]
    assert load.speed == 110.0
    assert load.parked == 300.0
