"""A ladder down the rear: two stiles bent over the roof's edge, rungs coped between them, feet on the body.

Each stile ends on a plate that two U-bolts hold to the rack's rear tube. From there it runs aft, bends down and follows
the rear face at an even distance, kept off it by standoffs whose feet rest on rubber. The U-bolts carry; the feet only
press. On every stile t runs down from the corner of its two axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rackgen.design.bolts import hole_for
from rackgen.design.choose import od, thickness
from rackgen.design.end_tubes import CAP_DENSITY, CAP_DEPTH, CAP_HEAD, DRAIN_FROM_END
from rackgen.design.fittings.host import Host, frame_on
from rackgen.design.fittings.ladder_loads import bears
from rackgen.design.fittings.placing import hosted, refused
from rackgen.design.site import Site, hole_toward, straight, tube_of, vented, with_holes
from rackgen.errors import Finding, GeometryError, Level
from rackgen.geom import spine
from rackgen.geom.frame import Array, Frame, Vec, vec
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import BentTube, Bought, CapShape, CutPlate, PadShape, PlateHole, UBoltShape
from rackgen.parts.place import along, nearest_along
from rackgen.parts.rack import AtEnd, Group, Joint, OnFace, Placed
from rackgen.spec.fittings import Carrier, LadderWish
from rackgen.spec.stock import Stock, UBolt
from rackgen.spec.vehicle import RearMount

STILE, RUNG, STANDOFF = "ladder stile", "ladder rung", "ladder standoff"
CLAMP, FOOT, PAD = "ladder clamp", "ladder foot", "ladder pad"
USUAL_TUBE = (26.9, 2.6)
USUAL_PLATE = 5.0
BOLTS_APART = 60.0
EDGE = 2.0
CORNER = 10.0
LOOSE = 0.5
PAST_BEND = 1.0
BELOW_RUNG = 60.0
FOOT_WIDE = 70.0
STEEL = 7850.0
RUBBER = 1200.0
"""Usual tube of stiles and rungs, usual plate of clamps and feet; between a clamp's two U-bolts; from a hole's middle
to a plate's edge, in diameters; corners of plates; how loose a U-bolt passes the tube; from the bend to the first
rung's axis, in diameters; from the last rung to a stile's end; width of a foot, mm; kg/m³ (common practice, no
source)."""


@dataclass(frozen=True)
class _Lie:
    """How the stiles lie; vehicle frame.

    Attributes:
        out: unit vector aft along the rack's plane.
        down: unit vector down the rear face.
        off: unit vector out of the rear face.
        run: from the clamp plate to the corner of a stile's axes, mm.
        rungs: t of the rungs, mm.
        feet: t of the standoffs, mm.
        end: t of the stiles' ends, mm.
    """

    out: Array
    down: Array
    off: Array
    run: float
    rungs: tuple[float, ...]
    feet: tuple[float, ...]
    end: float


def ladder(site: Site, wish: LadderWish) -> Group:
    """Return the ladder with its clamps and feet.

    Raises:
        BadInput: the vehicle has no rear face, the rack no tube for it there, or the stiles cannot be bent so.
    """
    face = _face(site, wish)
    on: Carrier = wish.on or ("upper ring" if site.spec.basket.kind == "basket" else "frame")
    here = hosted(site, wish.entry, on, "rear")
    up, out = np.asarray(here.up), np.asarray(here.out)
    here = here.touched(here.up, here.out, vec(-up), vec(-out))
    plate = _plate(site, wish)
    tube = _tube(site, wish, _run(wish, here, face, plate))
    bolt = _u_bolt(site, wish, here, thickness(plate))
    apart = wish.width + od(tube)
    # The plate may reach past the straight, its U-bolts may not.
    half = BOLTS_APART / 2 + bolt.rod
    _on_tube(site, wish, here, apart, half)
    lie = _lie(site, wish, here, face, tube, plate)
    name = f"fitting[{wish.entry}]"
    members: list[Placed] = []
    joints: list[Joint] = []
    stiles: list[Placed] = []
    for k, y in enumerate((wish.at - apart / 2, wish.at + apart / 2), 1):
        stile, more, made = _stile(site, wish, here, tube, plate, bolt, lie, f"{name}.stile[{k}]", y, half)
        stiles.append(stile)
        members += more
        joints += made
    for k, t in enumerate(lie.rungs, 1):
        rung, made = _rung(site, tube, stiles, lie, f"{name}.rung[{k}]", t)
        members.append(rung)
        joints += made
    for k, y in enumerate((wish.at - apart / 2, wish.at + apart / 2), 1):
        for i, t in enumerate(lie.feet, 1):
            stiles[k - 1], more, made = _standoff(
                site, wish, tube, plate, stiles[k - 1], lie, f"{name}.foot[{2 * i - 2 + k}]", y, t
            )
            members += more
            joints += made
    members = [*stiles, *members]
    findings = _said(site, wish, here, apart, half, face, stiles[0])
    return Group(tuple(members), tuple(joints), {m.id: (name,) for m in members}, tuple(findings))


def _face(site: Site, wish: LadderWish) -> RearMount:
    """Return the rear corner on the ladder's side: its plane is the rear face."""
    rear = site.vehicle.rear
    if not rear:
        raise refused(
            site, wish.entry, "kind",
            f"{site.vehicle.name} has no rear face that is known: give its file a mount of kind \"rear corner\", or "
            "leave the ladder out",
        )  # fmt: skip
    return min(rear, key=lambda m: (m.at[1] * wish.at < 0, m.name))


