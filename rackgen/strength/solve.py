"""A frame solved: forces and movements under each of its actions, from one factorisation.

PyNite 3.2 gives the beam's stiffness and fixed-end forces (`beam_element.py`). The rest is done here: on a chain of 500
members its own `analyze_linear` took 0.36 s of CPU with one action and 4.2 s with 40, and reading the end forces
another 3.1 s, for it loops over members and load cases in Python and factorises once for each. Its supports and springs
stand in global axes alone. Arrays, one sparse factor and all actions as its right-hand sides take 0.05 s for the same.
"""

# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse.linalg import splu

from rackgen.errors import FrameError
from rackgen.geom.frame import Array
from rackgen.strength import faults, mechanism
from rackgen.strength.footing import Footing, assembled, footing
from rackgen.strength.limits import Loaded
from rackgen.strength.model import FrameModel
from rackgen.strength.pieces import Pieces, line_loads, node_loads, pieces

BALANCE = 1e-6
"""What is left over at a node may be this share of the largest force in a member: the answer is exact for loads that
differ by so little."""

AGAIN = 3
"""How often what is left over is asked for at most."""


@dataclass(frozen=True, eq=False)
class Answer:
    """A solved frame, an entry of the last axis for each action of its model.

    Attributes:
        model: the frame.
        ends: on the members, in the model's order: (members, 2 ends, 6, actions), N and N·mm in member axes: of the
            node on the member.
        supports: of the vehicle on the frame: (supports, 6, actions), in the support's axes.
        moved: of the nodes: (nodes, 6, actions), mm and rad, vehicle axes.
        frame: what it was solved with.
    """

    model: FrameModel
    ends: Array
    supports: Array
    moved: Array
    frame: Frame

    def loaded(self, payload: float) -> Loaded:
        """Return forces and movements under the model's cases.

        Args:
            payload: kg.

        Raises:
            FrameError: the payload is negative, absurd or no number.
        """
        if not 0.0 <= payload <= faults.MOST_MASS:
            raise FrameError([f"a payload of {payload} kg; it must be 0 to {faults.MOST_MASS:.0f}"])
        share = shares(self.model, payload)
        return Loaded(payload, self.ends @ share, self.supports @ share, self.moved @ share)


@dataclass(frozen=True, eq=False)
class Frame:
    """A factorised frame.

    Attributes:
        members: its members as arrays.
        feet: its supports.
        matrix: stiffness of what can move, sparse.
        factor: of the matrix: `solve` takes many right-hand sides; None where nothing can move.
    """

    members: Pieces
    feet: Footing
    matrix: Any
    factor: Any

    def moved(self, forces: Array) -> Array:
        """Return how the nodes move under forces on them.

        Args:
            forces: vehicle axes, N and N·mm, (nodes, 6, any number).

        Returns:
            mm and rad, of the same shape.
        """
        if not forces.size or self.factor is None:
            return np.zeros_like(forces)
        wanted = self.feet.moves.T @ forces.reshape(-1, forces.shape[2])
        found = self.factor.solve(wanted)
        # Rigid arms cost digits; asking once more for what is left over brings them back.
        found += self.factor.solve(wanted - self.matrix @ found)
        return np.asarray(self.feet.moves @ found).reshape(forces.shape)

    def again(self, forces: Array) -> Array:
        """Return how the nodes move under the little that an answer has left over; as `moved`."""
        return self.moved(forces)


def solve(model: FrameModel) -> Answer:
    """Return a frame's forces and movements under each of its actions.

    Small movements, straight prismatic members that are stiff in shear, one factorisation for all actions.

    Raises:
        FrameError: the model is wrong in itself, something of it moves freely, or its stiffnesses lie too far apart.
    """
    faults.refuse(model)
    mechanism.refuse(model)
    return answer(model, factorised(model))


