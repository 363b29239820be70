"""Walls of tubes where another tube lands: EN 1993-1-8 table 7.2, T and Y joints of round tubes, from memory."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.errors import GeometryError
from rackgen.geom import section as ring
from rackgen.geom.cope import Cope
from rackgen.geom.frame import Array, Vec, unit
from rackgen.parts.kinds import BentTube
from rackgen.parts.rack import Along, AtEnd, Joint, PartId, Rack
from rackgen.spec.shop import Shop
from rackgen.strength.cuts import combined
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel, Member, axes
from rackgen.strength.sections import part_words
from rackgen.strength.stocks import cited, design_wall, part_of, strengths, trust
from rackgen.strength.tube_strength import YIELD_FACTOR

SOURCE = "EN 1993-1-8 table 7.2, its resistances over 1.67 as AISC 360 has it (from memory)"

OFF_CENTRE = 0.1
"""A branch whose axis passes the header's by more than this share of its diameter is off centre: the formulas are for
branches on centre, so what they give is an assumption there."""


@dataclass(frozen=True)
class WallBears:
    """What a header's wall bears of a branch: N, and N·mm in the plane of the two axes and out of it."""

    axial: float
    in_plane: float
    out_of_plane: float


def chord_wall(header: float, wall: float, branch: float, angle: float, fy: float) -> WallBears:
    """Return what the wall of a header bears where a branch lands on it, without stress in the header itself.

    Args:
        header: outside diameter, mm.
        wall: of the header, mm.
        branch: outside diameter, mm, at most the header's.
        angle: between the axes, degrees, up to 90.
        fy: of the header, MPa.
    """
    slim, b, sin = header / (2 * wall), branch / header, math.sin(math.radians(angle))
    stretch = fy * wall**2 / sin
    return WallBears(
        slim**0.2 * stretch * (2.8 + 14.2 * b**2),
        4.85 * stretch * branch * math.sqrt(slim) * b,
        2.7 * stretch * branch / (1 - 0.81 * b),
    )


def header_share(stress: Array) -> Array:
    """Return EN 1993-1-8's kp: what a header's own compression leaves of its wall.

    Args:
        stress: compression in the header over its yield strength, 0 and up; more than 1 counts as 1.
    """
    n = np.clip(stress, 0.0, 1.0)
    return 1 - 0.3 * n * (1 + n)


@dataclass(frozen=True)
class Landing:
    """One branch on one header, as members of the frame.

    Attributes:
        joint: the weld.
        branch: number of the branch's last member.
        end: which of its ends lands, 0 or 1.
        beside: header members next to the place, and which of their ends lies there.
        normal: unit normal of the plane of the two axes, in the branch member's axes.
        across: unit vector in that plane square to the branch, in the same axes.
        angle: between the axes, degrees.
        at: of the branch's end, vehicle frame, mm.
        offset: between the axes, mm.
    """

    joint: Joint
    branch: int
    end: int
    beside: tuple[tuple[int, int], ...]
    normal: Vec
    across: Vec
    angle: float
    at: Vec
    offset: float


