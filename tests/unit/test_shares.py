"""Shares of the weight on the mounts, lifts of two people, heights."""

import dataclasses

import pytest

from rackgen import job, paper
from rackgen.check.bodies import bodies
from rackgen.made import Design
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube, Bought
from rackgen.sheets.rows import carried_notes
from rackgen.sheets.shares import Carried, Lift, MountShare, carried, reactions, split, top
from rackgen.sheets.weights import Weights
from rackgen.spec.read import read_job
from rackgen.spec.vehicle import Vehicle

SQUARE = [(0.0, -500.0), (0.0, 500.0), (1000.0, -400.0), (1000.0, 400.0)]


@pytest.fixture(scope="module")
def demo() -> Design:
    return job.design(read_job("demo"))


def test_a_load_over_the_middle_is_shared_alike_on_a_rectangle() -> None:
    corners = [(0.0, -1.0), (0.0, 1.0), (2.0, -1.0), (2.0, 1.0)]
    assert reactions(corners, (1.0, 0.0), 8.0) == pytest.approx((2.0, 2.0, 2.0, 2.0))


def test_a_load_over_one_of_three_hangs_on_it_alone() -> None:
    assert reactions(SQUARE[:3], SQUARE[2], 5.0) == pytest.approx((0.0, 0.0, 5.0), abs=1e-9)


def test_supports_in_line_carry_what_hangs_in_that_line_and_nothing_else() -> None:
    line = [(0.0, 0.0), (1000.0, 0.0)]
    assert reactions(line, (250.0, 0.0), 4.0) == pytest.approx((3.0, 1.0))
    assert reactions(line, (250.0, 10.0), 4.0) == ()
    assert reactions([], (0.0, 0.0), 4.0) == ()


def test_two_people_share_by_the_lever() -> None:
    assert split(0.0, 1000.0, 250.0, 40.0) == pytest.approx((30.0, 10.0))
    with pytest.raises(ValueError, match="two places"):
        split(5.0, 5.0, 5.0, 1.0)


def test_the_demo_hangs_on_four_mounts_alike_left_and_right(demo: Design) -> None:
    found = carried(demo.rack, demo.job.vehicle, 0.5, 0.3)
    assert [m.mount for m in found.mounts] == ["front_left", "front_right", "rear_left", "rear_right"]
    front_left, front_right, rear_left, rear_right = (m.own for m in found.mounts)
    assert front_left == pytest.approx(front_right, abs=0.05)
    assert rear_left == pytest.approx(rear_right, abs=0.05)
    assert sum(m.load for m in found.mounts) == pytest.approx(10.0)


def test_the_sheet_says_who_carries_what(demo: Design) -> None:
    table, text, record = paper.SHEETS["weights"](demo)
    assert isinstance(record, Weights)
    assert record.carried is not None
    assert sum(m.own for m in record.carried.mounts) == pytest.approx(record.total)
    for lift in record.carried.lifts:
        assert lift.front + lift.rear == pytest.approx(lift.mass)
    assert record.carried.lifts[1].mass == pytest.approx(record.total)
    assert record.carried.finished > record.total
    assert "mounts giving way equally" in text
    assert table is not None
    assert any(row[1] == "on mount rear_left" for row in table.rows)


@pytest.mark.parametrize("name", ["window-cleaner", "kayak-school"])
def test_a_rack_without_a_basket_carries_on_its_bars(name: str) -> None:
    made = job.design(read_job(name))
    found = carried(made.rack, made.job.vehicle, 0.0, 0.0)
    assert sum(m.load for m in found.mounts) == pytest.approx(10.0)
    assert all(m.load > 0.5 for m in found.mounts)
    # The top of a bow is in its middle, not at its feet; the mesh of the same tubes is the other road.
    made_here = [p for p in made.rack.placed if not isinstance(p.part, Bought)]
    high = max(float(p.frame.points(triangles(p.part).vertices)[:, 2].max()) for p in made_here)
    assert found.top == pytest.approx(high, abs=0.5)


def test_mounts_that_are_not_there_give_no_shares(demo: Design) -> None:
    bare: Vehicle = dataclasses.replace(demo.job.vehicle, front=(), rear=())
    found = carried(demo.rack, bare, 0.0, 0.0)
    assert found.mounts == ()
    assert "no shares are given" in " ".join(carried_notes(found, "mm"))


def test_a_mount_that_is_pulled_up_and_a_heavy_end_are_said() -> None:
    found = Carried(
        (MountShare("a", 0.0, 0.0, -1.0, 0.0),), (Lift("whole rack", 60.0, 30.0, 30.0),), 100.0, None, None, 0, 0, 60
    )
    said = " ".join(carried_notes(found, "in"))
    assert "pulls that mount up" in said
    assert "third person" in said


def test_the_top_is_that_of_the_slats_where_they_lie_highest() -> None:
    """As the clearances have it, by triangles; by hand, slats of 5 mm lie on a ring of 33.7."""
    rack = job.design(read_job("core-boxes")).rack
    high = max(float(one.high[2]) for one in bodies(rack).values())
    assert top(rack) == pytest.approx(high, abs=0.05)
    tubes = dataclasses.replace(rack, placed=tuple(p for p in rack.placed if isinstance(p.part, BentTube)), joints=())
    assert top(rack) - top(tubes) == pytest.approx(5.0, abs=0.2)
