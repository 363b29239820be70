"""Where tubes land on tubes: past bends and butts, and how wide the gap at the root is that the weld has to fill."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from rackgen.check.bodies import Body, distance
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Vec
from rackgen.geom.spine import Spine, frame_at, length, pieces
from rackgen.mesh.tube import columns, end_rings
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Along, AtEnd, Joint, PartId, Placed, Rack
from rackgen.refs.registry import number

NOISE = 0.05
APART = 5.0
"""Parts that stand farther apart than this where they are joined do not meet, mm (common practice, no source)."""


def landing_findings(rack: Rack, of: Mapping[PartId, Body]) -> list[Finding]:
    """Return branches that land on or too near a bend or a butt, and joints whose parts do not meet.

    Args:
        rack: the rack.
        of: its bodies.
    """
    parts = {p.id: p for p in rack.placed}
    butts = _butts(rack, parts)
    out: list[Finding] = []
    for joint in rack.joints:
        a, b = parts[joint.a.part], parts[joint.b.part]
        if joint.kind == "coped weld":
            for branch, on in ((joint.a, joint.b), (joint.b, joint.a)):
                if isinstance(branch, AtEnd) and isinstance(on, Along):
                    header = parts[on.part]
                    landed = _landed(parts[branch.part], header, on.at, butts.get(on.part, ()))
                    out += landed
                    # On a bend or across a butt the gap at the root says nothing more.
                    if all(f.level is not Level.STOP for f in landed):
                        out += _root(joint, branch, parts[branch.part], header)
        elif joint.kind in ("plane weld", "mitre weld", "fillet") and a.id != b.id:
            out += _gap(joint, a, b, distance(of[a.id], of[b.id]), a.frame.origin)
    return out


def _butts(rack: Rack, parts: dict[PartId, Placed]) -> dict[PartId, tuple[float, ...]]:
    """Return, for each butted tube, where its butts are along it."""
    out: dict[PartId, tuple[float, ...]] = {}
    for joint in rack.joints:
        if joint.kind != "butt with sleeve":
            continue
        for anchor in (joint.a, joint.b):
            part = parts[anchor.part].part
            if isinstance(anchor, AtEnd) and isinstance(part, BentTube):
                at = 0.0 if anchor.end == "A" else length(part.spine)
                out[anchor.part] = (*out.get(anchor.part, ()), at)
    return out


def _landed(branch: Placed, header: Placed, at: float, butts: tuple[float, ...]) -> list[Finding]:
    if not isinstance(header.part, BentTube) or not isinstance(branch.part, BentTube):
        return []
    od, half = header.part.section.od, branch.part.section.od / 2
    out: list[Finding] = []
    for what, places, rule in (
        ("a bend's tangent", _tangents(header.part.spine), number("past-tangent")),
        ("a butt", butts, number("past-butt")),
    ):
        near = min(places, key=lambda p: abs(p - at), default=None)
        if near is None:
            continue
        inside = what != "a butt" and _in_bend(header.part.spine, at)
        off, need = -abs(at - near) if inside else abs(at - near), rule.value * od
        if off >= need - NOISE:
            continue
        good = near + math.copysign(need, (near - at) if inside else (at - near))
        where = f"{-off:.0f} mm into a bend" if inside else f"{off:.0f} mm past {what}"
        out.append(
            Finding(
                "lands-near-bend" if what != "a butt" else "lands-near-butt",
                Level.STOP if off < half else Level.LOOK,
                (branch.id, header.id),
                f"{branch.word} {branch.id} lands on {header.word} {where}; {need:.0f} mm past {what} is wanted",
                at=header.frame.point(frame_at(header.part.spine, at).origin),
                got=off,
                limit=need,
                source=rule.cited,
                help=f"the nearest good place is {abs(good - at):.0f} mm further on, {good:.0f} mm from its end A",
            )
        )
    return out


def _tangents(spine: Spine) -> list[float]:
    return [s for p in pieces(spine) if p.bend is not None for s in (p.start, p.start + p.length)]


def _in_bend(spine: Spine, at: float) -> bool:
    return any(p.bend is not None and p.start < at < p.start + p.length for p in pieces(spine))


def _root(joint: Joint, branch: AtEnd, placed: Placed, header: Placed) -> list[Finding]:
    """Hold the gap at the root of a coped end to its limit: at each clock where the wall is nearest the header."""
    part, other = placed.part, header.part
    if not isinstance(part, BentTube) or not isinstance(other, BentTube):
        return []
    clocks, _ = columns(part)
    outer, inner = part.fitted.od / 2, part.fitted.od / 2 - part.fitted.wall
    rings = end_rings(part, branch.end, [float(r) for r in np.linspace(inner, outer, 5)], clocks)
    local = header.frame.to_local(placed.frame.points(rings))
    off = np.full(rings.shape[:2], np.inf)
    for piece in pieces(other.spine):
        if piece.bend is None:
            p = piece.frame.to_local(local)
            beyond = np.maximum(0.0, np.maximum(-p[..., 0], p[..., 0] - piece.length))
            off = np.minimum(off, np.hypot(np.hypot(p[..., 1], p[..., 2]) - other.fitted.od / 2, beyond))
    cuts = part.end_a if branch.end == "A" else part.end_b
    each = off.min(axis=0)
    # An end with several cuts meets this header only at the clocks that are cut to it.
    gap = float(each.max() if len(cuts) == 1 else each.min())
    return _gap(joint, placed, header, gap, placed.frame.point(rings.mean(axis=(0, 1))))


def _gap(joint: Joint, a: Placed, b: Placed, gap: float, at: Vec) -> list[Finding]:
    limit = number("root-gap-look")
    if gap <= limit.value + NOISE:
        return []
    return [
        Finding(
            "root-gap",
            Level.STOP if gap > APART else Level.LOOK,
            (a.id, b.id),
            f"{a.word} {a.id} stands {gap:.1f} mm off {b.word} {b.id} at {joint.kind} {joint.id}; "
            f"up to {limit.value:.1f} mm can be filled",
            at=at,
            got=gap,
            limit=limit.value,
            source=limit.cited,
            help="cut it again, or move one of the two",
        )
    ]
