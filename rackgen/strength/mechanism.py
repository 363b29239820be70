"""What of a frame can move without bending anything: named part by part before the frame is solved.

First by who is joined to whom. Then by rank: how stiff the members are has no say in what can move, so all are taken
alike, which keeps what cannot move at all far from what is only soft. Least eigenvalues: 1e-6 of the demo racks,
8e-12 of a chain of 500 members held at one end, below 1e-19 of what moves freely. The freest motions come by inverse
iteration from fixed starting vectors.
"""

# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph
from scipy.sparse.linalg import splu

from rackgen.errors import FreeError
from rackgen.geom.frame import Array
from rackgen.strength.faults import said
from rackgen.strength.footing import assembled, footing
from rackgen.strength.model import FrameModel
from rackgen.strength.pieces import Indexes, pieces

FREE = 1e-14
"""Least eigenvalue, of a diagonal of ones, below which a motion is free."""

NOTHING = 1e-9
"""A freedom resisted by less than this is resisted by nothing; members taken alike resist by about 1."""

SHIFT = 1e-11
"""What is added to the diagonal so that a frame that moves can be factorised too."""

MOTIONS = 12
"""Free motions that are found at once; where there are more, the others come up when these are mended."""

ROUNDS = 4
"""Rounds of inverse iteration: each brings a free motion forward a hundred times and more."""

STILL = 1e-6
"""A node that moves less than this share of the most is at rest."""

NAMED = 8
"""Parts named in one sentence."""


def refuse(model: FrameModel) -> None:
    """Refuse a frame of which something can move.

    Args:
        model: one that `faults.refuse` lets pass.

    Raises:
        FreeError: with the parts of every piece that is not joined to the vehicle, else of all that moves and how.
    """
    reasons = list(_not_joined(model)) or list(_moving(model))
    if reasons:
        raise FreeError(reasons)


def _not_joined(model: FrameModel) -> Iterator[str]:
    numbers = {node.id: n for n, node in enumerate(model.nodes)}
    begins = [numbers[m.a] for m in model.members]
    ends = [numbers[m.b] for m in model.members]
    piece = _groups(len(numbers), begins, ends)
    held = {int(piece[numbers[s.node]]) for s in model.supports if any(k > 0.0 for k in s.stiffness)}
    for one in sorted(set(piece.tolist()) - held):
        parts = _parts(model, (n for n, begin in enumerate(begins) if piece[begin] == one))
        if held:
            yield f"{parts}: not joined to anything that the vehicle holds"
        else:
            yield f"{parts}: nothing holds it to the vehicle; the frame has no supports"


def _groups(count: int, begins: list[int], ends: list[int]) -> Indexes:
    """Return for each node the number of the connected group that it belongs to."""
    joined = sparse.coo_array((np.ones(len(begins)), (begins, ends)), shape=(count, count))
    return np.asarray(csgraph.connected_components(joined, directed=False)[1], dtype=np.intp)


def _moving(model: FrameModel) -> Iterator[str]:
    motions, at = _free_motions(model)
    if not motions.size:
        return
    sizes = np.linalg.norm(motions, axis=(1, 2))
    moves = sizes > STILL * sizes.max()
    numbers = {node.id: n for n, node in enumerate(model.nodes)}
    ends = [(numbers[m.a], numbers[m.b]) for m in model.members]
    both = [(a, b) for a, b in ends if moves[a] and moves[b]]
    group = _groups(len(numbers), [a for a, _ in both], [b for _, b in both])
    for one in sorted({int(g) for g in group[moves]}):
        nodes = np.flatnonzero(moves & (group == one))
        mine = set(nodes.tolist())
        parts = _parts(model, (n for n, (a, b) in enumerate(ends) if a in mine or b in mine))
        shapes, weights, _ = np.linalg.svd(motions[nodes].reshape(6 * len(nodes), -1), full_matrices=False)
        ways = int((weights > STILL * weights[0]).sum())
        if ways > 1:
            yield f"{parts}: can move in {ways} ways without bending anything; hold it, or join it more firmly"
        else:
            yield f"{parts}: {_words(at[nodes], shapes[:, 0].reshape(-1, 6), model, nodes)}"


