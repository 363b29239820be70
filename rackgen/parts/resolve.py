"""The one pass from intent to result: joints cut the ends of what yields, and every part becomes canonical."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from rackgen.errors import Finding, GeometryError, Level, order
from rackgen.geom import cope, spine
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Frame, clock_direction, clock_of, unit, vec
from rackgen.parts.canonical import canonical
from rackgen.parts.holes import apart
from rackgen.parts.kinds import BentTube, Bought, FoldedBar, PadShape
from rackgen.parts.place import nearest_along
from rackgen.parts.rack import Along, Anchor, AtEnd, Joint, Layout, OnFace, PartId, Placed, Rack


def resolve(layout: Layout) -> tuple[Rack, tuple[Finding, ...]]:
    """Return the rack with its ends cut and its parts canonical, and what could not be cut.

    A branch whose cope cannot be made keeps its sawn end and brings a stop. Findings of the builders come along. A bed
    or an isolator of no thickness is none: metal lies on metal there.
    """
    layout = _of_substance(layout)
    findings = [f for g in layout.groups for f in g.findings]
    members = {m.id: m for m in layout.members()}
    lands = _landings(layout.joints())
    cut: dict[PartId, Placed] = {}
    for placed in members.values():
        cut[placed.id] = _cut_ends(placed, lands, members, findings) if isinstance(placed.part, BentTube) else placed
    done: dict[PartId, Placed] = {}
    for placed in cut.values():
        part, inner = canonical(placed.part)
        done[placed.id] = dataclasses.replace(placed, part=part, frame=placed.frame.then(inner))
    joints = tuple(
        dataclasses.replace(j, a=_moved(j.a, members, done), b=_moved(j.b, members, done)) for j in layout.joints()
    )
    return Rack(tuple(done.values()), joints), order(findings)


def _of_substance(layout: Layout) -> Layout:
    """Return the layout without bought pads of no thickness, and without their joints."""
    none = {
        m.id
        for m in layout.members()
        if isinstance(m.part, Bought) and isinstance(m.part.shape, PadShape) and m.part.shape.thickness <= 0.0
    }
    if not none:
        return layout
    return Layout(
        tuple(
            dataclasses.replace(
                group,
                members=tuple(m for m in group.members if m.id not in none),
                joints=tuple(j for j in group.joints if not {j.a.part, j.b.part} & none),
            )
            for group in layout.groups
        )
    )


def end_frame(placed: Placed, end: str) -> tuple[Frame, tuple[float, float, float]]:
    """Return a tube's frame at end "A" or "B" in the vehicle frame, and the direction from there into the tube.

    Raises:
        TypeError: the part is not a tube.
    """
    if not isinstance(placed.part, BentTube):
        raise TypeError(f"{placed.id} is not a tube")
    line = placed.part.spine
    frame = placed.frame.then(Frame() if end == "A" else spine.end_frame(line))
    return frame, frame.direction((1.0 if end == "A" else -1.0, 0.0, 0.0))


def anchor_point(anchor: Anchor, members: dict[PartId, Placed]) -> tuple[float, float, float]:
    """Return where an anchor lies in the vehicle frame, mm; on a tube it is the point of its centreline."""
    placed = members[anchor.part]
    match anchor:
        case AtEnd():
            return end_frame(placed, anchor.end)[0].origin
        case Along():
            assert isinstance(placed.part, BentTube)
            return placed.frame.point(spine.frame_at(placed.part.spine, anchor.at).origin)
        case OnFace():
            return on_face(placed, anchor)[0]


def on_face(placed: Placed, anchor: OnFace) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return a point of a face and the way out of it, vehicle frame. On a bar, x is along the developed middle."""
    part = placed.part
    side = -1.0 if anchor.face == "bottom" else 1.0
    if isinstance(part, FoldedBar):
        t, x = part.section.thickness, anchor.x
        pieces = legs_and_arcs(part.flats, part.folds, t, part.section.width)
        for i, (frame, length, _) in enumerate(pieces, 1):
            if x <= length + 1e-9 or i == len(pieces):
                here = placed.frame.then(frame)
                return here.point((x, anchor.y, side * t / 2)), here.direction((0, 0, side))
            x -= length
    t = getattr(part, "thickness", 0.0)
    z = {"top": t, "bottom": 0.0, "edge": t / 2}[anchor.face]
    return placed.frame.point((anchor.x, anchor.y, z)), placed.frame.direction((0, 0, side))


