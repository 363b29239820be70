"""Strength of every grade that is known, against the tables it is from."""

from dataclasses import dataclass

import pytest

from rackgen.errors import RackgenError
from rackgen.refs.grades import grade_of, yield_strength
from rackgen.refs.registry import number
from rackgen.refs.strengths import check_known, strength_of
from rackgen.spec.stock import DENSITY

KSI = 6.894757


@dataclass(frozen=True)
class Line:
    grade: str
    material: str = "steel"
    name: str = "a line"
    yield_strength: float | None = None
    tensile_strength: float | None = None


# Yield and tensile strength, ksi: ASTM A513 by a supplier's page, A500 by a steel tube institute and AISC's commentary,
# A53 and A36 (A36, 1026 and A500-21 grade B from memory).
INCH = [
    ("1008 ASTM A513 type 1", 30, 42),
    ("1010 ASTM A513 type 1", 32, 45),
    ("1015 ASTM A513 type 1", 35, 48),
    ("1020 ASTM A513 type 1", 38, 52),
    ("1020 DOM ASTM A513", 60, 70),
    ("1026 DOM ASTM A513", 70, 80),
    ("1020 DOM", 60, 70),
    ("ASTM A500 Gr. B", 42, 58),
    ("ASTM A500 grade C", 46, 62),
    ("ASTM A500-21 gr C", 50, 62),
    ("ASTM A500-21 grade B", 46, 58),
    ("ASTM A53 Gr B", 35, 60),
    ("ASTM A36", 36, 58),
    ("mild steel, no certificate", 30, 42),
    ("ASTM A1011 CS", 30, 42),
]

# MPa: EN 10219-1, EN 10025-2, EN 10305-3, all from memory.
METRIC = [
    ("S235JRH EN 10219-1", 235, 360),
    ("S355J2H EN 10219-1", 355, 470),
    ("S235JR EN 10025-2", 235, 360),
    ("S275JR EN 10025-2", 275, 410),
    ("S355J2 EN 10025-2", 355, 470),
    ("E220+CR2 EN 10305-3", 220, 310),
    ("E235+CR1 EN 10305-3", 235, 340),
    ("E355+CR1 EN 10305-3", 355, 490),
]


@pytest.mark.parametrize(("grade", "fy", "fu"), INCH)
def test_grades_in_ksi(grade: str, fy: float, fu: float) -> None:
    found = strength_of(Line(grade))
    assert found.yield_ == pytest.approx(fy * KSI, rel=0.006)
    assert found.tensile == pytest.approx(fu * KSI, rel=0.006)


@pytest.mark.parametrize(("grade", "fy", "fu"), METRIC)
def test_grades_in_mpa(grade: str, fy: float, fu: float) -> None:
    found = strength_of(Line(grade))
    assert (found.yield_, found.tensile) == (fy, fu)
    assert (found.welded_yield, found.welded_tensile) == (fy, fu)


def test_drawn_tube_is_as_welded_beside_welds() -> None:
    # Weld heat removes cold work: beside welds 1020 drawn over a mandrel is 1020 as welded, 38 / 52 ksi (from memory).
    for grade in ("1020 DOM ASTM A513", "ASTM A513 type 5 1026"):
        found = strength_of(Line(grade))
        assert (found.welded_yield, found.welded_tensile) == (262.0, 359.0)


@pytest.mark.parametrize(
    ("grade", "ksi"), [("6061-T6", (35, 38, 15, 24)), ("6063-T5", (16, 22, 8, 17))]
)  # 49 CFR 178.46 table 2 for 6061-T6; within 1 in of welds by AWS D1.2 and the Aluminum Design Manual, from memory
def test_aluminium_loses_beside_welds(grade: str, ksi: tuple[float, ...]) -> None:
    found = strength_of(Line(grade, "aluminium"))
    got = (found.yield_, found.tensile, found.welded_yield, found.welded_tensile)
    assert got == pytest.approx([k * KSI for k in ksi], rel=0.021)
    assert (found.e, found.density) == (70000.0, 2700.0)


