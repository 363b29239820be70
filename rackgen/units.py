"""The only place where inches exist: read a length as a person types it, write it as a shop reads it.

Inside rackgen every length is in millimetres. 1 in is 25.4 mm exactly (international inch, ISO 80000-3).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
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
_LONGEST = 60
"""Characters of the longest text that is looked at: no length on a drawing is longer."""
_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_MIXED = rf"(?:\d+[- ]\d+ ?/ ?\d+|\d+ ?/ ?\d+|{_NUMBER})"
_METRIC = re.compile(rf"([+-]?) ?({_NUMBER}) ?(mm|cm|m)", re.IGNORECASE)
_FEET = r" ?(?:ft\.?|feet|foot|')"
_INCHES = r" ?(?:inches|inch|in\.?|\")"
_IMPERIAL = re.compile(
    rf"([+-]?) ?(?:({_MIXED}){_FEET}(?: ?-? ?({_MIXED}){_INCHES})?|({_MIXED}){_INCHES})", re.IGNORECASE
)
_BARE = re.compile(rf"([+-]?) ?({_MIXED})")
_SCALE = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}

Quantity = Literal["mass", "torque", "mass per area", "speed", "stress"]

_POUND = Fraction(45359237, 10**8)
"""kg, exactly (international avoirdupois pound, 1959)."""
_FOOT = Fraction(3048, 10**4)
_MILE = Fraction(1609344, 10**6)
"""km, exactly: 5,280 ft of 0.3048 m (international foot, 1959)."""
_POUND_FOOT = _POUND * Fraction(980665, 10**5) * _FOOT
"""N·m, exactly, with standard gravity 9.80665 m/s² (3rd CGPM, 1901)."""
_KSI = 1000 * _POUND * Fraction(980665, 10**5) / Fraction(254, 10) ** 2
"""N/mm², exactly."""
_KINDS: Mapping[Quantity, tuple[str, Mapping[str, Fraction]]] = MappingProxyType(
    {
        "mass": ('write kilograms such as 120, "120 kg" or "265 lb"', {"kg": Fraction(1), "lb": _POUND}),
        "torque": (
            'write newton metres such as 12, "12 N m" or "9 lb-ft"',
            {"nm": Fraction(1), **dict.fromkeys(("lbft", "ftlb", "lbfft", "ftlbf"), _POUND_FOOT)},
        ),
        "mass per area": (
            'write kilograms a square metre such as 2.64, "2.64 kg/m2" or "0.80 lb/ft2"',
            {"kg/m2": Fraction(1), "lb/ft2": _POUND / _FOOT**2},
        ),
        "speed": (
            'write a speed with its unit, "110 km/h" or "70 mph"',
            {**dict.fromkeys(("km/h", "kmh", "kph"), Fraction(1)), "mph": _MILE},
        ),
        "stress": (
            'write megapascals such as 235, "235 MPa", "235 N/mm2" or "36 ksi"',
            {"mpa": Fraction(1), "n/mm2": Fraction(1), "ksi": _KSI},
        ),
    }
)


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
        LengthError: the fraction has a zero denominator, or stands behind a whole number without being under one.
    """
    match = re.fullmatch(r"(?:(\d+)[- ])?(\d+) ?/ ?(\d+)", text)
    if not match:
        return Fraction(text)
    whole, over, under = (int(part or 0) for part in match.groups())
    if under == 0:
        raise LengthError(f'"{text}" divides by zero')
    if match.group(1) and over >= under:
        raise LengthError(f'the fraction in "{text}" is not less than one')
    return whole + Fraction(over, under)


