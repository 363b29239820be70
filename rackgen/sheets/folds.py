"""The fold sheet: every fold of every bar with its marks from one end, and what says how much goes into it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackgen.parts.hands import called, hands
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.parts.unfold import allowances, named
from rackgen.sheets.flats import flattened
from rackgen.sheets.table import Column, Table
from rackgen.sheets.words import degrees, fine, radii, small
from rackgen.spec.shop import Shop
from rackgen.units import Unit


@dataclass(frozen=True)
class FoldRow:
    """One fold; mm from end A on the flat blank, degrees.

    Attributes:
        mark: of the bar.
        called: what the shop calls it, with its hand.
        quantity: how many bars.
        stock: name on the shelf.
        blank: length of the flat blank along mid-width.
        number: of the fold, from end A.
        angle: how far the bar is turned, positive up.
        radii: inside, in words.
        begins: where the flat before it ends, at the lower edge and at the upper.
        middle: of the fold.
        ends: where the flat behind it begins, at the lower edge and at the upper.
        into: what goes into it at mid-width.
        share: where the neutral line lies, in thicknesses from the inside.
        by: what says so.
    """

    mark: str
    called: str
    quantity: int
    stock: str
    blank: float
    number: int
    angle: float
    radii: str
    begins: tuple[float, float]
    middle: float
    ends: tuple[float, float]
    into: float
    share: float
    by: str


def fold_rows(rack: Rack, shop: Shop) -> tuple[FoldRow, ...]:
    """Return every fold of every distinct bar, in cut-list order, then from end A."""
    distinct = lines(rack)
    sides = hands(distinct)
    out: list[FoldRow] = []
    for line in distinct:
        bar = line.part
        if not isinstance(bar, FoldedBar) or not bar.folds:
            continue
        flat, half = flattened(bar, shop.folding), bar.section.width / 2
        word = called(line.placed[0].word, sides.get(line.mark, ""))
        for i, (fold, into) in enumerate(zip(bar.folds, allowances(bar, shop.folding), strict=True)):
            low, high = flat.limits(i, -half), flat.limits(i, half)
            out.append(
                FoldRow(
                    line.mark,
                    word,
                    len(line.placed),
                    bar.stock.name,
                    flat.length,
                    i + 1,
                    fold.angle,
                    radii(fold, shop.unit),
                    (low[0], high[0]),
                    flat.folds[i][0],
                    (low[1], high[1]),
                    into.length,
                    into.share,
                    named(into),
                )
            )
    return tuple(out)


def folds_table(rows: Iterable[FoldRow], unit: Unit) -> Table:
    """Return the folds as the shop reads them."""
    columns = (
        Column("mark", "mark"),
        Column("part", "part"),
        Column("quantity", "qty", True),
        Column("stock", "stock"),
        Column("blank", f"blank {unit}", True),
        Column("fold", "fold", True),
        Column("angle", "turn"),
        Column("radius", "inside radius"),
        Column("begins", f"begins {unit}", True),
        Column("middle", f"middle {unit}", True),
        Column("ends", f"ends {unit}", True),
        Column("into", f"goes in {unit}", True),
        Column("neutral", "neutral line", True),
        Column("by", "by"),
    )
    made = tuple(
        (
            r.mark,
            r.called,
            str(r.quantity),
            r.stock,
            fine(r.blank, unit),
            str(r.number),
            f"{degrees(abs(r.angle))} {'up' if r.angle > 0 else 'down'}",
            r.radii,
            _edges(r.begins, unit),
            fine(r.middle, unit),
            _edges(r.ends, unit),
            small(r.into, unit),
            f"{r.share:.3f} t",
            r.by,
        )
        for r in rows
    )
    notes = (
        "begins, middle, ends: marks on the flat blank from end A, all from the one end, never from mark to mark",
        "two numbers: at the lower edge / at the upper edge of the marked drawing; scribe straight from the one to the "
        "other",
        "turn: how far the bar is bent out of its straight; up comes toward you on the marked drawing",
        "neutral line: in thicknesses from the inside; by the shop's own test strip where it has folded one",
    )
    return Table("folds", "Folds", columns, made, notes)


def _edges(at: tuple[float, float], unit: Unit) -> str:
    low, high = (fine(v, unit) for v in at)
    return low if low == high else f"{low} / {high}"
