"""The whole rack as an assembly of its distinct solids."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rackgen.parts.colours import colour
from rackgen.parts.marks import Line, Mark
from rackgen.solid.kernel import Solid
from rackgen.solid.kernel_step import Product, step_file


def step(name: str, lines: Iterable[Line], solids: Mapping[Mark, Solid], program: str) -> bytes:
    """Return the rack as STEP AP214 in mm, vehicle frame: a product per mark, an occurrence per part id.

    Args:
        name: of the rack.
        lines: the distinct parts.
        solids: by mark, from `build.proved_solids`.
        program: what made the file, for its header.
    """
    return step_file(
        name,
        [
            Product(line.mark, solids[line.mark], colour(line.part), tuple((p.id, p.frame) for p in line.placed))
            for line in lines
        ],
        program,
    )
