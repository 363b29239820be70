"""How far floors span, where slats lie, and what a rack file may say about floors, sides and kinds of basket."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import pytest

from rackgen import job
from rackgen.design.choose import choose
from rackgen.design.slat_places import bar_slats, tube_slats
from rackgen.design.span import mesh_span, slat_span, thin_slats
from rackgen.errors import BadInput, Finding
from rackgen.spec.read import read_job, read_rack
from rackgen.spec.stock import Expanded, Flat
from tests.option_racks import FLAT, PLAIN, written_job
from tests.preset_texts import RACK, mistakes_of, only, saved, swapped

LB_FT2 = 4.8824
"""kg/m² in one lb/ft²."""


def metal(style: str, mass: float, strand: float) -> Expanded:
    return Expanded(style, 23.4, 50.8, 2.0, strand * 25.4, 5.0, mass * LB_FT2, 1219.0, 2438.0)


@pytest.mark.parametrize(
    ("name", "mass", "strand", "least", "most"),
    [
        ("1/2 #13", 1.47, 0.096, 609.0, 610.0),
        ("3/4 #9", 1.80, 0.150, 609.0, 610.0),
        ("3/4 #13", 0.80, 0.096, 325.0, 340.0),
        ("3/4 #16", 0.54, 0.101, 225.0, 245.0),
    ],
)
def test_styles_span_by_the_rule(name: str, mass: float, strand: float, least: float, most: float) -> None:
    """NAAMM EMMA 557 rows; 1/2 #13 and 3/4 #9 at 24 in for a standing load (from memory, low trust)."""
    assert least <= mesh_span(metal("raised", mass, strand)).most <= most


def test_flattened_metal_spans_two_thirds() -> None:
    raised, flat = mesh_span(metal("raised", 0.8, 0.096)), mesh_span(metal("flattened", 0.8, 0.096))
    assert flat.most == pytest.approx(0.65 * raised.most)
    assert "memory" in raised.source


def test_a_foot_bends_a_slat_to_yield_at_its_span() -> None:
    """By hand: W = 50 × 5² / 6 = 208.3 mm³, M = 1100 N × (L - 50) / 5, M / W = 235 MPa: L = 272.5 mm.

    A load P even over c in the middle of a single span L bends it with P L / 4 - P c / 8, which is P (L - c / 2) / 4
    (beam tables, from memory); over bearers that go on 5 stands in place of 4.
    """
    assert slat_span(Flat(50.0, 5.0), 60.0).most == pytest.approx(272.5, abs=0.1)
    # Two bars of 30 with 40 between them both lie under a foot of 100.
    assert slat_span(Flat(30.0, 5.0), 40.0).most == pytest.approx(2 * 0.6 * 222.5 + 50.0, abs=0.2)


def test_thin_slats_are_noted_with_what_the_shelf_has_instead(tmp_path: Path) -> None:
    """40 × 4 with 60 between: 107 mm³ carry a foot over 164 mm, which is not the usual bay of 230."""
    file = saved(
        tmp_path,
        'format = 1\nshop = "viaduct-arch-mm"\nvehicle = "boxy-wagon-mm"\nunits = "mm"\n\n[basket]\nkind = "tray"\n'
        f'{FLAT}\nfloor = "40 x 4 bar"\n\n[floor]\nkind = "slats"\n',
        "tray.toml",
    )
    asked = read_job(str(file))

    def said(bar: str) -> tuple[Finding, ...]:
        spec = dataclasses.replace(asked.spec, basket=dataclasses.replace(asked.spec.basket, floor=bar))
        return thin_slats(spec, asked.shop, choose(spec, asked.shop))

    found = said("40 x 4 bar")
    assert [f.code for f in found] == ["slats-thin"]
    assert found[0].got == pytest.approx(164.0, abs=0.1)
    assert "take 60 x 5 bar" in found[0].help
    assert not said("60 x 5 bar")


@pytest.mark.parametrize("gap", [15.0, 40.0, 60.0, 95.0, 200.0])
@pytest.mark.parametrize("length", [900.0, 1080.0, 1633.0])
def test_tubes_in_a_ring_lie_alike_fore_and_aft(tmp_path: Path, gap: float, length: float) -> None:
    given = written_job(tmp_path, {"basket": FLAT + '\nkind = "tray"', "floor": f'kind = "slats"\ngap = {gap}'})
    spec = dataclasses.replace(given.spec, basket=dataclasses.replace(given.spec.basket, length=length))
    choice = choose(spec, given.shop)
    places = tube_slats(spec, choice)
    assert places == tuple(-p + 0.0 for p in reversed(places))
    steps = [b - a for a, b in itertools.pairwise(places)]
    middle = len(steps) // 2
    for k, step in enumerate(steps):
        assert step <= max(gap + choice.bar_od, 3 * choice.ring_od if k == middle else 0) + 0.2
    assert min(abs(p) for p in places) >= 1.5 * choice.ring_od - 0.06


