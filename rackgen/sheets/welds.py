"""The weld map: every welded joint with its id, size, length, order, and whether a torch gets at it.

Ids W1, W2 ... count in the order of welding. Everything is welded on the bench: what is fitted on the vehicle is
clamped, scribed and match-marked there, and taken off again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from rackgen.errors import Finding, Level
from rackgen.geom.frame import Vec, vec
from rackgen.parts.kinds import BentTube, Bought, CutPlate, FoldedBar
from rackgen.parts.marks import marks
from rackgen.parts.names import part_name
from rackgen.parts.rack import AtEnd, Joint, PartId, Placed, Rack
from rackgen.sheets.capsules import Body, body
from rackgen.sheets.torch import ENOUGH, NOZZLE, Access, access
from rackgen.sheets.weld_lines import Run, runs, welded_joints
from rackgen.sheets.weld_order import DRY_FIT, Ranks, in_order, on_when_welded, ranks, waits
from rackgen.spec.stock import DENSITY, Panel

LEG_MOST = 1.2
"""A fillet's leg is the thinner wall, and no more than so many times it (common practice, no source)."""

GAP_GOOD = 0.5
GAP_MOST = 1.6
GAP_WALL = 2.0
"""Root gap: good up to this share of the thinner wall; acceptable to this many mm by wire feed on walls of at least
`GAP_WALL` mm; more is cut again (common practice, no source)."""

CONVEX = 1.1
"""A bead holds a tenth more than its plain triangle (common practice, no source)."""

YIELD = 0.93
"""Of the wire that is fed, so much stays in the weld (solid wire; from memory of makers' tables, 0.92 to 0.96)."""

EPS = 0.01


@dataclass(frozen=True)
class Weld:
    """One welded joint.

    Attributes:
        id: W1 ... in order of welding.
        joint: id of the joint in the rack.
        step: step of the order.
        kind: "all round", "butt", "plug", "fillet", "stitch" or "tacks".
        parts: ids of the two parts.
        marks: their marks.
        words: what the shop calls them.
        wall: the thinner of the two walls, mm.
        leg: fillet leg, mm; the wall for butts.
        leg_most: largest leg, mm; the wall for butts.
        length: of the seam, mm.
        bead: weld metal laid, mm.
        pieces: stitches, tacks or plugs; 1 for a bead without a break.
        size: diameter of a plug, length of a stitch or tack, else 0; mm.
        gap_good: root gap that needs no thought, mm.
        gap_most: largest root gap that may be welded, mm.
        metal: weld metal, kg.
        at: middle of the weld, vehicle frame, mm.
        waits: whether it waits for the dry fit on the vehicle.
        how: where on the joint the bead runs, and what is done to it.
        reached: share of its worst bead that a torch reaches; None where that was not tried.
    """

    id: str
    joint: str
    step: int
    kind: Literal["all round", "butt", "plug", "fillet", "stitch", "tacks"]
    parts: tuple[PartId, PartId]
    marks: tuple[str, str]
    words: tuple[str, str]
    wall: float
    leg: float
    leg_most: float
    length: float
    bead: float
    pieces: int
    size: float
    gap_good: float
    gap_most: float
    metal: float
    at: Vec
    waits: bool
    how: str
    reached: float | None

    @property
    def alike(self) -> tuple[object, ...]:
        """What equal joints of one step share."""
        return (
            self.step, self.kind, self.marks, round(self.leg, 2), round(self.bead), self.pieces, self.how,
        )  # fmt: skip


@dataclass(frozen=True)
class WeldMap:
    """All welds in order.

    Attributes:
        welds: in order of welding.
        moved: what was moved ahead of its step so that a torch gets at it, a sentence each.
        bead: length of weld metal laid, mm.
        metal: weld metal, kg.
        wire: wire to feed for it, kg.
    """

    welds: tuple[Weld, ...]
    moved: tuple[str, ...]
    bead: float
    metal: float
    wire: float


def wall_of(placed: Placed) -> float:
    """Return the thickness that a weld on a part is held to, mm.

    Raises:
        TypeError: a bought part, which nobody welds.
    """
    part = placed.part
    match part:
        case BentTube():
            return part.section.wall
        case FoldedBar():
            return part.section.thickness
        case CutPlate():
            section = part.stock.section
            return section.steel if isinstance(section, Panel) else part.thickness
        case Bought():
            raise TypeError(f"{placed.id} is bought and not welded")


