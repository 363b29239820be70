"""Folded flat bar: where its legs stand, and how long its flat blank is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.errors import GeometryError
from rackgen.geom.cone import LEAST, Cone, cone
from rackgen.geom.frame import Frame, turn


@dataclass(frozen=True)
class Fold:
    """One fold.

    Attributes:
        angle: between the faces of its two flats, how far the bar is turned out of its straight, degrees, in
            (-180, 180), positive toward the bar's +Z.
        inside_radius: on the hollow side, mm; at the bar's -Y edge where there is a `far_radius`.
        far_radius: on the hollow side at the bar's +Y edge, mm; None where it is the same all along.
    """

    angle: float
    inside_radius: float
    far_radius: float | None = None

    @property
    def tightest(self) -> float:
        """The lesser inside radius, mm."""
        return self.inside_radius if self.far_radius is None else min(self.inside_radius, self.far_radius)

    @property
    def middle_radius(self) -> float:
        """The inside radius at mid-width, mm."""
        return self.inside_radius if self.far_radius is None else (self.inside_radius + self.far_radius) / 2

    def swapped(self) -> Fold:
        """Return the fold with its two edges changed: as it is seen in a mirror, or from the bar's other end."""
        return self if self.far_radius is None else Fold(self.angle, self.far_radius, self.inside_radius)


def cone_of(fold: Fold, thickness: float, width: float) -> Cone | None:
    """Return the cone of a fold with two radii, or None where it has one.

    Raises:
        GeometryError: it cannot be made.
    """
    if fold.far_radius is None or abs(fold.far_radius - fold.inside_radius) < LEAST:
        return None
    return cone(fold.angle, fold.inside_radius, fold.far_radius, thickness, width)


def legs_and_arcs(
    legs: tuple[float, ...], folds: tuple[Fold, ...], thickness: float, width: float
) -> list[tuple[Frame, float, Fold | None]]:
    """Return every flat and fold in order: frame at its begin, length on mid-thickness in mm, the fold or None.

    The bar's frame has its origin at mid-thickness and mid-width of end A, X along, Y across, Z off the face. Frames
    and lengths are those at mid-width; a fold with two radii begins and ends aslant (`rackgen.geom.cone`).

    Raises:
        GeometryError: the counts do not fit, a flat is not positive, or a fold cannot be made.
    """
    if len(legs) != len(folds) + 1:
        raise GeometryError(f"{len(folds)} folds need {len(folds) + 1} flats")
    if min(legs) < 0:
        raise GeometryError(f"flats {legs} mm: one is negative")
    out: list[tuple[Frame, float, Fold | None]] = []
    here = Frame()
    for i, leg in enumerate(legs):
        out.append((here, leg, None))
        here = here.moved((leg, 0, 0))
        if i < len(folds):
            fold = folds[i]
            out.append((here, neutral_length(fold, thickness, 0.5, width), fold))
            here = after_fold(here, fold, thickness, width, abs(fold.angle))
    return out


def after_fold(begin: Frame, fold: Fold, thickness: float, width: float, degrees: float) -> Frame:
    """Return the bar's frame at mid-width after `degrees` (unsigned) of a fold that begins at `begin`."""
    bent_on = cone_of(fold, thickness, width)
    if bent_on is not None:
        return begin.then(bent_on.at(degrees / abs(fold.angle)))
    r = fold.inside_radius + thickness / 2
    side = math.copysign(1.0, fold.angle)
    a = math.radians(degrees)
    bent = turn((0, 1, 0), -side * degrees)
    return begin.then(Frame((r * math.sin(a), 0.0, side * r * (1 - math.cos(a))), bent.x, bent.y, bent.z))


def din_6935_k(inside_radius: float, thickness: float) -> float:
    """Return the factor k of DIN 6935: the neutral line lies at thickness × k / 2 from the inside.

    k = 0.65 + 0.5 log10(r / s) up to r / s = 5, then 1. Below r / s = 0.0501 the formula would turn negative; it is
    held at 0 there.
    """
    ratio = inside_radius / thickness
    if ratio > 5:
        return 1.0
    return max(0.0, 0.65 + 0.5 * math.log10(ratio)) if ratio > 0 else 0.0


def neutral_length(fold: Fold, thickness: float, share: float, width: float) -> float:
    """Return how much of a bar goes into a fold at mid-width, mm: the neutral line's length there, laid flat.

    Args:
        fold: of a bar.
        thickness: mm.
        share: where the neutral line lies, in thicknesses from the inside.
        width: of the bar, mm.
    """
    bent_on = cone_of(fold, thickness, width)
    if bent_on is not None:
        return bent_on.neutral((0.5 - share) * thickness)
    return math.radians(abs(fold.angle)) * (fold.inside_radius + thickness * share)


def slant(fold: Fold, thickness: float, width: float) -> float:
    """Return by how much either limit of a fold, laid flat, moves outward for each mm across toward +Y; 0 mostly."""
    bent_on = cone_of(fold, thickness, width)
    return 0.0 if bent_on is None else bent_on.slant
