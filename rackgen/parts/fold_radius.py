"""How tightly bar of a grade may be folded cold: what builders fold it on, and what checks hold folds to."""

from __future__ import annotations

import math
import re

from rackgen.refs.registry import least_fold_radius, number, table
from rackgen.spec.stock import Flat, Sheet, Stock

MILD = 390.0
"""Tensile strength up to which a fold's radius is held against DIN 6935's first column, MPa; for grades unknown too."""

TENSILE = (("s275", 410.0), ("s355", 510.0), ("e355", 490.0))
"""Least tensile strength by grade, MPa: EN 10025-2 up to 3 mm and EN 10305-3 (from memory)."""

SHARP = 120.0
"""A fold farther round than this takes DIN 6935's next larger radius, degrees."""


def least_radius(stock: Stock, thickness: float, angle: float) -> tuple[float, str]:
    """Return the least inside radius of a cold fold, mm, and where that is from.

    Args:
        stock: its material and grade decide.
        thickness: mm.
        angle: how far it is turned, degrees, unsigned.
    """
    grade = " ".join(stock.grade.lower().split())
    if stock.material == "aluminium":
        if re.search(r"\b6061\b", grade):
            found = number("fold-6061" if thickness <= 3.2 else "fold-6061-thick")
            return found.value * thickness, found.cited
        return thickness, "common practice, no source"
    if stock.material != "steel":
        return thickness, "common practice, no source"
    for word, name in (("a36", "fold-a36"), ("a572", "fold-a572")):
        if re.search(rf"\b{word}\b", grade):
            return number(name).value * thickness, number(name).cited
    tensile = next((mpa for word, mpa in TENSILE if word in grade), MILD)
    found = least_fold_radius(thickness, tensile, sharp=angle > SHARP)
    if found is None:
        beyond = number("fold-a36")
        return beyond.value * thickness, beyond.cited
    return found, table("din-6935-radius").cited


def folded_on(stock: Stock, angle: float = 90.0) -> float:
    """Return the inside radius that a flat bar or sheet is folded on: the least of its grade, not under its thickness.

    Args:
        stock: flat bar or sheet.
        angle: how far it is turned, degrees, unsigned.

    Returns:
        A radius in mm, on the half millimetre.
    """
    section = stock.section
    assert isinstance(section, Flat | Sheet)
    least, _ = least_radius(stock, section.thickness, angle)
    return math.ceil(2 * max(least, section.thickness) - 1e-9) / 2
