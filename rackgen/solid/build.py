"""A part's solid, proved before anybody sees it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache, partial
from typing import assert_never

from rackgen.errors import SolidError
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part
from rackgen.parts.marks import Line, Mark
from rackgen.solid import tube
from rackgen.solid.bar import bar
from rackgen.solid.bought import bought
from rackgen.solid.kernel import Solid
from rackgen.solid.plate import plate
from rackgen.solid.proof import fault


@lru_cache(maxsize=512)
def solid(part: Part) -> Solid:
    """Return the solid of a part in its own frame, mm.

    Raises:
        SolidError: no way to make it gives what the description says; the message tells of every way.
    """
    said: list[str] = []
    for make in ways(part):
        try:
            made = make()
        except SolidError as error:
            said.append(str(error))
            continue
        wrong = fault(part, made)
        if not wrong:
            return made
        said.append(wrong)
    raise SolidError("; ".join(dict.fromkeys(said)))


def ways(part: Part) -> Iterable[Callable[[], Solid]]:
    """Give the ways to make a part's solid, best first; none is proved yet."""
    match part:
        case BentTube():
            return tube.ways(part)
        case FoldedBar():
            return (partial(bar, part),)
        case CutPlate():
            return (partial(plate, part),)
        case Bought():
            return (partial(bought, part),)
        case _:
            assert_never(part)


def proved_solids(lines: Iterable[Line]) -> Mapping[Mark, Solid]:
    """Return the solid of every distinct part by its mark.

    Raises:
        SolidError: one is not what its description says; the message begins with its mark.
    """
    out: dict[Mark, Solid] = {}
    for line in lines:
        try:
            out[line.mark] = solid(line.part)
        except SolidError as error:
            raise SolidError(f"{line.mark}: {error}") from error
    return out
