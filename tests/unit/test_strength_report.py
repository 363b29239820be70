"""The report of strength: what it says, in whose unit, and what stays unsaid when a limit is not known."""

import dataclasses
import itertools

import pytest
from drawn import mishaps
from small_rack import small_rack
from toy_strength import BOXY, portal, strong

from rackgen.export.text import station_text
from rackgen.parts.handbook import HandbookLimit
from rackgen.sheets.drawing import Stroke, Words
from rackgen.sheets.pages import Figure, Text, Ticks
from rackgen.strength.checks import FIGURES
from rackgen.strength.frame_drawing import BANDS, band, spread, use_by_member, use_drawing
from rackgen.strength.rated import Share
from rackgen.strength.rating import Caps
from rackgen.strength.rating_plate import plate_lines
from rackgen.strength.report import strength_station, unrated_station
from rackgen.strength.report_rows import cracks_table, rating, sources_table
from rackgen.strength.shop_words import in_shop_words


def said(caps=BOXY, unit="mm", scale=1.0, **changed):
    found = dataclasses.replace(strong(caps, scale), **changed)
    return station_text(strength_station(found, small_rack(), HandbookLimit(caps.limit), unit, "0123456789"))


def flat(text: str) -> str:
    return " ".join(text.split())


def test_assumptions_come_before_the_result_and_cautions_are_all_there():
    text = flat(said())
    assert text.index("Assumed, from memory") < text.index("RESULT") < text.index("Most used checks")
    for words in (
        "not tested, not certified, and no substitute for the vehicle's handbook, local code or a licensed engineer",
        "No fatigue life", "Not tested to ISO 11154", "Look for rust", "rough track 3.0: assumed",
    ):  # fmt: skip
        assert words in text


def test_the_result_names_the_weakest_link_its_case_and_what_caps_it():
    text = flat(said())
    # 0.1 + 0.009 p = 1 at 100 kg; a brake's 0.006 p at 167; the roof leaves 72.
    assert "moving 100 kg 100 kg 72 kg roof limit" in text
    assert "Moving, the weakest link is leg at the saddle, both sides: tube in bending, in the case still" in text
    assert "by the roof limit" in text
    assert "With the U-bolt at the front left loose it still carries" in text


def test_without_a_roof_limit_only_the_racks_own_rating_is_given():
    text = flat(said(Caps(None, 48.0)))
    assert "not known" in text
    assert "there is no rating for this vehicle: only the rack's own" in text
    assert "AND NO MORE THAN THE VEHICLE'S HANDBOOK ALLOWS" in plate_lines(strong(Caps(None, 48.0)), "mm", "r")


def test_a_rack_that_holds_nothing_says_so_and_its_plate_forbids_loading():
    text = flat(said(scale=20.0))
    assert "Moving: no load at all. Even empty the rack uses 200%" in text
    assert plate_lines(strong(scale=20.0), "mm", "r")[:2] == ("NOT RATED FOR ANY LOAD", "DO NOT LOAD")


def test_the_plate_says_rating_revision_and_that_the_own_weight_is_excluded():
    lines = plate_lines(strong(), "mm", "0123456789")
    assert lines[0] == "LOAD, MOVING: 72 kg AT MOST"
    assert "RACK'S OWN WEIGHT EXCLUDED" in lines
    assert "WITH IT, ON THE ROOF: 120 kg" in lines
    assert "REVISION 0123456789" in lines


def test_the_plate_forbids_standing_where_a_person_is_too_much_for_a_check():
    found = strong()
    event = dataclasses.replace(found.moving.used[0], case="person-on-rear-left", use=1.13)
    assert "DO NOT STAND ON IT" in plate_lines(dataclasses.replace(found, events=(event,)), "mm", "r")
    held = dataclasses.replace(event, use=0.97)
    pulled = dataclasses.replace(event, case="person-pulls-rear-left")
    assert "DO NOT STAND ON IT" not in plate_lines(dataclasses.replace(found, events=(held, pulled)), "mm", "r")


def test_a_loose_bolt_that_leaves_no_load_is_not_said_to_carry_any():
    assert "loose it still carries" not in flat(said(loose=(0.0, "the U-bolt at the front left")))


def test_a_rack_without_clamps_is_told_nothing_of_u_bolts():
    text = flat(said())
    assert "reckoned as built the worst of each kind" in text
    assert "U-bolts drawn up" not in text
    assert "any one U-bolt loose" not in text
    assert "FEET TIGHT?" in plate_lines(strong(), "mm", "r")[-1]


@pytest.mark.parametrize(("stress", "word"), [(61.0, "under"), (64.0, "OVER")])
def test_the_table_of_cracks_says_over_or_under_its_category(stress, word):
    place = dataclasses.replace(strong().cracks[0], range=stress)
    rows = cracks_table([place], {}, "mm")
    assert [r[[c.key for c in rows.columns].index("against")] for r in rows.rows] == [word]


def test_a_source_behind_many_checks_is_told_once_and_named_by_its_number():
    found = strong()
    sources = {
        "tube in bending": "AISC 360 F8; EN 10219-1; EN 10219-1 (from memory)",
        "rivet": "EN 10219-1 (from memory)",
    }
    used = tuple(dataclasses.replace(u, source=sources.get(u.limit, "a test")) for u in found.moving.used)
    table = sources_table(dataclasses.replace(found, moving=dataclasses.replace(found.moving, used=used)), "mm")
    of = {row[0]: row[-1] for row in table.rows}
    numbers = dict(note.split(": ", 1) for note in table.notes)
    assert sorted(numbers.values()) == ["AISC 360 F8", "EN 10219-1 (from memory)", "a test"]
    assert [numbers[n] for n in of["tube in bending"].split(", ")] == ["AISC 360 F8", "EN 10219-1 (from memory)"]
    assert [numbers[n] for n in of["rivet"].split(", ")] == ["EN 10219-1 (from memory)"]


