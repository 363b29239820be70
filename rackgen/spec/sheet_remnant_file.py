"""What the cutting table leaves: pieces of plate on hand, as a shop's file gives them."""

from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.fields import Count, Length, Table, Words


@dataclass(frozen=True, kw_only=True)
class SheetRemnantTable(Table):
    """Rectangles of plate left from earlier work."""

    plate: Annotated[str, Words("which plate, by its name in this file")]
    width: Annotated[float, Length("of the good rectangle, across the grain", 10, 4_000)]
    length: Annotated[
        float, Length("of the good rectangle, along the grain of the sheet that it came from", 10, 15_000)
    ]
    count: Annotated[int, Count("how many of this size", 1, 1_000)] = 1
