"""Weights, revision, and the sheets as text, CSV and JSON."""

import csv
import dataclasses
import io
import json

import numpy as np
import pytest
from small_rack import MM, layout, small_rack

import rackgen
from rackgen.errors import Finding, Level
from rackgen.export.letters import broken, lettering, text_width
from rackgen.export.revision import program, revision, spelled
from rackgen.export.tables import csv_bytes, json_bytes
from rackgen.export.text import findings_text, stamped, table_text
from rackgen.geom import outline
from rackgen.geom.frame import Frame
from rackgen.parts.measure import centroid, mass
from rackgen.parts.rack import Rack
from rackgen.parts.resolve import resolve
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.rows import cut_table, weights_table
from rackgen.sheets.stamp import Stamp, stop_codes
from rackgen.sheets.table import Column, Table
from rackgen.sheets.weights import weights

STAMP = Stamp("small", "0123456789", "rackgen 0", ("roof-gap",), ("hatch basket.floor: it stays off",))
TABLE = Table(
    "list",
    "A list",
    (Column("mark", "mark"), Column("mm", "length mm", True), Column("odd", "odd")),
    (("T1", "1200", ""), ("T12", "55", "")),
    ("a note",),
)


def test_weights_are_the_parts_sum_and_hang_at_their_centre() -> None:
    rack = small_rack()
    found = weights(rack)
    masses = np.array([mass(p.part) for p in rack.placed])
    places = np.array([p.frame.point(centroid(p.part)) for p in rack.placed])
    assert found.total == pytest.approx(masses.sum())
    assert found.centre == pytest.approx(tuple(masses @ places / masses.sum()))
    assert sum(p.all for p in found.parts) == pytest.approx(found.total)
    assert sum(m for _, m in found.groups) == pytest.approx(found.total)
    assert [name for name, _ in found.groups] == ["frame", "basket", "rear", "mount"]


def test_a_rack_moved_carries_its_centre_along() -> None:
    rack = small_rack()
    moved = Rack(
        tuple(dataclasses.replace(p, frame=Frame((10.0, -20.0, 30.0)).then(p.frame)) for p in rack.placed), rack.joints
    )
    shift = np.array(weights(moved).centre) - np.array(weights(rack).centre)
    assert shift == pytest.approx(np.array([10.0, -20.0, 30.0]))


def test_an_empty_rack_has_no_weight() -> None:
    with pytest.raises(ValueError, match="no centre of mass"):
        weights(Rack((), ()))


def test_the_weights_say_where_in_words() -> None:
    text = table_text(weights_table(weights(small_rack()), "mm"))
    assert "whole rack" in text
    assert "aft of the datum" in text
    assert "without weld metal, coating and load" in text


def test_the_revision_is_ten_digits_and_repeats() -> None:
    first = revision(small_rack())
    assert len(first) == 10
    assert int(first, 16) >= 0
    assert revision(small_rack()) == first


def test_the_revision_changes_with_anything_that_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    rack = small_rack()
    seen = {revision(rack)}
    first = rack.placed[0]
    changed = [
        dataclasses.replace(first, frame=first.frame.moved((1e-3, 0, 0))),
        dataclasses.replace(first, word="other"),
        dataclasses.replace(first, part=dataclasses.replace(first.part, holes=())),
    ]
    for placed in changed:
        seen.add(revision(dataclasses.replace(rack, placed=(placed, *rack.placed[1:]))))
    seen.add(revision(dataclasses.replace(rack, joints=rack.joints[1:])))
    monkeypatch.setattr(rackgen, "__version__", "99.0")
    seen.add(revision(rack))
    assert len(seen) == 6
    assert program() == "rackgen 99.0"


def test_noise_of_the_arithmetic_is_no_revision() -> None:
    rack = small_rack()
    first = rack.placed[0]
    noisy = dataclasses.replace(first, frame=first.frame.moved((1e-9, -1e-9, 0)))
    assert revision(dataclasses.replace(rack, placed=(noisy, *rack.placed[1:]))) == revision(rack)


def test_spelling_tells_unequal_records_apart() -> None:
    assert spelled((1, 2.0)) == "(1.0,2.0)"
    assert spelled(-0.0) == spelled(0.0) == "0.0"
    assert spelled(True) != spelled(1)
    assert spelled("1.0") != spelled(1.0)
    assert spelled((("a",), "b")) != spelled(("a", ("b",)))
    assert spelled(Frame((1, 0, 0))) == spelled(Frame((1.0, 0.0, 0.0)))
    with pytest.raises(TypeError, match="dict"):
        spelled({"a": 1})


def test_the_text_sets_columns_under_each_other_and_leaves_empty_ones_out() -> None:
    assert (
        table_text(TABLE) == "A list\n\nmark  length mm\n----  ---------\nT1         1200\nT12          55\n\na note\n"
    )


def test_a_table_refuses_a_short_row() -> None:
    with pytest.raises(ValueError, match="row of 1 texts under 3"):
        dataclasses.replace(TABLE, rows=(("T1",),))


