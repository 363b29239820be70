"""Bend sheets: where the marks of each distinct bent tube go, and how far each bend is set.

Every place is a running dimension from the sawn end that goes into the clamp first, none is chained. A bend uses up its
arc less what it stretches, where a test bend has measured that; set angles come from the test bend, else from the
closed form for the grade's yield strength.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from rackgen.errors import Finding, Level
from rackgen.geom import bent_wall, spine
from rackgen.geom.spine import Spine
from rackgen.parts.bend_order import first_end, turned_round
from rackgen.parts.kinds import BentTube, TubeHole
from rackgen.parts.marks import Line, lines
from rackgen.parts.rack import Rack
from rackgen.refs.grades import yield_strength
from rackgen.refs.registry import number
from rackgen.sheets.allowance import taken_off
from rackgen.sheets.seam import Seam, seam
from rackgen.spec.shop import Die, Shop
from rackgen.spec.stock import Stock


@dataclass(frozen=True)
class BendMark:
    """One bend; places from the sawn end along the straight tube, mm.

    Attributes:
        number: from the end that is bent first, from 1.
        feed: straight from the sawn end, or from the bend before.
        turn: of the bend's plane from the bend before, degrees in (-180, 180], clockwise as seen from that end.
        clock: the line of the tube that comes inside the bend, degrees in [0, 360).
        angle: finished, degrees.
        set_angle: to set so that it springs back to `angle`, degrees; None when nothing tells.
        band: least and largest set angle that shops see, degrees.
        start: where it starts.
        middle: of the tube that it uses up.
        end: where it ends.
        mark: what is marked on the tube for this die, or None when the shop does not say.
    """

    number: int
    feed: float
    turn: float
    clock: float
    angle: float
    set_angle: float | None
    band: tuple[float, float]
    start: float
    middle: float
    end: float
    mark: float | None


@dataclass(frozen=True)
class HoleMark:
    """One hole.

    Attributes:
        at: from the sawn end along the straight tube, mm.
        clock: degrees, as the bends' clocks.
        diameter: mm.
        purpose: "vent", "drain" or "plug weld".
        after: whether it is drilled after bending: it lies in a bend, or behind one whose stretch is not measured.
    """

    at: float
    clock: float
    diameter: float
    purpose: str
    after: bool


@dataclass(frozen=True)
class BendSheet:
    """The sheet of one distinct bent tube; mm and degrees.

    Attributes:
        mark: of the tube.
        word: what the shop calls it.
        quantity: how many.
        stock: to saw it from.
        die: that bends it, or None.
        clr: of its bends; the die's where there is one.
        end: which end of the tube goes into the clamp first; all places are from it.
        cut: length to saw: trim counted in, stretch taken off where it was measured.
        trim: on each end, sawn off after bending.
        stretch: by how much its bends lengthen it, None when not measured.
        springback: degrees that a bend of 90 finished is set beyond 90; None when nothing tells.
        springback_from: "test bend", "estimate" or "" when nothing tells.
        source: of the estimate's yield strength.
        bends: in order from the end.
        holes: in order from the end.
        seam: where a weld seam goes.
        thinning: of the wall outside the tightest bend, %.
        ends: cuts at the end that is bent first and at the other, made after bending; True where there are any.
    """

    mark: str
    word: str
    quantity: int
    stock: Stock
    die: Die | None
    clr: float
    end: Literal["A", "B"]
    cut: float
    trim: float
    stretch: float | None
    springback: float | None
    springback_from: Literal["test bend", "estimate", ""]
    source: str
    bends: tuple[BendMark, ...]
    holes: tuple[HoleMark, ...]
    seam: Seam
    thinning: float
    ends: tuple[bool, bool]


def bend_sheets(rack: Rack, shop: Shop) -> tuple[tuple[BendSheet, ...], tuple[Finding, ...]]:
    """Return a sheet for every distinct bent tube in cut-list order, and a note for what the shop has not measured."""
    bent = [line for line in lines(rack) if isinstance(line.part, BentTube) and line.part.spine.bends]
    return tuple(bend_sheet(line, shop) for line in bent), _unmeasured(bent, shop)


def bend_sheet(line: Line, shop: Shop) -> BendSheet:
    """Return the sheet of one bent tube.

    Args:
        line: equal tubes with at least one bend.
        shop: for die, trim and allowances.
    """
    part, word = line.part, line.placed[0].word
    assert isinstance(part, BentTube)
    die, trim = shop.die_for(part.section.od), shop.trim_of(word)
    end: Literal["A", "B"] = first_end(part, die, trim) if die else "A"
    if end == "B":
        part = turned_round(part)
    measured = die.measured_for(part.stock.name) if die else None
    each = measured.elongation if measured else None
    outer = part.section.od / 2
    before, behind = (trim - taken_off(cuts, word, outer, shop) for cuts in (part.end_a, part.end_b))
    back, back_from, source = springback(part, die)
    bends = bend_marks(part.spine, before, each or 0.0, back, die)
    return BendSheet(
        mark=line.mark,
        word=word,
        quantity=len(line.placed),
        stock=part.stock,
        die=die,
        clr=min(b.clr for b in part.spine.bends),
        end=end,
        cut=bends[-1].end + part.spine.straights[-1] + behind,
        trim=trim,
        stretch=None if each is None else each * sum(b.angle for b in bends) / 90,
        springback=back,
        springback_from=back_from,
        source=source,
        bends=bends,
        holes=tuple(_hole(h, part.spine, before, bends, known=each is not None) for h in part.holes),
        seam=seam(tuple((b.clock, b.angle) for b in bends), tuple(h.clock for h in part.holes)),
        thinning=bent_wall.thinning(min(b.clr for b in part.spine.bends), part.section.od),
        ends=(bool(part.end_a), bool(part.end_b)),
    )


def bend_marks(line: Spine, before: float, stretch: float, back: float | None, die: Die | None) -> tuple[BendMark, ...]:
    """Return the marks of a centreline's bends.

    Args:
        line: from the end that is bent first.
        before: what is sawn beyond the centreline's begin, mm.
        stretch: of a bend of 90 deg, mm.
        back: degrees that a bend of 90 is set beyond 90, or None.
        die: for what its mark means, or None.
    """
    low, high = number("springback-least").value, number("springback-most").value
    out: list[BendMark] = []
    at, clock = before, 0.0
    for straight, bend in zip(line.straights, line.bends, strict=False):
        feed = straight + (before if not out else 0.0)
        start = at + straight
        used = spine.arc_length(bend) - stretch * bend.angle / 90
        clock = (clock + bend.turn) % 360.0
        share = bend.angle / 90
        out.append(
            BendMark(
                number=len(out) + 1,
                feed=feed,
                turn=bend.turn if out else 0.0,
                clock=clock,
                angle=bend.angle,
                set_angle=None if back is None else bend.angle + back * share,
                band=(bend.angle + low * share, bend.angle + high * share),
                start=start,
                middle=start + used / 2,
                end=start + used,
                mark=_marked(die, start, used),
            )
        )
        at = start + used
    return tuple(out)


def _marked(die: Die | None, start: float, used: float) -> float | None:
    if die is None or die.mark_at is None:
        return None
    match die.mark_at:
        case "start":
            return start
        case "centre":
            return start + used / 2
        case "die mark":
            assert die.die_mark_offset is not None, "the reader of shop files sees to it"
            return start - die.die_mark_offset


def springback(part: BentTube, die: Die | None) -> tuple[float | None, Literal["test bend", "estimate", ""], str]:
    """Return the springback of a bend of 90 deg in degrees, what it is from, and the source of the yield strength."""
    measured = die.measured_for(part.stock.name).springback if die else None
    if measured is not None:
        return measured, "test bend", ""
    strength = yield_strength(part.stock.grade)
    if strength is None or part.stock.material != "steel":
        return None, "", ""
    clr, section = part.spine.bends[0].clr, part.section
    share = bent_wall.springback(section.od, section.wall, clr, strength.value, number("modulus-steel").value)
    return 90 * share, "estimate", f"{strength.value:g} MPa, {strength.cited}"


def _hole(hole: TubeHole, line: Spine, before: float, bends: tuple[BendMark, ...], *, known: bool) -> HoleMark:
    """Return a hole's place on the straight tube; within a bend it lies as far along as along the arc."""
    at, along = before + hole.at, 0.0
    after = False
    for straight, bend, mark in zip(line.straights, line.bends, bends, strict=False):
        along += straight
        arc, used = spine.arc_length(bend), mark.end - mark.start
        into = hole.at - along
        after = after or 0 < into < arc or (into > 0 and not known)
        at -= (arc - used) * min(1.0, max(0.0, into / arc))
        along += arc
    return HoleMark(at, hole.clock, hole.diameter, hole.purpose, after)


