"""A second way to solve a frame, that shares nothing with the first but the model's records.

The first knows how stiff a member is and solves for movements. This one knows how a member gives: it writes down, all
at once, that every node is at rest, that every member is a cantilever from its begin that bends by its end forces and
its load (deflections of cantilevers from any handbook), that ends carry nothing where they are free, and that supports
give what their springs say; and solves for movements, end forces, slips and reactions together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from rackgen.strength.model import FrameModel, Member, Support

FORCE = 1e5
"""Forces are reckoned in this many newtons, so that they stand beside millimetres."""


@dataclass(frozen=True)
class Second:
    """What the second way finds, in the shapes and axes of the first's answer."""

    ends: np.ndarray
    supports: np.ndarray
    moved: np.ndarray


def cross(a: np.ndarray) -> np.ndarray:
    """The matrix that crosses `a` with what it is multiplied by."""
    return np.array([[0.0, -a[2], a[1]], [a[2], 0.0, -a[0]], [-a[1], a[0], 0.0]])


def triad(x: np.ndarray, near_z: np.ndarray) -> np.ndarray:
    """Rows x, y, z with z as near to `near_z` as x allows."""
    x = x / math.sqrt(x @ x)
    z = near_z - x * (x @ near_z)
    z = z / math.sqrt(z @ z)
    return np.array([x, np.array([z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0]]), z])


def gives(member: Member, length: float) -> np.ndarray:
    """How the end of a cantilever moves by a force and a moment on it."""
    e, g, s = member.elastic.e, member.elastic.g, member.properties
    f = np.zeros((6, 6))
    f[0, 0] = length / (e * s.area)
    f[3, 3] = length / (g * s.j)
    f[1, 1], f[1, 5], f[5, 1], f[5, 5] = (
        length**3 / (3 * e * s.iz), length**2 / (2 * e * s.iz), length**2 / (2 * e * s.iz), length / (e * s.iz)
    )  # fmt: skip
    f[2, 2], f[2, 4], f[4, 2], f[4, 4] = (
        length**3 / (3 * e * s.iy), -(length**2) / (2 * e * s.iy), -(length**2) / (2 * e * s.iy), length / (e * s.iy)
    )  # fmt: skip
    return f


def gives_under_line(member: Member, length: float, q: np.ndarray) -> np.ndarray:
    """How the end of a cantilever moves by an even load, in its own axes."""
    e, s = member.elastic.e, member.properties
    return np.array(
        [
            q[0] * length**2 / (2 * e * s.area),
            q[1] * length**4 / (8 * e * s.iz),
            q[2] * length**4 / (8 * e * s.iy),
            0.0 * q[0],
            -q[2] * length**3 / (6 * e * s.iy),
            q[1] * length**3 / (6 * e * s.iz),
        ]
    )


def twice(turn: np.ndarray) -> np.ndarray:
    out = np.zeros((6, 6))
    out[:3, :3] = out[3:, 3:] = turn
    return out


class _Book:
    """Equations as they are written down."""

    def __init__(self, unknowns: int, actions: int) -> None:
        self.rows: list[np.ndarray] = []
        self.columns: list[np.ndarray] = []
        self.values: list[np.ndarray] = []
        self.right = np.zeros((unknowns, actions))

    def put(self, row: int, column: int, block: np.ndarray) -> None:
        r, c = np.indices(block.shape)
        self.rows.append((row + r).ravel())
        self.columns.append((column + c).ravel())
        self.values.append(block.ravel())

    def solved(self) -> np.ndarray:
        size = self.right.shape[0]
        triples = (np.concatenate(self.values), (np.concatenate(self.rows), np.concatenate(self.columns)))
        matrix = sparse.coo_array(triples, shape=(size, size)).tocsr()
        rows = sparse.diags_array(1.0 / abs(matrix).max(axis=1).toarray().ravel())
        factor = splu((rows @ matrix).tocsc())
        right = rows @ self.right
        found = factor.solve(right)
        return found + factor.solve(right - rows @ (matrix @ found))