def test_the_stamp_says_the_worst_first() -> None:
    text = stamped(STAMP, table_text(TABLE))
    lines = text.splitlines()
    assert lines[0] == "NOT CLEARED: roof-gap"
    assert lines[1] == "small, revision 0123456789, rackgen 0"
    assert lines[2] == "waived: hatch basket.floor: it stays off"
    assert dataclasses.replace(STAMP, stops=()).lines[0].startswith("small")
    assert dataclasses.replace(STAMP, stops=(), checked=False).lines[0] == "not checked"


def test_csv_says_on_every_row_whether_the_rack_is_cleared() -> None:
    rows = list(csv.DictReader(io.StringIO(csv_bytes(TABLE, STAMP).decode("utf-8"))))
    assert [r["mark"] for r in rows] == ["T1", "T12"]
    assert {(r["revision"], r["state"]) for r in rows} == {("0123456789", "NOT CLEARED: roof-gap")}


def test_csv_of_a_cut_list_reads_back() -> None:
    cuts, _ = cut_list(small_rack(), MM)
    table = cut_table(cuts)
    rows = list(csv.reader(io.StringIO(csv_bytes(table, STAMP).decode("utf-8"))))
    assert rows[0][: len(table.columns)] == [c.key for c in table.columns]
    assert [tuple(r[:-2]) for r in rows[1:]] == list(table.rows)


def test_json_holds_the_numbers_in_mm() -> None:
    cuts, _ = cut_list(small_rack(), dataclasses.replace(MM, unit="in"))
    document = json.loads(json_bytes("cut-list", cuts, STAMP))
    assert (document["sheet"], document["lengths"], document["masses"]) == ("cut-list", "mm", "kg")
    assert document["state"] == "NOT CLEARED: roof-gap"
    assert document["waived"] == ["hatch basket.floor: it stays off"]
    lines = document["data"]["lines"]
    assert [line["mark"] for line in lines] == [line.mark for line in cuts.lines]
    assert [line["saw"] for line in lines] == pytest.approx([line.saw for line in cuts.lines], abs=1e-6)
    assert lines[0]["throat"] is None


def test_json_refuses_what_has_no_place_in_a_sheet() -> None:
    with pytest.raises(TypeError, match="no place in a sheet"):
        json_bytes("odd", (Rack((), ()), {"a": 1}), STAMP)
    with pytest.raises(ValueError, match="JSON"):
        json_bytes("odd", (float("nan"),), STAMP)


def findings() -> tuple[Finding, ...]:
    return (
        Finding("thin-note", Level.NOTE, (), "A note."),
        Finding(
            "roof-gap", Level.STOP, ("frame.hoop",), "The hoop is 12.0 mm off the roof.", at=(100.0, -20.4, 30.0),
            got=12.0, limit=20.0, keys=("gaps.tube",), help="raise it by 8 mm",
        ),
    )  # fmt: skip


def test_findings_are_said_worst_first_with_their_numbers() -> None:
    assert findings_text(findings()).splitlines() == [
        "stop  roof-gap  frame.hoop",
        "      The hoop is 12.0 mm off the roof.",
        "      12.00 against 20.00 mm (common practice, no source)",
        "      at 100, -20, 30 mm (aft, right, up)",
        "      raise it by 8 mm",
        "      see gaps.tube",
        "note  thin-note",
        "      A note.",
    ]
    assert findings_text(()) == "no findings\n"
    assert stop_codes(findings()) == ("roof-gap",)
    assert json.loads(json_bytes("findings", findings(), STAMP))["data"][1]["level"] == "stop"


def test_letters_have_the_height_that_was_asked_for() -> None:
    for height in (2.5, 8.0):
        points = np.concatenate([outline.polygon(c) for c in lettering("H", height, 10.0, 5.0)])
        assert float(points[:, 1].min()) == pytest.approx(5.0, abs=2e-3)
        assert float(np.ptp(points[:, 1])) == pytest.approx(height, abs=2e-3)
        assert float(points[:, 0].min()) >= 10.0
    assert len(lettering("o", 3.0, 0, 0)) == 2
    assert lettering(" ", 3.0, 0, 0) == ()
    assert text_width("mmm", 3.0) == pytest.approx(3 * text_width("m", 3.0))


def test_letters_load_no_font_finder() -> None:
    import subprocess
    import sys

    code = (
        "import sys; from rackgen.export.letters import text_width; text_width('T1', 3.0);"
        "print([m for m in ('matplotlib.font_manager', 'matplotlib.pyplot') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_long_text_is_broken_between_words() -> None:
    lines = broken("waste at the ears 7.4 mm; the groove left there", 2.5, 40.0)
    assert " ".join(lines) == "waste at the ears 7.4 mm; the groove left there"
    assert len(lines) > 1
    assert all(text_width(line, 2.5) <= 40.0 for line in lines)
    assert broken("unbreakable", 2.5, 1.0) == ("unbreakable",)
    assert broken("", 2.5, 40.0) == ()


def test_the_small_rack_is_resolved_from_its_joints() -> None:
    # The tests here look at a rack whose ends were cut by its joints, not drawn by hand.
    rack, findings_ = resolve(layout())
    assert findings_ == ()
    assert len(rack.placed) == len(layout().members())
