"""Fit-up, inspection and the drawings of the welding bench: what is measured is what the tubes are."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rackgen.export.paper.painter import extent
from rackgen.geom import spine
from rackgen.job import design
from rackgen.made import Design
from rackgen.parts.kinds import BentTube, Bought
from rackgen.parts.measure import mass
from rackgen.sheets.drawing import Dimension, Drawing, Words
from rackgen.sheets.finishing import dressed_butts, hung, unvented
from rackgen.sheets.fit_up import BLOCK, WEDGE, Assembly, FitUp, fit_up, linear_b, straight_f
from rackgen.sheets.fit_up_drawing import layout_drawing, spaced
from rackgen.sheets.fit_up_rows import fit_up_table, limit
from rackgen.sheets.fit_up_station import fit_up_station
from rackgen.sheets.inspection_station import crack_places, inspection_station
from rackgen.sheets.pages import Fields, Figure, Ticks
from rackgen.sheets.weights import weights
from rackgen.sheets.weld_station import weld_station
from rackgen.spec.read import read_job
from tests.drawn import mishaps

RACKS = ("demo", "survey-crew")
WIDE = 186.0


@cache
def made(name: str) -> Design:
    return design(read_job(name))


@cache
def found(name: str) -> FitUp:
    return fit_up(made(name).rack, made(name).job.shop)


def outside(name: str, one: Assembly) -> np.ndarray:
    """Give points of the tubes' outside round about, vehicle frame, by a road that knows no table."""
    out = []
    for part_id in one.parts:
        placed = made(name).rack.part(part_id)
        assert isinstance(placed.part, BentTube)
        for s in np.linspace(0.0, spine.length(placed.part.spine), 400):
            frame = placed.frame.then(spine.frame_at(placed.part.spine, s))
            a = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
            ring = np.column_stack([np.zeros(24), np.sin(a), np.cos(a)]) * placed.part.section.od / 2
            out.append(frame.points(ring))
    return np.concatenate(out)


@pytest.mark.parametrize("name", RACKS)
def test_outside_sizes_are_those_of_the_tubes(name: str) -> None:
    for one in found(name).assemblies:
        local = one.table.to_local(outside(name, one))
        size = local.max(axis=0) - local.min(axis=0)
        assert one.length == pytest.approx(size[0], abs=0.3)
        assert one.width == pytest.approx(size[1], abs=0.3)
        assert local[:, :2].min(axis=0) == pytest.approx(found(name).margin, abs=0.3)


def test_the_demo_s_outside_sizes_are_those_that_were_asked_for() -> None:
    wish = made("demo").job.spec.basket
    lower, upper, frame = found("demo").assemblies
    assert (lower.width, lower.length) == pytest.approx((wish.width, wish.length))
    assert (upper.width, upper.length) == pytest.approx((wish.width, wish.length))
    assert frame.width == pytest.approx(1150.0)
    basket = found("demo").basket
    assert basket is not None
    assert basket.height == pytest.approx(wish.height)


def test_the_demo_ring_s_diagonals_by_hand() -> None:
    """Corner points lie on the outside of the legs where bends of CLR 120 begin: R + CLR in from each end."""
    lower = found("demo").assemblies[0]
    aft, across = 1080.0 - 2 * (33.7 / 2 + 120.0), 1040.0
    assert lower.diagonals == pytest.approx((np.hypot(aft, across),) * 2)


@pytest.mark.parametrize("name", RACKS)
def test_diagonals_run_between_points_of_the_tubes_outside(name: str) -> None:
    for one in found(name).assemblies:
        cloud = outside(name, one)
        spots = [np.asarray(one.table.point(c)) for c in one.corners]
        for spot in spots:
            assert np.linalg.norm(cloud - spot, axis=1).min() < 5.0
        assert one.diagonals[0] == pytest.approx(float(np.linalg.norm(spots[2] - spots[0])))
        assert one.diagonals[1] == pytest.approx(float(np.linalg.norm(spots[3] - spots[1])))


