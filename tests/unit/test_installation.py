"""The installation sheet and the other pages for the vehicle: every mount and fastener once, at its place."""

from __future__ import annotations

import dataclasses
import itertools
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rackgen import job, paper
from rackgen.check.reach import reach_findings
from rackgen.export.paper.blocks import usual_scale
from rackgen.export.paper.labels import Label, measured, words_label
from rackgen.export.paper.pdf import pdf_bytes
from rackgen.geom.breaks import folded_frame
from rackgen.geom.fold import legs_and_arcs
from rackgen.made import Design
from rackgen.parts.kinds import Bought, CutPlate, FoldedBar, RivetShape, UBoltShape
from rackgen.parts.measure import mass
from rackgen.sheets.cover_station import cautions_station, cover_station, extent
from rackgen.sheets.drawing import Dimension, Drawing, Words
from rackgen.sheets.dry_fit_station import RoofGap, dry_fit_station
from rackgen.sheets.inspection_station import inspection_station
from rackgen.sheets.installation import Hole, Installation, installation
from rackgen.sheets.installation_drawing import spread_out
from rackgen.sheets.installation_station import installation_station
from rackgen.sheets.load_test import Rating, load_test_station, reading_points
from rackgen.sheets.pages import Fields, Figure, Rows, Station, Text, Ticks
from rackgen.spec.read import Job, read_job
from rackgen.spec.vehicle import Vehicle
from rackgen.units import write_length

RACKS = ("demo", "survey-crew")


@cache
def made(name: str) -> Design:
    return job.design(read_job(name))


@cache
def found(name: str) -> Installation:
    one = made(name)
    return installation(one.rack, one.job.shop, one.job.vehicle)


def on(one: Design, vehicle: Vehicle) -> Design:
    """Return the same rack designed for another vehicle."""
    was = one.job
    return job.design(Job(was.spec, was.shop, vehicle, was.sources))


@cache
def lopsided() -> Design:
    """The demo's rack on a vehicle whose left mounts lie elsewhere than its right ones."""
    vehicle = made("demo").job.vehicle
    front, rear = vehicle.front, vehicle.rear
    at, behind = front[0].at, rear[0].at
    moved = dataclasses.replace(front[0], at=(at[0], at[1] + 25.0, at[2]), skin=1.2)
    lower = dataclasses.replace(rear[0], at=(behind[0], behind[1], behind[2] - 12.0), to_shut_line=75.0)
    return on(
        made("demo"), dataclasses.replace(vehicle, front=(moved, *front[1:]), rear=(lower, *rear[1:]), roof_limit=None)
    )


def stations(one: Design) -> tuple[Station, ...]:
    rack, shop, vehicle = one.rack, one.job.shop, one.job.vehicle
    gaps = (RoofGap("T5", "cross bar", "frame.bar[1]", 31.26, 25.0),)
    work = (
        dry_fit_station(rack, shop, vehicle, gaps),
        load_test_station(rack, shop, vehicle),
        installation_station(rack, shop, vehicle),
    )
    first = cover_station(one.job.spec.title, rack, shop, vehicle, one.stamp, work, one.findings)
    return (first, cautions_station(rack, shop, vehicle), *work)


def said(station: Station) -> list[str]:
    """Return every text of a station."""
    out: list[str] = []
    for block in station.blocks:
        match block:
            case Ticks():
                out += block.items
            case Fields():
                out += [block.title, *block.boxes, *(text for row in block.rows for text in row)]
            case Rows():
                out += [block.table.title, *block.table.notes, *(text for row in block.table.rows for text in row)]
            case Figure():
                out += [block.caption, *(i.text for i in block.drawing.items if isinstance(i, Words | Dimension))]
            case _:
                out.append(getattr(block, "text", ""))
    return out


def all_holes(one: Design) -> list[Hole]:
    return list(installation(one.rack, one.job.shop, one.job.vehicle).holes)