def _free_motions(model: FrameModel) -> tuple[Array, Array]:
    """Return the free motions of the nodes, (nodes, 6, motions), and the nodes' places; lengths in mean members."""
    members = pieces(model, alike=True)
    feet = footing(model, alike=True)
    freedoms = 6 * len(model.nodes)
    whole = assembled(members.freedoms(), members.in_vehicle_axes(), freedoms) + feet.stiffness(freedoms)
    reduced = (feet.moves.T @ whole @ feet.moves).tocsc()
    count = reduced.shape[0]
    if count == 0:
        return np.zeros((len(model.nodes), 6, 0)), members.at
    # A turn that no member resists at all has nothing on its diagonal.
    diagonal = reduced.diagonal()
    even = sparse.diags_array(1.0 / np.sqrt(np.where(diagonal > NOTHING, diagonal, 1.0)))
    scaled = (even @ reduced @ even).tocsc()
    factor = splu(
        (scaled + SHIFT * sparse.eye_array(count)).tocsc(),
        permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True},
    )  # fmt: skip
    motions = _start(count)
    for _ in range(ROUNDS):
        motions = np.linalg.qr(factor.solve(motions))[0]
    energies, mix = np.linalg.eigh(motions.T @ (scaled @ motions))
    free = motions @ mix[:, energies < FREE]
    return (feet.moves @ (even @ free)).reshape(len(model.nodes), 6, -1), members.at


def _start(count: int) -> Array:
    """Return vectors without a pattern that a frame could share, the same ones always: multiples of roots of primes."""
    primes = np.array([2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37][: min(MOTIONS, count)], dtype=float)
    return np.modf(np.outer(np.arange(1, count + 1), np.sqrt(primes)))[0] - 0.5


def _words(at: Array, motion: Array, model: FrameModel, nodes: Indexes) -> str:
    """Return how something moves, in words."""
    middle = at.mean(axis=0)
    arms = at - middle
    # Rows: the way of each node is that of the whole and its turn crossed with the arm; its turn is the whole's.
    rows = np.zeros((len(at), 6, 6))
    rows[:, :3, :3] = np.eye(3)
    rows[:, 3:, 3:] = np.eye(3)
    for n, (x, y, z) in enumerate(arms):
        rows[n, :3, 3:] = [[0, z, -y], [-z, 0, x], [y, -x, 0]]
    rigid, *_ = np.linalg.lstsq(rows.reshape(-1, 6), motion.ravel(), rcond=None)
    off = np.linalg.norm(rows.reshape(-1, 6) @ rigid - motion.ravel()) / np.linalg.norm(motion)
    way, turn = np.asarray(rigid[:3], dtype=float), np.asarray(rigid[3:], dtype=float)
    place = ", ".join(f"{v:.0f}" for v in np.mean([model.nodes[n].at for n in nodes], axis=0))
    if off > 1e-3:
        return f"fold up about their hinges near ({place}) without bending anything; a joint must hold more"
    if np.linalg.norm(turn) < 1e-6 * np.linalg.norm(way):
        return f"nothing keeps it from sliding along {_direction(way)}; too few supports or joints hold it that way"
    if len(at) == 1 and np.linalg.norm(way) < 1e-6 * np.linalg.norm(turn):
        return f"free hinge at ({place}): no piece that meets there keeps it from turning about {_direction(turn)}"
    return f"nothing keeps it from turning about {_direction(turn)} near ({place}); too few supports or joints hold it"


def _direction(values: Array) -> str:
    one = values / np.linalg.norm(values)
    axis = int(np.abs(one).argmax())
    if abs(one[axis]) > 1.0 - 1e-6:
        return f"the vehicle's {'XYZ'[axis]}"
    one = one * np.sign(one[axis])
    return "(" + ", ".join(f"{v + 0.0:.2f}" for v in one) + ")"


def _parts(model: FrameModel, members: Iterable[int]) -> str:
    """Return the names of the parts of some members."""
    names = list(dict.fromkeys(model.members[n].part or said(model.members[n]) for n in members))
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
