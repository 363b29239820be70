"""What changes between two racks: another die keeps the outside, and the change sheet says what is made anew."""

import dataclasses
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from preset_texts import saved, swapped
from small_rack import BAR, PLATE, TUBE, small_rack

from rackgen import job
from rackgen.app.cli import main
from rackgen.geom import spine
from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.made import Design
from rackgen.mesh.triangles import triangles
from rackgen.parts.bend_order import turned_round
from rackgen.parts.compare import compare, differences
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part, PlateHole, RivetShape, TubeHole
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.bends import bend_sheets
from rackgen.sheets.changes import changes_table
from rackgen.spec.read import Job, read_job
from rackgen.spec.shop import Die


@lru_cache(maxsize=1)
def demo() -> Design:
    return job.design(read_job("demo"))


@lru_cache(maxsize=1)
def on_another_die() -> Design:
    """The demo's file as it is, in a shop whose die for 33.7 tube bends on 100 instead of 120."""
    asked: Job = demo().job
    dies = tuple(Die("33.7 / 100", 33.7, 100.0, 80.0, 60.0) if d.tube_od == 33.7 else d for d in asked.shop.dies)
    return job.design(dataclasses.replace(asked, shop=dataclasses.replace(asked.shop, dies=dies)))


HOOPS = ("frame.hoop", "basket.lower.front", "basket.lower.rear", "basket.upper.front", "basket.upper.rear")


@pytest.mark.parametrize("part_id", HOOPS)
def test_another_die_keeps_the_outside(part_id: str) -> None:
    spans = []
    for made in (demo(), on_another_die()):
        placed = made.rack.part(part_id)
        assert isinstance(placed.part, BentTube)
        corners = placed.frame.points(spine.corners(placed.part.spine))
        outside = placed.frame.points(triangles(placed.part).vertices)
        spans.append((corners[np.lexsort(corners.T)], outside.min(axis=0), outside.max(axis=0)))
    for one, other in zip(*spans, strict=True):
        assert np.allclose(one, other, atol=0.01)


def test_another_die_gives_other_lengths_and_marks() -> None:
    before, after = (bend_sheets(made.rack, made.job.shop)[0] for made in (demo(), on_another_die()))
    for old, new in zip(before, after, strict=True):
        # Two bends of 90 deg: 2 (2 CLR - CLR pi / 2) less is cut off the corners; the first bend starts one CLR later.
        assert new.cut - old.cut == pytest.approx(2 * 20.0 * (2 - np.pi / 2), abs=0.01)
        assert new.bends[0].start - old.bends[0].start == pytest.approx(20.0, abs=0.01)
        assert [b.angle for b in new.bends] == [b.angle for b in old.bends]


def test_the_change_sheet_says_what_another_die_redoes_and_keeps() -> None:
    found = compare(demo().rack, on_another_die().rack).changes
    hoop = next(c for c in found if c.word == "ring hoop")
    assert (hoop.state, hoop.before, hoop.after, len(hoop.ids)) == ("redo", "T2", "T2", 4)
    redo = {r.what: (r.before, r.after) for r in hoop.redo}
    assert redo["bend 1 radius"] == (120.0, 100.0)
    assert redo["saw length"] == pytest.approx((1949.6, 1949.6 + 40 * (2 - np.pi / 2)), abs=0.05)
    assert {"stock", "bend 1 angle", "bend 2 angle", "bend 2 turn"} <= set(hoop.keep)
    states = {c.word: c.state for c in found}
    assert {states[w] for w in ("cross bar", "bearer", "upright", "mount plate", "U-bolt")} == {"keep"}
    assert {w for w, s in states.items() if s == "redo"} == {"frame hoop", "ring hoop", "edge strip", "floor panel"}


def test_a_rack_against_itself_keeps_everything() -> None:
    rack = small_rack()
    found = compare(rack, rack).changes
    assert {c.state for c in found} == {"keep"}
    assert sorted(i for c in found for i in c.ids) == sorted(p.id for p in rack.placed)


def test_new_and_gone_parts_are_named() -> None:
    rack = small_rack()
    fewer = Rack(tuple(p for p in rack.placed if p.word != "brace"), ())
    gone = [c for c in compare(rack, fewer).changes if c.state != "keep"]
    assert [(c.state, c.word, c.after, len(c.ids)) for c in gone] == [("gone", "brace", "", 2)]
    new = [c for c in compare(fewer, rack).changes if c.state == "new"]
    assert [(c.word, c.before, len(c.ids)) for c in new] == [("brace", "", 2)]


