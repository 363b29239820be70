"""The frame: one hoop with its legs aft, cross bars coped into it, and tails where a stick is too short."""

from __future__ import annotations

import math

from rackgen.design.choose import od
from rackgen.design.hoop import Leg, hoop
from rackgen.design.rear import RearEnd, axis_at
from rackgen.design.site import VENT, Site, bent, hole_toward, straight, tube_of, vented, with_holes
from rackgen.design.sleeve import PLUG_FROM_END, PLUG_HOLE, sleeve, sleeve_length
from rackgen.design.spread import PAD_LENGTH
from rackgen.errors import BadInput, Finding, GeometryError, Mistake
from rackgen.geom import spine
from rackgen.geom.frame import Frame, Vec, vec
from rackgen.parts.kinds import Bought, CapShape, TubeHole
from rackgen.parts.place import along, nearest_along
from rackgen.parts.rack import AtEnd, Group, Joint, OnFace, Placed
from rackgen.spec.stock import Round

DRAIN_FROM_END = 10.0
CAP_HEAD = 5.0
CAP_DEPTH = 18.0
CAP_DENSITY = 950.0
"""Place of a leg's drain; a push-in polyethylene cap (sizes and density: common practice, no source)."""

SIDES = ("left", "right")


def frame(site: Site) -> Group:
    """Return hoop, tails, cross bars and caps.

    Raises:
        BadInput: the hoop's bends do not fit its width or legs.
    """
    plan, choice = site.plan, site.choice
    tube = choice.frame_od / 2
    stop = _tail_at(site)
    legs = [_leg(end, tube, stop) for end in plan.rear]
    try:
        line, inner = hoop(2 * plan.leg_y + 2 * tube, legs[0], legs[1], 2 * tube, choice.frame_die.clr)
    except GeometryError as error:
        raise BadInput([Mistake(site.spec.name, "frame", 0, "", f"the hoop cannot be bent: {error}")]) from error
    main = bent(plan.frame, "frame.hoop", "frame hoop", choice.frame, line, inner)
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    tails: list[Placed] = []
    holes: list[TubeHole] = []
    total = spine.length(line)
    for side, end, letter in zip(SIDES, plan.rear, ("A", "B"), strict=True):
        last = main
        if stop is not None:
            tail = straight(
                plan.frame, f"frame.tail.{side}", "leg tail", 1, choice.frame, (stop, end.y, 0), (end.reach, end.y, 0)
            )
            butt = plan.frame.moved((stop, end.y, 0.0))
            more, made, said = sleeve(
                f"frame.sleeve.{side}", choice.frame, site.shop, butt,
                AtEnd("frame.hoop", "A" if letter == "A" else "B"), AtEnd(tail.id, "A"),
            )  # fmt: skip
            plugs = plug_holes(choice.frame.section, 0.0, 1.0)
            tail = with_holes(tail, plugs)
            holes += plugs if letter == "A" else plug_holes(choice.frame.section, total, -1.0)
            members += more
            joints += made
            findings += said
            last = tail
        at = nearest_along(last, end.leg.point((end.end, 0.0, 0.0)))
        inward = DRAIN_FROM_END if at < 1.0 else -DRAIN_FROM_END
        drain = hole_toward(last, at + inward, site.down, VENT, "drain")
        if last is main:
            holes.append(drain)
        else:
            tails.append(with_holes(last, [drain]))
        cap, fit = _cap(site, side, end, last)
        members.append(cap)
        joints.append(fit)
    holes += [
        hole_toward(main, nearest_along(main, plan.frame.point((c.x, c.y, 0.0))), site.down, VENT, "vent")
        for c in plan.carriers
        if c.bar < 0
    ]
    main = with_holes(main, holes)
    bars, coped = _cross_bars(site, main, tails)
    keys = {p.id: ("frame",) for p in (main, *tails, *bars, *members)}
    return Group((main, *tails, *bars, *members), (*joints, *coped), keys, tuple(findings))


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


def _leg(end: RearEnd, tube: float, stop: float | None) -> Leg:
    return Leg((end.reach if stop is None else stop) + tube, drop=end.drop)


def _tail_at(site: Site) -> float | None:
    """Return X of the butts when the legs are continued by tails: asked for, or the hoop is longer than a stick."""
    plan, choice, wish = site.plan, site.choice, site.spec.frame.leg
    if wish in ("straight", "drop") or any(end.drop is not None for end in plan.rear):
        return None
    reach = max(end.reach for end in plan.rear)
    clr = choice.frame_die.clr
    long = 2 * plan.leg_y + 2 * reach - 4 * clr + math.pi * clr + 2 * site.shop.trim
    if wish == "auto" and long <= choice.frame.stick - 2 * site.shop.saw.end_trim:
        return None
    pad_end = plan.middle + max(plan.pads) + PAD_LENGTH / 2
    room = 1.5 * choice.frame_od + 10
    return float(round(max(pad_end + room, (pad_end + plan.bars[-1]) / 2)))


def _cap(site: Site, side: str, end: RearEnd, last: Placed) -> tuple[Placed, Joint]:
    tube = site.choice.frame.section
    assert isinstance(tube, Round)
    item = Bought(
        f"push-in cap for {tube.od:g} × {tube.wall:g} tube",
        CapShape(tube.od, CAP_HEAD, tube.inner, CAP_DEPTH),
        CAP_DENSITY,
    )
    away = Frame.of(end.leg.point((end.end, 0.0, 0.0)), end.leg.z, end.leg.x)
    placed = Placed(f"frame.cap.{side}", item, away, "cap", 0)
    letter = "A" if nearest_along(last, away.origin) < 1.0 else "B"
    face = OnFace(placed.id, "bottom", 0.0, 0.0)
    return placed, Joint(f"{placed.id}.fit", "contact", face, AtEnd(last.id, letter), fixing="push fit")


def _cross_bars(site: Site, main: Placed, tails: list[Placed]) -> tuple[list[Placed], list[Joint]]:
    plan, choice = site.plan, site.choice
    bars: list[Placed] = []
    joints: list[Joint] = []
    for i, x in enumerate(plan.bars):
        ends: list[Vec] = [axis_at(plan.frame, end.y, end.drop, x) for end in plan.rear]
        name = f"frame.bar[{i + 1}]"
        bar = straight(Frame(), name, "cross bar", 2, choice.frame, ends[0], ends[1])
        saddles = [plan.frame.point((c.x, c.y, 0.0)) for c in plan.carriers if c.bar == i]
        half = choice.frame_od / 2
        bar = vented(bar, site.down, [(p, half) for p in (*ends, *saddles)])
        bar = with_holes(bar, [hole_toward(bar, nearest_along(bar, p), site.down, VENT, "vent") for p in saddles])
        for letter, point, end in zip(("A", "B"), ends, plan.rear, strict=True):
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
    """Return whether a point lies beside the middle of a straight tube, not beyond its ends."""
    at = nearest_along(tube, point)
    return 1.0 < at < spine.length(tube_of(tube).spine) - 1.0 and math.dist(
        tube.frame.point((at, 0.0, 0.0)), point
    ) < od(tube_of(tube).stock)
