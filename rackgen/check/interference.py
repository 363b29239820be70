"""Parts that run through one another, where no joint says so.

A branch coped to its header touches it all round, and a mesh's flat facets cannot tell that from running in; there the
branch's own points are held to the header's cylinder. Every other pair, joined or not, may touch and no more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from rackgen.check.bodies import TOLERANCE, Body, crossing, depth, meet
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Vec, vec
from rackgen.geom.spine import pieces
from rackgen.mesh.points import points
from rackgen.mesh.triangles import triangles
from rackgen.parts.kinds import BentTube, Bought, CapShape
from rackgen.parts.rack import AtEnd, Joint, PartId, Placed, Rack

BEDDING = "bedding"
"""Sealant beds take the shape of the gap they fill; they run into nothing."""

ALONG_BRANCH = 10.0
"""Spacing of the points of a branch that are held to its header, mm; the copes' own mesh is far finer."""


def interference_findings(rack: Rack, of: Mapping[PartId, Body]) -> list[Finding]:
    """Return every pair of parts that run through one another by more than 0.05 mm.

    Args:
        rack: the rack.
        of: its bodies.
    """
    coped = _seats(rack, of)
    caps = dict(_beside_caps(rack, of, coped))
    out: list[Finding] = []
    for a, b in near_pairs(tuple(one for one in of.values() if one.placed.word != BEDDING)):
        seated = coped.get(_pair(a.placed.id, b.placed.id))
        if seated is not None:
            branch, header = (a, b) if seated == a.placed.id else (b, a)
            deep, at = into_header(branch.placed, header.placed)
            if deep > TOLERANCE:
                out.append(_runs_through(branch.placed, header.placed, deep, at))
        elif _pair(a.placed.id, b.placed.id) in caps:
            cap, branch = (a, b) if caps[_pair(a.placed.id, b.placed.id)] == a.placed.id else (b, a)
            deep, at = into_cap(branch.placed, cap.placed)
            if deep > TOLERANCE:
                out.append(_runs_through(branch.placed, cap.placed, deep, at))
        elif meet(a, b):
            out.append(_runs_through(a.placed, b.placed, *_how_deep(a, b)))
    return out


def _seats(rack: Rack, of: Mapping[PartId, Body]) -> dict[tuple[PartId, PartId], PartId]:
    """Return pairs of a branch and a tube that it seats on, each with the branch; beside a butt it seats on both."""
    butted: dict[PartId, list[PartId]] = {}
    for joint in rack.joints:
        if joint.kind == "butt with sleeve":
            butted.setdefault(joint.a.part, []).append(joint.b.part)
            butted.setdefault(joint.b.part, []).append(joint.a.part)
    out: dict[tuple[PartId, PartId], PartId] = {}
    for joint in (j for j in rack.joints if _is_cope(j, of)):
        for header in (_header(joint), *butted.get(_header(joint), ())):
            out.setdefault(_pair(_branch(joint), header), _branch(joint))
    return out


def _beside_caps(
    rack: Rack, of: Mapping[PartId, Body], coped: Mapping[tuple[PartId, PartId], PartId]
) -> Iterator[tuple[tuple[PartId, PartId], PartId]]:
    """Yield pairs of a branch and the cap in its header's end, each with the cap: its head goes on as the tube did."""
    for joint in rack.joints:
        cap = of[joint.a.part].placed
        if not (isinstance(cap.part, Bought) and isinstance(cap.part.shape, CapShape)):
            continue
        for pair, branch in coped.items():
            if joint.b.part in pair and joint.b.part != branch:
                yield _pair(branch, cap.id), cap.id


def near_pairs(of: tuple[Body, ...]) -> list[tuple[Body, Body]]:
    """Return the pairs whose boxes along the vehicle's axes meet, in the order of the bodies."""
    if len(of) < 2:
        return []
    low, high = np.array([b.low for b in of]), np.array([b.high for b in of])
    meets = np.all((low[:, None] <= high[None]) & (high[:, None] >= low[None]), axis=-1)
    first, second = np.nonzero(np.triu(meets, 1))
    return [(of[int(i)], of[int(j)]) for i, j in zip(first, second, strict=True)]


