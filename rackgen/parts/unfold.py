"""How much of a bar goes into each of its folds: the one place that every blank, mark and length asks."""

from __future__ import annotations

from dataclasses import dataclass

from rackgen.geom.fold import Fold, din_6935_k, neutral_length
from rackgen.parts.kinds import FoldedBar
from rackgen.spec.folding import Folding
from rackgen.spec.stock import Flat, Stock


@dataclass(frozen=True)
class Into:
    """What goes into a fold.

    Attributes:
        length: of the neutral line, mm.
        share: where it lies, in thicknesses from the inside.
        by: what says so: "test strip", "DIN 6935" or "handbook".
    """

    length: float
    share: float
    by: str


def allowance(fold: Fold, stock: Stock, folding: Folding) -> Into:
    """Return what goes into a fold: by the shop's own strip where one speaks for it, else as the shop reckons.

    A fold with two radii is reckoned by the one at mid-width, where its length is meant too.

    Args:
        fold: of a bar.
        stock: of section `Flat`.
        folding: the shop's.
    """
    section = stock.section
    assert isinstance(section, Flat)
    t, r = section.thickness, fold.middle_radius
    strip = folding.strip_for(t, r, stock.material)
    if strip is not None:
        share, by = strip.share, "test strip"
    elif folding.method == "handbook":
        share, by = folding.handbook_k, "handbook"
    else:
        share, by = din_6935_k(r, t) / 2, "DIN 6935"
    return Into(neutral_length(fold, t, share, section.width), share, by)


def allowances(bar: FoldedBar, folding: Folding) -> tuple[Into, ...]:
    """Return what goes into each fold of a bar, in order from end A."""
    return tuple(allowance(fold, bar.stock, folding) for fold in bar.folds)


def blank_length(bar: FoldedBar, folding: Folding) -> float:
    """Return the length of the flat blank along mid-width, mm: flats and what goes into the folds."""
    return sum(bar.flats) + sum(into.length for into in allowances(bar, folding))


def named(into: Into) -> str:
    """Return what an allowance is by, as sheets name it: with the handbook goes its constant."""
    return f"handbook K {into.share:.3f}" if into.by == "handbook" else into.by