def solved(model: FrameModel) -> Second:
    """Solve any frame that stands; a node must not be held rigidly the same way by two supports."""
    place = {node.id: n for n, node in enumerate(model.nodes)}
    at = [np.array(node.at, dtype=float) for node in model.nodes]
    actions, m, s, n = len(model.actions), len(model.members), len(model.supports), len(model.nodes)
    # Unknowns: movements (6 a node), end forces at b (6 a member), slips of both ends (12 a member), reactions.
    forces, slips, reactions = 6 * n, 6 * n + 6 * m, 6 * n + 18 * m
    book = _Book(reactions + 6 * s, actions)
    line = _lines(model)
    turns: list[np.ndarray] = []
    lengths: list[float] = []
    for k, member in enumerate(model.members):
        a, b = place[member.a], place[member.b]
        along = at[b] - at[a]
        length = math.sqrt(along @ along)
        turn = twice(triad(along, np.array(member.up, dtype=float)))
        q = turn[:3, :3] @ line[k]
        turns.append(turn)
        lengths.append(length)
        p, slip = forces + 6 * k, slips + 12 * k
        # The end goes where the begin carries it, rigidly, and bends away from there.
        carry = np.eye(6)
        carry[:3, 3:] = -cross(np.array([length, 0.0, 0.0]))
        book.put(p, 6 * b, turn)
        book.put(p, slip + 6, np.eye(6))
        book.put(p, 6 * a, -carry @ turn)
        book.put(p, slip, -carry)
        book.put(p, p, -gives(member, length) * FORCE)
        book.right[p : p + 6] = gives_under_line(member, length, q)
        # What the begin needs: the member is at rest.
        back = -carry.T
        sum_a = np.concatenate([-q * length, -cross(np.array([length / 2, 0.0, 0.0])) @ (q * length)])
        for end, free in enumerate((member.free_a, member.free_b)):
            for i, name in enumerate(("dx", "dy", "dz", "rx", "ry", "rz")):
                row = slip + 6 * end + i
                if name not in free:
                    book.put(row, row, np.ones((1, 1)))
                elif end == 1:
                    book.put(row, p + i, np.ones((1, 1)))
                else:
                    book.put(row, p, back[i : i + 1] * FORCE)
                    book.right[row] = -sum_a[i]
        # Nodes at rest: loads and reactions less what the members take.
        book.put(6 * b, p, -turn.T * FORCE)
        book.put(6 * a, p, -turn.T @ back * FORCE)
        book.right[6 * a : 6 * a + 6] += turn.T @ sum_a
    for j, action in enumerate(model.actions):
        for load in action.nodes:
            first = 6 * place[load.node]
            book.right[first : first + 6, j] -= [*load.force, *load.moment]
    grips = [_grip(support) for support in model.supports]
    for k, support in enumerate(model.supports):
        node, row = place[support.node], reactions + 6 * k
        book.put(6 * node, row, grips[k].T * FORCE)
        for i, spring in enumerate(support.stiffness):
            if math.isinf(spring):
                book.put(row + i, 6 * node, grips[k][i : i + 1])
            else:
                book.put(row + i, row + i, np.full((1, 1), FORCE))
                book.put(row + i, 6 * node, spring * grips[k][i : i + 1])
    found = book.solved()
    ends = np.zeros((m, 2, 6, actions))
    for k in range(m):
        p = found[forces + 6 * k : forces + 6 * k + 6] * FORCE
        q = turns[k][:3, :3] @ line[k]
        total = p[:3] + q * lengths[k]
        ends[k, 1] = p
        ends[k, 0, :3] = -total
        x = np.array([lengths[k], 0.0, 0.0])
        ends[k, 0, 3:] = -p[3:] - cross(x) @ p[:3] - cross(x / 2) @ (q * lengths[k])
    return Second(
        ends,
        found[reactions:].reshape(s, 6, actions) * FORCE,
        found[: 6 * n].reshape(n, 6, actions),
    )


def _lines(model: FrameModel) -> np.ndarray:
    place = {member.id: n for n, member in enumerate(model.members)}
    out = np.zeros((len(model.members), 3, len(model.actions)))
    for j, action in enumerate(model.actions):
        for load in action.lines:
            out[place[load.member], :, j] += load.force
    return out


def _grip(support: Support) -> np.ndarray:
    """Vehicle axes to the support's: its z is kept, its x made square to it."""
    z, x = np.array(support.z, dtype=float), np.array(support.x, dtype=float)
    z = z / math.sqrt(z @ z)
    x = x - z * (z @ x)
    x = x / math.sqrt(x @ x)
    return twice(np.array([x, cross(z) @ x, z]))
