"""The page of clearances: the gap map in colours and letters, and the sheet's numbers as something to measure at."""

import io
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest

from rackgen import job
from rackgen.check.all import possible
from rackgen.check.cleared import Cleared, cleared
from rackgen.check.gap_map import GapMap, gap_map
from rackgen.check.result import Gap
from rackgen.export.clearance_station import clearance_station
from rackgen.export.gap_map_drawing import LETTERS, gap_map_drawing
from rackgen.export.gap_map_svg import COLOURS, bands
from rackgen.export.paper.pdf import pdf_bytes
from rackgen.made import Design
from rackgen.sheets.drawing import Circle, Stroke, Words
from rackgen.sheets.pages import Fields, Figure, Rows, Station, Text
from rackgen.spec.rack import Gaps
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks

WISH = Gaps()


@pytest.fixture(scope="module")
def made() -> Design:
    return job.checked(job.design(read_job("demo")))


@pytest.fixture(scope="module")
def found(made: Design) -> Cleared:
    asked = made.job
    assert made.checked is not None
    return cleared(made.rack, asked.shop, asked.vehicle, asked.spec, made.checked.gaps)


@pytest.fixture(scope="module")
def drawn(made: Design) -> GapMap:
    assert made.checked is not None
    return gap_map(possible(made.rack)[0], made.job.vehicle.roof, made.checked.gaps)


def tables(station: Station) -> dict[str, Rows]:
    return {b.table.name: b for b in station.blocks if isinstance(b, Rows)}


def small_map(rows: tuple[tuple[float | None, ...], ...]) -> GapMap:
    return GapMap(-20.0, -len(rows[0]) * 10.0, 20.0, rows, ())


def test_every_place_is_filled_once_with_its_band_s_colour() -> None:
    """Random gaps, holes among them: the patch over each place's middle is of the band that the key gives its gap."""
    dice = np.random.default_rng(4)
    rows = tuple(tuple(None if g < -15 else float(g) for g in dice.uniform(-30, 140, 17).round(1)) for _ in range(23))
    picture = gap_map_drawing(small_map(rows), WISH, "mm")
    assert picture is not None
    patches = [s for s in picture.items if isinstance(s, Stroke) and s.inside is not None and s.points[0][0] < 17 * 20]
    for i, row in enumerate(rows):
        for j, gap in enumerate(row):
            x, y = (j + 0.5) * 20, -(i + 0.5) * 20
            over = [p for p in patches if p.points[0][0] < x < p.points[2][0] and p.points[0][1] < y < p.points[2][1]]
            assert len(over) == (gap is not None)
            if gap is not None:
                colour = COLOURS[sum(gap >= end for end in bands(WISH))]
                assert over[0].inside == pytest.approx([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])


def test_a_wide_band_bears_its_letter_where_it_is() -> None:
    """What a copy without colour leaves: letters stand on their own band, and the key has all of them."""
    rows = tuple(tuple(15.0 if j < 20 else 40.0 for j in range(40)) for _ in range(40))
    picture = gap_map_drawing(small_map(rows), WISH, "mm")
    assert picture is not None
    on_map = [w for w in picture.items if isinstance(w, Words) and w.text in LETTERS and w.x < 800]
    low, high = (LETTERS[sum(g >= end for end in bands(WISH))] for g in (15.0, 40.0))
    assert {w.text for w in on_map} == {low, high}
    assert all((w.x < 400) == (w.text == low) for w in on_map)
    keys = {w.text for w in picture.items if isinstance(w, Words) and w.x > 800}
    assert set(LETTERS[: len(bands(WISH)) + 1]) <= keys


def test_the_five_tightest_are_ringed_where_they_are_and_say_their_gap(drawn: GapMap) -> None:
    picture = gap_map_drawing(drawn, WISH, "mm")
    assert picture is not None
    rings = {(round(c.x, 3), round(c.y, 3)) for c in picture.items if isinstance(c, Circle)}
    said = {w.text for w in picture.items if isinstance(w, Words)}
    assert len(drawn.tight) == 5
    for number, gap in enumerate(drawn.tight, 1):
        assert gap.at is not None
        assert gap.gap is not None
        assert (round(gap.at[1] - drawn.y, 3), round(drawn.x - gap.at[0], 3)) in rings
        assert any(t.startswith(f"{number}: ") and abs(float(t[3:]) - gap.gap) <= 0.26 for t in said)


