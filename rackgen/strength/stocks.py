"""What the members of a frame are made of, and the wall that their strength stands on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.registry import number
from rackgen.refs.strengths import Strengths, check_known, strength_of, weakest
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Stock
from rackgen.strength.model import FrameModel

_WALLS: tuple[tuple[str, str], ...] = (
    # The first whose word stands in the grade decides; EN 10219's counts for every other tube.
    ("dom", "wall-drawn"),
    ("drawn", "wall-drawn"),
    ("type 5", "wall-drawn"),
    ("a500", "wall-a500"),
    ("a53", "wall-a500"),
    ("a513", "wall-a513"),
)


@dataclass(frozen=True)
class Wall:
    """The wall that a tube's strength stands on: mm, what it is in words, and how far that may be trusted."""

    wall: float
    words: str
    source: str
    tag: str


def design_wall(stock: Stock, wall: float) -> Wall:
    """Return the wall that a tube's strength stands on: what its standard lets the mill leave.

    Args:
        stock: its grade says the standard.
        wall: nominal, mm.
    """
    name = stock.grade.lower()
    share = number(next((key for word, key in _WALLS if re.search(rf"(?<![a-z]){word}(?![a-z0-9])", name)), "wall-en"))
    return Wall(wall * share.value, f"{share.value:g} of the nominal wall", share.cited, share.tag)


def part_of(rack: Rack) -> dict[PartId, BentTube | FoldedBar | CutPlate]:
    """Return the parts of a rack that are made in the shop, by id."""
    return {p.id: p.part for p in rack.placed if isinstance(p.part, BentTube | FoldedBar | CutPlate)}


def strengths(model: FrameModel, rack: Rack, shop: Shop) -> dict[PartId, Strengths]:
    """Return the strength of every part that is a member of the frame.

    Raises:
        RackgenError: a grade is not known; all of them at once.
    """
    parts = part_of(rack)
    wanted = {m.part for m in model.members if m.kind in ("tube", "bar", "plate") and m.part in parts}
    # A certificate stands in the shop's file; parts that are equal in the cut list may have come from another reading.
    shelf = {s.name: s for s in shop.stock}
    stocks = {p: shelf.get(parts[p].stock.name, parts[p].stock) for p in sorted(wanted)}
    check_known(stocks.values())
    return {p: strength_of(s) for p, s in stocks.items()}


def trust(strong: dict[PartId, Strengths], used: set[PartId], *more: str) -> str:
    """Return the tag of the weakest figure among the parts that are used and more tags."""
    return weakest([strong[p].tag for p in sorted(used)] + list(more))


def cited(strong: dict[PartId, Strengths], used: set[PartId], *more: str) -> str:
    """Return the sources of formulas and strengths, each once."""
    return "; ".join(dict.fromkeys([*more, *(strong[p].source for p in sorted(used))]))
