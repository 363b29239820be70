"""What a shop's file says about folds: its method, its dies and its own test strips."""

from pathlib import Path

import pytest
from preset_texts import SHOP, mistakes_of, only, saved

from rackgen.geom.fold import Fold
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.unfold import allowance, named
from rackgen.sheets.flats import flattened
from rackgen.sheets.words import bar_notes
from rackgen.spec.folding import HANDBOOK_K, Folding, Strip
from rackgen.spec.read import read_shop
from rackgen.spec.stock import Flat, Stock

STRIP = "thickness = 5\ninside_radius = 8\nlength = 150\nlegs = [80, 80.5]\n"
FOLDING = f'[folding]\nallowance = "handbook"\nhandbook_k = 0.41\nopenings = [24, 40]\n[[folding.strip]]\n{STRIP}'
BAR = Stock("50 x 5", Flat(50.0, 5.0), "steel", "S235", "bare", 6000.0)


def with_folding(folder: Path, text: str) -> Path:
    """Save the shop with more tables."""
    return saved(folder, f"{SHOP}\n{text}")


def test_a_shop_says_how_it_folds(tmp_path: Path) -> None:
    own = read_shop(with_folding(tmp_path, FOLDING)).folding
    assert own == Folding("handbook", 0.41, (Strip(5.0, 8.0, 150.0, (80.0, 80.5)),), (24.0, 40.0))
    assert own.strips[0].allowance == pytest.approx(150 - 160.5 + 26)
    assert named(allowance(Fold(90, 20.0), BAR, own)) == "handbook K 0.410"


def test_a_shop_that_says_nothing_folds_by_din_6935(tmp_path: Path) -> None:
    assert read_shop(saved(tmp_path, SHOP)).folding == Folding("DIN 6935", HANDBOOK_K)


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        (FOLDING.replace('handbook"', 'bend table"'), "folding.allowance", '"test strip" or "DIN 6935" or "handbook"'),
        (FOLDING.replace("0.41", "0.7"), "folding.handbook_k", "from 0.2 to 0.6"),
        (FOLDING.replace("[24, 40]", "[40, 24]"), "folding.openings", "rising order"),
        (FOLDING.replace("80.5]", "85.5]"), "folding.strip[1].legs", "measure again"),
        (FOLDING.replace("[80, 80.5]", "[80]"), "folding.strip[1].legs", "exactly 2"),
        (f"{FOLDING}\n[[folding.strip]]\n{STRIP}", "folding.strip", "one thickness and inside radius"),
        (f"{FOLDING}angle = 30", "folding.strip[1].angle", "from 60 to 120"),
    ],
)
def test_wrong_folding_is_told_at_its_key(tmp_path: Path, text: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_shop, with_folding(tmp_path, text)))
    assert mistake.key == key
    assert says in mistake.wanted


def test_every_fold_names_what_its_allowance_is_by(tmp_path: Path) -> None:
    own = read_shop(with_folding(tmp_path, FOLDING)).folding
    bar = FoldedBar(BAR, (100.0, 80.0, 60.0), (Fold(90.0, 8.0), Fold(-30.0, 20.0)))
    flat = flattened(bar, own)
    assert flat.by == ("test strip", "handbook K 0.410")
    first, second = bar_notes(bar, tuple(at for at, _ in flat.folds), "mm", flat.by)
    assert first.endswith("from A, by test strip")
    assert second.endswith("from A, by handbook K 0.410")


def test_one_shipped_shop_folded_its_strip_and_the_other_did_not() -> None:
    inch, metric = read_shop("threshing-barn-inch").folding, read_shop("slipway-mm").folding
    assert [round(s.share, 2) for s in inch.strips] == [0.41]
    assert inch.openings
    assert metric == Folding()
