"""The measuring sheet and its table name the same boxes, and a filled table becomes the vehicle that was measured."""

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner
from drawn import text_boxes
from filled_form import filled
from pdf_pages import letter_boxes, texts
from preset_texts import mistakes_of, only

from rackgen.app.cli import main
from rackgen.sheets.measuring_drawing import corner_figure, plan_figure, rear_figure, side_figure
from rackgen.sheets.measuring_station import measuring_station
from rackgen.sheets.pages import Fields
from rackgen.spec.measuring_form import Form, groups
from rackgen.spec.read import read_vehicle
from rackgen.spec.readings import read_readings
from rackgen.spec.vehicle_text import vehicle_text

FORMS = (Form(), Form("in", 3, 2, 1, straightedge=True, levelled=False), Form("in", 20, 8, 4, alike=True))


def made(folder: Path, readings: Path) -> Path:
    """Give the vehicle file of readings."""
    found = read_readings(readings)
    path = folder / "made.toml"
    path.write_text(vehicle_text(found.data, readings.name, found.notes, found.vehicle.notes), encoding="utf-8")
    return path


@pytest.mark.parametrize("form", FORMS)
def test_the_sheet_asks_for_every_box_of_the_table(form: Form) -> None:
    asked = {
        row.split(":")[0].lstrip("*")
        for block in measuring_station(form).blocks
        if isinstance(block, Fields)
        for row, _ in block.rows
    }
    boxes = [box for group in groups(form) for box in group.boxes]
    for box in boxes:
        tails = {box.key, box.key.rsplit(".", 1)[-1], box.key.split(".", 2)[-1]}
        assert box.value or tails & asked, box.key
    assert len({box.key for box in boxes}) == len(boxes)


@pytest.mark.parametrize("form", FORMS)
def test_every_box_is_a_key_of_a_vehicle_file(form: Form, tmp_path: Path) -> None:
    path = tmp_path / "form.csv"
    rows = [f"{box.key},{box.value or 'what'},," for group in groups(form) for box in group.boxes]
    path.write_text("\n".join(["key,value,unit,note", *rows]), encoding="utf-8")
    assert not [m for m in mistakes_of(lambda: read_readings(path)) if "no such key" in m.wanted]


@pytest.mark.parametrize("form", [*FORMS, Form("in", 6, 2, 2, straightedge=True), Form("mm", 2, 1)])
def test_no_words_on_the_figures_touch(form: Form) -> None:
    for figure in (plan_figure(form), side_figure(form), rear_figure(form), corner_figure()):
        boxes = text_boxes(figure)
        touching = [(a, b) for n, (a, one) in enumerate(boxes) for b, two in boxes[:n] if one.intersects(two)]
        assert touching == []


def test_a_filled_form_becomes_the_vehicle_that_was_measured(tmp_path: Path) -> None:
    direct = read_readings(filled(tmp_path)).vehicle
    again = read_vehicle(made(tmp_path, filled(tmp_path)))
    assert again == direct
    assert direct.roof.sections[1].zs == (-34, -7, 2, -7, -34)
    assert direct.rear[0].at == (1250, -558, -64)


def test_notes_and_costs_stand_in_the_vehicle_file(tmp_path: Path) -> None:
    text = made(tmp_path, filled(tmp_path, notes={"roof.station[2].drops[1]": "seen twice # x"})).read_text()
    assert "# drops below the transverse straightedge, one an offset\n" in text
    assert "| seen twice # x" in text or "# seen twice # x" in text
    assert "# - No level was read at front_left, front_right" in text


@pytest.mark.parametrize("name", ['a "b" \\ c', "½ ' # x", "= [1]", "Zwölf, 3;4"])
def test_any_words_come_through(tmp_path: Path, name: str) -> None:
    note = {"name": 'x " # \\ y'}
    assert read_vehicle(made(tmp_path, filled(tmp_path, {"name": name}, note))).name == name


def test_the_smallest_form_filled_in_is_enough_for_a_rack(tmp_path: Path) -> None:
    out = tmp_path / "wagon.toml"
    assert CliRunner().invoke(main, ["vehicle", str(filled(tmp_path)), "--out", str(out)]).exit_code == 0
    done = CliRunner().invoke(main, ["check", "demo", "--vehicle", str(out)])
    assert done.exit_code == 0, done.output
    assert "a wrong height along the middle" in done.output


def test_lengths_carry_the_unit_of_their_row_or_their_own(tmp_path: Path) -> None:
    rows = filled(tmp_path).read_text().replace("roof.station[2].x,600,mm", "roof.station[2].x,23-1/2,in")
    rows = rows.replace("roof.station[3].x,1200,mm", 'roof.station[3].x,"4 ft 1 in",mm')
    rows = rows.replace("roof_limit,,kg", "roof_limit,265,lb")
    path = tmp_path / "inch.csv"
    path.write_text(rows, encoding="utf-8")
    vehicle = read_readings(path).vehicle
    assert [s.x for s in vehicle.roof.sections] == pytest.approx([0, 23.5 * 25.4, 49 * 25.4])
    assert vehicle.roof_limit == pytest.approx(265 * 0.45359237)


