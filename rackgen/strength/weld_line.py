"""A weld as a line: its length, its properties about its own centre, and the force per length under a load.

Blodgett's method for any beads in space: all of the weld gives alike in every direction, so that under a force and a
moment it moves as a rigid line. For a ring that is Lw = πd, Sw = πd²/4, Jw = πd³/4. Vehicle frame; mm, N, N·mm, N/mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom.frame import Array
from rackgen.sheets.weld_lines import Run

CLOSED = 1.5
"""A bead whose ends are no farther apart than so many of its steps is closed."""


@dataclass(frozen=True, eq=False)
class WeldLine:
    """Beads that hold together.

    Attributes:
        points: places along them, vehicle frame, shape (n, 3).
        weights: length of weld that each stands for, mm, shape (n,).
        throat: mm.
    """

    points: Array
    weights: Array
    throat: float

    @cached_property
    def length(self) -> float:
        """Length of weld, mm."""
        return float(self.weights.sum())

    @cached_property
    def centre(self) -> Array:
        """Its centre of gravity."""
        return self.weights @ self.points / self.length

    @cached_property
    def second_moments(self) -> Array:
        """Its tensor of inertia as a line about its centre, mm³, shape (3, 3): Jw on the diagonal."""
        r = self.points - self.centre
        square = np.einsum("n,ni,ni->", self.weights, r, r)
        return square * np.eye(3) - np.einsum("n,ni,nj->ij", self.weights, r, r)

    @cached_property
    def turning(self) -> tuple[Array, Array]:
        """What turns a moment into the line's turn, and what of it bends the bead about itself, each (3, 3)."""
        values, axes = np.linalg.eigh(self.second_moments)
        # About an axis along a straight bead the line has no lever; what it bears there is bending of its throat.
        slim = values < self.length * self.throat**2
        values = values + np.where(slim, self.length * self.throat**2 / 12, 0.0)
        return (axes / values) @ axes.T, (axes[:, slim] / values[slim]) @ axes[:, slim].T

    def most(self, force: Array, moment: Array) -> Array:
        """Return the largest force per length, N/mm, shape (cases,).

        Args:
            force: on the weld, N, shape (3, cases).
            moment: about `centre`, N·mm, shape (3, cases).
        """
        turn, about_itself = self.turning
        theta = turn @ moment
        r = self.points - self.centre
        line = (force / self.length)[None] + np.cross(theta.T[None], r[:, None], axis=2).transpose(0, 2, 1)
        most = np.linalg.norm(line, axis=1).max(axis=0)
        return most + np.linalg.norm(about_itself @ moment, axis=0) * self.throat / 2


def weld_line(beads: Sequence[Run], throat: float) -> WeldLine:
    """Return beads as one line; stitched ones count by the share of their length that is welded.

    Raises:
        GeometryError: there is no bead.
    """
    if not beads or sum(b.bead for b in beads) <= 0:
        raise GeometryError("a weld without beads")
    points = np.concatenate([b.points for b in beads])
    return WeldLine(points, np.concatenate([_weights(b) for b in beads]), throat)


def _weights(run: Run) -> Array:
    n = len(run.points)
    if n < 2:
        return np.full(n, run.bead)
    steps = np.linalg.norm(np.diff(run.points, axis=0), axis=1)
    back = float(np.linalg.norm(run.points[0] - run.points[-1]))
    around = back if n > 3 and back <= CLOSED * float(steps.max()) else 0.0
    half = np.concatenate([[around], steps, [around]]) / 2
    weights = half[:-1] + half[1:]
    total = float(weights.sum())
    return weights * run.bead / total if total > 0 else np.full(n, run.bead / n)