def test_only_what_a_fabricator_can_answer_has_a_box():
    lines = ("that nobody jumps on it: assumed", f"{FIGURES} from memory, each named: rivets.")
    blocks = strength_station(
        dataclasses.replace(strong(), assumptions=lines), small_rack(), HandbookLimit(None), "mm", "r"
    ).blocks
    assert [b.items for b in blocks if isinstance(b, Ticks)] == [lines[:1]]
    assert [b.text for b in blocks if isinstance(b, Text) and b.text.startswith(FIGURES)] == [lines[1]]


def test_each_grade_that_is_not_known_has_its_own_line():
    page = unrated_station("the grade of the tube is not known\nthe grade of the plate is not known")
    assert [b.text for b in page.blocks if isinstance(b, Text)][:2] == [
        "Not rated: the grade of the tube is not known", "the grade of the plate is not known",
    ]  # fmt: skip


def test_an_inch_shop_reads_pounds_inches_and_the_si_figure_behind():
    text = flat(said(unit="in"))
    assert "885 lb-ft (1.20 kN·m)" in text
    assert "34.1 ksi (235 MPa)" in text
    assert "0.098 in" in text
    assert "158 lb (72 kg)" in text
    assert "+78 lb" in text


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("4.4 kN a rivet", "989 lb (4.4 kN) a rivet"),
        ("44 482 N", "10000 lb (44 482 N)"),
        ("a gap of 25.4 mm", "a gap of 1.00 in (25.4 mm)"),
        ("60 × 5 mm", "2.36 × 0.197 in (60 × 5 mm)"),
        ("110 km/h", "68.4 mph (110 km/h)"),
        ("96.5 MPa", "14.0 ksi (96.5 MPa)"),
        ("1531 Pa", "32.0 lb/ft2 (1531 Pa)"),
        ("M8, 12 N·m", "M8, 8.85 lb-ft (12 N·m)"),
        ("480 mm² and 3 mm/s and 12.5", "480 mm² and 3 mm/s and 12.5"),
        ("S235JR, 6 members", "S235JR, 6 members"),
    ],
)
def test_figures_in_words_are_turned_one_by_one(was, now):
    # 1 lbf = 4.4482216 N, 1 lbf·ft = 1.3558179 N·m, 1 ksi = 6.8947573 MPa (NIST SP 811, from memory).
    assert in_shop_words(was, "in") == now
    assert in_shop_words(was, "mm") == was


@pytest.mark.parametrize(
    ("kg", "mm", "inch"),
    [(72.99, "72 kg", "160 lb (73 kg)"), (0.0, "0 kg", "0 lb (0 kg)"), (100.0, "100 kg", "220 lb (100 kg)")],
)
def test_a_rating_is_rounded_down(kg, mm, inch):
    assert rating(kg, "mm") == mm
    assert rating(kg, "in") == inch


def test_the_drawing_is_broader_and_darker_for_more_and_its_words_touch_nothing():
    assert [b.wide for b in BANDS] == sorted(b.wide for b in BANDS)
    grey = [0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in (b.colour for b in BANDS)]
    assert grey == sorted(grey, reverse=True)
    assert band(0.5).to == 0.5
    assert band(1.4) is BANDS[-1]
    figures = [
        b.drawing
        for b in strength_station(strong(), small_rack(), HandbookLimit(120.0), "mm", "r").blocks
        if isinstance(b, Figure)
    ]
    assert len(figures) == 3
    for drawing in figures:
        assert [m for m in mishaps(drawing) if not m.endswith("on steel")] == []
        assert all(w.height >= 2.2 for w in drawing.items if isinstance(w, Words))


def test_each_member_shows_the_most_used_place_on_it_and_numbers_stand_apart():
    model = portal()
    shares = [
        Share("bar", (500.0, -400.0, 1700.0), 0.3), Share("bar", (500.0, -100.0, 1700.0), 0.8),
        Share("left", (500.0, -500.0, 1600.0), 0.95),
    ]  # fmt: skip
    # The right half of the bar has no place of its own and shows the nearest one's.
    assert use_by_member(model, shares) == {"bar#1": 0.8, "bar#2": 0.8, "left#0": 0.95}
    drawing = use_drawing(model, shares, [((500.0, -500.0, 1600.0), "1: 95%"), ((500.0, -500.0, 1610.0), "2: 80%")])
    coloured = [
        s
        for s in drawing.items
        if isinstance(s, Stroke) and s.colour == band(0.95).colour and s.wide == band(0.95).wide
    ]
    assert len(coloured) == 2  # one of the frame, one of the scale of colours
    heights = spread([10.0, 10.5, 30.0, 59.0, 59.5], 4.0, 0.0, 60.0)
    assert all(b - a >= 4.0 - 1e-9 for a, b in itertools.pairwise(heights))
    assert heights[-1] <= 60.0


def test_changes_that_were_tried_in_vain_are_told_apart_from_none_tried():
    assert "No change was tried" in flat(said(gains=()))
    assert "7 changes were tried, and none of them lets it carry more" in flat(said(gains=(), tried=7))
