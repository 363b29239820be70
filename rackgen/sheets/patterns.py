"""All maximal ways to cut one length: combinations of pieces to which none can be added."""

from __future__ import annotations

from collections.abc import Sequence

Pattern = tuple[int, ...]
"""How many pieces of each size."""


class TooMany(Exception):
    """The search was given up after the counted steps that it was allowed."""


def patterns(sizes: Sequence[int], most: Sequence[int], room: int, steps: int) -> tuple[tuple[Pattern, ...], int]:
    """Return every maximal pattern, those with most of the long pieces first, and the steps that are left over.

    Lengths are whole numbers of any one unit. Kerfs are counted in by putting one on every size and one on the room.

    Args:
        sizes: different lengths, falling, each over 0.
        most: how many of each are wanted; a pattern holds no more.
        room: what the pieces share.
        steps: most places of the search that may be looked at.

    Raises:
        TooMany: the steps did not suffice.
    """
    count = len(sizes)
    rest = [0] * (count + 1)
    for place in reversed(range(count)):
        rest[place] = rest[place + 1] + sizes[place] * most[place]
    found: list[Pattern] = []
    taken = [0] * count

    def search(place: int, room: int, shortest: int | None) -> None:
        """Choose from `place` on; `shortest` is the shortest piece so far of which more are wanted."""
        nonlocal steps
        steps -= 1
        if steps < 0:
            raise TooMany
        if shortest is not None and room - rest[place] >= shortest:
            return
        if place == count:
            if any(taken):
                found.append(tuple(taken))
            return
        size = sizes[place]
        for pieces in range(min(most[place], room // size), -1, -1):
            after = room - pieces * size
            if pieces < most[place] and after - rest[place + 1] >= size:
                break
            taken[place] = pieces
            search(place + 1, after, size if pieces < most[place] else shortest)
        taken[place] = 0

    search(0, room, None)
    return tuple(found), steps