def _landings(joints: tuple[Joint, ...]) -> dict[AtEnd, list[Anchor]]:
    """Return for each end that is cut at joints what it lands on, in the order of the cuts."""
    out: dict[AtEnd, list[Anchor]] = {}
    for joint in sorted(joints, key=lambda j: (j.rank, j.id)):
        ways = [(joint.a, joint.b), (joint.b, joint.a)]
        if joint.kind != "mitre weld":
            ways = [] if joint.yields is None else [ways[0 if joint.yields == "a" else 1]]
        for mine, other in ways:
            if isinstance(mine, AtEnd):
                out.setdefault(mine, []).append(other)
    return out


def _cut_ends(
    placed: Placed, lands: dict[AtEnd, list[Anchor]], members: dict[PartId, Placed], findings: list[Finding]
) -> Placed:
    part = placed.part
    assert isinstance(part, BentTube)
    outer = part.section.od / 2
    ends: dict[str, cope.End] = {}
    back: dict[str, float] = {}
    for at in (AtEnd(placed.id, "A"), AtEnd(placed.id, "B")):
        end = at.end
        cuts: list[cope.EndCut] = list(part.end_a if end == "A" else part.end_b)
        for other in lands.get(at, ()):
            try:
                cuts.append(_one_cut(placed, end, members[other.part], other, outer))
            except GeometryError as error:
                findings.append(
                    Finding(
                        "cannot-cope",
                        Level.STOP,
                        (placed.id, other.part),
                        f"{placed.word} cannot be cut to {members[other.part].word}: {error}",
                        at=end_frame(placed, end)[0].origin,
                        help="move one of the two, or choose a smaller tube for the one that lands",
                    )
                )
        taken = cope.long_point(tuple(cuts), outer) if cuts else 0.0
        if any(isinstance(c, cope.Cope) and cope.is_tangent(c, outer) for c in cuts):
            taken += cope.NIP
        back[end] = taken
        ends[end] = tuple(cope.sawn_back(c, taken) for c in cuts)
    whole = spine.length(part.spine)
    square = (-math.inf if ends["A"] else 0.0, math.inf if ends["B"] else whole)
    straights = list(part.spine.straights)
    straights[0] -= back["A"]
    straights[-1] -= back["B"]
    need = [
        cope.deepest(ends["A"], outer - part.section.wall, outer),
        cope.deepest(ends["B"], outer - part.section.wall, outer),
    ]
    spare = (
        straights[0] - need[0] - need[1]
        if len(straights) == 1
        else min(straights[0] - need[0], straights[-1] - need[1])
    )
    if spare <= 0:
        findings.append(
            Finding(
                "cope-too-deep",
                Level.STOP,
                (placed.id,),
                f"{placed.word} is too short for its own copes: {-spare:.1f} mm of straight tube are missing",
                at=placed.frame.origin,
                got=spare,
                limit=0.0,
                help=f"lengthen it by at least {-spare + 5:.0f} mm, or move what it lands on",
            )
        )
        # Without room for its cuts the tube stays as it was asked for, square, so that the rest can be shown.
        return dataclasses.replace(placed, part=dataclasses.replace(part, holes=apart(part.holes, outer, square)))
    cut = dataclasses.replace(
        part,
        spine=dataclasses.replace(part.spine, straights=tuple(straights)),
        end_a=ends["A"],
        end_b=ends["B"],
        holes=tuple(dataclasses.replace(h, at=h.at - back["A"]) for h in apart(part.holes, outer, square)),
    )
    return dataclasses.replace(placed, part=cut, frame=placed.frame.moved((back["A"], 0, 0)))