def test_a_ring_out_of_square_shows_in_its_diagonals() -> None:
    """The rear hoop 3 mm to the right: one diagonal longer, the other shorter."""
    rack, right = made("demo").rack, found("demo").assemblies[0]
    placed = tuple(
        replace(p, frame=p.frame.moved(p.frame.to_local_direction((0.0, 3.0, 0.0))))
        if p.id == "basket.lower.rear"
        else p
        for p in rack.placed
    )
    askew = fit_up(replace(rack, placed=placed), made("demo").job.shop).assemblies[0]
    aft = right.corners[3][0] - right.corners[0][0]
    wanted = [np.hypot(aft, right.width + 3.0), np.hypot(aft, right.width - 3.0)]
    assert sorted(askew.diagonals) == pytest.approx(sorted(wanted))


@pytest.mark.parametrize("name", RACKS)
def test_stop_blocks_stand_on_straights_clear_of_bends_butts_and_pads(name: str) -> None:
    rack = made(name).rack
    for one in found(name).assemblies:
        assert len(one.blocks) == 8
        assert {b.side for b in one.blocks if not b.wedge} == {"front", "left"}
        for block in one.blocks:
            off = WEDGE if block.wedge else 0.0
            aft = block.aft - off if block.side == "rear" else block.aft
            across = block.across - off if block.side == "right" else block.across
            at = np.asarray(one.table.point((aft, across, 0.0)))
            least, bend = np.inf, np.inf
            for part_id in one.parts:
                placed = rack.part(part_id)
                assert isinstance(placed.part, BentTube)
                for piece in spine.pieces(placed.part.spine):
                    for s in np.linspace(0.0, piece.length, 200):
                        here = placed.frame.then(spine.frame_at(placed.part.spine, piece.start + s))
                        gap = float(np.linalg.norm(np.asarray(here.origin) - at)) - placed.part.section.od / 2
                        least = min(least, gap)
                        if piece.bend is not None:
                            bend = min(bend, float(np.linalg.norm(np.asarray(here.origin) - at)))
            assert least == pytest.approx(0.0, abs=1.0)
            assert bend > one.tube + BLOCK / 2 - 1.0
            for placed in rack.placed:
                if placed.word == "clamp pad" and block.side in placed.id and "ring" in one.title:
                    mid = float(one.table.to_local(placed.frame.origin)[0])
                    assert abs(mid - block.aft) > 45.0 + BLOCK / 2


@pytest.mark.parametrize("name", RACKS)
def test_stations_are_those_that_were_asked_for_or_built(name: str) -> None:
    rack, lower = made(name).rack, found(name).assemblies[0]
    bearers = sorted(
        float(lower.table.to_local(p.frame.origin)[0]) - found(name).margin for p in rack.placed if p.word == "bearer"
    )
    said = [s.at for s in lower.stations if s.what.startswith("bearer")]
    assert said == pytest.approx(bearers)
    assert [s.at for s in lower.stations if s.what == "butt"] == pytest.approx([lower.length / 2])


def test_tolerances_of_iso_13920() -> None:
    """ISO 13920:1996 tables 1 and 3, classes B and F (from memory)."""
    assert [linear_b(x) for x in (30, 100, 400, 401, 1000, 1040, 2500)] == [1, 2, 2, 3, 3, 4, 6]
    assert [straight_f(x) for x in (100, 300, 900, 1080, 2500)] == [1, 1.5, 3, 4.5, 6]


def test_limits_are_rounded_to_the_safe_side_in_inches() -> None:
    assert limit(2.0, "mm") == "2 mm"
    assert limit(2.0, "in") == "1/16 in"


def test_places_are_moved_apart_no_more_than_needed() -> None:
    assert spaced([0.0, 1.0, 20.0], 4.0) == pytest.approx([-1.5, 2.5, 20.0])
    assert spaced([0.0, 10.0], 4.0) == pytest.approx([0.0, 10.0])
    out = spaced([0.0, 3.0, 5.0, 8.0, 9.0], 4.0)
    assert np.diff(out).min() >= 4.0 - 1e-9


