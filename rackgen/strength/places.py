"""Where load comes onto a frame: tubes under the floor, cross bars, and where a strap may be hooked.

A floor spans fore and aft from one tube across to the next, so each carries half of the floor to its neighbours.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from rackgen.check.ladder import ladders
from rackgen.design.fittings.ladder import CLAMP
from rackgen.parts.kinds import BentTube, CutPlate
from rackgen.parts.rack import Along, Joint, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.strength.model import Deck, FrameModel, Member, Places

ACROSS = 0.9
"""A piece of tube whose direction has this much of Y runs across."""

SAME_ROW = 20.0
"""Pieces across whose middles are within this fore and aft are one row, mm."""

BARS = ("cross bar",)
BARE = ("cross bar", "bow", "front tube", "rear tube")
"""Words of the tubes across that carry long loads under a floor, and of those that carry where there is none."""

BEARS = ("bearer", "slat", "ring hoop")
"""Words of the tubes that a floor lies on, or that are the floor."""


def places(rack: Rack, model: FrameModel) -> Places:
    """Return where load comes onto a rack's frame."""
    by_id = {p.id: p for p in rack.placed}
    under = [m for m in model.members if m.kind == "tube" and _bears(by_id[m.part])]
    words = BARS if under else BARE
    bars = [m for m in model.members if m.kind == "tube" and by_id[m.part].word in words and _across(m, model)]
    ties = _ties(rack, model) if under else _bar_ends(bars, model)
    return Places(
        _floor(under, model), tuple(Deck(m.id, 0.0) for m in bars), ties, _top(rack, model, () if under else bars),
        _hung(rack, model),
    )  # fmt: skip


def clamped(rack: Rack) -> Iterator[tuple[Joint, float]]:
    """Yield where every ladder is clamped to a tube, with what its feet make 1 N on that clamp pull aft, N."""
    words = {p.id: p.word for p in rack.placed}
    for ladder in ladders(rack):
        for joint in rack.joints:
            ours = joint.a.part.startswith(f"{ladder.name}.") and words[joint.a.part] == CLAMP
            if ours and joint.kind == "contact" and isinstance(joint.b, Along):
                yield joint, ladder.run / ladder.below


def _hung(rack: Rack, model: FrameModel) -> tuple[tuple[str, float], ...]:
    """Return the nodes that ladders are clamped to."""
    by_id = {p.id: p for p in rack.placed}
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    out: list[tuple[str, float]] = []
    for joint, pull in clamped(rack):
        on = sorted({n for m in model.members if m.part == joint.b.part for n in (m.a, m.b)})
        if on:
            point = anchor_point(joint.b, by_id)
            out.append((min(on, key=lambda n: float(np.linalg.norm(at[n] - point))), pull))
    return tuple(out)


def _bears(placed: Placed) -> bool:
    return placed.word in BEARS and not placed.id.startswith(("basket.middle", "basket.upper"))


def _floor(under: list[Member], model: FrameModel) -> tuple[Deck, ...]:
    """Return the members across under the floor, each with half of the way to the rows before and behind it."""
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    across = [(float((at[m.a] + at[m.b])[0]) / 2, m.id) for m in under if _across(m, model)]
    rows: list[list[tuple[float, str]]] = []
    for x, member in sorted(across):
        if rows and x - rows[-1][0][0] < SAME_ROW:
            rows[-1].append((x, member))
        else:
            rows.append([(x, member)])
    xs = [float(np.mean([x for x, _ in row])) for row in rows]
    if len(rows) < 2:
        return tuple(Deck(member, 0.0) for row in rows for _, member in row)
    gaps = [b - a for a, b in itertools.pairwise(xs)]
    widths = [(before + behind) / 2 for before, behind in zip([0.0, *gaps], [*gaps, 0.0], strict=True)]
    return tuple(Deck(member, width) for row, width in zip(rows, widths, strict=True) for _, member in row)


def _across(member: Member, model: FrameModel) -> bool:
    """Return whether a piece of tube runs across the vehicle."""
    at = {n.id: n.at for n in model.nodes if n.id in (member.a, member.b)}
    way = np.subtract(at[member.b], at[member.a])
    return bool(abs(way[1]) > ACROSS * float(np.linalg.norm(way)))


def _bar_ends(bars: list[Member], model: FrameModel) -> tuple[tuple[str, str], ...]:
    """Return both ends of every bar that carries alone: there a strap may be hooked."""
    at = {n.id: n.at for n in model.nodes}
    of: dict[PartId, set[str]] = {}
    for m in bars:
        of.setdefault(m.part, set()).update((m.a, m.b))
    out: list[tuple[str, str]] = []
    for part, nodes in of.items():
        rising = sorted(nodes, key=lambda n: (at[n][1], n))
        out += [
            (f"{part.removeprefix('frame.')}.{side}", n) for side, n in (("left", rising[0]), ("right", rising[-1]))
        ]
    return tuple(sorted(out))


def _ties(rack: Rack, model: FrameModel) -> tuple[tuple[str, str], ...]:
    """Return the nodes of the highest ring where something stands under it: there a strap may be hooked."""
    ring = {p.id for p in rack.placed if p.word == "ring hoop" and p.id.startswith("basket.upper")}
    uprights = {p.id: p for p in rack.placed if p.word == "upright"}
    of_ring = {m.a for m in model.members if m.part in ring} | {m.b for m in model.members if m.part in ring}
    out: dict[str, str] = {}
    for m in model.members:
        if m.kind != "link":
            continue
        foot, head = (m.a, m.b) if m.b in of_ring else (m.b, m.a)
        part: PartId = foot.rsplit(":", 1)[0]
        if head in of_ring and part in uprights:
            out[part.removeprefix("basket.")] = head
    return tuple(sorted(out.items()))


def _top(rack: Rack, model: FrameModel, bare: Sequence[Member]) -> float:
    """Return the height that a load stands on: the floor, or the top of the cross bars, the highest of bars alone."""
    if bare:
        at = {n.id: n.at for n in model.nodes}
        sizes = {p.id: p.part.section.od / 2 for p in rack.placed if isinstance(p.part, BentTube)}
        return max(max(at[m.a][2], at[m.b][2]) + sizes[m.part] for m in bare)
    floors = [p for p in rack.placed if p.id.startswith("basket.floor") and isinstance(p.part, CutPlate)]
    if floors:
        return max(p.frame.origin[2] + getattr(p.part, "thickness", 0.0) for p in floors)
    tubes = [p for p in rack.placed if isinstance(p.part, BentTube) and p.word in ("bearer", "slat", "cross bar")]
    return max((p.frame.origin[2] + p.part.section.od / 2 for p in tubes if isinstance(p.part, BentTube)), default=0.0)
