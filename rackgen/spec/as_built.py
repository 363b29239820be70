"""A part that is made already, as measured."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class AsBuilt:
    """What was measured on a made part; None is as drawn. Lengths in mm, angles in degrees out of straight.

    Attributes:
        part: its id.
        length: of a straight tube over its longest line.
        outside_width: of a hoop over its back.
        leg_a: of a hoop from the outside of its back to end A.
        leg_b: the same to end B.
        angles: of every bend from end A.
        flats: of a bar, every flat from end A.
        folds: of a bar, every fold from end A, unsigned; of a plate, every break, in the order of its sheet.
    """

    part: str
    length: float | None = None
    outside_width: float | None = None
    leg_a: float | None = None
    leg_b: float | None = None
    angles: tuple[float, ...] | None = None
    flats: tuple[float, ...] | None = None
    folds: tuple[float, ...] | None = None
