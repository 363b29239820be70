"""What fit-up gap, weld shrinkage and the stretch of bends do to lengths and templates. They never reach the solids.

The gap is kept from the header all round. Where a cope meets its header at an angle th the sawn end may move in by
gap / sin th and still leave enough for the whole cope, because no line of a cope moves by less; the template then
stands on that sawn end.
"""

from __future__ import annotations

import math

from rackgen.geom.cope import Cope, End, long_point, sawn_back, with_gap
from rackgen.parts.kinds import BentTube
from rackgen.spec.shop import Shop


def move_in(end: End, gap: float) -> float:
    """Return how far the fit-up gap lets the sawn end move into the tube, mm; 0 where anything but copes cuts it."""
    if not end or not all(isinstance(cut, Cope) for cut in end):
        return 0.0
    return min(gap / math.sin(math.radians(cut.angle)) for cut in end if isinstance(cut, Cope))


def gapped(end: End, gap: float) -> End:
    """Return the cuts with the fit-up gap in every cope, as seen from the sawn end that has moved in for it.

    Planes seat on a face and keep no gap.
    """
    by = move_in(end, gap)
    return tuple(sawn_back(with_gap(cut, gap) if isinstance(cut, Cope) else cut, by) for cut in end)


def shrinkage(word: str, end_a: End, end_b: End, each: float) -> float:
    """Return what is added to a tube for the shrinkage of its welds, mm.

    Bearers, and slats of tube that stand in for them, alone get it: both their ends are welded into a ring that is
    already closed (common practice, no source).

    Args:
        word: what the shop calls the part.
        end_a: cuts at end A.
        end_b: cuts at end B.
        each: shrinkage of one joint, mm.
    """
    return each * sum(1 for end in (end_a, end_b) if end) if word in ("bearer", "slat") else 0.0


def taken_off(end: End, word: str, outer: float, shop: Shop) -> float:
    """Return by how much a tube is sawn shorter at one end than its centreline says, mm; negative where longer.

    Args:
        end: cuts at that end.
        word: what the shop calls the part.
        outer: the tube's outside radius, mm.
        shop: for its fit-up gap and weld shrinkage.
    """
    # Cuts that take something all round leave a longest line shorter than the spine.
    waste = max(0.0, long_point(end, outer))
    return waste + move_in(end, shop.fit_up_gap) - shrinkage(word, end, (), shop.weld_shrinkage)


def stretch(part: BentTube, shop: Shop) -> float | None:
    """Return by how much its bends lengthen a tube, mm, from a test bend; 0 without bends, None when not measured."""
    if not part.spine.bends:
        return 0.0
    die = shop.die_for(part.section.od)
    each = die.measured_for(part.stock.name).elongation if die else None
    return None if each is None else each * sum(b.angle for b in part.spine.bends) / 90
