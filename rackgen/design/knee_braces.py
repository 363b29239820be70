"""Knee braces of a bed frame: from each post up to its rail, toward the frame's middle, at 45 degrees.

Of tube they are coped to both; of flat bar they stand on edge in the plane of post and rail, their ends cut to lie
along both tubes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rackgen.design.knee_room import braced, furthest, takes
from rackgen.design.pose import LONGEST_STUB
from rackgen.design.seat import Carrier
from rackgen.design.site import Site, straight, vented
from rackgen.design.spread import PAD_SPACING, bolt_room
from rackgen.design.stands import stub_id
from rackgen.errors import Finding, Level
from rackgen.geom.frame import Array, Frame, unit, vec
from rackgen.parts.kinds import BarEnd, FoldedBar
from rackgen.parts.place import along
from rackgen.parts.rack import AtEnd, Group, Joint, OnFace, Placed

LEAST = 100.0
STEP = 10.0
CLEAR = 2.0
"""How far down its post and along its rail a brace goes at least; step; in diameters, from where it lands to another
landing; mm (common practice, no source)."""


def knee_braces(site: Site) -> Group:
    """Return a brace for each post under a rail: posts ahead of the middle are braced aft, those behind it forward."""
    wish = site.spec.frame.knee_braces
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    if wish == "none":
        return Group((), ())
    count = {"left": 0, "right": 0}
    taken: dict[float, list[tuple[float, float]]] = {-1.0: [], 1.0: []}
    for carrier, way in braced(site.plan.carriers):
        of_side = taken[math.copysign(1.0, carrier.y)]
        far = _far(site, carrier, way, of_side)
        if far is None:
            findings.append(_no_room(site, carrier))
            continue
        of_side.append((carrier.x, carrier.x + way * far))
        side = "left" if carrier.y < 0 else "right"
        count[side] += 1
        name = f"frame.brace.{side}[{count[side]}]"
        one, made = (_tube if wish == "tube" else _bar)(site, name, carrier, way, far)
        members.append(one)
        joints += made
    return Group(tuple(members), tuple(joints), {m.id: ("frame.knee_braces",) for m in members}, tuple(findings))


def _far(site: Site, carrier: Carrier, way: float, braces: Sequence[tuple[float, float]]) -> float | None:
    """Return how far down and along a brace goes: as far as is usual, clear of clamps and of what lands on the rail.

    Args:
        site: the site.
        carrier: of the post.
        way: +1 aft, -1 forward.
        braces: of its side so far: X of the post of each, and where it lands.
    """
    clear = CLEAR * site.choice.frame_od
    posts = [c.x for c in site.plan.carriers if c.kind == "leg" and c.y * carrier.y > 0 and c is not carrier]
    others = [x for x in (*site.plan.landings, *((site.plan.butt,) if site.plan.butt is not None else ()))
              if abs(x - carrier.x) > 1e-6]  # fmt: skip
    beside = bolt_room(site.choice)
    bolts = [site.plan.middle + pad + k * PAD_SPACING / 2 for pad in site.plan.pads for k in (-1, 1)]
    most = furthest(site.spec.frame, site.choice)
    low, last = site.plan.straight_from, site.plan.ends[0].flat_to
    for k in range(int((most - LEAST) // STEP) + 1 if most >= LEAST else 0):
        far = most - k * STEP
        x = carrier.x + way * far
        room = all(abs(x - other) >= clear for other in (*others, *(land for _, land in braces)))
        # A brace crosses no other post, nor a brace that comes the other way.
        room = room and not any(min(carrier.x, x) < post < max(carrier.x, x) for post in posts)
        room = room and not any((land - x) * way < 0 < (post - carrier.x) * way for post, land in braces)
        room = room and all(abs(bolt - place) >= beside for bolt in bolts for place in takes(x, way))
        if room and low + clear <= x <= last - clear:
            return far
    return None


def _ends(site: Site, carrier: Carrier, way: float, far: float) -> tuple[Array, Array]:
    """Return where a brace's axis meets the axes of its post and its rail, vehicle frame."""
    top = _top(site, carrier)
    down = unit(np.asarray(site.member(stub_id(site, carrier.mount.name)).frame.origin) - top)
    return top + down * far, top + np.asarray(site.plan.frame.x) * way * far


