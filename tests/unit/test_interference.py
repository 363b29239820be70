"""Parts that run through one another."""

import dataclasses
import math

import pytest
from small_rack import BAR, PLATE, THIN, TUBE, small_rack

from rackgen.check.bodies import bodies, distance, meet
from rackgen.check.interference import interference_findings, into_header
from rackgen.errors import Finding
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import (
    BarHole,
    BentTube,
    Bought,
    CapShape,
    CutPlate,
    FoldedBar,
    PadShape,
    PlateHole,
    RivetShape,
)
from rackgen.parts.rack import Along, AtEnd, Group, Joint, Layout, OnFace, Placed, Rack
from rackgen.parts.resolve import resolve


def found(*placed: Placed, joints: tuple[Joint, ...] = ()) -> list[Finding]:
    rack = Rack(placed, joints)
    return interference_findings(rack, bodies(rack))


def tube(name: str, frame: Frame, length: float = 400.0) -> Placed:
    return Placed(name, BentTube(TUBE, Spine((length,))), frame, "tube", 1)


def crossing(up: float) -> list[Finding]:
    """Two tubes across one another, their axes `up` apart."""
    return found(tube("a", Frame((-200.0, 0.0, 0.0))), tube("b", Frame.of((0.0, -200.0, up), (0, 1, 0), (0, 0, 1))))


@pytest.mark.parametrize("up", [33.7, 33.66, 40.0])
def test_tubes_that_touch_or_pass_are_let_be(up: float) -> None:
    assert crossing(up) == []


@pytest.mark.parametrize("up", [33.6, 33.0, 25.0, 0.0])
def test_tubes_that_cross_are_a_stop_with_place_and_depth(up: float) -> None:
    (finding,) = crossing(up)
    assert (finding.code, finding.parts, str(finding.level)) == ("runs-through", ("a", "b"), "stop")
    assert finding.got == pytest.approx(33.7 - up, rel=0.05, abs=0.03)
    assert finding.at == pytest.approx((0.0, 0.0, up / 2), abs=1.0)


def test_a_tube_in_the_bore_of_another_touches_nothing() -> None:
    inner = dataclasses.replace(THIN, section=dataclasses.replace(THIN.section, od=28.5))
    sleeve = Placed("s", BentTube(inner, Spine((100.0,))), Frame((50.0, 0.0, 0.0)), "sleeve", 1)
    assert found(tube("a", Frame()), sleeve) == []
    assert len(found(tube("a", Frame()), dataclasses.replace(sleeve, frame=Frame((50.0, 0.2, 0.0))))) == 1


def test_a_rivet_passes_its_hole_and_no_other_place() -> None:
    plate = Placed("p", CutPlate(PLATE, rectangle(60.0, 60.0), (PlateHole(10.0, 5.0, 6.5),)), Frame(), "plate", 2)
    rivet = Bought("rivet", RivetShape(6.4, 4.0, 13.0, 3.0, 9.0, 8.0), 7850.0)
    assert found(plate, Placed("r", rivet, Frame((10.0, 5.0, 4.0)), "rivet", 0)) == []
    assert len(found(plate, Placed("r", rivet, Frame((10.3, 5.0, 4.0)), "rivet", 0))) == 1
    assert len(found(plate, Placed("r", rivet, Frame((-10.0, 5.0, 4.0)), "rivet", 0))) == 1


def test_holes_of_a_bar_pass_rivets_too() -> None:
    bar = Placed("b", FoldedBar(BAR, (100.0,), holes=(BarHole(0, 30.0, 5.0, 6.5),)), Frame(), "bar", 2)
    rivet = Bought("rivet", RivetShape(6.4, 5.0, 13.0, 3.0, 9.0, 8.0), 7850.0)
    assert found(bar, Placed("r", rivet, Frame((30.0, 5.0, 2.5)), "rivet", 0)) == []
    assert len(found(bar, Placed("r", rivet, Frame((50.0, 5.0, 2.5)), "rivet", 0))) == 1


def test_plates_face_to_face_touch_and_sunk_ones_do_not() -> None:
    part = CutPlate(PLATE, rectangle(60.0, 60.0))
    low = Placed("low", part, Frame(), "plate", 2)
    assert found(low, Placed("top", part, Frame((20.0, 10.0, 4.0)), "plate", 2)) == []
    (finding,) = found(low, Placed("top", part, Frame((20.0, 10.0, 3.8)), "plate", 2))
    assert finding.got == pytest.approx(0.2, abs=0.03)


