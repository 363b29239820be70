"""Kept layouts: written, taken again, held against the blanks of today; the command that does it; the pages."""

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from preset_texts import mistakes_of, only, saved, swapped
from small_sheets import left_piece, plain, shop

from rackgen import job
from rackgen.app.cli import main
from rackgen.errors import BadInput, NestError
from rackgen.export.layout import layout_bytes
from rackgen.sheets.nest import nest_blanks
from rackgen.sheets.nest_layout import kept_nest
from rackgen.sheets.pages import Figure, Heading, Rows, Text, Ticks
from rackgen.sheets.stamp import Stamp
from rackgen.sheets.table_station import mesh_station, table_station
from rackgen.spec.layout import SheetLayout
from rackgen.spec.read import read_job, read_layout

STAMP = Stamp('a "quoted" name', "0123456789", "rackgen 0")
FLAT = (plain("P1", 200.125, 100, 3), plain("P2", 500, 300))
SHOP = shop(left_piece(450, 250))


def text() -> str:
    found = nest_blanks(FLAT, SHOP)
    return layout_bytes(found, {b.mark: b for b in FLAT}, STAMP).decode("utf-8")


def kept(folder: Path, *swaps: tuple[str, str]) -> SheetLayout:
    said = text()
    for old, new in swaps:
        said = swapped(said, old, new)
    return read_layout(saved(folder, said))


def test_a_kept_layout_gives_the_same_nest(tmp_path: Path) -> None:
    layout = kept(tmp_path)
    assert (layout.rack, layout.revision) == ('a "quoted" name', "0123456789")
    before, after = nest_blanks(FLAT, SHOP), kept_nest(layout, FLAT, SHOP)
    assert after.layout == layout.document.path.name
    for one, other in zip(before.plates[0].sheets, after.plates[0].sheets, strict=True):
        assert (one.length, one.width, one.fresh, one.left) == (other.length, other.width, other.fresh, other.left)
        places = [{(p.mark, round(p.x, 3), round(p.y, 3), p.angle) for p in s.pieces} for s in (one, other)]
        assert places[0] == places[1]


@pytest.mark.parametrize(
    ("flat", "key", "says"),
    [
        (FLAT[:1], "blank[2].mark", "the rack has no such blank of plate now"),
        ((*FLAT, plain("P3", 50, 40)), "", "P3 plate, 1 off plate 4, is not in the layout"),
        ((plain("P1", 200.125, 100, 4), FLAT[1]), "blank[1].quantity", "P1 is cut 4 times now"),
        ((plain("P1", 201, 100, 3), FLAT[1]), "blank[1].along", "P1 (plate) measures 201 × 100 mm now"),
        ((plain("P1", 200.125, 99, 3), FLAT[1]), "blank[1].across", "measures 200.12 × 99 mm now"),
    ],
)
def test_a_stale_layout_names_what_differs(tmp_path: Path, flat: tuple, key: str, says: str) -> None:
    with pytest.raises(BadInput) as refused:
        kept_nest(kept(tmp_path), flat, SHOP)
    told = [m for m in refused.value.mistakes if m.key == key]
    assert any(says in m.wanted for m in told), refused.value


def test_another_shape_in_the_same_box_is_stale(tmp_path: Path) -> None:
    mistake = only(mistakes_of(kept_nest, kept(tmp_path, ('shape = "', 'shape = "x')), FLAT, SHOP))
    assert (mistake.key, mistake.line > 0) == ("blank[1].shape", True)
    assert "another shape" in mistake.wanted


