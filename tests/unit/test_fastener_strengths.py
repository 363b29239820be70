"""Strengths of fasteners by standard and grade, and what a shop file may say about them."""

from pathlib import Path

import pytest
from preset_texts import SHOP, saved, swapped

from rackgen.errors import BadInput, RackgenError
from rackgen.refs.fasteners import bolt, rivet_loads, rivet_nut, stress_area
from rackgen.spec.read import read_shop

RIVET = "closed_end = true"


def _shop(folder: Path, more: str) -> Path:
    return saved(folder, swapped(SHOP, RIVET, f"{RIVET}\n{more}"))


def test_an_inch_rivet_is_found_in_a_metric_table() -> None:
    near = rivet_loads("ISO 15979", 6.35)
    assert near == rivet_loads("ISO 15979", 6.4)
    assert near is not None
    assert near.tag == "memory"
    assert "from memory" in near.source


@pytest.mark.parametrize("diameter", [2.4, 5.6, 7.8])
def test_a_diameter_between_rows_is_in_no_table(diameter: float) -> None:
    assert rivet_loads("ISO 15977 low", diameter) is None


def test_what_a_table_does_not_give_is_not_made_up() -> None:
    aluminium, closed = rivet_loads("ISO 15981", 4.8), rivet_loads("ISO 16585", 4.8)
    assert aluminium is not None
    assert closed is not None
    assert aluminium.tension is None
    assert closed.shear is None


def test_a_thread_that_has_no_rivet_nut() -> None:
    assert rivet_nut(4.0) is None


def test_an_unknown_bolt_grade_is_refused() -> None:
    with pytest.raises(RackgenError, match=r"bolt grade '8\.9' is unknown"):
        bolt("8.9")


def test_a_thread_that_is_not_in_the_table_is_refused() -> None:
    with pytest.raises(RackgenError, match="7 mm is not in the table"):
        stress_area(7.0)


def test_a_shop_names_the_standard_of_its_rivets(tmp_path: Path) -> None:
    shop = read_shop(_shop(tmp_path, 'standard = "ISO 15979"\nshear = 4500'))
    assert (shop.rivets[0].standard, shop.rivets[0].shear, shop.rivets[0].tension) == ("ISO 15979", 4500.0, None)


@pytest.mark.parametrize(
    ("more", "key", "said"),
    [
        ('standard = "ISO 16585"', "shear", "ISO 16585 does not give it here for this diameter"),
        ('standard = "ISO 15983"', "tension", "ISO 15983 does not give it here for this diameter"),
        ('standard = "ISO 1"', "standard", "ISO 15977 low"),
        ("shear = -5", "shear", "newtons"),
    ],
)
def test_a_strength_that_is_nowhere_is_a_mistake_in_the_file(tmp_path: Path, more: str, key: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_shop(_shop(tmp_path, more))
    assert any(m.key.endswith(key) and said in m.wanted for m in caught.value.mistakes)
