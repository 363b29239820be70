"""The frame: a hoop with its legs aft, or two side rails; cross bars coped into it, tails where a stick is short."""

from __future__ import annotations

import math

from rackgen.design.choose import od
from rackgen.design.end_tubes import DRAIN_FROM_END, end_tubes, rail_cap, saddle_vents
from rackgen.design.hoop import Leg, hoop
from rackgen.design.rear import LegEnd, axis_at
from rackgen.design.site import Site, bent, hole_toward, straight, tube_of, vented, with_holes
from rackgen.design.sleeve import PLUG_FROM_END, PLUG_HOLE, sleeve, sleeve_length
from rackgen.errors import BadInput, Finding, GeometryError, Mistake
from rackgen.geom import spine
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.kinds import TubeHole
from rackgen.parts.place import along, nearest_along
from rackgen.parts.rack import AtEnd, Group, Joint, PartId, Placed
from rackgen.spec.shop import FRAME_HOOP
from rackgen.spec.stock import Round

DRAIN_FROM_MITRE = 2.5
"""From a mitre to a drain, in diameters (common practice, no source)."""

SIDES = ("left", "right")


def frame(site: Site) -> Group:
    """Return hoop or rails, tails, cross bars, front and rear tubes, and caps.

    Raises:
        BadInput: the hoop's bends do not fit its width or legs.
    """
    plan, choice = site.plan, site.choice
    stop = plan.butt
    mains = _hoop(site) if plan.front_end == "bent" else _rails(site)
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    tails: list[Placed] = []
    lasts: list[Placed] = []
    holes: dict[PartId, list[TubeHole]] = {m.id: [] for m in mains}
    under = [c for c in plan.carriers if c.kind == "leg" or (c.kind == "back" and plan.front_end == "bent")]
    behind = [c for c in under if stop is not None and c.x >= stop]
    ahead = [c for c in under if c not in behind]
    for side, end, main in zip(SIDES, plan.ends, (mains[0], mains[-1]), strict=True):
        last = main
        # A hoop runs from its left leg's end to its right leg's end, a rail from its front to its rear.
        at_begin = len(mains) == 1 and side == "left"
        if stop is not None:
            tail = _tail(site, side, end, stop)
            butt = plan.frame.moved((stop, end.y, 0.0))
            more, made, said = sleeve(
                f"frame.sleeve.{side}", choice.frame, site.shop, butt,
                AtEnd(main.id, "A" if at_begin else "B"), AtEnd(tail.id, "A"),
            )  # fmt: skip
            plugs = plug_holes(choice.frame.section, 0.0, 1.0)
            tail = with_holes(tail, plugs)
            total = spine.length(tube_of(main).spine)
            holes[main.id] += plugs if at_begin else plug_holes(choice.frame.section, total, -1.0)
            members += more
            joints += made
            findings += said
            last = tail
        at = nearest_along(last, end.leg.point((end.end, 0.0, 0.0)))
        from_end = DRAIN_FROM_END if plan.rear_end == "open" else DRAIN_FROM_MITRE * choice.frame_od
        drain = hole_toward(last, at + (from_end if at < 1.0 else -from_end), site.down, "drain")
        if last is main:
            holes[main.id].append(drain)
        else:
            saddles = saddle_vents(site, last, [c for c in behind if c.y * end.y > 0])
            tails.append(last := with_holes(last, [drain, *saddles]))
        lasts.append(last)
        if plan.rear_end == "open":
            away = Frame.of(end.leg.point((end.end, 0.0, 0.0)), end.leg.z, end.leg.x)
            cap, fit = rail_cap(site, f"frame.cap.{side}", away, last)
            members.append(cap)
            joints.append(fit)
    if plan.front_end == "open":
        for main in mains:
            holes[main.id].append(hole_toward(main, DRAIN_FROM_END, site.down, "drain"))
    mine = {
        m.id: [c for c in ahead if len(mains) == 1 or c.y * y > 0] for m, y in zip(mains, (-1.0, 1.0), strict=False)
    }
    mains = [with_holes(m, [*holes[m.id], *saddle_vents(site, m, mine[m.id])]) for m in mains]
    bars, coped = _cross_bars(site, mains, tails)
    closed = end_tubes(site, mains, lasts)
    members += closed.members
    joints += closed.joints
    keys = {p.id: ("frame",) for p in (*mains, *tails, *bars, *members)}
    return Group((*mains, *tails, *bars, *members), (*joints, *coped), keys, tuple(findings))


