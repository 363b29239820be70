"""From which end a tube is bent, and what of it stands in the bender's way meanwhile.

The end that is bent first goes into the clamp; the tube is then drawn on through the bender, so that whatever is bent
already stands ahead of the die and swings round with it, always equally far from the die's centre.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Literal

import numpy as np

from rackgen.geom import cope, spine
from rackgen.geom.frame import turn
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import BentTube
from rackgen.spec.shop import Die

STEP = 2.0
"""Distance between the places of a tube that are held against the bender, mm."""


def turned_round(part: BentTube) -> BentTube:
    """Return the same tube described from its end B, its last bend toward clock 0.

    Clocks are lines along the tube: what stood at c stands at (clock of the last bend - c) afterwards.
    """
    line, total = part.spine, spine.length(part.spine)
    last = sum(b.turn for b in line.bends)
    turns = [0.0, *(b.turn for b in reversed(line.bends[1:]))]
    bends = tuple(Bend(b.angle, b.clr, t) for b, t in zip(reversed(line.bends), turns, strict=False))

    def cuts(end: cope.End) -> cope.End:
        return tuple(cope.turned(cope.mirrored(c), last) for c in end)

    holes = (dataclasses.replace(h, at=total - h.at, clock=(last - h.clock) % 360.0) for h in part.holes)
    return dataclasses.replace(
        part,
        spine=Spine(line.straights[::-1], bends),
        end_a=cuts(part.end_b),
        end_b=cuts(part.end_a),
        holes=tuple(sorted(holes, key=lambda h: (h.at, h.clock))),
    )


def near_bender(line: Spine, trim: float) -> tuple[float, ...]:
    """Return for each bend but the first how near the tube bent before comes to the die's centre, mm, to its axis.

    The straight between the bend and the one before it is left out: it lies in the clamp.

    Args:
        line: the centreline, bent from its begin.
        trim: what stands beyond its begin until after bending, mm.
    """
    arcs = [p for p in spine.pieces(line) if p.bend is not None]
    out: list[float] = []
    for before, piece in itertools.pairwise(arcs):
        assert piece.bend is not None
        centre = piece.frame.then(turn((1, 0, 0), piece.bend.turn)).point((0.0, 0.0, piece.bend.clr))
        end = before.start + before.length
        places = np.linspace(-trim, end, max(2, math.ceil((end + trim) / STEP) + 1))
        out.append(float(np.linalg.norm(spine.points_at(line, places) - np.asarray(centre), axis=1).min()))
    return tuple(out)


def first_end(part: BentTube, die: Die, trim: float) -> Literal["A", "B"]:
    """Return the end to bend first: A, unless from B less stands in the bender's way or too little straight is less.

    Args:
        part: a bent tube.
        die: that bends it.
        trim: on each end until after bending, mm.
    """

    def trouble(line: Spine) -> tuple[float, float]:
        lacks = [max(0.0, die.clamp - s) for s in (line.straights[0] + trim, *line.straights[1:-1])]
        lacks.append(max(0.0, die.tail - line.straights[-1] - trim))
        keep = die.keep_clear
        reach = 0.0 if keep is None else sum(in_way(d, part.section.od, keep) for d in near_bender(line, trim))
        return round(reach, 2), round(sum(lacks), 2)

    return "B" if trouble(turned_round(part).spine) < trouble(part.spine) else "A"


def in_way(distance: float, od: float, keep_clear: float) -> float:
    """Return how deep a tube whose axis comes within `distance` of the die's centre stands in the bender, mm."""
    return max(0.0, keep_clear - (distance - od / 2))
