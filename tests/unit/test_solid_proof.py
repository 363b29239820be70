"""A solid that is not what its description says is refused, whatever the kernel thinks of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rackgen.errors import SolidError
from rackgen.geom import cope
from rackgen.geom.cope import Cope, End, Plane
from rackgen.geom.frame import Frame, turn
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Spine
from rackgen.parts.kinds import BarEnd, BentTube, CutPlate, FoldedBar, Part, PlateHole, TubeHole
from rackgen.parts.marks import Line
from rackgen.parts.rack import Placed
from rackgen.solid import build, kernel, tube
from rackgen.solid.build import proved_solids, solid
from rackgen.solid.kernel import Solid
from rackgen.solid.proof import fault, prove
from rackgen.spec.stock import Flat, Round, Sheet, Stock
from tests.solid_parts import SINGLE, TUBE, straight

pytestmark = pytest.mark.kernel

PART = straight((SINGLE["equal 60 at 90"],), (SINGLE["wider 75 at 33"],))
HOLED = replace(PART, holes=(TubeHole(150.0, 40.0, 6.0, "vent"),))


def with_ends(part: BentTube, end_a: End, end_b: End) -> BentTube:
    return replace(part, end_a=end_a, end_b=end_b)


def test_the_right_solid_passes() -> None:
    for part in (PART, HOLED):
        prove(part, solid(part), "T1")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        pytest.param(with_ends(PART, (), PART.end_b), "volume", id="end A uncut"),
        pytest.param(with_ends(PART, PART.end_a, ()), "volume", id="end B uncut"),
        pytest.param(with_ends(PART, PART.end_b, PART.end_a), "centre", id="ends changed over"),
        pytest.param(
            with_ends(PART, (cope.turned(PART.end_a[0], 1.0),), PART.end_b), "end A: at clock", id="1 deg off clock"
        ),
        pytest.param(
            with_ends(PART, PART.end_a, (cope.turned(PART.end_b[0], 0.5),)), "end B: at clock", id="half a degree off"
        ),
        pytest.param(with_ends(PART, (cope.sawn_back(PART.end_a[0], 0.02),), PART.end_b), "volume", id="0.02 mm short"),
        pytest.param(HOLED, "volume", id="a hole too many"),
    ],
)
def test_a_tube_that_is_another_tube_is_refused(wrong: BentTube, said: str) -> None:
    assert said in fault(PART, solid(wrong))
    with pytest.raises(SolidError, match=r"^T1: "):
        prove(PART, solid(wrong), "T1")


@pytest.mark.parametrize("hole", [TubeHole(150.0, 42.0, 6.0, "vent"), TubeHole(150.5, 40.0, 6.0, "vent")])
def test_a_hole_in_the_wrong_place_is_refused(hole: TubeHole) -> None:
    assert "hole 1" in fault(HOLED, solid(replace(HOLED, holes=(hole,))))


def test_a_solid_that_stands_elsewhere_is_refused() -> None:
    for frame in (Frame((0.0, 0.05, 0.0)), Frame((0.05, 0.0, 0.0)), turn((1, 0, 0), 90.0)):
        assert fault(PART, kernel.moved(solid(PART), frame)) != ""


def test_two_bodies_are_refused() -> None:
    two = kernel.fuse(solid(PART), (kernel.moved(solid(PART), Frame((0.0, 100.0, 0.0))),))
    assert fault(PART, two) == "2 solids instead of 1"


@pytest.mark.parametrize(
    ("part", "wrong"),
    [
        (
            FoldedBar(Stock("b", Flat(50.0, 5.0), "steel", "", ""), (150.0,), end_b=BarEnd(0.0, 8.0)),
            FoldedBar(Stock("b", Flat(50.0, 5.0), "steel", "", ""), (150.0,), end_b=BarEnd(0.0, -8.0)),
        ),
        (
            CutPlate(Stock("p", Sheet(4.0, 1.0, 1.0), "steel", "", ""), rectangle(90, 60), (PlateHole(20, 10, 6.5),)),
            CutPlate(Stock("p", Sheet(4.0, 1.0, 1.0), "steel", "", ""), rectangle(90, 60), (PlateHole(-20, 10, 6.5),)),
        ),
    ],
    ids=["skewed the other way", "hole on the other side"],
)
def test_a_mirrored_flat_is_refused(part: Part, wrong: Part) -> None:
    assert fault(part, solid(part)) == ""
    assert "centre" in fault(part, solid(wrong))


def test_when_one_way_goes_wrong_the_next_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    uncut = solid(straight(between=PART.spine.straights[0]))
    tried: list[str] = []

    def wrong() -> Solid:
        tried.append("wrong")
        return uncut

    def refused() -> Solid:
        tried.append("refused")
        raise SolidError("no")

    right = list(tube.ways(PART))[1]
    monkeypatch.setattr(build, "ways", lambda part: (refused, wrong, right))
    solid.cache_clear()
    assert fault(PART, solid(PART)) == ""
    assert tried == ["refused", "wrong"]
    solid.cache_clear()


def test_when_every_way_goes_wrong_the_mark_and_the_reasons_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    uncut = solid(straight(between=PART.spine.straights[0]))
    monkeypatch.setattr(build, "ways", lambda part: (lambda: uncut, lambda: uncut))
    solid.cache_clear()
    line = Line("T7", PART, (Placed("frame.bar", PART, Frame(), "cross bar", 2),))
    with pytest.raises(SolidError, match=r"^T7: its volume is [\d.]+ mm³ instead of [\d.]+ mm³$"):
        proved_solids([line])
    solid.cache_clear()


def test_parts_that_cannot_be_are_refused_in_words() -> None:
    wide = BentTube(Stock("wide", Round(60.3, 3.0), "steel", "", ""), Spine((200.0,)), (Cope(33.7, 5.0, 90.0),))
    with pytest.raises(SolidError, match="wider than the header"):
        solid(wide)
    stub = BentTube(TUBE, Spine((10.0,)), (Plane(12.0, 0.0),))
    with pytest.raises(SolidError):
        solid(stub)