def gap_limits(wall: float) -> tuple[float, float]:
    """Return the root gap that is good and the one that may still be welded, mm, by the thinner wall."""
    # Half of a thick bar is no gap to fill: the most that wire feed closes holds there too.
    good = min(GAP_GOOD * wall, GAP_MOST)
    return good, GAP_MOST if wall >= GAP_WALL - 1e-9 else good


def edge_leg(thickness: float) -> float:
    """Return the leg of a lap fillet along an edge, mm: the edge's thickness, less 1.6 mm from 6.35 mm on.

    AISC 360 J2.2b, largest fillets along edges (the reference values quote it).
    """
    return thickness if thickness < 6.35 - 1e-6 else thickness - 1.6


def weld_map(rack: Rack, *, torch: bool = True, order: Ranks | None = None) -> tuple[WeldMap, tuple[Finding, ...]]:
    """Return the weld map, and every weld that a torch does not reach.

    Args:
        rack: the rack.
        torch: whether access is tried; without, nothing is moved and nothing found.
        order: place of every welded joint by its id, taken as it is; None for the rules of the trade, in which a weld
            that would be shut off is moved ahead of what shuts it off.
    """
    return _weld_map(rack, torch, tuple(sorted(order.items())) if order is not None else None)


@lru_cache(maxsize=8)
def _weld_map(
    rack: Rack, torch: bool, given: tuple[tuple[str, float], ...] | None
) -> tuple[WeldMap, tuple[Finding, ...]]:
    members = {p.id: p for p in rack.placed}
    lines = {j.id: runs(j, members) for j in welded_joints(rack)}
    placed = dict(given) if given is not None else ranks(rack, members)
    reached: dict[str, Access] = {}
    moved: list[tuple[str, str]] = []
    cures: dict[str, str] = {}
    if torch:
        tried = _Tries(rack, members, lines)
        reached = tried.all(placed)
        for joint in welded_joints(rack):
            if reached[joint.id].enough:
                continue
            better = tried.earlier(joint, placed)
            if better is None:
                continue
            in_way = ", ".join(dict.fromkeys(members[p].word for p in reached[joint.id].blockers[:2]))
            cures[joint.id] = f"weld it before the {in_way} goes on"
            if given is None:
                placed[joint.id] = better
                moved.append((joint.id, in_way))
        if moved:
            reached = tried.all(placed)
    named = marks(rack)
    drafts = {j.id: _weld(j, members, named, lines[j.id], placed[j.id], reached.get(j.id)) for j in welded_joints(rack)}
    ordered = in_order(rack, placed, {k: (d.kind, d.words, d.how) for k, d in drafts.items()})
    welds = tuple(_numbered(drafts[j.id], k + 1) for k, j in enumerate(ordered))
    ids = {w.joint: w.id for w in welds}
    said = tuple(f"{ids[j]} is welded before the {what} goes on, which would shut off the torch" for j, what in moved)
    metal = sum(w.metal for w in welds)
    found = WeldMap(welds, said, sum(w.bead for w in welds), metal, metal / YIELD)
    return found, tuple(_no_access(w, reached[w.joint], members, cures.get(w.joint)) for w in welds
                        if w.joint in reached and not reached[w.joint].enough)  # fmt: skip


class _Tries:
    """What every try of a torch shares: bodies of parts, beads of joints."""

    def __init__(self, rack: Rack, members: Mapping[PartId, Placed], lines: Mapping[str, tuple[Run, ...]]) -> None:
        self.rack = rack
        self.lines = lines
        found = {p.id: body(p) for p in members.values()}
        self.bodies: dict[PartId, Body] = {k: b for k, b in found.items() if b is not None}

    def all(self, order: Ranks) -> dict[str, Access]:
        """Return how well a torch reaches every joint, each with what is on at its place in the order."""
        on = on_when_welded(self.rack, order)
        return {j.id: self.one(j, on[order[j.id]][j.a.part]) for j in welded_joints(self.rack)}

    def one(self, joint: Joint, on: frozenset[PartId]) -> Access:
        """Return how well a torch reaches a joint among the parts that are on."""
        own = frozenset((joint.a.part, joint.b.part))
        return access(self.lines[joint.id], own, {p: b for p, b in self.bodies.items() if p in on})

    def earlier(self, joint: Joint, order: Ranks) -> float | None:
        """Return the latest earlier place in the order at which a torch reaches a joint, or None."""
        now = order[joint.id]
        least = DRY_FIT if now >= DRY_FIT else 0
        for rank in sorted({r for r in order.values() if least <= r <= now}, reverse=True):
            trial = {**order, joint.id: rank - EPS}
            on = on_when_welded(self.rack, trial)
            if self.one(joint, on[rank - EPS][joint.a.part]).enough:
                return rank - EPS
        return None


