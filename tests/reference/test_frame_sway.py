"""A tall post that sways by millimetres under a short stiff arm: its forces are the load's, by statics."""

import numpy as np
import pytest

from rackgen.strength.model import Action, Elastic, FrameModel, Member, Node, NodeLoad, Properties, Support
from rackgen.strength.solve import solve
from tests.frames import INF

STEEL = Elastic(210_000.0, 80_770.0)
POST = Properties(453.4, 115_857.0, 115_857.0, 231_714.0)
ARM = Properties(*(1e3 * own for own in (POST.area, POST.iy, POST.iz, POST.j)))
HIGH, OUT, PUSH = 2500.0, 1.5, 500.0


def test_a_stiff_arm_on_a_tall_post_carries_what_is_put_on_it() -> None:
    nodes = (
        Node("foot", (0, 0, 0)),
        Node("top", (0, 0, HIGH)),
        Node("tip", (OUT, 0, HIGH)),
        Node("far", (80, 0, HIGH)),
    )
    members = (
        Member("post", "foot", "top", "tube", POST, STEEL, (1, 0, 0), "post"),
        Member("arm", "top", "tip", "link", ARM, STEEL, (0, 0, 1), "arm"),
        Member("rail", "tip", "far", "tube", POST, STEEL, (0, 0, 1), "rail"),
    )
    push = Action("push", "", (NodeLoad("far", (PUSH, PUSH, 0.0)),))
    found = solve(FrameModel(nodes, members, (Support("foot", (INF,) * 6),), actions=(push,)))
    # Roark, cantilever: P l^3 / (3 E I), 107 mm, of which the arm of 1.5 mm gives less than a millionth.
    assert found.moved[1, 0, 0] == pytest.approx(PUSH * HIGH**3 / (3 * 210_000.0 * POST.iy), rel=1e-9)
    # Along the arm, across it and up: with plain double precision 6e-4 of the push is lost in it.
    assert found.ends[1, 1, :3, 0] == pytest.approx([PUSH, PUSH, 0.0], abs=1e-6 * PUSH)
    assert np.abs(found.supports[0, :2, 0] + PUSH).max() < 1e-7 * PUSH
    assert found.supports[0, 4, 0] == pytest.approx(-PUSH * HIGH, rel=1e-7)
