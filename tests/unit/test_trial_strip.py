"""The test-strip form: which folds ask for one, what it says to do, and that what it says gives the allowance back."""

import dataclasses
import math
import re

import pytest
from small_rack import MM

from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Placed, Rack
from rackgen.parts.unfold import allowance
from rackgen.sheets.pages import Fields, Heading
from rackgen.sheets.trial_strip import results, strip_blocks, trial_strips, trial_strips_text
from rackgen.spec.folding import Folding, Strip
from rackgen.spec.stock import Flat, Stock

THICK = Stock("50 x 5", Flat(50.0, 5.0), "steel", "S235", "bare", 6000.0)
THIN = Stock("40 x 3", Flat(40.0, 3.0), "steel", "S235", "bare", 6000.0)


def rack(*bars: FoldedBar) -> Rack:
    return Rack(tuple(Placed(f"a.bar[{i}]", bar, Frame(), "bar", 3) for i, bar in enumerate(bars)), ())


RACK = rack(
    FoldedBar(THICK, (100.0, 80.0), (Fold(90.0, 8.0),)),
    FoldedBar(THICK, (120.0, 80.0), (Fold(35.0, 8.3),)),
    FoldedBar(THIN, (60.0, 45.0), (Fold(90.0, 45.0),)),
    FoldedBar(THIN, (60.0,)),
)


def test_one_form_for_each_thickness_and_radius_that_is_folded() -> None:
    first, second = sorted(trial_strips(lines(RACK), MM), key=lambda f: f.inside_radius)
    assert (first.thickness, len(first.marks), first.length, first.until) == (5.0, 2, 150.0, "DIN 6935")
    assert (second.thickness, len(second.marks), second.length) == (3.0, 1, 170.0)


def test_a_fold_with_its_strip_asks_for_none() -> None:
    own = dataclasses.replace(MM, folding=Folding(strips=(Strip(5.0, 8.0, 150.0, (80.0, 80.5)),)))
    assert [f.thickness for f in trial_strips(lines(RACK), own)] == [3.0]
    assert "every fold of this rack" in trial_strips_text((), "mm")
    assert strip_blocks(lines(rack(FoldedBar(THIN, (60.0,)))), MM) == ()


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_the_form_reckons_is_what_the_shops_file_makes_of_it(unit: str) -> None:
    shop = dataclasses.replace(MM, unit=unit)
    form = min(trial_strips(lines(RACK), shop), key=lambda f: f.inside_radius)
    # Fold such a strip with a neutral line at 0.4 t, read it as the form says, and follow the form's own formulas.
    scale = 1.0 if unit == "mm" else 25.4
    into = math.pi / 2 * (form.inside_radius + 0.4 * form.thickness)
    leg = (form.length - into) / 2 + form.inside_radius + form.thickness
    read = {"L": form.length / scale, "a": leg / scale, "b": leg / scale, "R": form.inside_radius / scale}
    first, second = (text.split(" = ")[1].replace(" x ", " * ") for text in results(form, unit))
    found = eval(first, {}, read)
    assert found == pytest.approx(into / scale, abs=1e-3)
    assert eval(second.replace("that", "into"), {}, {**read, "into": found}) == pytest.approx(0.4, abs=2e-3)
    strip = Strip(form.thickness, form.inside_radius, form.length, (leg, leg))
    assert allowance(Fold(90.0, 8.0), THICK, Folding(strips=(strip,))).share == pytest.approx(0.4)


def test_text_and_page_ask_the_same() -> None:
    forms = trial_strips(lines(RACK), MM)
    text, blocks = trial_strips_text(forms, "mm"), strip_blocks(lines(RACK), MM)
    assert sum(isinstance(b, Heading) for b in blocks) == len(forms) == text.count("Test strip: ")
    asked = sum(len(b.rows) for b in blocks if isinstance(b, Fields))
    assert asked == len(re.findall(r"\[_+\]", text)) == 6 * len(forms)
