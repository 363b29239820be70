"""Where the knee braces of a bed frame land on its rails, and what they take up there; mm along the rail."""

from __future__ import annotations

from collections.abc import Sequence

from rackgen.design.choose import Choice
from rackgen.design.seat import Carrier
from rackgen.spec.rack import FrameWish

LONGEST = 250.0
OF_POST = 0.45
UNDER = 40.0
"""How far along its rail a brace lands from its post at most, and in heights of the post; how far back from where it
lands a U-bolt's bow under the rail would run into it, beside what any landing takes; mm (common practice, no
source)."""


def furthest(wish: FrameWish, choice: Choice) -> float:
    """Return how far from its post a brace lands where nothing is in its way, mm."""
    assert wish.height is not None, "a bed frame has a height"
    return min(LONGEST, OF_POST * (wish.height - choice.frame_od))


def braced(carriers: Sequence[Carrier]) -> tuple[tuple[Carrier, float], ...]:
    """Return the posts under rails, each with the way its brace goes: toward the middle of its side's posts."""
    out: list[tuple[Carrier, float]] = []
    for sign in (-1.0, 1.0):
        row = sorted((c for c in carriers if c.kind == "leg" and c.y * sign > 0), key=lambda c: c.x)
        middle = (row[0].x + row[-1].x) / 2 if row else 0.0
        out += [(c, 1.0 if c.x <= middle else -1.0) for c in row]
    return tuple(out)


def takes(x: float, way: float) -> tuple[float, float]:
    """Return the places that clamps keep clear of, as of a tube's, where a brace lands at `x`."""
    return x, x - way * UNDER


def landings(wish: FrameWish, choice: Choice, carriers: Sequence[Carrier]) -> tuple[float, ...]:
    """Return the places that clamps keep clear of for the braces of a bed frame; none without braces."""
    if wish.kind != "bed" or wish.knee_braces == "none":
        return ()
    far = furthest(wish, choice)
    return tuple(place for c, way in braced(carriers) for place in takes(c.x + way * far, way))