def read_length(value: object, bare: Unit | None) -> float:
    """Return a length in mm from a number or from text with its own unit.

    Args:
        value: an int or float in the file's unit, or text such as "1-3/4 in", "350 mm", "6 ft 2-1/2 in".
        bare: the unit of numbers without one, or None when the file states none.

    Raises:
        LengthError: not a length, no unit where one is needed, not finite, or beyond `LIMIT`.
    """
    if isinstance(value, float) and bare == "mm" and abs(value) <= LIMIT:
        # As typed, and by far the commonest: the way through fractions gives the same.
        return value
    if isinstance(value, str):
        exact = _read_text(_plain(value), bare)
    else:
        exact = _exact(value, _WANTED)
        if bare is None:
            raise LengthError(
                'the file states no `units`, so write the unit too ("350 mm"), or add units = "mm" or "in"'
            )
        exact *= _per(bare)
    if abs(exact) > LIMIT:
        raise LengthError(f"that is beyond {LIMIT:.0f} mm; check the unit")
    return float(exact)


_WANTED = 'write a length such as 350, "350 mm", "13-3/4 in" or "6 ft 2-1/2 in"'


def _per(unit: Unit) -> Fraction:
    return Fraction(254, 10) if unit == "in" else Fraction(1)


def _exact(value: object, wanted: str) -> Fraction:
    """Return the number as it was typed, so that 0.120 and "0.120 in" are the same length to the last bit."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise LengthError(wanted)
    if isinstance(value, int):
        return Fraction(value)
    if not math.isfinite(value):
        raise LengthError("write a finite number")
    return Fraction(repr(value))


def _read_text(text: str, bare: Unit | None) -> Fraction:
    if len(text) > _LONGEST:
        raise LengthError(_WANTED)
    if match := _METRIC.fullmatch(text):
        sign, number, unit = match.groups()
        return _signed(sign, Fraction(number) * _SCALE[unit.lower()])
    if match := _IMPERIAL.fullmatch(text):
        sign, feet, rest, inches = match.groups()
        total = _amount(feet or "0") * 12 + _amount(rest or inches or "0")
        return _signed(sign, total * Fraction(254, 10))
    if match := _BARE.fullmatch(text):
        if bare is None:
            raise LengthError(f'"{text}" has no unit and the file states no `units`; {_WANTED}')
        return _signed(match.group(1), _amount(match.group(2)) * _per(bare))
    if re.search(r"\d,\d", text):
        raise LengthError(f"write a decimal point, not a comma; {_WANTED}")
    raise LengthError(_WANTED)


def _signed(sign: str, size: Fraction) -> Fraction:
    return -size if sign == "-" else size


def read_quantity(value: object, quantity: Quantity) -> float:
    """Return a mass in kg, torque in N·m, mass per area in kg/m², speed in km/h or stress in MPa.

    It is read from a number or from text with its unit. A bare number is in those units whatever the file's lengths are
    in; a speed needs its unit, for 70 is said of both km/h and mph.

    Raises:
        LengthError: not such a quantity, or not finite.
    """
    wanted, scale = _KINDS[quantity]
    if not isinstance(value, str):
        if quantity == "speed":
            raise LengthError(wanted)
        exact = _exact(value, wanted)
    else:
        text = _plain(value).replace("²", "2")
        match = re.fullmatch(rf"({_NUMBER}) ?(\S.*)", text) if len(text) <= _LONGEST else None
        unit = re.sub(r"[ ·.*-]", "", match.group(2)).lower() if match else ""
        if match is None or unit not in scale:
            raise LengthError(wanted)
        exact = Fraction(match.group(1)) * scale[unit]
    if abs(exact) > LIMIT:
        raise LengthError(f"that is too much to be true; {wanted}")
    return float(exact)


def write_length(mm: float, unit: Unit, step: float) -> str:
    """Return a length as the shop reads it, rounded to the nearest step.

    Args:
        mm: the length, mm.
        unit: "mm" gives "350", with a step of 0.5 "350.0" or "350.5"; "in" gives "13-3/4".
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
    # Rounded first, then + 0.0, so that nothing is written as "-0.0".
    return f"{round(mm / INCH if unit == 'in' else mm, places) + 0.0:.{places}f}"


def shown_step(unit: Unit, *, fine: bool) -> float:
    """Return the rounding of shop sheets: totals and stock to 1 mm or 1/16 in, what is sawn and marked to half that."""
    if unit == "mm":
        return 0.5 if fine else 1.0
    return 1 / 32 if fine else 1 / 16
