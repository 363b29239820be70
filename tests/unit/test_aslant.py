"""What shop paper and checks make of a fold that is tighter at one edge than at the other."""

import pytest
from small_rack import MM

from rackgen.check.makeable import part_findings
from rackgen.export.dxf import Line as Drawn
from rackgen.export.dxf import marked_shapes
from rackgen.geom.fold import Fold, slant
from rackgen.geom.frame import Frame
from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.hands import hands
from rackgen.parts.kinds import BarHole, FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Placed, Rack
from rackgen.parts.unfold import allowance
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.flats import blanks, flattened
from rackgen.sheets.folds import fold_rows, folds_table
from rackgen.sheets.stamp import Stamp
from rackgen.spec.folding import Folding
from rackgen.spec.stock import Flat, Stock

BAR = Stock("50 x 3", Flat(50.0, 3.0), "steel", "S235", "bare", 6000.0)
WRAP = FoldedBar(BAR, (70.0, 60.0), (Fold(-90.0, 45.0, 38.0),))
STAMP = Stamp("rack", "rev", "rackgen", (), (), True)


def rack(*parts: FoldedBar) -> Rack:
    made = [Placed(f"a.wrap[{i}]", *canonical(p), "corner wrap", 3) for i, p in enumerate(parts)]
    sides = [Frame((0.0, 400.0 * (-1) ** i, 0.0)).then(p.frame) for i, p in enumerate(made)]
    return Rack(tuple(Placed(p.id, p.part, f, p.word, p.stage) for p, f in zip(made, sides, strict=True)), ())


def test_the_limits_of_the_fold_lie_aslant_on_the_blank() -> None:
    flat = flattened(WRAP)
    into = allowance(WRAP.folds[0], BAR, Folding()).length
    ((middle, wide),) = flat.folds
    assert (middle, wide) == (pytest.approx(70.0 + into / 2), pytest.approx(into))
    low, high = (flat.limits(0, y) for y in (-25.0, 25.0))
    # Nearly a quarter turn on each radius, and as much more below as above of what there is at mid-width.
    assert low[1] - low[0] == pytest.approx(allowance(Fold(90.0, 45.0), BAR, Folding()).length, rel=0.01)
    assert high[1] - high[0] == pytest.approx(allowance(Fold(90.0, 38.0), BAR, Folding()).length, rel=0.01)
    assert low[0] + high[0] == pytest.approx(2 * 70.0)
    assert flat.length == pytest.approx(130.0 + into)


def test_the_marked_drawing_shows_them_so_and_its_label_both_radii() -> None:
    (blank,), _ = blanks(rack(WRAP), MM)
    (fold,) = blank.folds
    limits = [s for s in marked_shapes(blank, STAMP) if isinstance(s, Drawn) and s.layer == "fold limits"]
    assert len(limits) == 2
    (a, b), (c, d) = (line.vertices for line in limits)
    assert c.x - a.x == pytest.approx(fold.width)
    assert d.x - b.x == pytest.approx(fold.far_width)
    assert abs(fold.width - (fold.far_width or 0.0)) == pytest.approx(2 * 50.0 * abs(slant(WRAP.folds[0], 3.0, 50.0)))
    assert "R45 at the lower edge to R38 at the upper" in fold.label or "R38 at the lower edge to R45" in fold.label


def test_the_cut_list_names_both_radii_and_the_hands() -> None:
    both = rack(WRAP, mirror(WRAP))  # type: ignore[arg-type]
    assert sorted(hands(lines(both)).values()) == ["left", "right"]
    found, _ = cut_list(both, MM)
    notes = {line.hand: line.notes[0] for line in found.lines}
    assert sorted("R45 at the lower edge to R38 at the upper" in n for n in notes.values()) == [False, True]
    assert sorted("R38 at the lower edge to R45 at the upper" in n for n in notes.values()) == [False, True]
    one, other = found.lines
    assert one.saw == other.saw


def test_the_fold_sheet_gives_its_limits_at_both_edges() -> None:
    straight = FoldedBar(BAR, (70.0, 60.0), (Fold(90.0, 8.0),))
    rows = fold_rows(rack(WRAP, straight), MM)
    plain, aslant = sorted(rows, key=lambda r: r.begins[0] != r.begins[1])
    # The one description of a bar begins with its shorter flat.
    assert plain.begins == pytest.approx((60.0, 60.0))
    assert plain.ends[0] == pytest.approx(60.0 + allowance(straight.folds[0], BAR, Folding()).length)
    assert sum(aslant.begins) / 2 == pytest.approx(aslant.middle - aslant.into / 2)
    assert (aslant.by, aslant.share) == ("DIN 6935", 0.5)
    table = folds_table(rows, "mm")
    assert len(table.rows) == 2
    text = " ".join(table.rows[[r is aslant for r in rows].index(True)])
    assert "at the lower edge to" in text
    assert " / " in text


def test_a_hole_keeps_its_distance_from_the_slanted_limit() -> None:
    lean = slant(WRAP.folds[0], 3.0, 50.0)
    assert lean < 0

    def near(along: float, across: float) -> bool:
        part = FoldedBar(BAR, WRAP.flats, WRAP.folds, holes=(BarHole(0, along, across, 6.5),))
        return any(f.code == "hole-near-fold" for f in part_findings(Placed("x", part, Frame(), "wrap", 3), MM))

    # 2.5 x 3 and half a hole before the limit, which at the lower edge begins sooner.
    for across in (-10.0, 10.0):
        limit = 70.0 - across * lean - (7.5 + 3.25) * (1 + lean**2) ** 0.5
        assert not near(limit - 0.2, across)
        assert near(limit + 0.2, across)