@pytest.mark.parametrize("name", RACKS)
def test_every_size_block_and_station_is_on_the_sheet(name: str) -> None:
    unit = made(name).job.shop.unit
    table = fit_up_table(found(name), unit)
    text = [row[1] for row in table.rows]
    assert sum(t.startswith("stop block") for t in text) == 24
    assert sum(t.startswith("diagonal") for t in text) == 6
    assert sum(t.startswith("twist") for t in text) == 3
    assert sum(t.startswith("height") for t in text) == 4


def figures(name: str) -> list[Figure]:
    rack, shop = made(name).rack, made(name).job.shop
    both = (*fit_up_station(rack, shop).blocks, *weld_station(rack, shop).blocks)
    return [b for b in both if isinstance(b, Figure)]


@pytest.mark.parametrize("name", RACKS)
def test_figures_fit_the_page_and_nothing_on_them_touches(name: str) -> None:
    drawn = figures(name)
    assert len(drawn) >= 8
    for figure in drawn:
        left, bottom, right, top = extent(figure.drawing, figure.drawing.scale)
        assert right - left <= WIDE, figure.caption
        assert top - bottom <= figure.height, figure.caption
        assert all(i.height >= 2.2 for i in figure.drawing.items if isinstance(i, Words | Dimension))
        assert mishaps(figure.drawing) == [], figure.caption


@pytest.mark.parametrize("name", RACKS)
def test_every_weld_of_the_map_is_on_a_drawing(name: str) -> None:
    from rackgen.sheets.welds import weld_map

    seen: set[int] = set()
    for figure in figures(name):
        for item in figure.drawing.items:
            if isinstance(item, Words) and item.text.startswith("W"):
                for part in item.text.split(", "):
                    ends = [int(n[1:]) for n in part.split("-")]
                    seen |= set(range(ends[0], ends[-1] + 1))
    assert seen == {int(w.id[1:]) for w in weld_map(made(name).rack)[0].welds}


@pytest.mark.parametrize("name", RACKS)
def test_the_card_names_strap_fold_saddle_toe_and_last_rivet_on_both_sides(name: str) -> None:
    said = crack_places(made(name).rack)
    for what in ("outside of the fold of strap", "last rivet, the lowest", "toe of the weld round saddle"):
        assert sum(what in s for s in said) == 2
    station = inspection_station(made(name).rack, made(name).job.shop)
    assert any(isinstance(b, Ticks) and b.items == said for b in station.blocks)
    boxes = [b for b in station.blocks if isinstance(b, Fields)]
    torques = [row for b in boxes for row in b.rows if "bolt" in row[0]]
    assert len(torques) == 8
    wanted = "12 N·m" if made(name).job.shop.unit == "mm" else "9 lb-ft"
    assert {row[1] for row in torques} == {wanted}


@pytest.mark.parametrize("name", RACKS)
def test_no_closed_tube_of_the_shipped_racks_is_without_a_way_for_air(name: str) -> None:
    assert all(u.how for u in unvented(made(name).rack))
    assert {u.word for u in unvented(made(name).rack)} == {"sleeve", "saddle"}


def test_side_plates_and_floor_bear_on_the_demo_s_butts() -> None:
    bears = {b.joint: b.bears for b in dressed_butts(made("demo").rack)}
    assert len(bears) == 4
    assert {len(v) for k, v in bears.items() if ".lower." in k} == {2}
    assert {v[0].split()[0] for k, v in bears.items() if ".upper." in k} == {"side"}


@pytest.mark.parametrize("name", RACKS)
def test_what_hangs_weighs_the_rack_less_what_is_bought(name: str) -> None:
    rack = made(name).rack
    bought = sum(mass(p.part) for p in rack.placed if isinstance(p.part, Bought))
    assert sum(h.mass for h in hung(rack)) == pytest.approx(weights(rack).total - bought, rel=1e-6)


def test_a_drawing_is_laid_out_for_its_scale() -> None:
    one = found("demo").assemblies[2]
    drawing: Drawing = layout_drawing(made("demo").rack, one, "mm", found("demo").margin)
    assert drawing.scale == pytest.approx(1 / 15)
