"""The paper that templates are printed on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.units import Unit

PaperSize = Literal["A4", "letter"]

THICKNESS = 0.1
"""Of office paper of 80 g/m² where a shop file does not say, mm (common practice, no source)."""


@dataclass(frozen=True)
class Paper:
    """What templates are printed on.

    Attributes:
        size: of a page.
        thickness: mm; a wrap lies round the tube at half of it above the steel, so its girth is π × (OD + thickness).
    """

    size: PaperSize = "A4"
    thickness: float = THICKNESS


def usual_size(unit: Unit) -> PaperSize:
    """Return the page that shops of a unit have in their printer (common practice, no source)."""
    return "A4" if unit == "mm" else "letter"
