"""The file of a kept layout: where every blank of plate lies on its sheet, made once and used by later builds."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.errors import Mistake
from rackgen.spec import limits
from rackgen.spec.document import Document
from rackgen.spec.fields import About, Count, Entries, Length, Number, Reading, Table, Words, YesNo
from rackgen.spec.layout import KeptBlank, KeptPiece, KeptSheet, SheetLayout
from rackgen.units import Unit

Mark = Annotated[str, Words("mark of the blank, as on the cut list")]
Plate = Annotated[str, Words("plate, by its name in the shop's file")]


@dataclass(frozen=True, kw_only=True)
class KeptBlankTable(Table):
    """A blank as it was when the layout was made; nothing here is used but to see whether it has changed."""

    mark: Mark
    part: Annotated[str, Words("what the shop calls it")]
    plate: Plate
    quantity: Annotated[int, Count("how many are cut", 1, 1_000_000)]
    along: Annotated[float, Length("length of its box along X of its own drawing", 0, 15_000)]
    across: Annotated[float, Length("width of its box", 0, 15_000)]
    shape: Annotated[str, Words("a digest of what the table cuts of it")]


@dataclass(frozen=True, kw_only=True)
class KeptPieceTable(Table):
    """One piece in its place."""

    mark: Mark
    x: Annotated[float, Length("from the datum corner along the sheet's length to the left edge of its box", 0, 15_000)]
    y: Annotated[float, Length("from the datum corner across the sheet to the lower edge of its box", 0, 15_000)]
    angle: Annotated[float, Number("by how much it is turned anticlockwise", 0, 360, "degrees")]


@dataclass(frozen=True, kw_only=True)
class KeptSheetTable(Table):
    """One sheet or remnant and what lies on it."""

    plate: Plate
    length: Annotated[float, Length("along X", 10, 15_000)]
    width: Annotated[float, Length("along Y", 10, 15_000)]
    remnant: Annotated[bool, YesNo("true for a remnant at hand, false for a fresh sheet")] = False
    piece: Annotated[tuple[KeptPieceTable, ...], Entries("what lies on it", limits.PARTS, 1)]


@dataclass(frozen=True, kw_only=True)
class LayoutFile(Table):
    """A kept layout."""

    format: Annotated[Literal[1], About("always 1")]
    units: Annotated[Unit, About("of the bare lengths in this file")]
    rack: Annotated[str, Words("which rack it was made for")]
    revision: Annotated[str, Words("of that rack then")]
    blank: Annotated[tuple[KeptBlankTable, ...], Entries("blanks as they were", limits.PARTS, 1)]
    sheet: Annotated[tuple[KeptSheetTable, ...], Entries("sheets and remnants", limits.PARTS, 1)]

    def record(self, document: Document) -> SheetLayout:
        """Return the record."""
        return SheetLayout(
            document,
            self.rack,
            self.revision,
            tuple(KeptBlank(b.mark, b.part, b.plate, b.quantity, b.along, b.across, b.shape) for b in self.blank),
            tuple(
                KeptSheet(
                    s.plate,
                    s.length,
                    s.width,
                    not s.remnant,
                    tuple(KeptPiece(p.mark, p.x, p.y, p.angle) for p in s.piece),
                )
                for s in self.sheet
            ),
        )


def across_layout(document: Document, reading: Reading) -> Iterator[Mistake]:
    """Return blanks that are named twice."""
    seen: set[str] = set()
    for path, blank in document.tables("blank"):
        mark = blank.get("mark")
        if isinstance(mark, str):
            if mark in seen:
                yield document.mistake((*path, "mark"), "this blank stands in the file already", mark)
            seen.add(mark)