def _tube(site: Site, wish: LadderWish, run: float) -> Stock:
    """Return the tube that is named, else the nearest to the usual one that bears a person."""
    bends = [s for s, _ in site.shop.tubes() if site.shop.die_for(od(s)) is not None]
    if wish.tube is not None:
        found = next((s for s in bends if s.name == wish.tube), None)
        if found is None:
            named = ", ".join(f'"{s.name}"' for s in bends) or "none"
            raise refused(site, wish.entry, "tube", f"the shop has no die for it; those with one: {named}")
        return found
    if not bends:
        raise refused(site, wish.entry, "tube", "put round tube with a die for it on the shelf")
    bends.sort(key=lambda s: (abs(od(s) - USUAL_TUBE[0]), abs(_wall(s) - USUAL_TUBE[1]), s.name))
    return next((s for s in bends if bears(s, run, wish.width + od(s))), bends[0])


def _wall(stock: Stock) -> float:
    return BentTube(stock, spine.Spine((1.0,))).section.wall


def _plate(site: Site, wish: LadderWish) -> Stock:
    sheets = [s for s, _ in site.shop.sheets()]
    if wish.plate is not None:
        return next(s for s in sheets if s.name == wish.plate)
    if not sheets:
        raise refused(site, wish.entry, "plate", f"put plate of about {USUAL_PLATE:g} mm on the shelf")
    return min(sheets, key=lambda s: (abs(thickness(s) - USUAL_PLATE), s.name))


def _u_bolt(site: Site, wish: LadderWish, here: Host, plate: float) -> UBolt:
    """Return the smallest U-bolt that passes the tube and reaches through plate, washer and nut."""
    wide = 2 * here.radius + LOOSE
    for bolt in sorted(site.shop.u_bolts, key=lambda b: (b.inside_width, b.rod, b.leg)):
        long = 2 * here.radius + plate + bolt.washer_thickness + bolt.nut_height + bolt.rod / 4
        if bolt.inside_width >= wide - 1e-6 and bolt.leg >= long - 1e-6:
            return bolt
    raise refused(
        site, wish.entry, "kind",
        f"put a U-bolt on the shelf with an inside width of at least {wide:.1f} mm and legs of at least "
        f"{2 * here.radius + plate + 12:.0f} mm",
    )  # fmt: skip


def _on_tube(site: Site, wish: LadderWish, here: Host, apart: float, half: float) -> None:
    """Refuse a ladder one of whose clamps lies off the rear tube's straights."""
    ends = (wish.at - apart / 2, wish.at + apart / 2)
    if all(here.over(y, half) is not None for y in ends):
        return
    low, high = here.stretches[0].low, here.stretches[-1].high
    near = _nearest(here, wish.at, apart, half)
    cure = "no place on it has room for both" if near is None else f"the nearest good place is {near:.0f} mm"
    raise refused(
        site, wish.entry, "at",
        f"the clamps of a ladder at {wish.at:.0f} mm stand at {ends[0]:.0f} and {ends[1]:.0f} mm, {2 * half:.0f} mm "
        f"wide each; {here.called} is straight from {low:.0f} to {high:.0f} mm; {cure}",
    )  # fmt: skip


