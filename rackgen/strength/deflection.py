"""How far tubes bow between what holds them, and how far they come down. Limits are common practice, no source."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array, vec
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.registry import number
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member, axes

LEAST_SPAN = 150.0
"""Shorter stretches than this are not looked at, mm."""


@dataclass(frozen=True, eq=False)
class Stretch:
    """A straight stretch of tube from one place that is held, bend or end to the next.

    Attributes:
        members: their numbers in the model, in order.
        begin: number of the node at its begin.
        end: of that at its end.
        span: mm.
        held: whether both of its ends are held by something else than its own tube.
    """

    members: tuple[int, ...]
    begin: int
    end: int
    span: float
    held: bool


def deflection_limits(model: FrameModel, rack: Rack) -> tuple[Limit, ...]:
    """Return the checks of how far tubes bow and come down."""
    found = tuple(x for x in stretches(model) if x.held)
    if not any(m.kind == "tube" for m in model.members):
        return ()
    return (*((_bow(model, rack, found),) if found else ()), _down(model, rack))


def stretches(model: FrameModel) -> tuple[Stretch, ...]:
    """Return the straight stretches of tube of a frame that are long enough to bow or swing."""
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    touching: dict[str, set[str]] = defaultdict(set)
    for m in model.members:
        for node in (m.a, m.b):
            touching[node].add(m.part if m.kind == "tube" else m.id)
    held = {node for node, found in touching.items() if len(found) > 1} | {s.node for s in model.supports}
    by_part: dict[PartId, list[tuple[float, int, Member]]] = defaultdict(list)
    for i, m in enumerate(model.members):
        if m.kind == "tube":
            by_part[m.part].append((m.from_a, i, m))
    out: list[Stretch] = []
    for rows in by_part.values():
        runs: list[list[tuple[int, Member]]] = [[]]
        for _, i, m in sorted(rows, key=lambda r: (r[0], r[1])):
            if runs[-1] and (m.bend > 0 or m.a in held or runs[-1][-1][1].b != m.a):
                runs.append([])
            if m.bend <= 0:
                runs[-1].append((i, m))
        for run in runs:
            if run:
                begin, end = run[0][1].a, run[-1][1].b
                span = float(np.linalg.norm(np.subtract(model.nodes[numbers[end]].at, model.nodes[numbers[begin]].at)))
                if span >= LEAST_SPAN:
                    both = begin in held and end in held
                    out.append(Stretch(tuple(i for i, _ in run), numbers[begin], numbers[end], span, both))
    return tuple(out)


def middles(model: FrameModel, members: NDArray[np.intp], loaded: Loaded) -> Array:
    """Return how far the middles of straight members move, vehicle axes, mm, (members, 3, cases).

    Ends and slopes give a cubic; an even load between bows it by w L⁴ / 384 E I more.
    """
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    out = np.zeros((len(members), 3, loaded.moved.shape[-1]))
    for row, i in enumerate(members):
        m = model.members[int(i)]
        a, b = numbers[m.a], numbers[m.b]
        pa, pb = model.nodes[a].at, model.nodes[b].at
        turn = axes(pa, pb, m.up)
        length = float(np.linalg.norm(np.subtract(pb, pa)))
        one, other = turn @ loaded.moved[a, :3], turn @ loaded.moved[b, :3]
        twist, untwist = turn @ loaded.moved[a, 3:], turn @ loaded.moved[b, 3:]
        w = -(loaded.ends[int(i), 0, :3] + loaded.ends[int(i), 1, :3]) / length
        middle = (one + other) / 2
        middle[1] += length / 8 * (twist[2] - untwist[2]) + w[1] * length**4 / (384 * m.elastic.e * m.properties.iz)
        middle[2] -= length / 8 * (twist[1] - untwist[1]) - w[2] * length**4 / (384 * m.elastic.e * m.properties.iy)
        out[row] = turn.T @ middle
    return out


def _bow(model: FrameModel, rack: Rack, found: tuple[Stretch, ...]) -> Limit:
    share = number("sag-share")
    at = np.array([n.at for n in model.nodes])
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    by_id = {p.id: p for p in rack.placed}
    places: list[Spot] = []
    for x in found:
        first, last = model.members[x.members[0]], model.members[x.members[-1]]
        word = by_id[first.part].word if first.part in by_id else "tube"
        what = f"{word} {first.part}, between {first.from_a:.0f} and {last.from_b:.0f} mm from its end A"
        bears = f"a bow of {x.span / share.value:.1f} mm on {x.span:.0f} mm"
        places.append(Spot(what, (first.part,), vec((at[x.begin] + at[x.end]) / 2), bears))
    every = np.array([i for x in found for i in x.members], dtype=np.intp)

    def use(loaded: Loaded) -> Array:
        between = middles(model, every, loaded)
        rows: list[Array] = []
        k = 0
        for x in found:
            way = (at[x.end] - at[x.begin]) / x.span
            one, other = loaded.moved[x.begin, :3], loaded.moved[x.end, :3]
            most = np.zeros(loaded.moved.shape[-1])
            for i in x.members:
                m = model.members[i]
                a, b = numbers[m.a], numbers[m.b]
                for point, moved in ((at[b], loaded.moved[b, :3]), ((at[a] + at[b]) / 2, between[k])):
                    s = float((point - at[x.begin]) @ way) / x.span
                    off = moved - (one + s * (other - one))
                    off = off - way[:, None] * (way @ off)
                    most = np.maximum(most, np.linalg.norm(off, axis=0))
                k += 1
            rows.append(most * share.value / x.span)
        return np.array(rows)

    return Limit("tube-bow", "tube bowed between what holds it", 1.0, "deflection", share.cited, share.tag,
                 tuple(places), use)  # fmt: skip


def _down(model: FrameModel, rack: Rack) -> Limit:
    most = number("drop-most")
    by_id = {p.id: p for p in rack.placed}
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    nodes: dict[PartId, list[int]] = defaultdict(list)
    for m in model.members:
        if m.kind == "tube":
            nodes[m.part] += [numbers[m.a], numbers[m.b]]
    places: list[Spot] = []
    groups = [(part, np.array(sorted(set(found)), dtype=np.intp)) for part, found in nodes.items()]
    for part, found in groups:
        word = by_id[part].word if part in by_id else "tube"
        middle = model.nodes[int(found[len(found) // 2])].at
        places.append(Spot(f"{word} {part}", (part,), middle, f"{most.value:g} mm downward"))

    def use(loaded: Loaded) -> Array:
        return np.array([np.maximum(-loaded.moved[found, 2], 0.0).max(axis=0) for _, found in groups]) / most.value

    return Limit("tube-down", "tube coming down toward the roof", 1.0, "deflection", most.cited, most.tag,
                 tuple(places), use)  # fmt: skip


def sag(model: FrameModel, loaded: Loaded) -> Array:
    """Return how far the lowest-going node of the tubes comes down in each case, mm; 0 where none does."""
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    found = sorted({numbers[node] for m in model.members if m.kind == "tube" for node in (m.a, m.b)})
    return np.maximum(-loaded.moved[found, 2], 0.0).max(axis=0)
