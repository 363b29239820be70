"""The checks that use most, in words: one line for a place and its mirrored twin."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from rackgen.strength.rated import Used

TEN = 10

NEAR = 2.0
"""Twins mirror each other's places to this, mm."""

ALIKE = 0.005
"""And use alike to this share."""

BOTH = "both sides"

_SIDE = re.compile(r"[ ,]*(?<![\w.])(?:left|right)(?: side)?(?![\w.\[])")


def most_used(used: Sequence[Used], count: int = TEN) -> tuple[Used, ...]:
    """Return the most used checks: each kind once a part, at its worst place; left and right twins said as one.

    Args:
        used: most used first.
        count: how many at most.
    """
    out: list[Used] = []
    seen: set[tuple[str, str]] = set()
    for one in used:
        key = one.limit, one.parts[0] if one.parts else one.what
        twin = next((k for k, other in enumerate(out) if _twins(one, other)), None)
        if twin is not None:
            if BOTH not in out[twin].what:
                first = out[twin]
                parts = tuple(dict.fromkeys((*first.parts, *one.parts)))
                out[twin] = replace(first, what=f"{_SIDE.sub('', first.what)}, {BOTH}", parts=parts)
        elif key not in seen:
            out.append(one)
        seen.add(key)
        if len(out) > count:
            break
    return tuple(out[:count])


def _twins(one: Used, other: Used) -> bool:
    """Return whether two checks are of one kind, at mirrored places beside the middle, and use alike."""
    if one.limit != other.limit or abs(one.use - other.use) > ALIKE * max(abs(one.use), abs(other.use)):
        return False
    (ax, ay, az), (bx, by, bz) = one.at, other.at
    return abs(ay) > NEAR and max(abs(ax - bx), abs(ay + by), abs(az - bz)) <= NEAR
