"""Whether the shop can bend and saw a tube: die, clamp and tail, straights between bends, stick, its own end cuts."""

from __future__ import annotations

import numpy as np

from rackgen.check.bend_limits import NOISE, limit_findings
from rackgen.errors import Finding, Level
from rackgen.geom.cope import deepest, heights
from rackgen.geom.frame import Vec
from rackgen.geom.spine import Spine, length
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed
from rackgen.spec.shop import Die, Shop

LEAST_LINE = 1.0
"""Shortest line of steel that a stub may keep between its two ends, mm."""


def bending_findings(placed: Placed, part: BentTube, shop: Shop) -> list[Finding]:
    """Return what the shop cannot bend, saw or cope as the tube is described."""
    out = _stick(placed, part, shop) + _ends(placed, part)
    if not part.spine.bends:
        return out
    die = shop.die_for(part.section.od)
    if die is None:
        have = ", ".join(f"{d.tube_od:g}" for d in shop.dies) or "none"
        return [
            *out,
            Finding(
                "no-die",
                Level.STOP,
                (placed.id,),
                f"{placed.word} is bent from {part.section.od:g} mm tube; the shop has dies for {have}",
                at=placed.frame.origin,
                keys=("dies",),
                help="choose a tube that a die takes, or add the die to the shop file",
            ),
        ]
    return [
        *out,
        *_radii(placed, part, die),
        *_straights(placed, part.spine, die, shop.trim_of(placed.word)),
        *limit_findings(placed, part, die, shop.trim_of(placed.word)),
    ]


def _radii(placed: Placed, part: BentTube, die: Die) -> list[Finding]:
    wrong = [b.clr for b in part.spine.bends if abs(b.clr - die.clr) > NOISE]
    if not wrong:
        return []
    return [
        Finding(
            "other-radius",
            Level.STOP,
            (placed.id,),
            f"{placed.word} is bent on a radius of {wrong[0]:g} mm; die {die.name} bends {die.clr:g} mm",
            at=placed.frame.origin,
            got=wrong[0],
            limit=die.clr,
            keys=("dies",),
            help=f"bend it on CLR {die.clr:g} mm",
        )
    ]


def shortages(spine: Spine, die: Die, trim: float) -> list[tuple[int, float, float, str]]:
    """Return which straights are too short to bend the tube from its better end.

    Args:
        spine: the centreline.
        die: clamp before the first and between bends, tail after the last.
        trim: what stands beyond each sawn end until after bending, mm.

    Returns:
        Number of the straight counted from end A, what there is, what is needed, mm, and what needs it.
    """
    between = [(i, s, die.clamp, "the clamp") for i, s in enumerate(spine.straights[1:-1], 1) if s < die.clamp - NOISE]
    last = len(spine.straights) - 1
    tries: list[list[tuple[int, float, float, str]]] = []
    for first, other in ((0, last), (last, 0)):
        ends = ((first, die.clamp, "the clamp"), (other, die.tail, "the pressure die's tail"))
        tries.append(
            [
                (i, spine.straights[i] + trim, need, what)
                for i, need, what in ends
                if spine.straights[i] + trim < need - NOISE
            ]
        )
    return between + min(tries, key=lambda short: sum(need - have for _, have, need, _ in short))


def _straights(placed: Placed, spine: Spine, die: Die, trim: float) -> list[Finding]:
    out: list[Finding] = []
    for i, have, need, what in shortages(spine, die, trim):
        end = i in (0, len(spine.straights) - 1)
        where = f"its straight {i + 1} from end A"
        with_trim = f", {trim:g} mm of trim counted in" if end else ""
        out.append(
            Finding(
                "clamp-short",
                Level.STOP,
                (placed.id,),
                f"{placed.word}: {where} is {have:.1f} mm{with_trim}; {what} of die {die.name} needs {need:g} mm",
                at=placed.frame.origin,
                got=have,
                limit=need,
                keys=("trim",) if end else (),
                help=f"leave {need - have:.0f} mm more "
                + ("trim there and saw it off after bending" if end else "between the bends"),
            )
        )
    return out


def _stick(placed: Placed, part: BentTube, shop: Shop) -> list[Finding]:
    if not part.stock.stick:
        return []
    need = length(part.spine) + (2 * shop.trim_of(placed.word) if part.spine.bends else 0.0)
    usable = part.stock.stick - 2 * shop.saw.end_trim
    if need <= usable + NOISE:
        return []
    return [too_long(placed, need, usable)]


def too_long(placed: Placed, need: float, usable: float) -> Finding:
    """Return the finding that a part does not come out of its stick; lengths in mm."""
    return Finding(
        "longer-than-stick",
        Level.STOP,
        (placed.id,),
        f"{placed.word} needs {need:.0f} mm; a stick of its stock gives {usable:.0f} mm between its trimmed ends",
        at=placed.frame.origin,
        got=need,
        limit=usable,
        keys=("stock", "saw.end_trim"),
        help="make it in two pieces butted over a sleeve, or buy longer sticks",
    )


def _ends(placed: Placed, part: BentTube) -> list[Finding]:
    """Return ends that reach into one another or into a bend."""
    inner, outer = part.fitted.od / 2 - part.fitted.wall, part.fitted.od / 2
    if not part.spine.bends:
        phi = np.arange(0.0, 360.0, 0.5)
        over = max(
            float(np.max(heights(part.end_a, rho, phi) + heights(part.end_b, rho, phi))) for rho in (inner, outer)
        )
        left = length(part.spine) - over
        return [_short(placed, left)] if left < LEAST_LINE else []
    out: list[Finding] = []
    for end, cuts, straight in (
        ("A", part.end_a, part.spine.straights[0]),
        ("B", part.end_b, part.spine.straights[-1]),
    ):
        if cuts and deepest(cuts, inner, outer) > straight + NOISE:
            out.append(_in_bend(placed, end, deepest(cuts, inner, outer), straight))
    return out


def _short(placed: Placed, left: float) -> Finding:
    return Finding(
        "stub-short",
        Level.STOP,
        (placed.id,),
        f"the cuts at both ends of {placed.word} leave {left:.1f} mm of steel on its shortest line",
        at=placed.frame.origin,
        got=left,
        limit=LEAST_LINE,
        help=f"make it at least {LEAST_LINE - left:.0f} mm longer: lift what it carries",
    )


def _in_bend(placed: Placed, end: str, deep: float, straight: float) -> Finding:
    at: Vec = placed.frame.origin
    return Finding(
        "cope-in-bend",
        Level.STOP,
        (placed.id,),
        f"the cope at end {end} of {placed.word} is {deep:.1f} mm deep; only {straight:.1f} mm there are straight",
        at=at,
        got=straight,
        limit=deep,
        help=f"leave {deep - straight:.0f} mm more straight, or bend it elsewhere",
    )