def _one_cut(placed: Placed, end: str, header: Placed, anchor: Anchor, outer: float) -> cope.EndCut:
    tube, inward = end_frame(placed, end)
    if isinstance(anchor, OnFace):
        point, normal = on_face(header, anchor)
        return _plane_cut(tube, inward, point, normal)
    if isinstance(anchor, AtEnd):
        # A mitre halves the corner: its plane goes through the corner, and both tubes run off it alike.
        there, away = end_frame(header, anchor.end)
        return _plane_cut(tube, inward, there.origin, vec(np.asarray(inward) - np.asarray(away)))
    if not isinstance(header.part, BentTube):
        raise GeometryError("it lands on something that is neither a tube's side nor a face")
    line = header.part.spine
    for piece in spine.pieces(line):
        if piece.start - 1e-6 <= anchor.at <= piece.start + piece.length + 1e-6 and piece.bend is None:
            axis = header.frame.then(piece.frame)
            return cope.cope_of(tube, inward, outer, axis, header.part.section.od)
    straights = [(p.start, p.start + p.length) for p in spine.pieces(line) if p.bend is None]
    near = min((edge for pair in straights for edge in pair), key=lambda e: abs(e - anchor.at))
    od = header.part.section.od
    good = near + math.copysign(od, near - anchor.at)
    raise GeometryError(
        f"it lands {anchor.at:.0f} mm along, on a bend; the nearest good place is {good:.0f} mm along, "
        "one OD past the tangent"
    )


def _plane_cut(tube: Frame, inward: tuple[float, float, float], point: tuple[float, float, float],
               normal: tuple[float, float, float]) -> cope.Plane:  # fmt: skip
    w, n = np.asarray(inward), unit(normal)
    facing = float(n @ w)
    if abs(facing) < math.cos(math.radians(70.0)):
        raise GeometryError("the face is nearly along the tube; a foot cut steeper than 70 deg cannot be made")
    depth = float(n @ (np.asarray(point) - np.asarray(tube.origin))) / facing
    lean = -(n - facing * w) / facing
    tilt = math.degrees(math.atan(float(np.linalg.norm(lean))))
    clock = clock_of(tube.to_local_direction(lean)) if tilt > 1e-9 else 0.0
    return cope.Plane(depth, tilt, clock)


def _moved(anchor: Anchor, before: dict[PartId, Placed], after: dict[PartId, Placed]) -> Anchor:
    """Return the anchor in the terms of the canonical part."""
    old, new = before[anchor.part], after[anchor.part]
    match anchor:
        case AtEnd():
            place = np.asarray(end_frame(old, anchor.end)[0].origin)
            gaps = {e: float(np.linalg.norm(np.asarray(end_frame(new, e)[0].origin) - place)) for e in ("A", "B")}
            return AtEnd(anchor.part, "A" if gaps["A"] <= gaps["B"] else "B")
        case Along():
            assert isinstance(old.part, BentTube)
            assert isinstance(new.part, BentTube)
            here = old.frame.then(spine.frame_at(old.part.spine, anchor.at))
            at = nearest_along(new, here.origin)
            there = new.frame.then(spine.frame_at(new.part.spine, at))
            outward = here.direction(clock_direction(anchor.clock))
            return Along(anchor.part, at, clock_of(there.to_local_direction(outward)))
        case OnFace():
            return _face_moved(anchor, old, new)


def _face_moved(anchor: OnFace, old: Placed, new: Placed) -> OnFace:
    same_side = float(np.asarray(old.frame.z) @ np.asarray(new.frame.z)) > 0
    if isinstance(new.part, FoldedBar):
        assert isinstance(old.part, FoldedBar)
        bar, section = old.part, old.part.section
        total = sum(long for _, long, _ in legs_and_arcs(bar.flats, bar.folds, section.thickness, section.width))
        start = np.linalg.norm(np.asarray(old.frame.origin) - np.asarray(new.frame.origin)) < 1e-3
        first = on_face(old, OnFace(anchor.part, "top", 0.0, 0.0))[1]
        again = on_face(new, OnFace(anchor.part, "top", 0.0 if start else total, 0.0))[1]
        same_side = float(np.asarray(first) @ np.asarray(again)) > 0
        x = anchor.x if start else total - anchor.x
        point = on_face(old, anchor)[0]
        ahead = on_face(new, OnFace(anchor.part, "top", x, anchor.y))[0]
        aside = on_face(new, OnFace(anchor.part, "top", x, -anchor.y))[0]
        y = anchor.y if math.dist(point, ahead) <= math.dist(point, aside) else -anchor.y
    else:
        local = new.frame.to_local(on_face(old, anchor)[0])
        x, y = float(local[0]), float(local[1])
    face = anchor.face if same_side or anchor.face == "edge" else ("bottom" if anchor.face == "top" else "top")
    return OnFace(anchor.part, face, x, y)
