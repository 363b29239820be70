"""How a shop reckons what goes into a fold: by its own test strips, by DIN 6935, or by a handbook's constant."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Method = Literal["test strip", "DIN 6935", "handbook"]
Material = Literal["steel", "stainless", "aluminium"]

HANDBOOK_K = 0.4469
"""Where the neutral line lies, in thicknesses from the inside: the 0.0078 T of (0.0078 T + 0.017453 R) for each degree,
from a sheet-metal handbook's page (seen). Machinery's Handbook has 0.4074 for soft steel, 0.64 T + 1.57 R (from
memory)."""

SAME_THICKNESS = 0.05
SAME_RADIUS = 0.5
"""How near a strip's thickness and inside radius must be to those of a fold that it speaks for, mm."""


@dataclass(frozen=True)
class Strip:
    """A strip that was folded to see what goes into the fold.

    Attributes:
        thickness: mm.
        inside_radius: of the former or as folded, mm.
        length: flat, before it was folded, mm.
        legs: after, each from its end to where the outsides of both meet, mm.
        angle: how far it was turned, degrees.
        material: of the strip.
    """

    thickness: float
    inside_radius: float
    length: float
    legs: tuple[float, float]
    angle: float = 90.0
    material: Material = "steel"

    @property
    def allowance(self) -> float:
        """What went into its fold, mm: its length less both flats."""
        setback = (self.inside_radius + self.thickness) * math.tan(math.radians(self.angle) / 2)
        return self.length - sum(self.legs) + 2 * setback

    @property
    def share(self) -> float:
        """Where its neutral line lies, in thicknesses from the inside."""
        return (self.allowance / math.radians(self.angle) - self.inside_radius) / self.thickness


@dataclass(frozen=True)
class Folding:
    """How folds are reckoned and made.

    Attributes:
        method: for folds without a strip of their own; of "test strip" they go by DIN 6935 all the same.
        handbook_k: where the handbook has the neutral line, in thicknesses from the inside.
        strips: that the shop folded; each speaks for its own thickness, inside radius and material.
        openings: widths of the dies that bar and plate are pressed into, rising, mm; none when the shop does not say.
    """

    method: Method = "DIN 6935"
    handbook_k: float = HANDBOOK_K
    strips: tuple[Strip, ...] = ()
    openings: tuple[float, ...] = ()

    def strip_for(self, thickness: float, inside_radius: float, material: str) -> Strip | None:
        """Return the strip that speaks for a fold, the nearest in radius, or None."""
        near = (
            s
            for s in self.strips
            if s.material == material
            and abs(s.thickness - thickness) <= SAME_THICKNESS
            and abs(s.inside_radius - inside_radius) <= SAME_RADIUS
        )
        return min(near, key=lambda s: abs(s.inside_radius - inside_radius), default=None)
