"""What a rack carries its load on and between: kinds of basket, floors and sides that are asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.geom.outline import Contour

BasketKind = Literal["basket", "tray", "deck", "bars"]
"""Two rings and uprights; one ring alone; slats between two side rails; nothing: the frame's cross bars carry."""

FloorKind = Literal["expanded metal", "slats", "perforated sheet", "none"]

SLAT_GAP = 60.0
"""Clear between two slats where the rack file does not say, mm (common practice, no source)."""


@dataclass(frozen=True)
class FloorWish:
    """The floor.

    Attributes:
        kind: what it is made of; what stock, `BasketWish.floor` says.
        gap: clear between two slats, at most, mm.
    """

    kind: FloorKind = "expanded metal"
    gap: float = SLAT_GAP


@dataclass(frozen=True)
class Motif:
    """A picture to be cut out of a plate, read from a drawing.

    Attributes:
        name: of the drawing's file.
        contours: closed, mm; one within another is an island that stays, and so on inward.
    """

    name: str
    contours: tuple[Contour, ...]


@dataclass(frozen=True)
class SidesWish:
    """The sides of a basket.

    Attributes:
        mid_rail: between the rings: a third ring, rails between neighbouring uprights, or None.
        slots: whether side plates get slots for straps; None where they do unless something else is cut in them.
        text: cut through the side plates.
        letter_height: of the text's capitals, mm; None as high as there is room for.
        bridge: width of the metal that holds the islands of letters and pictures, mm; None by the table's kerf.
        motif: a picture cut through the side plates.
        motif_length: how long it is on the plate, mm; None as drawn.
    """

    mid_rail: Literal["ring", "rails"] | None = None
    slots: bool | None = None
    text: str | None = None
    letter_height: float | None = None
    bridge: float | None = None
    motif: Motif | None = None
    motif_length: float | None = None

    @property
    def plain(self) -> bool:
        """Whether nothing but slots is cut through side plates."""
        return self.text is None and self.motif is None

    @property
    def with_slots(self) -> bool:
        """Whether side plates get slots for straps."""
        return self.plain if self.slots is None else self.slots
