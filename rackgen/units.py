"""The only place where inches exist: read a length as a person types it, write it as a shop reads it.

Inside rackgen every length is in millimetres. 1 in is 25.4 mm exactly (international inch, ISO 80000-3).
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from rackgen.errors import LengthError

Unit = Literal["mm", "in"]

INCH = 25.4
LIMIT = 30_000.0
"""Longest length that is read, mm: nothing on a road vehicle's roof is longer."""

_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_MIXED = rf"(?:\d+\s*[-\s]\s*\d+\s*/\s*\d+|\d+\s*/\s*\d+|{_NUMBER})"
_METRIC = re.compile(rf"([+-]?)\s*({_NUMBER})\s*(mm|cm|m)", re.IGNORECASE)
_IMPERIAL = re.compile(
    rf"([+-]?)\s*(?:({_MIXED})\s*(?:ft|feet|foot|'))?\s*-?\s*(?:({_MIXED})\s*(?:inches|inch|in|\"))?", re.IGNORECASE
)
_SCALE = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}


def _plain(text: str) -> str:
    """Return the text with typographic quotes, dashes and fractions as the plain ones, and single blanks."""
    for vulgar, plain in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*{vulgar}", f"-{plain}", text).replace(vulgar, plain)
    # Two single quotes stand for a double one; ’ and ′ are feet, ” and ″ inches; ⁄ is the fraction slash.
    for odd, plain in (("′′", '"'), ("’’", '"'), ("''", '"'), ("″", '"'), ("”", '"'), ("“", '"'), ("′", "'"),
                       ("’", "'"), ("‘", "'"), ("⁄", "/"), ("∕", "/"), ("–", "-"), ("—", "-"), ("‑", "-"),
                       ("−", "-"), ("\u00a0", " "), ("\u202f", " "), ("\u2009", " ")):  # fmt: skip
        text = text.replace(odd, plain)
    return re.sub(r"\s+", " ", text).strip()


def _amount(text: str) -> Fraction:
    """Return "1-3/4", "1 3/4", "3/4", "1.75" or "2" as an exact fraction.

    Raises:
        LengthError: the fraction has a zero denominator.
    """
    whole = Fraction(0)
    match = re.fullmatch(r"(\d+)\s*[-\s]\s*(\d+\s*/\s*\d+)", text)
    if match:
        whole, text = Fraction(match.group(1)), match.group(2)
    if "/" in text:
        over, under = (int(part) for part in text.split("/"))
        if under == 0:
            raise LengthError(f'"{text}" divides by zero')
        return whole + Fraction(over, under)
    return Fraction(text)


def read_length(value: object, bare: Unit | None) -> float:
    """Return a length in mm from a number or from text with its own unit.

    Args:
        value: an int or float in the file's unit, or text such as "1-3/4 in", "350 mm", "6 ft 2-1/2 in".
        bare: the unit of numbers without one, or None when the file states none.

    Raises:
        LengthError: not a length, no unit where one is needed, not finite, or beyond `LIMIT`.
    """
    wanted = 'write a length such as 350, "350 mm", "13-3/4 in" or "6 ft 2-1/2 in"'
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise LengthError(wanted)
    if isinstance(value, str):
        text = _plain(value)
        mm = _read_text(text, bare, wanted)
    else:
        if bare is None:
            raise LengthError(
                'the file states no `units`, so write the unit too ("350 mm"), or add units = "mm" or "in"'
            )
        if value != value or value in (float("inf"), float("-inf")):
            raise LengthError("write a finite number")
        mm = float(value) * INCH if bare == "in" else float(value)
    if abs(mm) > LIMIT:
        raise LengthError(f"{mm:.0f} mm is beyond {LIMIT:.0f} mm; check the unit")
    return mm


def _read_text(text: str, bare: Unit | None, wanted: str) -> float:
    match = _METRIC.fullmatch(text)
    if match:
        sign = -1 if match.group(1) == "-" else 1
        return float(sign * Fraction(match.group(2)) * _SCALE[match.group(3).lower()])
    match = _IMPERIAL.fullmatch(text)
    if match and (match.group(2) or match.group(3)):
        sign = -1 if match.group(1) == "-" else 1
        feet = _amount(match.group(2)) if match.group(2) else Fraction(0)
        inches = _amount(match.group(3)) if match.group(3) else Fraction(0)
        return float(sign * (feet * 12 + inches) * Fraction(254, 10))
    match = re.fullmatch(rf"([+-]?)\s*({_MIXED})", text)
    if match:
        if bare is None:
            raise LengthError(f'"{text}" has no unit and the file states no `units`; {wanted}')
        sign = -1 if match.group(1) == "-" else 1
        return float(sign * _amount(match.group(2)) * (Fraction(254, 10) if bare == "in" else 1))
    raise LengthError(wanted)


def write_length(mm: float, unit: Unit, step: float) -> str:
    """Return a length as the shop reads it, rounded to the nearest step.

    Args:
        mm: the length, mm.
        unit: "mm" gives "350" or "350.5"; "in" gives "13-3/4".
        step: rounding in `unit`: 1, 0.5 or 0.1 for mm, a power of two such as 1/16 or 1/32 for inches.
    """
    if unit == "mm":
        steps = round(mm / step)
        places = max(0, len(f"{step:g}".partition(".")[2]))
        return f"{steps * step + 0.0:.{places}f}"
    parts = round(mm / INCH / step)
    value = Fraction(abs(parts)) * Fraction(step)
    whole, rest = divmod(value, 1)
    sign = "-" if parts < 0 else ""
    if rest == 0:
        return f"{sign}{whole}"
    fraction = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole}-{fraction}" if whole else f"{sign}{fraction}"


def write_decimal(mm: float, unit: Unit, places: int) -> str:
    """Return a length in `unit` with a fixed number of decimals."""
    return f"{(mm / INCH if unit == 'in' else mm) + 0.0:.{places}f}"


def shown_step(unit: Unit, *, fine: bool) -> float:
    """Return the rounding of shop sheets: saw lengths to 1 mm or 1/16 in, fine marks to 0.5 mm or 1/32 in."""
    if unit == "mm":
        return 0.5 if fine else 1.0
    return 1 / 32 if fine else 1 / 16
