"""Nodes where load comes on: in the middle of bearers and cross bars, and where the floor's halves meet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rackgen.geom.frame import vec
from rackgen.strength.floor import AT_NODE, chains, extent, stretches
from rackgen.strength.model import Deck, FrameModel, Member, Node

ALONG = 1e-3
"""A member that changes by less than this of its length across a line runs beside it."""


def split_for_load(model: FrameModel) -> FrameModel:
    """Return the model with floor members split at the floor's two middle lines, and cross bars at their middles.

    A person or a long item then stands on a node in mid-span instead of being spread along the member. Pieces are named
    `<member>.1`, `<member>.2`, the node between them `<member>.middle`; everything else stays as it was.
    """
    while (more := _split_once(model)) is not model:
        model = more
    return model


def _split_once(model: FrameModel) -> FrameModel:
    """Return the model with every member split once where a line crosses it; the model itself where none does."""
    cuts: list[tuple[str, int, float]] = []
    floor = stretches(model, model.places.floor)
    if floor:
        low, high = extent(floor)
        cuts += [(s.member, axis, float(low[axis] + high[axis]) / 2) for axis in (1, 0) for s in floor]
    for bar in chains(stretches(model, model.places.bars)):
        low, high = extent(bar)
        axis = int(np.argmax((high - low)[:2]))
        cuts += [(s.member, axis, float(low[axis] + high[axis]) / 2) for s in bar]
    done: set[str] = set()
    for member, axis, at in cuts:
        if member not in done and (share := _share(model, member, axis, at)) is not None:
            model = _split(model, member, share)
            done.add(member)
    return model


def _share(model: FrameModel, member: str, axis: int, at: float) -> float | None:
    """Return where along a member a line crosses it, or None where it does not, or only at an end."""
    nodes = {n.id: n.at for n in model.nodes}
    m = next(m for m in model.members if m.id == member)
    a, b = np.array(nodes[m.a]), np.array(nodes[m.b])
    length = float(np.linalg.norm(b - a))
    if abs(b[axis] - a[axis]) < ALONG * length:
        return None
    share = float((at - a[axis]) / (b[axis] - a[axis]))
    return share if min(share, 1 - share) * length > AT_NODE else None


def _split(model: FrameModel, member: str, share: float) -> FrameModel:
    nodes = {n.id: n.at for n in model.nodes}
    m = next(m for m in model.members if m.id == member)
    middle = Node(f"{m.id}.middle", vec(np.array(nodes[m.a]) * (1 - share) + np.array(nodes[m.b]) * share))
    along = m.from_a * (1 - share) + m.from_b * share
    first = replace(m, id=f"{m.id}.1", b=middle.id, from_b=along, free_b=())
    second = replace(m, id=f"{m.id}.2", a=middle.id, from_a=along, free_a=())

    def halved(decks: tuple[Deck, ...]) -> tuple[Deck, ...]:
        out: list[Deck] = []
        for deck in decks:
            pieces = (first.id, second.id) if deck.member == m.id else (deck.member,)
            out += [replace(deck, member=piece) for piece in pieces]
        return tuple(out)

    members: list[Member] = []
    for old in model.members:
        members += [first, second] if old is m else [old]
    places = replace(model.places, floor=halved(model.places.floor), bars=halved(model.places.bars))
    return replace(model, nodes=(*model.nodes, middle), members=tuple(members), places=places)
