"""Folded flat bar: where its legs stand, and how long its flat blank is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.errors import GeometryError
from rackgen.geom.frame import Frame, turn


@dataclass(frozen=True)
class Fold:
    """One fold.

    Attributes:
        angle: how far the bar is turned out of its straight, degrees, in (-180, 180), positive toward the bar's +Z.
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


def legs_and_arcs(
    legs: tuple[float, ...], folds: tuple[Fold, ...], thickness: float
) -> list[tuple[Frame, float, Fold | None]]:
    """Return every flat and fold in order: frame at its begin, length on mid-thickness in mm, the fold or None.

    The bar's frame has its origin at mid-thickness and mid-width of end A, X along, Y across, Z off the face.

    Raises:
        GeometryError: the counts do not fit, or a flat is not positive.
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
            r = fold.inside_radius + thickness / 2
            out.append((here, r * math.radians(abs(fold.angle)), fold))
            here = after_fold(here, fold, thickness, abs(fold.angle))
    return out


def after_fold(begin: Frame, fold: Fold, thickness: float, degrees: float) -> Frame:
    """Return the bar's frame after `degrees` (unsigned) of a fold that begins at `begin`."""
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


def neutral_length(fold: Fold, thickness: float, share: float) -> float:
    """Return the length of the neutral line through a fold, mm.

    Args:
        fold: of a bar.
        thickness: mm.
        share: where the neutral line lies, in thicknesses from the inside.
    """
    return math.radians(abs(fold.angle)) * (fold.inside_radius + thickness * share)
