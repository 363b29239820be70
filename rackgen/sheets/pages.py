"""Pages as data: a station is what one person at one place needs, as blocks in the order they are read.

Paper and screen set the same blocks; nothing here knows a page size.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackgen.sheets.drawing import Drawing
from rackgen.sheets.table import Table


@dataclass(frozen=True)
class Heading:
    """A heading within a station.

    Attributes:
        text: one line.
        new_page: whether it starts a page.
    """

    text: str
    new_page: bool = False


@dataclass(frozen=True)
class Text:
    """A paragraph.

    Attributes:
        text: sentences.
        kind: "body", "caution" in a box with a bar at its side, or "small" for sources and notes.
    """

    text: str
    kind: Literal["body", "caution", "small"] = "body"


@dataclass(frozen=True)
class Ticks:
    """Steps or checks, each with an empty box in front to tick.

    Attributes:
        items: a sentence each.
        numbered: whether their order counts.
    """

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Fields:
    """Boxes to fill in by hand.

    Attributes:
        rows: what is asked, and the value it should have or "" where there is none.
        boxes: headings of the empty boxes of each row: ("measured", "initials").
        title: above them, or "".
        wanted: heading of the column of values.
    """

    rows: tuple[tuple[str, str], ...]
    boxes: tuple[str, ...] = ("measured",)
    title: str = ""
    wanted: str = "should be"


@dataclass(frozen=True)
class Rows:
    """A table as it is.

    Attributes:
        table: its rows; titles and notes are set with it.
        tick: whether every row begins with an empty box to tick.
        below: keys of columns that are set on a line of their own under the row, since they are long.
    """

    table: Table
    tick: bool = False
    below: tuple[str, ...] = ()


@dataclass(frozen=True)
class Figure:
    """A drawing scaled to fit.

    Attributes:
        drawing: what is drawn.
        caption: a line below it.
        height: at most, mm on paper.
        schematic: whether it is out of proportion on purpose, so that the page says "not to scale".
    """

    drawing: Drawing
    caption: str = ""
    height: float = 110.0
    schematic: bool = False


@dataclass(frozen=True)
class Template:
    """A drawing at full size on pages of its own, tiled where it is larger than the page.

    Attributes:
        drawing: at 1:1, mm.
        title: what it is for: mark, part, end.
        notes: sentences printed beside or below it, inside the page.
        files: of the drawing files with the same edge, the names up to "-cut.dxf" and "-marked.dxf".
    """

    drawing: Drawing
    title: str
    notes: tuple[str, ...] = ()
    files: tuple[str, ...] = ()


Block = Heading | Text | Ticks | Fields | Rows | Figure | Template


@dataclass(frozen=True)
class Station:
    """What one person at one place needs.

    Attributes:
        name: file-safe.
        title: for people.
        blocks: in reading order.
    """

    name: str
    title: str
    blocks: tuple[Block, ...]
