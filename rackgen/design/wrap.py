"""The wrap's fold round a body corner, plain or tighter at one edge, and how the wrap lies on the rear face for it.

Rear face and side of the body are planes; where the corner's radius changes with height they still meet in one line
down the rear face, and the wrap's fold touches both. A bar is a straight strip, so that with two radii its flats lie a
little askew of that line, alike on both faces (`rackgen.geom.cone`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import bar_width, thickness
from rackgen.design.rear import RearEnd, rows
from rackgen.design.site import Site
from rackgen.errors import Finding, Level
from rackgen.geom.fold import Fold, cone_of
from rackgen.geom.frame import Array
from rackgen.spec.vehicle import CornerFit, RearMount

TAPERS = 0.5
"""Least difference of the radii at a wrap's two edges that a former is made for, mm (common practice, no source)."""

FIT_OFF = 1.0
FIT_SPAN = 45.0
FIT_TANGENT = 3.0
"""How far a point may lie off the circle through a corner's points, mm; how much of the circle they span at least,
degrees; how far the circle's tangent may lie from where the vehicle's file has it, mm (common practice, no source)."""

ROUNDS = 4


@dataclass(frozen=True)
class WrapFold:
    """How a wrap goes round its corner.

    Attributes:
        fold: inside radii at the wrap's edges.
        crease: from where the fold begins at mid-width along the wrap to where rear and side would meet, mm.
        lean: of the wrap's X from level toward its +Y, degrees.
        corner: |Y| of the line where the middles of rear flat and side flat would meet, mm.
        tangent: |Y| of where the fold begins at mid-width, mm.
    """

    fold: Fold
    crease: float
    lean: float
    corner: float
    tangent: float

    def axes(self, out: Array, side: float) -> tuple[Array, Array]:
        """Return the wrap's X and Y on the rear face, vehicle frame.

        Args:
            out: unit vector out of the rear face.
            side: 1 on the right, -1 on the left.
        """
        level = np.array([0.0, side, 0.0])
        up = np.cross(out, level)
        c, s = math.cos(math.radians(self.lean)), math.sin(math.radians(self.lean))
        return c * level + s * up, c * up - s * level


def wrap_fold(site: Site, end: RearEnd) -> WrapFold:
    """Return the fold of a rear mount's wrap and how the wrap lies."""
    mount, bar, side = end.mount, site.choice.wrap, math.copysign(1.0, end.y)
    t, wide, off = thickness(bar), bar_width(bar), site.shop.bedding
    corner = mount.corner + mount.corner_radius + off + t / 2
    across = corner - abs(end.lie.origin[1])
    down = rows(site.choice).wrap
    radius = mount.radius_at(down)
    plain = WrapFold(Fold(-90.0, radius), radius + t / 2, 0.0, corner, corner - radius - t / 2)
    if abs(mount.taper) * wide < TAPERS:
        return plain
    found = plain
    for _ in range(ROUNDS):
        # The wrap's mid-width is level with its strap's rivets; on its way to the corner it rises or drops a little.
        here = down - side * math.tan(math.radians(found.lean)) * across
        lower, upper = (mount.radius_at(here + s * wide / 2) for s in (1, -1))
        # Seen on the rear face with Y up on the right and down on the left.
        fold = Fold(-90.0, lower, upper) if side > 0 else Fold(-90.0, upper, lower)
        bent_on = cone_of(fold, t, wide)
        assert bent_on is not None
        crease, lean = bent_on.crease()
        found = WrapFold(fold, crease, lean, corner, corner - crease * math.cos(math.radians(lean)))
    return found


def corner_findings(mount: RearMount, wrap: str) -> list[Finding]:
    """Return what is doubtful about the points that a corner's radius was fitted to; of one height the worst alone.

    Args:
        mount: a rear mount.
        wrap: id of its wrap.
    """
    return [
        Finding(
            "corner-fit",
            Level.LOOK,
            (wrap,),
            f"the corner {mount.name} at height {fit.z:.0f} mm, radius {fit.radius:.1f} mm: {said}",
            got=got,
            limit=limit,
            source="common practice, no source",
            keys=(f"mounts.{mount.name}.corner_contour",),
            help="measure its round again with a contour gauge, points on the round alone",
        )
        for fit in mount.fits
        for said, got, limit in _doubt(mount, fit)[:1]
    ]


def _doubt(mount: RearMount, fit: CornerFit) -> list[tuple[str, float, float]]:
    out: list[tuple[str, float, float]] = []
    if fit.off > FIT_OFF:
        out.append((f"a point lies {fit.off:.1f} mm off its circle, not {FIT_OFF:g}", fit.off, FIT_OFF))
    if fit.span < FIT_SPAN:
        said = f"its points span {fit.span:.0f} degrees of the circle, not {FIT_SPAN:g}"
        out.append((said, fit.span, FIT_SPAN))
    # The side of the body is a plane, so that the tangent moves as the radius does.
    tangent = mount.corner + mount.corner_radius - fit.radius
    if abs(fit.corner - tangent) > FIT_TANGENT:
        said = f"its circle meets the rear face {fit.corner:.1f} mm from the middle, `corner` makes it {tangent:.1f}"
        out.append((said, abs(fit.corner - tangent), FIT_TANGENT))
    return out