def loads_of(station: Station) -> dict[str, str]:
    return {row[0]: row[1] for b in station.blocks if isinstance(b, Fields) and b.title == "Load" for row in b.rows}


def test_the_fitter_reads_no_more_load_than_the_rack_is_rated_for() -> None:
    one = made("demo")
    rack, shop, vehicle = one.rack, one.job.shop, one.job.vehicle
    # 120 kg of roof less 47.9 kg of rack are 72 kg, more than a rack that is rated for 45.9 may carry.
    rated = loads_of(installation_station(rack, shop, vehicle, Rating(45.9, "structure")))
    assert rated["Load at most, moving, by calculation: set by the structure"] == "45 kg"
    assert "Load at most: limit less rack, or less" not in rated
    assert loads_of(installation_station(rack, shop, vehicle))["Load at most: limit less rack, or less"] == "72 kg"
    alone = dataclasses.replace(vehicle, roof_limit=None)
    unknown = loads_of(installation_station(rack, shop, alone, Rating(45.9, "structure")))
    assert (
        unknown["Load at most, moving, by calculation: set by the structure; no more than limit less rack"] == "45 kg"
    )


def test_the_load_test_is_twice_what_stands_on_the_plate() -> None:
    one = made("demo")
    texts = said(load_test_station(one.rack, one.job.shop, one.job.vehicle, Rating(45.7, "structure")))
    assert any("rated for 45 kg of load, moving; set by the structure. Twice that is 90 kg." in t for t in texts)


@pytest.mark.parametrize(("parked", "test", "words"), [
    (60.4, "90 kg", "Parked it may carry 60 kg, which the test covers."),
    (178.8, "178 kg", "Parked it may carry 178 kg, which is more: it is tested for that."),
])  # fmt: skip
def test_what_the_plate_allows_parked_is_tested_too(parked: float, test: str, words: str) -> None:
    one = made("demo")
    rated = Rating(45.7, "structure", parked, 3.0)
    station = load_test_station(one.rack, one.job.shop, one.job.vehicle, rated)
    rows = {r[0]: r[1] for b in station.blocks if isinstance(b, Fields) for r in b.rows}
    assert [v for k, v in rows.items() if k.startswith("Test load")] == [test]
    texts = " ".join(said(station))
    assert words in texts
    assert "with 3 times its weight by calculation: more than the 2 times of this test" in texts


def test_the_fitter_reads_what_the_rack_does_not_bear() -> None:
    one = made("demo")
    rated = Rating(45.7, "structure", too_much=("A person stands on the rear left corner: 113% of it",))
    texts = said(installation_station(one.rack, one.job.shop, one.job.vehicle, rated))
    assert any("A person stands on the rear left corner: 113% of it" in t for t in texts)


def test_the_overall_height_is_given_where_the_vehicle_was_measured_from_the_floor() -> None:
    one = made("demo")
    rack, shop, vehicle = one.rack, one.job.shop, one.job.vehicle
    # 1862 mm from the floor to z 0, and the upper ring's top 257 mm over that.
    assert "2119" in said(installation_station(rack, shop, vehicle))
    unmeasured = dataclasses.replace(vehicle, keep_outs=dataclasses.replace(vehicle.keep_outs, heights=None))
    assert "2119" not in said(installation_station(rack, shop, unmeasured))


@pytest.mark.parametrize("name", RACKS)
def test_every_fastener_at_the_vehicle_is_there_once(name: str) -> None:
    one, sheet = made(name), found(name)
    bought = [p for p in one.rack.placed if isinstance(p.part, Bought)]
    rivets = sorted(p.id for p in bought if isinstance(p.part.shape, RivetShape))
    bolts = sorted(p.id for p in bought if isinstance(p.part.shape, UBoltShape))
    assert rivets
    assert bolts
    assert sorted(h.part for h in sheet.holes) == rivets
    assert sorted(b for c in sheet.clamps for b in c.bolts) == bolts
    fixed = {j.a.part for j in one.rack.joints if j.where == "vehicle" and j.kind in ("rivets", "U-bolt")}
    assert fixed == {*rivets, *bolts}