def _nearest(here: Host, at: float, apart: float, half: float) -> float | None:
    """Return the place nearest to one where both clamps stand free, mm."""
    for by in range(2000):
        for one in (at - by, at + by):
            if all(here.is_free(one + side * apart / 2, half) for side in (-1.0, 1.0)):
                return one
    return None


def _run(wish: LadderWish, here: Host, face: RearMount, plate: Stock) -> float:
    """Return how far aft of their clamp plates the stiles' corners are, mm."""
    lean, out = math.radians(face.lean), np.asarray(here.out)
    off = np.array([math.cos(lean), 0.0, math.sin(lean)])
    begin = np.asarray(here.stretches[0].begin) + out * (here.radius + thickness(plate))
    return float(wish.off - (begin - np.asarray(face.at)) @ off) / float(out @ off)


def _lie(site: Site, wish: LadderWish, here: Host, face: RearMount, tube: Stock, plate: Stock) -> _Lie:
    """Return how the stiles lie beside the rear face."""
    lean = math.radians(face.lean)
    off = np.array([math.cos(lean), 0.0, math.sin(lean)])
    down = np.array([math.sin(lean), 0.0, -math.cos(lean)])
    out = np.asarray(here.out)
    die = site.shop.die_for(od(tube))
    assert die is not None
    begin = np.asarray(here.stretches[0].begin) + out * (here.radius + thickness(plate))
    run = _run(wish, here, face, plate)
    bend = math.degrees(math.acos(max(-1.0, min(1.0, float(out @ down)))))
    setback = die.clr * math.tan(math.radians(bend) / 2)
    # The long end goes in the clamp, the short one takes the pressure die's tail, or the other way round.
    need = setback + max(1.0, min(die.clamp, die.tail) - site.shop.trim_of(STILE))
    if run < need:
        more = need - run
        raise refused(
            site, wish.entry, "off",
            f"the stiles' bend and the bender need {need:.0f} mm aft of their clamps and have {run:.0f} mm; set off to "
            f"{math.ceil(wish.off + more):.0f} mm or more, or move the basket forward",
        )  # fmt: skip
    first = math.ceil(setback + PAST_BEND * od(tube) + od(tube) / 2)
    rungs = tuple(first + k * wish.spacing for k in range(wish.rungs))
    # Feet stand half-way between rungs, where the face is flat.
    top = float((np.asarray(face.at) - (begin + out * run)) @ down)
    between = [t + wish.spacing / 2 for t in rungs[:-1]]
    flat = [t for t in between if t >= top + FOOT_WIDE / 2]
    if not flat:
        need = math.ceil((top + FOOT_WIDE / 2 - first) / wish.spacing + 0.5) + 1
        raise refused(
            site, wish.entry, "rungs",
            f"with {wish.rungs} rungs the stiles end above the flat of the rear face; ask for {need} or more",
        )  # fmt: skip
    feet = (flat[0], flat[-1]) if len(flat) > 1 else (flat[0],)
    return _Lie(out, down, off, run, rungs, feet, rungs[-1] + BELOW_RUNG)


def _corner(here: Host, lie: _Lie, plate: Stock, y: float, half: float) -> tuple[Vec, Vec]:
    """Return where a stile begins on its clamp, and the corner of its axes, vehicle frame."""
    _, frame = frame_on(here, y, half)
    begin = np.asarray(frame.origin) + lie.out * (here.radius + thickness(plate))
    return vec(begin), vec(begin + lie.out * lie.run)


