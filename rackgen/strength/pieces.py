"""A frame as arrays: where its members lie, how stiff they are with their ends as free as they are, what loads them.

Freedoms of the whole frame are six a node in the model's order, vehicle axes: 3 ways, mm, then 3 turns, rad.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array, Vec
from rackgen.strength import beam_element
from rackgen.strength.model import FREEDOMS, FrameModel, Member

Indexes = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Pieces:
    """Members of a frame.

    Attributes:
        at: of the nodes, mm, (nodes, 3).
        ends: begin and end as numbers of nodes, (members, 2).
        lengths: mm, (members,).
        turns: vehicle axes to member axes at both ends, (members, 12, 12).
        stiff: of the members in their own axes, with what their ends do not hold taken out, (members, 12, 12).
        eased: numbers of the members that do not hold everything.
        easing: what turns fixed-end forces of those into forces with their ends as free as they are, (eased, 12, 12).
    """

    at: Array
    ends: Indexes
    lengths: Array
    turns: Array
    stiff: Array
    eased: Indexes
    easing: Array

    def freedoms(self) -> Indexes:
        """Return the numbers of each member's 12 freedoms in the whole frame, (members, 12)."""
        return (6 * self.ends[:, :, None] + np.arange(6)).reshape(len(self.ends), 12)

    def in_vehicle_axes(self) -> Array:
        """Return the members' stiffness in vehicle axes, (members, 12, 12)."""
        return self.turns.transpose(0, 2, 1) @ self.stiff @ self.turns

    def bent(self, moved: Array) -> Array:
        """Return what it takes to move the ends so, beside line loads, in member axes, (members, 12, actions).

        Args:
            moved: of the nodes, vehicle axes, mm and rad, (nodes, 6, actions).
        """
        return self.stiff @ (self.turns @ moved[self.ends].reshape(len(self.ends), 12, -1))

    def held_under(self, lines: Array) -> Array:
        """Return what holds the ends while nodes stand still, under line loads in vehicle axes.

        Args:
            lines: N/mm, (members, 3, actions).

        Returns:
            Of the node on the member, in member axes, (members, 12, actions).
        """
        out = beam_element.fixed_end_forces(self.lengths, self.turns[:, :3, :3] @ lines)
        if len(self.eased):
            out[self.eased] = self.easing @ out[self.eased]
        return out


def pieces(model: FrameModel, *, alike: bool = False) -> Pieces:
    """Return a sound model's members as arrays.

    Args:
        model: the frame, its faults refused before.
        alike: all members of one mean stiffness instead of their own, and lengths in mean members: what can move
            without bending anything is then seen best.
    """
    numbers = {node.id: n for n, node in enumerate(model.nodes)}
    at = np.array([node.at for node in model.nodes], dtype=float).reshape(-1, 3)
    ends = np.array([(numbers[m.a], numbers[m.b]) for m in model.members], dtype=np.intp).reshape(-1, 2)
    along = at[ends[:, 1]] - at[ends[:, 0]]
    lengths = np.linalg.norm(along, axis=1)
    if alike:
        mean = float(lengths.mean())
        at, along, lengths = at / mean, along / mean, lengths / mean
        full = beam_element.stiffness(lengths, lengths, lengths / 4, lengths / 4, lengths)
    else:
        full = beam_element.stiffness(lengths, *_rigidities(model.members))
    free = freed(model.members)
    eased = np.flatnonzero(free.any(axis=1))
    easing = _easing(full[eased], free[eased])
    full[eased] = easing @ full[eased]
    # What is free carries exactly nothing, not the last bits of a difference.
    full[free[:, :, None] | free[:, None, :]] = 0.0
    return Pieces(at, ends, lengths, _turns(along, lengths, model.members), full, eased, easing)


def freed(members: Sequence[Member]) -> Flags:
    """Return which of their 12 freedoms members do not hold, (members, 12)."""
    out = np.zeros((len(members), 12), dtype=bool)
    for n, member in enumerate(members):
        for freedom in member.free_a:
            out[n, FREEDOMS.index(freedom)] = True
        for freedom in member.free_b:
            out[n, 6 + FREEDOMS.index(freedom)] = True
    return out


def node_loads(model: FrameModel) -> Array:
    """Return the loads on nodes, vehicle axes, (nodes, 6, actions)."""
    numbers = {node.id: n for n, node in enumerate(model.nodes)}
    out = np.zeros((len(model.nodes), 6, len(model.actions)))
    _add(
        out,
        [(numbers[load.node], a) for a, action in enumerate(model.actions) for load in action.nodes],
        [(*load.force, *load.moment) for action in model.actions for load in action.nodes],
    )
    return out


def line_loads(model: FrameModel) -> Array:
    """Return the loads along members, vehicle axes, N/mm, (members, 3, actions)."""
    numbers = {member.id: n for n, member in enumerate(model.members)}
    out = np.zeros((len(model.members), 3, len(model.actions)))
    _add(
        out,
        [(numbers[load.member], a) for a, action in enumerate(model.actions) for load in action.lines],
        [load.force for action in model.actions for load in action.lines],
    )
    return out


def _add(into: Array, places: list[tuple[int, int]], values: Sequence[tuple[float, ...]]) -> None:
    if places:
        which = np.array(places, dtype=np.intp)
        np.add.at(into.transpose(0, 2, 1), (which[:, 0], which[:, 1]), np.array(values, dtype=float))


def _rigidities(members: Sequence[Member]) -> Array:
    """Return E·A, E·Iy, E·Iz and G·J of members, (4, members)."""
    rows = [
        (
            m.elastic.e * m.properties.area,
            m.elastic.e * m.properties.iy,
            m.elastic.e * m.properties.iz,
            m.elastic.g * m.properties.j,
        )
        for m in members
    ]
    return np.array(rows, dtype=float).reshape(-1, 4).T


def _easing(full: Array, free: Flags) -> Array:
    """Return, for members with free ends, what takes those out: static condensation, equal freedoms at once."""
    out = np.zeros_like(full)
    patterns, group = np.unique(free, axis=0, return_inverse=True)
    for n, pattern in enumerate(patterns):
        mine = np.flatnonzero(group == n)
        loose = np.flatnonzero(pattern)
        among = full[np.ix_(mine, loose, loose)]
        toward = full[np.ix_(mine, np.arange(12), loose)]
        back = np.linalg.solve(among, toward.transpose(0, 2, 1)).transpose(0, 2, 1)
        easing = np.repeat(np.eye(12)[None], len(mine), axis=0)
        easing[:, :, loose] -= back
        easing[:, loose, :] = 0.0
        out[mine] = easing
    return out


def _turns(along: Array, lengths: Array, members: Sequence[Member]) -> Array:
    """Return the members' axes (`model.axes`, for all at once) on the diagonal of (members, 12, 12)."""
    ups: list[Vec] = [m.up for m in members]
    x = along / lengths[:, None]
    y = np.cross(np.array(ups, dtype=float).reshape(-1, 3), x)
    y /= np.linalg.norm(y, axis=1)[:, None]
    axes = np.stack([x, y, np.cross(x, y)], axis=1)
    out = np.zeros((len(members), 12, 12))
    for n in range(0, 12, 3):
        out[:, n : n + 3, n : n + 3] = axes
    return out