def test_semicolons_between_columns_are_read_too(tmp_path: Path) -> None:
    rows = list(csv.reader(io.StringIO(filled(tmp_path).read_text())))
    path = tmp_path / "semi.csv"
    with path.open("w", newline="", encoding="utf-8-sig") as stream:
        csv.writer(stream, delimiter=";").writerows(rows)
    assert read_readings(path).vehicle == read_readings(filled(tmp_path)).vehicle


@pytest.mark.parametrize(
    ("change", "key", "wanted"),
    [
        ({"roof.station[2].x": "-600"}, "roof.station[2].x", "front to rear"),
        ({"roof.station[2].crown": "nan"}, "roof.station[2].crown", "write a length"),
        ({"mounts.rear_left.lean": "inf"}, "mounts.rear_left.lean", "plain number"),
        ({"roof.station[2].drops[1]": "1e999"}, "roof.station[2].drops[1]", "write a length"),
        ({"roof.station[2].drops[1]": "12,5"}, "roof.station[2].drops[1]", "decimal point"),
        ({"roof.edge_across": "1100"}, "roof.edge_across", "shorter than the 1200 mm"),
        ({"roof.station[2].crwn": "3"}, "roof.station[2].crwn", "did you mean `crown`?"),
        ({"roof.station[5].x": "3"}, "roof.station[4]", "roof.station[5]"[5:] + " is filled"),
        ({"roof.station[2].offsets[1]": ""}, "roof.station[2].offsets[1]", "is filled: fill it"),
        ({"roof.station[2].drops": "9; 36"}, "roof.station[2].drops", "rows above give parts of it"),
        ({"mounts.front_left.under": "pilar"}, "mounts.front_left.under", '"pillar"'),
        ({"hatch.hinge[1]": "1; 2; 3", "hatch.hinge[2]": "1; 2; 3", "hatch.width": "900", "hatch.height": "800",
          "hatch.thickness": "60", "hatch.opens": "95"}, "hatch.hinge", "or they give no direction"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_at_its_line_and_key(tmp_path: Path, change: dict[str, str], key: str, wanted: str) -> None:
    path = filled(tmp_path, change)
    mistake = only(mistakes_of(lambda: read_readings(path)))
    assert mistake.key == key
    assert wanted in mistake.wanted
    row = path.read_text().splitlines()[mistake.line - 1]
    assert row.startswith((key.split("[4]", maxsplit=1)[0], *change))


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    change = {"roof.station[1].x": "far", "mounts.front_left.y": "0", "mounts.rear_left.skin": "80", "nme": "x"}
    assert {m.key for m in mistakes_of(lambda: read_readings(filled(tmp_path, change)))} == {
        "roof.station[1].x", "mounts.front_left.y", "mounts.rear_left.skin", "nme",
    }  # fmt: skip


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00\x01", b"%PDF-1.4\n\x93\x8c", b"PK\x03\x04\xff\xfe", b'format = 1\nname = "x"\n', b"x,y,z\n1,2,3\n"],
)
def test_another_kind_of_file_is_refused_and_nothing_is_written(tmp_path: Path, content: bytes) -> None:
    path, out = tmp_path / "odd.csv", tmp_path / "out.toml"
    path.write_bytes(content)
    done = CliRunner().invoke(main, ["vehicle", str(path), "--out", str(out)])
    assert done.exit_code == 2
    assert not out.exists()


def test_both_commands_keep_what_is_not_theirs(tmp_path: Path) -> None:
    run = CliRunner().invoke
    sheet, table, out = (str(tmp_path / name) for name in ("a.pdf", "a.csv", "a.toml"))
    assert run(main, ["measure", "--pdf", sheet]).exit_code == 0
    assert run(main, ["measure", "--pdf", sheet, "--stations", "3"]).exit_code == 0
    Path(table).write_bytes(filled(tmp_path).read_bytes())
    assert run(main, ["measure", "--pdf", sheet]).exit_code == 2
    assert run(main, ["vehicle", table, "--out", out]).exit_code == 0
    assert run(main, ["vehicle", table, "--out", out]).exit_code == 0
    Path(out).write_text("# my own\nformat = 1\n")
    assert run(main, ["vehicle", table, "--out", out]).exit_code == 2
    assert Path(out).read_text().startswith("# my own")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_sheet_lies_within_the_margins_of_its_paper(tmp_path: Path, paper: str) -> None:
    sheet = tmp_path / "a.pdf"
    done = CliRunner().invoke(main, ["measure", "--pdf", str(sheet), "--paper", paper, "--heights", "straightedge"])
    assert done.exit_code == 0, done.output
    wide, high = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    for page in letter_boxes(sheet.read_bytes()):
        for letter, (x0, y0, x1, y1) in page:
            assert 9 < x0 <= x1 < wide - 9 and 9 < y0 <= y1 < high - 9, letter  # noqa: PT018
    said = " ".join(texts(sheet.read_bytes()))
    for word in (
        "mounts.front_left",
        "datum",
        "cross",
        "shut line",
        "hinge",
        "aerial",
        "garage",
        "opening_roof",
        "roll",
    ):
        assert word in said
