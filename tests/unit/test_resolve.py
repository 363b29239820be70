"""Joints drive the copes: what they cut, what they refuse, and where anchors end up."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from rackgen.errors import Finding, Level
from rackgen.geom import cope, spine
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import BentTube, Bought, PadShape, TubeHole
from rackgen.parts.rack import Along, AtEnd, Group, Joint, Layout, OnFace, Placed, Rack
from rackgen.parts.resolve import anchor_point, resolve
from tests.small_rack import THIN, TUBE, layout


def tube(part_id: str, stock, points, clr: float = 120.0) -> Placed:
    """A tube through axis points."""
    line, frame = spine.from_points(points, clr)
    return Placed(part_id, BentTube(stock, line), frame, "tube", 2)


def one_joint(branch: Placed, header: Placed, at: float, end: str = "A") -> tuple[Rack, tuple[Finding, ...]]:
    """Resolve one branch end on one header."""
    joint = Joint("j", "coped weld", AtEnd(branch.id, "A" if end == "A" else "B"), Along(header.id, at), "a")
    return resolve(Layout((Group((branch, header), (joint,)),)))


HEADER = tube("header", TUBE, [(0, -300, 0), (0, 300, 0)])


def test_a_square_branch_is_sawn_at_its_ears() -> None:
    """Thin on wide: the long point is where the branch's side meets the header; the centres stay."""
    rack, findings = one_joint(tube("b", THIN, [(0, 0, 0), (200, 0, 0)]), HEADER, 300.0)
    part = rack.part("b").part
    assert not findings
    assert isinstance(part, BentTube)
    ear = math.sqrt((33.7 / 2) ** 2 - (26.9 / 2) ** 2)
    assert spine.length(part.spine) == pytest.approx(200 - ear, abs=1e-3)
    cut = (part.end_a or part.end_b)[0]
    assert isinstance(cut, cope.Cope)
    assert (cut.angle, cut.offset, cut.at) == (90.0, 0.0, pytest.approx(ear, abs=1e-3))


def test_moving_the_header_cuts_the_branch_anew() -> None:
    """The same branch under a header 5 mm further away is 5 mm longer."""
    branch = tube("b", THIN, [(0, 0, 0), (200, 0, 0)])
    away = dataclasses.replace(HEADER, frame=HEADER.frame.moved((0, 0, 0)))
    near, _ = one_joint(branch, HEADER, 300.0)
    moved = dataclasses.replace(
        away, frame=Frame((-5.0, *away.frame.origin[1:]), away.frame.x, away.frame.y, away.frame.z)
    )
    far, _ = one_joint(branch, moved, 300.0)
    lengths = [spine.length(r.part("b").part.spine) for r in (near, far)]  # type: ignore[union-attr]
    assert lengths[1] - lengths[0] == pytest.approx(5.0, abs=2e-3)


@pytest.mark.parametrize(
    ("points", "stock", "code", "words"),
    [
        ([(0, 0, 40), (200, 0, 40)], THIN, "cannot-cope", "misses"),
        ([(0, 0, 10), (200, 0, 10)], THIN, "cannot-cope", "beyond the header's side"),
        ([(0, 0, 0), (30, 200, 0)], THIN, "cannot-cope", "deg"),
        ([(0, 0, 0), (15, 0, 0)], TUBE, "cope-too-deep", "too short"),
    ],
)
def test_what_cannot_be_coped_is_a_stop(points, stock, code: str, words: str) -> None:
    """A miss, a branch that overhangs, axes too near parallel, a stub shorter than its cope: named, never NaN."""
    rack, findings = one_joint(tube("b", stock, points), HEADER, 300.0)
    assert [(f.code, f.level) for f in findings] == [(code, Level.STOP)]
    assert words in findings[0].text
    part = rack.part("b").part
    assert isinstance(part, BentTube)
    assert math.isfinite(spine.length(part.spine))
    assert not part.end_a
    assert not part.end_b


