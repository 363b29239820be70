"""Edges of the floor, notched round uprights and drawn in behind side plates, and the bays that plates fill."""

import itertools
import math
from pathlib import Path

import pytest

from rackgen import job
from rackgen.design.floor import Edge, edge_path, plated
from rackgen.errors import Level
from rackgen.geom.outline import area
from rackgen.made import Design
from rackgen.parts.kinds import CutPlate, FoldedBar
from rackgen.spec.read import read_job

pytestmark = pytest.mark.racks

RADIUS = 15.0


@pytest.mark.parametrize(
    ("uprights", "count", "bays"),
    [
        ((-210.0, 210.0), 1, ((-210.0, 210.0),)),
        ((-210.0, 210.0), 0, ()),
        ((-210.0, 210.0), 3, ((-210.0, 210.0),)),
        ((-400.0, -150.0, 150.0, 400.0), 1, ((-150.0, 150.0),)),
        ((-400.0, -150.0, 150.0, 400.0), 3, ((-400.0, -150.0), (-150.0, 150.0), (150.0, 400.0))),
        # One of two bays that are equally far from the middle would be lopsided.
        ((-400.0, -150.0, 150.0, 400.0), 2, ((-150.0, 150.0),)),
        ((-200.0, 0.0, 200.0), 1, ()),
        ((-200.0, 0.0, 200.0), 2, ((-200.0, 0.0), (0.0, 200.0))),
        ((100.0,), 1, ()),
        ((), 1, ()),
    ],
)
def test_plates_fill_the_bays_nearest_the_middle(
    uprights: tuple[float, ...], count: int, bays: tuple[tuple[float, float], ...]
) -> None:
    assert plated(uprights, count) == bays


@pytest.mark.parametrize("inset", [0.0, 3.5, 14.9, 15.0, 18.0, 40.0])
def test_the_notch_keeps_its_distance_from_the_upright_however_deep_the_edge_is_drawn_in(inset: float) -> None:
    edge = Edge(-300.0, 300.0, (-100.0, 100.0), inset, ((-100.0, 100.0),))
    path = edge_path(edge, RADIUS)
    assert path[0][:2] == (-300.0, 0.0)
    assert path[-1][:2] == (300.0, 0.0)
    for s, inward, _ in path:
        assert min(math.hypot(s - u, inward) for u in edge.uprights) >= RADIUS - 1e-9
    middle = [inward for s, inward, _ in path if -100.0 < s < 100.0]
    assert all(inward == pytest.approx(inset) for inward in middle)
    # It is walked forward only.
    assert all(b[0] >= a[0] - 1e-9 for a, b in itertools.pairwise(path))
    # Each arc bulges into the floor: chords of a notch walked clockwise.
    assert all(bulge <= 0.0 for _, _, bulge in path)


def smaller(folder: Path, lines: str) -> Design:
    file = folder / "plates.toml"
    file.write_text(
        'format = 1\nshop = "slipway-mm"\nvehicle = "boxy-wagon-mm"\nunits = "mm"\n'
        f"[basket]\nwidth = 1000\nlength = 1300\nheight = 200\n{lines}\n"
    )
    return job.checked(job.design(read_job(str(file))))


def test_three_bays_a_side_get_three_plates_that_fit(tmp_path: Path) -> None:
    """Each 1 mm clear of its uprights and rings, and the floor ends inside them: nothing runs into anything."""
    made = smaller(
        tmp_path,
        "bearers = [-470, -330, -100, 100, 330, 470]\nside_uprights = [-440, -200, 200, 440]\nside_plates = 3",
    )
    assert [f for f in made.findings if f.level > Level.NOTE] == []
    plates = [p for p in made.rack.placed if p.word == "side plate"]
    assert len(plates) == 6
    longest = []
    for placed in plates:
        assert isinstance(placed.part, CutPlate)
        xs = [v.x for v in placed.part.outline]
        longest.append(round(max(xs) - min(xs), 6))
    # Centre to centre less the uprights' tube and 1 mm each side.
    assert sorted(longest) == pytest.approx([240 - 26.9 - 2] * 4 + [400 - 26.9 - 2] * 2)


def test_strips_are_welded_to_the_panels_they_lie_on() -> None:
    """Of a floor in two panels, a strip across the rear lies on the rear one only."""
    racks = Path(__file__).parents[1] / "presets" / "ten" / "racks"
    made = job.design(read_job(str(racks / "long-ladder.toml")))
    joints = {(j.a.part, j.b.part) for j in made.rack.joints if j.a.part.startswith("basket.strip")}
    for strip, panel in joints:
        assert panel in ("basket.floor[1]", "basket.floor[2]")
        if strip.startswith("basket.strip.front"):
            assert panel == "basket.floor[1]"
        if strip.startswith("basket.strip.rear"):
            assert panel == "basket.floor[2]"
    strips = {p.id for p in made.rack.placed if isinstance(p.part, FoldedBar) and p.word == "edge strip"}
    assert {a for a, _ in joints} == strips


@pytest.mark.parametrize(("width", "seams"), [(1240.0, 0), (1400.0, 1)])
def test_a_floor_of_mesh_wider_than_its_sheet_meets_under_a_strip(tmp_path: Path, width: float, seams: int) -> None:
    """Sheets are 1250 mm wide, the floor as much narrower than the basket as the ring's tube; steel is neither lost nor
    laid double."""
    made = wide(tmp_path, width, 5)
    panels = [p for p in made.rack.placed if p.word == "floor panel"]
    strips = [p for p in made.rack.placed if p.id.startswith("basket.strip.seam")]
    assert (len(panels), len(strips)) == (seams + 1, seams)
    assert not [f for f in made.findings if f.code in ("bigger-than-sheet", "larger-than-sheet", "runs-through")]
    one = next(p for p in wide(tmp_path, 1240.0, 5).rack.placed if p.word == "floor panel")
    assert isinstance(one.part, CutPlate)
    total = 0.0
    for placed in panels:
        assert isinstance(placed.part, CutPlate)
        total += area(placed.part.outline)
    assert total == pytest.approx(area(one.part.outline) + (width - 1240.0) * (1300 - 33.7))
    held = {j.b.part for j in made.rack.joints if j.a.part.startswith("basket.strip.seam")}
    assert held == ({p.id for p in panels} if seams else set())


def wide(folder: Path, width: float, uprights: int) -> Design:
    ends = ", ".join(str(160.0 * k) for k in range(-(uprights // 2), uprights // 2 + 1))
    file = folder / "wide.toml"
    file.write_text(
        'format = 1\nshop = "slipway-mm"\nvehicle = "boxy-wagon-mm"\nunits = "mm"\n'
        f"[basket]\nwidth = {width}\nlength = 1300\nheight = 200\nside_plates = 0\nend_uprights = [{ends}]\n"
    )
    return job.checked(job.design(read_job(str(file))))
