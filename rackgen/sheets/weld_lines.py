"""Where the bead of a joint runs: points along it, the two faces it joins there, and how long it is.

Everything comes from the parts as they stand. A bead along a cope follows the outside curve; one along a plate, bar or
tube runs as far as the two lie on one another.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rackgen.design.sleeve import sleeve_length
from rackgen.geom import outline, spine
from rackgen.geom.cope import heights
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Array, Frame, clock_direction
from rackgen.mesh.polygon import inside
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar
from rackgen.parts.rack import Along, AtEnd, Joint, OnFace, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point, end_frame, on_face
from rackgen.sheets.capsules import Body, body, distance, nearest
from rackgen.spec.stock import Panel

WELDED = ("coped weld", "plane weld", "mitre weld", "butt with sleeve", "fillet", "plug weld")
"""The kinds of joint that are welded."""

STEP = 5.0
"""Spacing of points along a bead, mm."""

CLOCKS = 72
"""Points round a tube's end."""

STITCH = (25.0, 75.0)
"""A stitch and the distance from one to the next, mm (common practice, no source)."""

MESH_STITCH = (10.0, 100.0)
"""A stitch of mesh and its strip, and the largest distance from one to the next, mm (common practice, no source)."""

ON_FACE = 1.0
"""Two faces this near one another lie on each other, mm."""

BEAD_DEEP = 2.6
"""A bead in the wedge between a tube and a face it lies on reaches out to where the wedge is this deep, mm."""

EDGE_GAP = 3.5
"""A plate's edge this near a tube is welded to it: its gap and half its thickness beside the middle, mm."""

BOTH_EDGES = "fillet both edges"
"""How a joint's words begin whose bar lies across a tube and is welded along its own edges."""

END_GAP = 1.6
"""The widest gap under a bar's end that a fillet bridges, mm (common practice, no source)."""

ON_RING = 8.0
"""How far beside the middle of a tube an edge of mesh still lies on it, mm."""

Members = Mapping[PartId, Placed]


@dataclass(frozen=True, eq=False)
class Run:
    """One bead, or one row of stitches.

    Attributes:
        points: along it, vehicle frame, mm, shape (n, 3).
        one: unit normal of the one face at each point, shape (n, 3).
        other: of the other face; the torch comes between the two.
        length: of the seam, mm.
        bead: of it that is welded, mm.
    """

    points: Array
    one: Array
    other: Array
    length: float
    bead: float

    @property
    def along(self) -> Array:
        """Unit directions along the bead, shape (n, 3); across both normals where it is but a point."""
        if len(self.points) < 2:
            side = np.cross(self.one[0], (0.3, 0.5, 0.8))
            return (side / np.linalg.norm(side))[None, :]
        way = np.gradient(self.points, axis=0)
        return way / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)


def welded_joints(rack: Rack) -> tuple[Joint, ...]:
    """Return the joints that are welded, as they stand in the rack."""
    return tuple(j for j in rack.joints if j.kind in WELDED)


def runs(joint: Joint, members: Members) -> tuple[Run, ...]:
    """Return the beads of a welded joint; none where nothing of the two parts lies together.

    Args:
        joint: of a kind in `WELDED`.
        members: every part by id.
    """
    one, other = members[joint.a.part], members[joint.b.part]
    match joint.kind:
        case "coped weld" | "plane weld":
            return _landed(joint, members)
        case "butt with sleeve" | "mitre weld":
            assert isinstance(joint.a, AtEnd)
            return (_ring(one, joint.a),)
        case "plug weld":
            return _plugs(joint, members)
        case _:
            pass
    tube = next((p for p in (one, other) if isinstance(p.part, BentTube)), None)
    flat = next((p for p in (one, other) if not isinstance(p.part, BentTube)), None)
    if tube is None:
        return _flat_on_flat(joint, members)
    assert flat is not None
    anchor = joint.a if joint.a.part == flat.id else joint.b
    if isinstance(flat.part, CutPlate) and isinstance(flat.part.stock.section, Panel):
        return _mesh_on_tube(flat, flat.part, tube)
    if isinstance(anchor, OnFace) and anchor.face == "edge":
        return _edge_on_tube(flat, tube)
    at = anchor_point(anchor, dict(members))
    if joint.fixing.startswith(BOTH_EDGES):
        return _edges_over_tube(flat, tube, at)
    return _face_on_tube(flat, tube, at, anchor)


