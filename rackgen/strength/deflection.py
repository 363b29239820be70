"""How far tubes bow between what holds them, and how far they come down. Limits are common practice, no source."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.geom.frame import Array, vec
from rackgen.parts.rack import PartId, Rack
from rackgen.refs.registry import number
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member, axes
from rackgen.strength.sections import part_words

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


class Middles:
    """The middles of straight members: how far they move.

    Ends and slopes give a cubic; an even load between bows it by w L⁴ / 384 E I more.
    """

    def __init__(self, model: FrameModel, members: Sequence[int]) -> None:
        numbers = {n.id: i for i, n in enumerate(model.nodes)}
        some = [model.members[i] for i in members]
        at = np.array([n.at for n in model.nodes])
        self.members = np.array(members, dtype=np.intp)
        self.a = np.array([numbers[m.a] for m in some], dtype=np.intp)
        self.b = np.array([numbers[m.b] for m in some], dtype=np.intp)
        self.length = np.linalg.norm(at[self.b] - at[self.a], axis=1)[:, None]
        self.turn = np.array([axes(vec(at[a]), vec(at[b]), m.up) for m, a, b in zip(some, self.a, self.b, strict=True)])
        soft = self.length[:, 0] ** 4 / (384 * np.array([m.elastic.e for m in some]))
        self.soft_y = (soft / np.array([m.properties.iz for m in some]))[:, None]
        self.soft_z = (soft / np.array([m.properties.iy for m in some]))[:, None]

    def moved(self, loaded: Loaded) -> Array:
        """Return how far they move, vehicle axes, mm, (members, 3, cases)."""
        a, b = loaded.moved[self.a], loaded.moved[self.b]
        middle = self.turn @ ((a[:, :3] + b[:, :3]) / 2)
        slope = self.turn @ (a[:, 3:] - b[:, 3:]) * self.length[:, :, None] / 8
        ends = loaded.ends[self.members]
        w = -(ends[:, 0, :3] + ends[:, 1, :3]) / self.length[:, :, None]
        middle[:, 1] += slope[:, 2] + w[:, 1] * self.soft_y
        middle[:, 2] -= slope[:, 1] - w[:, 2] * self.soft_z
        return self.turn.transpose(0, 2, 1) @ middle


def _bow(model: FrameModel, rack: Rack, found: tuple[Stretch, ...]) -> Limit:
    share = number("sag-share")
    at = np.array([n.at for n in model.nodes])
    by_id = {p.id: p for p in rack.placed}
    places: list[Spot] = []
    for x in found:
        begins, ends = model.members[x.members[0]], model.members[x.members[-1]]
        what = f"{part_words(by_id, begins.part)}, between {begins.from_a:.0f} and {ends.from_b:.0f} mm from its end A"
        bears = f"a bow of {x.span / share.value:.1f} mm on {x.span:.0f} mm"
        places.append(Spot(what, (begins.part,), vec((at[x.begin] + at[x.end]) / 2), bears))
    counts = [len(x.members) for x in found]
    first = np.cumsum([0, *counts[:-1]])
    middles = Middles(model, [i for x in found for i in x.members])
    begin, end = np.repeat([x.begin for x in found], counts), np.repeat([x.end for x in found], counts)
    span = np.array([x.span for x in found])
    way = (at[end] - at[begin]) / np.repeat(span, counts)[:, None]

    def share_of(points: Array) -> Array:
        return (np.einsum("nk,nk->n", points - at[begin], way) / np.repeat(span, counts))[:, None, None]

    between, last_at = share_of((at[middles.a] + at[middles.b]) / 2), share_of(at[middles.b])

    def use(loaded: Loaded) -> Array:
        one, other = loaded.moved[begin, :3], loaded.moved[end, :3]
        most = np.zeros((len(begin), loaded.moved.shape[-1]))
        for s, moved in ((between, middles.moved(loaded)), (last_at, loaded.moved[middles.b, :3])):
            off = moved - one - s * (other - one)
            off = off - way[:, :, None] * np.einsum("nk,nkc->nc", way, off)[:, None]
            most = np.maximum(most, np.linalg.norm(off, axis=1))
        return np.maximum.reduceat(most, first, axis=0) * share.value / span[:, None]

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
        middle = model.nodes[int(found[len(found) // 2])].at
        places.append(Spot(part_words(by_id, part), (part,), middle, f"{most.value:g} mm downward"))

    def use(loaded: Loaded) -> Array:
        return np.array([np.maximum(-loaded.moved[found, 2], 0.0).max(axis=0) for _, found in groups]) / most.value

    return Limit("tube-down", "tube coming down toward the roof", 1.0, "deflection", most.cited, most.tag,
                 tuple(places), use)  # fmt: skip


def sag(model: FrameModel, loaded: Loaded) -> Array:
    """Return how far the lowest-going node of the tubes comes down in each case, mm; 0 where none does."""
    numbers = {n.id: i for i, n in enumerate(model.nodes)}
    found = sorted({numbers[node] for m in model.members if m.kind == "tube" for node in (m.a, m.b)})
    return np.maximum(-loaded.moved[found, 2], 0.0).max(axis=0)
