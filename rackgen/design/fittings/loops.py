"""Tie-down loops: flat bar folded to a U over a tube, its legs welded above and below it, the eye outside."""

from __future__ import annotations

import math

import numpy as np

from rackgen.design.choose import bar_width, thickness
from rackgen.design.fittings.bars import bar_for
from rackgen.design.fittings.host import Host, frame_on
from rackgen.design.fittings.placing import on_something, placed, roomiest
from rackgen.design.site import Site
from rackgen.geom.fold import Fold, legs_and_arcs
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.fold_radius import folded_on
from rackgen.parts.kinds import FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.fittings import Carrier, LoopsWish
from rackgen.spec.stock import Stock

WORD = "tie-down loop"
USUAL = (25.0, 4.0)
WIDEST = 40.0
PAST_AXIS = 9.0
TURNED = 60.0
"""Usual bar of loops and how wide one may be; how far their legs run past the tube's axis, where the bead beside them
ends, mm; how far they are turned down on a ring that carries a floor, degrees (common practice, no source)."""


def loops(site: Site, wish: LoopsWish) -> Group:
    """Return the loops of one fitting.

    Raises:
        BadInput: no such side, or a place off its straights.
    """
    usual: Carrier = "upper ring" if site.spec.basket.kind == "basket" else "frame"
    bar = bar_for(site, wish.entry, wish.bar, USUAL, WIDEST)
    half = bar_width(bar) / 2
    here = roomiest(
        site, wish.entry, wish.on, usual, wish.side, wish.at, half, _usual_places,
        lambda side: _over(site, side), lambda side: vec(-np.asarray(_over(site, side))),
    )  # fmt: skip
    a = _turned(site, here)
    at = placed(site, wish.entry, here, wish.at, _usual_places(here), half)

    def name(k: int) -> str:
        return f"fitting[{wish.entry}].loop[{k}]"

    part = _part(bar, here, wish.eye)
    total = sum(long for _, long, _ in legs_and_arcs(part.flats, part.folds, thickness(bar), bar_width(bar)))
    members: list[Placed] = []
    joints: list[Joint] = []
    for k, one in enumerate(at, 1):
        stretch, frame = frame_on(here, one, half)
        out = np.asarray(frame.x) * math.cos(a) - np.asarray(frame.z) * math.sin(a)
        up = np.asarray(frame.z) * math.cos(a) + np.asarray(frame.x) * math.sin(a)
        begin = np.asarray(frame.origin) - PAST_AXIS * out + (here.radius + thickness(bar) / 2) * up
        members.append(Placed(name(k), part, Frame.of(begin, out, -up), WORD, 2))
        joints += [
            Joint(f"{name(k)}.{which}", "fillet", OnFace(name(k), "top", x, 0.0),
                  along(stretch.tube, frame.origin, vec(toward)), fixing="fillet both edges of the leg")
            for which, x, toward in (("over", PAST_AXIS, up), ("under", total - PAST_AXIS, -up))
        ]  # fmt: skip
    findings = on_something(wish.entry, here, at, half, name, WORD)
    return Group(tuple(members), tuple(joints), {m.id: (f"fitting[{wish.entry}]",) for m in members}, tuple(findings))


def _turned(site: Site, here: Host) -> float:
    """Return how far down loops are turned, radians: floors lie on the lower ring's top as far as its middle."""
    lower = here.stretches[0].tube.id.startswith(("basket.lower.", "basket.rail."))
    return math.radians(TURNED if lower and site.spec.floor.kind != "none" else 0.0)


def _over(site: Site, here: Host) -> Vec:
    """Return the unit vector from the tube's axis to the upper leg of a loop."""
    a = _turned(site, here)
    return vec(np.asarray(here.up) * math.cos(a) + np.asarray(here.out) * math.sin(a))


def _usual_places(here: Host) -> tuple[float, float]:
    low, high = here.stretches[0].low, here.stretches[-1].high
    return (low + high) / 2 - 0.35 * (high - low), (low + high) / 2 + 0.35 * (high - low)


def _part(bar: Stock, here: Host, eye: float) -> FoldedBar:
    """Return the U: a leg along the tube's top, the back outside, a leg along its underside."""
    # The bar's own radius must not be wider than the tube that the legs lie on.
    r = min(folded_on(bar), here.radius - 1.0)
    leg = PAST_AXIS + here.radius + eye - r
    return FoldedBar(bar, (leg, 2 * (here.radius - r), leg), (Fold(90.0, r), Fold(90.0, r)))