@pytest.mark.parametrize("name", RACKS)
def test_every_mount_of_the_vehicle_is_there_once_with_its_own_metal(name: str) -> None:
    vehicle, sheet = made(name).job.vehicle, found(name)
    wanted = [(m.name, m.under, m.skin) for m in (*vehicle.front, *vehicle.rear)]
    assert [(m.name, m.under, m.skin) for m in sheet.mounts] == wanted
    assert len({m.letter for m in sheet.mounts}) == len(wanted)


@pytest.mark.parametrize("name", RACKS)
def test_the_rounds_drill_every_hole_once_and_every_mount_first(name: str) -> None:
    sheet = found(name)
    rounds = sheet.rounds
    assert sorted(label for r in rounds for label in r) == sorted(h.label for h in sheet.holes)
    assert [label[0] for label in rounds[0]] == [m.letter for m in sheet.mounts]


def drilled(one: Design) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return a point and the direction of every hole that is drilled in a mount's steel, by the parts' own frames."""
    out: list[tuple[np.ndarray, np.ndarray]] = []
    for p in one.rack.placed:
        if not p.id.startswith("mount."):
            continue
        if isinstance(p.part, CutPlate):
            for hole in p.part.holes:
                here = p.frame.then(folded_frame(p.part.breaks, p.part.thickness, hole.x, hole.y))
                out.append((np.array(here.point((hole.x, hole.y, 0.0))), np.array(here.z)))
        elif isinstance(p.part, FoldedBar):
            begins = [
                f
                for f, _, fold in legs_and_arcs(
                    p.part.flats, p.part.folds, p.part.section.thickness, p.part.section.width
                )
                if fold is None
            ]
            for bored in p.part.holes:
                here = p.frame.then(begins[bored.flat])
                out.append((np.array(here.point((bored.along, bored.across, 0.0))), np.array(here.z)))
    return out


@pytest.mark.parametrize("name", RACKS)
def test_holes_lie_in_line_with_the_holes_in_the_steel(name: str) -> None:
    one, sheet = made(name), found(name)
    steel = drilled(one)
    for hole in sheet.holes:
        off = [np.linalg.norm(np.cross(np.array(hole.at) - p, z)) for p, z in steel]
        # Strap and wrap, or strap and packer, are drilled in one line; a plate alone.
        assert sum(o < 0.01 for o in off) >= (2 if hole.face == "rear" else 1), hole


@pytest.mark.parametrize("name", RACKS)
def test_holes_of_the_roof_lie_on_its_skin(name: str) -> None:
    """Places come from the rivets, the roof from its stations: a fitted plate lies within its bedding of the roof."""
    one = made(name)
    roof = [h.at for h in found(name).holes if h.face == "roof"]
    assert roof
    assert np.abs(one.job.vehicle.roof.gap(roof)).max() < one.job.shop.bedding


def test_places_of_plates_and_straps_are_the_vehicle_files() -> None:
    sheet = {m.name: m for m in found("demo").mounts}
    assert sheet["front_left"].at == pytest.approx((220.0, -470.0, -22.0), abs=0.3)
    assert sheet["front_right"].at == pytest.approx((220.0, 470.0, -22.0), abs=0.3)
    rear = sheet["rear_right"].rear
    assert rear is not None
    # By the demo's file: corner at 595, 68 from there to the shut line; the strap is 50 wide, on the leg's axis.
    assert rear.shut_line == pytest.approx(527.0)
    assert rear.strap[1] - rear.strap[0] == pytest.approx(50.0)
    assert sum(rear.strap) / 2 == pytest.approx(558.15, abs=0.01)
    assert rear.wrap - rear.shut_line >= made("demo").job.spec.gaps.shut_line


@pytest.mark.parametrize("name", [*RACKS, "lopsided"])
def test_the_table_says_the_places_in_the_shops_unit(name: str) -> None:
    one = lopsided() if name == "lopsided" else made(name)
    unit = one.job.shop.unit
    step = 0.5 if unit == "mm" else 1 / 32
    table, text, _ = paper.SHEETS["installation"](one)
    assert table is not None
    sheet = installation(one.rack, one.job.shop, one.job.vehicle)
    rows = {row[0]: row for row in table.rows}
    for mount in sheet.mounts:
        row = rows[mount.letter]
        assert row[2] == write_length(mount.at[0], unit, step)
        assert row[3] == f"{write_length(abs(mount.at[1]), unit, step)} {'left' if mount.at[1] < 0 else 'right'}"
    for hole in sheet.holes:
        line = next(li for li in text.splitlines() if li.startswith(f"{hole.label} "))
        assert write_length(hole.at[0], unit, step) in line
        assert write_length(abs(hole.at[1]), unit, step) in line


@pytest.mark.parametrize("name", RACKS)
def test_the_drill_stop_is_never_more_than_three_millimetres_below_the_skin(name: str) -> None:
    one = made(name)
    unit = one.job.shop.unit
    holes = next(
        b.table
        for b in installation_station(one.rack, one.job.shop, one.job.vehicle).blocks
        if isinstance(b, Rows) and b.table.name == "holes"
    )
    keys = [c.key for c in holes.columns]
    for row, hole in zip(holes.rows, found(name).holes, strict=True):
        whole, _, part = row[keys.index("stop")].rpartition("-")
        value = float(whole or 0) + (
            float(part.split("/")[0]) / float(part.split("/")[1]) if "/" in part else float(part)
        )
        shown = value * (25.4 if unit == "in" else 1.0)
        assert hole.grip < shown <= hole.grip + 3.0 + 1e-9


@pytest.mark.parametrize("name", RACKS)
def test_what_the_basket_covers_agrees_with_the_check(name: str) -> None:
    one = made(name)
    noted = {f.parts[0] for f in reach_findings(one.rack, one.job.vehicle) if f.code == "hole-under-basket"}
    covered = {h.part.rsplit(".", 1)[0] + ".plate" for h in found(name).holes if h.covered}
    assert noted
    assert noted <= covered


def test_the_roof_limit_that_nobody_knows_gives_no_figure() -> None:
    one = lopsided()
    for station in (
        installation_station(one.rack, one.job.shop, one.job.vehicle),
        load_test_station(one.rack, one.job.shop, one.job.vehicle),
    ):
        texts = said(station)
        assert any("look it up in the handbook" in t.lower() for t in texts)
        assert not any("at most" in t and "of load" in t for t in texts)
        load = next(
            b for b in station.blocks if isinstance(b, Fields) and any("Rack, as weighed" in r[0] for r in b.rows)
        )
        assert [value for name, value in load.rows if "weighed" not in name] == [""] * (len(load.rows) - 1)


@pytest.mark.parametrize(("name", "pounds"), [("demo", False), ("survey-crew", True)])
def test_the_test_load_is_twice_what_the_limit_leaves(name: str, pounds: bool) -> None:
    one = made(name)
    limit = one.job.vehicle.roof_limit
    assert limit is not None
    twice = 2 * (limit - sum(mass(p.part) for p in one.rack.placed))
    wanted = f"{twice / 0.45359237:.0f} lb ({twice:.0f} kg)" if pounds else f"{twice:.0f} kg"
    texts = said(load_test_station(one.rack, one.job.shop, one.job.vehicle))
    assert wanted in texts
    assert any("not rated" in t for t in texts)


def test_the_load_test_reads_where_the_rack_bends_most() -> None:
    one = made("demo")
    points = reading_points(one.rack)
    names = " ".join(name for name, _ in points)
    assert len(points) == 2 + 4 + 2  # cross bars, bearers, both sides of the ring
    assert "cross bar 2 from the front" in names
    for name, (_, y, _) in points:
        assert abs(y) == pytest.approx(503.15 if "ring" in name else 0.0, abs=0.1), name


def test_mounts_that_differ_are_each_said_and_drawn_as_they_are() -> None:
    one = lopsided()
    sheet = {m.name: m for m in installation(one.rack, one.job.shop, one.job.vehicle).mounts}
    left, right = sheet["front_left"], sheet["front_right"]
    assert abs(right.at[1]) - abs(left.at[1]) == pytest.approx(25.0, abs=0.5)
    assert left.holes[0].grip - right.holes[0].grip == pytest.approx(0.4)
    texts = said(installation_station(one.rack, one.job.shop, one.job.vehicle))
    for mount in sheet.values():
        for value in (mount.at[0], abs(mount.at[1])):
            assert write_length(value, "mm", 0.5) in texts, mount.name
    behind = sheet["rear_left"].rear, sheet["rear_right"].rear
    assert behind[0] is not None
    assert behind[1] is not None
    assert behind[1].shut_line - behind[0].shut_line == pytest.approx(7.0)


@pytest.mark.parametrize("name", [*RACKS, "lopsided"])
def test_no_sheet_tells_anyone_to_weld_on_the_vehicle(name: str) -> None:
    one = lopsided() if name == "lopsided" else made(name)
    for station in stations(one):
        for text in said(station):
            for sentence in text.replace(";", ".").split(". "):
                words = sentence.lower()
                if "weld" in words and "vehicle" in words:
                    # All that is said of welds and the vehicle is that it is not done there, or what is done instead.
                    allowed = (
                        "nothing is welded on",
                        "off the vehicle",
                        "if anything must be welded near",
                        "once more to",
                    )
                    assert any(a in words for a in allowed), sentence


@pytest.mark.parametrize("name", RACKS)
def test_the_cautions_stand_on_the_installation_sheet_in_full(name: str) -> None:
    one = made(name)
    here = said(installation_station(one.rack, one.job.shop, one.job.vehicle))
    cautions = cautions_station(one.rack, one.job.shop, one.job.vehicle).blocks
    heads = [b.text for b in cautions if not isinstance(b, Text) and hasattr(b, "text")]
    assert "Drilling into pillars and roof rails" in heads
    welding = False
    for block in cautions:
        if not isinstance(block, Text):
            welding = getattr(block, "text", "") == "Welding"
        elif block.kind == "caution" and not welding:
            assert block.text in here, block.text


def labels(drawing: Drawing, scale: float) -> list[Label]:
    return [
        measured(i, scale, 0, 0).label if isinstance(i, Dimension) else words_label(i, scale, 0, 0)
        for i in drawing.items
        if isinstance(i, Dimension | Words)
    ]


TEN = Path(__file__).parents[1] / "presets" / "ten" / "racks"
"""Beside the demos: six roof mounts on a long roof, plates that lie along the legs, and an egg of a roof."""


@pytest.mark.parametrize(
    "name",
    [*RACKS, "lopsided", *(str(TEN / f"{n}.toml") for n in ("long-ladder", "rail-rider", "egg-basket", "barrel-cab"))],
    ids=lambda name: Path(name).stem,
)
@pytest.mark.parametrize("room", [174.0, 180.0])
def test_no_text_of_a_figure_covers_another(name: str, room: float) -> None:
    """At the scale and in the letters that the page is printed with; boxes of texts along X or Y are the texts."""
    one = lopsided() if name == "lopsided" else made(name)
    figures = [b for b in installation_station(one.rack, one.job.shop, one.job.vehicle).blocks if isinstance(b, Figure)]
    assert len(figures) >= 4
    for figure in figures:
        scale = usual_scale(figure.drawing, room, figure.height)
        boxes = []
        for label in labels(figure.drawing, scale):
            corners = np.array(label.corners)
            assert label.height >= 2.2
            boxes.append((label.text, corners.min(axis=0), corners.max(axis=0)))
        for (a, low, high), (b, least, most) in itertools.combinations(boxes, 2):
            assert (high <= least + 0.01).any() or (most <= low + 0.01).any(), (a, b, scale)


def test_spread_places_keep_apart_and_in_order_and_move_no_more_than_they_must() -> None:
    assert spread_out([0.0, 10.0, 20.0], 4.0) == [0.0, 10.0, 20.0]
    assert spread_out([10.0, 11.0], 4.0) == pytest.approx([8.5, 12.5])
    moved = spread_out([0.0, 1.0, 2.0, 30.0], 5.0)
    assert moved == pytest.approx([-4.0, 1.0, 6.0, 30.0])


def test_drawn_dimensions_are_as_long_as_they_say() -> None:
    one = made("demo")
    for block in installation_station(one.rack, one.job.shop, one.job.vehicle).blocks:
        if isinstance(block, Figure):
            for item in block.drawing.items:
                if isinstance(item, Dimension):
                    assert math.dist(item.start, item.end) == pytest.approx(float(item.text), abs=0.26), block.caption


def test_the_dry_fit_says_what_the_design_says() -> None:
    """Sizes of SHOP_PRACTICE's worked example, which is the demo: common practice, no source."""
    one = made("demo")
    rows: dict[str, str] = {}
    for block in dry_fit_station(one.rack, one.job.shop, one.job.vehicle).blocks:
        if isinstance(block, Fields):
            rows |= dict(block.rows)
    assert rows["A front left: T8, plate's top to the tube's underside on its axis"] == "45.0"
    assert rows["B6 strap: top flat between bend tangents"] == "110.0"
    assert rows["B6 strap: body flat between bend tangents"] == "180.0"
    assert rows["B8 wrap: flats"] == "45.0 and 60.0"
    assert rows["T1 leg: front tube's outside to where the leg is cut"] == "1300.0"