def test_a_cope_on_a_bend_names_the_nearest_good_place() -> None:
    """A header bent at a right angle: 60 mm into the arc is refused, one OD past the tangent is offered."""
    header = tube("header", TUBE, [(0, -500, 0), (0, 0, 0), (-500, 0, 0)])
    rack, findings = one_joint(tube("b", THIN, [(0, -80, 0), (200, -80, 0)]), header, 380.0 + 60.0)
    assert [f.code for f in findings] == ["cannot-cope"]
    assert "on a bend" in findings[0].text
    assert "346 mm along" in findings[0].text
    assert rack.part("b").part.end_a == ()  # type: ignore[union-attr]


def test_two_cuts_on_one_end_leave_what_both_leave() -> None:
    """A branch into the corner of two headers: its field is the larger of both, and the long point lies before each."""
    other = tube("other", TUBE, [(-300, 0, 0), (300, 0, 0)])
    branch = tube("b", THIN, [(0, 0, 0), (150, 150, 0)])
    joints = (
        Joint("1", "coped weld", AtEnd("b", "A"), Along("header", 300.0), "a", 0),
        Joint("2", "coped weld", AtEnd("b", "A"), Along("other", 300.0), "a", 1),
    )
    rack, findings = resolve(Layout((Group((branch, HEADER, other), joints),)))
    assert not findings
    part = rack.part("b").part
    assert isinstance(part, BentTube)
    end = part.end_a or part.end_b
    assert len(end) == 2
    phi = np.arange(0.0, 360.0, 5.0)
    both = cope.heights(end, 13.45, phi)
    assert np.allclose(both, np.maximum(cope.heights(end[:1], 13.45, phi), cope.heights(end[1:], 13.45, phi)))
    assert float(both.min()) < 0.01


def test_anchors_stay_where_they_were() -> None:
    """Cutting and renaming ends moves no joint: every anchor of the resolved rack lies where the intent put it."""
    intent = layout()
    rack, _ = resolve(intent)
    before = {m.id: m for m in intent.members()}
    after = {m.id: m for m in rack.placed}
    for old, new in zip(intent.joints(), rack.joints, strict=True):
        for a, b in ((old.a, new.a), (old.b, new.b)):
            if isinstance(a, AtEnd):
                continue
            assert math.dist(anchor_point(a, before), anchor_point(b, after)) < 0.05, old.id
            if isinstance(a, OnFace):
                assert isinstance(b, OnFace)


@pytest.mark.parametrize(("thick", "stays"), [(1.5, True), (0.0, False)])
def test_a_bed_of_no_thickness_is_none(thick: float, stays: bool) -> None:
    bed = Placed("bed", Bought("bedding", PadShape(rectangle(40, 60), (), thick), 1300.0), Frame(), "bedding", 0)
    joint = Joint("bed.leg", "contact", OnFace("bed", "top", 0, 0), Along("header", 300.0))
    rack, findings = resolve(Layout((Group((HEADER,), ()), Group((bed,), (joint,)))))
    assert not findings
    assert {p.id for p in rack.placed} == ({"header", "bed"} if stays else {"header"})
    assert len(rack.joints) == stays


def test_vents_in_one_place_are_one_hole() -> None:
    """Two branches beside one another on a line open through one hole; a drain in it goes, a plug weld's hole stays."""
    holes = (
        TubeHole(17.0, 90.0, 5.0, "drain"), TubeHole(31.75, 90.0, 5.0, "vent"), TubeHole(31.75, 450.0, 5.0, "vent"),
        TubeHole(34.0, 92.0, 5.0, "drain"), TubeHole(31.75, 270.0, 5.0, "vent"), TubeHole(60.0, 0.0, 8.0, "plug weld"),
        TubeHole(60.0, 180.0, 8.0, "plug weld"),
    )  # fmt: skip
    alone = dataclasses.replace(HEADER, part=dataclasses.replace(HEADER.part, holes=holes))
    rack, findings = resolve(Layout((Group((alone,), ()),)))
    part = rack.part("header").part
    assert isinstance(part, BentTube)
    assert not findings
    assert sorted((h.purpose, round(h.at, 2)) for h in part.holes if h.purpose != "plug weld") in (
        [("drain", 17.0), ("vent", 31.75), ("vent", 31.75)],
        [("drain", 583.0), ("vent", 568.25), ("vent", 568.25)],
    )
    assert sum(h.purpose == "plug weld" for h in part.holes) == 2
