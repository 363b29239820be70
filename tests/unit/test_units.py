"""Lengths as people type them, and as a shop reads them."""

import pytest

from rackgen.errors import LengthError
from rackgen.units import INCH, read_length, read_quantity, shown_step, write_decimal, write_length


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1-3/4 in", 1.75),
        ("1 3/4 in", 1.75),
        ('1-3/4"', 1.75),
        ('1 3/4"', 1.75),
        ("1-3/4in", 1.75),
        ("3/4 in", 0.75),
        ("3 / 4 in", 0.75),
        ("0.120 in", 0.120),
        (".5 in", 0.5),
        ("5. in", 5),
        ("5 in.", 5),
        ("12 inch", 12),
        ("12 inches", 12),
        ("12 IN", 12),
        ("6 ft", 72),
        ("6 ft.", 72),
        ("6'", 72),
        ("1 foot", 12),
        ("6 feet", 72),
        ("6 ft 2-1/2 in", 74.5),
        ("6 ft 2 1/2 in", 74.5),
        ("6 ft 2.5 in", 74.5),
        ("6'2-1/2\"", 74.5),
        ("6' 2-1/2\"", 74.5),
        ("6'-2\"", 74),
        ("6' - 2\"", 74),
        ("6.5 ft", 78),
        ("1/2 ft", 6),
        ("-3/8 in", -0.375),
        ("- 1-3/4 in", -1.75),
        ("+2 in", 2),
        ("−2 in", -2),
        # Typographic quotes, dashes, fractions and blanks, as word processors make of them.
        ("1½ in", 1.5),
        ("1 ½ in", 1.5),
        ("½ in", 0.5),
        ("1-½ in", 1.5),
        ("6′ 2½″", 74.5),
        ("6’ 2½”", 74.5),
        ("6'' ", 6),
        ("6’’", 6),
        ("1–3/4 in", 1.75),
        ("1‑3/4 in", 1.75),
        ("1-3⁄4 in", 1.75),
        ("1\u00a03/4\u202fin", 1.75),
        ("  1-3/4   in  ", 1.75),
        ("⅞ in", 0.875),
        ("2⅜ in", 2.375),
        ("⅓ ft", 4),
    ],
)
def test_inches_and_feet_are_read_exactly(text: str, inches: float) -> None:
    for bare in ("mm", "in", None):
        assert read_length(text, bare) == pytest.approx(inches * INCH, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("350 mm", 350), ("350mm", 350), ("350.5 MM", 350.5), ("35 cm", 350), ("6 m", 6000), ("-2 mm", -2), ("0 mm", 0)],
)
def test_metric_lengths_are_read_exactly(text: str, mm: float) -> None:
    for bare in ("mm", "in", None):
        assert read_length(text, bare) == mm


@pytest.mark.parametrize("typed", [2, 2.0, "2", "2.0", "+2", "2/1"])
def test_a_bare_number_is_in_the_files_unit(typed: object) -> None:
    assert read_length(typed, "mm") == 2
    assert read_length(typed, "in") == 50.8


@pytest.mark.parametrize("typed", ["1-3/4", "1 3/4", "1¾"])
def test_a_bare_fraction_is_in_the_files_unit(typed: str) -> None:
    assert read_length(typed, "in") == pytest.approx(44.45, abs=1e-12)
    assert read_length(typed, "mm") == 1.75


@pytest.mark.parametrize("typed", [2, 2.5, "2", "1-3/4"])
def test_a_bare_number_needs_the_files_unit(typed: object) -> None:
    with pytest.raises(LengthError, match="units"):
        read_length(typed, None)


def test_a_number_and_the_same_number_as_text_are_the_same_to_the_last_bit() -> None:
    # 0.12 * 25.4 is 3.0479999999999996 in floating point.
    assert read_length(0.120, "in") == read_length("0.120 in", None) == read_length("0.12", "in") == 3.048


