"""What the coater is told beside vents and masks: tubes without a vent of their own, dressed butts, how it hangs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rackgen.geom import outline
from rackgen.geom.frame import Array
from rackgen.parts.kinds import BentTube, Bought, CutPlate
from rackgen.parts.marks import lines, marks
from rackgen.parts.measure import mass
from rackgen.parts.rack import Along, AtEnd, Joint, PartId, Placed, Rack
from rackgen.parts.resolve import end_frame
from rackgen.sheets.weld_lines import welded_joints
from rackgen.sheets.weld_order import on_when_welded

INTO = 3.0
"""A hole whose middle lies this near to where a tube lands opens into that tube, mm."""


@dataclass(frozen=True)
class Unvented:
    """A tube without a vent of its own: its mark, word, and what lets air through it, "" where nothing does."""

    mark: str
    word: str
    how: str


@dataclass(frozen=True)
class Hung:
    """One welded piece as it hangs: what it is, its mass in kg, and what it hangs by."""

    what: str
    mass: float
    by: str


@dataclass(frozen=True)
class Butt:
    """A butt that is dressed: where it is, and what bears on it."""

    joint: str
    where: str
    bears: tuple[str, ...]


def _near(one: float, other: float) -> bool:
    return abs((one - other + 180.0) % 360.0 - 180.0) < 20.0


def unvented(rack: Rack) -> tuple[Unvented, ...]:
    """Return tubes without vent or drain, and how air gets through them all the same."""
    named, members = marks(rack), {p.id: p for p in rack.placed}
    out: list[Unvented] = []
    joints = welded_joints(rack)
    sleeves = {j.a.part for j in joints if j.kind == "plug weld"}
    for line in lines(rack):
        part = line.part
        if not isinstance(part, BentTube) or any(h.purpose in ("vent", "drain") for h in part.holes):
            continue
        placed = line.placed[0]
        how = "open inside another tube" if placed.id in sleeves else _through(placed, joints, members, named)
        out.append(Unvented(line.mark, placed.word, how))
    return tuple(out)


def _through(placed: Placed, joints: tuple[Joint, ...], members: Mapping[PartId, Placed],
             named: Mapping[PartId, str]) -> str:  # fmt: skip
    closed: set[str] = set()
    for joint in joints:
        for here, there in ((joint.a, joint.b), (joint.b, joint.a)):
            if not isinstance(here, AtEnd) or here.part != placed.id:
                continue
            other = members[there.part]
            if joint.kind == "butt with sleeve" and isinstance(other.part, BentTube) and other.part.holes:
                return f"through the sleeve into {other.word} {named[other.id]}"
            closed.add(here.end)
            if isinstance(there, Along):
                header = members[there.part].part
                assert isinstance(header, BentTube)
                if any(abs(h.at - there.at) < INTO and _near(h.clock, there.clock) for h in header.holes):
                    return f"through the hole inside its cope into {members[there.part].word} {named[there.part]}"
    return "" if len(closed) == 2 else "through its open end, before the cap goes in"


FRAMES = ("mount plate", "rear strap", "frame hoop", "frame rail", "bow")
"""What the shop calls the parts that a frame is known by."""


def hung(rack: Rack) -> tuple[Hung, ...]:
    """Return the welded pieces with their masses: what hangs from one set of wires."""
    members = {p.id: p for p in rack.placed}
    order = {j.id: 1.0 for j in welded_joints(rack)}
    if not order:
        return ()
    groups = dict.fromkeys(on_when_welded(rack, order)[1.0].values())
    out: list[Hung] = []
    for group in sorted(groups, key=lambda g: sorted(g)[0]):
        weight = sum(mass(members[p].part) for p in group)
        words = {members[p].word for p in group}
        basket = not words.isdisjoint(("ring hoop", "side rail"))
        plates = not words.isdisjoint(FRAMES)
        by = (
            "hooks under the upper ring beside the uprights" if "upright" in words
            else "hooks under its outermost tubes beside the bearers" if basket
            else "wires round the bows beside their bends" if "bow" in words
            else "wires round the cross bars beside the legs" if plates
            else "a wire through its holes"
        )  # fmt: skip
        what = "basket" if basket else "frame with its mounts" if plates else members[sorted(group)[0]].word
        out.append(Hung(what, weight, by))
    return tuple(out)


def dressed_butts(rack: Rack) -> tuple[Butt, ...]:
    """Return the butts, and what bears on or lies across each of them."""
    named, members = marks(rack), {p.id: p for p in rack.placed}
    joints = welded_joints(rack)
    out: list[Butt] = []
    for joint in joints:
        if joint.kind != "butt with sleeve" or not isinstance(joint.a, AtEnd):
            continue
        at = np.asarray(end_frame(members[joint.a.part], joint.a.end)[0].origin)
        tubes = {joint.a.part, joint.b.part}
        over: list[str] = []
        for placed in rack.placed:
            if placed.id in tubes or isinstance(placed.part, Bought | BentTube):
                continue
            touched = {a.part for j in joints for a in (j.a, j.b) if placed.id in (j.a.part, j.b.part)} & tubes
            if touched and _covers(placed, at):
                over.append(f"{placed.word} {named[placed.id]}")
        side = "left" if at[1] < 0 else "right"
        where = f"{members[joint.a.part].word} {named[joint.a.part]}, {joint.id.split('.')[1]}, {side}"
        out.append(Butt(joint.id, where, tuple(dict.fromkeys(over))))
    return tuple(out)


def _covers(placed: Placed, at: Array) -> bool:
    """Return whether a plate or bar lies along a tube past a place, not off to its side."""
    part = placed.part
    if not isinstance(part, CutPlate):
        return False
    rim = outline.polygon(part.outline, 0.5)
    low, high = rim.min(axis=0) - 30.0, rim.max(axis=0) + 30.0
    flat = placed.frame.to_local(at)[:2]
    return bool(np.all(flat >= low) and np.all(flat <= high))
