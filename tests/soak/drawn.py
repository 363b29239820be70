"""Samples of the whole design space by number: the same block is the same ten samples every time."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.whole_design import Whole, shop_text, wholes

BLOCK, KEPT = 60, range(14, 60, 5)
"""So many are drawn with a seed, and these are kept: the first are the simplest, and neighbours are much alike."""


@dataclass(frozen=True)
class Sample:
    """One of them.

    Attributes:
        block: seed that it is drawn with.
        number: of the draw.
        whole: what was drawn.
    """

    block: int
    number: int
    whole: Whole

    @property
    def texts(self) -> dict[str, str]:
        """Its three files."""
        return {
            "shop": shop_text(self.whole.shop, self.whole.base),
            "vehicle": self.whole.vehicle,
            "rack": self.whole.rack,
        }

    @property
    def digest(self) -> str:
        """What tells its files from all others, whatever drew them."""
        return hashlib.sha256("\0".join(self.texts.values()).encode()).hexdigest()[:16]


def block(number: int, small: bool = False) -> list[Sample]:
    """Return the samples of a block, or of a block of small racks."""
    found: list[Whole] = []

    @seed(number)
    @settings(
        max_examples=BLOCK,
        phases=[Phase.generate],
        derandomize=False,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(wholes(small=small))
    def draw(whole: Whole) -> None:
        found.append(whole)

    draw()
    return [Sample(number, k, whole) for k, whole in enumerate(found) if k in KEPT]