@pytest.mark.parametrize(
    "typed",
    [
        "", " ", "-", "+", "in", '"', "'", "mm", "ft in", "abc", "5 furlongs", "5 km", "5 µm",
        "1-3/4-1/2 in", "1 2 3 in", "3/4/5 in", "1/0 in", "1-1/0 in", "0/0", "1..5 in", "1.5/2 in", "1-3 in",
        # Not to be guessed: a difference, two signs, a fraction that is more than one, inches without their mark.
        "3 - 1/4 in", "3 -1/4 in", "3- 1/4 in", "--5 in", "+-5 in", "-+5 in", "- -5 in", "1-5/4 in", "1-4/4 in",
        "6' 2", "6 ft 2", "6 ft 2 mm", "2 in 6 ft", "6 ft -", "6' 2\" 3\"", "1 m 20 cm", "5 mm 3 mm",
        "1e3 mm", "0x10 mm", "1_000 mm", "nan", "inf", "nan mm", "inf in", "1 in²", "5 mm²",
        "½½ in", "1/2½ in", "1 in; rm", "5\x00mm", "9" * 61 + " mm", "9" * 5000, "1/" + "9" * 5000, "1 " * 5000,
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused(typed: str) -> None:
    for bare in ("mm", "in", None):
        with pytest.raises(LengthError):
            read_length(typed, bare)


def test_a_decimal_comma_is_refused_by_name() -> None:
    with pytest.raises(LengthError, match="decimal point"):
        read_length("33,7 mm", "mm")


@pytest.mark.parametrize(
    "typed", [True, False, None, [], {}, [5], float("nan"), float("inf"), float("-inf"), b"5 mm", 5j]
)
def test_other_values_are_no_lengths(typed: object) -> None:
    with pytest.raises(LengthError):
        read_length(typed, "mm")


@pytest.mark.parametrize("typed", [30_000.001, -30_001, 10**400, 1e308, "31 m", "100 ft", "9999999999999999999 in"])
def test_no_length_is_longer_than_anything_on_a_roof(typed: object) -> None:
    with pytest.raises(LengthError, match="beyond"):
        read_length(typed, "mm")


def test_the_longest_length_is_read() -> None:
    assert read_length("30 m", None) == 30_000


@pytest.mark.parametrize(
    ("mm", "unit", "step", "text"),
    [
        (350.0, "mm", 1, "350"),
        (350.4, "mm", 1, "350"),
        (350.6, "mm", 1, "351"),
        (350.3, "mm", 0.5, "350.5"),
        (350.0, "mm", 0.5, "350.0"),
        (350.04, "mm", 0.1, "350.0"),
        (-0.2, "mm", 1, "0"),
        (-0.2, "mm", 0.5, "0.0"),
        (-350.6, "mm", 1, "-351"),
        (44.45, "in", 1 / 16, "1-3/4"),
        (19.05, "in", 1 / 16, "3/4"),
        (50.8, "in", 1 / 16, "2"),
        (0.0, "in", 1 / 16, "0"),
        (-0.1, "in", 1 / 16, "0"),
        (-44.45, "in", 1 / 16, "-1-3/4"),
        (-19.05, "in", 1 / 16, "-3/4"),
        (25.4 * (1 + 31 / 32), "in", 1 / 32, "1-31/32"),
        (25.4 * (2 - 1 / 100), "in", 1 / 16, "2"),
        (2438.4, "in", 1 / 16, "96"),
    ],
)
def test_lengths_are_written_as_a_shop_reads_them(mm: float, unit: str, step: float, text: str) -> None:
    assert write_length(mm, unit, step) == text  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mm", "unit", "places", "text"),
    [
        (1.25, "mm", 1, "1.2"),
        (25.4, "in", 3, "1.000"),
        (-0.001, "mm", 1, "0.0"),
        (-0.3, "in", 1, "0.0"),
        (-5, "mm", 0, "-5"),
    ],
)
def test_decimals_are_written_without_a_minus_nought(mm: float, unit: str, places: int, text: str) -> None:
    assert write_decimal(mm, unit, places) == text  # type: ignore[arg-type]


def test_shop_sheets_round_as_the_house_plan_says() -> None:
    assert shown_step("mm", fine=False) == 1
    assert shown_step("mm", fine=True) == 0.5
    assert shown_step("in", fine=False) == 1 / 16
    assert shown_step("in", fine=True) == 1 / 32


@pytest.mark.parametrize(
    ("typed", "quantity", "value"),
    [
        (120, "mass", 120),
        ("120 kg", "mass", 120),
        ("120kg", "mass", 120),
        # 1 lb = 0.45359237 kg exactly (NIST SP 811, appendix B.8; from memory).
        ("100 lb", "mass", 45.359237),
        (12, "torque", 12),
        ("12 N m", "torque", 12),
        ("12 N·m", "torque", 12),
        ("12 Nm", "torque", 12),
        # 1 lbf·ft = 1.355818 N·m (NIST SP 811, appendix B.8; from memory).
        ("1 lb-ft", "torque", 1.3558179483314004),
        ("1 ft-lb", "torque", 1.3558179483314004),
        ("1 ft·lbf", "torque", 1.3558179483314004),
        ("1 lbf ft", "torque", 1.3558179483314004),
        (2.64, "mass per area", 2.64),
        ("2.64 kg/m2", "mass per area", 2.64),
        ("2.64 kg/m²", "mass per area", 2.64),
        # 1 lb/ft² = 4.882428 kg/m² (NIST SP 811, appendix B.8; from memory).
        ("1 lb/ft2", "mass per area", 4.882427636383051),
        ("0.80 lb/ft²", "mass per area", 3.905942109106441),
        ("110 km/h", "speed", 110),
        ("110 kmh", "speed", 110),
        # 1 mph = 1.609344 km/h exactly (NIST SP 811, appendix B.8; from memory).
        ("70 mph", "speed", 112.65408),
    ],
)
def test_masses_and_torques_are_read(typed: object, quantity: str, value: float) -> None:
    assert read_quantity(typed, quantity) == pytest.approx(value, rel=1e-14)  # type: ignore[arg-type]


def test_a_speed_without_its_unit_is_refused() -> None:
    with pytest.raises(LengthError, match="km/h"):
        read_quantity(110, "speed")


@pytest.mark.parametrize("quantity", ["mass", "torque", "mass per area", "speed"])
@pytest.mark.parametrize(
    "typed",
    ["", "120", "kg", "x kg", "1 stone", "5 mm", True, None, [], float("nan"), 10**400, "9" * 99, "9" * 50 + " kg"],
)
def test_what_is_no_such_quantity_is_refused(typed: object, quantity: str) -> None:
    with pytest.raises(LengthError):
        read_quantity(typed, quantity)  # type: ignore[arg-type]