def into_header(branch: Placed, header: Placed) -> tuple[float, Vec]:
    """Return how deep the branch's deepest point lies inside the header's outside, mm, and that point, vehicle frame.

    Negative when it stays outside. The header counts as solid: a branch that reaches into its bore is through its wall.
    """
    part = header.part
    assert isinstance(part, BentTube)
    own = np.concatenate([triangles(branch.part).vertices, points(branch.part, ALONG_BRANCH)])
    at = branch.frame.points(own)
    local = header.frame.to_local(at)
    best = np.full(len(local), -np.inf)
    for piece in pieces(part.spine):
        p = piece.frame.to_local(local)
        if piece.bend is None:
            off, along = np.hypot(p[:, 1], p[:, 2]), p[:, 0]
        else:
            a = np.radians(piece.bend.turn)
            toward = np.array([0.0, -np.sin(a), np.cos(a)])
            aside = np.array([0.0, np.cos(a), np.sin(a)])
            x, z, y = p[:, 0], piece.bend.clr - p @ toward, p @ aside
            off, along = np.hypot(np.hypot(x, z) - piece.bend.clr, y), np.arctan2(x, z) * piece.bend.clr
        inside = (along >= 0) & (along <= piece.length)
        best = np.where(inside, np.maximum(best, part.fitted.od / 2 - off), best)
    k = int(np.argmax(best))
    return float(best[k]), vec(at[k])


def into_cap(branch: Placed, cap: Placed) -> tuple[float, Vec]:
    """Return how deep a branch's deepest point lies in the head of a cap, mm, and that point, vehicle frame."""
    assert isinstance(cap.part, Bought)
    shape = cap.part.shape
    assert isinstance(shape, CapShape)
    at = branch.frame.points(np.concatenate([triangles(branch.part).vertices, points(branch.part, ALONG_BRANCH)]))
    local = cap.frame.to_local(at)
    inside = (local[:, 2] > TOLERANCE) & (local[:, 2] < shape.head_height - TOLERANCE)
    deep = np.where(inside, shape.od / 2 - np.hypot(local[:, 0], local[:, 1]), -np.inf)
    k = int(np.argmax(deep))
    return float(deep[k]), vec(at[k])


def _how_deep(a: Body, b: Body) -> tuple[float, Vec]:
    """Return how far one body must move to come out of the other, mm, and the middle of where they cross."""
    line = crossing(a, b)
    if not len(line):
        return TOLERANCE, vec((np.maximum(a.low, b.low) + np.minimum(a.high, b.high)) / 2)
    middle = line.mean(axis=0)
    axes = np.linalg.eigh((line - middle).T @ (line - middle)).eigenvectors
    across = float(np.ptp((line - middle) @ axes, axis=0).min())
    return min(depth(a, b, np.concatenate([np.eye(3), axes.T])), across + TOLERANCE), vec(middle)


def _runs_through(a: Placed, b: Placed, deep: float, at: Vec) -> Finding:
    return Finding(
        "runs-through",
        Level.STOP,
        (a.id, b.id),
        f"{a.word} {a.id} runs {deep:.1f} mm into {b.word} {b.id}",
        at=vec(np.round(at, 3)),
        got=round(deep, 3),
        limit=TOLERANCE,
        source="two bodies cannot be in one place",
        help=f"move one of them by at least {deep:.1f} mm, or join them so that one is cut to the other",
    )


def _is_cope(joint: Joint, of: Mapping[PartId, Body]) -> bool:
    return joint.kind == "coped weld" and isinstance(of[_header(joint)].placed.part, BentTube)


def _branch(joint: Joint) -> PartId:
    if joint.yields is not None:
        return joint.a.part if joint.yields == "a" else joint.b.part
    return joint.a.part if isinstance(joint.a, AtEnd) else joint.b.part


def _header(joint: Joint) -> PartId:
    return joint.b.part if _branch(joint) == joint.a.part else joint.a.part


def _pair(a: PartId, b: PartId) -> tuple[PartId, PartId]:
    return (a, b) if a <= b else (b, a)
