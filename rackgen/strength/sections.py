"""How much of a member's section is used: forces on cuts over what it bears, beside welds and away from them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array
from rackgen.parts.names import part_name, plain
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.refs.registry import number
from rackgen.strength.cuts import Cuts, combined, forces, gathered, thirds
from rackgen.strength.held import Held, Weld
from rackgen.strength.limits import Loaded, Spot
from rackgen.strength.model import Member
from rackgen.strength.tube_strength import Bears

NEAR = 1.0
"""A weld this near to a place is at it, mm."""


@dataclass(frozen=True, eq=False)
class Borne:
    """What n members bear, before the factor: each (n, 1, 1)."""

    pull: Array
    push: Array
    bend: Array
    bend_flat: Array
    shear: Array
    twist: Array

    @staticmethod
    def of(rows: Sequence[Bears]) -> Borne:
        """Return them as arrays."""
        return Borne(*(np.array([getattr(r, f.name) for r in rows])[:, None, None] for f in fields(Bears)))


def weld_zones(cuts: Cuts, held: Held) -> Callable[[Array], NDArray[np.bool_]]:
    """Return what tells which cuts lie within 25 mm of a weld's toe.

    Args:
        cuts: n members.
        held: the welds on their parts.

    Returns:
        Takes places from each member's begin, mm, (n, 7, cases), and gives the same shape.
    """
    reach = number("weld-reach").value
    zones: list[tuple[int, float, float]] = []
    for i, m in enumerate(cuts.members):
        for weld in held.welds.get(m.part, ()):
            out = reach + weld.half
            if weld.at - out <= max(m.from_a, m.from_b) and weld.at + out >= min(m.from_a, m.from_b):
                zones.append((i, weld.at, out))
    begin = np.array([m.from_a for m in cuts.members])[:, None, None]
    scale = (np.array([m.from_b - m.from_a for m in cuts.members]) / cuts.length)[:, None, None]
    # One zone of every member after the other; who has fewer gets some that hold nothing.
    of = [[(at, wide) for k, at, wide in zones if k == i] for i in range(len(cuts.members))]
    most = max((len(row) for row in of), default=0)
    rows = np.array([row + [(0.0, -1.0)] * (most - len(row)) for row in of]).reshape(len(of), most, 2)

    def near(x: Array) -> NDArray[np.bool_]:
        place = begin + scale * x
        out = np.zeros(x.shape, dtype=bool)
        for k in range(most):
            out |= np.abs(place - rows[:, k, 0, None, None]) <= rows[:, k, 1, None, None] + 1e-6
        return out

    return near


def section_use(
    cuts: Cuts, whole: Borne, welded: Borne, factor: float, near: Callable[[Array], NDArray[np.bool_]], *, around: bool
) -> Callable[[Loaded], Array]:
    """Return the check of AISC 360 H3.2: axial and bending shares summed, shear and torsion summed and squared.

    It holds also where torsion is small, on the safe side of H1's sums, and has no step from the one to the other.

    Args:
        cuts: n members.
        whole: what they bear.
        welded: what they bear beside a weld.
        factor: of safety.
        near: tells what lies beside a weld.
        around: the section is round: its two moments add as one, as do its two shears.
    """

    def use(loaded: Loaded) -> Array:
        x, f = forces(cuts, loaded.ends)
        beside = near(x)
        n, vy, vz, t, my, mz = (np.abs(f[:, :, k]) for k in range(6))
        pulls = f[:, :, 0] > 0

        def share(size: Array, away: Array, there: Array) -> Array:
            return factor * size / np.where(beside, there, away)

        axial = np.where(pulls, share(n, whole.pull, welded.pull), share(n, whole.push, welded.push))
        if around:
            bending = share(np.hypot(my, mz), whole.bend, welded.bend)
        else:
            bending = share(my, whole.bend, welded.bend) + share(mz, whole.bend_flat, welded.bend_flat)
        across = share(np.hypot(vy, vz), whole.shear, welded.shear) + share(t, whole.twist, welded.twist)
        return gathered(combined(axial + bending, across))

    return use


def spots(
    cuts: Cuts, rack: Rack, held: Held, bears: Sequence[Bears], welded: Sequence[Bears], note: str = ""
) -> tuple[Spot, ...]:
    """Return the three places of each member: its begin, between, its end.

    Args:
        cuts: n members.
        rack: names their parts.
        held: the welds on them.
        bears: what they bear, in their order.
        welded: what they bear beside a weld.
        note: added to the words of what they bear.
    """
    by_id = {p.id: p for p in rack.placed}
    out: list[Spot] = []
    for k, (m, s, at) in enumerate(thirds(cuts)):
        beside = beside_weld(m, s, held)
        what = place_words(by_id, m, s, beside, between=k % 3 == 1)
        bear = welded[k // 3] if beside is not None and k % 3 != 1 else bears[k // 3]
        parts = (m.part,) if beside is None or beside.other == m.part else (m.part, beside.other)
        out.append(Spot(what, parts, at, bear_words(bear) + note))
    return tuple(out)


def beside_weld(m: Member, s: float, held: Held) -> Weld | None:
    """Return the weld at a place along a member's part, None when there is none."""
    near = [w for w in held.welds.get(m.part, ()) if abs(w.at - s) <= NEAR]
    return min(near, key=lambda w: (abs(w.at - s), w.other), default=None)


def part_words(by_id: Mapping[PartId, Placed], part: PartId) -> str:
    """Return a part in words, and which of equal ones it is: "clamp pad, left 2"."""
    return part_name(by_id[part].word, part) if part in by_id else part


def place_words(by_id: Mapping[PartId, Placed], m: Member, s: float, weld: Weld | None, *, between: bool) -> str:
    """Return a place along a part in words."""
    name = part_words(by_id, m.part)
    if m.kind == "plate":
        toward = plain(m.id.rsplit("#", 1)[-1]).replace("u bolt", "U-bolt")
        if toward.isdigit():
            return f"{name}, between its fasteners"
        where = "between the weld and" if between else "beside the weld, toward" if s < NEAR else "at"
        return f"{name}, {where} {toward}"
    bend = " in its bend" if m.bend > 0 and m.kind == "tube" else " in its fold" if m.bend > 0 else ""
    if between:
        return f"{name}{bend}, between {m.from_a:.0f} and {m.from_b:.0f} mm from its end A"
    if weld is not None:
        return f"{name}{bend}, at the weld to {part_words(by_id, weld.other)}"
    return f"{name}{bend}, {s:.0f} mm from its end A"


def bear_words(bears: Bears) -> str:
    """Return what a section bears before the factor, in words."""
    return (
        f"{bears.bend / 1e3:.0f} N·m in bending, {bears.push / 1e3:.1f} kN in compression, "
        f"{bears.twist / 1e3:.0f} N·m in torsion"
    )