def chord_limits(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of headers' walls: branches on centre, and those that land beside it.

    Raises:
        RackgenError: a grade is not known.
    """
    parts = {p: t for p, t in part_of(rack).items() if isinstance(t, BentTube)}
    found = landings(model, rack)
    centred = [x for x in found if x.offset <= OFF_CENTRE * parts[_ends(x.joint)[0].part].section.od]
    beside = [x for x in found if x not in centred]
    out: list[Limit] = []
    if centred:
        out.append(
            _limit("chord-wall", "wall of a tube where another lands on it", centred, "memory", model, rack, shop)
        )
    if beside:
        title = "wall of a tube where another lands beside its middle"
        out.append(_limit("chord-wall-beside", title, beside, "assumed", model, rack, shop))
    return tuple(out)


def landings(model: FrameModel, rack: Rack) -> tuple[Landing, ...]:
    """Return every coped joint of two tubes that are members of the frame."""
    parts = part_of(rack)
    at = {n.id: n.at for n in model.nodes}
    of_part: dict[PartId, list[tuple[int, Member]]] = {}
    for i, m in enumerate(model.members):
        if m.kind == "tube":
            of_part.setdefault(m.part, []).append((i, m))
    out: list[Landing] = []
    for joint in rack.joints:
        if joint.kind != "coped weld":
            continue
        header, branch = _ends(joint)
        tube = parts.get(branch.part)
        if not isinstance(header, Along) or not isinstance(branch, AtEnd) or not isinstance(tube, BentTube):
            continue
        if header.part not in of_part or branch.part not in of_part:
            continue
        i, end = _last(of_part[branch.part], branch.end)
        beside = _beside(of_part[header.part], header.at)
        m, h = model.members[i], model.members[beside[0][0]]
        turn = axes(at[m.a], at[m.b], m.up)
        away = turn[0] if end == 0 else -turn[0]
        along = axes(at[h.a], at[h.b], h.up)[0]
        try:
            normal = unit(np.cross(away, along))
        except GeometryError:
            continue
        across = np.cross(normal, away)
        angle = math.degrees(math.asin(min(1.0, float(np.linalg.norm(np.cross(away, along))))))
        cuts = [c for c in (tube.end_a if branch.end == "A" else tube.end_b) if isinstance(c, Cope)]
        offset = min((abs(c.offset) for c in cuts), default=0.0)
        node = m.a if end == 0 else m.b
        n, a = turn @ normal, turn @ across
        out.append(Landing(joint, i, end, beside, (n[0], n[1], n[2]), (a[0], a[1], a[2]), angle, at[node], offset))
    return tuple(out)


def _ends(joint: Joint) -> tuple[Along | AtEnd, Along | AtEnd]:
    """Return header and branch of a coped joint: the branch is what is cut."""
    header, branch = (joint.a, joint.b) if joint.yields == "b" else (joint.b, joint.a)
    assert isinstance(header, Along | AtEnd)
    assert isinstance(branch, Along | AtEnd)
    return header, branch


def _last(members: Sequence[tuple[int, Member]], end: str) -> tuple[int, int]:
    """Return the member at a tube's end A or B, and which of its own ends lies there."""
    ends = [(s, i, k) for i, m in members for k, s in ((0, m.from_a), (1, m.from_b))]
    _, i, k = min(ends) if end == "A" else max(ends)
    return i, k


def _beside(members: Sequence[tuple[int, Member]], at: float) -> tuple[tuple[int, int], ...]:
    """Return the ends of members that lie nearest to a place along a tube: two inside it, one at its end."""
    ends = [(abs(s - at), i, k) for i, m in members for k, s in ((0, m.from_a), (1, m.from_b))]
    near = min(ends)[0]
    return tuple((i, k) for far, i, k in sorted(ends) if far <= near + 1e-6)


def _limit(
    name: str, title: str, found: Sequence[Landing], tag: str, model: FrameModel, rack: Rack, shop: Shop
) -> Limit:
    parts, strong = part_of(rack), strengths(model, rack, shop)
    by_id = {p.id: p for p in rack.placed}
    places: list[Spot] = []
    rows: list[tuple[float, float, float, float, float, float]] = []
    used: set[PartId] = set()
    for x in found:
        header, branch = _ends(x.joint)
        tube, lands = parts[header.part], parts[branch.part]
        assert isinstance(tube, BentTube)
        assert isinstance(lands, BentTube)
        assert isinstance(branch, AtEnd)
        used.add(header.part)
        wall, fy = design_wall(tube.stock, tube.section.wall).wall, strong[header.part].welded_yield
        od = tube.section.od
        bears = chord_wall(od, wall, min(lands.section.od, od), x.angle, fy)
        rows.append(
            (bears.axial, bears.in_plane, bears.out_of_plane, ring.area(od, wall), ring.elastic_modulus(od, wall), fy)
        )
        beside = f", {x.offset:.1f} mm off centre" if x.offset > OFF_CENTRE * od else ""
        places.append(
            Spot(
                f"wall of {part_words(by_id, header.part)} "
                f"under end {branch.end} of {part_words(by_id, branch.part)}{beside}",
                (header.part, branch.part),
                x.at,
                f"{bears.axial / 1e3:.1f} kN along the branch, {bears.in_plane / 1e3:.0f} N·m in the plane of both, "
                f"{bears.out_of_plane / 1e3:.0f} N·m out of it",
            )
        )
    axial, inside, out, area, modulus, fy = (np.array(column)[:, None] for column in zip(*rows, strict=True))
    branch_of, end_of = np.array([x.branch for x in found]), np.array([x.end for x in found])
    normal, across = np.array([x.normal for x in found]), np.array([x.across for x in found])

    def use(loaded: Loaded) -> Array:
        f = loaded.ends[branch_of, end_of]
        in_plane = np.abs(np.einsum("nk,nkc->nc", normal, f[:, 3:]))
        out_of_plane = np.abs(np.einsum("nk,nkc->nc", across, f[:, 3:]))
        pressed = np.stack([_pressed(loaded.ends, x, a, s) for x, a, s in zip(found, area, modulus, strict=True)])
        left = header_share(YIELD_FACTOR * pressed / fy) / YIELD_FACTOR
        linear = np.abs(f[:, 0]) / (axial * left) + out_of_plane / (out * left)
        return combined(linear, in_plane / (inside * left))

    metals = {parts[p].stock.material for p in used}
    tag = trust(strong, used, tag, *(("assumed",) if metals - {"steel"} else ()))
    return Limit(name, title, YIELD_FACTOR, "yield", cited(strong, used, SOURCE), tag, tuple(places), use)


def _pressed(ends: Array, landing: Landing, area: Array, modulus: Array) -> Array:
    """Return the largest compression in a header beside a landing, MPa, by case."""
    out: list[Array] = []
    for i, k in landing.beside:
        f = ends[i, k]
        # The node pushes on a begin along +x and on an end along -x when the member is pressed.
        push = f[0] if k == 0 else -f[0]
        out.append(push / area + np.hypot(f[4], f[5]) / modulus)
    return np.maximum(np.max(np.stack(out), axis=0), 0.0)
