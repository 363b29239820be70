"""Wraps: the developed edge of a coped tube end, to go round its outside or to steer a rotary cutting table.

A wrap is seen from outside the tube, sawn end down, the tube going up. X is the girth, π × OD, from the line at clock 0
back to the same line; Y is the height above the sawn end as the cut list has it, fit-up gap included. At end A clocks
run to the right. End B is looked at from the other way, so there they run to the left; drawn the other way round the
paper would have to go on inside out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rackgen.geom.cope import Cope, End, heights, wrap_heights
from rackgen.geom.frame import Array
from rackgen.parts.hands import called, hands
from rackgen.parts.kinds import BentTube
from rackgen.parts.marks import lines
from rackgen.parts.rack import Rack
from rackgen.sheets.allowance import gapped
from rackgen.sheets.words import end_words, size
from rackgen.spec.shop import Shop
from rackgen.units import Unit, write_decimal, write_length

Points = tuple[tuple[float, float], ...]

STEP = 0.025
"""Clock step of the curves before they are thinned, degrees."""

CHORD = 0.004
"""How far a thinned curve may stray from the exact one, mm."""


@dataclass(frozen=True)
class Wrap:
    """The wrap of one coped end.

    Attributes:
        mark: of the tube.
        end: which of its ends.
        word: what the shop calls the tube, with its hand.
        quantity: how many ends are cut to it.
        stock: name on the shelf.
        girth: π × OD, mm.
        template: what a torch square to the wall follows; from x = 0 to x = girth, first and last height equal.
        outside: the outside curve, what a hole saw leaves on the OD; same ends.
        clocks: x and clock of the quarter lines; clock 0 stands at both edges.
        waste: height of the template's lowest place, mm: the tube's own longest line is shorter by it than the saw cut.
        top: height of its highest place, mm.
        label: who it is for, in words.
    """

    mark: str
    end: Literal["A", "B"]
    word: str
    quantity: int
    stock: str
    girth: float
    template: Points
    outside: Points
    clocks: tuple[tuple[float, float], ...]
    waste: float
    top: float
    label: tuple[str, ...]


def wraps(rack: Rack, shop: Shop) -> tuple[Wrap, ...]:
    """Return the wrap of every coped end of every distinct tube, in cut-list order."""
    out: list[Wrap] = []
    distinct = lines(rack)
    sides = hands(distinct)
    for line in distinct:
        if not isinstance(line.part, BentTube):
            continue
        names: tuple[Literal["A"], Literal["B"]] = ("A", "B")
        word = called(line.placed[0].word, sides.get(line.mark, ""))
        for name in names:
            end = line.part.end_a if name == "A" else line.part.end_b
            if any(isinstance(cut, Cope) for cut in end):
                out.append(_wrap(line.mark, name, word, len(line.placed), line.part, end, shop))
    return tuple(out)


def _wrap(mark: str, name: Literal["A", "B"], word: str, quantity: int, tube: BentTube, end: End, shop: Shop) -> Wrap:
    section = tube.section
    girth = math.pi * section.od
    outside, template = developed(end, section.od, section.wall, name, shop.fit_up_gap)
    quarters = tuple((girth * k / 4, (90.0 * k if name == "A" else 360.0 - 90.0 * k) % 360.0) for k in range(5))
    waste = min(y for _, y in template)
    words = (
        f"{mark} end {name}: {word}, {quantity} off, {tube.stock.name}",
        f"{end_words(end, shop.unit)}; fit-up gap {_small(shop.fit_up_gap, shop.unit)} is in it",
        f"seen from outside, sawn end down; edges meet on the line at clock 0, {_zero_line(tube)}",
        f"waste at the ears {_small(waste, shop.unit)}; the groove left there is the weld groove",
        f"girth {size(girth, 'mm')} mm" + (f" ({write_decimal(girth, 'in', 3)} in)" if shop.unit == "in" else ""),
    )
    top = max(y for _, y in template)
    return Wrap(
        mark, name, word, quantity, tube.stock.name, girth, template, outside, quarters, waste, top, words
    )  # fmt: skip


def _zero_line(tube: BentTube) -> str:
    """Return in words what fixes clock 0 on the tube."""
    if tube.spine.bends:
        return "the inside of the first bend"
    if tube.end_a and tube.end_b:
        return "shared with the other end"
    return "any line along the tube"


def _small(mm: float, unit: Unit) -> str:
    return f"{write_length(mm, 'mm', 0.1)} mm" if unit == "mm" else f"{write_length(mm, 'in', 1 / 64)} in"


def developed(end: End, od: float, wall: float, name: Literal["A", "B"], gap: float) -> tuple[Points, Points]:
    """Return the outside curve and the wrap template of an end, developed on its girth, mm.

    Args:
        end: the cuts, heights counted from the sawn end of the solid.
        od: of the tube, mm.
        wall: of the tube, mm.
        name: which end; clocks run to the right at A and to the left at B.
        gap: the shop's fit-up gap, mm.
    """
    cuts = gapped(end, gap)
    clock = np.linspace(0.0, 360.0, round(360 / STEP) + 1)
    seen = clock if name == "A" else 360.0 - clock
    x = math.pi * od * clock / 360.0
    out: list[Points] = []
    for y in (heights(cuts, od / 2, seen), wrap_heights(cuts, od / 2 - wall, od / 2, seen)):
        y[-1] = y[0]
        out.append(tuple((float(a), float(b)) for a, b in thinned(np.column_stack([x, y]), CHORD)))
    return out[0], out[1]


def thinned(points: Array, deviation: float) -> Array:
    """Return the fewest of the points that the whole line keeps within `deviation` mm of, ends kept.

    Args:
        points: shape (n, 2), mm.
        deviation: mm.
    """
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        start, chord = points[first], points[last] - points[first]
        inner = points[first + 1 : last] - start
        along = np.clip(inner @ chord / max(float(chord @ chord), 1e-30), 0.0, 1.0)
        off = np.linalg.norm(inner - along[:, None] * chord, axis=1)
        k = int(np.argmax(off))
        if off[k] > deviation:
            keep[first + 1 + k] = True
            spans += [(first, first + 1 + k), (first + 1 + k, last)]
    return points[keep]
