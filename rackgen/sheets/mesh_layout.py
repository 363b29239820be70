"""Panels of expanded metal and perforated sheet on their sheets, for shear or disc: every cut goes right through.

A sheet lies with the long way of its diamonds along X, and that of a panel is kept; perforated sheet is alike both
ways, and its panels lie across it where only so they fit. Panels are cut off in strips: either strips across the
sheet's whole width, each then parted along, or strips along its whole length, each then parted across. Sizes are taken
from the last cut edge, so that what a disc takes away does not add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackgen.errors import NestError
from rackgen.sheets.flats import Blank
from rackgen.sheets.nest_fit import NEAR, lies_across, panel_extent, panel_fits
from rackgen.sheets.nest_place import meshes
from rackgen.sheets.nest_records import Leftover
from rackgen.sheets.words import fine
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Expanded, Panel
from rackgen.units import Unit

DISC = 3.0
"""Kept between panels for a disc's cut, mm (common practice, no source); a shear takes nothing."""


@dataclass(frozen=True)
class MeshPanel:
    """A panel's box on its sheet; mm, from the datum corner, the sheet's length along X.

    Attributes:
        mark: of the panel.
        number: which of the panels of that mark.
        x: of its left edge.
        y: of its lower edge.
        along: its size along X.
        across: its size along Y.
        turned: by a quarter, as perforated sheet may be.
    """

    mark: str
    number: int
    x: float
    y: float
    along: float
    across: float
    turned: bool = False

    @property
    def edges(self) -> tuple[float, float, float, float]:
        """Left, lower, right and upper edge, mm."""
        return self.x, self.y, self.x + self.along, self.y + self.across


@dataclass(frozen=True)
class MeshSheet:
    """One sheet.

    Attributes:
        number: among those of its stock, from 1.
        length: along the long way, mm.
        width: across it, mm.
        diamonds: whether it is expanded metal, whose long way is kept.
        panels: in the order of cutting.
        cuts: every cut in words, in order.
        left: the larger piece that stays whole, or None.
    """

    number: int
    length: float
    width: float
    diamonds: bool
    panels: tuple[MeshPanel, ...]
    cuts: tuple[str, ...]
    left: Leftover | None