def _unmeasured(bent: Iterable[Line], shop: Shop) -> tuple[Finding, ...]:
    """Return a note for every die and tube whose data the shop's file lacks."""
    lacking: dict[tuple[str, str], tuple[list[str], tuple[str, ...]]] = {}
    for line in bent:
        part = line.part
        assert isinstance(part, BentTube)
        die = shop.die_for(part.section.od)
        if die is None:
            continue
        measured = die.measured_for(part.stock.name)
        data = (
            ("springback", measured.springback),
            ("elongation", measured.elongation),
            ("what a mark means", die.mark_at),
            ("how much room the bender takes up", die.keep_clear),
        )
        lacks, parts = [what for what, value in data if value is None], tuple(p.id for p in line.placed)
        if lacks:
            key = (die.name, part.stock.name)
            lacking[key] = (lacks, lacking.get(key, ([], ()))[1] + parts)
    return tuple(
        Finding(
            "die-unmeasured",
            Level.NOTE,
            parts,
            f"die {die} with {tube}: the shop's file lacks {', '.join(lacks)}",
            keys=("die.measured", "die.mark_at", "die.keep_clear"),
            help="make a test bend from an offcut as the sheet test-bend says, before the first tube is cut",
        )
        for (die, tube), (lacks, parts) in lacking.items()
    )
