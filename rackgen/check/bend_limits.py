"""Whether a bend is kinder to the tube than the usual limits, and whether its earlier bends pass the bender."""

from __future__ import annotations

from rackgen.errors import Finding, Level
from rackgen.geom.bent_wall import thinning
from rackgen.parts.bend_order import first_end, in_way, near_bender, turned_round
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Placed
from rackgen.refs.registry import number, table
from rackgen.spec.shop import Die

NOISE = 0.05
"""Lengths that miss their limit by less are not spoken of, mm."""


def least_clr(od: float, wall: float) -> float | None:
    """Return the usual least bend radius without a mandrel, mm, or None for a wall too thin for the rule.

    Args:
        od: outside diameter, mm.
        wall: mm.
    """
    ratio = round(od / wall)
    return next((times * od for most, times in sorted(table("least-clr").rows) if ratio <= most), None)


def limit_findings(placed: Placed, part: BentTube, die: Die, trim: float) -> list[Finding]:
    """Return tight radii, thin walls, and bends that run into the bender.

    Args:
        placed: the tube in its place.
        part: the tube; it has a bend.
        die: that bends it.
        trim: on each end until after bending, mm.
    """
    return _tight(placed, part) + _thin(placed, part) + _in_the_way(placed, part, die, trim)


def _tight(placed: Placed, part: BentTube) -> list[Finding]:
    od, wall = part.section.od, part.section.wall
    clr, rule = min(b.clr for b in part.spine.bends), table("least-clr")
    least = least_clr(od, wall)
    if least is None:
        ratio, most = od / wall, max(row[0] for row in rule.rows)
        return [
            Finding(
                "wall-thin-to-bend",
                Level.NOTE,
                (placed.id,),
                f"{placed.word}: OD over wall is {ratio:.1f}; the rule for bending without a mandrel ends at {most:g}",
                at=placed.frame.origin,
                got=ratio,
                limit=most,
                unit="",
                source=rule.cited,
                keys=("tube", "die"),
                help=f"make the test bend before anything is cut, or take a wall of {od / most:.1f} mm",
            )
        ]
    if clr >= least - NOISE:
        return []
    return [
        Finding(
            "clr-tight",
            Level.LOOK,
            (placed.id,),
            f"{placed.word}: CLR {clr:g} mm is {clr / od:.1f} times its OD of {od:g} mm; without a mandrel "
            f"{least / od:g} times is usual for a wall of {wall:g} mm",
            at=placed.frame.origin,
            got=clr,
            limit=least,
            source=rule.cited,
            keys=("die", "tube"),
            help=f"use a die of CLR {least:.0f} mm or more, a thicker wall, or a mandrel",
        )
    ]


def _thin(placed: Placed, part: BentTube) -> list[Finding]:
    od, limit = part.section.od, number("bend-thinning")
    lost = thinning(min(b.clr for b in part.spine.bends), od)
    if lost <= limit.value + 1e-9:
        return []
    return [
        Finding(
            "bend-thins-wall",
            Level.LOOK,
            (placed.id,),
            f"{placed.word}: the wall outside its bends gets {lost:.1f} % thinner",
            at=placed.frame.origin,
            got=lost,
            limit=limit.value,
            unit="%",
            source=limit.cited,
            keys=("die", "tube"),
            help=f"use a die of CLR {2 * od:.0f} mm or more, which thins it {thinning(2 * od, od):.0f} %",
        )
    ]


def _in_the_way(placed: Placed, part: BentTube, die: Die, trim: float) -> list[Finding]:
    keep, od = die.keep_clear, part.section.od
    if keep is None:
        return []
    end = first_end(part, die, trim)
    line = part.spine if end == "A" else turned_round(part).spine
    out: list[Finding] = []
    for count, distance in enumerate(near_bender(line, trim), 2):
        if in_way(distance, od, keep) > NOISE:
            gap = distance - od / 2
            out.append(
                Finding(
                    "bend-hits-bender",
                    Level.LOOK,
                    (placed.id,),
                    f"{placed.word}: at bend {count} from end {end} the tube bent before comes within {gap:.0f} mm of "
                    f"the die's centre; the bender takes up {keep:g} mm",
                    at=placed.frame.origin,
                    got=gap,
                    limit=keep,
                    source="the shop's file",
                    keys=("die.keep_clear",),
                    help="try it with an offcut, leave more straight between the bends, or make it of two butted parts",
                )
            )
    return out
