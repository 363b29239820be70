"""One plain palette for pictures and solids: what a part is told by its colour."""

from __future__ import annotations

from collections.abc import Mapping
from typing import assert_never

from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part
from rackgen.spec.stock import Panel

Colour = tuple[float, float, float]
"""Red, green, blue, 0 to 1."""

COLOURS: Mapping[str, Colour] = {
    "tube": (0.36, 0.45, 0.53),
    "bar": (0.76, 0.56, 0.26),
    "plate": (0.55, 0.62, 0.44),
    "mesh": (0.78, 0.78, 0.74),
    "bought": (0.62, 0.33, 0.29),
}
"""Slate tube, ochre bar, moss plate, pale expanded metal, brick bought parts; apart in lightness too."""


def colour(part: Part) -> Colour:
    """Return the colour of a part by how it is made."""
    match part:
        case BentTube():
            return COLOURS["tube"]
        case FoldedBar():
            return COLOURS["bar"]
        case CutPlate():
            return COLOURS["mesh" if isinstance(part.stock.section, Panel) else "plate"]
        case Bought():
            return COLOURS["bought"]
        case _:
            assert_never(part)
