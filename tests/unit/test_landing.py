"""Where tubes land on tubes, and how level the frame lies."""

import dataclasses
import math

import pytest
from small_rack import BAR, THIN, TUBE

from rackgen.check.bodies import bodies
from rackgen.check.landing import landing_findings
from rackgen.check.level import level_findings
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame, turn
from rackgen.geom.spine import Bend, Spine, from_points
from rackgen.parts.kinds import BentTube, FoldedBar
from rackgen.parts.rack import Along, AtEnd, Group, Joint, Layout, OnFace, Placed, Rack
from rackgen.parts.resolve import resolve

HOOP = BentTube(TUBE, Spine((400.0, 500.0), (Bend(90.0, 120.0),)))


def landed(at: float, *, butt: bool = False, apart: float = 0.0) -> list[Finding]:
    """A thin branch that lands at `at` on the first straight of a bent tube, which may be butted at its begin."""
    header = Placed("h", HOOP, Frame(), "ring hoop", 1)
    branch = Placed("b", BentTube(THIN, Spine((300.0,))), Frame.of((at, 0.0, 0.0), (0, 1, 0), (0, 0, 1)), "bearer", 2)
    joints = [Joint("j", "coped weld", AtEnd("b", "A"), Along("h", at), "a")]
    members = [header, branch]
    if butt:
        members.append(Placed("g", HOOP, Frame.of((0.0, 0.0, 0.0), (-1, 0, 0), (0, 0, 1)), "ring hoop", 1))
        joints.append(Joint("k", "butt with sleeve", AtEnd("h", "A"), AtEnd("g", "A")))
    rack, none = resolve(Layout((Group(tuple(members), tuple(joints)),)))
    assert not none
    moved = rack.part("b")
    x, y, z = moved.frame.origin
    moved = dataclasses.replace(moved, frame=dataclasses.replace(moved.frame, origin=(x, y + apart, z)))
    rack = Rack(tuple(moved if p.id == "b" else p for p in rack.placed), rack.joints)
    return landing_findings(rack, bodies(rack))


@pytest.mark.parametrize(
    ("at", "level"), [(200.0, None), (366.0, None), (367.0, Level.LOOK), (386.0, Level.LOOK), (387.0, Level.STOP)]
)
def test_a_branch_lands_one_diameter_clear_of_a_tangent(at: float, level: Level | None) -> None:
    # One OD of the tube landed on is 33.7: 366.3. A branch of 26.9 overlaps the bend from 386.55 on.
    found = landed(at)
    assert [(f.code, f.level) for f in found] == ([] if level is None else [("lands-near-bend", level)])


@pytest.mark.parametrize(("at", "level"), [(51.0, None), (50.0, Level.LOOK), (13.0, Level.STOP)])
def test_a_branch_lands_one_and_a_half_diameters_clear_of_a_butt(at: float, level: Level | None) -> None:
    found = landed(at, butt=True)
    assert [(f.code, f.level) for f in found] == ([] if level is None else [("lands-near-butt", level)])


def test_the_help_names_the_nearest_good_place() -> None:
    (finding,) = landed(380.0)
    assert "14 mm further on, 366 mm" in finding.help


def test_without_a_butt_a_branch_may_stand_near_an_end() -> None:
    assert landed(20.0) == []


@pytest.mark.parametrize(("apart", "look"), [(0.0, False), (1.5, False), (1.7, True)])
def test_root_gaps_are_filled_up_to_a_sixteenth(apart: float, look: bool) -> None:
    found = landed(200.0, apart=apart)
    assert [(f.code, f.level) for f in found] == ([("root-gap", Level.LOOK)] if look else [])


@pytest.mark.parametrize(("apart", "look"), [(0.0, False), (1.5, False), (1.8, True)])
def test_fillets_join_parts_that_meet(apart: float, look: bool) -> None:
    bar = FoldedBar(BAR, (100.0,))
    rack = Rack(
        (Placed("a", bar, Frame(), "bar", 2), Placed("b", bar, Frame((20.0, 0.0, 5.0 + apart)), "bar", 2)),
        (Joint("j", "fillet", OnFace("a", "top", 50.0, 0.0), OnFace("b", "bottom", 50.0, 0.0)),),
    )
    assert [f.code for f in landing_findings(rack, bodies(rack))] == (["root-gap"] if look else [])


def frame_hoop(rake: float, roll: float, drop: float = 0.0) -> Rack:
    """A frame hoop, its back along Y and its legs aft, raked down to the rear and rolled down to the right."""
    half, run = 500.0, 900.0
    fall = 300.0 * math.tan(math.radians(drop))
    corners = [(run, -half, -fall), (600.0, -half, 0.0), (0.0, -half, 0.0)]
    corners += [(x, -y, z) for x, y, z in reversed(corners)]
    line, frame = from_points(corners, 120.0)
    tilted = turn((0, 1, 0), rake).then(turn((1, 0, 0), -roll)).then(frame)
    return Rack((Placed("frame.hoop", BentTube(TUBE, line), tilted, "frame hoop", 1),), ())


@pytest.mark.parametrize("drop", [0.0, 12.0])
@pytest.mark.parametrize(
    ("rake", "roll", "way"),
    [(0.4, 0.0, ""), (0.7, 0.0, "rear"), (-0.7, 0.0, "front"), (0.0, 0.7, "right"), (0.0, -0.7, "left")],
)
def test_half_a_degree_of_rake_or_roll_is_worth_a_look(rake: float, roll: float, way: str, drop: float) -> None:
    found = level_findings(frame_hoop(rake, roll, drop))
    assert [f.code for f in found] == (["rake"] if way else [])
    if way:
        assert found[0].got == pytest.approx(0.7, abs=0.01)
        assert f"to the {way}" in found[0].text
