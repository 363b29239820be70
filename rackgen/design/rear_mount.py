"""Rear mounts: a strap from under the leg down the body, a wrap round the corner, a packer, a brace in the bend."""

from __future__ import annotations

import math

import numpy as np

from rackgen.design.choose import bar_width, thickness
from rackgen.design.front_mount import BEDDING_DENSITY
from rackgen.design.rear import PACKER, STRAP_TOP, WRAP_BELOW, RearEnd, rows, strap_radius
from rackgen.design.rivets import set_rivet
from rackgen.design.site import Site
from rackgen.design.wrap import corner_findings, wrap_fold
from rackgen.errors import Finding
from rackgen.geom.fold import Fold, legs_and_arcs
from rackgen.geom.frame import Array, Frame, unit
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import BarEnd, BarHole, Bought, FoldedBar, PadShape
from rackgen.parts.place import along
from rackgen.parts.rack import Group, Joint, OnFace, Placed

WRAP_LONG = 60.0
WRAP_SIDE = 45.0
CORNER = 5.0
HOLE_EDGE = 0.75
SIDE_HOLE = 22.0
SIDE_SPREAD = 12.0
LAP = 6.0
BRACE_DOWN = 50.0
BRACE_FORWARD = 98.0
BESIDE_WRAP = 0.5
"""The wrap's two flats; corner radius of bar ends; least distance of a hole's middle from an edge, in diameters; the
wrap's own rivets on the body's side; how far it passes under the strap to be welded to both its edges; how far down
and forward of the strap's inner corner its brace stands, and how far from the wrap it ends; mm (common practice, no
source)."""


def rear_mounts(site: Site) -> Group:
    """Return strap, wrap, packer, brace, bedding and rivets of both rear mounts."""
    members: list[Placed] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    for end in site.plan.rear:
        more, made, said = _one(site, end)
        members += more
        joints += made
        findings += said
    keys = {p.id: (f"mounts.{p.id.split('.')[1]}",) for p in members}
    return Group(tuple(members), tuple(joints), keys, tuple(findings))


def _one(site: Site, end: RearEnd) -> tuple[list[Placed], list[Joint], list[Finding]]:
    name, side = f"mount.{end.mount.name}", math.copysign(1.0, end.y)
    strap = _strap(site, end, name)
    wrap = _wrap(site, end, name, side)
    packer = _packer(site, end, name)
    brace = _brace(site, end, name)
    bed, *beside = _bedding(site, end, name, side, wrap)
    hoop = site.leg_at(end.y, end.reach)
    mid = end.leg.point((end.fold_begin - STRAP_TOP / 2, 0.0, 0.0))
    row = rows(site.choice)
    begin = end.body_flat - row.on_body
    fold = math.radians(end.fold) * (strap_radius(site.choice) + thickness(site.choice.strap) / 2)
    body = STRAP_TOP + fold + begin

    def weld(what: str, a: str, b: str, text: str, at: float = 0.0) -> Joint:
        return Joint(f"{name}.{what}", "fillet", OnFace(a, "top", 0, 0), OnFace(b, "bottom", at, 0), fixing=text)

    joints = [
        Joint(f"{name}.strap", "fillet", OnFace(strap.id, "top", STRAP_TOP / 2, 0), along(hoop, mid, site.down),
              fixing="fillet both sides over the whole top flat"),
        weld("wrap", wrap.id, strap.id, _wrap_weld(site, end), body + row.wrap),
        weld("packer", packer.id, strap.id, _packer_weld(site), body + row.packer),
        weld("brace.lower", brace.id, strap.id, "fillet both sides", STRAP_TOP + fold + BRACE_DOWN),
        weld("brace.upper", brace.id, strap.id, "fillet both sides", STRAP_TOP - BRACE_FORWARD),
    ]  # fmt: skip
    for part in (wrap, packer):
        joints.append(
            Joint(f"{part.id}.bedding", "contact", OnFace(part.id, "bottom", 0, 0), OnFace(bed.id, "top", 0, 0),
                  None, 0,
                  "vehicle", "sealant bed or hard tape, on the body")
        )  # fmt: skip
    for pad in beside:
        joints.append(
            Joint(f"{pad.id}.fit", "contact", OnFace(wrap.id, "bottom", 0, 0), OnFace(pad.id, "top", 0, 0), None, 0,
                  "vehicle", "sealant bed or hard tape, on the body")
        )  # fmt: skip
    rivets, short = _rivets(site, end, name, wrap)
    for rivet, through in rivets:
        for other in through:
            joints.append(
                Joint(f"{rivet.id}.{other.rsplit('.', 1)[1]}", "rivets", OnFace(rivet.id, "bottom", 0, 0),
                      OnFace(other, "top", 0, 0), None, 0, "vehicle",
                      f"closed-end rivet {site.choice.rivet.diameter:g}")
            )  # fmt: skip
    members = [strap, wrap, packer, brace, bed, *beside, *(r for r, _ in rivets)]
    return members, joints, [*short, *corner_findings(end.mount, wrap.id)]


