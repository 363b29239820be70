"""Floors of slats: tubes coped between the sides, or flat bars fore and aft on bearers and ends."""

from __future__ import annotations

import math

from rackgen.design.basket import across
from rackgen.design.choose import bar_width, thickness
from rackgen.design.floor import NOTCH
from rackgen.design.plan import ring_y
from rackgen.design.site import Site
from rackgen.design.slat_places import bar_slats, end_reach, last_landing, tube_slats
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import BarEnd, FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed

CORNER = 3.0
PAST_BEARER = 8.0
WIDE = 1.5
"""Radius of a slat's corners; how far it goes beyond the axis of a deck's last bearer, mm; and how many times the gap
asked for an opening that bends or butts force may be before it is said (common practice, no source)."""


def slats(site: Site) -> Group:
    """Return the slats: of tube across, or of flat bar along."""
    return _tubes(site) if site.choice.tube_slats else _bars(site)


def _tubes(site: Site) -> Group:
    choice = site.choice
    assert choice.floor is not None
    places = tube_slats(site.spec, choice, site.plan.side_uprights)
    made, joints = across(site, "basket.floor.slat", "slat", choice.floor, places, site.rim_at)
    return Group(tuple(made), tuple(joints), {m.id: ("basket.floor",) for m in made}, _openings(site, places))


def _openings(site: Site, places: tuple[float, ...]) -> tuple[Finding, ...]:
    """Return a note where bends and butts of the ring force openings much wider than the gap that is asked for."""
    choice, asked = site.choice, site.spec.floor.gap
    if site.spec.basket.kind == "deck":
        return ()
    wide = 2 * (places[-1] - last_landing(site.spec, choice)) + choice.bar_od
    ends = end_reach(site.spec, choice) - places[-1] - (choice.ring_od + wide) / 2
    middle = min(p for p in places if p > 0) * 2 - wide
    found = max(ends, middle)
    if found <= WIDE * asked:
        return ()
    return (
        Finding(
            "slat-opening",
            Level.NOTE,
            tuple(f"basket.floor.slat[{k}]" for k in (1, len(places))),
            f"the ring's bends leave {ends:.0f} mm clear at the ends and its butts {middle:.0f} mm at mid-length, "
            f"where no tube may land; elsewhere slats are at most {asked:.0f} mm apart",
            got=found,
            limit=WIDE * asked,
            keys=("floor.gap", "basket.floor"),
            help="slats of flat bar lie over bends and butts; a deck's side rails have neither",
        ),
    )


def _bars(site: Site) -> Group:
    choice, plan = site.choice, site.plan
    stock = choice.floor
    assert stock is not None
    top = choice.ring_od / 2
    deck = site.spec.basket.kind == "deck"
    members: list[Placed] = []
    joints: list[Joint] = []
    for i, y in enumerate(bar_slats(site.spec, choice)):
        name = f"basket.floor.slat[{i + 1}]"
        reach, on_end = _reach(site, y)
        at = Frame((-reach, y, top + thickness(stock) / 2))
        bar = FoldedBar(stock, (2 * reach,), end_a=BarEnd(radius=CORNER), end_b=BarEnd(radius=CORNER))
        members.append(Placed(name, bar, site.basket.then(at), "slat", 2))
        for k, x in enumerate(sorted(plan.bearers)):
            bearer = site.member(f"basket.lower.bearer[{k + 1}]")
            on = along(bearer, site.basket.point((x, y, 0.0)), site.up)
            joints.append(
                Joint(f"{name}.bearer[{k + 1}]", "fillet", OnFace(name, "bottom", x + reach, 0.0), on,
                      fixing="fillet both sides of the bearer, under the slat")
            )  # fmt: skip
        for end, sign in (("front", -1.0), ("rear", 1.0)):
            if deck or not on_end:
                continue
            header = site.member(f"basket.lower.{end}")
            on = along(header, site.basket.point((sign * reach, y, 0.0)), site.up)
            joints.append(
                Joint(f"{name}.{end}", "fillet", OnFace(name, "bottom", reach + sign * reach, 0.0), on,
                      fixing="fillet across its end and under it")
            )  # fmt: skip
    return Group(tuple(members), tuple(joints), {m.id: ("basket.floor",) for m in members})


def _reach(site: Site, y: float) -> tuple[float, bool]:
    """Return how far from mid-length a slat ends, mm, and whether that is on the ring: it follows the ring's curve.

    A slat ends on the ring's top centreline, or short of an upright that stands there.
    """
    spec, choice = site.spec, site.choice
    reach, half = end_reach(spec, choice), bar_width(choice.floor) / 2 if choice.floor else 0.0
    if spec.basket.kind == "deck":
        return reach + PAST_BEARER, True
    clear = half + choice.bar_od / 2 + NOTCH
    if any(abs(y - u) < clear for u in site.plan.end_uprights):
        return reach - choice.bar_od / 2 - NOTCH, False
    clr = choice.ring_clr
    into = abs(y) + half - (ring_y(spec, choice) - clr)
    return (reach if into <= 0 else reach - clr + math.sqrt(max(clr**2 - into**2, 0.0))), True
