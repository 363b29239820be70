"""Parts as a shop makes them, through the frame model and the solver, against the strength of materials.

Sources: the quarter arc, Timoshenko, Strength of Materials part I, and Roark; cantilevers, any handbook;
the round-cornered hoop, computed by the force method with quadrature and by a frame solver, which agreed to four digits
(house reference values, not published). The stiffness of the model's own steel stands in every formula.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from rackgen.geom import section
from rackgen.geom.frame import Frame, Vec
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Along, AtEnd, Joint, Placed, Rack
from rackgen.refs.registry import number
from rackgen.spec.read import read_vehicle
from rackgen.spec.stock import Round, Stock
from rackgen.strength.frame_model import frame_model
from rackgen.strength.model import Action, FrameModel, LineLoad, NodeLoad, Support
from rackgen.strength.solve import Answer, solve

OD, WALL = 48.3, 3.2
STOCK = Stock("48.3 × 3.2", Round(OD, WALL), "steel", "S235JRH EN 10219-1", "bare", 6000.0)
E, G = number("young-steel").value, number("shear-steel").value
I = section.second_moment(OD, WALL)  # noqa: E741 as in every source
J, A = 2 * I, section.area(OD, WALL)
INF = math.inf
FIXED = (INF,) * 6
PINNED = (INF, INF, INF, 0.0, 0.0, 0.0)
P = 1000.0


def placed(name: str, line: Spine, frame: Frame | None = None) -> Placed:
    return Placed(name, BentTube(STOCK, line), frame or Frame(), "cross bar", 1)


def beams(*parts: Placed, joints: tuple[Joint, ...] = ()) -> FrameModel:
    return frame_model(Rack(parts, joints), read_vehicle("boxy-wagon-mm"))


def loaded(model: FrameModel, held: dict[str, tuple[float, ...]], *actions: Action) -> Answer:
    supports = tuple(Support(node, k) for node, k in held.items())  # type: ignore[arg-type]
    return solve(replace(model, supports=supports, actions=actions))


def node_near(model: FrameModel, at: Vec) -> str:
    return min(model.nodes, key=lambda n: math.dist(n.at, at)).id


def unstretched(model: FrameModel) -> FrameModel:
    """Give the model with tubes that bend and hardly stretch: the formulas leave the stretching out."""
    members = tuple(replace(m, properties=replace(m.properties, area=100 * m.properties.area)) for m in model.members)
    return replace(model, members=members)


def moved(model: FrameModel, answer: Answer, node: str, action: int = 0) -> np.ndarray:
    return answer.moved[[n.id for n in model.nodes].index(node), :, action]


def test_a_quarter_arc_pulled_out_of_its_plane() -> None:
    R = 150.0
    model = beams(placed("arc", Spine((0.0, 0.0), (Bend(90.0, R),))))
    tip = node_near(model, (R, 0.0, R))
    answer = loaded(model, {"arc:0": FIXED}, Action("p", "", (NodeLoad(tip, (0.0, P, 0.0)),)))
    exact = P * R**3 * (math.pi / 4 / (E * I) + (3 * math.pi / 4 - 2) / (G * J))
    assert moved(model, answer, tip)[1] == pytest.approx(exact, rel=0.005)


def test_a_quarter_arc_pulled_in_its_plane() -> None:
    R = 150.0
    model = beams(placed("arc", Spine((0.0, 0.0), (Bend(90.0, R),))))
    tip = node_near(model, (R, 0.0, R))
    actions = (Action("r", "", (NodeLoad(tip, (P, 0.0, 0.0)),)), Action("t", "", (NodeLoad(tip, (0.0, 0.0, P)),)))
    answer = loaded(unstretched(model), {"arc:0": FIXED}, *actions)
    # The tip's tangent looks along Z, its radius along X.
    assert moved(model, answer, tip, 0)[0] == pytest.approx(math.pi * P * R**3 / (4 * E * I), rel=0.005)
    assert moved(model, answer, tip, 1)[2] == pytest.approx(P * R**3 * (3 * math.pi / 4 - 2) / (E * I), rel=0.005)


def test_a_cantilever_bent_in_plan() -> None:
    a, b, clr = 600.0, 400.0, 20.0
    model = beams(placed("l", Spine((a - clr, b - clr), (Bend(90.0, clr),))))
    tip = node_near(model, (a, 0.0, b))
    answer = loaded(model, {"l:0": FIXED}, Action("p", "", (NodeLoad(tip, (0.0, P, 0.0)),)))
    # A sharp corner is a little farther round than the bend.
    sharp = P * a**3 / (3 * E * I) + P * b**3 / (3 * E * I) + P * b**2 * a / (G * J)
    assert moved(model, answer, tip)[1] == pytest.approx(sharp, rel=0.02)
    ends = answer.ends[:, :, :, 0]
    first = [m.id for m in model.members].index("l#0")
    assert np.linalg.norm(ends[first, 0, 4:]) == pytest.approx(P * a, rel=1e-6)
    assert abs(ends[first, 0, 3]) == pytest.approx(P * b, rel=1e-6)


HOOP = {"E": 205000.0, "L": 1200.0, "h": 300.0, "clr": 150.0}
"""The values of the hoop were computed for E 205000 and hold for any E where they are forces and moments."""


def hoop() -> FrameModel:
    half, h, clr = HOOP["L"] / 2, HOOP["h"], HOOP["clr"]
    line = Spine((h - clr, 2 * half - 2 * clr, h - clr), (Bend(90.0, clr), Bend(90.0, clr)))
    # Up along Z from the left foot, over along Y, down to the right one; a station in the middle for the load.
    frame = Frame.of((0.0, -half, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    stub = placed("stub", Spine((100.0,)), Frame.of((OD / 2, 0.0, h), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    middle = (h - clr) + clr * math.pi / 2 + (2 * half - 2 * clr) / 2
    joint = Joint("stub.weld", "coped weld", AtEnd("stub", "A"), Along("hoop", middle), "a")
    return beams(placed("hoop", line, frame), stub, joints=(joint,))


def along_hoop(model: FrameModel, force: float) -> tuple[LineLoad, ...]:
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    members = [m for m in model.members if m.part == "hoop"]
    # A load per mm of width on whatever of the hoop lies above: a chord has its own share of the width.
    return tuple(
        LineLoad(
            m.id, (0.0, 0.0, -force * abs(float((at[m.b] - at[m.a])[1])) / float(np.linalg.norm(at[m.b] - at[m.a])))
        )
        for m in members
    )


@pytest.mark.parametrize(
    ("feet", "load", "thrust", "way"),
    [
        (PINNED, "point", 481.47, None),
        (PINNED, "line", 385.92, None),
        (PINNED, "side", None, 0.4233),
        (FIXED, "point", 762.95, None),
        (FIXED, "line", 606.29, None),
        (FIXED, "side", None, 0.08675),
    ],
)
def test_a_hoop_with_round_corners(feet: tuple[float, ...], load: str, thrust: float | None, way: float | None) -> None:
    model = hoop()
    mid = node_near(model, (0.0, 0.0, HOOP["h"]))
    last = f"hoop:{sum(1 for n in model.nodes if n.id.startswith('hoop:')) - 1}"
    # A pinned foot of a plane frame is held from leaning over.
    held = (INF, INF, INF, 0.0, INF, INF) if feet == PINNED else feet
    action = {
        "point": Action("p", "", (NodeLoad(mid, (0.0, 0.0, -P)),)),
        "line": Action("w", "", (), along_hoop(model, 1.0)),
        "side": Action("s", "", (NodeLoad(mid, (0.0, P, 0.0)),)),
    }[load]
    answer = loaded(unstretched(model), {"hoop:0": held, last: held}, action)
    if thrust is not None:
        assert abs(answer.supports[0, 1, 0]) == pytest.approx(thrust, rel=0.005)
    if way is not None:
        assert moved(model, answer, mid)[1] == pytest.approx(way * HOOP["E"] / E, rel=0.005)


def test_loads_on_a_tube_that_lands_beside_the_middle_of_another() -> None:
    """A branch across a cantilever's tip, its axis higher by e: what hangs on the arm between them, by hand."""
    a, b, e = 800.0, 500.0, 15.0
    gap = OD / 2
    header = placed("header", Spine((a,)))
    branch = placed("branch", Spine((b - gap,)), Frame.of((a, gap, e), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    joint = Joint("weld", "coped weld", AtEnd("branch", "A"), Along("header", a), "a")
    model = beams(header, branch, joints=(joint,))
    tip = node_near(model, (a, b, e))
    lateral = Action("x", "", (NodeLoad(tip, (P, 0.0, 0.0)),))
    down = Action("z", "", (NodeLoad(tip, (0.0, 0.0, -P)),))
    twist = Action("t", "", (NodeLoad(tip, (0.0, 0.0, 0.0), (P * 100.0, 0.0, 0.0)),))
    answer = loaded(model, {"header:0": FIXED}, lateral, down, twist)
    flexible = b - gap
    along = P * a / (E * A) + P * b**2 * a / (E * I) + P * e**2 * a / (E * I) + P * flexible**3 / (3 * E * I)
    assert moved(model, answer, tip, 0)[0] == pytest.approx(along, rel=5e-4)
    sag = P * a**3 / (3 * E * I) + P * b**2 * a / (G * J) + P * flexible**3 / (3 * E * I)
    assert moved(model, answer, tip, 1)[2] == pytest.approx(-sag, rel=5e-4)
    # A moment about X bends the branch and twists the header; the tip then moves sideways by e times the twist.
    turned = P * 100.0 * (flexible / (E * I) + a / (G * J))
    assert moved(model, answer, tip, 2)[3] == pytest.approx(turned, rel=5e-4)
    assert moved(model, answer, tip, 2)[1] == pytest.approx(-e * P * 100.0 * a / (G * J), rel=1e-3)
    link = next(i for i, m in enumerate(model.members) if m.kind == "link")
    at = {n.id: n.at for n in model.nodes}
    assert math.dist(at[model.members[link].a], at[model.members[link].b]) == pytest.approx(math.hypot(gap, e))
