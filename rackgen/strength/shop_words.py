"""Forces, moments, stresses and lengths in the shop's unit: in an inch shop pounds, with the SI figure behind them."""

from __future__ import annotations

import re

from rackgen.sheets.words import POUND, POUND_FOOT, small
from rackgen.strength.model import GRAVITY
from rackgen.units import INCH, Unit

POUND_FORCE = POUND * GRAVITY
"""N, exactly."""

KSI = POUND_FORCE * 1000 / INCH**2
"""Thousand pounds a square inch in MPa."""

_FACTORS = {
    "kN": (1000.0 / POUND_FORCE, "lb"),
    "N": (1.0 / POUND_FORCE, "lb"),
    "kN·m": (1000.0 / POUND_FOOT, "lb-ft"),
    "N·m": (1.0 / POUND_FOOT, "lb-ft"),
    "N·mm": (0.001 / POUND_FOOT, "lb-ft"),
    "N/mm": (INCH / POUND_FORCE, "lb/in"),
    "MPa": (1.0 / KSI, "ksi"),
    "Pa": ((INCH * 12 / 1000) ** 2 / POUND_FORCE, "lb/ft2"),
    "kg": (1.0 / POUND, "lb"),
    "km/h": (1.0 / 1.609344, "mph"),
    "mm": (1.0 / INCH, "in"),
    "m": (1000.0 / INCH / 12, "ft"),
}
_NUMBER = r"\d+(?:[ ,]\d{3})*(?:\.\d+)?"
_UNITS = "|".join(sorted(_FACTORS, key=len, reverse=True))
_FIGURE = re.compile(rf"(?<![\w.])({_NUMBER}(?: (?:×|to) {_NUMBER})*) ?({_UNITS})(?![\w·/²³⁴])")


def in_shop_words(text: str, unit: Unit) -> str:
    """Return words with every SI figure in pounds and inches, the SI figure behind it, in an inch shop."""
    if unit == "mm":
        return text

    def both(found: re.Match[str]) -> str:
        factor, name = _FACTORS[found.group(2)]
        turned = re.sub(_NUMBER, lambda n: _turned(n.group(), factor), found.group(1))
        return f"{turned} {name} ({found.group()})"

    return _FIGURE.sub(both, text)


def _turned(number: str, factor: float) -> str:
    return three_figures(float(re.sub("[ ,]", "", number)) * factor)


def three_figures(value: float) -> str:
    """Return a number to three figures, without an exponent."""
    if value == 0.0:
        return "0"
    size = abs(value) * (1 + 1e-9)
    places = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3
    return f"{value:.{places}f}"


def moved(mm: float, unit: Unit) -> str:
    """Return a movement with its unit."""
    return f"{small(mm, unit)} {unit}"


def moment(newton_mm: float, unit: Unit) -> str:
    """Return a moment with its unit."""
    return f"{newton_mm / 1000:.0f} N·m" if unit == "mm" else f"{newton_mm / 1000 / POUND_FOOT:.0f} lb-ft"


def stress(mpa: float, unit: Unit) -> str:
    """Return a stress with its unit."""
    return f"{mpa:.0f} MPa" if unit == "mm" else f"{mpa / KSI:.1f} ksi ({mpa:.0f} MPa)"
