"""The pages that rest on the tolerance study: its joints, and the same list for the dry fit as `rackgen fit` prints."""

from functools import cache

import pytest

from rackgen import job
from rackgen.design.settle import bench
from rackgen.design.tolerance import DRY_FIT, Study, study
from rackgen.made import Design
from rackgen.sheets.dry_fit_station import dry_fit_station
from rackgen.sheets.fit_station import Named, fit_station, left_for_dry_fit, left_open
from rackgen.sheets.pages import Rows, Station, Text
from rackgen.spec.read import read_job
from rackgen.stations import PUT_TOGETHER

pytestmark = pytest.mark.racks


@cache
def made(rack: str = "demo") -> Design:
    return job.design(read_job(rack))


@cache
def found(full: int, rack: str = "demo") -> Study:
    one = made(rack)
    return study(bench(one.rack, one.job.vehicle, one.job.shop.isolator), one.job.shop.spread, full=full)


def tables(station: Station) -> dict[str, Rows]:
    return {b.table.name: b for b in station.blocks if isinstance(b, Rows)}


def test_fewer_racks_put_together_leave_the_same_joints_with_the_same_ranges() -> None:
    """A build puts fewer racks together part by part than `rackgen fit`; that only says how well both ways agree."""
    few, many = found(PUT_TOGETHER), found(50)
    assert few.dry_fit == many.dry_fit
    assert few.dry_fit
    assert few.joints == many.joints
    assert few.full == PUT_TOGETHER
    assert few.off < 0.1


@pytest.mark.parametrize("rack", ["demo", "survey-crew"])
def test_both_lists_together_are_the_study_s(rack: str) -> None:
    one, sure = made(rack), found(PUT_TOGETHER, rack)
    there, on_bench = left_for_dry_fit(one.rack, sure)
    assert sorted(j.joint for j in (*there, *on_bench)) == list(sure.dry_fit)
    assert all(j.joint.startswith("mount.") or j.joint.endswith(".leg") for j in there)
    assert all(j.joint.startswith(("basket.", "frame.")) for j in on_bench)


def test_the_dry_fit_names_its_joints_with_range_and_cause() -> None:
    one, sure = made(), found(PUT_TOGETHER)
    left = left_open(one.rack, sure, "mm")
    station = dry_fit_station(one.rack, one.job.shop, one.job.vehicle, (), left)
    rows = tables(station)["left-open"]
    assert rows.tick
    assert len(rows.table.rows) == len(left_for_dry_fit(one.rack, sure)[0])
    strap = next(r for r in rows.table.rows if "rear strap, rear left" in r[0])
    most = next(j for j in sure.joints if j.joint == "mount.rear_left.strap").high
    assert strap[1].endswith(f"to {most:.1f}")
    assert "fold 1" in strap[2]


def test_a_dry_fit_with_nothing_on_the_list_says_so_and_one_without_a_study_says_nothing() -> None:
    one = made()
    none = dry_fit_station(one.rack, one.job.shop, one.job.vehicle, (), ())
    assert any(isinstance(b, Text) and "no joint at the vehicle" in b.text for b in none.blocks)
    unknown = dry_fit_station(one.rack, one.job.shop, one.job.vehicle)
    assert not any(isinstance(b, Text) and "tolerance study" in b.text for b in unknown.blocks)
    assert "left-open" not in tables(unknown)


def test_the_page_has_every_joint_that_may_stand_open_once() -> None:
    one, sure = made(), found(PUT_TOGETHER)
    rows = [r for t in tables(fit_station(one.rack, sure, "mm")).values() for r in t.table.rows]
    named = Named(one.rack)
    told = sorted(r[0] for r in rows)
    assert len(set(told)) == len(told)
    assert told == sorted(named.joint(j.joint) for j in sure.joints if j.high > 0.02)
    wide = [r for r in rows if float(r[2]) > DRY_FIT + 0.05]
    listed = [
        r[0]
        for n in ("dry-fit-vehicle", "dry-fit-bench")
        for r in tables(fit_station(one.rack, sure, "mm"))[n].table.rows
    ]
    assert {r[0] for r in wide} <= set(listed)
    text = " ".join(b.text for b in fit_station(one.rack, sure, "mm").blocks if isinstance(b, Text))
    assert f"{PUT_TOGETHER} of them put together" in text
    assert "2000 racks" in text