HOOP = BentTube(
    TUBE,
    Spine((400.0, 700.0, 300.0), (Bend(90.0, 120.0), Bend(60.0, 120.0, 30.0))),
    end_a=(Cope(33.7, 0.0, 90.0),),
    holes=(TubeHole(50.0, 90.0, 5.0, "vent"),),
)
STRAP = FoldedBar(BAR, (100.0, 200.0), (Fold(80.0, 8.0),))
FOOT = CutPlate(PLATE, rectangle(120.0, 100.0), (PlateHole(0.0, 0.0, 6.5),))
RIVET = Bought("rivet", RivetShape(6.4, 5.0, 13.0, 3.0, 9.0, 8.0), 7850.0)


@pytest.mark.parametrize(
    ("old", "new", "redo"),
    [
        (HOOP, dataclasses.replace(HOOP, end_a=()), ["end A"]),
        (HOOP, dataclasses.replace(HOOP, holes=()), ["holes"]),
        (HOOP, dataclasses.replace(HOOP, stock=dataclasses.replace(TUBE, name="other")), ["stock"]),
        (
            HOOP,
            dataclasses.replace(HOOP, spine=Spine((400.0, 700.0, 310.0), HOOP.spine.bends)),
            ["saw length"],
        ),
        (
            HOOP,
            dataclasses.replace(HOOP, spine=Spine((400.0, 690.0, 310.0), HOOP.spine.bends)),
            ["bend 2 starts"],
        ),
        (HOOP, turned_round(HOOP), []),
        (HOOP, dataclasses.replace(HOOP, spine=Spine((400.01, 700.0, 300.0), HOOP.spine.bends)), []),
        (STRAP, dataclasses.replace(STRAP, folds=(Fold(85.0, 8.0),)), ["fold 1"]),
        (STRAP, dataclasses.replace(STRAP, flats=(100.0, 210.0)), ["flat 2"]),
        (STRAP, FoldedBar(BAR, (100.0,)), ["flat 2", "fold 1"]),
        (FOOT, dataclasses.replace(FOOT, holes=()), ["holes"]),
        (FOOT, dataclasses.replace(FOOT, outline=rectangle(120.0, 101.0)), ["outline"]),
        (RIVET, dataclasses.replace(RIVET, shape=RivetShape(6.4, 6.0, 13.0, 3.0, 9.0, 8.0)), ["what is bought"]),
        (FOOT, STRAP, ["the whole part"]),
    ],
)
def test_only_what_differs_is_redone(old: Part, new: Part, redo: list[str]) -> None:
    found, keep = differences(old, new)
    assert [r.what for r in found] == redo
    assert not set(keep) & set(redo)


def test_rows_show_both_numbers_in_the_shops_unit() -> None:
    longer = dataclasses.replace(HOOP, spine=Spine((400.0, 700.0, 325.4), HOOP.spine.bends))
    racks = [Rack((Placed("x", part, Frame(), "hoop", 1),), ()) for part in (HOOP, longer)]
    sheet = compare(*racks)
    (row,) = changes_table(sheet, "in").rows
    was = spine.length(HOOP.spine) / 25.4
    assert row[5].startswith(f"saw length {int(was)}-")
    assert f"-> {int(was) + 1}-" in row[5]
    assert row[5].endswith("too short for it now")
    assert "too short" not in changes_table(compare(*racks[::-1]), "in").rows[0][5]


def test_the_command_prints_the_sheet(tmp_path: Path) -> None:
    text = (Path(__file__).parents[2] / "presets" / "shops" / "slipway-mm.toml").read_text("utf-8")
    other = saved(tmp_path, swapped(text, "clr = 120", "clr = 100"))
    same = CliRunner().invoke(main, ["changes", "demo", "--against", "demo"])
    assert same.exit_code == 0, same.output
    assert "redo" not in same.output.replace("redo (mm, deg)", "")
    done = CliRunner().invoke(main, ["changes", "demo", "--shop", str(other), "--against", "demo"])
    assert "bend 1 radius 120.0 -> 100.0" in done.output
    back = CliRunner().invoke(main, ["changes", "demo", "--against", "demo", "--against-shop", str(other)])
    assert "bend 1 radius 100.0 -> 120.0" in back.output
    assert CliRunner().invoke(main, ["changes", "demo", "--against", "no-such-rack"]).exit_code == 2
