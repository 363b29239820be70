"""How much a shop's work scatters."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Spreads:
    """How much a shop's work scatters: standard deviations (common practice, no source, where a shop does not say).

    Attributes:
        length: of a sawn length, a straight between bends, a flat between folds, mm.
        bend: of a bend's angle, degrees.
        turn: of the turn from one bend's plane to the next, degrees.
        fold: of a fold's angle, degrees.
        square: of where a leg's end comes to lie: a bent tube is creased, opened or sprung until its outside width and
            its flatness on the table are right, so a bend at a long leg is off by no more than that, mm.
        pull: of a weld's shrinkage about the shop's own figure, mm.
        tape: of a reading on the vehicle, mm.
        level: of a level's reading, degrees.
    """

    length: float = 0.5
    bend: float = 0.4
    turn: float = 0.4
    fold: float = 0.5
    square: float = 0.7
    pull: float = 0.2
    tape: float = 0.7
    level: float = 0.2
