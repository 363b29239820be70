"""The rack as one STEP file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rackgen.export.revision import program
from rackgen.parts.marks import Line, Mark
from rackgen.solid.assembly import step
from rackgen.solid.kernel import Solid


def step_bytes(name: str, lines: Iterable[Line], solids: Mapping[Mark, Solid]) -> bytes:
    """Return the assembly as STEP AP214, mm, vehicle frame; products are named by mark, occurrences by part id.

    Args:
        name: of the rack.
        lines: the distinct parts.
        solids: by mark, proved.
    """
    return step(name, lines, solids, program())
