"""Laws of paper wraps, whatever the tube, its cuts and its paper."""

import dataclasses
import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from small_rack import MM
from strategies import bent_tubes, reals

from rackgen.geom.cope import wrap_heights
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.drawing import Stroke, Words
from rackgen.sheets.template_sizes import TAB
from rackgen.sheets.tube_ends import cut, tube_ends
from rackgen.sheets.wrap_templates import PaperWrap, paper_wraps, wrap_drawing
from rackgen.spec.paper import Paper
from rackgen.spec.shop import Shop


def made(tube: BentTube, thickness: float, gap: float) -> tuple[Shop, Rack, tuple[PaperWrap, ...]]:
    shop = dataclasses.replace(MM, dies=(), paper=Paper("A4", thickness), fit_up_gap=gap)
    rack = Rack((Placed("tried", tube, Frame(), "bar", 2),), ())
    return shop, rack, paper_wraps(rack, shop)


papers, gaps = reals(0.03, 1.5), st.sampled_from([0.0, 0.5])


@settings(deadline=None, derandomize=True, max_examples=40)
@given(bent_tubes(), papers, gaps)
def test_every_end_that_is_cut_has_one_wrap_of_its_girth(tube: BentTube, thickness: float, gap: float) -> None:
    _, _, wraps = made(tube, thickness, gap)
    names = sorted(e.end for w in wraps for e in w.ends)
    assert names == [n for n, end in (("A", tube.end_a), ("B", tube.end_b)) if cut(end)]
    for wrap in wraps:
        assert abs(wrap.girth - math.pi * (tube.section.od + thickness)) < 1e-9
        assert abs(wrap.template[-1][0] - wrap.girth) < 1e-9


@settings(deadline=None, derandomize=True, max_examples=30)
@given(bent_tubes(), papers, gaps)
def test_at_every_clock_the_paper_is_as_high_as_the_cut(tube: BentTube, thickness: float, gap: float) -> None:
    _, _, wraps = made(tube, thickness, gap)
    outer, inner = tube.section.od / 2, tube.section.od / 2 - tube.section.wall
    for wrap in wraps:
        curve = np.array(wrap.template)
        for end in wrap.ends:
            clock = np.linspace(0.0, 360.0, 73)
            share = clock / 360.0 if end.seen == "A" else 1.0 - clock / 360.0
            on_paper = np.interp(share * wrap.girth, curve[:, 0], curve[:, 1])
            wanted = wrap_heights(end.gapped(gap), inner, outer, clock)
            # Where a cut begins or ends the curve is steep: a place may be off by the thinning of the curve there.
            near = np.array([
                np.abs(wrap_heights(end.gapped(gap), inner, outer, clock + d) - on_paper) for d in (-0.05, 0.0, 0.05)
            ]).min(axis=0)  # fmt: skip
            assert float(np.minimum(near, np.abs(wanted - on_paper)).max()) < 0.05


@settings(deadline=None, derandomize=True, max_examples=30)
@given(bent_tubes(), papers)
def test_the_tab_lies_beside_the_seam_and_every_word_that_is_kept_on_the_paper(
    tube: BentTube, thickness: float
) -> None:
    shop, _, wraps = made(tube, thickness, 0.5)
    for wrap in wraps:
        drawing = wrap_drawing(wrap, shop)
        (low, _), (high, top) = drawing.box
        assert abs(low) < 1e-9
        assert abs(high - wrap.girth - TAB) < 1e-9
        assert abs(top - wrap.top) < 1e-9
        (seam,) = (i for i in drawing.items if isinstance(i, Stroke) and i.style == "mark")
        assert {x for x, _ in seam.points} == {wrap.girth}
        (glue,) = (i for i in drawing.items if isinstance(i, Words) and i.text == "glue here")
        assert wrap.girth < glue.x < wrap.girth + TAB
        (out,) = (i for i in drawing.items if isinstance(i, Words) and "SIDE OUT" in i.text)
        assert max(y for _, y in wrap.template) < out.y < wrap.top


@settings(deadline=None, derandomize=True, max_examples=20)
@given(bent_tubes())
def test_the_lower_edge_is_where_the_cut_list_saws(tube: BentTube) -> None:
    _, rack, _ = made(tube, 0.1, 0.0)
    for end in tube_ends(rack, MM):
        # Nothing of the outside is taken all round: the longest line reaches the lower edge.
        outer = tube.section.od / 2
        clock = np.arange(0.0, 360.0, 0.1)
        assert float(wrap_heights(end.cuts, outer, outer, clock).min()) < 0.02