def _hoop(site: Site) -> list[Placed]:
    """Return the one tube that is both legs and the front."""
    plan, choice = site.plan, site.choice
    tube = choice.frame_od / 2
    legs = [_leg(end, tube, plan.butt) for end in plan.ends]
    try:
        line, inner = hoop(2 * plan.leg_y + 2 * tube, legs[0], legs[1], 2 * tube, choice.frame_die.clr)
    except GeometryError as error:
        raise BadInput([Mistake(site.spec.name, "frame", 0, "", f"the hoop cannot be bent: {error}")]) from error
    return [bent(plan.frame, "frame.hoop", FRAME_HOOP, choice.frame, line, inner)]


def _rails(site: Site) -> list[Placed]:
    """Return the left and the right rail, each up to its butt, from the front's end or mitre."""
    plan, stop = site.plan, site.plan.butt
    return [
        straight(plan.frame, name, "frame rail", 1, site.choice.frame, (0.0, end.y, 0.0),
                 (end.reach if stop is None else stop, end.y, 0.0))
        for name, end in zip(plan.legs, plan.ends, strict=True)
    ]  # fmt: skip


def plug_holes(section: object, end: float, sign: float) -> list[TubeHole]:
    """Return the two plug-weld holes of one side of a butt.

    Args:
        section: the host's section.
        end: place of the butt along the host, mm.
        sign: +1 when the host runs away from the butt, -1 when it runs up to it.
    """
    assert isinstance(section, Round)
    at = end + sign * sleeve_length(section) * PLUG_FROM_END
    return [TubeHole(at, clock, PLUG_HOLE, "plug weld") for clock in (0.0, 180.0)]


def _leg(end: LegEnd, tube: float, stop: float | None) -> Leg:
    return Leg(end.reach + tube, drop=end.drop) if stop is None else Leg(stop + tube)


def _tail(site: Site, side: str, end: LegEnd, stop: float) -> Placed:
    """Return the tube that continues a leg from its butt, with the leg's drop bend where it has one."""
    frame, name = site.plan.frame, f"frame.tail.{side}"
    points = [(stop, end.y, 0.0), (end.reach, end.y, 0.0)]
    if end.drop is not None:
        fall = (end.reach - end.drop.at) * math.tan(math.radians(end.drop.angle))
        points = [points[0], (end.drop.at, end.y, 0.0), (end.reach, end.y, -fall)]
    try:
        line, inner = spine.from_points(points, site.choice.frame_die.clr)
    except GeometryError as error:
        raise BadInput([Mistake(site.spec.name, "frame", 0, "", f"the tail cannot be bent: {error}")]) from error
    return bent(frame, name, "leg tail", site.choice.frame, line, inner)


def _cross_bars(site: Site, mains: list[Placed], tails: list[Placed]) -> tuple[list[Placed], list[Joint]]:
    plan, choice = site.plan, site.choice
    bars: list[Placed] = []
    joints: list[Joint] = []
    for i, x in enumerate(plan.bars):
        ends: list[Vec] = [axis_at(plan.frame, end.y, end.drop, x) for end in plan.ends]
        name = f"frame.bar[{i + 1}]"
        bar = straight(Frame(), name, "cross bar", 2, choice.frame, ends[0], ends[1])
        saddles = [plan.frame.point((c.x, c.y, 0.0)) for c in plan.carriers if c.bar == i]
        half = choice.frame_od / 2
        bar = vented(bar, site.down, [(p, half) for p in (*ends, *saddles)])
        bar = with_holes(bar, [hole_toward(bar, nearest_along(bar, p), site.down, "vent") for p in saddles])
        for letter, point, end, main in zip(("A", "B"), ends, plan.ends, (mains[0], mains[-1]), strict=True):
            header = next((t for t in tails if _under(t, point)), main)
            inward = vec((0.0, -math.copysign(1.0, end.y), 0.0))
            joints.append(
                Joint(
                    f"{name}.{SIDES[0] if letter == 'A' else SIDES[1]}",
                    "coped weld",
                    AtEnd(name, "A" if letter == "A" else "B"),
                    along(header, point, inward),
                    "a",
                    fixing="fillet all round",
                )
            )
        bars.append(bar)
    return bars, joints


def _under(tube: Placed, point: Vec) -> bool:
    """Return whether a point lies beside the middle of a tube, not beyond its ends."""
    at = nearest_along(tube, point)
    line = tube_of(tube).spine
    here = tube.frame.point(spine.frame_at(line, at).origin)
    return 1.0 < at < spine.length(line) - 1.0 and math.dist(here, point) < od(tube_of(tube).stock)
