"""Left and right: parts that are mirror images of one another, named by the side they stand on as the driver sits.

A part that is its own mirror image, by turning it round or over, has no hand, on whichever side it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Literal

from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.kinds import Bought
from rackgen.parts.marks import Line, Mark
from rackgen.parts.measure import centroid, mass

Hand = Literal["left", "right"]

MIDDLE = 1.0
"""A part whose centre of mass is nearer to the vehicle's middle than this stands on no side, mm."""


SAME_MASS = 1e-5
"""Mirror images differ by less in their masses, as a share: what snapping of numbers may leave."""


def twins(lines: Iterable[Line]) -> Mapping[Mark, Mark]:
    """Return, for every mark whose mirror image is another mark's part, that other mark."""
    made = [(line, mass(line.part)) for line in lines if not isinstance(line.part, Bought)]
    marks = {line.part: line.mark for line, _ in made}
    out: dict[Mark, Mark] = {}
    for line, own in made:
        # Mirror images weigh the same, so that most parts need not be mirrored at all.
        if any(other is not line and math.isclose(kg, own, rel_tol=SAME_MASS) for other, kg in made):
            twin = marks.get(canonical(mirror(line.part))[0], line.mark)
            if twin != line.mark:
                out[line.mark] = twin
    return out


def called(word: str, hand: str) -> str:
    """Return what a part is called with its hand: "saddle, left"."""
    return f"{word}, {hand}" if hand else word


def hands(lines: Iterable[Line]) -> Mapping[Mark, Hand]:
    """Return which marks are left and which are right, as the driver sits.

    Only of mirror images, and only where all of the one stand left and all of the other right of the vehicle's middle.
    """
    known = {line.mark: line for line in lines}
    found = twins(known.values())
    sides: dict[Mark, Hand | None] = {mark: _side(known[mark]) for mark in found}
    out: dict[Mark, Hand] = {}
    for mark, side in sides.items():
        if side is not None and sides[found[mark]] not in (None, side):
            out[mark] = side
    return out


def _side(line: Line) -> Hand | None:
    across = [placed.frame.point(centroid(placed.part))[1] for placed in line.placed]
    if all(y < -MIDDLE for y in across):
        return "left"
    return "right" if all(y > MIDDLE for y in across) else None
