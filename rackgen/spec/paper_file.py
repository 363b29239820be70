"""What a shop's file says about its paper."""

from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.fields import About, Length, Table
from rackgen.spec.paper import THICKNESS, Paper, PaperSize, usual_size
from rackgen.units import Unit


@dataclass(frozen=True, kw_only=True)
class PaperTable(Table):
    """What sheets and templates are printed on."""

    size: Annotated[PaperSize | None, About("page size; A4 in shops that read mm, letter in others, when left out")] = (
        None
    )
    thickness: Annotated[
        float | None, Length("of the paper that goes round a tube as a wrap; 0.1 mm when left out", 0.03, 1.5)
    ] = None

    def record(self, unit: Unit) -> Paper:
        """Return the record.

        Args:
            unit: of the shop's sheets.
        """
        return Paper(self.size or usual_size(unit), THICKNESS if self.thickness is None else self.thickness)