@cache
def _none() -> Body:
    return Body(np.zeros((0, 3)), np.zeros((0, 3)), 0.0, (), np.zeros(3), np.zeros(3))


def _body(placed: Placed) -> Body:
    return body(placed) or _none()


def end_curve(placed: Placed, end: str, count: int) -> tuple[Array, Array]:
    """Return points of the outside curve at a tube's end and the tube's normals there, vehicle frame, shapes (n, 3)."""
    part = placed.part
    assert isinstance(part, BentTube)
    outer = part.fitted.od / 2
    phi = np.arange(count) * (360.0 / count)
    frame, _ = end_frame(placed, end)
    inward = 1.0 if end == "A" else -1.0
    local = outer * clock_direction(phi)
    local[:, 0] += inward * heights(part.end_a if end == "A" else part.end_b, outer, phi)
    return frame.points(local), clock_direction(phi) @ frame.rotation().T


def cope_length(placed: Placed, end: str) -> float:
    """Return the length of the outside curve at a tube's end, mm: the bead of a weld all round."""
    points, _ = end_curve(placed, end, 2880)
    return float(np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1).sum())


def _landed(joint: Joint, members: Members) -> tuple[Run, ...]:
    landing, on = (joint.a, joint.b) if isinstance(joint.a, AtEnd) else (joint.b, joint.a)
    assert isinstance(landing, AtEnd)
    tube, header = members[landing.part], members[on.part]
    points, normals = end_curve(tube, landing.end, CLOCKS)
    if isinstance(header.part, BentTube):
        there = _body(header)
        off = points - nearest(there, points)
        gap = np.linalg.norm(off, axis=1)
        other, beside = off / gap[:, None], np.abs(gap - there.radius)
    else:
        assert isinstance(on, OnFace)
        at, normal = on_face(header, on)
        other, beside = np.tile(normal, (len(points), 1)), np.abs((points - np.asarray(at)) @ np.asarray(normal))
    total = cope_length(tube, landing.end)
    assert isinstance(tube.part, BentTube)
    ends = tube.part.end_a if landing.end == "A" else tube.part.end_b
    # Of an end cut to several tubes each joint has the part of the curve that lies on its own.
    mine = beside < 2 * ON_FACE if len(ends) > 1 else np.full(len(points), True)
    share = float(mine.mean())
    if share == 0:
        return ()
    return (Run(points[mine], normals[mine], other[mine], total * share, total * share),)


def _ring(placed: Placed, end: AtEnd) -> Run:
    points, normals = end_curve(placed, end.end, CLOCKS)
    total = cope_length(placed, end.end)
    return Run(points, normals, normals, total, total)


def _plugs(joint: Joint, members: Members) -> tuple[Run, ...]:
    """Return one run a plug: the holes of the host within the sleeve's half from its butted end."""
    assert isinstance(joint.b, AtEnd)
    host = members[joint.b.part]
    part = host.part
    assert isinstance(part, BentTube)
    total, out = spine.length(part.spine), list[Run]()
    for hole in part.holes:
        from_end = hole.at if joint.b.end == "A" else total - hole.at
        if hole.purpose != "plug weld" or from_end > sleeve_length(part.section) / 2:
            continue
        frame = host.frame.then(spine.frame_at(part.spine, hole.at))
        normal = np.asarray(frame.direction(clock_direction(hole.clock)))[None, :]
        point = np.asarray(frame.origin)[None, :] + part.section.od / 2 * normal
        out.append(Run(point, normal, normal, math.pi * hole.diameter, math.pi * hole.diameter))
    return tuple(out)


def _row(begin: Array, end: Array) -> Array:
    n = max(2, math.ceil(float(np.linalg.norm(end - begin)) / STEP) + 1)
    share = np.linspace(0.0, 1.0, n)
    return begin + (end - begin) * share[:, None]


