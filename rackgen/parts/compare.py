"""What changes between two racks, part by part: what of each is made anew and what stays good.

Parts are matched by id, that is by their role and place. Where a tube may be described from either end, the description
that keeps more of it is taken.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import assert_never, cast

from rackgen.geom import spine
from rackgen.parts.bend_order import turned_round
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar, Part
from rackgen.parts.marks import marks
from rackgen.parts.rack import PartId, Rack

SAME = 0.02
"""Numbers that differ by less are the same to a saw, mm and degrees."""


@dataclass(frozen=True)
class Redone:
    """One thing about a part that differs.

    Attributes:
        what: in words: "saw length", "bend 1 starts", "end A" ...
        before: mm or degrees, or None where it is not one number.
        after: mm or degrees, or None where it is not one number.
    """

    what: str
    before: float | None = None
    after: float | None = None


@dataclass(frozen=True)
class Change:
    """Parts of one mark that change alike.

    Attributes:
        before: their mark in the rack before, "" for new parts.
        after: their mark in the rack after, "" for parts that are gone.
        word: what the shop calls them.
        ids: theirs, sorted.
        redo: what differs; empty for parts that are kept, new or gone.
        keep: what stays as it is.
    """

    before: str
    after: str
    word: str
    ids: tuple[PartId, ...]
    redo: tuple[Redone, ...]
    keep: tuple[str, ...]

    @property
    def state(self) -> str:
        """One word: "new", "gone", "redo" or "keep"."""
        return "new" if not self.before else "gone" if not self.after else "redo" if self.redo else "keep"


@dataclass(frozen=True)
class ChangeSheet:
    """All changes, by the marks of the rack after; what is gone stands last."""

    changes: tuple[Change, ...]


def compare(a: Rack, b: Rack) -> ChangeSheet:
    """Return what to do to a rack's parts so that they are another rack's.

    Args:
        a: the rack as it was.
        b: the rack as it shall be.
    """
    marks_a, marks_b = marks(a), marks(b)
    parts_a, parts_b = ({p.id: p for p in rack.placed} for rack in (a, b))
    found: dict[Change, list[PartId]] = {}
    for part_id in sorted(parts_a.keys() | parts_b.keys()):
        old, new = parts_a.get(part_id), parts_b.get(part_id)
        redo, keep = differences(old.part, new.part) if old and new else ((), ())
        one = new or old
        assert one is not None
        change = Change(marks_a.get(part_id, ""), marks_b.get(part_id, ""), one.word, (), redo, keep)
        found.setdefault(change, []).append(part_id)
    made = (dataclasses.replace(change, ids=tuple(ids)) for change, ids in found.items())
    return ChangeSheet(tuple(sorted(made, key=_rank)))


def _rank(change: Change) -> tuple[bool, int, int, tuple[PartId, ...]]:
    mark = change.after or change.before
    return not change.after, "TBPH".index(mark[0]), int(mark[1:]), change.ids


def differences(old: Part, new: Part) -> tuple[tuple[Redone, ...], tuple[str, ...]]:
    """Return what of a part is made anew, and what is kept."""
    if type(old) is not type(new):
        return (Redone("the whole part"),), ()
    tries = [_split(features(old), features(new))]
    if isinstance(old, BentTube):
        tries.append(_split(features(turned_round(old)), features(new)))
    return min(tries, key=lambda t: len(t[0]))


def features(part: Part) -> Mapping[str, object]:
    """Return what makes a part, each thing under the words that a change sheet uses."""
    match part:
        case BentTube():
            return {"stock": part.stock.name, **_tube(part)}
        case FoldedBar():
            flats = {f"flat {i}": length for i, length in enumerate(part.flats, 1)}
            folds = {f"fold {i}": fold for i, fold in enumerate(part.folds, 1)}
            ends = {"end A": part.end_a, "end B": part.end_b}
            return {"stock": part.stock.name, **flats, **folds, **ends, "holes": part.holes}
        case CutPlate():
            return {
                "stock": part.stock.name,
                "outline": part.outline,
                "holes": part.holes,
                "openings": part.openings,
                "breaks": part.breaks,
            }
        case Bought():
            return {"what is bought": part}
        case _:
            assert_never(part)


def _tube(part: BentTube) -> dict[str, object]:
    """Return a tube's features; places from its finished end A, without trim."""
    out: dict[str, object] = {"saw length": spine.length(part.spine)}
    at = 0.0
    for number, (straight, bend) in enumerate(zip(part.spine.straights, part.spine.bends, strict=False), 1):
        at += straight
        out |= {f"bend {number} starts": at, f"bend {number} radius": bend.clr, f"bend {number} angle": bend.angle}
        if number > 1:
            out[f"bend {number} turn"] = bend.turn
        at += spine.arc_length(bend)
    out |= {"end A": part.end_a, "end B": part.end_b, "holes": part.holes}
    return out | ({"slit": part.slit} if part.slit else {})


def _split(old: Mapping[str, object], new: Mapping[str, object]) -> tuple[tuple[Redone, ...], tuple[str, ...]]:
    redo: list[Redone] = []
    keep: list[str] = []
    for name in dict.fromkeys((*old, *new)):
        before, after = old.get(name), new.get(name)
        if same(before, after):
            if before != ():
                keep.append(name)
        else:
            redo.append(Redone(name, *(v if isinstance(v, float) else None for v in (before, after))))
    return tuple(redo), tuple(keep)


def same(one: object, other: object) -> bool:
    """Return whether two values are the same to a saw: numbers within `SAME`, all else equal, however deep."""
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= SAME
    if isinstance(one, tuple) and isinstance(other, tuple):
        mine, theirs = cast("tuple[object, ...]", one), cast("tuple[object, ...]", other)
        return len(mine) == len(theirs) and all(same(x, y) for x, y in zip(mine, theirs, strict=True))
    record = cast("object", one)
    if dataclasses.is_dataclass(record) and not isinstance(record, type) and type(other) is type(record):
        return all(same(getattr(record, f.name), getattr(other, f.name)) for f in dataclasses.fields(record))
    return one == other
