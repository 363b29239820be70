"""What jaws, pads, threads and tracks bear, by hand formulas. N, mm, MPa; nominal unless said otherwise."""

from __future__ import annotations

import math

NUT_FACTOR = 0.2
"""Torque over preload and diameter of a dry bolt (common practice, no source)."""

FRICTION = 0.15
"""Coefficient of friction of painted steel, what a jaw is held along its gutter by (common practice, no source)."""


def hook_bends(yield_: float, width: float, thickness: float, lever: float) -> float:
    """Return what lifts a hook until it is bent open along the whole of its root, N.

    A cantilever whose root is a rectangle: Mp = Fy b t² / 4, within 1.6 Fy S (AISC 360 F11.1, from memory).

    Args:
        yield_: of the bar.
        width: of the bar, along the gutter.
        thickness: of the bar.
        lever: from the root's middle to where the hook bears.
    """
    return yield_ * width * thickness**2 / 4 / lever


def floor_bends(yield_: float, width: float, metal: float, lever: float) -> float:
    """Return what lifts a gutter's floor until it is bent up along the roof's side, N.

    A cantilever from the roof's side, on which the force spreads at 45 degrees: Mp = Fy (b + 2 l) m² / 4.

    Args:
        yield_: of the sheet.
        width: over which the hook bears, along the gutter.
        metal: of the floor, all layers.
        lever: from where the hook bears to the roof's side.
    """
    if lever <= 0:
        return math.inf
    return yield_ * (width + 2 * lever) * metal**2 / 4 / lever


def preload(torque: float, diameter: float) -> float:
    """Return what a bolt draws with, N, from its torque in N·m: T / (0.2 d)."""
    return torque * 1000 / (NUT_FACTOR * diameter)


def held_along(torque: float, diameter: float, bolts: int) -> float:
    """Return the force along its gutter at which a jaw slides, N: both faces of the lip, between jaw and clamp."""
    return 2 * FRICTION * bolts * preload(torque, diameter)


def lips_shear(nut: float, lip: float, tensile: float) -> float:
    """Return what pulls a slot nut out of its track, N: both lips shear along the nut, 0.6 Fu (AISC 360 J4.2).

    Args:
        nut: length of the nut along the slot.
        lip: thickness of the track over it.
        tensile: of the track.
    """
    return 2 * nut * lip * 0.6 * tensile


def thread_strips(diameter: float, engaged: float, tensile: float) -> float:
    """Return what strips a thread in the vehicle, N: half its cylinder in shear, 0.6 Fu (common practice, no source).

    Args:
        diameter: of the thread.
        engaged: length of thread that the bolt takes hold of.
        tensile: of the metal that the thread is in.
    """
    return math.pi * diameter * engaged / 2 * 0.6 * tensile


def levered(offset: float, toe: float) -> float:
    """Return by how much a pull on a pad is multiplied at the one bolt beside it, the pad's far edge its heel.

    Args:
        offset: from the bolt to the stub's axis.
        toe: from the bolt to the pad's edge away from the stub.
    """
    return (offset + toe) / toe