def _kept(points: Array, keep: NDArray[np.bool_]) -> list[Array]:
    """Return the stretches of a row of points that are kept, two points or more each."""
    out: list[Array] = []
    for good, group in itertools.groupby(range(len(points)), key=lambda k: bool(keep[k])):
        index = list(group)
        if good and len(index) > 1:
            out.append(points[index])
    return out


def _length(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def stitches(length: float, stitch: tuple[float, float]) -> int:
    """Return how many stitches a seam gets: one at each end, none farther from the next than asked for."""
    bead, pitch = stitch
    return 1 if length <= bead else 1 + math.ceil((length - bead) / pitch - 1e-9)


def _stitched(length: float, stitch: tuple[float, float]) -> float:
    return min(length, stitches(length, stitch) * stitch[0])


def _mesh_on_tube(panel: Placed, part: CutPlate, tube: Placed) -> tuple[Run, ...]:
    """Return the line along a tube's top over which a panel of mesh lies, tacked through the mesh from above."""
    line = tube.part
    assert isinstance(line, BentTube)
    total = spine.length(line.spine)
    n = max(2, math.ceil(total / STEP) + 1)
    axis = tube.frame.points(np.array([spine.frame_at(line.spine, s).origin for s in np.linspace(0.0, total, n)]))
    up = np.asarray(panel.frame.z)
    points = axis + up * line.section.od / 2
    flat = panel.frame.to_local(points)
    rim = outline.polygon(part.outline, 0.5)
    keep = (inside(flat[:, :2], rim) | (_to_rim(flat[:, :2], rim) < ON_RING)) & (np.abs(flat[:, 2]) < 2 * ON_FACE)
    out: list[Run] = []
    for row in _kept(points, keep):
        normal = np.tile(up, (len(row), 1))
        length = _length(row)
        out.append(Run(row, normal, normal, length, _stitched(length, MESH_STITCH)))
    return tuple(out)


def _to_rim(points: Array, rim: Array) -> Array:
    a, b = rim, np.roll(rim, -1, axis=0)
    way = b - a
    square = np.maximum(np.einsum("ni,ni->n", way, way), 1e-12)
    share = np.clip(np.einsum("mni,ni->mn", points[:, None] - a[None], way) / square, 0, 1)
    off = points[:, None] - (a[None] + share[:, :, None] * way[None])
    return np.linalg.norm(off, axis=2).min(axis=1)


def _edge_on_tube(flat: Placed, tube: Placed) -> tuple[Run, ...]:
    """Return the seams of an edge that stands on a tube, on both of its faces; a plate's edge is stitched."""
    there = _body(tube)
    out: list[Run] = []
    for frame, corners, half in rims(flat):
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            row = _row(a, b)
            gap = np.minimum(
                distance(there, frame.points(np.column_stack([row, np.full(len(row), -half)]))),
                distance(there, frame.points(np.column_stack([row, np.full(len(row), half)]))),
            )
            plate = isinstance(flat.part, CutPlate)
            for kept in _fine(row, gap, EDGE_GAP if plate else 2 * half):
                # The foot of a cropped corner comes near the tube too, but is no seam.
                if plate and _length(kept) < STITCH[0] / 2:
                    continue
                out += _both_faces(frame, kept, half, there, stitched=plate)
    return tuple(out)


def _fine(row: Array, gap: Array, most: float) -> list[Array]:
    """Return the stretches of a straight row whose gap is small, their ends set where it becomes too large."""
    out: list[Array] = []
    for good, group in itertools.groupby(range(len(row)), key=lambda k: bool(gap[k] <= most)):
        index = list(group)
        if not good:
            continue
        ends = [row[index[0]], row[index[-1]]]
        for place, k, beyond in ((0, index[0], index[0] - 1), (1, index[-1], index[-1] + 1)):
            if 0 <= beyond < len(row) and gap[beyond] > most:
                share = (most - gap[k]) / (gap[beyond] - gap[k])
                ends[place] = row[k] + share * (row[beyond] - row[k])
        if float(np.linalg.norm(ends[1] - ends[0])) > ON_FACE:
            out.append(_row(ends[0], ends[1]))
    return out


def _both_faces(frame: Frame, row: Array, half: float, there: Body, *, stitched: bool) -> list[Run]:
    out: list[Run] = []
    length = _length(row)
    count = stitches(length, STITCH)
    for side, share in ((-1.0, count // 2), (1.0, count - count // 2)):
        points = frame.points(np.column_stack([row, np.full(len(row), side * half)]))
        off = points - nearest(there, points)
        one = np.tile(np.asarray(frame.z) * side, (len(points), 1))
        other = off / np.maximum(np.linalg.norm(off, axis=1, keepdims=True), 1e-9)
        bead = min(length, share * STITCH[0]) if stitched else length
        out.append(Run(points, one, other, length, bead))
    return out


def rims(placed: Placed) -> list[tuple[Frame, Array, float]]:
    """Return the flats of a plate or bar: frame at mid-thickness, corners of the rim in XY, half the thickness."""
    part = placed.part
    if isinstance(part, CutPlate):
        half = part.thickness / 2
        return [(placed.frame.moved((0.0, 0.0, half)), outline.polygon(part.outline, 0.5), half)]
    assert isinstance(part, FoldedBar)
    w, half = part.section.width / 2, part.section.thickness / 2
    return [
        (placed.frame.then(frame), np.array([(0.0, -w), (length, -w), (length, w), (0.0, w)]), half)
        for frame, length, fold in legs_and_arcs(part.flats, part.folds, part.section.thickness, part.section.width)
        if fold is None
    ]


def _face_on_tube(flat: Placed, tube: Placed, at: tuple[float, float, float], anchor: OnFace | AtEnd | Along
                  ) -> tuple[Run, ...]:  # fmt: skip
    """Return the two seams beside a tube that lies on a face: as far as tube and face go together."""
    there = _body(tube)
    slab = min(rims(flat), key=lambda s: float(np.linalg.norm(_clamped(s[0].to_local(at), s[1]))))
    frame, rim, half = slab
    foot = nearest(there, np.asarray(at)[None, :])
    up = 1.0 if float(frame.to_local(foot)[0][2]) > 0 else -1.0
    ends = frame.to_local(np.concatenate([there.begin, there.end[-1:]]))
    lies = [
        (a, b)
        for a, b in itertools.pairwise(ends)
        if max(abs(abs(a[2]) - half - there.radius), abs(abs(b[2]) - half - there.radius)) < 2 * ON_FACE
    ]
    out: list[Run] = []
    for a, b in lies:
        row = _row(a, b)
        flat_row = np.linspace(0.0, 1.0, max(2, math.ceil(float(np.linalg.norm(b - a))) + 1))
        fine = a + (b - a) * flat_row[:, None]
        kept = _kept(fine, inside(fine[:, :2], rim))
        for stretch in kept:
            row = _row(stretch[0, :2], stretch[-1, :2])
            way = (row[-1] - row[0]) / np.linalg.norm(row[-1] - row[0])
            length = _length(row)
            for side in (-1.0, 1.0):
                aside = side * np.array([-way[1], way[0]])
                # The bead fills the wedge between tube and face; a torch is laid to the middle of what is seen of it.
                out_by = math.sqrt(2 * there.radius * BEAD_DEEP)
                lift = np.full(len(row), up * (half + BEAD_DEEP / 2))
                points = frame.points(np.column_stack([row + aside * out_by, lift]))
                one = np.tile(np.asarray(frame.z) * up, (len(row), 1))
                other = np.tile(np.asarray(frame.direction((aside[0], aside[1], 0.0))), (len(row), 1))
                out.append(Run(points, one, other, length, length))
    return tuple(out) or (_end_on_tube(slab, there, up) if isinstance(flat.part, FoldedBar) else ())


def _edges_over_tube(flat: Placed, tube: Placed, at: tuple[float, float, float]) -> tuple[Run, ...]:
    """Return the seams along both edges of a bar that lies across a tube: as far as a fillet bridges the gap."""
    there = _body(tube)
    frame, rim, half = min(rims(flat), key=lambda s: float(np.linalg.norm(_clamped(s[0].to_local(at), s[1]))))
    up = 1.0 if float(frame.to_local(nearest(there, np.asarray(at)[None, :]))[0][2]) > 0 else -1.0
    out: list[Run] = []
    for a, b in ((rim[0], rim[1]), (rim[2], rim[3])):
        row = _row(a, b)
        gap = distance(there, frame.points(np.column_stack([row, np.full(len(row), up * half)])))
        for kept in _fine(row, gap, BEAD_DEEP):
            points = frame.points(np.column_stack([kept, np.full(len(kept), up * half)]))
            off = points - nearest(there, points)
            # Where bar and tube touch, the way off the tube is that of the bar's face.
            off = np.where(np.linalg.norm(off, axis=1, keepdims=True) > 0.05, off, -up * np.asarray(frame.z))
            other = off / np.linalg.norm(off, axis=1, keepdims=True)
            out_ward = math.copysign(1.0, float(a[1] - rim[:, 1].mean()))
            one = np.tile(np.asarray(frame.direction((0.0, out_ward, 0.0))), (len(points), 1))
            length = _length(kept)
            out.append(Run(points, one, other, length, length))
    return tuple(out)


def _end_on_tube(slab: tuple[Frame, Array, float], there: Body, up: float) -> tuple[Run, ...]:
    """Return the seam across a square end of a bar that lies on a tube aslant: as far as a fillet bridges the gap."""
    frame, rim, half = slab
    out: list[Run] = []
    for a, b in ((rim[1], rim[2]), (rim[3], rim[0])):
        row = _row(a, b)
        gap = distance(there, frame.points(np.column_stack([row, np.full(len(row), up * half)])))
        for kept in _fine(row, gap, END_GAP):
            points = frame.points(np.column_stack([kept, np.full(len(kept), up * half)]))
            off = points - nearest(there, points)
            other = off / np.maximum(np.linalg.norm(off, axis=1, keepdims=True), 1e-9)
            out_ward = math.copysign(1.0, float(a[0] - rim[:, 0].mean()))
            one = np.tile(np.asarray(frame.direction((out_ward, 0.0, 0.0))), (len(points), 1))
            length = _length(kept)
            out.append(Run(points, one, other, length, length))
    return tuple(out)


def _clamped(local: Array, rim: Array) -> Array:
    low, high = rim.min(axis=0), rim.max(axis=0)
    return np.array([*(local[:2] - np.clip(local[:2], low, high)), local[2]])


def _flat_on_flat(joint: Joint, members: Members) -> tuple[Run, ...]:
    one, other = members[joint.a.part], members[joint.b.part]
    if isinstance(other.part, CutPlate) and isinstance(other.part.stock.section, Panel):
        return _strip_on_mesh(one, other)
    at = anchor_point(joint.b, dict(members))
    assert isinstance(one.part, FoldedBar)
    standing = _standing_end(one, other, at)
    if standing is not None:
        return standing
    out: list[Run] = []
    text = joint.fixing
    if "of the strap" in text or "strap's" in text:
        out += _laps(other, one, ends=False)
        if "end welded" in text:
            out += _laps(one, other, ends=True)
        return tuple(out)
    # The narrower of the two has its edges on the other's face.
    return tuple(_laps(one, other, ends=False, flush=True) or _laps(other, one, ends=False))


def _laps(edge_of: Placed, on: Placed, *, ends: bool, flush: bool = False) -> list[Run]:
    """Return the long edges (or the ends) of one bar that lie on the face of another.

    Args:
        edge_of: whose edges are welded.
        on: what they lie on.
        ends: the ends instead of the long edges.
        flush: edges that are flush with those of the other count too.
    """
    out: list[Run] = []
    for frame, rim, half in rims(edge_of):
        for k, (a, b) in enumerate(zip(rim, np.roll(rim, -1, axis=0), strict=True)):
            if (k % 2 == 1) != ends:
                continue
            n = max(2, math.ceil(float(np.linalg.norm(b - a))) + 1)
            row = a + (b - a) * np.linspace(0.0, 1.0, n)[:, None]
            middle = rim.mean(axis=0)
            aside = (a + b) / 2 - middle
            normal = np.asarray(frame.direction((aside[0], aside[1], 0.0)))
            normal /= np.linalg.norm(normal)
            for side in (-1.0, 1.0):
                points = frame.points(np.column_stack([row, np.full(n, side * half)]))
                for there, other_rim, other_half in rims(on):
                    local = there.to_local(points)
                    up = 1.0 if float(local[:, 2].mean()) > 0 else -1.0
                    close = np.abs(np.abs(local[:, 2]) - other_half) < ON_FACE
                    within = inside(local[:, :2], other_rim)
                    within |= (_to_rim(local[:, :2], other_rim) < ON_FACE) & flush
                    for kept in _kept(points, close & within):
                        even = _row(kept[0], kept[-1])
                        face = np.tile(np.asarray(there.z) * up, (len(even), 1))
                        length = _length(even)
                        out.append(Run(even, np.tile(normal, (len(even), 1)), face, length, length))
    return out


def _standing_end(one: Placed, other: Placed, at: tuple[float, float, float]) -> tuple[Run, ...] | None:
    """Return the seams of a bevelled bar end that stands on a face: across its outside and up both of its edges.

    The inside of the corner, the narrower of the two, is no place for a torch. None when the bar lies flat instead.
    """
    part = one.part
    if not isinstance(part, FoldedBar) or len(part.flats) > 1 or abs(part.end_a.bevel) < 1 or abs(part.end_b.bevel) < 1:
        return None
    length, half, w = sum(part.flats), part.section.thickness / 2, part.section.width / 2
    local = one.frame.to_local(at)
    here, out_by, cut = (0.0, -1.0, part.end_a) if abs(local[0]) < abs(local[0] - length) else (length, 1.0, part.end_b)
    tips = {side: here + out_by * side * half * math.tan(math.radians(cut.bevel)) for side in (-1.0, 1.0)}
    slab = min(rims(other), key=lambda s: float(np.linalg.norm(_clamped(s[0].to_local(at), s[1]))))
    up = 1.0 if float(slab[0].to_local(one.frame.point((length / 2, 0.0, 0.0)))[2]) > 0 else -1.0
    face = np.asarray(slab[0].z) * up
    # The outside is where the two faces open widest.
    outer = max((-1.0, 1.0), key=lambda side: float(np.asarray(one.frame.z) * side @ face))
    out: list[Run] = []
    rows = [(np.array([tips[outer], -w, outer * half]), np.array([tips[outer], w, outer * half]), (0.0, 0.0, outer))]
    for edge in (-1.0, 1.0):
        a, b = (np.array([tips[s], edge * w, s * half]) for s in (-1.0, 1.0))
        rows.append((a, b, (0.0, edge, 0.0)))
    for a, b, normal in rows:
        points = one.frame.points(_row(a, b))
        out.append(
            Run(points, np.tile(np.asarray(one.frame.direction(normal)), (len(points), 1)),
                np.tile(face, (len(points), 1)), _length(points), _length(points))
        )  # fmt: skip
    return tuple(out)


def _strip_on_mesh(strip: Placed, panel: Placed) -> tuple[Run, ...]:
    """Return the long edges of a strip as far as it lies on a panel, stitched by turns."""
    part = panel.part
    assert isinstance(part, CutPlate)
    rim = outline.polygon(part.outline, 0.5)
    out: list[Run] = []
    for frame, corners, half in rims(strip):
        a, b, c, d = corners
        mid_a, mid_b = (a + d) / 2, (b + c) / 2
        n = max(2, math.ceil(float(np.linalg.norm(mid_b - mid_a))) + 1)
        share = np.linspace(0.0, 1.0, n)[:, None]
        row = mid_a + (mid_b - mid_a) * share
        on = panel.frame.to_local(frame.points(np.column_stack([row, np.zeros(n)])))[:, :2]
        for kept in _kept(row, inside(on, rim) | (_to_rim(on, rim) < ON_FACE)):
            length = _length(kept)
            count = stitches(length, MESH_STITCH)
            for side, n_here in ((-1.0, count // 2), (1.0, count - count // 2)):
                w = abs(float(a[1]))
                even = _row(kept[0], kept[-1]) + np.array([0.0, side * w])
                points = frame.points(np.column_stack([even, np.full(len(even), -half)]))
                up = np.tile(np.asarray(panel.frame.z), (len(even), 1))
                aside = np.tile(np.asarray(frame.direction((0.0, side, 0.0))), (len(even), 1))
                out.append(Run(points, aside, up, length, min(length, n_here * MESH_STITCH[0])))
    return tuple(out)
