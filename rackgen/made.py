"""A designed rack with what was found: what every sheet and page is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rackgen.check.result import CheckResult
from rackgen.errors import Finding
from rackgen.parts.rack import PartId, Rack
from rackgen.sheets.stamp import Stamp
from rackgen.spec.layout import SheetLayout
from rackgen.spec.paper import PaperSize
from rackgen.spec.read import Job
from rackgen.strength.rated import Strength


@dataclass(frozen=True)
class Design:
    """A rack that was designed.

    Attributes:
        job: what was asked for.
        rack: the result.
        keys: part id to the preset keys that asked for it.
        findings: of the builders, and of the check once it was made; waivers applied, worst first.
        checked: the numbers of the check, None until it was made.
        stamp: what every sheet carries.
        layout: where plate is to lie on its sheets, None to work it out.
        kerf_drawn: whether the sheets' cutting files are wanted with the kerf drawn as well.
        paper: what pages are printed on, None for the shop's own.
        strength: how much it carries, None where that was not asked for or cannot be reckoned.
        unrated: why it cannot be reckoned, in words; "" otherwise.
    """

    job: Job
    rack: Rack
    keys: Mapping[PartId, tuple[str, ...]]
    findings: tuple[Finding, ...]
    checked: CheckResult | None
    stamp: Stamp
    layout: SheetLayout | None = None
    kerf_drawn: bool = False
    paper: PaperSize | None = None
    strength: Strength | None = None
    unrated: str = ""

    @property
    def reckoned(self) -> bool:
        """Whether its strength was asked for."""
        return self.strength is not None or bool(self.unrated)

    @property
    def rating(self) -> float | None:
        """What it may carry while moving, kg: on its vehicle where that is known; None where it was not reckoned."""
        if self.strength is None:
            return None
        state = self.strength.moving
        return state.rack if state.vehicle is None else state.vehicle

    @property
    def cleared(self) -> bool:
        """Whether no stop was found."""
        return not self.stamp.stops
