"""A fold that is tighter at one edge of its bar than at the other: part of a right circular cone.

The flats stay plane and touch the cone along two of its rulings, which is what steel does without being stretched. The
bar stays a straight strip of its stock: laid flat, the rulings where the fold begins and ends are aslant, alike to both
sides of a middle ruling that is square to the bar. At that middle ruling the two inside radii are what a radius gauge
reads that is held square to the metal; they change evenly from edge to edge. The fold's angle is the one between the
faces of the two flats.

With a the angle between axis and ruling, A the fold's angle and T how far the fold goes round the axis:

    tan a = (radius at +Y - radius at -Y) / width        sin(A / 2) = cos(a) sin(T / 2)

Laid flat, a point at the angle b about the apex, measured from the middle ruling, lies b / sin(a) round the axis. All
surfaces at one depth in the metal are equal cones moved along the axis, so that the neutral one has the same T and lies
flat with the same slant; only its apex is nearer, and with it the width that goes into the fold is less.

The frame of the fold's middle has its origin at mid-thickness on the middle ruling at mid-width, X along the bar, Y
across along that ruling, Z off its face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array, Frame, vec

LEAST = 1e-3
"""Two radii that differ by less are one, mm: the grid of all descriptions."""


@dataclass(frozen=True)
class Cone:
    """The surface at mid-thickness of such a fold.

    Attributes:
        side: 1 where the hollow side is +Z, -1 where it is -Z.
        slope: between axis and ruling, radians; negative where the apex lies beyond the +Y edge.
        apex: from the apex to the origin along the middle ruling, mm, with the sign of `slope`.
        turn: round the axis from where the fold begins to where it ends, radians.
    """

    side: float
    slope: float
    apex: float
    turn: float

    @property
    def spread(self) -> float:
        """Half the angle of the fold laid flat, radians, with the sign of `slope`."""
        return self.turn / 2 * math.sin(self.slope)

    @property
    def slant(self) -> float:
        """By how much either limit of the fold, laid flat, moves outward for each mm across toward +Y."""
        return math.tan(self.spread)

    @property
    def length(self) -> float:
        """Along the bar at mid-width and mid-thickness from where the fold begins to where it ends, mm."""
        return 2 * self.apex * self.slant

    def points(self, x: ArrayLike, y: ArrayLike, off: ArrayLike = 0.0) -> Array:
        """Return where points of the bar laid flat come to lie, shape (..., 3), mm, frame of the fold's middle.

        Args:
            x: along the bar from the middle ruling, laid flat at mid-thickness, mm.
            y: across from mid-width, mm.
            off: from mid-thickness toward the +Z face, mm.
        """
        x, y, off = (np.asarray(v, dtype=float) for v in (x, y, off))
        far = self.apex + y
        ruling = np.copysign(np.hypot(x, far), self.apex)
        a, s = self.slope, self.side
        around = np.arctan(x / far) / math.sin(a)
        reach = ruling * math.sin(a) - s * off * math.cos(a)
        rise = 2 * np.sin(around / 2) ** 2  # 1 - cos, without its loss of digits
        along = ruling - self.apex
        return np.stack(
            [
                reach * np.sin(around),
                along - reach * math.sin(a) * rise,
                s * reach * math.cos(a) * rise + off,
            ],
            axis=-1,
        )

    def frame(self, x: float, y: float = 0.0) -> Frame:
        """Return the bar's frame at a point of its middle surface, in the frame of the fold's middle.

        Args:
            x: along the bar from the middle ruling, laid flat at mid-thickness, mm.
            y: across from mid-width, mm.
        """
        a, s, flat = self.slope, self.side, math.atan(x / (self.apex + y))
        turn = flat / math.sin(a)
        ruling = np.array([math.sin(a) * math.sin(turn), math.cos(a) ** 2 + math.sin(a) ** 2 * math.cos(turn),
                           s * math.sin(a) * math.cos(a) * (1 - math.cos(turn))])  # fmt: skip
        around = np.array([math.cos(turn), -math.sin(turn) * math.sin(a), s * math.sin(turn) * math.cos(a)])
        along = math.sin(flat) * ruling + math.cos(flat) * around
        across = math.cos(flat) * ruling - math.sin(flat) * around
        return Frame(vec(self.points(x, y)), vec(along), vec(across), vec(np.cross(along, across)))

    def at(self, share: float) -> Frame:
        """Return the bar's frame at mid-width where a share of the fold lies behind, in the frame where it begins."""
        begin, here = (self.frame(self.apex * math.tan(self.spread * (2 * s - 1))) for s in (0.0, share))
        return begin.inverse().then(here)

    def middle(self) -> Frame:
        """Return the frame of the fold's middle in the frame where the fold begins."""
        return self.at(0.5)

    def neutral(self, depth: float) -> float:
        """Return the length between the fold's limits at mid-width when a surface in the metal is laid flat, mm.

        Args:
            depth: of that surface from mid-thickness toward the hollow side, mm.
        """
        nearer = depth / math.tan(self.slope)
        return 2 * (self.apex * math.tan(self.spread) - nearer * math.sin(self.spread))

    def crease(self) -> tuple[float, float]:
        """Return where the middle planes of the two flats meet, on the first flat.

        Returns:
            From where the fold begins at mid-width along the bar to that line, mm, and how far the line leans from the
            bar's Y toward +X, degrees.
        """
        # In the plane of symmetry the line leaves the axis at the angle whose tangent is tan a / cos(T / 2).
        half = self.turn / 2
        lean = math.atan(math.tan(self.slope) / math.cos(half))
        inner = math.cos(lean) * math.cos(self.slope) + math.sin(lean) * math.sin(self.slope) * math.cos(half)
        past = math.copysign(math.acos(min(1.0, inner)), self.slope) - self.spread
        return self.apex * (math.tan(past) + math.tan(self.spread)), math.degrees(past)


def cone(angle: float, near: float, far: float, thickness: float, width: float) -> Cone:
    """Return the cone of a fold.

    Args:
        angle: between the two flats' faces, degrees, with its sign.
        near: inside radius at the -Y edge, mm.
        far: inside radius at the +Y edge, mm; not the same.
        thickness: mm.
        width: of the bar, mm.

    Raises:
        GeometryError: no such fold can be made of a flat bar.
    """
    if width <= 0:
        raise GeometryError("a fold with two radii needs the width of its bar")
    if min(near, far) <= 0:
        raise GeometryError("a fold that is tighter at one edge has an inside radius there too")
    slope = math.atan2(far - near, width)
    half = math.sin(math.radians(abs(angle)) / 2) / math.cos(slope)
    if half >= 1:
        raise GeometryError(f"radii of {near:g} and {far:g} mm on {width:g} mm differ too much for {abs(angle):g} deg")
    middle = (near + far + thickness) / 2
    return Cone(math.copysign(1.0, angle), slope, middle * width / (far - near), 2 * math.asin(half))
