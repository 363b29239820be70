"""Forces inside members: what a cut through one bears, at its ends and at the worst places between them.

A member's load is even along it, so its sum is what its two ends do not balance, and every cut between follows from
them (statics; the sign rule of `Loaded.ends`). Forces on a cut are those of the metal beyond it, in member axes:
(N, Vy, Vz, T, My, Mz), tension positive.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array, Vec, vec
from rackgen.strength.model import FrameModel, Member

EVEN = (0.25, 0.5, 0.75)
"""Cuts at even shares of the length; two more stand where a shear passes zero and a moment is largest."""


@dataclass(frozen=True, eq=False)
class Cuts:
    """Members that are cut.

    Attributes:
        members: as the model has them.
        index: their numbers in the model.
        length: of each, mm.
        a: begin of each, vehicle frame, mm, (members, 3).
        b: end of each.
    """

    members: tuple[Member, ...]
    index: NDArray[np.intp]
    length: Array
    a: Array
    b: Array


def cuts_of(model: FrameModel, keep: Callable[[Member], bool]) -> Cuts:
    """Return the members of a frame that `keep` says yes to, to be cut."""
    at = {n.id: n.at for n in model.nodes}
    found = [(i, m) for i, m in enumerate(model.members) if keep(m)]
    members = tuple(m for _, m in found)
    a = np.array([at[m.a] for m in members], dtype=float).reshape(-1, 3)
    b = np.array([at[m.b] for m in members], dtype=float).reshape(-1, 3)
    index = np.array([i for i, _ in found], dtype=np.intp)
    return Cuts(members, index, np.linalg.norm(b - a, axis=1), a, b)


def forces(cuts: Cuts, ends: Array) -> tuple[Array, Array]:
    """Return where each member is cut and what is borne there.

    Args:
        cuts: n members.
        ends: `Loaded.ends` of the whole model, N and N·mm.

    Returns:
        Places from the begin, mm, (n, 7, cases): begin, three even ones, where Vz and Vy pass zero, end. Forces on
        them, (n, 7, 6, cases).
    """
    one, other = ends[cuts.index, 0], ends[cuts.index, 1]
    length = cuts.length[:, None]
    spread = -(one[:, :3] + other[:, :3]) / length[:, :, None]
    zero = np.zeros_like(one[:, 0])
    places = [zero, *(share * length + zero for share in EVEN)]
    for k in (2, 1):
        w = spread[:, k]
        flat = np.abs(w) * length <= 1e-9 * (np.abs(one[:, k]) + np.abs(other[:, k]) + 1e-300)
        turn = np.where(flat, -1.0, -one[:, k] / np.where(flat, 1.0, w))
        # A shear that passes zero nowhere has its largest moment at an end, which is cut anyway.
        places.append(np.where((turn > 0.0) & (turn < length), turn, length / 2))
    places.append(length + zero)
    x = np.stack(places, axis=1)
    return x, _at(one, spread, x)


def forces_at(cuts: Cuts, ends: Array, x: Array) -> Array:
    """Return what one cut through each member bears, (n, 6, cases).

    Args:
        cuts: n members.
        ends: `Loaded.ends` of the whole model, N and N·mm.
        x: from each member's begin, mm, (n,).
    """
    one, other = ends[cuts.index, 0], ends[cuts.index, 1]
    spread = -(one[:, :3] + other[:, :3]) / cuts.length[:, None, None]
    return _at(one, spread, np.broadcast_to(x[:, None, None], (len(x), 1, ends.shape[-1])))[:, 0]


def _at(one: Array, spread: Array, x: Array) -> Array:
    """Return forces on cuts: of the begin's forces and an even load, at places (n, cuts, cases)."""
    n, vy, vz, t, my, mz = (one[:, None, k] for k in range(6))
    wx, wy, wz = (spread[:, None, k] for k in range(3))
    return -np.stack(
        [
            n + wx * x,
            vy + wy * x,
            vz + wz * x,
            t + 0 * x,
            my + vz * x + wz * x**2 / 2,
            mz - vy * x - wy * x**2 / 2,
        ],
        axis=2,
    )


def chosen(cuts: Cuts, rows: Sequence[int]) -> Cuts:
    """Return some of the members, as often as they are named."""
    index = np.array(rows, dtype=np.intp)
    return Cuts(
        tuple(cuts.members[i] for i in rows), cuts.index[index], cuts.length[index], cuts.a[index], cuts.b[index]
    )


def gathered(use: Array) -> Array:
    """Return the use at begin, between and end of each member as rows, (3 n, cases), from (n, 7, cases)."""
    three = np.stack([use[:, 0], use[:, 1:-1].max(axis=1), use[:, -1]], axis=1)
    return three.reshape(-1, use.shape[2])


def thirds(cuts: Cuts) -> list[tuple[Member, float, Vec]]:
    """Return member, place along its part, mm, and point of each row that `gathered` gives."""
    out: list[tuple[Member, float, Vec]] = []
    for m, a, b in zip(cuts.members, cuts.a, cuts.b, strict=True):
        out.append((m, m.from_a, vec(a)))
        out.append((m, (m.from_a + m.from_b) / 2, vec((a + b) / 2)))
        out.append((m, m.from_b, vec(b)))
    return out


def combined(linear: Array, square: Array) -> Array:
    """Return the share used of an interaction `linear` + `square`² ≤ 1.

    It is the factor by which all forces may be divided until the sum is 1: twice the forces use twice as much.
    """
    return (linear + np.sqrt(linear**2 + 4 * square**2)) / 2
