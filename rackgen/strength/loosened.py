"""A solved frame with one clamp loose: from the factorised one by what that clamp's stiffness takes away.

With G the clamp's place in the frame and k its own stiffness, the loosened matrix is K - G k Gᵀ; its inverse is that of
K and twelve more right-hand sides (Woodbury's identity), instead of a factorisation for every clamp.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rackgen.errors import FreeError
from rackgen.geom.frame import Array
from rackgen.strength.pieces import Indexes
from rackgen.strength.solve import Answer, Frame, answer

ALONE = 1e-9
"""Below this share of itself what is left of a direction's stiffness counts as nothing: the frame moves freely."""


@dataclass(frozen=True, eq=False)
class _Loosened(Frame):
    """A factorised frame less one member.

    Attributes:
        whole: the frame as it was factorised.
        first: how it moves under the model's actions, (nodes, 6, actions).
        places: the member's 12 freedoms in the whole frame.
        back: how the frame moves under unit forces there, made ready: (nodes, 6, 12).
        taken: the member's stiffness, vehicle axes, (12, 12).
        turned: what forces in the loose frame follow from movements of the whole one there, (12, 12).
    """

    whole: Frame
    first: Array
    places: Indexes
    back: Array
    taken: Array
    turned: Array

    def moved(self, forces: Array) -> Array:
        # The whole frame's answer to the same loads is known.
        found = self._more(self.first)
        # As for the whole frame: rigid arms cost digits, and asking for what is left over brings them back.
        return found + self._once(forces - self._held(found))

    def again(self, forces: Array) -> Array:
        return self._once(forces)

    def _once(self, forces: Array) -> Array:
        return self._more(self.whole.moved(forces))

    def _more(self, first: Array) -> Array:
        """Return how the loose frame moves where the whole one moves so under the same forces."""
        there: Array = first.reshape(-1, first.shape[2])[self.places]
        more: Array = self.back @ (self.turned @ there)
        return first + more

    def _held(self, moved: Array) -> Array:
        """Return what holds the loose frame in a movement, (nodes, 6, any number)."""
        flat: Array = moved.reshape(-1, moved.shape[2])
        moves = self.feet.moves
        held: Array = np.asarray(moves @ (self.matrix @ (moves.T @ flat)), dtype=float)
        held[self.places] -= self.taken @ flat[self.places]
        return held.reshape(moved.shape)


def loosened(found: Answer, member: str) -> Answer:
    """Return a frame's answer with one of its members carrying nothing.

    Args:
        found: of the whole frame.
        member: id of the member that is loose; no line load lies on it.

    Raises:
        KeyError: there is no such member.
        FreeError: without it something moves freely.
    """
    model, frame = found.model, found.frame
    number = next((n for n, m in enumerate(model.members) if m.id == member), None)
    if number is None:
        raise KeyError(member)
    members = frame.members
    places = members.freedoms()[number]
    taken: Array = members.turns[number].T @ members.stiff[number] @ members.turns[number]
    unit = np.zeros((len(model.nodes) * 6, 12))
    unit[places, np.arange(12)] = 1.0
    back = frame.moved(unit.reshape(len(model.nodes), 6, 12))
    left: Array = np.eye(12) - taken @ back.reshape(-1, 12)[places]
    # Eigenvalues, for they are the same in whatever units ways and turns are.
    if np.abs(np.linalg.eigvals(left)).min() < ALONE:
        raise FreeError([f"with {member} loose something moves freely"])
    stiff = members.stiff.copy()
    stiff[number] = 0.0
    without = _Loosened(
        replace(members, stiff=stiff), frame.feet, frame.matrix, frame.factor, frame, found.moved, places,
        back, taken, np.asarray(np.linalg.solve(left, taken), dtype=float),
    )  # fmt: skip
    return answer(model, without)
