"""What a person does to a ladder, by hand: 1.1 kN on the middle of one rung.

The rung is a beam on two supports, on the safe side since its ends are welded. Half of the person hangs on each stile.
A stile hangs at its clamp, which is taken as a hinge, and leans on its upper foot: what the clamp bears upright bends
it most at the bend over the roof's edge, by the run from the clamp to there. What the person pulls aft is not in it.
"""

from __future__ import annotations

import math

from rackgen.refs.strengths import strength_of, unknown
from rackgen.spec.stock import Round, Stock

PERSON = 1100.0
"""On one rung, N: a person of 112 kg, or one of 90 kg that steps briskly (assumed; EN 131-2 tests rungs with more, from
memory)."""

FACTOR = 1.67
"""Yield over what is allowed in bending (AISC 360 F1, ASD)."""


def modulus(section: Round) -> float:
    """Return the elastic section modulus of a tube, mm³."""
    return math.pi * (section.od**4 - section.inner**4) / (32 * section.od)


def rung_stress(span: float, section: Round) -> float:
    """Return the bending stress of a rung under a person on its middle, F L / 4 over the modulus, MPa."""
    return PERSON * span / 4 / modulus(section)


def stile_stress(run: float, section: Round) -> float:
    """Return the bending stress of a stile at its bend, half a person times the run over the modulus, MPa."""
    return PERSON / 2 * run / modulus(section)


def foot_push(run: float, below: float) -> float:
    """Return what an upper foot presses on the body with, N.

    Args:
        run: from the clamp to the corner of the stile's axes, mm; half a person times it is the moment to be held.
        below: of the foot below the clamp, mm.
    """
    return PERSON / 2 * run / below


def allowed(stock: Stock) -> float | None:
    """Return the bending stress that a tube is allowed beside its welds, MPa; None where its strength is not known."""
    return None if unknown(stock) else strength_of(stock).welded_yield / FACTOR


def bears(stock: Stock, run: float, span: float) -> bool:
    """Return whether a tube bears a person as a rung and as a stile; True where its strength is not known."""
    section, most = stock.section, allowed(stock)
    assert isinstance(section, Round)
    return most is None or max(rung_stress(span, section), stile_stress(run, section)) <= most