def on_body(end: RearEnd, down: float, off: float) -> Array:
    """Return the point `down` mm below the upper end of the body's flat and `off` mm out of it, under the leg."""
    face = np.array([end.mount.at[0], end.lie.origin[1], end.mount.at[2]])
    return face + np.asarray(end.down) * down + np.asarray(end.out) * off


def _strap(site: Site, end: RearEnd, name: str) -> Placed:
    choice = site.choice
    t = thickness(choice.strap)
    hole = choice.rivet.hole
    row = rows(choice)
    holes = tuple(BarHole(1, end.body_flat - row.on_body + at, 0.0, hole) for at in row.rivets)
    part = FoldedBar(
        choice.strap,
        (STRAP_TOP, end.body_flat),
        (Fold(-end.fold, strap_radius(choice)),),
        BarEnd(radius=CORNER),
        BarEnd(radius=CORNER),
        holes,
    )
    return Placed(
        f"{name}.strap", part, end.lie.moved((end.strap_front, 0.0, -choice.frame_od / 2 - t / 2)), "rear strap", 3
    )


def _wrap_weld(site: Site, end: RearEnd) -> str:
    inner = wrap_fold(site, end).tangent - wrap_flat(site, end)
    if inner <= abs(end.lie.origin[1]) - bar_width(site.choice.strap) / 2 - LAP + 1e-6:
        return "lap fillet to both edges of the strap"
    return "lap fillet at the strap's outer edge; the wrap's end welded to the strap's back, ground flush below"


def _packer_weld(site: Site) -> str:
    if bar_width(site.choice.wrap) > bar_width(site.choice.strap) - 2 * thickness(site.choice.wrap):
        return "edge weld along both edges, ground flush below"
    return "lap fillet along both edges"


def wrap_flat(site: Site, end: RearEnd) -> float:
    """Return the length of the wrap's longer flat, mm.

    It passes under the whole strap with a step to weld on; where the shut line is too near for that, it ends under the
    strap.
    """
    mount = end.mount
    tangent = wrap_fold(site, end).tangent
    past = math.ceil(tangent - abs(end.lie.origin[1]) + bar_width(site.choice.strap) / 2 + LAP)
    most = math.floor(tangent - (mount.corner - mount.to_shut_line) - site.spec.gaps.shut_line)
    long = max(WRAP_LONG, past) if past <= most else min(max(WRAP_LONG, past - LAP - CORNER), most)
    return max(float(long), 2 * HOLE_EDGE * site.choice.rivet.hole)


