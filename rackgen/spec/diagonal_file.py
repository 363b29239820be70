"""Tape from the datum to the mounts and crosswise between them: a check of where the mounts were read to be."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, cast

from rackgen.errors import Mistake
from rackgen.geom.frame import Vec
from rackgen.spec.document import Document, nearest, written
from rackgen.spec.doubts import Doubt
from rackgen.spec.fields import Entries, Length, Table, Words, refuse, wrong_if

DATUM = "datum"
"""Stands for the datum where a mount's name could stand."""

AGREE = 6.0
"""How well a diagonal should agree with the places of its ends, mm: two readings of each end, and a tape that sags."""


@dataclass(frozen=True, kw_only=True)
class DiagonalTable(Table):
    """One diagonal: a tape held straight between two places."""

    between: Annotated[
        tuple[Annotated[str, Words("a mount's name, or datum")], ...],
        Entries('the names of two mounts, or "datum" and a mount', 2, 2),
    ]
    length: Annotated[float, Length("of the tape between them, held straight", 20, 8_000)]

    def __post_init__(self) -> None:
        """Refuse a diagonal from a place to itself."""
        refuse(wrong_if(self.between[0] == self.between[1], "between", "two different places"))


def across_diagonals(document: Document) -> Iterator[Mistake]:
    """Return which diagonals end at a mount that the file does not have."""
    mounts = document.get(("mounts",))
    known = (DATUM, *(cast("dict[str, object]", mounts) if isinstance(mounts, dict) else ()))
    for path, table in document.tables("diagonal"):
        ends = table.get("between")
        for place, name in enumerate(cast("list[object]", ends) if isinstance(ends, list) else ()):
            if isinstance(name, str) and name not in known:
                near = nearest(name, known)
                hint = f'did you mean "{near}"?' if near else f"known are {', '.join(known)}"
                wanted = f"there is no such mount; {hint}"
                yield document.mistake((*path, "between", place), wanted, written(name))


def diagonal_doubts(
    diagonals: Sequence[DiagonalTable], places: Mapping[str, Vec], says: Callable[[float], str]
) -> Iterator[Doubt]:
    """Return which diagonals contradict the places of their ends, and the mount that is likely wrong.

    Args:
        diagonals: as read.
        places: of the mounts and the datum by name, vehicle frame, mm.
        says: writes a length in the file's unit.
    """
    off = [d.length - math.dist(places[d.between[0]], places[d.between[1]]) for d in diagonals]
    bad = [n for n, by in enumerate(off) if abs(by) > AGREE]
    for n in bad:
        a, b = diagonals[n].between
        more = "longer" if off[n] > 0 else "shorter"
        text = (
            f"{a} to {b} was taped {says(abs(off[n]))} {more} than the places read for them are apart: "
            f"{_suspected(n, diagonals, set(bad))}"
        )
        yield Doubt(("diagonal", n, "length"), text, says(diagonals[n].length), abs(off[n]))


def _suspected(n: int, diagonals: Sequence[DiagonalTable], bad: set[int]) -> str:
    """Return what is likely wrong: the one end of which every diagonal disagrees, or what else it may be."""
    votes = {end: {k for k, d in enumerate(diagonals) if end in d.between} for end in diagonals[n].between}
    guilty = [end for end, at in votes.items() if end != DATUM and len(at) > 1 and at <= bad]
    if len(guilty) == 1:
        return f"every diagonal of {guilty[0]} disagrees, so measure x, y and z of {guilty[0]} again"
    ends = " or ".join(end for end in votes if end != DATUM)
    cleared = [end for end, at in votes.items() if end != DATUM and len(at - bad) > 0]
    if len(cleared) == len([end for end in votes if end != DATUM]):
        return f"the other diagonals agree, so tape this one again, then {ends}"
    return f"tape it again, then measure {ends} again"
