"""Whether bar can be folded as it is described: on its radius, and in a die that its legs reach across."""

from __future__ import annotations

import math

from rackgen.check.bending import NOISE
from rackgen.errors import Finding, Level
from rackgen.geom.fold import Fold
from rackgen.parts.fold_radius import least_radius
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.rack import Placed
from rackgen.parts.unfold import allowances
from rackgen.refs.registry import number
from rackgen.spec.folding import Folding
from rackgen.spec.shop import Shop

FORMER = 3.0
"""A fold whose radius is more than its die's opening over this is made over a former, not pressed into a die (common
practice, no source)."""


def fold_findings(placed: Placed, part: FoldedBar, shop: Shop) -> list[Finding]:
    """Return folds that are too tight for their metal, and legs too short to lie across the die."""
    out = [found for fold in part.folds if (found := _tight(placed, part, fold)) is not None]
    return [*out, *_legs(placed, part, shop.folding), *_untried(placed, part, shop.folding)]


def _tight(placed: Placed, part: FoldedBar, fold: Fold) -> Finding | None:
    t, radius = part.section.thickness, fold.tightest
    least, source = least_radius(part.stock, t, abs(fold.angle))
    if radius >= least - NOISE:
        return None
    where = " at its tighter edge" if fold.far_radius is not None else ""
    return Finding(
        "fold-tight",
        Level.LOOK,
        (placed.id,),
        f"{placed.word}, {t:g} mm thick, is folded on {radius:g} mm inside radius{where}, not {least:g}",
        at=placed.frame.origin,
        got=radius,
        limit=least,
        source=source,
        help=f"fold it on {least:g} mm or more, or use a thinner bar",
    )


def _untried(placed: Placed, part: FoldedBar, folding: Folding) -> list[Finding]:
    """Return folds without a test strip of their own, in a shop that wants one for each."""
    if folding.method != "test strip":
        return []
    return [
        Finding(
            "no-test-strip",
            Level.LOOK,
            (placed.id,),
            f"{placed.word} is folded on {fold.middle_radius:g} mm inside radius, {part.section.thickness:g} mm thick, "
            f"and the shop has no test strip of that; its blank goes by {into.by}",
            keys=("folding.strip",),
            help="fold a strip as the sheet test-strip says, before the blank is cut",
        )
        for fold, into in zip(part.folds, allowances(part, folding), strict=True)
        if into.by != "test strip"
    ]


def _legs(placed: Placed, part: FoldedBar, folding: Folding) -> list[Finding]:
    """Hold every leg to half the die's opening along its slope: shorter ones slip into the die."""
    t, width = part.section.thickness, part.section.width
    out: list[Finding] = []
    usual = number("die-opening")
    wanted = usual.value * t
    least = number("die-opening-least")
    for i, fold in enumerate(part.folds):
        own = [v for v in folding.openings if v >= least.value * t - NOISE]
        opening = min(own, default=max(folding.openings, default=wanted))
        if fold.inside_radius > opening / FORMER:
            continue
        if folding.openings and not own:
            out.append(
                Finding(
                    "die-narrow",
                    Level.LOOK,
                    (placed.id,),
                    f"{placed.word}, {t:g} mm thick, is folded in a die {opening:g} mm wide, not {least.value * t:g}",
                    got=opening,
                    limit=least.value * t,
                    source=least.cited,
                    keys=("folding.openings",),
                    help="press it in a wider die, or use a thinner bar",
                )
            )
        half = math.radians(abs(fold.angle)) / 2
        need = opening / 2 / math.cos(half)
        setback = (fold.tightest + t) * math.tan(half)
        for k, end in ((i, part.end_a), (i + 1, part.end_b)):
            slope = abs(math.tan(math.radians(end.skew))) * width / 2 if k in (0, len(part.flats) - 1) else 0.0
            leg = part.flats[k] - slope + setback
            if leg < need - NOISE:
                whose = "its own die" if folding.openings else f"a die {usual.value:g} thicknesses wide"
                out.append(
                    Finding(
                        "leg-short",
                        Level.LOOK,
                        (placed.id,),
                        f"a leg of {placed.word} is {leg:.1f} mm long outside; {whose}, {opening:g} mm, "
                        f"needs {need:.1f}",
                        at=placed.frame.origin,
                        got=leg,
                        limit=need,
                        source="" if folding.openings else usual.cited,
                        keys=("folding.openings",) if folding.openings else (),
                        help=f"make it {need - leg:.1f} mm longer and cut it back after folding, or fold it in a vice",
                    )
                )
    return out