def _stile(
    site: Site,
    wish: LadderWish,
    here: Host,
    tube: Stock,
    plate: Stock,
    bolt: UBolt,
    lie: _Lie,
    name: str,
    y: float,
    half: float,
) -> tuple[Placed, list[Placed], list[Joint]]:
    """Return a stile, what holds its head and closes its foot, and their joints."""
    begin, corner = _corner(here, lie, plate, y, half)
    end = vec(np.asarray(corner) + lie.down * lie.end)
    die = site.shop.die_for(od(tube))
    assert die is not None
    try:
        line, frame = spine.from_points([begin, corner, end], die.clr)
    except GeometryError as error:
        raise refused(site, wish.entry, "off", f"the stiles cannot be bent: {error}") from error
    stile = Placed(name, BentTube(tube, line), frame, STILE, 1)
    stile = with_holes(stile, [hole_toward(stile, spine.length(line) - DRAIN_FROM_END, vec(-lie.off), "drain")])
    clamp, bolts, joints = _clamp(here, plate, bolt, name.replace(".stile[", ".clamp["), y, half)
    joints.append(
        Joint(f"{name}.clamp", "plane weld", AtEnd(name, "A"), OnFace(clamp.id, "top", 0.0, 0.0), "a",
              fixing="fillet all round")
    )  # fmt: skip
    section = tube_of(stile).section
    item = Bought(f"push-in cap for {tube.name}", CapShape(section.od, CAP_HEAD, section.inner, CAP_DEPTH), CAP_DENSITY)
    cap = Placed(name.replace(".stile[", ".cap["), item, Frame.of(end, lie.off, lie.down), "cap", 0)
    joints.append(
        Joint(f"{cap.id}.fit", "contact", OnFace(cap.id, "bottom", 0.0, 0.0), AtEnd(name, "B"), fixing="push fit")
    )
    return stile, [clamp, *bolts, cap], joints


def _clamp(
    here: Host, plate: Stock, bolt: UBolt, name: str, y: float, half: float
) -> tuple[Placed, list[Placed], list[Joint]]:
    """Return the plate at a stile's head with its two U-bolts round the rack's tube."""
    stretch, frame = frame_on(here, y, half)
    arm, hole = (bolt.inside_width + bolt.rod) / 2, hole_for(bolt.rod)
    wide, tall = BOLTS_APART + 2 * EDGE * hole, 2 * (arm + EDGE * hole)
    spots = [(x, z) for x in (-BOLTS_APART / 2, BOLTS_APART / 2) for z in (-arm, arm)]
    part = CutPlate(plate, rectangle(wide, tall, CORNER), tuple(PlateHole(x, z, hole) for x, z in spots))
    way, out = np.asarray(stretch.way), np.asarray(frame.x)
    clamp = Placed(name, part, Frame.of(frame.point((here.radius, 0.0, 0.0)), way, out), CLAMP, 2)
    joints = [
        Joint(f"{name}.tube", "contact", OnFace(name, "bottom", 0.0, 0.0), along(stretch.tube, frame.origin, frame.x),
              None, 0, "vehicle", "clamped")
    ]  # fmt: skip
    shape = UBoltShape(
        bolt.rod, bolt.inside_width, bolt.inside_width / 2, here.radius, bolt.leg, here.radius + thickness(plate),
        bolt.washer, bolt.washer_thickness, bolt.nut_across, bolt.nut_height,
    )  # fmt: skip
    text = f"{bolt.torque:g} N·m, again after 50 km"
    bolts: list[Placed] = []
    for k, x in enumerate((-BOLTS_APART / 2, BOLTS_APART / 2), 1):
        axis = vec(np.asarray(frame.origin) + x * way)
        one = Placed(f"{name}.u_bolt[{k}]", Bought(bolt.name, shape, STEEL), Frame.of(axis, way, out), "U-bolt", 0)
        bolts.append(one)
        joints += [
            Joint(f"{one.id}.plate", "U-bolt", OnFace(one.id, "top", 0.0, 0.0), OnFace(name, "top", x, 0.0), None, 0,
                  "vehicle", text),
            Joint(f"{one.id}.tube", "U-bolt", OnFace(one.id, "bottom", 0.0, 0.0),
                  along(stretch.tube, axis, vec(-out)), None, 0, "vehicle", text),
        ]  # fmt: skip
    return clamp, bolts, joints


def _axis(stile: Placed, lie: _Lie, t: float) -> Vec:
    """Return the point of a stile's axis at t, vehicle frame."""
    end = stile.frame.point(spine.end_frame(tube_of(stile).spine).origin)
    return vec(np.asarray(end) + lie.down * (t - lie.end))


