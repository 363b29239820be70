"""The paper: its sizes, its margins, and what stands at the head and the foot of every page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from rackgen.export.paper.fonts import fitted, width
from rackgen.export.paper.ink import Ink, baseline
from rackgen.sheets.stamp import Stamp
from rackgen.units import Unit

Paper = Literal["A4", "letter"]

SIZES: Mapping[Paper, tuple[float, float]] = MappingProxyType({"A4": (210.0, 297.0), "letter": (215.9, 279.4)})
"""Width and height, mm: ISO 216 and ANSI/ASME Y14.1."""

MARGIN = 10.0
"""Round every page, mm: more than any office printer leaves white (common practice, no source)."""

HEAD = 15.0
FOOT = 6.0
STATE = 13.0
"""Size of the rack's state where it is not cleared, points."""

BANNER = 9.0
"""Room for it, mm."""


@dataclass(frozen=True)
class Sheet:
    """A page's size and the part of it that is free for blocks, mm from its lower left corner."""

    wide: float
    high: float
    left: float
    right: float
    bottom: float
    top: float

    @property
    def room(self) -> float:
        """Width that is free, mm."""
        return self.right - self.left

    @property
    def depth(self) -> float:
        """Height that is free, mm."""
        return self.top - self.bottom


@dataclass(frozen=True)
class Page:
    """A page.

    Attributes:
        sheet: its size.
        title: of its station.
        chapter: the station that begins here, or "".
        paint: everything on it but head and foot.
    """

    sheet: Sheet
    title: str
    chapter: str
    paint: tuple[Callable[[Ink], None], ...]


def state(stamp: Stamp, room: float) -> str:
    """Return the rack's state in one line of big letters no longer than `room` mm, nothing when it is cleared."""
    if stamp.state == "cleared":
        return ""
    if not stamp.stops:
        return "NOT CHECKED"
    for shown in range(len(stamp.stops), 0, -1):
        more = len(stamp.stops) - shown
        said = f"NOT CLEARED: {', '.join(stamp.stops[:shown])}" + (f" and {more} more" if more else "")
        if width(said, STATE, bold=True) <= room:
            return said
    return fitted(f"NOT CLEARED: {len(stamp.stops)} stops", STATE, room, bold=True)


def sheet(paper: Paper, *, banner: bool, landscape: bool = False) -> Sheet:
    """Return the pages of a paper, with or without room for the rack's state."""
    wide, high = SIZES[paper]
    if landscape:
        wide, high = high, wide
    top = high - MARGIN - HEAD - (BANNER if banner else 0.0)
    return Sheet(wide, high, MARGIN, wide - MARGIN, MARGIN + FOOT, top)


def dress(ink: Ink, page: Page, stamp: Stamp, unit: Unit, title: str, number: int, of: int) -> None:
    """Paint the head and the foot of a page."""
    s = page.sheet
    y = s.high - MARGIN
    revision = f"revision {stamp.revision}"
    ink.text(s.right, y - 3.2, revision, 9, align="right")
    ink.text(s.right, y - 9.6, f"units: {unit}", 9, align="right")
    ink.text(s.left, y - 3.2, fitted(stamp.rack, 9, s.room - width(revision, 9) - 6), 9)
    ink.text(s.left, y - 10.2, fitted(page.title, 14, s.room - 30, bold=True), 14, bold=True)
    ink.line(s.left, y - HEAD + 2, s.right, y - HEAD + 2, 0.4)
    said = state(stamp, s.room - 6)
    if said:
        high = BANNER - 2.5
        ink.box(s.left, y - HEAD - high, s.room, high, 0, fill=0.0)
        ink.text(s.left + 3, baseline(y - HEAD, STATE, high), said, STATE, bold=True, grey=1.0)
    foot = MARGIN
    ink.line(s.left, foot + 4, s.right, foot + 4, 0.18)
    count = f"page {number} of {of}"
    ink.text(s.right, foot, count, 9, align="right")
    below = [stamp.program, title]
    if stamp.waived:
        below.append(f"{len(stamp.waived)} {'waiver' if len(stamp.waived) == 1 else 'waivers'} in force")
    ink.text(s.left, foot, fitted(" · ".join(t for t in below if t), 8, s.room - width(count, 9) - 6), 8)
