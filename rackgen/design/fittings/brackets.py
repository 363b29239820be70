"""Shovel and awning brackets: flat bar up the outside of a basket, welded to every ring, folded out over its rim.

A shovel bracket's shelf ends in a lip that holds what lies on it, with a hole for a strap's hook; an awning bracket's
shelf has two holes for the bolts of the awning's case.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rackgen.design.choose import bar_width, thickness
from rackgen.design.fittings.bars import bar_for
from rackgen.design.fittings.host import Host, frame_on
from rackgen.design.fittings.placing import hosted, on_something, placed
from rackgen.design.site import Site
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.parts.fold_radius import folded_on
from rackgen.parts.kinds import BarEnd, BarHole, FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.fittings import BracketsWish
from rackgen.spec.stock import Stock

USUAL = (50.0, 5.0)
BELOW = 10.0
ABOVE = 12.0
EASED = 8.0
USUAL_PLACES = (-0.32, 0.32)
"""Usual bar; how far a bracket's back runs below the lower ring's axis, and its flat above the upper ring's, for the
beads; radius of its corners, mm; usual places, in lengths of the side (common practice, no source)."""


def brackets(site: Site, wish: BracketsWish) -> Group:
    """Return the brackets of one fitting.

    Raises:
        BadInput: no such side, or a place off its straights.
    """
    upper = hosted(site, wish.entry, "upper ring", wish.side)
    lower = hosted(site, wish.entry, "lower ring", wish.side)
    bar = bar_for(site, wish.entry, wish.bar, USUAL)
    half = bar_width(bar) / 2
    both = _both(upper, lower)
    length = upper.stretches[-1].high - upper.stretches[0].low
    middle = (upper.stretches[-1].high + upper.stretches[0].low) / 2
    usual = [middle + share * length for share in USUAL_PLACES]
    at = placed(site, wish.entry, both, wish.at, usual, half)
    word = f"{wish.use} bracket"

    def name(k: int) -> str:
        return f"fitting[{wish.entry}].bracket[{k}]"

    part = _part(bar, site.plan.rise, wish)
    levels = {"lower": 0.0, "upper": site.plan.rise}
    if site.spec.sides.mid_rail == "ring":
        levels["middle"] = site.plan.rise / 2
    members: list[Placed] = []
    joints: list[Joint] = []
    for k, one in enumerate(at, 1):
        _, frame = frame_on(lower, one, half)
        up, out = np.asarray(frame.z), np.asarray(frame.x)
        begin = np.asarray(frame.origin) - BELOW * up + (lower.radius + thickness(bar) / 2) * out
        members.append(Placed(name(k), part, Frame.of(begin, up, out), word, 2))
        for level, z in sorted(levels.items(), key=lambda item: item[1]):
            tube = _hoop(site, level, upper, lower, one, half)
            point = frame.point((0.0, 0.0, z))
            joints.append(
                Joint(f"{name(k)}.{level}", "fillet", OnFace(name(k), "bottom", BELOW + z, 0.0),
                      along(tube, point, frame.x), fixing="fillet both edges of the bar")
            )  # fmt: skip
    findings = on_something(wish.entry, both, at, half, name, word)
    return Group(tuple(members), tuple(joints), {m.id: (f"fitting[{wish.entry}]",) for m in members}, tuple(findings))


def _hoop(site: Site, level: str, upper: Host, lower: Host, at: float, half: float) -> Placed:
    """Return the tube of a ring that a bracket crosses."""
    here = upper if level == "upper" else lower
    stretch = here.over(at, half)
    assert stretch is not None
    if level != "middle":
        return stretch.tube
    return site.member(stretch.tube.id.replace("basket.lower.", "basket.middle."))


def _both(upper: Host, lower: Host) -> Host:
    """Return the upper ring's side with what takes room on either ring."""
    taken = tuple(t for h in (upper, lower) for s in h.touched(h.out).stretches for t in s.taken)
    return replace(upper, stretches=tuple(replace(s, taken=taken) for s in upper.stretches))


def _part(bar: Stock, rise: float, wish: BracketsWish) -> FoldedBar:
    """Return the bracket: up the rings, out over the rim, and of a shovel bracket up again."""
    r, t, wide = folded_on(bar), thickness(bar), bar_width(bar)
    back = BELOW + rise + ABOVE
    end = BarEnd(radius=min(EASED, wide / 2))
    if wish.use == "awning":
        shelf = wish.reach - r - t
        # Two bolts in a row along the shelf, clear of fold and end.
        first, last = max(2.5 * t + wish.hole, 15.0), shelf - 2.0 * wish.hole
        spots = (first, last) if last - first >= 3 * wish.hole else ((first + last) / 2,)
        holes = tuple(BarHole(1, x, 0.0, wish.hole) for x in spots)
        return FoldedBar(bar, (back, shelf), (Fold(90.0, r),), BarEnd(), end, holes)
    shelf = wish.reach - 2 * r
    holes = (BarHole(2, wish.lip - 2.0 * wish.hole, 0.0, wish.hole),)
    return FoldedBar(bar, (back, shelf, wish.lip), (Fold(90.0, r), Fold(-90.0, r)), BarEnd(), end, holes)