def _wrap(site: Site, end: RearEnd, name: str, side: float) -> Placed:
    choice, round_it = site.choice, wrap_fold(site, end)
    t, long = thickness(choice.wrap), wrap_flat(site, end)
    row = rows(choice)
    across, up = round_it.axes(np.asarray(end.out), side)
    # From end A to the strap's middle, along the wrap.
    to_strap = (round_it.corner - abs(end.lie.origin[1])) / math.cos(math.radians(round_it.lean))
    under = long + round_it.crease - to_strap
    start = on_body(end, row.wrap, site.shop.bedding + t / 2) - across * under
    # A strap beside its corner is a stop; the wrap keeps its holes all the same.
    edge = HOLE_EDGE * choice.rivet.hole
    at = min(max(under, edge), long - edge)
    offs = [np.asarray(end.down) * (down - row.wrap) for down in row.rivets[:2]]
    holes = [BarHole(0, at + float(off @ across), float(off @ up), choice.rivet.hole) for off in offs]
    holes += [BarHole(1, SIDE_HOLE, y, choice.rivet.hole) for y in (-SIDE_SPREAD, SIDE_SPREAD)]
    part = FoldedBar(
        choice.wrap,
        (long, WRAP_SIDE),
        (round_it.fold,),
        BarEnd(radius=CORNER),
        BarEnd(radius=CORNER),
        tuple(holes),
    )
    return Placed(f"{name}.wrap", part, Frame.of(start, across, end.out), "corner wrap", 3)


def _packer(site: Site, end: RearEnd, name: str) -> Placed:
    """Return the piece of the wrap's bar that fills up under the strap below the wrap: no rivet pulls it hollow."""
    choice = site.choice
    t = thickness(choice.wrap)
    row = rows(choice)
    begin = row.packer - PACKER / 2
    start = on_body(end, begin, site.shop.bedding + t / 2)
    holes = tuple(BarHole(0, at - begin, 0.0, choice.rivet.hole) for at in row.rivets[2:])
    part = FoldedBar(choice.wrap, (PACKER,), (), BarEnd(), BarEnd(), holes)
    return Placed(f"{name}.packer", part, Frame.of(start, end.down, end.out), "packer", 3)


def _brace(site: Site, end: RearEnd, name: str) -> Placed:
    """Return the bar from the body flat's inside up and forward to the top flat's underside, ends bevelled to fit."""
    choice = site.choice
    t = thickness(choice.strap)
    stack = site.shop.bedding + thickness(choice.wrap)
    u, v, down = np.asarray(end.lie.x), np.asarray(end.lie.z), np.asarray(end.down)
    under = np.asarray(end.lie.origin) - v * (choice.frame_od / 2 + t)
    inner = under + u * (
        float((on_body(end, 0.0, stack) - under) @ np.asarray(end.out)) / float(u @ np.asarray(end.out))
    )
    room = end.body_flat - rows(choice).on_body + strap_radius(choice) * math.tan(math.radians(end.fold) / 2)
    high = inner - u * BRACE_FORWARD
    low = inner + down * min(BRACE_DOWN, room)
    # Its end keeps off the wrap with its whole thickness.
    wide = t / 2 / float(np.linalg.norm(np.cross(unit(high - low), down)))
    low = inner + down * min(BRACE_DOWN, room + WRAP_BELOW - wide - BESIDE_WRAP)
    x = unit(high - low)
    y = np.asarray(end.lie.y)
    z = np.cross(x, y)
    if float(z @ (inner - low)) < 0:
        z, y = -z, -y

    def bevel(face: Array, sign: float) -> float:
        """Return the bevel that lays an end on a face that runs along `face` toward the strap's inner corner."""
        return sign * math.degrees(math.atan2(float(face @ x), float(face @ z)))

    part = FoldedBar(
        choice.strap,
        (float(np.linalg.norm(high - low)),),
        (),
        BarEnd(bevel(-down, -1.0)),
        BarEnd(bevel(u, 1.0)),
    )
    return Placed(f"{name}.brace", part, Frame.of(low, x, z), "strap brace", 3)


def _flats(wrap: Placed) -> tuple[Frame, Frame]:
    """Return the frames where both flats of a wrap begin, vehicle frame."""
    bar = wrap.part
    assert isinstance(bar, FoldedBar)
    (rear, _, _), _, (beside, _, _) = legs_and_arcs(bar.flats, bar.folds, bar.section.thickness, bar.section.width)
    return wrap.frame.then(rear), wrap.frame.then(beside)


