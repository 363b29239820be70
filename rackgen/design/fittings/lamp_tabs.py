"""Lamp tabs: short pieces of flat bar with one hole, welded by their end to a tube."""

from __future__ import annotations

import math

from rackgen.design.choose import bar_width
from rackgen.design.fittings.bars import bar_for
from rackgen.design.fittings.host import frame_on
from rackgen.design.fittings.placing import on_something, placed, roomiest
from rackgen.design.site import Site
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import BarEnd, BarHole, FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed
from rackgen.spec.fittings import LampTabsWish

WORD = "lamp tab"
USUAL = (50.0, 5.0)
USUAL_PLACES = (-250.0, 250.0)
EASED = 10.0
"""Usual bar and places of lamp tabs, and the radius of their outer corners, mm (common practice, no source)."""


def lamp_tabs(site: Site, wish: LampTabsWish) -> Group:
    """Return the tabs of one fitting.

    Raises:
        BadInput: no such side, or a place off its straights.
    """
    bar = bar_for(site, wish.entry, wish.bar, USUAL)
    half = bar_width(bar) / 2
    here = roomiest(
        site, wish.entry, wish.on, "frame", wish.side, wish.at, half, lambda _: USUAL_PLACES,
        lambda side: side.up if wish.stand == "up" else side.out,
    )  # fmt: skip
    at = placed(site, wish.entry, here, wish.at, USUAL_PLACES, half)

    def name(k: int) -> str:
        return f"fitting[{wish.entry}].tab[{k}]"

    members: list[Placed] = []
    joints: list[Joint] = []
    for k, one in enumerate(at, 1):
        stretch, frame = frame_on(here, one, half)
        if wish.stand == "up":
            frame = Frame.of(frame.origin, frame.z, frame.x)
        # The end's middle touches the tube; its two edges, half a thickness off it, stand a hair away for the bead.
        part = FoldedBar(
            bar, (wish.length,), (), BarEnd(), BarEnd(radius=min(EASED, half)),
            (BarHole(0, wish.length - _from_end(wish, half), 0.0, wish.hole),),
        )  # fmt: skip
        members.append(Placed(name(k), part, frame.moved((here.radius, 0.0, 0.0)), WORD, 2))
        joints.append(
            Joint(f"{name(k)}.weld", "fillet", OnFace(name(k), "edge", 0.0, 0.0),
                  along(stretch.tube, frame.origin, frame.x), fixing="fillet both sides and round the ends")
        )  # fmt: skip
    findings = on_something(wish.entry, here, at, half, name, WORD)
    return Group(tuple(members), tuple(joints), {m.id: (f"fitting[{wish.entry}]",) for m in members}, tuple(findings))


def _from_end(wish: LampTabsWish, half: float) -> float:
    """Return how far the hole is from the tab's outer end: half its width, but not nearer than two diameters, mm."""
    return min(max(math.ceil(2 * wish.hole), half), wish.length - 1.5 * wish.hole)
