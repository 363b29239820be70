"""Laws of the sheets, for all inputs."""

import dataclasses
import itertools
import math
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import BAR, MM, PLATE, TUBE

from rackgen.geom import cope, outline
from rackgen.geom.cope import Cope
from rackgen.geom.fold import Fold, legs_and_arcs
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.geom.spine import length as developed_length
from rackgen.parts.canonical import canonical
from rackgen.parts.kinds import BarEnd, BarHole, BentTube, CutPlate, FoldedBar, Part, PlateHole
from rackgen.parts.measure import mass
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.flats import blanks, flattened
from rackgen.sheets.nick import nicked
from rackgen.sheets.rows import cut_table
from rackgen.sheets.weights import weights
from rackgen.sheets.wraps import developed
from rackgen.units import read_length

QUICK = settings(deadline=None, derandomize=True, max_examples=60)
T = BAR.section.thickness


@st.composite
def bars(draw: st.DrawFn) -> FoldedBar:
    count = draw(st.integers(0, 3))
    flats = tuple(draw(st.floats(25, 200)) for _ in range(count + 1))
    folds = tuple(
        Fold(draw(st.floats(5, 120)) * draw(st.sampled_from([-1, 1])), draw(st.floats(2, 60))) for _ in range(count)
    )
    holes = tuple(
        BarHole(k, draw(st.floats(5, flat - 5)), draw(st.floats(-15, 15)), 6.5) for k, flat in enumerate(flats)
    )
    ends = [BarEnd(draw(st.floats(-30, 30)), draw(st.floats(-20, 20)), draw(st.floats(0, 6))) for _ in range(2)]
    return FoldedBar(BAR, flats, folds, ends[0], ends[1], holes)


def allowance(fold: Fold) -> float:
    """Give DIN 6935's neutral line, written out anew."""
    ratio = fold.inside_radius / T
    k = 1.0 if ratio > 5 else max(0.0, 0.65 + 0.5 * math.log10(ratio))
    return math.radians(abs(fold.angle)) * (fold.inside_radius + k * T / 2)


@QUICK
@given(bars())
def test_unfolding_what_was_folded_gives_the_flat(bar: FoldedBar) -> None:
    # Begin with the flat: where its fold lines are and how far apart its holes stand, and fold it up by hand.
    wanted, x, holes = [], 0.0, []
    for k, flat in enumerate(bar.flats):
        holes += [(x + h.along, h.across) for h in bar.holes if h.flat == k]
        x += flat
        if k < len(bar.folds):
            into = allowance(bar.folds[k])
            wanted.append((x + into / 2, into))
            x += into
    flat = flattened(bar)
    assert flat.length == pytest.approx(x)
    assert np.array(flat.folds).reshape(-1, 2) == pytest.approx(np.array(wanted).reshape(-1, 2))
    assert np.array([(h.x, h.y) for h in flat.holes]) == pytest.approx(np.array(holes))


@QUICK
@given(bars())
def test_a_walk_along_the_folded_bar_is_as_long_as_its_flat(bar: FoldedBar) -> None:
    # Flats as they stand, and through each fold the neutral line in short steps: the metal there is not stretched.
    walked = 0.0
    for frame, length, fold in legs_and_arcs(bar.flats, bar.folds, T, bar.section.width):
        if fold is None:
            line = np.array([frame.point((0, 0, 0)), frame.point((length, 0, 0))])
        else:
            r, side = fold.inside_radius + T / 2, math.copysign(1.0, fold.angle)
            neutral = allowance(fold) / math.radians(abs(fold.angle))
            assert fold.inside_radius <= neutral <= r + 1e-9
            turns = np.linspace(0, math.radians(abs(fold.angle)), 500)
            line = np.array(
                [frame.point((neutral * math.sin(a), 0, side * (r - neutral * math.cos(a)))) for a in turns]
            )
        walked += float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    assert walked == pytest.approx(flattened(bar).length, abs=1e-3)


