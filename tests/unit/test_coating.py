"""The coating sheet: what is coated, what it takes, and what is said when the shop does not say."""

import dataclasses

import pytest
from small_rack import MM, small_rack

from rackgen.export.text import table_text
from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Spine
from rackgen.parts import skin
from rackgen.parts.kinds import BarHole, BentTube, CutPlate, FoldedBar, PlateHole, Slit
from rackgen.sheets.coating import coating_table, finish
from rackgen.spec.money import Coating
from rackgen.spec.stock import Expanded, Flat, Round, Sheet, Stock

TUBE = Stock("tube", Round(30.0, 2.0), "steel", "", "")
BAR = Stock("bar", Flat(50.0, 5.0), "steel", "", "")
PLATE = Stock("plate", Sheet(4.0, 1000.0, 2000.0), "steel", "", "")
MESH = Stock("mesh", Expanded("raised", 20.0, 50.0, 1.5, 2.5, 5.0, 3.0, 1000.0, 2000.0), "steel", "", "")
PI = 3.141592653589793


def straight(length: float) -> Spine:
    return Spine((length,))


def test_a_plain_tube_is_girth_times_length() -> None:
    tube = BentTube(TUBE, straight(1000.0))
    assert skin.outside(tube) == pytest.approx(PI * 30 * 1000)
    assert skin.inside(tube) == pytest.approx(PI * 26 * 1000)


def test_a_cope_takes_what_it_cuts_off() -> None:
    plain = BentTube(TUBE, straight(1000.0))
    coped = BentTube(TUBE, straight(1000.0), (Cope(40.0, 13.0, 90.0),))
    assert PI * 30 * 2 < skin.outside(plain) - skin.outside(coped) < PI * 30 * 5


def test_a_slit_sleeve_lacks_its_strip() -> None:
    sleeve = BentTube(TUBE, straight(100.0), slit=Slit(10.0, 29.0))
    middle = PI * 28 - 10
    assert skin.outside(sleeve) + skin.inside(sleeve) == pytest.approx(2 * middle * 100, rel=1e-9)


def test_a_bar_and_a_plate_have_faces_edges_and_hole_walls() -> None:
    bar = FoldedBar(BAR, (100.0,), holes=(BarHole(0, 50.0, 0.0, 10.0),))
    assert skin.outside(bar) == pytest.approx(2 * 50 * 100 + 2 * 5 * 150 + PI * 10 * 5 - PI / 2 * 100)
    folded = FoldedBar(BAR, (100.0, 50.0), (Fold(90.0, 7.5),))
    assert skin.outside(folded) == pytest.approx(2 * (50 + 5) * (150 + PI / 2 * 10) + 2 * 50 * 5)
    plate = CutPlate(PLATE, rectangle(100.0, 60.0), (PlateHole(0.0, 0.0, 8.0),), (rectangle(20.0, 10.0),))
    faces = 2 * (6000 - 200) - PI / 2 * 64
    assert skin.outside(plate) == pytest.approx(faces + 4 * (320 + 60 + PI * 8))
    assert skin.inside(plate) == skin.inside(bar) == 0.0


def test_mesh_counts_by_its_strands() -> None:
    panel = CutPlate(MESH, rectangle(500.0, 400.0))
    assert skin.outside(panel) == pytest.approx(500 * 400 * 4 * (1.5 + 2.5) / 20)
    assert skin.steel(panel) == 1.5


def test_the_finish_adds_what_its_film_weighs() -> None:
    shop = dataclasses.replace(MM, finish=Coating("green", "powder", 0.06, 1.4, 60.0))
    found = finish(small_rack(), shop)
    assert found.added == pytest.approx(found.area * 1e-6 * 0.084)
    assert found.used == pytest.approx(found.added / 0.6)
    assert found.assumed == ()
    assert found.area == pytest.approx(sum(p.outside * p.quantity for p in found.parts if not p.hidden))


def test_a_silent_shop_gets_the_usual_and_is_told() -> None:
    found = finish(small_rack(), MM)
    assert (found.film, found.density, found.efficiency) == (0.08, 1.5, 50.0)
    text = table_text(coating_table(found, "mm"))
    assert "since the shop's file does not say: film, density, share that ends on the rack" in text


def test_a_dip_covers_the_bores_too() -> None:
    shop = dataclasses.replace(MM, finish=Coating("zinc", "hot dip"))
    found = finish(small_rack(), shop)
    assert found.added == found.zinc > 0
    assert found.dipped > found.area
    assert found.used == 0.0
    assert "inside and outside" in table_text(coating_table(found, "in"))


def test_what_is_plug_welded_inside_is_not_coated() -> None:
    rack = small_rack()
    joint = next(j for j in rack.joints if j.kind == "coped weld")
    inner = joint.a.part
    lone = dataclasses.replace(rack, joints=(*rack.joints, dataclasses.replace(joint, id="plug", kind="plug weld")))
    before, after = finish(rack, MM), finish(lone, MM)
    hidden = [p for p in after.parts if p.hidden]
    line = next(p for p in before.parts if p.mark == hidden[0].mark)
    assert inner
    assert before.area - after.area == pytest.approx(line.outside * line.quantity)