def factorised(model: FrameModel) -> Frame:
    """Return a sound model's stiffness, factorised."""
    members, feet = pieces(model), footing(model)
    freedoms = 6 * len(model.nodes)
    whole = assembled(members.freedoms(), members.in_vehicle_axes(), freedoms) + feet.stiffness(freedoms)
    matrix = (feet.moves.T @ whole @ feet.moves).tocsc()
    # Symmetric and positive: pivots on the diagonal and an order for that keep the factor thin.
    if not matrix.shape[0]:
        return Frame(members, feet, matrix, None)
    factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return Frame(members, feet, matrix, factor)


def answer(model: FrameModel, frame: Frame) -> Answer:
    """Return the answer of a factorised frame to its model's actions.

    Raises:
        FrameError: the forces at a node do not balance.
    """
    members = frame.members
    on_nodes = node_loads(model)
    held = members.held_under(line_loads(model))
    moved = frame.moved(on_nodes - at_nodes(members, held, on_nodes))
    ends = members.bent(moved) + held
    needed = at_nodes(members, ends, on_nodes) - on_nodes
    supports = frame.feet.reactions(moved, needed)
    over = needed - frame.feet.on_nodes(supports, needed)
    for _ in range(AGAIN):
        if not (_left_over(members, ends, on_nodes, over) > BALANCE).any():
            break
        # A frame that sways by millimetres on tall posts has no digits left for how little the arms of 2 mm at its
        # welds give: 3e-6 of the largest force. Asked for by itself, what is left over has all of its own.
        more = frame.again(-over)
        bent = members.bent(more)
        given = at_nodes(members, bent, on_nodes)
        pushed = frame.feet.reactions(more, given + over)
        moved, ends, supports = moved + more, ends + bent, supports + pushed
        over += given - frame.feet.on_nodes(pushed, over)
    _balance(model, _left_over(members, ends, on_nodes, over))
    return Answer(model, ends.reshape(len(members.ends), 2, 6, -1), supports, moved, frame)


def at_nodes(members: Pieces, ends: Array, like: Array) -> Array:
    """Return the sum of end forces (members, 12, actions) at the nodes, vehicle axes, in the shape of `like`."""
    out = np.zeros_like(like)
    turned = members.turns.transpose(0, 2, 1) @ ends
    np.add.at(out, members.ends[:, 0], turned[:, :6])
    np.add.at(out, members.ends[:, 1], turned[:, 6:])
    return out


def shares(model: FrameModel, payload: float) -> Array:
    """Return how much of each action each case has at a payload in kg, (actions, cases)."""
    numbers = {action.id: n for n, action in enumerate(model.actions)}
    out = np.zeros((len(model.actions), len(model.cases)))
    for c, case in enumerate(model.cases):
        for action, factor in case.always:
            out[numbers[action], c] += factor
        for action, factor in case.per_kg:
            out[numbers[action], c] += factor * payload
    return out


def _left_over(members: Pieces, ends: Array, loads: Array, over: Array) -> Array:
    """Return what is left over at every node against the forces in members and on nodes, shape (nodes, actions)."""
    if not over.size:
        return np.zeros((0, 0))
    sized = np.concatenate([np.abs(ends[:, :6]), np.abs(ends[:, 6:]), np.abs(loads)]).max(axis=0)
    # A pure moment leaves forces that are nothing but rounding, and the other way about.
    arm = float(members.lengths.mean())
    force = np.maximum(sized[:3].max(axis=0), sized[3:].max(axis=0) / arm)
    moment = force * arm
    return np.maximum(
        np.abs(over[:, :3]).max(axis=1) / np.where(force > 0.0, force, 1.0),
        np.abs(over[:, 3:]).max(axis=1) / np.where(moment > 0.0, moment, 1.0),
    )


def _balance(model: FrameModel, share: Array) -> None:
    """Hold what is left over at every node to a trifle.

    Raises:
        FrameError: it is more, or no number.
    """
    if share.size and not (share <= BALANCE).all():
        node = model.nodes[int(np.nan_to_num(share, nan=math.inf).max(axis=1).argmax())]
        raise FrameError(
            [
                f"the forces at node {node.id} do not balance by {share.max():.1e} of the largest: the stiffest and "
                "the softest of the frame lie too far apart; make its links less stiff"
            ]
        )