@QUICK
@given(bars())
def test_turning_a_bar_round_turns_its_blank_round(bar: FoldedBar) -> None:
    one, _ = canonical(bar)
    assert isinstance(one, FoldedBar)
    given_, same = flattened(bar), flattened(one)
    assert same.length == pytest.approx(given_.length, abs=0.01)
    assert abs(outline.area(same.outline)) == pytest.approx(abs(outline.area(given_.outline)), rel=1e-4)
    gaps = [sorted(math.dist((a.x, a.y), (b.x, b.y)) for a in f.holes for b in f.holes) for f in (given_, same)]
    assert gaps[0] == pytest.approx(gaps[1], abs=0.02)


@QUICK
@given(bars())
def test_the_longer_edge_is_never_shorter_than_the_middle(bar: FoldedBar) -> None:
    flat = flattened(bar)
    rack = Rack((Placed("a.bar", canonical(bar)[0], Frame(), "bar", 3),), ())
    found, _ = cut_list(rack, MM)
    square = dataclasses.replace(bar, end_a=BarEnd(), end_b=BarEnd())
    assert flattened(square).length == pytest.approx(flat.length)
    rounded = max(bar.end_a.radius, bar.end_b.radius)
    assert found.lines[0].saw >= flat.length - rounded - 0.01


@st.composite
def parts(draw: st.DrawFn) -> Part:
    kind = draw(st.sampled_from(["tube", "bent", "bar", "plate"]))
    size = draw(st.sampled_from([200.0, 300.0, 300.0, 451.5]))
    if kind == "tube":
        return BentTube(TUBE, Spine((size,)), (Cope(33.7, 2.0, 90.0),) if draw(st.booleans()) else ())
    if kind == "bent":
        return BentTube(TUBE, Spine((size, size), (Bend(draw(st.sampled_from([30.0, 90.0])), 120.0),)))
    if kind == "bar":
        return FoldedBar(BAR, (size, 80.0), (Fold(90.0, 8.0),))
    return CutPlate(PLATE, rectangle(size, 80.0), (PlateHole(10.0, 0.0, draw(st.sampled_from([6.5, 12.0]))),))


@st.composite
def racks(draw: st.DrawFn) -> Rack:
    chosen = draw(st.lists(parts(), min_size=1, max_size=12))
    return Rack(
        tuple(
            Placed(
                f"group{k % 3}.part[{k}]",
                canonical(part)[0],
                Frame((100.0 * k, 0.0, 0.0)),
                draw(st.sampled_from(["bearer", "bar"])),
                draw(st.sampled_from([1, 2, 3])),
            )
            for k, part in enumerate(chosen)
        ),
        (),
    )


@QUICK
@given(racks())
def test_the_cut_list_holds_every_part_once(rack: Rack) -> None:
    found, _ = cut_list(rack, MM)
    ids = [i for line in found.lines for i in line.ids]
    assert sorted(ids) == sorted(p.id for p in rack.placed)
    assert all(line.quantity == len(line.ids) for line in found.lines)
    assert sum(t.pieces for t in found.totals) == len(rack.placed)
    assert found.mass == pytest.approx(sum(mass(p.part) for p in rack.placed))
    by_id = {p.id: p for p in rack.placed}
    for line in found.lines:
        assert len({(by_id[i].part, by_id[i].word, by_id[i].stage) for i in line.ids}) == 1
    # Equal parts share a mark, unequal ones never.
    marks = {}
    for line in found.lines:
        for i in line.ids:
            marks.setdefault(line.mark, set()).add(by_id[i].part)
    assert all(len(parts_) == 1 for parts_ in marks.values())
    assert len(marks) == len({p.part for p in rack.placed})


@QUICK
@given(racks())
def test_stock_is_what_the_pieces_take(rack: Rack) -> None:
    found, _ = cut_list(rack, MM)
    tubes = sum(developed_length(p.part.spine) for p in rack.placed if isinstance(p.part, BentTube))
    bent = sum(1 for p in rack.placed if isinstance(p.part, BentTube) and p.part.spine.bends)
    listed = sum(line.saw * line.quantity for line in found.lines if line.kind == "tube")
    allowed = sum((line.shrinkage - line.gap) * line.quantity for line in found.lines)
    assert listed == pytest.approx(tubes + 2 * MM.trim * bent + allowed, abs=0.01)
    assert sum(t.length for t in found.totals if t.stock == TUBE.name) == pytest.approx(listed)


