"""What every page and drawing carries: the rack, its revision, and whether it is cleared for work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackgen.errors import Finding, Level


@dataclass(frozen=True)
class Stamp:
    """The line that stands on every sheet.

    Attributes:
        rack: name of the rack.
        revision: hash of the resolved rack and the program version.
        program: program and version.
        stops: codes of the stop findings, sorted; empty when the rack is cleared.
        waived: "code part: reason" of every waiver in force.
        checked: whether the whole check was made; without it a sheet says so.
    """

    rack: str
    revision: str
    program: str
    stops: tuple[str, ...] = ()
    waived: tuple[str, ...] = ()
    checked: bool = True

    @property
    def state(self) -> str:
        """Say "cleared", NOT CLEARED with the codes, or that it was not checked."""
        if self.stops:
            return f"NOT CLEARED: {', '.join(self.stops)}"
        return "cleared" if self.checked else "not checked"

    @property
    def lines(self) -> tuple[str, ...]:
        """The stamp as text, worst news first."""
        head = () if self.state == "cleared" else (self.state,)
        return (*head, f"{self.rack}, revision {self.revision}, {self.program}", *(f"waived: {w}" for w in self.waived))


def stop_codes(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the codes of the stop findings, each once, sorted."""
    return tuple(sorted({f.code for f in findings if f.level is Level.STOP}))
