"""Plates, strips, drill templates and fold gauges at full size, as data."""

import dataclasses
import math
from collections.abc import Iterable
from functools import lru_cache

import numpy as np
import pytest
from drawn import mishaps
from small_rack import MM, PLATE, small_rack

from rackgen import job
from rackgen.export.paper.tiles import tile_count
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.made import Design
from rackgen.parts.kinds import BarHole, Break, CutPlate, FoldedBar, PlateHole
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.drawing import Circle, Drawing, Stroke, Words
from rackgen.sheets.drill_templates import Corner, drill_station, templates_for_vehicle
from rackgen.sheets.flats import blanks, flattened
from rackgen.sheets.fold_gauges import fold_gauges, gauge_edge, gauges
from rackgen.sheets.installation import installation
from rackgen.sheets.pages import Heading, Template
from rackgen.sheets.plate_templates import plate_templates
from rackgen.sheets.strip_templates import strip_templates
from rackgen.sheets.template_sizes import fits, tiled
from rackgen.sheets.templates_station import WITHOUT, templates_station
from rackgen.sheets.wrap_templates import wrap_templates
from rackgen.spec.read import read_job
from rackgen.spec.stock import Flat, Stock

BAR = Stock("50 × 5", Flat(50.0, 5.0), "steel", "S235JR", "bare", 6000.0)
RACKS = ("demo", "survey-crew")


@lru_cache(maxsize=2)
def design(name: str) -> Design:
    return job.design(read_job(name))


def rack_of(*placed: tuple[CutPlate | FoldedBar, Frame], word: str = "plate") -> Rack:
    return Rack(tuple(Placed(f"tried[{i}]", part, frame, word, 2) for i, (part, frame) in enumerate(placed)), ())


def crosses(drawing: Drawing) -> np.ndarray:
    """Give middle and diameter of every hole to punch, in order."""
    return in_order((i.x, i.y, 2 * i.radius) for i in drawing.items if isinstance(i, Circle) and i.style == "mark")


def in_order(holes: Iterable[tuple[float, float, float]]) -> np.ndarray:
    """Give rows sorted as if rounded, so that noise does not change their order."""
    return np.array(sorted(holes, key=lambda h: tuple(round(v, 6) for v in h)))


def words(template: Template) -> str:
    said = (i.text for i in template.drawing.items if isinstance(i, Words))
    return "\n".join((template.title, *said, *template.notes))


def every(name: str) -> list[Template]:
    made = design(name)
    rack, shop = made.rack, made.job.shop
    return [
        *wrap_templates(rack, shop),
        *plate_templates(rack, shop),
        *strip_templates(rack, shop),
        *fold_gauges(rack, shop),
        *templates_for_vehicle(rack, shop, made.job.vehicle),
    ]


@pytest.mark.parametrize("name", RACKS)
def test_no_text_is_small_or_stands_on_another(name: str) -> None:
    for template in every(name):
        assert all(i.height >= 2.2 for i in template.drawing.items if isinstance(i, Words)), template.title
        assert not mishaps(dataclasses.replace(template.drawing, scale=1.0)), template.title


ODD = CutPlate(
    PLATE,
    rectangle(120.0, 90.0, 12.0),
    (PlateHole(-45.0, -30.0, 6.5), PlateHole(45.0, -30.0, 8.5), PlateHole(-45.0, 30.0, 6.5)),
    (rectangle(14.0, 9.0, 4.5, (30.0, 20.0)),),
    (Break((0.0, 3.0), 0.0, 4.5),),
)


def test_a_plates_holes_are_the_parts_own() -> None:
    (template,) = plate_templates(rack_of((ODD, Frame((500.0, -300.0, 0.0)))), MM)
    # The vehicle's front is toward -X of this plate, and front is up on paper: turned by -90 degrees.
    wanted = in_order((h.y, -h.x, h.diameter) for h in ODD.holes)
    np.testing.assert_allclose(crosses(template.drawing), wanted, atol=1e-9)
    text = words(template)
    for said in (
        "P1",
        "14 × 9",
        "6.5",
        "8.5",
        "break 4.5 down",
        "FRONT ▲",
        "this face up",
        "4 mm" if False else "plate 4",
    ):
        assert said in text, said


