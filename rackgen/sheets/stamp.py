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
        waived: "code part: reason" of every waiver.
    """

    rack: str
    revision: str
    program: str
    stops: tuple[str, ...] = ()
    waived: tuple[str, ...] = ()

    @property
    def state(self) -> str:
        """Say "cleared", or NOT CLEARED with the codes."""
        return f"NOT CLEARED: {', '.join(self.stops)}" if self.stops else "cleared"

    @property
    def lines(self) -> tuple[str, ...]:
        """The stamp as text, worst news first."""
        head = (self.state,) if self.stops else ()
        return (*head, f"{self.rack}, revision {self.revision}, {self.program}", *(f"waived: {w}" for w in self.waived))


def stop_codes(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the codes of the stop findings, each once, sorted."""
    return tuple(sorted({f.code for f in findings if f.level is Level.STOP}))
