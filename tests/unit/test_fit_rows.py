"""The fit command's table: both units, what drives a gap in words, what is left for the dry fit."""

import re

import pytest

from rackgen import job
from rackgen.design.settle import bench
from rackgen.design.tolerance import study
from rackgen.sheets.fit_rows import fit_table
from rackgen.sheets.fit_station import fit_words
from rackgen.spec.read import read_job
from rackgen.spec.spread import Spreads

pytestmark = pytest.mark.racks


@pytest.mark.parametrize(("rack", "unit"), [("demo", "mm"), ("survey-crew", "in")])
def test_the_table_is_in_the_shops_unit_and_names_what_drives_a_gap(rack: str, unit: str) -> None:
    made = job.design(read_job(rack))
    on = bench(made.rack, made.job.vehicle, made.job.shop.isolator)
    table = fit_table(made.rack, study(on, Spreads(), samples=200, full=0), made.job.shop.unit)
    rows = {row[0]: row for row in table.rows}
    assert unit in table.columns[4].title
    strap = rows["mount.rear_left.strap"]
    assert "mount.rear_left.strap fold 1" in strap[5]
    most = float(strap[4]) * (25.4 if unit == "in" else 1.0)
    assert 0.5 < most < 4.0
    # A joint of the bench is not left for the vehicle, however far it may stand open.
    assert strap[6] == "the dry fit"
    bench_made = {row[6] for row in table.rows if row[0].startswith(("basket.upright", "basket.upper.sleeve"))}
    assert bench_made == {"", "the bench: fit it before tacking"}
    assert "mount.front_left.plate.skin" in rows


def test_the_text_says_joints_by_mark_and_word_and_the_rows_keep_ids() -> None:
    made = job.design(read_job("demo"))
    found = study(bench(made.rack, made.job.vehicle, made.job.shop.isolator), Spreads(), samples=200, full=0)
    rows, said = fit_table(made.rack, found, "mm"), fit_words(made.rack, found, "mm")
    assert len(said.rows) == len(rows.rows)
    assert [row[1:4] for row in said.rows] == [row[2:5] for row in rows.rows]
    text = " ".join(cell for row in said.rows for cell in row)
    assert re.search(r"[a-z]\.[a-z]|\[|_", text) is None
    assert ", on the skin" in text


def test_a_better_saw_and_bender_leave_less_for_the_dry_fit() -> None:
    made = job.design(read_job("demo"))
    on = bench(made.rack, made.job.vehicle, made.job.shop.isolator)
    usual = study(on, Spreads(), samples=300, full=0)
    better = study(on, Spreads(length=0.1, bend=0.05, turn=0.05, square=0.1, pull=0.05), samples=300, full=0)
    assert len(better.dry_fit) < len(usual.dry_fit)
    assert sum(j.high for j in better.joints) < sum(j.high for j in usual.joints)