@QUICK
@given(racks())
def test_every_hole_is_cut_or_marked_once(rack: Rack) -> None:
    found, _ = blanks(rack, MM)
    wanted = Counter({True: 0, False: 0})
    for placed in {p.part: p for p in rack.placed}.values():
        if isinstance(placed.part, CutPlate):
            wanted.update(h.diameter >= MM.table.smallest_hole for h in placed.part.holes)
    assert sum(len(b.holes) for b in found) == wanted[True]
    assert sum(len(b.centres) for b in found) == wanted[False]


@QUICK
@given(racks())
def test_weights_and_cut_list_agree(rack: Rack) -> None:
    assert weights(rack).total == pytest.approx(cut_list(rack, MM)[0].mass)


@QUICK
@given(st.floats(50, 4000), st.sampled_from(["mm", "in"]), st.sampled_from(["bearer", "brace"]))
def test_a_shown_length_is_within_half_a_step(length: float, unit: str, word: str) -> None:
    part = BentTube(TUBE, Spine((length,))) if word == "bearer" else FoldedBar(BAR, (length,))
    shop = dataclasses.replace(MM, unit=unit)
    table = cut_table(cut_list(Rack((Placed("a.part", part, Frame(), word, 2),), ()), shop)[0])
    shown = dict(zip((c.key for c in table.columns), table.rows[0], strict=True))["saw"]
    step = {"mm": 0.5, "in": 25.4 / 32}[unit]
    assert abs(read_length(f"{shown} {unit}", None) - length) <= step / 2 + 1e-9


@settings(QUICK, max_examples=30)
@given(
    st.floats(20, 60), st.floats(1.2, 4), st.floats(1.0, 2.0), st.floats(30, 90), st.floats(-1, 1), st.floats(0, 360),
    st.sampled_from([0.0, 0.5]), st.sampled_from(["A", "B"]),
)  # fmt: skip
def test_a_wrap_closes_and_stands_beyond_both_curves(
    od: float, wall: float, ratio: float, angle: float, share: float, clock: float, gap: float, name: str
) -> None:
    header = od * ratio
    end = (Cope(header, 0.0, angle, share * (header - od) / 2, clock),)
    end = tuple(cope.sawn_back(c, cope.long_point(end, od / 2)) for c in end)
    outside, template = developed(end, od, wall, name, gap)
    for line in (outside, template):
        assert line[0][0] == 0.0
        assert line[-1][0] == pytest.approx(math.pi * od)
        assert line[0][1] == line[-1][1]
        assert all(a[0] < b[0] for a, b in itertools.pairwise(line))
    x = np.linspace(0, math.pi * od, 721)
    assert float((np.interp(x, *np.array(template).T) - np.interp(x, *np.array(outside).T)).min()) > -0.02


@QUICK
@given(
    st.floats(40, 300), st.floats(40, 300), st.floats(0, 0.5), st.lists(st.floats(0, 1), min_size=1, max_size=3),
)  # fmt: skip
def test_a_nick_takes_a_little_and_leaves_a_sound_contour(
    width: float, height: float, share: float, places: list[float]
) -> None:
    import shapely

    contour = outline.rectangle(width, height, share * min(width, height))
    edge = outline.polygon(contour, 0.001)
    points = [tuple(edge[int(p * (len(edge) - 1))]) for p in places]
    # Nicks that would run into each other are not asked for: folds are further apart than that.
    apart = [p for k, p in enumerate(points) if all(math.dist(p, q) > 6 for q in points[:k])]
    cut = shapely.Polygon(outline.polygon(nicked(contour, apart, 2.0), 0.001))
    whole = shapely.Polygon(edge)
    assert cut.is_valid
    assert cut.difference(whole).area < 0.05
    assert 0.3 * len(apart) < whole.area - cut.area < 4.2 * len(apart)