def _no_access(weld: Weld, got: Access, members: Mapping[PartId, Placed], cure: str | None) -> Finding:
    in_way = " and ".join(part_name(members[p].word, p) for p in got.blockers[:2]) or "the two parts themselves"
    return Finding(
        "no-torch-access",
        Level.LOOK,
        (*weld.parts, *got.blockers[:2]),
        f"{weld.id}, {weld.words[0]} {weld.marks[0]} to {weld.words[1]} {weld.marks[1]}: a nozzle of {NOZZLE:g} mm "
        f"at 45 deg reaches {100 * got.share:.0f} % of a bead; in the way: {in_way}",
        at=weld.at,
        got=100 * got.share,
        limit=100 * ENOUGH,
        unit="%",
        help=cure or "no place in the order gives more room: weld what can be reached, move what is in the way, "
        "or use a narrower nozzle",
    )  # fmt: skip


def _numbered(weld: Weld, number: int) -> Weld:
    return replace(weld, id=f"W{number}")


def _weld(joint: Joint, members: Mapping[PartId, Placed], named: Mapping[PartId, str], lines: tuple[Run, ...],
          place: float, got: Access | None) -> Weld:  # fmt: skip
    first, second = members[joint.a.part], members[joint.b.part]
    wall = min(wall_of(first), wall_of(second))
    kind = _kind(joint, lines)
    length, bead = sum(r.length for r in lines), sum(r.bead for r in lines)
    pieces, size, leg, most = 1, 0.0, wall, LEG_MOST * wall
    if kind == "plug":
        pieces, size, most = len(lines), _plug_size(joint, members), wall
        wall = wall_of(second)
        area = wall * size / 4
    elif kind == "butt":
        most = wall
        area = CONVEX * wall * wall * (GAP_GOOD + GAP_GOOD)
    else:
        if kind in ("stitch", "tacks"):
            size = 25.0 if kind == "stitch" else 10.0
            pieces = max(1, round(bead / size))
        if all(isinstance(p.part, FoldedBar) for p in (first, second)) and "brace" not in joint.id:
            leg, most = edge_leg(wall), edge_leg(wall)
        area = CONVEX * leg * leg / 2
    stock = first.part.stock if not isinstance(first.part, Bought) else None
    density = DENSITY[stock.material] if stock is not None else 0.0
    good, gap_most = gap_limits(wall)
    at = vec(np.concatenate([r.points for r in lines]).mean(axis=0)) if lines else first.frame.origin
    return Weld(
        "", joint.id, int(place + EPS + 1e-9), kind, (first.id, second.id), (named[first.id], named[second.id]),
        (first.word, second.word), wall, leg, most, length, bead, pieces, size, good, gap_most,
        area * bead * density * 1e-9, at, waits(joint, members), _how(joint, kind), got.share if got else None,
    )  # fmt: skip


def _kind(joint: Joint, lines: tuple[Run, ...]) -> Literal["all round", "butt", "plug", "fillet", "stitch", "tacks"]:
    match joint.kind:
        case "coped weld" | "plane weld" | "mitre weld":
            return "all round"
        case "butt with sleeve":
            return "butt"
        case "plug weld":
            return "plug"
        case _:
            if any(r.bead < r.length - 1e-6 for r in lines) or "every" in joint.fixing or "mesh" in joint.fixing:
                return "tacks" if any(word in joint.fixing for word in ("mesh", "strand", "tacks")) else "stitch"
            return "stitch" if "25 on 75" in joint.fixing else "fillet"


def _how(joint: Joint, kind: str) -> str:
    if joint.kind == "coped weld":
        place = joint.id.rsplit(".", 1)[-1]
        return {"lower": "all round the foot", "upper": "all round the top"}.get(place, "all round the cope")
    if joint.kind == "mitre weld":
        return "all round the mitre"
    if joint.kind == "plane weld":
        return "all round the foot"
    if kind == "plug":
        return "fill the holes, ground flush"
    if "brace" in joint.id and kind == "fillet":
        return "across the outside and up both edges; the inside is too narrow for a torch"
    return joint.fixing


def _plug_size(joint: Joint, members: Mapping[PartId, Placed]) -> float:
    assert isinstance(joint.b, AtEnd)
    part = members[joint.b.part].part
    assert isinstance(part, BentTube)
    return next((h.diameter for h in part.holes if h.purpose == "plug weld"), 0.0)
