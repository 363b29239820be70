"""Laws of lengths: what is written is read back, whatever the unit and however it is typed."""

import contextlib
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from rackgen.errors import LengthError
from rackgen.units import INCH, LIMIT, read_length, read_quantity, write_decimal, write_length

lengths = st.floats(-LIMIT + 50, LIMIT - 50, allow_nan=False)
inch_steps = st.sampled_from([1.0, 1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 32, 1 / 64])
mm_steps = st.sampled_from([1.0, 0.5, 0.1])

laws = settings(deadline=None, derandomize=True)


@laws
@given(lengths, inch_steps)
def test_inches_written_are_read_back_within_half_a_step(mm: float, step: float) -> None:
    text = write_length(mm, "in", step)
    for typed in (text, f"{text} in", f'{text}"'):
        assert abs(read_length(typed, "in") - mm) <= step * INCH / 2 + 1e-9


@laws
@given(lengths, mm_steps)
def test_millimetres_written_are_read_back_within_half_a_step(mm: float, step: float) -> None:
    text = write_length(mm, "mm", step)
    for typed in (text, f"{text} mm", float(text)):
        assert abs(read_length(typed, "mm") - mm) <= step / 2 + 1e-9


@laws
@given(lengths, st.integers(0, 4))
def test_decimals_written_are_read_back_within_their_rounding(mm: float, places: int) -> None:
    assert abs(read_length(write_decimal(mm, "in", places), "in") - mm) <= INCH * 0.5 * 10**-places + 1e-9
    assert abs(read_length(write_decimal(mm, "mm", places), "mm") - mm) <= 0.5 * 10**-places + 1e-9


@laws
@given(lengths, inch_steps)
def test_writing_again_changes_nothing(mm: float, step: float) -> None:
    text = write_length(mm, "in", step)
    assert write_length(read_length(text, "in"), "in", step) == text


@laws
@given(st.integers(0, 90), st.integers(0, 11), st.integers(0, 63), st.sampled_from(["ft", "'", " feet"]))
def test_feet_inches_and_fractions_add_up(feet: int, inches: int, sixty_fourths: int, mark: str) -> None:
    fraction = Fraction(sixty_fourths, 64)
    tail = f"-{fraction.numerator}/{fraction.denominator}" if fraction else ""
    exact = float((feet * 12 + inches + fraction) * Fraction(254, 10))
    assert read_length(f"{feet}{mark} {inches}{tail} in", None) == exact
    assert read_length(f"-{feet}{mark} {inches}{tail} in", None) == -exact


@laws
@given(st.floats(-1000, 1000, allow_nan=False), st.sampled_from(["mm", "in"]))
def test_a_number_and_its_text_are_one_length(value: float, unit: str) -> None:
    number = read_length(value, unit)  # type: ignore[arg-type]
    if "e" not in repr(value):
        assert number == read_length(f"{value!r} {unit}", None)
    assert abs(number - value * (INCH if unit == "in" else 1)) <= 1e-9


@laws
@given(st.text(max_size=80) | st.text(alphabet="0123456789/-.'\" ftinmc½⅞+", max_size=30))
def test_any_text_is_a_finite_length_or_a_length_error(text: str) -> None:
    for bare in ("mm", "in", None):
        with contextlib.suppress(LengthError):
            assert abs(read_length(text, bare)) <= LIMIT


@laws
@given(st.text(max_size=80) | st.floats() | st.integers() | st.booleans() | st.none())
def test_anything_is_a_finite_quantity_or_a_length_error(value: object) -> None:
    for quantity in ("mass", "torque", "mass per area", "speed"):
        with contextlib.suppress(LengthError):
            assert abs(read_quantity(value, quantity)) <= LIMIT
