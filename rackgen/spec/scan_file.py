"""What a vehicle's file may say of the scan that its roof was read from."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rackgen.spec.fields import Count, Length, Reading, Table


@dataclass(frozen=True, kw_only=True)
class ScanTable(Table):
    """How well a scan shows the roof; `rackgen scan` writes it."""

    points: Annotated[int, Count("points that the surface was put through", 1, 1_000_000_000)]
    rms: Annotated[float, Length("distance of the points from the surface, root mean square", 0, 100)]
    within: Annotated[float, Length("95 % of the points are no farther from the surface", 0, 200)]
    landmarks: Annotated[
        float | None, Length("distance of the worst landmark from its place; none with an explicit frame", 0, 500)
    ] = None

    def notes(self, reading: Reading) -> Iterator[str]:
        """Return what the scan leaves open, a sentence each."""
        yield (
            f"The roof was read from a scan: {self.points:,} points, {reading.says(self.rms)} rms off its surface, "
            f"95 % within {reading.says(self.within)}."
        )
        if self.landmarks is None:
            yield "The scan was placed by an explicit frame: nothing says how well it lies on the vehicle."
        else:
            yield f"The scan's landmarks lie on their places within {reading.says(self.landmarks)}."
