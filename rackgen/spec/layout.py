"""A kept layout: where every blank of plate lies on its sheet. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.spec.document import Document


@dataclass(frozen=True)
class KeptBlank:
    """A blank as it was when the layout was made.

    Attributes:
        mark: on the cut list.
        part: what the shop calls it.
        plate: name on the shelf.
        quantity: how many are cut.
        along: length of its box along X of its own drawing, mm.
        across: width of its box, mm.
        shape: a digest of what the table cuts of it.
    """

    mark: str
    part: str
    plate: str
    quantity: int
    along: float
    across: float
    shape: str


@dataclass(frozen=True)
class KeptPiece:
    """One piece in its place: left and lower edge of its box from the sheet's datum corner, mm, and degrees."""

    mark: str
    x: float
    y: float
    angle: float


@dataclass(frozen=True)
class KeptSheet:
    """One sheet or remnant and what lies on it, mm."""

    plate: str
    length: float
    width: float
    fresh: bool
    pieces: tuple[KeptPiece, ...]


@dataclass(frozen=True)
class SheetLayout:
    """A kept layout.

    Attributes:
        document: the file that it stands in, for messages.
        rack: which rack it was made for.
        revision: of that rack then.
        blanks: as they were.
        sheets: in order.
    """

    document: Document
    rack: str
    revision: str
    blanks: tuple[KeptBlank, ...]
    sheets: tuple[KeptSheet, ...]