def test_a_layout_is_proved_like_any_other(tmp_path: Path) -> None:
    told = mistakes_of(kept_nest, kept(tmp_path), FLAT, shop(left_piece(450, 250), spacing=8.0))
    assert {m.wanted.split(";")[0].split(" are ")[1] for m in told} == {"6.00 mm apart"}
    assert all("the spacing is 8.00 mm" in m.wanted for m in told)
    said = " ".join(m.wanted for m in mistakes_of(kept_nest, kept(tmp_path), FLAT, shop()))
    assert "1 more remnants of 450 × 250 mm than there are" in said
    over = read_layout(saved(tmp_path, text().replace("x = 10,", "x = 9,", 1)))
    said = " ".join(m.wanted for m in mistakes_of(kept_nest, over, FLAT, SHOP))
    assert "the margin is 10.00 mm" in said


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        ("format = 1", "format = 2", "format", "this program reads format 1"),
        ("angle = 0", "angle = 400", "sheet[1].piece[2].angle", "write degrees as a plain number"),
        ("x = 10,", "x = -3,", "sheet[1].piece[1].x", "write a length"),
        ("remnant = true", "remnnat = true", "sheet[1].remnnat", "did you mean `remnant`?"),
        ('mark = "P2"', 'mark = "P1"', "blank[2].mark", "stands in the file already"),
    ],
)
def test_a_mistake_in_the_file_is_told_at_its_key(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    told = mistakes_of(read_layout, saved(tmp_path, text().replace(old, new, 1)))
    assert any(m.key == key and says in m.wanted for m in told), told


def asked(*words: str) -> Result:
    return CliRunner().invoke(main, ["nest", *words])


def test_the_command_keeps_a_layout_and_takes_it_again(tmp_path: Path) -> None:
    file = tmp_path / "kept" / "demo layout.toml"
    first = asked("demo", "--keep", str(file))
    assert first.exit_code == 0
    assert "the layout is kept in" in first.stderr
    again = asked("demo", "--layout", str(file))
    assert again.exit_code == 0
    assert "layout of demo layout.toml" in again.stdout
    assert first.stdout.split("Pieces on sheets")[1] == again.stdout.split("Pieces on sheets")[1]
    rows = list(csv.DictReader(io.StringIO(asked("demo", "--layout", str(file), "--as", "csv").stdout)))
    assert [r["mark"] for r in rows] == ["P2"] * 2 + ["P3"] * 4 + ["P4"] * 2
    data = json.loads(asked("demo", "--as", "json").stdout)["data"]
    assert data["plates"][0]["sheets"][0]["pieces"][0] == {
        "mark": "P2",
        "number": 1,
        "x": 10.0,
        "y": 10.0,
        "angle": 90.0,
    }
    # Another rack does not go with it.
    other = asked("survey-crew", "--layout", str(file))
    assert other.exit_code == 2
    assert "make the layout again" in other.stderr


def test_no_file_but_a_layout_is_written_over(tmp_path: Path) -> None:
    mine = saved(tmp_path, "format = 1\n")
    refused = asked("demo", "--keep", str(mine))
    assert refused.exit_code == 2
    assert "is no layout file" in refused.stderr
    assert mine.read_text() == "format = 1\n"
    file = tmp_path / "layout.toml"
    assert asked("demo", "--keep", str(file)).exit_code == 0
    assert asked("demo", "--keep", str(file)).exit_code == 0


def test_tighter_and_a_kept_layout_exclude_each_other(tmp_path: Path) -> None:
    refused = asked("demo", "--tighter", "--layout", "x.toml")
    assert refused.exit_code == 2
    assert "give one of them" in refused.stderr
    assert asked("demo", "--layout", str(tmp_path / "none.toml")).exit_code == 2


def test_a_failed_tighter_nest_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise NestError("the tighter nest failed: its process was ended by SIGABRT; the usual nest still stands")

    monkeypatch.setattr("rackgen.sheets.nest_tighter.tighter_nest", fails)
    file = tmp_path / "layout.toml"
    refused = asked("demo", "--tighter", "--keep", str(file))
    assert refused.exit_code == 2
    assert "SIGABRT" in refused.stderr
    assert not file.exists()
    assert asked("demo").exit_code == 0


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_the_station_shows_every_sheet_with_every_piece(name: str) -> None:
    made = job.design(read_job(name))
    station = table_station(made.rack, made.job.shop)
    headings = [b.text for b in station.blocks if isinstance(b, Heading)]
    tables = [b.table for b in station.blocks if isinstance(b, Rows)]
    assert len(headings) == len(tables)
    names = [row[0] for table in tables for row in table.rows]
    words = {
        item.text
        for b in station.blocks
        if isinstance(b, Figure)
        for item in b.drawing.items
        if hasattr(item, "text")
    }  # fmt: skip
    assert set(names) <= words
    steps = " ".join(s for b in station.blocks if isinstance(b, Ticks) for s in b.items)
    assert "centre-punch from the 1:1 template" in steps
    assert "Write on what is left" in steps
    assert not any(isinstance(b, Text) and b.kind == "caution" for b in station.blocks)
    loud = table_station(made.rack, made.job.shop, kerf_drawn=True)
    (caution,) = [b for b in loud.blocks if isinstance(b, Text) and b.kind == "caution"]
    assert "kerf OFF" in caution.text


@pytest.mark.parametrize("name", ["demo", "survey-crew"])
def test_the_station_of_expanded_metal_shows_the_long_way(name: str) -> None:
    made = job.design(read_job(name))
    station = mesh_station(made.rack, made.job.shop)
    (figure,) = [b for b in station.blocks if isinstance(b, Figure)]
    said = [item.text for item in figure.drawing.items if hasattr(item, "text")]
    assert "long way of the diamonds" in said
    assert "P1.1" in said


def test_the_shop_file_says_what_is_wrong_with_its_table(tmp_path: Path) -> None:
    from rackgen.spec.read import read_shop

    whole = Path(job.__file__).parents[1] / "presets" / "shops" / "threshing-barn-inch.toml"
    said = whole.read_text()
    assert read_shop(whole).sheet_remnants[0].length == pytest.approx(23.5 * 25.4)
    for old, new, key, wanted in (
        ('plate = "3/16 plate"', 'plate = "3/61 plate"', "sheet_remnant[1].plate", 'did you mean "3/16 plate"?'),
        ('spacing = "1/4 in"', 'spacing = "1/32 in"', "table.spacing", "not less than the kerf, 0.06 in"),
        ('margin = "3/8 in"', 'rotations = "some"', "table.rotations", "any quarter turn"),
    ):
        mistake = only(mistakes_of(read_shop, saved(tmp_path, swapped(said, old, new))))
        assert mistake.key == key
        assert wanted in mistake.wanted