def _below(end: RearEnd, flat: Frame) -> float:
    """Return 1 where a flat's Y runs down the body, -1 where it runs up."""
    return math.copysign(1.0, float(np.dot(flat.y, end.down)))


def _bedding(site: Site, end: RearEnd, name: str, side: float, bent: Placed) -> list[Placed]:
    """Return the pads on the body: under the strap, under the rest of the wrap's rear flat, and under its side flat."""
    mount, hole, thick = end.mount, site.choice.rivet.hole, site.shop.bedding
    row, width, wrap = rows(site.choice), bar_width(site.choice.strap), bar_width(site.choice.wrap)
    half = row.on_body / 2
    item = f"bedding {site.ordered(thick)}"

    def pad(role: str, size: tuple[float, float], bores: list[tuple[float, float]], frame: Frame) -> Placed:
        holes = tuple(rectangle(hole, hole, hole / 2, at) for at in bores)
        shape = PadShape(rectangle(*size), holes, thick)
        return Placed(f"{name}.bedding{role}", Bought(item, shape, BEDDING_DENSITY), frame, "bedding", 0)

    strap = Frame.of(on_body(end, half, 0.0), end.down, end.out)
    out = [pad("", (row.on_body, width), [(at - half, 0.0) for at in row.rivets], strap)]
    outer = abs(end.lie.origin[1]) + width / 2
    rear, beside = _flats(bent)
    deep = -thickness(site.choice.wrap) / 2 - thick

    def down_along(flat: Frame, x: float) -> Frame:
        """Return where a pad lies under the wrap's mid-width: X down the body, Z out of it."""
        return Frame.of(flat.point((x, 0.0, deep)), np.asarray(flat.y) * _below(end, flat), flat.z)

    if mount.corner - outer > CORNER:
        middle = on_body(end, row.wrap, 0.0)
        middle[1] = side * (mount.corner + outer) / 2
        along_wrap = float(rear.to_local(middle)[0])
        out.append(pad(".corner", (wrap, mount.corner - outer), [], down_along(rear, along_wrap)))
    flat = down_along(beside, WRAP_SIDE / 2)
    ahead = float(flat.to_local_direction(np.asarray(beside.x))[1]) * (SIDE_HOLE - WRAP_SIDE / 2)
    out.append(pad(".side", (wrap, WRAP_SIDE), [(s, ahead) for s in (-SIDE_SPREAD, SIDE_SPREAD)], flat))
    return out


def _rivets(
    site: Site, end: RearEnd, name: str, bent: Placed
) -> tuple[list[tuple[Placed, tuple[str, ...]]], list[Finding]]:
    choice, bedding, mount = site.choice, site.shop.bedding, end.mount
    strap, wrap = thickness(choice.strap), thickness(choice.wrap)
    row = rows(choice)
    out: list[tuple[Placed, tuple[str, ...]]] = []
    item, said = set_rivet(site.shop, choice, strap + wrap + bedding + mount.skin, f"{name}.strap")
    for i, at in enumerate(row.rivets):
        frame = Frame.of(on_body(end, at, bedding + wrap + strap), end.down, end.out)
        below = f"{name}.wrap" if i < 2 else f"{name}.packer"
        through = (f"{name}.strap", below, f"{name}.bedding")
        out.append((Placed(f"{name}.rivet[{i + 1}]", item, frame, "rivet", 0), through))
    thin, more = set_rivet(site.shop, choice, wrap + bedding + mount.skin, f"{name}.wrap")
    flat = _flats(bent)[1]
    below = _below(end, flat)
    for i, spread in enumerate((-SIDE_SPREAD, SIDE_SPREAD)):
        # In the wrap's own holes, the upper one first.
        at = flat.point((SIDE_HOLE, below * spread, wrap / 2))
        frame = Frame.of(at, np.asarray(flat.y) * below, flat.z)
        through = (f"{name}.wrap", f"{name}.bedding.side")
        out.append((Placed(f"{name}.rivet[{len(row.rivets) + i + 1}]", thin, frame, "rivet", 0), through))
    return out, [*said, *more]