def _top(site: Site, carrier: Carrier) -> Array:
    """Return where the axes of a post and its rail meet, vehicle frame: not quite its place where its foot slopes."""
    post, rail = site.member(stub_id(site, carrier.mount.name)).frame, site.plan.frame
    here = np.asarray(rail.point((carrier.x, carrier.y, 0.0)))
    along, up = np.asarray(rail.x), np.asarray(post.x)
    # Nearest to the post's axis on the rail's.
    across = along - up * float(along @ up)
    return here + along * float((np.asarray(post.origin) - here) @ across) / float(across @ across)


def _tube(site: Site, name: str, carrier: Carrier, way: float, far: float) -> tuple[Placed, list[Joint]]:
    low, high = _ends(site, carrier, way, far)
    post = site.member(stub_id(site, carrier.mount.name))
    rail = site.leg_at(carrier.y, carrier.x + way * far)
    brace = straight(Frame(), name, "knee brace", 3, site.choice.bar, vec(low), vec(high))
    half = site.choice.frame_od / 2 * math.sqrt(2)
    brace = vented(brace, site.down, [(vec(low), half), (vec(high), half)])
    up = vec(high - low)
    return brace, [
        Joint(f"{name}.post", "coped weld", AtEnd(name, "A"), along(post, vec(low), up), "a",
              fixing="fillet all round"),
        Joint(f"{name}.rail", "coped weld", AtEnd(name, "B"), along(rail, vec(high), (-up[0], -up[1], -up[2])), "a",
              fixing="fillet all round"),
    ]  # fmt: skip


def _bar(site: Site, name: str, carrier: Carrier, way: float, far: float) -> tuple[Placed, list[Joint]]:
    low, high = _ends(site, carrier, way, far)
    post = site.member(stub_id(site, carrier.mount.name))
    rail = site.leg_at(carrier.y, carrier.x + way * far)
    x = unit(high - low)
    top = _top(site, carrier)
    post_way, rail_way = unit(top - np.asarray(post.frame.origin)), np.asarray(site.plan.frame.x)
    z = unit(np.cross(x, post_way))
    y = np.cross(z, x)
    r = site.choice.frame_od / 2
    # The bar ends at the walls, seen along the bar.
    begin = low + x * (r / abs(float(np.linalg.norm(np.cross(x, post_way)))))
    end = high - x * (r / abs(float(np.linalg.norm(np.cross(x, rail_way)))))

    def skew(wall: Array, sign: float) -> float:
        """Return the skew that lays an end along a tube's wall."""
        return sign * math.degrees(math.atan(float(wall @ x) / float(wall @ y)))

    long = float(np.linalg.norm(end - begin))
    part = FoldedBar(
        site.choice.strap, (long,), (), BarEnd(skew=skew(post_way, -1.0)), BarEnd(skew=skew(rail_way, 1.0))
    )
    brace = Placed(name, part, Frame.of(begin, x, z), "knee brace", 3)
    up = vec(x)
    return brace, [
        Joint(f"{name}.post", "fillet", OnFace(name, "edge", 0.0, 0.0), along(post, vec(begin), up),
              fixing="fillet both sides"),
        Joint(f"{name}.rail", "fillet", OnFace(name, "edge", long, 0.0),
              along(rail, vec(end), (-up[0], -up[1], -up[2])), fixing="fillet both sides"),
    ]  # fmt: skip


def _no_room(site: Site, carrier: Carrier) -> Finding:
    post = stub_id(site, carrier.mount.name)
    height = site.spec.frame.height
    assert height is not None, "a bed frame has a height"
    clear = height - site.choice.frame_od
    if clear <= LONGEST_STUB:
        return Finding(
            "post-short",
            Level.NOTE,
            (post,),
            f"the post at {carrier.mount.name} is {clear:.0f} mm high and has no knee brace: up to "
            f"{LONGEST_STUB:.0f} mm is stiff without one",
            at=carrier.mount.at,
            got=clear,
            limit=LONGEST_STUB,
            keys=("frame.knee_braces", "frame.height"),
        )
    return Finding(
        "post-unbraced",
        Level.LOOK,
        (post,),
        f"no knee brace of {LEAST:.0f} mm or more finds room at {carrier.mount.name}: its post is too short, or cross "
        "bars stand too near",
        at=carrier.mount.at,
        keys=("frame.knee_braces", "frame.cross_bars", "frame.height"),
        help='move a cross bar away from the post, or set knee_braces to "none"',
    )