def test_bedding_takes_the_shape_of_its_gap() -> None:
    plate = Placed("p", CutPlate(PLATE, rectangle(60.0, 60.0)), Frame(), "plate", 2)
    bed = Bought("bedding", PadShape(rectangle(60.0, 60.0), (), 1.5), 1400.0)
    assert found(plate, Placed("bed", bed, Frame((0.0, 0.0, -1.0)), "bedding", 0)) == []
    assert len(found(plate, Placed("iso", bed, Frame((0.0, 0.0, -1.0)), "isolator", 0))) == 1


def coped(push: float) -> Rack:
    """A branch coped to a bent header and then pushed toward it."""
    header = Placed("h", BentTube(TUBE, Spine((400.0, 300.0), (Bend(90.0, 120.0),))), Frame(), "hoop", 1)
    branch = Placed(
        "b", BentTube(THIN, Spine((300.0,))), Frame.of((150.0, 0.0, 3.4), (0.0, 1.0, 0.0), (0, 0, 1)), "bearer", 2
    )
    joint = Joint("j", "coped weld", AtEnd("b", "A"), Along("h", 150.0), "a")
    rack, none = resolve(Layout((Group((header, branch), (joint,)),)))
    assert not none
    here = rack.part("b")
    x, y, z = here.frame.origin
    pushed = dataclasses.replace(here, frame=dataclasses.replace(here.frame, origin=(x, y - push, z)))
    return Rack((rack.part("h"), pushed), rack.joints)


def test_a_coped_branch_lies_on_its_header_and_not_in_it() -> None:
    rack = coped(0.0)
    assert interference_findings(rack, bodies(rack)) == []
    deep, _ = into_header(rack.part("b"), rack.part("h"))
    assert abs(deep) < 0.02


def test_a_coped_branch_pushed_in_is_found_by_its_own_points() -> None:
    rack = coped(0.3)
    (finding,) = interference_findings(rack, bodies(rack))
    assert finding.parts == ("b", "h")
    assert finding.got == pytest.approx(0.3, abs=0.02)


def test_a_coped_branch_may_not_cross_its_header_elsewhere() -> None:
    rack = coped(0.0)
    turned = rack.part("b")
    # The same branch swung round its foot so that it runs through the header's bend.
    back = dataclasses.replace(turned, frame=Frame.of((150.0, 0.0, 0.0), (1.0, 0.0, 0.3), (0, 0, 1)))
    wrong = Rack((rack.part("h"), back), rack.joints)
    (finding,) = interference_findings(wrong, bodies(wrong))
    assert (finding.got or 0.0) > 10.0


def test_the_rack_with_one_of_everything_is_sound_where_it_is_joined() -> None:
    rack = small_rack()
    pairs = {frozenset(f.parts) for f in interference_findings(rack, bodies(rack))}
    for joint in rack.joints:
        assert frozenset((joint.a.part, joint.b.part)) not in pairs, joint.id


def test_distance_is_between_surfaces() -> None:
    rack = Rack(
        (tube("a", Frame((-200.0, 0.0, 0.0))), tube("b", Frame.of((0.0, -200.0, 50.0), (0, 1, 0), (0, 0, 1)))), ()
    )
    of = bodies(rack)
    assert not meet(of["a"], of["b"])
    assert math.isclose(distance(of["a"], of["b"]), 50.0 - 33.7, abs_tol=0.02)


@pytest.mark.parametrize(("lean", "at"), [(0.0, 390.0), (0.5, 392.0), (-0.4, 395.0)])
def test_a_branch_on_the_end_of_a_tube_touches_the_head_of_its_cap(lean: float, at: float) -> None:
    """A cope lies on the cap's head as it does on the tube, and a mesh's facets cannot tell that from running in."""
    item = Bought("cap", CapShape(33.7, 5.0, 28.5, 12.0), 950.0)
    cap = Placed("cap", item, Frame.of((400.0, 0.0, 0.0), (0, 1, 0), (1, 0, 0)), "cap", 0)
    long = math.hypot(200.0, 200.0 * lean)
    stands = Frame.of((at - 200.0 * lean, 0.0, -200.0), (200.0 * lean / long, 0.0, 200.0 / long), (0, 1, 0))
    weld = Joint("w", "coped weld", AtEnd("b", "B"), Along("h", at, 180.0), "a")
    fit = Joint("c", "contact", OnFace("cap", "bottom", 0.0, 0.0), AtEnd("h", "B"))
    parts = (tube("h", Frame()), tube("b", stands, long), cap)
    rack, none = resolve(Layout((Group(parts, (weld, fit)),)))
    assert not none
    assert interference_findings(rack, bodies(rack)) == []
    pushed = tuple(dataclasses.replace(p, frame=p.frame.moved((1.0, 0, 0))) if p.id == "b" else p for p in rack.placed)
    moved = dataclasses.replace(rack, placed=pushed)
    assert {f.parts for f in interference_findings(moved, bodies(moved))} >= {("b", "cap")}
