"""What the vehicle holds of a frame: in axes that may lie aslant, rigidly or as springs."""

# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from scipy import sparse

from rackgen.geom.frame import Array, unit
from rackgen.strength.model import FrameModel, Support
from rackgen.strength.pieces import Indexes

ALONE = 1e-9
"""Directions of rigid supports on one node that add less than this to each other are the same direction."""


@dataclass(frozen=True, eq=False)
class Footing:
    """Supports of a frame as arrays.

    Attributes:
        nodes: number of the node of each, (supports,).
        axes: ways and turns in vehicle axes to those in the support's, (supports, 6, 6).
        springs: stiffness in the support's axes, 0 where it is rigid, (supports, 6).
        rigid: 1.0 where it is rigid, (supports, 6).
        moves: what the frame may do: all its freedoms from those that nothing holds rigidly; a sparse matrix with
            orthonormal columns.
    """

    nodes: Indexes
    axes: Array
    springs: Array
    rigid: Array
    moves: Any

    def stiffness(self, freedoms: int) -> Any:
        """Return the springs' stiffness in vehicle axes as a sparse matrix."""
        blocks = self.axes.transpose(0, 2, 1) @ (self.springs[:, :, None] * self.axes)
        return assembled(6 * self.nodes[:, None] + np.arange(6), blocks, freedoms)

    def reactions(self, moved: Array, needed: Array) -> Array:
        """Return what the supports give, in their axes, (supports, 6, actions).

        Where several hold one node rigidly in the same direction, they share alike: nothing else says who bears.

        Args:
            moved: of the nodes, (nodes, 6, actions).
            needed: what each node needs from outside to be at rest, vehicle axes, of the same shape.
        """
        out = -self.springs[:, :, None] * (self.axes @ moved[self.nodes])
        left = needed - self.on_nodes(out, needed)
        for node in np.unique(self.nodes):
            mine = np.flatnonzero(self.nodes == node)
            rows = (self.rigid[mine, :, None] * self.axes[mine]).reshape(-1, 6)
            share = (np.linalg.pinv(rows.T, rcond=ALONE) @ left[node]).reshape(len(mine), 6, -1)
            out[mine] += share
        return out

    def on_nodes(self, reactions: Array, like: Array) -> Array:
        """Return reactions as forces on nodes in vehicle axes, an array of the shape of `like`."""
        out = np.zeros_like(like)
        np.add.at(out, self.nodes, self.axes.transpose(0, 2, 1) @ reactions)
        return out


def footing(model: FrameModel, *, alike: bool = False) -> Footing:
    """Return a sound model's supports as arrays.

    Args:
        model: the frame.
        alike: springs of stiffness 1 instead of their own.
    """
    numbers = {node.id: n for n, node in enumerate(model.nodes)}
    nodes = np.array([numbers[s.node] for s in model.supports], dtype=np.intp)
    stiffness = np.array([s.stiffness for s in model.supports], dtype=float).reshape(-1, 6)
    axes = np.array([_axes(s) for s in model.supports]).reshape(-1, 6, 6)
    rigid = np.isinf(stiffness)
    springs = np.where(rigid, 0.0, stiffness)
    if alike:
        springs = (springs > 0.0).astype(float)
    return Footing(nodes, axes, springs, rigid.astype(float), _moves(len(model.nodes), nodes, axes, rigid))


def assembled(places: Indexes, blocks: Array, freedoms: int) -> Any:
    """Return the sum of blocks in one sparse matrix; `places` are the rows and columns of each."""
    size = places.shape[1]
    rows = np.repeat(places, size, axis=1).ravel()
    columns = np.tile(places, (1, size)).ravel()
    return sparse.coo_array((blocks.ravel(), (rows, columns)), shape=(freedoms, freedoms)).tocsr()


def _axes(support: Support) -> Array:
    z = unit(support.z)
    y = unit(np.cross(z, support.x))
    out = np.zeros((6, 6))
    out[:3, :3] = out[3:, 3:] = [np.cross(y, z), y, z]
    return out


def _moves(count: int, nodes: Indexes, axes: Array, rigid: Any) -> Any:
    """Return what nodes may do, a block each: everything, or what is square to all that holds them rigidly."""
    blocks: dict[int, Array] = {}
    for node in np.unique(nodes[rigid.any(axis=1)]):
        rows = np.concatenate([axes[n][rigid[n]] for n in np.flatnonzero(nodes == node)])
        _, sizes, ways = np.linalg.svd(rows)
        blocks[int(node)] = cast("Array", ways[int((sizes > ALONE).sum()) :].T)
    held = np.isin(np.arange(count), list(blocks))
    widths = np.full(count, 6)
    for node, block in blocks.items():
        widths[node] = block.shape[1]
    starts = np.concatenate([[0], np.cumsum(widths)])
    free = np.flatnonzero(~held)
    rows = [(6 * free[:, None] + np.arange(6)).ravel()]
    columns = [(starts[free][:, None] + np.arange(6)).ravel()]
    values = [np.ones(6 * len(free))]
    for node, block in blocks.items():
        r, c = np.indices(block.shape)
        rows.append((6 * node + r).ravel())
        columns.append((starts[node] + c).ravel())
        values.append(block.ravel())
    return sparse.coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(6 * count, int(starts[-1]))
    ).tocsr()