def test_front_is_up_however_the_plate_lies() -> None:
    for turn in (0.0, 90.0, 180.0, 270.0):
        a = math.radians(turn)
        frame = Frame.of((300.0, 400.0, 0.0), (math.cos(a), math.sin(a), 0.0), (0.0, 0.0, 1.0))
        (template,) = plate_templates(rack_of((ODD, frame)), MM)
        odd = next(h for h in ODD.holes if h.diameter == 8.5)
        place = frame.point((odd.x, odd.y, 0.0))
        (spot,) = (c for c in crosses(template.drawing) if c[2] == 8.5)
        # Up on paper is forward, right is right, as seen from above.
        np.testing.assert_allclose(spot[:2], (place[1] - 400.0, 300.0 - place[0]), atol=1e-9)


def test_equal_plates_that_lie_differently_have_no_arrow() -> None:
    other = Frame.of((900.0, 400.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    (template,) = plate_templates(rack_of((ODD, Frame()), (ODD, other)), MM)
    assert "FRONT" not in words(template)


def test_a_plates_break_is_drawn_across_it() -> None:
    (template,) = plate_templates(rack_of((ODD, Frame((500.0, -300.0, 0.0)))), MM)
    (fold,) = (i for i in template.drawing.items if isinstance(i, Stroke) and i.style == "fold")
    assert {round(x, 6) for x, _ in fold.points} == {3.0}
    assert abs(fold.points[0][1] - fold.points[1][1]) == pytest.approx(120.0)


def test_mesh_and_large_plates_have_none() -> None:
    large = CutPlate(PLATE, rectangle(700.0, 300.0))
    assert not plate_templates(rack_of((large, Frame())), MM)
    # Of the small rack's plate and floor of mesh.
    (found,) = plate_templates(small_rack(), MM)
    assert "mesh" not in words(found)


STRAP = FoldedBar(
    BAR, (110.0, 180.0), (Fold(-82.0, 8.0),), holes=(BarHole(1, 90.0, 4.0, 6.5), BarHole(0, 20.0, 0.0, 8.5))
)


def test_a_strips_holes_and_fold_are_where_the_blank_has_them() -> None:
    (template,) = strip_templates(rack_of((STRAP, Frame()), word="strap"), MM)
    flat = flattened(STRAP, MM.folding)
    wanted = in_order((h.x, h.y, h.diameter) for h in flat.holes)
    np.testing.assert_allclose(crosses(template.drawing), wanted, atol=1e-9)
    (fold,) = (i for i in template.drawing.items if isinstance(i, Stroke) and i.style == "fold")
    assert [x for x, _ in fold.points] == pytest.approx([flat.folds[0][0]] * 2)
    limits = sorted(i.points[0][0] for i in template.drawing.items if isinstance(i, Stroke) and i.style == "thin")
    assert limits == pytest.approx(flat.limits(0, 0.0))
    assert "fold 82° down R8" in words(template)


def test_plain_bars_have_no_strip() -> None:
    assert not strip_templates(rack_of((FoldedBar(BAR, (300.0,)), Frame())), MM)


@pytest.mark.parametrize(("angle", "radius"), [(-82.0, 8.0), (90.0, 45.0), (30.0, 6.0), (120.0, 10.0)])
def test_a_gauge_has_the_finished_angle_and_radius(angle: float, radius: float) -> None:
    bar = dataclasses.replace(STRAP, folds=(Fold(angle, radius),), holes=())
    (gauge,) = gauges(rack_of((bar, Frame())))
    edge = np.array(gauge_edge(gauge))
    a, b = edge[1] - edge[0], edge[-1] - edge[-2]
    # Each arm runs from its end to the tangent in one piece; between them the edge turns by what the bar does.
    turned = math.degrees(math.acos(float(a @ b) / np.linalg.norm(a) / np.linalg.norm(b)))
    assert turned == pytest.approx(abs(angle), abs=1e-6)
    assert min(np.linalg.norm(a), np.linalg.norm(b)) > 40.0
    # The arc's middle lies square off both tangents by the radius.
    arc = edge[1:-1]
    middle = _middle(arc[0], arc[len(arc) // 2], arc[-1])
    np.testing.assert_allclose(np.linalg.norm(arc - middle, axis=1), radius, atol=0.02)
    assert gauge.hollow == ("the drawn face" if angle > 0 else "the back of the drawn face")


def _middle(p: np.ndarray, q: np.ndarray, r: np.ndarray) -> np.ndarray:
    rows = 2 * np.array([q - p, r - p])
    return np.linalg.solve(rows, np.array([q @ q - p @ p, r @ r - p @ p]))


def test_a_breaks_gauge_is_a_plain_corner_of_long_arms() -> None:
    (gauge,) = gauges(rack_of((ODD, Frame())))
    edge = np.array(gauge_edge(gauge))
    assert len(edge) == 3
    a, b = edge[0] - edge[1], edge[2] - edge[1]
    between = math.degrees(math.acos(float(a @ b) / np.linalg.norm(a) / np.linalg.norm(b)))
    assert between == pytest.approx(175.5)
    assert np.linalg.norm(a) == pytest.approx(45.0)
    # It falls away from the drawn face, so that the hollow is behind.
    assert gauge.hollow == "the back of the drawn face"
    (template,) = fold_gauges(rack_of((ODD, Frame())), MM)
    assert "175.5" in words(template)


def test_a_fold_tighter_at_one_edge_has_a_gauge_for_each() -> None:
    bar = dataclasses.replace(STRAP, folds=(Fold(-90.0, 45.0, 40.0),), holes=())
    found = gauges(rack_of((bar, Frame())))
    assert [(g.what, g.radius) for g in found] == [("fold, lower edge", 45.0), ("fold, upper edge", 40.0)]


def labelled(template: Template) -> dict[str, tuple[float, float]]:
    """Give the place of every hole by its label: the bold word right above its cross."""
    spots = [i for i in template.drawing.items if isinstance(i, Circle) and i.style == "mark"]
    out: dict[str, tuple[float, float]] = {}
    for i in template.drawing.items:
        if isinstance(i, Words) and i.bold:
            for c in spots:
                if abs(i.x - c.x) < 1e-6 and abs(i.y - c.y - c.radius) < 1e-6:
                    out[i.text] = (c.x, c.y)
    return out


@pytest.mark.parametrize("name", RACKS)
def test_drill_templates_hold_every_hole_of_the_installation_sheet(name: str) -> None:
    made = design(name)
    found = installation(made.rack, made.job.shop, made.job.vehicle)
    places: dict[str, tuple[float, float]] = {}
    for template in templates_for_vehicle(made.rack, made.job.shop, made.job.vehicle):
        assert not set(labelled(template)) & set(places)
        places |= labelled(template)
    assert set(places) == {h.label for h in found.holes}
    for mount in found.mounts:
        for face in ("roof", "rear", "side"):
            holes = [h for h in mount.holes if h.face == face]
            for i, one in enumerate(holes):
                for other in holes[:i]:
                    # On one face, paper and steel are as far apart, whatever way the paper is turned.
                    apart = math.dist(places[one.label], places[other.label])
                    assert apart == pytest.approx(math.dist(one.at, other.at), abs=0.05)
                    if face == "roof":
                        aft, right = other.at[0] - one.at[0], other.at[1] - one.at[1]
                        up, over = np.subtract(places[one.label], places[other.label])[::-1]
                        # A degree of turn at most: a leaning roof turns the plate a little about its normal.
                        assert abs(up - aft) < 0.02 * apart + 0.1
                        assert abs(-over - right) < 0.02 * apart + 0.1


@pytest.mark.parametrize("name", RACKS)
def test_round_the_corner_holes_are_as_far_as_a_tape_on_the_skin_says(name: str) -> None:
    made = design(name)
    found = installation(made.rack, made.job.shop, made.job.vehicle)
    for place in made.job.vehicle.rear:
        mount = next(m for m in found.mounts if m.name == place.name)
        corner = Corner(place, math.copysign(1.0, place.at[1]))
        behind = next(h for h in mount.holes if h.face == "rear")
        beside = next(h for h in mount.holes if h.face == "side")
        lean = math.radians(place.lean)
        forward = -float(np.subtract(beside.at, place.at) @ (math.cos(lean), 0.0, math.sin(lean)))
        # Seen along the corner: straight to the round, round it in small steps, straight on along the side.
        a = np.linspace(0.0, math.pi / 2, 2001)
        r = place.corner_radius
        tape = np.array([
            (abs(behind.at[1]), 0.0),
            *zip(place.corner + r * np.sin(a), r - r * np.cos(a), strict=True),
            (place.corner + r, forward),
        ])  # fmt: skip
        long = float(np.linalg.norm(np.diff(tape, axis=0), axis=1).sum())
        across = abs(corner.flat(beside)[0] - corner.flat(behind)[0])
        assert across == pytest.approx(long, abs=0.01)
        # The side lies outward of the rear face, to the left on the left.
        assert (corner.flat(beside)[0] - corner.flat(behind)[0]) * place.at[1] > 0
        assert abs(abs(beside.at[1]) - place.corner - r) < 0.5


def test_a_corner_that_tapers_has_two_papers_and_no_hole_is_lost() -> None:
    made = design("demo")
    vehicle = made.job.vehicle
    tapered = dataclasses.replace(vehicle, rear=tuple(dataclasses.replace(p, taper=0.1) for p in vehicle.rear))
    found = templates_for_vehicle(made.rack, made.job.shop, tapered)
    assert [t.title.rsplit(", ", 1)[1] for t in found] == ["roof", "roof", "rear face", "side", "rear face", "side"]
    labels = [label for t in found for label in labelled(t)]
    assert sorted(labels) == sorted(h.label for h in installation(made.rack, made.job.shop, tapered).holes)


def test_a_drill_template_says_where_it_lies() -> None:
    made = design("demo")
    roof, _, corner, _ = templates_for_vehicle(made.rack, made.job.shop, made.job.vehicle)
    for said in ("A front left", "FRONT ▲", "◀ LEFT", "RIGHT ▶", "470.0 left of the middle", "220.0 aft of the datum"):
        assert said in words(roof), said
    for said in ("C  rear left", "UP ▲", "shut line", "upper edge: where the body's flat begins", "round, R45", "6.5"):
        assert said in words(corner), said
    assert drill_station(made.rack, made.job.shop, made.job.vehicle).blocks == templates_for_vehicle(
        made.rack, made.job.shop, made.job.vehicle
    )


@pytest.mark.parametrize("name", RACKS)
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_what_is_said_to_be_tiled_is_tiled(name: str, paper: str) -> None:
    made = design(name)
    rack, shop = made.rack, made.job.shop
    found = tiled(rack, blanks(rack, shop)[0], shop, paper)  # type: ignore[arg-type]
    said = {w for f in found for w in f.text.rsplit("tiles: ", 1)[1].replace(",", "").split() if w[0] in "TBP"}
    cut = {
        t.title.split()[1].rstrip(":")
        for t in (*wrap_templates(rack, shop), *plate_templates(rack, shop), *strip_templates(rack, shop))
        if tile_count(t, paper) > 1  # type: ignore[arg-type]
    }
    assert said == cut
    assert all(f.level.name == "NOTE" and f.code == "template-tiled" for f in found)


def test_a_piece_goes_on_a_page_upright_or_turned() -> None:
    assert fits(150.0, 180.0, "A4")
    assert fits(180.0, 150.0, "A4")
    assert not fits(190.0, 180.0, "A4")


def test_the_station_has_wraps_then_plates_then_strips_then_gauges() -> None:
    made = design("demo")
    station = templates_station(made.rack, made.job.shop)
    heads = [b.text for b in station.blocks if isinstance(b, Heading)]
    assert heads == ["Printing", "How a wrap goes on", "Or by hole saw", "Wraps for coped and mitred tube ends",
                     "Plates", "Strips: folds and holes of flat bars", "Fold gauges"]  # fmt: skip
    kinds = [b.title.split()[0] for b in station.blocks if isinstance(b, Template)]
    assert kinds == sorted(kinds, key=["wrap", "plate", "strip", "gauge"].index)
    assert templates_station(Rack((), ()), made.job.shop).blocks[0].text == WITHOUT  # type: ignore[union-attr]