@pytest.mark.parametrize("gap", [5.0, 33.0, 399.0])
def test_flat_slats_share_the_room_evenly(tmp_path: Path, gap: float) -> None:
    floor = f'kind = "slats"\ngap = {gap}'
    given = written_job(tmp_path, {"basket": FLAT + '\nkind = "tray"\nfloor = "50 x 5 bar"', "floor": floor})
    places = bar_slats(given.spec, choose(given.spec, given.shop))
    room = 1040 - 2 * 33.7
    assert places[0] + room / 2 - 25 == pytest.approx(room / 2 - places[-1] - 25, abs=0.2)
    assert all(0 < b - a - 50 <= gap + 0.2 for a, b in itertools.pairwise(places))
    assert places[0] + room / 2 - 25 <= gap + 0.2


REFUSED: dict[str, tuple[dict[str, str], str, str]] = {
    "bearers beside slats of tube": (
        {"basket": PLAIN + "\nbearers = [-200, 200]", "floor": 'kind = "slats"'}, "basket.bearers",
        "in place of bearers",
    ),
    "slats too near for an upright": (
        {"basket": PLAIN, "floor": 'kind = "slats"\ngap = 15'}, "floor.gap", "at least 35 mm",
    ),
    "a tube for a mesh floor": ({"basket": PLAIN + '\nfloor = "28 x 2 tube"'}, "basket.floor", "no mesh"),
    "a mesh for slats": (
        {"basket": PLAIN + '\nfloor = "raised mesh 23 x 50"', "floor": 'kind = "slats"'}, "basket.floor",
        "no tube or bar",
    ),
    "slats wider than the ring": (
        {"basket": PLAIN + '\nfloor = "48.3 x 3.2 tube"', "floor": 'kind = "slats"'}, "basket.floor", "no wider",
    ),
    "a deck narrower than anything": (
        {"basket": 'width = 200\nlength = 1080\nkind = "deck"'}, "basket.width", "at least 202 mm",
    ),
    "a deck shorter than its pads": (
        {"basket": 'width = 1040\nlength = 300\nkind = "deck"'}, "basket.length", "two clamp pads",
    ),
    "three rings in the height of two": (
        {"basket": "width = 1040\nlength = 1080\nheight = 150", "sides": 'mid_rail = "ring"'}, "basket.height",
        "three rings",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_refused_with_its_key(tmp_path: Path, case: str) -> None:
    tables, key, says = REFUSED[case]
    with pytest.raises(BadInput) as refused:
        job.design(written_job(tmp_path, tables))
    mistake = only(refused.value.mistakes)
    assert mistake.key == key
    assert says in mistake.wanted


def test_a_shop_without_perforated_sheet_says_so(tmp_path: Path) -> None:
    given = written_job(tmp_path, {"basket": PLAIN, "floor": 'kind = "perforated sheet"'})
    shop = dataclasses.replace(given.shop, stock=tuple(s for s in given.shop.stock if "perforated" not in s.name))
    with pytest.raises(BadInput, match="has none on its shelf"):
        job.design(dataclasses.replace(given, shop=shop))


SPOILT = [
    ("height = 200", "", "basket.height", "add `height`"),
    ("height = 200", 'height = 200\nkind = "tray"', "basket.height", "a tray has no upper ring"),
    ("height = 200", 'kind = "deck"\nside_plates = 1', "basket.side_plates", "a deck has no upper ring"),
    ("height = 200", 'kind = "tray"\nside_uprights = [-200, 200]', "basket.side_uprights", "a tray has no upper"),
    ("height = 200", 'kind = "barrow"', "basket.kind", '"basket" or "tray" or "deck"'),
    ("[frame]", '[floor]\nkind = "planks"\n[frame]', "floor.kind", '"slats"'),
    ("[frame]", '[floor]\nkind = "none"\ngap = 40\n[frame]', "floor.gap", "leave it out"),
    ("[frame]", '[floor]\nkind = "slats"\ngap = 1\n[frame]', "floor.gap", "from 5 mm to 400 mm"),
    ("height = 200", 'height = 200\nfloor = "mesh"\n[floor]\nkind = "none"', "floor.kind", "leave one out"),
    ("height = 200", 'kind = "deck"\n[floor]\nkind = "expanded metal"', "floor.kind", "a deck is of slats"),
    ("height = 200", 'kind = "tray"\n[sides]\nmid_rail = "ring"', "sides", "a tray has no sides"),
    ("[frame]", '[sides]\nmid_rail = "rope"\n[frame]', "sides.mid_rail", '"ring" or "rails"'),
    ("[frame]", "[sides]\nletter_height = 40\n[frame]", "sides.letter_height", "it is for `text`"),
    ("[frame]", "[sides]\nbridge = 4\n[frame]", "sides.bridge", "`text` or `outline`"),
    ("[frame]", "[sides]\noutline_length = 40\n[frame]", "sides.outline_length", "it is for `outline`"),
    ("[frame]", '[sides]\ntext = "A"\noutline = "a.svg"\n[frame]', "sides.outline", "leave one out"),
]


@pytest.mark.parametrize(("old", "new", "key", "says"), SPOILT, ids=[f"{s[2]}: {s[1][:40]!r}" for s in SPOILT])
def test_options_that_exclude_each_other_are_refused(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    mistake = only(mistakes_of(read_rack, saved(tmp_path, swapped(RACK, old, new))))
    assert mistake.key == key
    assert says in mistake.wanted
