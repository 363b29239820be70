"""Both demo racks solved the second way: by how members give, not by how stiff they are."""

import numpy as np
import pytest

from rackgen import job
from rackgen.spec.read import read_job
from rackgen.strength.reckon import loaded_model
from rackgen.strength.solve import solve
from tests.frame_solver import solved

pytestmark = pytest.mark.racks

AGREE = 1e-5
"""Share of each action's largest force; arms some thousand times as stiff as tubes cost both ways some digits."""


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_a_demo_rack_has_the_same_forces_both_ways(name: str) -> None:
    asked = read_job(f"presets/racks/{name}.toml")
    model = loaded_model(job.design(asked).rack, asked.vehicle, asked.spec.load)
    assert len(model.members) > 200
    assert len(model.actions) > 16
    first, second = solve(model), solved(model)
    for n, action in enumerate(model.actions):
        for one, other in ((first.ends, second.ends), (first.supports, second.supports), (first.moved, second.moved)):
            for rows in (slice(0, 3), slice(3, 6)):
                a, b = one[..., rows, n], other[..., rows, n]
                size = np.abs(b).max()
                assert np.abs(a - b).max() <= AGREE * size + 1e-9, action.id