def test_the_basket_is_as_large_as_was_asked_for() -> None:
    one = made("demo")
    size = extent(p for p in one.rack.placed if p.id.startswith("basket."))
    wish = one.job.spec.basket
    assert size == pytest.approx((wish.length, wish.width, wish.height), abs=0.05)
    assert extent(()) is None


@pytest.mark.parametrize("name", RACKS)
def test_the_first_page_counts_every_part_and_lists_every_station(name: str) -> None:
    one = made(name)
    first, *rest = stations(one)
    tables = {b.table.name: b.table for b in first.blocks if isinstance(b, Rows)}
    counts = [int(part.split()[0]) for row in tables["stages"].rows for part in row[3].split(", ")]
    assert sum(counts) == len(one.rack.placed)
    order = next(b for b in first.blocks if isinstance(b, Ticks))
    assert order.items == tuple(s.title for s in rest[1:])
    stock = next(b for b in first.blocks if isinstance(b, Fields) and b.title == "Material")
    assert len(stock.rows) == len({p.part.stock.name for p in one.rack.placed if not isinstance(p.part, Bought)})


@pytest.mark.parametrize("name", RACKS)
def test_the_stations_are_printed_and_twice_alike(name: str) -> None:
    one = made(name)
    page = "A4" if one.job.shop.unit == "mm" else "letter"
    first = pdf_bytes(stations(one), one.stamp, one.job.shop.unit, page, "pack")
    assert first.startswith(b"%PDF")
    assert first == pdf_bytes(stations(one), one.stamp, one.job.shop.unit, page, "pack")


def test_a_rack_of_bows_has_no_table_without_rows() -> None:
    """Its load test reads the bows' middles and looks at the jaws' folds; its card has the bows' sizes."""
    made = job.design(read_job("window-cleaner"))
    asked = made.job
    tested = load_test_station(made.rack, asked.shop, asked.vehicle)
    for station in (tested, inspection_station(made.rack, asked.shop)):
        assert all(block.rows for block in station.blocks if isinstance(block, Fields)), station.name
    assert [name.split(" ", 1)[1] for name, _ in reading_points(made.rack)] == [
        f"bow {k} from the front, middle" for k in (1, 2, 3, 4)
    ]
