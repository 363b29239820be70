"""The roof's skin about a mount: the surface of the stations, laid through what was read at the mount itself."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from rackgen.geom.frame import Array
from rackgen.geom.surface import Roof
from rackgen.spec.vehicle import FrontMount

FOOT = 50.0
"""Half the foot of the level that mounts are read with, as long as the sheet lets it be: as a mount plate, mm."""


@dataclass(frozen=True)
class Skin:
    """The skin about one mount, vehicle frame.

    Attributes:
        roof: the measured surface; it gives the shape.
        mount: gives height and tilt.
        mirror: the skin about the mount on the other side that gets the same parts, or None; both are taken as their
            mean then.
        across: the place (x, y) here is (x + across[0], across[1] - y) over there, mm.
    """

    roof: Roof
    mount: FrontMount
    mirror: Skin | None = None
    across: tuple[float, float] = (0.0, 0.0)

    def height(self, x: ArrayLike, y: ArrayLike) -> Array:
        """Return the height of the skin, mm: beside the measured roof, of the plane through the mount."""
        at, across = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
        m = self.mount
        here, read, turned = self._here
        dx, dy = at - m.at[0], across - m.at[1]
        on_roof = self.roof.height(at, across) - here + turned[0] * dx + turned[1] * dy
        own = m.at[2] + np.where(np.isfinite(on_roof), on_roof, read[0] * dx + read[1] * dy)
        if self.mirror is None:
            return own
        return (own + self.mirror.height(at + self.across[0], self.across[1] - across)) / 2

    def slopes(self, x: float, y: float) -> tuple[float, float]:
        """Return dz/dx and dz/dy of the skin."""
        _, read, turned = self._here
        there = [float(s) for s in self.roof.slope(x, y)]
        zx, zy = (s + t for s, t in zip(there, turned, strict=True)) if math.isfinite(sum(there)) else read
        if self.mirror is None:
            return zx, zy
        other = self.mirror.slopes(x + self.across[0], self.across[1] - y)
        return (zx + other[0]) / 2, (zy - other[1]) / 2

    @cached_property
    def _here(self) -> tuple[float, tuple[float, float], tuple[float, float]]:
        """Height of the roof at the mount, slopes as read there, and how much steeper than the roof's."""
        m = self.mount
        read = -math.tan(math.radians(m.pitch)), -math.tan(math.radians(m.roll))
        zx, zy = self._over_foot()
        return float(self.roof.height(*m.at[:2])), read, (read[0] - zx, read[1] - zy)

    def _over_foot(self) -> tuple[float, float]:
        """Slopes of the roof at the mount as a level on its two ends reads them, in the point where the roof ends."""
        x, y, _ = self.mount.at
        ends = self.roof.height([x + FOOT, x - FOOT, x, x], [y, y, y + FOOT, y - FOOT])
        read = (ends[0] - ends[1]) / (2 * FOOT), (ends[2] - ends[3]) / (2 * FOOT)
        there = self.roof.slope(x, y)
        zx, zy = (float(s if math.isfinite(s) else t) for s, t in zip(read, there, strict=True))
        return zx, zy