def test_nothing_over_the_roof_is_no_picture_but_words(found: Cleared) -> None:
    empty = GapMap(0.0, 0.0, 20.0, (), ())
    assert gap_map_drawing(empty, WISH, "mm") is None
    station = clearance_station(replace(found, tight=()), empty, WISH, "mm")
    assert not any(isinstance(b, Figure) for b in station.blocks)
    assert any(isinstance(b, Text) and "No part of the rack stands over" in b.text for b in station.blocks)


def test_the_page_has_map_hatch_slide_heights_and_view(found: Cleared, drawn: GapMap) -> None:
    station = clearance_station(found, drawn, WISH, "mm")
    assert isinstance(station.blocks[0], Figure)
    of = tables(station)
    assert [r[0] for r in of["tightest"].table.rows] == ["1", "2", "3", "4", "5"]
    hatch = [r for r in of["near"].table.rows if r[0] == "hatch"]
    assert hatch
    assert all(r[4].endswith("° open") for r in hatch)
    assert of["near"].tick
    ways = [r[0] for r in of["slide"].table.rows if r[0]]
    assert ways == ["forward", "to the rear"]
    heights = next(b for b in station.blocks if isinstance(b, Fields))
    assert heights.boxes == ("measured",)
    assert found.standing is not None
    assert any(f"{found.standing.unladen:.0f}" in value for _, value in heights.rows)
    assert any(row[0].startswith("Garage") for row in heights.rows)
    text = " ".join(b.text for b in station.blocks if isinstance(b, Text))
    assert "driver's eye" in text
    assert "stand best" in text
    assert all(name in text for name in found.far)


def test_a_vehicle_without_anything_that_moves_is_cautioned(found: Cleared, drawn: GapMap) -> None:
    bare = replace(found, near=(), far=(), heights=None, standing=None, eye=False, seen=None)
    blocks = clearance_station(bare, drawn, WISH, "mm").blocks
    assert any(isinstance(b, Text) and b.kind == "caution" and "nothing is known" in b.text for b in blocks)
    assert any(isinstance(b, Text) and "add [heights]" in b.text for b in blocks)
    assert not any(isinstance(b, Fields) for b in blocks)


def test_on_the_printed_page_the_map_is_in_colour_and_its_texts_can_be_read(
    made: Design, found: Cleared, drawn: GapMap
) -> None:
    """Rendered by another program: the widest band's colour covers a good part of the page; texts are there."""
    station = clearance_station(found, drawn, made.job.spec.gaps, "mm")
    page = pdfium.PdfDocument(io.BytesIO(pdf_bytes((station,), made.stamp, "mm", "A4", "t")))[0]
    pixels = np.asarray(page.render(scale=1.0).to_pil().convert("RGB")).astype(int)
    widest = np.array([int(COLOURS[-1][k : k + 2], 16) for k in (1, 3, 5)])
    assert (np.abs(pixels - widest).max(axis=2) < 6).mean() > 0.05
    text = page.get_textpage().get_text_range()
    for said in ("gap, mm", "front", "75.0 and more", "T4 cross bar 2", "What it stays clear of"):
        assert said in text


def test_labels_of_neighbouring_tight_places_stand_by_them() -> None:
    """Two U-bolts of one clamp lie 50 mm apart: the one's label may not cover the other's place."""
    rows = tuple(tuple(60.0 for _ in range(56)) for _ in range(70))
    at = [(562.0, -550.0), (562.0, 550.0), (512.0, -550.0), (512.0, 550.0), (520.0, -540.0)]
    tight = tuple(Gap(f"u{k}", "H1", "U-bolt", 40.0 + k, (x, y, 0.0), 12.0) for k, (x, y) in enumerate(at))
    drawn = gap_map_drawing(GapMap(150.0, -560.0, 20.0, rows, tight), Gaps(), "in")
    assert drawn is not None
    labels = {w.text[0]: w for w in drawn.items if isinstance(w, Words) and w.bold and w.text[1:2] == ":"}
    for number, (x, y) in enumerate(at, 1):
        label = labels[str(number)]
        away = np.hypot(label.x - (y + 560.0), label.y - (150.0 - x)) * drawn.scale
        assert away < 40.0, number
