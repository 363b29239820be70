"""What the shop's fit-up gap and weld shrinkage do to lengths and templates. They never reach the solids.

The gap is kept from the header all round. Where a cope meets its header at an angle th the sawn end may move in by
gap / sin th and still leave enough for the whole cope, because no line of a cope moves by less; the template then
stands on that sawn end.
"""

from __future__ import annotations

import math

from rackgen.geom.cope import Cope, End, sawn_back, with_gap


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

    Bearers alone get it: both their ends are welded into a ring that is already closed (common practice, no source).

    Args:
        word: what the shop calls the part.
        end_a: cuts at end A.
        end_b: cuts at end B.
        each: shrinkage of one joint, mm.
    """
    return each * sum(1 for end in (end_a, end_b) if end) if word == "bearer" else 0.0