def test_what_is_not_promised_is_assumed() -> None:
    for grade in ("mild steel, no certificate", "ASTM A1011 CS", "hot rolled bar", "mild steel", "carbon steel"):
        found = strength_of(Line(grade))
        assert (found.tag, found.certified, found.yield_) == ("assumed", False, 207.0)
        assert yield_strength(grade) is None
    assert strength_of(Line("ASTM A36")).certified


def test_tags_are_the_weakest_of_their_figures() -> None:
    assert strength_of(Line("1020 ASTM A513 type 1")).tag == "seen"
    assert strength_of(Line("ASTM A36")).tag == "memory"
    assert "(from memory)" in strength_of(Line("ASTM A36")).source


def test_a513_says_what_its_strengths_are_worth() -> None:
    # "When tensile properties are required, they shall be specified" (ASTM A513, as quoted).
    assert "only where they were ordered" in strength_of(Line("1020 ASTM A513 type 1")).source
    tested = strength_of(Line("1020 ASTM A513 type 1", yield_strength=300.0, tensile_strength=400.0))
    assert "ordered" not in tested.source


def test_a_certificate_counts_before_the_grade() -> None:
    known = strength_of(Line("S235JR EN 10025-2", yield_strength=300.0, tensile_strength=420.0))
    assert (known.yield_, known.tensile, known.welded_yield, known.tag) == (300.0, 420.0, 300.0, "seen")
    new = strength_of(Line("HSLA 340", yield_strength=340.0, tensile_strength=410.0))
    assert (new.yield_, new.welded_yield, new.certified) == (340.0, 340.0, True)
    drawn = strength_of(Line("1026 DOM", yield_strength=520.0, tensile_strength=600.0))
    assert (drawn.yield_, drawn.welded_yield, drawn.welded_tensile) == (520.0, 262.0, 359.0)
    paper = strength_of(Line("no certificate", yield_strength=250.0, tensile_strength=360.0))
    assert paper.certified
    # What welding takes from aluminium no certificate gives back.
    soft = strength_of(Line("6061-T6", "aluminium", yield_strength=275.0, tensile_strength=310.0))
    assert (soft.yield_, soft.welded_yield) == (275.0, 105.0)


def test_unknown_grades_are_refused_all_at_once() -> None:
    lines = [
        Line("S235JR EN 10025-2"),
        Line("1020 ASTM A513", name="main tube"),
        Line("6082-T6", "aluminium", name="rail", yield_strength=250.0, tensile_strength=290.0),
        Line("304", "stainless", name="shiny", yield_strength=205.0),
        Line("1020 ASTM A513", name="main tube"),
    ]
    with pytest.raises(RackgenError) as refusal:
        check_known(lines)
    told = str(refusal.value).splitlines()
    assert len(told) == 3
    assert '"1020 ASTM A513" of main tube' in told[0]
    assert "6061-T6" in told[1]
    assert "tensile_strength" in told[2]
    with pytest.raises(RackgenError, match="is not known"):
        strength_of(lines[1])


def test_a_grade_is_of_its_material() -> None:
    assert grade_of("6061-T6") is None
    assert grade_of("S235JR", "aluminium") is None
    assert grade_of("1020 ASTM A513") is None


def test_densities_are_those_that_parts_are_weighed_with() -> None:
    assert {m: number(f"density-{m}").value for m in ("steel", "stainless", "aluminium")} == DENSITY


def test_a_grade_of_another_material_is_refused_with_the_key_to_write() -> None:
    # Even with a certificate: 6061-T6 held to steel's stiffness and to its full strength beside welds is no rating.
    told = [
        Line("6061-T6", name="rail"),
        Line("6061-T6", name="rail", yield_strength=275.0, tensile_strength=310.0),
        Line("S235JR EN 10025-2", "aluminium", name="rail"),
    ]
    for line, material in zip(told, ("aluminium", "aluminium", "steel"), strict=True):
        with pytest.raises(RackgenError, match=f'of rail is of {material}: write material = "{material}"'):
            strength_of(line)