def _rung(site: Site, tube: Stock, stiles: list[Placed], lie: _Lie, name: str, t: float) -> tuple[Placed, list[Joint]]:
    ends = [_axis(s, lie, t) for s in stiles]
    rung = straight(Frame(), name, RUNG, 2, tube, ends[0], ends[1])
    rung = vented(rung, vec(lie.down), [(p, od(tube) / 2) for p in ends])
    way = np.asarray(ends[1]) - np.asarray(ends[0])
    joints = [
        Joint(f"{name}.stile[{k}]", "coped weld", AtEnd(name, "A" if k == 1 else "B"),
              along(stile, point, vec(toward)), "a", fixing="fillet all round")
        for k, stile, point, toward in ((1, stiles[0], ends[0], way), (2, stiles[1], ends[1], -way))
    ]  # fmt: skip
    return rung, joints


def _standoff(
    site: Site, wish: LadderWish, tube: Stock, plate: Stock, stile: Placed, lie: _Lie, name: str, y: float, t: float
) -> tuple[Placed, list[Placed], list[Joint]]:
    """Return a stile with a vent in one more cope, the standoff there with foot and rubber, and their joints."""
    axis = _axis(stile, lie, t)
    rubber, thick = site.shop.isolator, thickness(plate)
    body = np.asarray(axis) - lie.off * wish.off
    outline = rectangle(FOOT_WIDE, FOOT_WIDE, CORNER)
    pad_item = Bought(f"rubber pad {site.ordered(FOOT_WIDE, FOOT_WIDE, rubber)}", PadShape(outline, (), rubber), RUBBER)
    pad = Placed(f"{name}.pad", pad_item, Frame.of(body, lie.down, lie.off), PAD, 0)
    foot = Placed(
        f"{name}.plate", CutPlate(plate, outline), Frame.of(body + lie.off * rubber, lie.down, lie.off), FOOT, 3
    )
    stub = straight(Frame(), name, STANDOFF, 3, tube, vec(body + lie.off * (rubber + thick)), axis)
    stile = with_holes(stile, [hole_toward(stile, nearest_along(stile, axis), vec(-lie.off), "vent")])
    joints = [
        Joint(f"{name}.foot", "plane weld", AtEnd(name, "A"), OnFace(foot.id, "top", 0.0, 0.0), "a",
              fixing="fillet all round"),
        Joint(f"{name}.stile", "coped weld", AtEnd(name, "B"), along(stile, axis, vec(-lie.off)), "a",
              fixing="fillet all round"),
        Joint(f"{name}.rubber", "contact", OnFace(foot.id, "bottom", 0.0, 0.0), OnFace(pad.id, "top", 0.0, 0.0), None,
              0, "vehicle", "glued under the foot, rests on the body"),
    ]  # fmt: skip
    return stile, [stub, foot, pad], joints


def _said(
    site: Site, wish: LadderWish, here: Host, apart: float, half: float, face: RearMount, stile: Placed
) -> list[Finding]:
    out: list[Finding] = []
    if not all(here.is_free(wish.at + side * apart / 2, half) for side in (-1.0, 1.0)):
        near = _nearest(here, wish.at, apart, half)
        out.append(
            Finding(
                "fitting-on-weld", Level.STOP, (stile.id,),
                f"a clamp of the ladder at {wish.at:.0f} mm stands on a weld or a clamp of {here.called}",
                at=stile.frame.origin, keys=(f"fitting[{wish.entry}].at",),
                help=f"put it at {near:.0f} mm" if near is not None else "clamp it to another tube with `on`",
            )
        )  # fmt: skip
    if site.vehicle.keep_outs.hatch is None:
        out.append(
            Finding(
                "ladder-before-door", Level.LOOK, (stile.id,),
                "no hatch or rear door is in the vehicle's file: whether one opens against the ladder is not known",
                at=stile.frame.origin, keys=("hatch",),
                help="measure the hatch or rear door, or see that nothing opens behind the ladder and waive this",
            )
        )  # fmt: skip
    high = max(abs(wish.at - apart / 2), abs(wish.at + apart / 2)) + FOOT_WIDE / 2
    if high > face.corner:
        out.append(
            Finding(
                "ladder-on-corner", Level.STOP, (stile.id,),
                f"the ladder's feet reach {high:.0f} mm from the middle; the rear face is flat to {face.corner:.0f} mm",
                at=stile.frame.origin, got=high, limit=face.corner, keys=(f"fitting[{wish.entry}].at",),
                help=f"move it {high - face.corner:.0f} mm toward the middle, or make it narrower",
            )
        )  # fmt: skip
    return out