@dataclass(frozen=True)
class MeshNest:
    """Everything of one expanded metal.

    Attributes:
        mesh: name on the shelf.
        sheets: in order.
        left_out: marks of panels that are bigger than the sheet, one for each panel.
    """

    mesh: str
    sheets: tuple[MeshSheet, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class _Piece:
    blank: Blank
    number: int
    first: float
    second: float


def mesh_nests(flat: Sequence[Blank], shop: Shop) -> tuple[MeshNest, ...]:
    """Return every panel of expanded metal on its sheet.

    Raises:
        NestError: panels overlap, are lost or lie over the edge; a mistake of this program.
    """
    out: list[MeshNest] = []
    for name, group in meshes(flat, shop).items():
        section = next(stock.section for stock in shop.stock if stock.name == name)
        assert isinstance(section, Panel)
        fitting = [b for b in group if panel_fits(b, section)]
        ways = [_strips(fitting, section, shop.unit, lengthwise) for lengthwise in (False, True)]
        best = min(ways, key=lambda sheets: (len(sheets), -max((_left(s) for s in sheets), default=0.0)))
        left_out = sorted(b.mark for b in group if b not in fitting for _ in range(b.quantity))
        made = MeshNest(name, best, tuple(left_out))
        _check(made, group)
        out.append(made)
    return tuple(out)


def _left(sheet: MeshSheet) -> float:
    return 0.0 if sheet.left is None else sheet.left.length * sheet.left.width


def _strips(blanks: Sequence[Blank], section: Panel, unit: Unit, lengthwise: bool) -> tuple[MeshSheet, ...]:
    """Return sheets cut in strips, the longest first; `first` is what a strip takes of the sheet."""
    pieces: list[_Piece] = []
    for blank in blanks:
        along, across = panel_extent(blank, section)
        first, second = (across, along) if lengthwise else (along, across)
        pieces += [_Piece(blank, k + 1, first, second) for k in range(blank.quantity)]
    pieces.sort(key=lambda p: (-p.first, -p.second, p.blank.mark, p.number))
    depth, breadth = (section.width, section.length) if lengthwise else (section.length, section.width)
    sheets: list[list[list[_Piece]]] = []
    for piece in pieces:
        if not _joined(sheets, piece, breadth):
            room = [s for s in sheets if sum(strip[0].first + DISC for strip in s) + piece.first <= depth + NEAR]
            if room:
                room[0].append([piece])
            else:
                sheets.append([[piece]])
    return tuple(_sheet(k + 1, s, section, unit, lengthwise) for k, s in enumerate(sheets))


def _joined(sheets: Sequence[Sequence[list[_Piece]]], piece: _Piece, breadth: float) -> bool:
    """Put a piece into the first strip that has room for it, if any."""
    for sheet in sheets:
        for strip in sheet:
            if sum(p.second + DISC for p in strip) + piece.second <= breadth + NEAR:
                strip.append(piece)
                return True
    return False


def _sheet(number: int, strips: Sequence[Sequence[_Piece]], section: Panel, unit: Unit, lengthwise: bool) -> MeshSheet:
    panels: list[MeshPanel] = []
    cuts: list[str] = []
    way, over = ("long", "short") if lengthwise else ("short", "long")
    length, width = section.length, section.width
    depth, breadth = (width, length) if lengthwise else (length, width)

    def said(mm: float) -> str:
        return f"{fine(mm, unit)} {unit}"

    at = 0.0
    for strip in strips:
        deep = strip[0].first
        names = ", ".join(f"{p.blank.mark}.{p.number}" for p in strip)
        if deep < depth - at - NEAR:
            cuts.append(f"right through the sheet along the {way} way, {said(deep)} from its edge: a strip for {names}")
        run = 0.0
        for piece in strip:
            name = f"{piece.blank.mark}.{piece.number}"
            place = (run, at) if lengthwise else (at, run)
            size = (piece.second, piece.first) if lengthwise else (piece.first, piece.second)
            panels.append(MeshPanel(piece.blank.mark, piece.number, *place, *size, lies_across(piece.blank, section)))
            if piece.second < breadth - run - NEAR:
                cuts.append(f"that strip along the {over} way, {said(piece.second)} from its edge: {name}")
            if piece.first < deep - NEAR:
                cuts.append(f"{name} along the {way} way, {said(piece.first)} from its edge")
            run += piece.second + DISC
        at += deep + DISC
    end = depth - at
    rest = [(end * breadth, at, 0.0, end, breadth)] if end > NEAR else []
    begin = 0.0
    for strip in strips:
        run = sum(p.second + DISC for p in strip)
        if breadth - run > NEAR:
            rest.append(((breadth - run) * strip[0].first, begin, run, strip[0].first, breadth - run))
        begin += strip[0].first + DISC
    left = None
    if rest:
        _, first, second, deep, wide = max(rest)
        left = Leftover(second, first, wide, deep) if lengthwise else Leftover(first, second, deep, wide)
    return MeshSheet(number, length, width, isinstance(section, Expanded), tuple(panels), tuple(cuts), left)


def _check(nest: MeshNest, group: Sequence[Blank]) -> None:
    counted = sorted([*(p.mark for s in nest.sheets for p in s.panels), *nest.left_out])
    if counted != sorted(b.mark for b in group for _ in range(b.quantity)):
        raise NestError(f"{nest.mesh}: panels are lost")
    for sheet in nest.sheets:
        for k, panel in enumerate(sheet.panels):
            left, low, right, high = panel.edges
            if min(left, low, sheet.length - right, sheet.width - high) < -NEAR:
                raise NestError(f"{nest.mesh}: {panel.mark} lies over the edge of sheet {sheet.number}")
            for other in sheet.panels[:k]:
                a, b, c, d = other.edges
                if min(right, c) - max(left, a) > -DISC + NEAR and min(high, d) - max(low, b) > -DISC + NEAR:
                    raise NestError(f"{nest.mesh}: {panel.mark} and {other.mark} are nearer than a disc is wide")
